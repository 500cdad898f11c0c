//! The track itself: its plan, its peaks, its markers.

use underpin::signal::track::comb::{Owner, lines, period};
use underpin::signal::track::layout::{Content, Form, LADDER_HZ};
use underpin::signal::track::marker::Marker;
use underpin::signal::track::{Label, Track};

fn peak_db(wave: &[f64]) -> f64 {
    20.0 * wave.iter().fold(0f64, |p, x| p.max(x.abs())).log10()
}

#[test]
fn the_comb_peaks_where_it_says_at_every_rate() {
    for rate in [12_000, 44_100, 48_000, 96_000] {
        let peaks = [0, 1].map(|c| peak_db(&period(c, 2 * rate)));
        // 0.05 dB: a coarse grid misses the very top between its samples.
        assert!(peaks.iter().all(|p| *p <= 0.001 && *p > -1.0), "{peaks:?} at {rate} Hz");
        assert!(peaks.iter().any(|p| *p > -0.15), "{peaks:?} at {rate} Hz");
    }
}

#[test]
fn the_comb_is_dense_in_level() {
    // A sine has 3.01 dB of peak over r.m.s., random phases 10 to 12 (this comb: 6.7).
    for channel in [0, 1] {
        let wave = period(channel, 96_000);
        let rms = (wave.iter().map(|x| x * x).sum::<f64>() / wave.len() as f64).sqrt();
        let crest = peak_db(&wave) - 20.0 * rms.log10();
        assert!(crest < 6.8, "channel {channel}: crest {crest} dB");
    }
}

#[test]
fn the_comb_turns_over_after_one_second() {
    let wave = period(0, 24_000);
    for n in 0..12_000 {
        assert!((wave[n] + wave[n + 12_000]).abs() < 1e-9, "sample {n}");
    }
}

#[test]
fn no_line_lies_on_a_mains_harmonic_and_one_in_eight_is_free() {
    let lines = lines();
    assert_eq!(lines.len(), 187);
    assert!(lines.iter().all(|l| (l.hz - l.hz.floor() - 0.5).abs() < 1e-12));
    let free = lines.iter().filter(|l| l.owner == Owner::Nobody).count();
    assert_eq!(free, 23);
    for owner in [Owner::Left, Owner::Right] {
        let own = |l: &&underpin::signal::track::comb::CombLine| {
            l.owner == owner || l.owner == Owner::Both
        };
        let below = lines.iter().filter(own).filter(|l| l.hz < 14.2).count();
        assert!(below >= 2, "the 12.5-Hz band must be sure in each channel");
    }
}

#[test]
fn every_comb_has_an_even_number_of_blocks() {
    for form in [Form::Short, Form::Long] {
        for section in form.sections() {
            if let Content::Comb { .. } = section.content {
                assert!(section.blocks() >= 4 && section.blocks() % 2 == 0);
            }
            let tenths = section.start_s * 10.0;
            assert!((tenths - tenths.round()).abs() < 1e-9, "{section:?}");
        }
    }
}

#[test]
fn the_short_form_lasts_less_than_a_minute() {
    assert!(Form::Short.seconds() <= 60.0);
    assert!(Form::Long.seconds() <= 180.0);
    assert!(LADDER_HZ.windows(2).all(|w| w[0] < w[1]));
}

#[test]
fn labels_survive_their_markers() {
    for form in [Form::Short, Form::Long] {
        for level in 0..4 {
            for rate in [44_100.0, 48_000.0, 96_000.0, 12_345.0] {
                let label = Label::new(form, level, rate);
                for end in [false, true] {
                    assert_eq!(Label::read(label.marker(end)), (label, end));
                }
            }
        }
    }
}

#[test]
fn a_single_wrong_gap_breaks_the_check() {
    let marker = Marker { what: 3, which: 17 };
    let numbers = [3, 17, (2 * 3 + 3 * 17 + 11) % 31];
    assert_eq!(Marker::decode(numbers), Some(marker));
    for place in 0..3 {
        for wrong in (0..31).filter(|w| *w != numbers[place]) {
            let mut broken = numbers;
            broken[place] = wrong;
            assert_eq!(Marker::decode(broken), None, "{broken:?}");
        }
    }
}

#[test]
fn the_track_never_leaves_full_scale() {
    let track = Track::new(Form::Short, 0, 12_000.0);
    let peak = (0..track.samples()).flat_map(|n| track.frame(n)).fold(0f64, |p, x| p.max(x.abs()));
    assert!(peak <= 1.0, "{peak}");
    let quiet = Track::new(Form::Short, 2, 12_000.0);
    // Two steps of 6 dB; samples are rounded to 2⁻²⁸.
    let ratio = quiet.frame(400_000)[0] / track.frame(400_000)[0];
    assert!((20.0 * ratio.log10() + 12.0).abs() < 1e-5);
}
