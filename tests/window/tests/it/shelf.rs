//! Curves that are kept, loaded and laid over each other, and targets.

use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::PathBuf;
use underpin::editor::export::make;
use underpin::editor::files::curve_file::read_table;
use underpin::editor::model::action::Form;
use underpin::editor::model::shelf::MOST;
use underpin::editor::model::state::{Open, View};
use underpin::editor::model::target::Asked;
use underpin::plot::Palette;
use underpin::report::Sheet;
use window_tests::{Stage, pink, plan, stage, words};

fn window(sheet: Sheet) -> Harness<'static, Stage> {
    let mut shown = Stage::new(sheet, Palette::Day);
    shown.sheet.target = None;
    shown.state.open = Open::Shelf;
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

fn press(window: &mut Harness<Stage>, label: &str) {
    window.get_by_label(label).focus();
    window.run();
    window.key_press(Key::Enter);
    window.run();
}

fn says(window: &Harness<Stage>, text: &str) -> bool {
    words(&window.output().shapes).iter().any(|word| word.text == text)
}

/// The same sound with what comes out `db` louder.
fn louder(mut sheet: Sheet, db: f64) -> Sheet {
    let after = sheet.runs[0].readings.after.as_mut().expect("what comes out");
    after.spectrum.power.iter_mut().for_each(|power| *power *= 10f64.powf(db / 10.0));
    sheet
}

#[test]
fn a_curve_is_kept_named_laid_over_and_taken_from_what_comes_out() {
    let sheet = pink(20.0);
    let mut window = window(sheet.clone());
    window.get_by_label("name of the curve").focus();
    window.run();
    window.event(egui::Event::Text("as it was".into()));
    window.run();
    press(&mut window, "keep the curve");
    assert_eq!(window.state().state.shelf.traces[0].name, "as it was");
    assert!(says(&window, "as it was"), "the curve has no name in the picture");
    // What comes out grows by 4 dB: the difference reads 4 dB everywhere.
    window.state_mut().sheet = louder(sheet, 4.0);
    window.state_mut().sheet.target = None;
    window.state_mut().reading += 1;
    press(&mut window, "difference from as it was");
    for hz in [20.0, 31.5, 63.0, 200.0] {
        window.state_mut().state.cursor.hz = Some(hz);
        window.run();
        let seen = words(&window.output().shapes);
        let at = seen.iter().rposition(|word| word.text == "minus as it was").expect("a row");
        let told: f64 = seen[at + 1].text.parse().expect("a level");
        // Between the twelve places an octave at which a curve is kept it is a straight line.
        assert!((told - 4.0).abs() < 0.16, "{told} dB at {hz} Hz");
    }
    press(&mut window, "let go of as it was");
    assert!(window.state().state.shelf.traces.is_empty());
}

#[test]
fn the_shelf_is_full_at_four_and_says_so() {
    let mut window = window(pink(20.0));
    for _ in 0..=MOST {
        press(&mut window, "keep the curve");
    }
    assert_eq!(window.state().state.shelf.traces.len(), MOST);
    let told = window.state().state.message.clone().expect("a sentence");
    assert!(told.contains("let one go first"), "{told}");
}

#[test]
fn kept_figures_come_back_as_the_same_curve() {
    let window = window(pink(20.0));
    let stage = window.state();
    let table = make(Form::Figures, &stage.state, &stage.shown()).expect("figures");
    let table = String::from_utf8(table).expect("text");
    let curve = read_table(&table).expect("a curve");
    let mut rows = 0;
    for row in table.lines().filter(|row| row.starts_with(|c: char| c.is_ascii_digit())) {
        let cells: Vec<&str> = row.split(',').collect();
        let [hz, db] = [cells[0], cells[4]].map(|cell| cell.parse::<f64>().expect("a number"));
        assert!((curve.at(hz).expect("a level") - db).abs() < 1e-9, "{hz} Hz");
        rows += 1;
    }
    assert!(rows > 200, "{rows} rows");
    assert!(read_table("frequency_hz,db\n20,-3\n40;nothing\n80,1").is_ok());
    assert!(read_table("no table").is_err());
}

#[test]
fn a_target_is_chosen_dragged_and_judged_by() {
    let mut window = window(pink(20.0));
    press(&mut window, "target gentle");
    // 2 dB an octave from 160 Hz down to 40 Hz, by its definition.
    let level = |window: &Harness<Stage>, hz: f64| {
        window.state().sheet.target.as_ref().and_then(|curve| curve.at(hz)).expect("a target")
    };
    assert_eq!([20.0, 40.0, 80.0, 160.0].map(|hz| level(&window, hz)), [4.0, 4.0, 2.0, 0.0]);
    window.get_by_label("target at 80 Hz").focus();
    window.run();
    window.key_press(Key::ArrowUp);
    window.run();
    assert_eq!(window.state().state.target.asked, Asked::Own);
    assert_eq!([40.0, 80.0].map(|hz| level(&window, hz)), [4.0, 2.5]);
    let at = window.get_by_label("target at 80 Hz").rect().center();
    window.drag_at(at);
    window.run();
    window.hover_at(at + vec2(0.0, -30.0));
    window.run();
    window.drop_at(at + vec2(0.0, -30.0));
    window.run();
    assert!(level(&window, 80.0) > 3.0, "{} dB", level(&window, 80.0));
    window.state_mut().state.view = View::Bands;
    window.run();
    assert!(says(&window, "off by"), "Bands does not judge by the target");
    press(&mut window, "target none");
    assert!(!says(&window, "off by"));
}

#[test]
fn a_plan_brings_its_target_through_its_file() {
    let plan = plan();
    let target = plan.target.clone().expect("a target");
    let again = underpin::report::Plan::parse(&plan.to_toml()).expect("a plan");
    assert_eq!(again.target, Some(target.clone()));
    // It was made for a flat one.
    assert!(target.points().iter().all(|point| point.1 == 0.0));
    let mut window = window(pink(20.0));
    window.state_mut().plan = Some(plan);
    press(&mut window, "target plan");
    assert_eq!(window.state().sheet.target, Some(target));
}

#[test]
fn the_curve_before_a_change_stays_until_the_new_one_has_settled() {
    let mut window = window(pink(20.0));
    let long = window.state().sheet.clone();
    assert!(!says(&window, "before the change"));
    let mut short = louder(pink(2.0), 3.0);
    short.target = None;
    window.state_mut().sheet = short;
    window.state_mut().reading += 1;
    window.run();
    assert!(says(&window, "before the change"));
    window.state_mut().sheet = long;
    window.state_mut().reading += 1;
    window.run();
    assert!(!says(&window, "before the change"));
}

#[test]
fn a_table_of_the_folder_is_loaded_by_its_name_and_rubbish_is_told() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("tables");
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join("radio.csv"), b"hz,db\n20,-3\n200,1\n").expect("a file");
    std::fs::write(folder.join("photo.csv"), [0x89, 0xff, 0x00]).expect("a file");
    std::fs::write(folder.join("words.csv"), b"only words").expect("a file");
    let mut window = window(pink(5.0));
    window.state_mut().state.folder = folder;
    window.state_mut().state.naming = "radio".into();
    press(&mut window, "load a curve");
    let kept = window.state().state.shelf.traces[0].clone();
    assert_eq!((kept.name.as_str(), kept.curve.at(20.0)), ("radio", Some(-3.0)));
    for name in ["photo", "words", "missing", ""] {
        window.state_mut().state.naming = name.into();
        press(&mut window, "load a curve");
        let told = window.state().state.message.clone().expect("a sentence");
        assert!(told.ends_with('.') && !told.contains('\n'), "{told}");
        assert!(told.contains("left out") || name.is_empty(), "{told}");
    }
    assert_eq!(window.state().state.shelf.traces.len(), 1);
}
