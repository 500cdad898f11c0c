//! The colours hold the contrasts of WCAG 2; the typeface is as wide as its file says.

use underpin::plot::{Cause, Colour, Ink, Palette, Role};

const PALETTES: [Palette; 3] = [Palette::Day, Palette::Night, Palette::HighContrast];

/// Relative luminance by WCAG 2.2 (W3C Recommendation, "relative luminance").
fn luminance(colour: Colour) -> f64 {
    let linear = |byte: u8| match f64::from(byte) / 255.0 {
        c if c <= 0.04045 => c / 12.92,
        c => ((c + 0.055) / 1.055).powf(2.4),
    };
    let [red, green, blue] = colour.0.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio by WCAG 2.2.
fn contrast(a: Colour, b: Colour) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[track_caller]
fn stands_out(ink: Ink, ground: Ink, at_least: f64) {
    for palette in PALETTES {
        let ratio = contrast(palette.of(ink), palette.of(ground));
        assert!(ratio >= at_least, "{ink:?} on {ground:?} by {palette:?}: {ratio:.2}");
    }
}

#[test]
fn the_ratio_of_black_and_white_is_21() {
    let ratio = contrast(Colour([0; 3]), Colour([255; 3]));
    assert!((ratio - 21.0).abs() < 1e-9);
}

#[test]
fn all_text_reads_at_4_5_to_1() {
    // WCAG 2.2, success criterion 1.4.3 (AA).
    for ink in [Ink::Text, Ink::Second, Ink::Given, Ink::Octave, Ink::Low, Ink::Fault] {
        for ground in [Ink::Sheet, Ink::Ground, Ink::Lit] {
            stands_out(ink, ground, 4.5);
        }
    }
    for (ink, wash) in [
        (Ink::Octave, Ink::OctaveWash),
        (Ink::Low, Ink::LowWash),
        (Ink::Given, Ink::GivenWash),
        (Ink::Second, Ink::GivenWash),
        (Ink::Sheet, Ink::Fault),
    ] {
        stands_out(ink, wash, 4.5);
    }
}

#[test]
fn hatches_stand_out_from_their_wash_at_3_to_1() {
    // WCAG 2.2, success criterion 1.4.11: what is needed to understand a picture.
    stands_out(Ink::OctaveHatch, Ink::OctaveWash, 3.0);
    stands_out(Ink::LowHatch, Ink::LowWash, 3.0);
}

#[test]
fn what_carries_meaning_stands_out_at_3_to_1() {
    // WCAG 2.2, success criterion 1.4.11. A cause's line crosses every wash; the dots of what is
    // not known yet and the rules between parts have the same ink.
    let washes = [Ink::GivenWash, Ink::OctaveWash, Ink::LowWash];
    for cause in Cause::ALL {
        for ground in [Ink::Sheet, Ink::Ground, Ink::Lit].into_iter().chain(washes) {
            stands_out(cause.stroke().ink, ground, 3.0);
        }
    }
    for ground in [Ink::Sheet, Ink::Ground] {
        stands_out(Ink::Rule, ground, 3.0);
    }
    stands_out(Ink::Fault, Ink::FaultWash, 3.0);
}

#[test]
fn a_grid_is_seen_and_steps_back() {
    // It carries no meaning, so no criterion asks for a contrast. That it is seen from 1.25 to 1
    // on, and in the way from 2 to 1 on, is common practice, no source.
    for ground in [Ink::Sheet, Ink::Ground] {
        stands_out(Ink::Grid, ground, 1.25);
        for palette in PALETTES {
            assert!(contrast(palette.of(Ink::Grid), palette.of(ground)) < 2.0);
        }
    }
}

#[test]
fn no_two_causes_differ_by_colour_alone() {
    for a in Cause::ALL {
        for b in Cause::ALL.into_iter().filter(|b| *b != a) {
            let shape = |cause: Cause| {
                let stroke = cause.stroke();
                (stroke.dash, stroke.width.to_bits(), cause.fill().map(|fill| format!("{fill:?}")))
            };
            assert!(shape(a) != shape(b), "{a:?} and {b:?} look the same in grey");
        }
    }
}

#[test]
fn no_ink_stands_for_another() {
    let inks: Vec<Ink> = Ink::all().collect();
    let keys: std::collections::HashSet<&str> = inks.iter().map(|ink| ink.key()).collect();
    assert_eq!(keys.len(), inks.len());
    // As written in the table of the visual language, read back by hand.
    assert_eq!(Palette::Day.of(Ink::Octave).hex(), "#844c00");
    assert_eq!(Palette::Night.of(Ink::LowWash).hex(), "#1c435a");
    assert_eq!(Palette::HighContrast.of(Ink::Fault).hex(), "#ff9dbb");
}

/// Advances read from the font files by an independent reader.
#[test]
fn words_are_as_wide_as_the_font_file_says() {
    let fonts = [
        (Role::Cell, include_bytes!("../../assets/fonts/UnderpinSans-Medium.ttf").as_slice()),
        (Role::Label, include_bytes!("../../assets/fonts/UnderpinSans-SemiBold.ttf").as_slice()),
    ];
    for (role, bytes) in fonts {
        let face = ttf_parser::Face::parse(bytes, 0).expect("the font file");
        let units = f64::from(face.units_per_em());
        let known = (' '..='~').chain("\u{2212}\u{b1}\u{b7}\u{b0}\u{2265}\u{2264}".chars());
        for character in known {
            let glyph = face.glyph_index(character).expect("the font has it");
            let advance = f64::from(face.glyph_hor_advance(glyph).expect("an advance"));
            let wanted = advance / units * role.size();
            let found = role.width(&character.to_string());
            // Half a thousandth of the size: the table holds whole thousandths; the two weights
            // share the advances of the six signs, which differ by up to 7 thousandths.
            let tolerance = if character.is_ascii() { 0.0006 } else { 0.0075 } * role.size();
            assert!((found - wanted).abs() < tolerance, "{character:?}: {found}, not {wanted}");
        }
    }
}

/// The figures of a table stand under each other only when all are equally wide.
#[test]
fn all_figures_are_equally_wide() {
    for role in Role::ALL {
        let one = role.width("1");
        assert!(('0'..='9').all(|figure| role.width(&figure.to_string()) == one));
    }
}
