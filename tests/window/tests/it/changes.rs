//! A setting that changes: what is read is of one setting, or says that it is not; the wave of a
//! tone follows within a few of its periods.

use egui::vec2;
use std::f64::consts::TAU;
use underpin::editor::measuring::live::Live;
use underpin::editor::measuring::rolling::Rolling;
use underpin::editor::model::averaging::Span;
use underpin::editor::model::now::Now;
use underpin::editor::model::state::View;
use underpin::link;
use underpin::link::Run;
use underpin::link::bench::Measured;
use underpin::measure::Ask;
use underpin::path::{Listen, Tap};
use underpin::plot::Palette;
use window_tests::{Stage, now, pink, stage, tone, words};

const RATE_HZ: f64 = 48_000.0;

/// Remembers the first channel after the line.
#[derive(Default)]
struct Out(Vec<f64>);

impl Listen for Out {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        if tap == Tap::After {
            self.0.extend(channels[0]);
        }
    }
}

/// Sends so many frames of one value through the wires.
fn send(taps: &mut link::Taps, frames: usize, value: f64) {
    taps.watched(true);
    let block = vec![value; frames];
    for tap in [Tap::Before, Tap::After] {
        taps.hear(tap, &[&block, &block]);
    }
}

#[test]
fn the_window_hears_at_which_sample_a_setting_changes() {
    let (mut taps, mut wires) = link::connect();
    taps.start(RATE_HZ, 2);
    assert!(wires.receiver.fresh().is_some());
    // A change before anything is heard is none.
    taps.changed();
    send(&mut taps, 40, 0.1);
    taps.changed();
    send(&mut taps, 30, 0.2);
    send(&mut taps, 20, 0.2);
    taps.changed();
    taps.changed();
    send(&mut taps, 10, 0.3);
    for (frames, value, is_changed) in [(40, 0.1, true), (50, 0.2, true), (10, 0.3, false)] {
        let mut out = Out::default();
        assert_eq!(wires.receiver.drain(&mut out), frames);
        assert_eq!(out.0, vec![value; frames]);
        assert_eq!(wires.receiver.is_changed(), is_changed);
    }
    // A new run begins with whatever is set in it.
    taps.changed();
    taps.start(RATE_HZ, 2);
    send(&mut taps, 5, 0.4);
    assert!(wires.receiver.fresh().is_some());
    assert_eq!(wires.receiver.drain(&mut Out::default()), 5);
    assert!(!wires.receiver.is_changed());
}

/// Lets a meter hear seconds of a tone of 1 kHz.
fn sound(rolling: &mut Rolling, seconds: f64, peak: f64) {
    let wave: Vec<f64> = (0..800).map(|n| peak * (TAU * n as f64 / 8.0).sin()).collect();
    for _ in 0..(10.0 * seconds).round() as usize {
        rolling.hear(Tap::Before, &[&wave]);
        rolling.hear(Tap::After, &[&wave]);
        rolling.pass(wave.len());
    }
}

/// Level after the line and length of what is read.
fn read(rolling: &mut Rolling) -> (f64, f64) {
    let readings = rolling.reading().expect("a reading");
    (readings.after.expect("both ends").level.rms_dbfs, readings.seconds)
}

#[test]
fn an_average_is_of_one_setting_or_says_that_it_is_not() {
    let run = Run { sample_rate_hz: 8000.0, channels: 1, measured: Measured::Line };
    for span in [Span::Whole, Span::TenSeconds] {
        let mut rolling = Rolling::new(run, Ask { skip_s: 0.5, ..Ask::default() }, span);
        sound(&mut rolling, 20.0, 0.5);
        rolling.change();
        sound(&mut rolling, 0.8, 0.005);
        // AES17: a sine of peak 0.005 is 20·log10(0.005) = -46.02 dBFS; a hundredth of the time at
        // 0.5 would lift it by 20 dB.
        let (dbfs, seconds) = read(&mut rolling);
        assert!((dbfs + 46.02).abs() < 0.01, "{dbfs} dBFS");
        assert!((seconds - 0.3).abs() < 1e-9, "{seconds} s are left after half a second");
        assert!(!rolling.is_mixed());
        // Too soon after the last one: it is said, and followed when a second is over.
        rolling.change();
        assert!(rolling.is_mixed());
        sound(&mut rolling, 0.1, 0.05);
        assert!(rolling.is_mixed());
        sound(&mut rolling, 0.9, 0.05);
        assert!(!rolling.is_mixed());
        let (dbfs, _) = read(&mut rolling);
        assert!((dbfs + 26.02).abs() < 0.01, "{dbfs} dBFS");
    }
}

#[test]
fn a_setting_that_keeps_moving_is_shown_and_said() {
    let run = Run { sample_rate_hz: 8000.0, channels: 1, measured: Measured::Line };
    let mut rolling = Rolling::new(run, Ask { skip_s: 0.5, ..Ask::default() }, Span::Whole);
    let mut shown = 0;
    for _ in 0..50 {
        sound(&mut rolling, 0.1, 0.5);
        if rolling.reading().is_some_and(|readings| readings.seconds > 0.2) {
            shown += 1;
            assert!(rolling.is_mixed(), "mixed and not said");
        }
        rolling.change();
    }
    assert!(shown >= 8, "shown {shown} times in five seconds");
}

/// What is heard of a tone of 60 Hz with a half, whose level before the line stays, and which comes
/// out with one gain and, for so many seconds, with another.
fn turned(seconds: f64) -> Now {
    let mut live = Live::new(RATE_HZ);
    let total = ((1.0 + seconds) * RATE_HZ) as usize;
    let mut heard = 0;
    while heard < total {
        let end = (heard + 480).min(total);
        let turn = RATE_HZ as usize;
        let end = if heard < turn { end.min(turn) } else { end };
        if heard == turn {
            live.change();
        }
        let gain = if heard < turn { 0.1 } else { 0.4 };
        let at = |gain: f64, hz: f64| -> Vec<f64> {
            (heard..end).map(|n| gain * (TAU * hz * n as f64 / RATE_HZ).sin()).collect()
        };
        let (dry, half, out) = (at(0.3, 60.0), at(0.1, 30.0), at(gain, 30.0));
        for (tap, wave) in
            [(Tap::Before, &dry), (Tap::Dry, &dry), (Tap::Octave, &half), (Tap::After, &out)]
        {
            live.hear(tap, &[wave, wave]);
        }
        heard = end;
    }
    live.now(Some(60.0))
}

#[test]
fn the_wave_of_a_tone_is_new_a_few_periods_after_a_change() {
    // Two periods of 30 Hz are shown, and one and a half lie beside them: 117 ms.
    for (seconds, is_moving) in [(0.05, true), (0.115, true), (0.118, false), (0.29, false)] {
        let now = turned(seconds);
        assert_eq!(now.is_moving, is_moving, "{seconds} s after the change");
        let scope = now.scope.expect("a wave standing still");
        assert!((scope.span_s - 4.0 / 60.0).abs() < 1e-9, "{} s are shown", scope.span_s);
        if !is_moving {
            // A sine of 0.4, and nothing of that of 0.1: each point is within the cubic's error.
            for (i, out) in scope.out.iter().enumerate() {
                let turns = 2.0 * i as f64 / scope.out.len() as f64;
                assert!((out - 0.4 * (TAU * turns).sin()).abs() < 2e-3, "point {i}: {out}");
            }
        }
    }
}

#[test]
fn what_was_measured_before_a_change_says_so() {
    let said = |shown: Stage| {
        let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
        window.run();
        let seen = words(&window.output().shapes);
        let known = [
            "measured before the change",
            "settings changed meanwhile",
            "a setting changed in this stretch",
        ];
        seen.into_iter().map(|word| word.text).find(|text| known.contains(&text.as_str()))
    };
    let quiet = || Stage::new(pink(5.0), Palette::Day);
    assert_eq!(said(quiet()), None);
    let mut moved = quiet();
    moved.settings.output_gain_db += 3.0;
    assert_eq!(said(moved).as_deref(), Some("measured before the change"));
    let mixed = Stage { is_mixed: true, ..quiet() };
    assert_eq!(said(mixed).as_deref(), Some("settings changed meanwhile"));
    let mut wave = Stage::new(tone(60.0, 0.5), Palette::Day);
    wave.state.view = View::Scope;
    // The wave is of now, whatever the averages are of.
    wave.settings.output_gain_db += 3.0;
    let scope = wave.sheet.runs[0].readings.scope.clone();
    wave.now = Some(Now { is_moving: true, scope, ..now() });
    assert_eq!(said(wave).as_deref(), Some("a setting changed in this stretch"));
    // Without a wave of now the one of the averages is shown, and told as what it is.
    let mut ended = Stage::new(tone(60.0, 0.5), Palette::Day);
    ended.state.view = View::Scope;
    ended.settings.output_gain_db += 3.0;
    ended.now = Some(now());
    assert_eq!(said(ended).as_deref(), Some("measured before the change"));
}
