//! The report as text, JSON, HTML and SVG: well formed, self-contained, escaped, and in our words.

mod finding;

use crate::sheets::{absurd, noise, ordinary, tone, words_only};
use underpin::curve::Curve;
use underpin::plot::{Mark, Palette, Scene};
use underpin::report::{self, Input, Limit, Proof, Sheet, Table};

/// Every kind of sheet.
fn sheets() -> Vec<Sheet> {
    let mut sheets = absurd();
    sheets.extend([ordinary(), words_only(), Sheet::default(), Sheet::new("nothing yet")]);
    let mut tone_only = ordinary();
    tone_only.runs = vec![tone(60.0, 34.0)];
    sheets.push(tone_only);
    sheets
}

/// The page without its embedded fonts.
fn without_fonts(page: &str) -> String {
    let mut parts = page.split("data:font/woff2;base64,");
    let mut out = parts.next().unwrap_or_default().to_string();
    for part in parts {
        let (_, rest) = part.split_once(')').expect("the end of a font");
        out.push_str(rest);
    }
    out
}

/// The words a reader sees: the page without style sheet and tags.
fn words(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").expect("a style sheet");
    let (_, body) = rest.split_once("</style>").expect("its end");
    let mut out = String::new();
    let mut inside = false;
    for c in head.chars().chain(body.chars()) {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push(' ');
            }
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

#[test]
fn every_svg_in_the_page_is_well_formed() {
    for sheet in sheets() {
        let page = report::html(&sheet);
        let mut count = 0;
        for part in page.split("<svg").skip(1) {
            let (svg, _) = part.split_once("</svg>").expect("the end of a picture");
            let svg = format!("<svg{svg}</svg>");
            roxmltree::Document::parse(&svg).unwrap_or_else(|error| panic!("{error}: {svg}"));
            count += 1;
        }
        assert!(count >= 1, "the textures are always there");
    }
}

#[test]
fn a_picture_alone_is_an_svg_file() {
    let mut scene = Scene::new(100.0, 50.0, "a \"quoted\" & <picture>");
    scene.text(
        (1.0, 2.0),
        underpin::plot::Anchor::Start,
        underpin::plot::Role::Note,
        underpin::plot::Ink::Text,
        "5 < 6 & \u{1}7",
    );
    let svg = report::svg(&scene, Palette::Night);
    let document = roxmltree::Document::parse(&svg).expect("well formed");
    let root = document.root_element();
    assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"));
    let text =
        root.descendants().find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")));
    assert_eq!(text.and_then(|node| node.text()), Some("5 < 6 & 7"));
}

#[test]
fn the_page_needs_nothing_from_outside() {
    for sheet in sheets() {
        let page = without_fonts(&report::html(&sheet));
        for outside in
            ["http:", "https:", "//", "src=", "href=", "<script", "<link", "@import", "<iframe"]
        {
            assert!(!page.contains(outside), "the page holds {outside}");
        }
        for part in page.split("url(").skip(1) {
            // Fonts were taken out before; what is left are textures in the page itself.
            assert!(part.starts_with('#') || part.starts_with("format("), "url({}", &part[..20]);
        }
        for texture in ["slanted", "upright", "dots", "light"] {
            assert!(page.contains(&format!("id=\"{texture}\"")), "{texture} is not defined");
        }
    }
}

#[test]
fn text_from_outside_stays_text() {
    let evil = "<script>alert('x')</script>&\"\u{1b}[31m\nForged  kept";
    let mut sheet = ordinary();
    sheet.subject = evil.into();
    sheet.preset = Some(evil.into());
    sheet.finding = evil.into();
    sheet.runs[0].name = evil.into();
    sheet.runs[1].name = evil.into();
    sheet.proofs.push(Proof::new(evil, 1.0, "dB", Limit::AtMost(0.0)));
    sheet.unknown = vec![evil.into()];
    sheet.cautions = vec![evil.into()];
    let cell = || evil.to_string();
    sheet.tables =
        vec![Table { title: cell(), note: cell(), head: vec![cell()], rows: vec![vec![cell()]] }];
    sheet.provenance.inputs = vec![Input { name: cell(), sha256: cell() }];
    sheet.provenance.version = cell();
    let page = report::html(&sheet);
    assert!(!page.contains("<script"), "a script came through");
    assert!(!page.contains('\u{1b}'), "a control character came through");
    let shown = page.matches("&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;&amp;&quot;").count();
    assert!(shown >= 14, "only {shown} of the texts are shown");
    let text = report::text(&sheet);
    assert!(!text.contains('\u{1b}'), "a control character reached the terminal");
    assert!(!text.contains("\nForged"), "a name forged a line of the table");
}

#[test]
fn words_that_promise_too_much_are_absent() {
    // A device that adds an octave cannot bring back what is gone, so no word says so.
    let forbidden =
        ["restor", "recover", "enhanc", "boost", "punch", "warmth", "best", "perfect", "!"];
    for sheet in sheets() {
        for page in [words(&report::html(&sheet)).replacen("!doctype", "", 1), report::text(&sheet)]
        {
            let page = page.to_lowercase();
            for word in forbidden {
                assert!(!page.contains(word), "the report says {word:?}");
            }
        }
    }
}

#[test]
fn every_minus_in_the_page_is_a_true_minus() {
    for sheet in sheets() {
        let page = words(&report::html(&sheet));
        let characters: Vec<char> = page.chars().collect();
        for triple in characters.windows(3) {
            let alone = !triple[0].is_alphanumeric();
            let is_figure = triple[2].is_ascii_digit();
            assert!(!(alone && triple[1] == '-' && is_figure), "a hyphen stands for a minus");
        }
    }
}

#[test]
fn no_machine_word_stands_for_a_missing_figure() {
    for sheet in sheets() {
        let pages = [words(&report::html(&sheet)), report::text(&sheet)];
        for page in pages {
            for word in page.split(|c: char| !c.is_alphanumeric()) {
                assert!(!["NaN", "inf", "None", "Some"].contains(&word), "the report says {word}");
            }
        }
    }
}

#[test]
fn sections_without_data_are_left_out() {
    let page = report::html(&Sheet::default());
    assert_eq!(page.matches("<h2").count(), 0, "an empty sheet has sections");
    assert_eq!(page.matches("<svg").count(), 1, "an empty sheet has pictures");
    let full = report::html(&ordinary());
    for title in [
        "1 · Layers of the low end",
        "2 · One-third octaves",
        "3 · A 60 Hz tone",
        "4 · Odd and even swings laid together",
        "Proved",
        "Cannot be known from this",
        "Before you play it loud",
        "Held against limits",
        "Runs",
        "Lines beside the tone",
        "Settings",
        "Where it comes from",
    ] {
        assert!(full.contains(title), "{title} is missing");
    }
    let mut sheet = ordinary();
    sheet.runs.remove(0);
    let page = report::html(&sheet);
    assert!(page.contains("1 · A 60 Hz tone"), "the numbers do not follow");
    assert!(!page.contains("One-third octaves"), "bands without noise");
}

#[test]
fn the_two_figures_of_a_tone_are_never_one() {
    // 3 % below and 4 % above: 5 % or 7 % would be a sum of both.
    let mut sheet = ordinary();
    sheet.runs = vec![tone(60.0, 0.0)];
    sheet.proofs.clear();
    let after = sheet.runs[0].readings.after.as_mut().expect("an output");
    let partials = after.partials.as_mut().expect("a tone");
    (partials.below_ratio, partials.thd_f) = (0.03, 0.04);
    partials.below.clear();
    partials.above.clear();
    for page in [words(&report::html(&sheet)), report::text(&sheet)] {
        assert!(page.contains("3.0 %") && page.contains("4.0 %"));
        assert!(!page.contains("5.0 %") && !page.contains("7.0 %"), "a sum of both sides");
    }
}

#[test]
fn the_same_sheet_gives_the_same_bytes() {
    assert_eq!(report::html(&ordinary()), report::html(&ordinary()));
    assert_eq!(report::text(&ordinary()), report::text(&ordinary()));
}

#[test]
fn the_file_can_be_sent_by_mail() {
    // Common practice, no source: a quarter of a megabyte is no burden.
    let size = report::html(&ordinary()).len();
    assert!(size < 250_000, "{size} bytes");
}

#[test]
fn figures_fit_a_terminal_of_80_columns() {
    let text = report::text(&ordinary());
    for line in text.lines().filter(|line| !line.starts_with("SHA-256")) {
        assert!(line.chars().count() < 80, "{line}");
    }
    assert!(text.is_ascii(), "a terminal that knows only ASCII shows it all");
}

#[test]
fn a_proof_in_every_form_is_kept_or_missed() {
    let mut sheet = Sheet::new("planted");
    sheet.proofs = vec![
        Proof::new("kept one", 0.5, "dB", Limit::AtMost(1.0)),
        Proof::new("missed one", 1.5, "dB", Limit::AtMost(1.0)),
        Proof::new("low one", 1.5, "dB", Limit::AtLeast(2.0)),
        Proof::open("open one", "dB", Limit::AtMost(1.0)),
    ];
    let text = report::text(&sheet);
    for (name, word) in [
        ("kept one", "kept"),
        ("missed one", "MISSED"),
        ("low one", "MISSED"),
        ("open one", "open"),
    ] {
        let line = text.lines().find(|line| line.contains(name)).expect(name);
        assert!(line.trim_end().ends_with(word), "{line}");
    }
    assert!(report::finding(&sheet).plain().contains("2 limits are missed"));
}

#[test]
fn a_figure_that_is_no_number_meets_no_limit() {
    for limit in [Limit::AtMost(1.0), Limit::AtLeast(-1.0), Limit::Within(-1.0, 1.0)] {
        assert_eq!(Proof::new("x", f64::NAN, "", limit).met(), Some(false));
        assert_eq!(Proof::new("x", 0.0, "", limit).met(), Some(true));
        assert_eq!(Proof::open("x", "", limit).met(), None);
    }
    assert_eq!(Proof::new("x", 1.0, "", Limit::AtMost(1.0)).met(), Some(true));
    assert_eq!(Proof::new("x", 1.1, "", Limit::Within(-1.0, 1.0)).met(), Some(false));
    assert_eq!(Proof::new("x", -1.1, "", Limit::Within(-1.0, 1.0)).met(), Some(false));
    assert_eq!(Proof::new("x", -1.1, "", Limit::AtMost(1.0)).met(), Some(true));
    assert_eq!(Proof::new("x", 1.1, "", Limit::AtLeast(-1.0)).met(), Some(true));
}

#[test]
fn what_is_missed_leads_the_proofs() {
    let mut sheet = ordinary();
    for i in 0..20 {
        sheet.proofs.push(Proof::new(format!("kept {i}"), 0.0, "dB", Limit::AtMost(1.0)));
    }
    sheet.proofs.push(Proof::new("went wrong", 2.0, "dB", Limit::AtMost(1.0)));
    let page = words(&report::html(&sheet));
    let proved = page.split("Proved").nth(1).expect("the column");
    let (missed, kept) = (proved.find("went wrong"), proved.find("octave exactly"));
    assert!(missed < kept, "what was missed stands below what was kept");
    assert!(page.contains("23 of 24 limits kept"));
}

#[test]
fn a_target_without_points_asks_nothing() {
    let mut sheet = ordinary();
    sheet.target = Some(Curve::default());
    let page = report::text(&sheet);
    assert!(page.contains("none"));
    let _ = report::html(&sheet);
}

#[test]
fn readings_of_one_signal_are_no_radio() {
    let mut sheet = Sheet::new("a file");
    let mut run = noise();
    run.readings.after = None;
    run.readings.strata = None;
    sheet.runs = vec![run];
    let page = words(&report::html(&sheet));
    assert!(page.contains("as measured") && !page.contains("radio gives"));
    assert!(!page.contains("Strata"), "layers of one signal");
}

#[test]
fn a_line_that_no_one_drew_leaves_no_mark() {
    let mut scene = Scene::new(10.0, 10.0, "");
    scene.line(underpin::plot::Cause::Out, vec![(1.0, 1.0)]);
    scene.area(underpin::plot::Fill::Slanted, vec![(1.0, 1.0), (2.0, 2.0)]);
    assert!(scene.marks.iter().all(|mark| matches!(mark, Mark::Text { .. })));
}
