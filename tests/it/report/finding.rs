//! The sentence that leads a report: what it says of planted readings.

use super::*;

#[test]
fn the_finding_says_what_the_closed_forms_say() {
    // At 31.6 Hz the 4th-order 80 Hz high-pass gives -32.3 dB (Butterworth).
    let said = report::finding(&ordinary()).plain();
    assert!(said.starts_with("At 31.5 Hz the radio gives 32 dB less"), "{said}");
    let mut sheet = ordinary();
    sheet.proofs.push(Proof::new("too much", 2.0, "dB", Limit::AtMost(1.0)));
    sheet.runs[1].readings.before.clipping.digital_runs = 3;
    let said = report::finding(&sheet).plain();
    assert!(said.contains("One limit is missed."), "{said}");
    assert!(said.ends_with("What arrives is clipped already."), "{said}");
    sheet.finding = "My own words.".into();
    assert_eq!(report::finding(&sheet).plain(), "My own words.");
}

/// The finding of [`planted`].
fn found(given: f64, out: f64, asked: f64) -> String {
    report::finding(&planted(given, out, asked)).plain()
}

/// One broad run whose every band stands at `given` and comes out at `out`, dB,
/// where `asked` is asked for.
fn planted(given: f64, out: f64, asked: f64) -> Sheet {
    let pink = |db: f64| {
        crate::sheets::spectrum(move |hz| {
            // What stands from 200 Hz up is what 0 dB is taken from.
            let gain = if hz < 190.0 { db } else { 0.0 };
            10f64.powf(gain / 10.0) * 1e-4 / hz
        })
    };
    let mut run = noise();
    run.readings.before.spectrum = pink(given);
    let strata = run.readings.strata.as_mut().expect("layers");
    (strata.dry, strata.blend, strata.low_band) = (pink(given), pink(given), pink(out));
    run.readings.after.as_mut().expect("an output").spectrum = pink(out);
    let mut sheet = Sheet::new("planted");
    sheet.runs = vec![run];
    sheet.target = Some(Curve::new([(20.0, asked), (180.0, asked)]));
    sheet
}

#[test]
fn what_comes_out_is_short_of_the_target_or_above_it() {
    for (given, out, asked, words) in [
        (-20.0, -6.0, 0.0, "is 6 dB short of the target"),
        (-20.0, 6.0, 0.0, "is 6 dB above the target"),
        (-20.0, -3.0, -10.0, "is 7 dB above the target"),
        (-20.0, 0.1, 0.0, "meets the target"),
    ] {
        let said = found(given, out, asked).replace('\u{2212}', "-");
        assert!(said.contains("the radio gives 20 dB less"), "{said}");
        assert!(said.contains(words), "{said} lacks {words:?}");
    }
    let lifted = found(-20.0, -6.0, 0.0);
    assert!(lifted.contains("low band adds 14 dB"), "{lifted}");
    let lowered = found(3.0, -2.0, 0.0);
    assert!(lowered.contains("gives 3 dB more") && lowered.contains("takes 5 dB"), "{lowered}");
}

#[test]
fn harmonics_over_their_limit_are_said_to_be_over_it() {
    // A third harmonic of 1 % against limits of 0.5 and 2 %.
    for (limit, over) in [(0.005, true), (0.02, false)] {
        let mut sheet = Sheet::new("a tone");
        sheet.runs = vec![tone(60.0, 0.0)];
        let after = sheet.runs[0].readings.after.as_mut().expect("an output");
        after.partials.as_mut().expect("a tone").thd_f = 0.01;
        sheet.harmonics_limit = Some(limit);
        let said = report::finding(&sheet).plain();
        assert!(said.contains("harmonics of 1.0 %"), "{said}");
        assert_eq!(said.contains("over the limit"), over, "{said}");
    }
}

#[test]
fn the_finding_names_the_half_of_a_tone_and_its_level() {
    let mut sheet = Sheet::new("a tone");
    sheet.runs = vec![tone(60.0, 0.0)];
    let said = report::finding(&sheet).plain().replace('\u{2212}', "-");
    assert!(said.contains("the octave part stands at 30.0 Hz, -2.9 dB"), "{said}");
    let after = sheet.runs[0].readings.after.as_mut().expect("an output");
    after.partials.as_mut().expect("a tone").below.clear();
    assert!(report::finding(&sheet).plain().contains("nothing stands below"));
}

#[test]
fn the_change_between_two_files_has_its_sign() {
    for (given, out, words) in [(-20.0, -14.0, "rises by 6 dB"), (0.0, -9.0, "falls by 9 dB")] {
        let pink = |db: f64| {
            crate::sheets::spectrum(move |hz| {
                let gain = if hz < 190.0 { db } else { 0.0 };
                10f64.powf(gain / 10.0) * 1e-4 / hz
            })
        };
        let mut run = noise();
        run.readings.strata = None;
        run.readings.before.spectrum = pink(given);
        run.readings.after.as_mut().expect("an output").spectrum = pink(out);
        let mut sheet = Sheet::new("two files");
        sheet.runs = vec![run];
        let said = report::finding(&sheet).plain();
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn where_it_clips_is_said() {
    let mut sheet = ordinary();
    sheet.runs[1].readings.after.as_mut().expect("an output").clipping.flat_runs = 2;
    assert!(report::finding(&sheet).plain().ends_with("The output clips."));
    assert!(!report::finding(&ordinary()).plain().contains("clip"));
    assert!(report::text(&sheet).contains("2 TIMES"));
}

#[test]
fn off_by_is_what_comes_out_less_what_is_asked() {
    let sheet = planted(-20.0, -6.0, 3.0);
    let text = report::text(&sheet);
    let row = text.lines().find(|line| line.trim_start().starts_with("31.5 ")).expect("a row");
    let cells: Vec<&str> = row.split_whitespace().collect();
    let at = |from_end: usize| -> f64 {
        cells[cells.len() - from_end].parse().unwrap_or_else(|_| panic!("{row}"))
    };
    // ... what comes out, the target, off by, dBFS.
    assert!((at(4) + 6.0).abs() < 0.11 && (at(3) - 3.0).abs() < 0.11, "{row}");
    assert!((at(2) + 9.0).abs() < 0.11, "{row}");
}
