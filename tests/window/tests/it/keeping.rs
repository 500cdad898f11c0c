//! What is shown as a file: the same figures as on the sheet, never over another file.

use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::PathBuf;
use underpin::editor::export::{keep_all, make};
use underpin::editor::files::write_new;
use underpin::editor::model::action::Action;
use underpin::editor::model::action::Form;
use underpin::editor::model::state::{FrameInput, Open, View};
use underpin::plot::Palette;
use underpin::report::{Sheet, csv};
use window_tests::{Stage, nothing, pink, stage, tone, words};

/// A folder that is not there yet.
fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn window(sheet: Sheet, view: View) -> Harness<'static, Stage> {
    let mut shown = Stage::new(sheet, Palette::Day);
    shown.state.view = view;
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

fn made(window: &Harness<Stage>, form: Form) -> Result<Vec<u8>, String> {
    let stage = window.state();
    let shown = FrameInput { sheet: &stage.sheet, settings: stage.settings, ..stage.shown() };
    make(form, &stage.state, &shown)
}

/// The row of a table whose first cell is nearest to a frequency.
fn nearest(table: &str, hz: f64) -> Vec<f64> {
    let rows = table.lines().skip(1).map(|row| {
        row.split(',').map(|cell| cell.parse().unwrap_or(f64::NAN)).collect::<Vec<f64>>()
    });
    let off = |row: &Vec<f64>| (row[0] / hz).ln().abs();
    rows.min_by(|a, b| off(a).total_cmp(&off(b))).expect("a row")
}

#[test]
fn the_cursor_reads_what_the_exported_figures_say() {
    let sheet = pink(20.0);
    let table = csv::spectrum(&sheet).expect("a table");
    let mut window = window(sheet, View::Spectrum);
    for hz in [25.0, 31.6, 50.0, 80.0, 125.0] {
        let row = nearest(&table, hz);
        window.state_mut().state.cursor.hz = Some(row[0]);
        window.run();
        let shown = words(&window.output().shapes);
        for (column, what) in [(1, "radio gives"), (2, "octave part"), (4, "comes out")] {
            let level = row[column];
            // A tenth is shown, a thousandth written.
            let reads = |text: &str| {
                let figure: Option<f64> = text.replace('\u{2212}', "-").parse().ok();
                figure.is_some_and(|figure| (figure - level).abs() <= 0.050_6)
            };
            assert!(shown.iter().any(|w| reads(&w.text)), "{what} at {} Hz: {level}", row[0]);
        }
    }
}

#[test]
fn every_view_is_kept_in_every_form() {
    let mut tone = tone(60.0, 0.5);
    tone.harmonics_limit = Some(0.001);
    for (sheet, view) in [
        (pink(20.0), View::Spectrum),
        (pink(20.0), View::Bands),
        (tone.clone(), View::Spectrum),
        (tone.clone(), View::Scope),
        (tone, View::Partials),
    ] {
        let window = window(sheet, view);
        let picture = made(&window, Form::Picture).expect("a picture");
        let image = image::load_from_memory(&picture).expect("a PNG").to_rgb8();
        let ink = image.pixels().filter(|p| u32::from(p[0]) + u32::from(p[1]) < 150).count();
        assert!(ink > 2000, "{view:?}: {ink} dark pixels");
        let keep = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/window");
        std::fs::create_dir_all(&keep).expect("a folder for pictures");
        image.save(keep.join(format!("kept-{view:?}.png"))).expect("a file");
        let drawing = made(&window, Form::Drawing).expect("a drawing");
        let drawing = String::from_utf8(drawing).expect("text");
        assert!(drawing.starts_with("<svg") && drawing.trim_end().ends_with("</svg>"));
        let figures = made(&window, Form::Figures).expect("figures");
        // A heading, the tone and its half at least.
        assert!(figures.iter().filter(|byte| **byte == b'\n').count() >= 3, "{view:?}");
    }
}

#[test]
fn all_forms_have_one_number_and_tell_of_one_reading() {
    let mut window = window(pink(20.0), View::Bands);
    window.state_mut().state.folder = folder("all");
    let stage = window.state();
    let state = &stage.state;
    // One of them is there already, so that every one has the next number.
    write_new::keep(&state.folder, "bands", "csv", b"an older one").expect("a file");
    let told = keep_all(state, &stage.shown()).expect("files");
    assert!(told.ends_with("bands-2, as png, svg, csv, txt"), "{told}");
    let read = |ending: &str| {
        std::fs::read(state.folder.join(format!("bands-2.{ending}"))).expect("a file")
    };
    let figures = String::from_utf8(read("csv")).expect("text");
    let sheet = String::from_utf8(read("txt")).expect("text");
    // The seconds and settings stand before the table, the first level of the sheet is in it.
    let seconds = stage.sheet.runs[0].readings.seconds;
    assert!(figures.contains(&format!("\n# seconds={seconds}\n")), "{figures}");
    assert!(figures.contains("\n# octave.level_db=0 dB\n"), "{figures}");
    assert!(sheet.contains("octave.level_db"), "{sheet}");
    assert_eq!(std::fs::read(state.folder.join("bands.csv")).expect("a file"), b"an older one");
}

#[test]
fn what_was_not_measured_is_said_and_not_written() {
    let window = window(nothing(), View::Scope);
    assert!(made(&window, Form::Figures).is_err_and(|why| why.ends_with('.')));
}

#[test]
fn the_sheet_in_words_names_what_is_set() {
    let window = window(pink(20.0), View::Spectrum);
    let text = String::from_utf8(made(&window, Form::Sheet).expect("a sheet")).expect("text");
    assert!(text.contains("octave.level_db") && text.contains("low_band.gain_db"), "{text}");
}

#[test]
fn no_file_is_written_over_and_the_window_names_the_folder() {
    let folder = folder("shelf");
    let first = write_new::keep(&folder, "bands", "csv", b"one").expect("a file");
    let second = write_new::keep(&folder, "bands", "csv", b"two").expect("a file");
    assert_ne!(first, second);
    assert_eq!(std::fs::read(&first).expect("the first"), b"one");
    assert_eq!(std::fs::read(&second).expect("the second"), b"two");
}

#[test]
fn a_folder_that_cannot_be_is_one_sentence() {
    let folder = folder("not-a-folder");
    std::fs::create_dir_all(folder.parent().expect("a folder")).expect("a folder");
    std::fs::write(&folder, b"a file").expect("a file");
    let why = write_new::keep(&folder, "bands", "csv", b"one").expect_err("no folder");
    assert!(why.contains("cannot be written") && why.ends_with('.'), "{why}");
    assert!(!why.contains('\n') && !why.contains("os error"), "{why}");
}

#[test]
fn the_tray_says_where_and_asks_for_a_file() {
    let mut window = window(pink(20.0), View::Bands);
    window.key_press(egui::Key::E);
    window.run();
    assert_eq!(window.state().state.open, Open::Tray);
    let shown = words(&window.output().shapes);
    assert!(shown.iter().any(|w| w.text.contains("Underpin")), "no folder is named");
    window.get_by_label("keep as figures csv").focus();
    window.run();
    window.key_press(egui::Key::Enter);
    window.run();
    assert!(window.state().actions.contains(&Action::Keep(Form::Figures)));
    window.get_by_label("keep in every form").focus();
    window.run();
    window.key_press(egui::Key::Enter);
    window.run();
    assert!(window.state().actions.contains(&Action::KeepAll));
}
