//! What must not be said: hum, wandering clocks, one noisy band, one take and flat radios through the
//! whole chain, and the same answer in headline, table, strip, plan and tuning.

use std::convert::Infallible;

use underpin::curve::Curve;
use underpin::planning::content::{BandContent, Content, border_hz};
use underpin::planning::diagnose::{Diagnosis, diagnose};
use underpin::planning::need::{Need, Place};
use underpin::planning::problem::Problem;
use underpin::planning::rehearse::Rehearsal;
use underpin::planning::take_reading::Purpose;
use underpin::planning::tune::{propose, tune};
use underpin::plot::responses::Verdict;
use underpin::presets::Preset;
use underpin::report::{self, Plan, Sheet};
use underpin::signal::track::layout::Form;

use crate::filters::Cascade;
use crate::random::Random;
use crate::reading::{band_error, first, through};
use crate::room::{Recorder, Stereo, delayed, played};
use crate::table::long;

const RATE: f64 = 12_000.0;

fn sheet_of(found: &Diagnosis) -> Sheet {
    let mut sheet = Sheet::new("planted");
    report::diagnosis(&mut sheet, found);
    sheet
}

fn one_take(sound: &Stereo, recorder: &Recorder) -> Diagnosis {
    let take = first(&recorder.record(sound)[..1], RATE, Purpose::Radio);
    diagnose(&[take], None).expect("a diagnosis")
}

#[test]
fn hum_is_named_and_takes_nothing() {
    let radio = Cascade::high_pass(2, 40.0, RATE);
    let sound = through(played(Form::Short, RATE), &radio);
    for (hz, dbfs) in [(50.07, -45.0), (59.93, -40.0)] {
        let recorder =
            Recorder { rate: RATE, gain_db: -9.0, hum: Some((hz, dbfs)), ..Recorder::default() };
        let found = one_take(&sound, &recorder);
        let channel = &found.channels[0];
        for band in channel.bands.iter().filter(|b| (12.0..200.0).contains(&b.hz)) {
            let error = band_error(band, &radio, RATE).abs();
            assert!(error < band.half_95_db.max(0.1), "{:.0} Hz: {error} dB", band.hz);
        }
        assert!(channel.contents.iter().all(|c| c.content.is_there()), "{:?}", channel.contents);
        let words = report::text(&sheet_of(&found));
        assert!(words.contains(&format!("mains hum at {hz:.1} Hz")), "{words}");
        let told = found.takes[0].hum[0];
        assert!((told.hz - hz).abs() < 0.1 && (told.dbfs - dbfs).abs() < 0.5, "{told:?}");
    }
}

/// The signal read on a clock that wanders by so many ppm, a slow sine of 30 s.
fn wandering(signal: &[f64], ppm: f64) -> Vec<f64> {
    let turn = std::f64::consts::TAU / 30.0;
    let late = |n: usize| ppm * 1e-6 / turn * (1.0 - (turn * n as f64 / RATE).cos()) * RATE;
    // A late of less than 0.15 ms changes over thousands of samples: read it by the nearest 500.
    let pieces = signal.len().div_ceil(500);
    (0..pieces)
        .flat_map(|p| {
            let (from, to) = (500 * p, (500 * (p + 1)).min(signal.len()));
            let low = from.saturating_sub(64);
            let high = (to + 64).min(signal.len());
            let piece = delayed(&signal[low..high], late(from + 250));
            piece[from - low..to - low].to_vec()
        })
        .collect()
}

#[test]
fn a_clock_that_wanders_is_no_scatter() {
    let radio = Cascade::high_pass(4, 80.0, RATE);
    let sound = through(played(Form::Short, RATE), &radio).map(|c| wandering(&c, 15.0));
    let found = one_take(&sound, &Recorder { rate: RATE, ..Recorder::default() });
    for band in found.channels[0].bands.iter().filter(|b| (19.0..200.0).contains(&b.hz)) {
        assert!(band.is_shown(), "{band:?}");
        let error = band_error(band, &radio, RATE).abs();
        assert!(error < (2.0 * band.half_95_db).max(0.1), "{:.0} Hz: {error} dB", band.hz);
    }
}

#[test]
fn one_noisy_band_is_not_a_border() {
    let band = |k: i32| {
        let over = if k == 20 { 5.0 } else { 4.0 * f64::from(k - 13) };
        BandContent {
            hz: 10f64.powf(f64::from(k) / 10.0),
            content: if over > 15.0 { Content::Attenuated } else { Content::Gone },
            over_noise_db: over,
            sd_db: 0.5,
            response_db: -3.0,
            noise_dbfs: -70.0,
            measured: true,
            with_signal: false,
        }
    };
    let contents: Vec<BandContent> = (11..=24).map(band).collect();
    // 15 dB are crossed 15/4 bands above band 13.
    let told = border_hz(&contents).expect("a border");
    assert!((told.log10() - (1.3 + 0.375)).abs() < 0.02, "{told}");
    let apart = Need::apart(&contents, Some(told));
    assert_eq!(apart.len(), 1, "{apart:?}");
}

/// Bands from 12.5 to 250 Hz, all there but some.
fn bands_but(taken: &[(i32, Content)]) -> Vec<BandContent> {
    let band = |k: i32| {
        let content = taken.iter().find(|t| t.0 == k).map_or(Content::Attenuated, |t| t.1);
        let over_noise_db = if content.is_there() { 40.0 } else { 5.0 };
        BandContent {
            hz: 10f64.powf(f64::from(k) / 10.0),
            content,
            over_noise_db,
            sd_db: 0.5,
            response_db: -3.0,
            noise_dbfs: -70.0,
            measured: true,
            with_signal: false,
        }
    };
    (11..=24).map(band).collect()
}

#[test]
fn single_bands_in_noise_are_the_need_when_all_else_is_there() {
    // Bands 17 and 18 are called 50 and 63 Hz (IEC 61260-1, base 10: 10^1.7, 10^1.8).
    for (what, is_new) in [(Content::Gone, true), (Content::Uncertain, false)] {
        let contents = bands_but(&[(17, what), (18, what)]);
        let border = border_hz(&contents);
        assert!(border.is_some_and(|hz| hz < 13.0), "{border:?}");
        let (Need::New(Place::At(told)) | Need::Open(Place::At(told))) =
            Need::new(&contents, border, Some(20.0))
        else {
            panic!("{:?}", Need::new(&contents, border, Some(20.0)));
        };
        let wanted = [1.7, 1.8].map(|lg| 10f64.powf(lg));
        assert!(told.iter().zip(wanted).all(|(a, b)| (a / b - 1.0).abs() < 1e-9), "{told:?}");
        assert_eq!(matches!(Need::new(&contents, border, None), Need::New(_)), is_new);
    }
}

#[test]
fn nothing_new_is_made_where_lift_is_enough() {
    // 24 dB per octave from 80 Hz: one band reaches 54 Hz alone, so an octave part would be made.
    let steep = crate::propose::problem(4, 80.0, 31.5);
    let asked = |contents| Problem { octave: true, contents, ..steep.clone() };
    let makes_new = |problem: &Problem| propose(problem, None).settings.octave_level_db > -60.0;
    assert!(!makes_new(&asked(bands_but(&[]))));
    let beyond: Vec<(i32, Content)> = (13..=17).map(|k| (k, Content::Beyond)).collect();
    assert!(makes_new(&asked(bands_but(&beyond))));
}

#[test]
fn one_take_speaks_of_no_other_step() {
    let radio = Cascade::high_pass(3, 60.0, RATE);
    let sound = through(played(Form::Short, RATE), &radio);
    let found = one_take(&sound, &Recorder { rate: RATE, ..Recorder::default() });
    let sheet = sheet_of(&found);
    let words = report::text(&sheet);
    for unwanted in ["stays the same at every step", "no limiter", "the same at every step"] {
        assert!(!words.contains(unwanted), "{unwanted}");
    }
    assert!(sheet.finding.plain().contains("recorder included"), "{}", sheet.finding.plain());
    assert!(sheet.unknown.iter().any(|u| u.contains("--loop-back")));
    for what in ["Volume steps", "Level"] {
        let point = sheet.findings.iter().find(|f| f.what == what).expect("a point");
        assert!(!point.sure, "{point:?}");
    }
}

#[test]
fn a_flat_radio_needs_nothing() {
    let found =
        one_take(&played(Form::Short, RATE), &Recorder { rate: RATE, ..Recorder::default() });
    assert!(sheet_of(&found).finding.plain().contains("Nothing is needed"));
    let channel = &found.channels[0];
    let given = Curve::new(channel.curve.iter().copied());
    let problem = Problem::new(given, channel.contents.clone());
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(&problem, |s| Ok::<_, Infallible>(rehearsal.levels_db(s)));
    assert!(tuned.is_nothing(), "{:?}", tuned.proposal.settings);
}

#[test]
fn a_delay_of_25_ms_is_a_delay() {
    let sound = played(Form::Short, RATE);
    for ms in [12.0, 25.0] {
        let late = [sound[0].clone(), delayed(&sound[1], ms * RATE / 1000.0)];
        let capture = Recorder { rate: RATE, ..Recorder::default() }.record(&late);
        let take = first(&capture, RATE, Purpose::Radio);
        let relation = &take.relations[0].1;
        assert!((relation.delay_ms.expect("a delay") - ms).abs() < 0.02, "{relation:?}");
        assert_eq!(relation.inverted, Some(false));
    }
}

/// A radio drawn at random: high-passes, shelves, bells, noise.
fn draw(random: &mut Random) -> (Cascade, f64) {
    let mut filter = Cascade::default();
    if random.unit() < 0.8 {
        filter = filter.then(Cascade::high_pass(
            1 + random.next() as usize % 8,
            random.hz(15.0, 150.0),
            RATE,
        ));
    }
    if random.unit() < 0.3 {
        filter = filter.then(Cascade::low_shelf(
            random.between(-10.0, 6.0),
            random.hz(40.0, 200.0),
            RATE,
        ));
    }
    if random.unit() < 0.3 {
        let bell = Cascade::bell(
            random.between(-8.0, 8.0),
            random.between(0.4, 2.0),
            random.hz(30.0, 200.0),
            RATE,
        );
        filter = filter.then(bell);
    }
    (filter, random.between(-95.0, -45.0))
}

/// Headline, table, strip and plan of one diagnosis say the same.
fn agree(found: &Diagnosis) {
    let sheet = sheet_of(found);
    let headline = sheet.finding.plain();
    let channel = &found.channels[0];
    let need = Need::new(&channel.contents, channel.border_hz, channel.reach_hz);
    let says = |words: &str| headline.contains(words);
    assert_eq!(says("content is gone"), matches!(need, Need::New(_)), "{headline}");
    assert_eq!(says("Nothing is needed"), need == Need::Nothing, "{headline}");
    assert_eq!(says("is enough"), need == Need::Lift, "{headline}");
    assert_eq!(says("noise hides"), matches!(need, Need::Open(_)), "{headline}");
    let strip = sheet.responses.as_ref().expect("a picture");
    for content in &channel.contents {
        let stretch = strip.verdicts.iter().find(|s| (s.from_hz..s.to_hz).contains(&content.hz));
        let wanted = match content.content {
            Content::Stands => Verdict::Stands,
            Content::Attenuated => Verdict::Lift,
            Content::Beyond => Verdict::Beyond,
            Content::Gone => Verdict::MakeNew,
            Content::Uncertain => Verdict::Open,
        };
        assert_eq!(stretch.expect("a stretch").verdict, wanted, "{:.0} Hz", content.hz);
    }
    let point = &sheet.findings[1];
    assert_eq!(point.sure, !matches!(need, Need::Open(_) | Need::NothingClear), "{point:?}");
    if let (Some(fall), Some(told)) = (channel.roll_off.fall_hz[0], sheet.findings[0].value) {
        assert_eq!(fall.value, told);
        assert!(says(&format!("3 dB down at {told:.0} Hz")), "{headline}");
    }
}

#[test]
fn headline_table_strip_and_plan_never_contradict() {
    let count = if long() { 500 } else { 12 };
    let mut random = Random::new(71);
    for seed in 0..count {
        let (filter, noise_dbfs) = draw(&mut random);
        let sound = through(played(Form::Short, RATE), &filter);
        let recorder =
            Recorder { rate: RATE, gain_db: -9.0, noise_dbfs, seed, ..Recorder::default() };
        let take = first(&recorder.record(&sound)[..1], RATE, Purpose::Radio);
        // Every other one with a quiet loop-back: then the noise is the radio's.
        let quiet = Recorder { rate: RATE, gain_db: -9.0, seed, ..Recorder::default() };
        let alone = first(&quiet.record(&played(Form::Short, RATE))[..1], RATE, Purpose::Radio);
        let found = diagnose(&[take], (seed % 2 == 1).then_some(&alone)).expect("a diagnosis");
        agree(&found);
        if seed % 4 == 0 {
            tuned_as_told(&found);
        }
    }
}

/// The plan repeats the headline, and the proposal does what the need says.
fn tuned_as_told(found: &Diagnosis) {
    let channel = &found.channels[0];
    let given = Curve::new(channel.curve.iter().copied());
    let problem = Problem::new(given, channel.contents.clone());
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(&problem, |s| Ok::<_, Infallible>(rehearsal.levels_db(s)));
    let plan = Plan::new(found, &tuned, &Preset::new("Tuned", "", tuned.proposal.settings));
    assert_eq!(plan.finding, sheet_of(found).finding);
    let need = Need::new(&channel.contents, channel.border_hz, channel.reach_hz);
    if need == Need::Nothing {
        assert!(tuned.is_nothing(), "{:?}", tuned.proposal.settings);
    }
    let s = &tuned.proposal.settings;
    assert!(s.octave_level_db <= -60.0 || s.low_band_gain_db >= -6.0);
}
