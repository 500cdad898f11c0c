//! Single verdicts against truths written out here: what is there to lift, what a change of the
//! bass proves, where a clean range ends, what a proposal may do.

mod damage;

use underpin::planning::clean::{CleanVolume, LoudTone, hard_clip, highest_clean};
use underpin::planning::content::{BandContent, Content, border_hz, contents};
use underpin::planning::diagnose::diagnose;
use underpin::planning::noise::{NoiseBand, Silence};
use underpin::planning::response::BandValue;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::planning::tune::{Enclosure, Problem, propose};
use underpin::planning::volume::{BassReading, Dependence, explain};
use underpin::settings::Order;
use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;

use crate::propose::{problem, with_gone};
use crate::random::Random;
use crate::reading::first;
use crate::room::{Recorder, Stereo, delayed, played};

const RATE: f64 = 12_000.0;

/// A band at 31.6 Hz, shown or known only to lie below a level.
fn band(db: f64, sd_db: f64, less_than_db: Option<f64>) -> BandValue {
    BandValue {
        hz: 10f64.powf(1.5),
        db,
        sd_db,
        half_95_db: 2.0 * sd_db,
        snr_db: if less_than_db.is_some() { 3.0 } else { 30.0 },
        less_than_db: less_than_db.unwrap_or(db + 2.0 * sd_db),
    }
}

/// The verdict on a band whose programme stands `over_db` over the noise.
fn verdict(over_db: f64, sd_db: f64, less_than_db: Option<f64>) -> BandContent {
    // Pink programme of −20 dBFS r.m.s. in 30 equal bands: 10·lg 30 = 14.77 dB less in each.
    let programme = -20.0 - 10.0 * 30f64.log10();
    let band = band(0.0, sd_db, less_than_db);
    let noise = NoiseBand { hz: band.hz, dbfs: programme - over_db, sd_db, with_signal: false };
    let told = contents(&[band], &[noise], 0.0);
    assert_eq!(told.len(), 1);
    told[0]
}

#[test]
fn fifteen_decibels_over_the_noise_decide_with_their_scatter() {
    // 15 dB is common practice, no source. Two readings of 1 dB each differ by √2 dB; one-sided
    // 95 % of a normal distribution is 1.645 of that: 2.33 dB.
    for (over, told) in [
        (20.0, Content::Stands),
        (17.6, Content::Stands),
        (17.0, Content::Uncertain),
        (15.2, Content::Uncertain),
        (14.8, Content::Uncertain),
        (13.0, Content::Uncertain),
        (12.3, Content::Gone),
        (9.5, Content::Gone),
        (-10.0, Content::Gone),
    ] {
        let found = verdict(over, 1.0, None);
        assert_eq!(found.content, told, "{over} dB over the noise");
        // −34.8 stands for −34.77.
        assert!((found.over_noise_db - over).abs() < 0.05, "{found:?}");
    }
    // With no scatter the border itself decides.
    assert_eq!(verdict(15.3, 0.01, None).content, Content::Stands);
    assert_eq!(verdict(14.7, 0.01, None).content, Content::Gone);
}

#[test]
fn a_band_that_could_not_be_measured_is_gone_only_where_it_must_be() {
    // Below −10 dB re the mid band: at most 8 or 25 dB over the noise.
    assert_eq!(verdict(18.0, 1.0, Some(-10.0)).content, Content::Gone);
    assert_eq!(verdict(35.0, 1.0, Some(-10.0)).content, Content::Uncertain);
}

#[test]
fn the_border_lies_where_fifteen_decibels_are_crossed() {
    // Over noise falls by 5 dB a third: 15 dB at 50.1 Hz, read between 12.5 dB and 17.5 dB.
    let at = |k: i32, over_noise_db: f64| BandContent {
        hz: 10f64.powf(f64::from(k) / 10.0),
        content: if over_noise_db > 15.0 { Content::Attenuated } else { Content::Gone },
        over_noise_db,
        sd_db: 0.1,
        response_db: over_noise_db - 40.0,
        noise_dbfs: -70.0,
        measured: true,
        with_signal: false,
    };
    let falling: Vec<_> = (14..=20).map(|k| at(k, 12.5 + 5.0 * f64::from(k - 16))).collect();
    let told = border_hz(&falling).expect("a border");
    assert!((told / 10f64.powf(1.65) - 1.0).abs() < 1e-6, "{told}");
    assert_eq!(border_hz(&falling[..2]), None);
    assert_eq!(border_hz(&falling[4..]), Some(falling[4].hz));
}

/// Readings of six bands that fall by `fall_db(volume, level)`.
fn readings(
    steps: &[(f64, f64)],
    sd_db: f64,
    fall_db: impl Fn(f64, f64) -> f64,
) -> Vec<BassReading> {
    let reading = |&(volume_db, level_dbfs): &(f64, f64)| {
        let bands = (15..=20).map(|k| {
            (10f64.powf(f64::from(k) / 10.0), -3.0 - fall_db(volume_db, level_dbfs), sd_db)
        });
        BassReading { volume_db, level_dbfs, bands: bands.collect() }
    };
    steps.iter().map(reading).collect()
}

const LEVELS: [f64; 3] = [-26.0, -16.0, -6.0];

fn grid(volumes: &[f64]) -> Vec<(f64, f64)> {
    volumes.iter().flat_map(|v| LEVELS.map(|level| (*v, level))).collect()
}

#[test]
fn a_change_within_its_scatter_names_no_cause() {
    // 1.5 dB between two steps, each band known to 1.2 dB: χ² = 36·(0.75/1.2)² = 14 with six
    // degrees of freedom, which chance exceeds once in thirty: proof of neither.
    let steps = grid(&[-20.0, 0.0]);
    let weak = readings(&steps, 1.2, |volume, _| if volume < -10.0 { 0.0 } else { 1.5 });
    let told = explain(&weak).dependence;
    assert!(
        matches!(told, Dependence::Undecided | Dependence::VolumeCauseUndecided),
        "{told:?} from scatter"
    );
    // The same known to 0.1 dB and 6 dB large is the volume's.
    let clear = readings(&steps, 0.1, |volume, _| if volume < -10.0 { 0.0 } else { 6.0 });
    assert_eq!(explain(&clear).dependence, Dependence::Volume);
}

#[test]
fn a_limiter_is_named_only_when_levels_of_one_step_show_it() {
    // The bass falls with the level that arrives above −26 dB, but each step was heard at one
    // level only: volume and level cannot be told apart.
    let fall = |volume: f64, level: f64| 0.5 * (volume + level + 26.0).max(0.0);
    let one_each = [(-10.0, -26.0), (-5.0, -16.0), (0.0, -6.0)];
    let told = explain(&readings(&one_each, 0.1, fall)).dependence;
    assert!(!matches!(told, Dependence::Limiter | Dependence::Both), "{told:?} without evidence");
    // With all levels at each step they can.
    let told = explain(&readings(&grid(&[-15.0, -10.0, -5.0, 0.0]), 0.1, fall)).dependence;
    assert_eq!(told, Dependence::Limiter);
}

#[test]
fn one_clipped_step_alone_tells_no_clip_point() {
    // 3 dB over by the law of a hard clip; without a clean step below, a dead zone or a bend may look
    // the same at one level.
    let clip = hard_clip(3.0);
    let dirty = LoudTone {
        volume_db: -8.0,
        thd: clip.low_orders(),
        second: 1e-6,
        third: clip.third.abs(),
        fifth: clip.fifth.abs(),
        floor: 1e-5,
    };
    assert_eq!(highest_clean(&[dirty]), CleanVolume::Below(-8.0));
    let clean = LoudTone { volume_db: -14.0, thd: 1e-5, floor: 1e-5, ..LoudTone::default() };
    let told = highest_clean(&[clean, dirty]);
    // 1 % is reached 0.2513 dB over the limit, which lies 3 dB below the clipped step.
    let CleanVolume::At { volume_db, .. } = told else { panic!("{told:?}") };
    assert!((volume_db - (-11.0 + 0.2513)).abs() < 0.05, "{volume_db}");
}

#[test]
fn a_bend_that_is_no_hard_clip_ends_the_clean_range_between_two_steps() {
    // Second order only: 0.1 % at −10 dB and 3 % at −6 dB, next to no third harmonic.
    let tone = |volume_db: f64, thd: f64| LoudTone {
        volume_db,
        thd,
        second: thd,
        third: 1e-6,
        fifth: 0.0,
        floor: 1e-5,
    };
    let told = highest_clean(&[tone(-14.0, 3e-4), tone(-10.0, 1e-3), tone(-6.0, 0.03)]);
    let CleanVolume::At { volume_db, within_db } = told else { panic!("{told:?}") };
    assert!((-10.0..=-6.0).contains(&volume_db), "{volume_db}");
    assert!((within_db - 4.0).abs() < 1e-9, "known to the step of 4 dB, not to {within_db}");
    // The lowest step is dirty already.
    assert_eq!(highest_clean(&[tone(-6.0, 0.03)]), CleanVolume::Below(-6.0));
    assert_eq!(highest_clean(&[tone(-6.0, 1e-3)]), CleanVolume::AtLeast(-6.0));
    assert_eq!(highest_clean(&[]), CleanVolume::Unknown);
}

#[test]
fn a_track_played_lower_tells_the_same_clean_volume() {
    // The radio clips at −6 dBFS. A track one step of 6 dB lower plays its loud tone at −7 dBFS:
    // it clips 6 dB of volume later, and a tone of −1 dBFS still at the same volume.
    let clip = 10f64.powf(-6.0 / 20.0);
    let told = |lower: u8| {
        let track = Track::new(Form::Short, lower, RATE);
        let frames: Vec<[f64; 2]> = (0..track.samples()).map(|n| track.frame(n)).collect();
        let takes: Vec<TakeReading> = [-8.0, -4.0, 0.0, 4.0]
            .iter()
            .map(|volume| {
                let gain = 10f64.powf(volume / 20.0);
                let side = |c: usize| {
                    frames.iter().map(|f| (gain * f[c]).clamp(-clip, clip)).collect::<Vec<_>>()
                };
                let recorder = Recorder { rate: RATE, noise_dbfs: -95.0, ..Recorder::default() };
                first(&recorder.record(&[side(0), side(1)])[..1], RATE, Purpose::Radio)
            })
            .collect();
        let found = diagnose(&takes, None).expect("a diagnosis");
        let CleanVolume::At { volume_db, .. } = found.clean[0] else { panic!("{:?}", found.clean) };
        volume_db
    };
    for lower in [0, 1] {
        // 1 % of distortion 0.2513 dB over the limit.
        let (told, want) = (told(lower), -6.0 + 1.0 + 0.2513);
        assert!((told - want).abs() < 0.3, "{lower} steps lower: {told}, planted {want}");
    }
}

#[test]
fn what_is_uncertain_is_lifted_no_more_than_what_is_gone() {
    let gone = with_gone(problem(4, 80.0, 31.5));
    let mut uncertain = gone.clone();
    for content in &mut uncertain.contents {
        if content.content == Content::Gone {
            content.content = Content::Uncertain;
        }
    }
    assert_eq!(propose(&uncertain, None), propose(&gone, None));
}

#[test]
fn noise_is_lifted_no_nearer_than_fifteen_decibels() {
    // 12 dB per octave from 80 Hz: 24 dB down at 20 Hz. With noise 24 dB below the flat programme
    // a lift of 9 dB brings it to 15 dB below; without noise the band takes all its 12 dB.
    let lift = |noise_below_db: Option<f64>| {
        let mut problem = problem(2, 80.0, 31.5);
        let given = problem.given.clone();
        let content = |k: i32, below_db: f64| {
            let hz = 10f64.powf(f64::from(k) / 10.0);
            let response_db = given.at(hz).expect("a level");
            BandContent {
                hz,
                content: Content::Attenuated,
                over_noise_db: response_db + below_db,
                sd_db: 0.1,
                response_db,
                noise_dbfs: -70.0,
                measured: true,
                with_signal: false,
            }
        };
        let told = noise_below_db.map(|db| (12..=22).map(|k| content(k, db)).collect());
        problem.contents = told.unwrap_or_default();
        propose(&problem, None).full_lift_db
    };
    assert!(lift(None) > 11.0, "{}", lift(None));
    // Half a decibel: the least squares weigh it against the target.
    assert!(lift(Some(24.0)) < 9.8, "{}", lift(Some(24.0)));
    assert!(lift(Some(21.0)) < 7.0, "{}", lift(Some(21.0)));
}

#[test]
fn a_closed_box_is_protected_gently_at_18_hz_and_a_ported_one_below_its_tuning() {
    // Common practice, no source.
    let sealed = propose(&problem(2, 80.0, 31.5), None).settings;
    assert_eq!((sealed.high_pass_order, sealed.high_pass_hz), (Order::Second, 18.0));
    let ported = Problem { enclosure: Enclosure::Ported(40.0), ..problem(2, 80.0, 31.5) };
    let ported = propose(&ported, None).settings;
    assert_eq!((ported.high_pass_order, ported.high_pass_hz), (Order::Fourth, 32.0));
}

#[test]
fn proposed_figures_are_what_a_hand_can_set() {
    // Tenths of a decibel and of a hertz, hundredths of an octave: finer than whole ones.
    let mut finer = 0;
    for (order, hz) in [(2, 63.0), (2, 80.0), (3, 71.0), (4, 80.0)] {
        let s = propose(&problem(order, hz, 31.5), None).settings;
        for (value, steps) in [
            (s.low_band_gain_db, 10.0),
            (s.low_band_centre_hz, 10.0),
            (s.low_band_width_oct, 100.0f32),
        ] {
            let scaled = value * steps;
            assert!((scaled - scaled.round()).abs() < 1e-3, "{value} is not in 1/{steps}");
            finer += usize::from((value - value.round()).abs() > 1e-3);
        }
    }
    assert!(finer >= 6, "only {finer} of 12 figures are finer than whole numbers");
}

/// A radio that a lift of 9 dB would make flat to 31.5 Hz, whose bands below a frequency are gone
/// in its noise.
fn gone_below(hz: f64, octave: bool) -> Problem {
    let mut problem = problem(2, 50.0, 31.5);
    problem.octave = octave;
    problem.contents = (12..=23)
        .map(|k| {
            let at = 10f64.powf(f64::from(k) / 10.0);
            BandContent {
                hz: at,
                content: if at < hz { Content::Gone } else { Content::Attenuated },
                over_noise_db: if at < hz { 5.0 } else { 60.0 },
                sd_db: 0.1,
                response_db: problem.given.at(at).expect("a level"),
                noise_dbfs: -40.0,
                measured: true,
                with_signal: false,
            }
        })
        .collect();
    problem
}

#[test]
fn what_is_gone_is_not_counted_however_loud_its_noise() {
    // Without the noise all of it is reached; with it nothing below 45 Hz is.
    let free = propose(&problem(2, 50.0, 31.5), None).reach_hz.expect("some band is reached");
    assert!(free < 33.0, "{free} Hz");
    let reach = propose(&gone_below(45.0, false), None).reach_hz.expect("some band is reached");
    assert!(reach > 45.0, "{reach} Hz");
}

#[test]
fn no_octave_part_is_made_of_what_is_gone() {
    // Below 90 Hz all is gone. An octave down it takes 100 Hz and more: nothing below 45 Hz.
    let found = propose(&gone_below(90.0, true), None);
    assert!(found.reach_hz.is_none_or(|hz| hz > 45.0), "{:?} Hz", found.reach_hz);
}

#[test]
fn a_bend_of_second_order_has_the_distortion_of_its_formula() {
    // x + 0.1·x² of a sine of peak a: a second harmonic of 0.1·a/2 re the tone, 4.46 % at −1 dBFS.
    let bent = played(Form::Short, RATE).map(|c| c.iter().map(|x| x + 0.1 * x * x).collect());
    let recorder = Recorder { rate: RATE, gain_db: -9.0, ..Recorder::default() };
    let take = first(&recorder.record(&bent)[..1], RATE, Purpose::Radio);
    let tones = &take.channels[0].tones;
    let loud = tones.iter().find(|t| t.hz == 997.0 && t.played_dbfs > -2.0).expect("a loud tone");
    let want = 0.05 * 10f64.powf(-1.0 / 20.0);
    assert!((loud.thd() / want - 1.0).abs() < 0.02, "{} for {want}", loud.thd());
}
