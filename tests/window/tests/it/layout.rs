//! Every view with ordinary, empty and absurd readings, at every size and zoom: all words are
//! inside the window and none lies on another.

use egui::{Pos2, Rect, vec2};
use underpin::curve::Curve;
use underpin::editor::files::preset_library::Library;
use underpin::editor::model::state::Cursor;
use underpin::editor::model::state::{Open, View};
use underpin::editor::model::target::Asked;
use underpin::editor::paint::scale;
use underpin::plot::Palette;
use underpin::report::Sheet;
use underpin::settings::{Id, Settings};
use window_tests::{
    Stage, absurd, clipped, nothing, now, overlaps, pink, plan, silence, stage, tone, tone_with,
    words_at,
};

const SIZES: [(f32, f32); 4] = [(720.0, 480.0), (960.0, 600.0), (1280.0, 720.0), (1920.0, 1080.0)];
/// No letters are smaller, in points: pixels at 100 %.
const SMALLEST: f32 = 11.0;
const ZOOMS: [f32; 3] = [0.75, 1.0, 1.5];

#[track_caller]
fn check(name: &str, sheet: &Sheet, with: impl Fn(&mut Stage)) {
    let mut faults = Vec::new();
    for (view, words_of_view) in View::ALL {
        for (width, height) in SIZES {
            for zoom in ZOOMS {
                let mut shown = Stage::new(sheet.clone(), Palette::Day);
                shown.state.view = view;
                shown.state.zoom = zoom;
                with(&mut shown);
                let mut window = stage(shown, vec2(width, height), 1.0);
                window.run_steps(4);
                let scale = scale::now(&window.ctx);
                let page = Rect::from_min_size(Pos2::ZERO, vec2(width, height) / scale);
                let words = words_at(&window.output().shapes, scale);
                assert!(words.len() > 20, "{name}: {words_of_view} shows hardly a word");
                let at = format!("{name}, {words_of_view}, {width}x{height} at {zoom}");
                for outside in words.iter().filter(|w| !inside(page, w.rect)) {
                    faults.push(format!("{at}: {:?} leaves the window", outside.text));
                }
                // The unit is kHz; a bare k stands on an axis only.
                for unit in words.iter().filter(|w| w.text.contains("k Hz")) {
                    faults.push(format!("{at}: {:?} has a unit of its own", unit.text));
                }
                for small in words.iter().filter(|w| w.size < SMALLEST) {
                    faults.push(format!("{at}: {:?} in letters of {}", small.text, small.size));
                }
                faults.extend(overlaps(&words).into_iter().map(|pair| format!("{at}: {pair}")));
            }
        }
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

fn inside(page: Rect, words: Rect) -> bool {
    page.expand(0.5).contains_rect(words)
}

#[test]
fn letters_grow_with_the_window() {
    for ((width, height), least) in [((960.0, 600.0), 11.0), ((1920.0, 1080.0), 16.0)] {
        let mut window = stage(Stage::new(pink(5.0), Palette::Day), vec2(width, height), 1.0);
        window.run_steps(4);
        let words = window_tests::words(&window.output().shapes);
        let scale = scale::now(&window.ctx);
        let smallest = words.iter().map(|word| word.size * scale).fold(f32::MAX, f32::min);
        assert!(smallest >= least, "{smallest} pixels at {width}x{height}");
        assert!(words.iter().any(|word| word.text == "100 %"), "that is its natural size");
    }
}

#[test]
fn the_low_bands_fill_the_sheet_and_the_upper_ones_unfold() {
    let mut shown = Stage::new(pink(5.0), Palette::Day);
    shown.state.view = View::Bands;
    let mut window = stage(shown, vec2(1920.0, 1080.0), 1.0);
    window.run_steps(4);
    let rows = |window: &egui_kittest::Harness<Stage>| -> Vec<(String, f32)> {
        let words = words_at(&window.output().shapes, scale::now(&window.ctx));
        let rows = words.iter().filter(|word| ["16", "500", "2k"].contains(&word.text.as_str()));
        rows.map(|word| (word.text.clone(), word.rect.center().y)).collect()
    };
    let folded = rows(&window);
    assert!(folded.iter().any(|row| row.0 == "500") && !folded.iter().any(|row| row.0 == "2k"));
    window.key_press(egui::Key::W);
    window.run_steps(4);
    assert!(rows(&window).iter().any(|row| row.0 == "2k"));
}

#[test]
fn ordinary_noise_leaves_every_word_its_room() {
    check("noise", &pink(20.0), |_| {});
}

#[test]
fn a_tone_leaves_every_word_its_room() {
    let mut tone = tone(60.0, 0.5);
    tone.harmonics_limit = Some(0.001);
    check("tone", &tone, |stage| stage.sounds_s = Some(18.0));
}

#[test]
fn a_clipped_tone_leaves_every_word_its_room() {
    check("clipped", &clipped(), |stage| {
        stage.over_s = 123.0;
        stage.state.open = Open::TestSignal;
    });
}

#[test]
fn a_tone_beyond_full_scale_leaves_every_word_its_room() {
    let settings = Settings { input_trim_db: 12.0, ..Settings::default() };
    check("beyond", &tone_with(60.0, 0.5, settings), |stage| stage.over_s = 0.038);
}

#[test]
fn nothing_leaves_every_word_its_room() {
    check("nothing", &nothing(), |_| {});
    check("silence", &silence(), |_| {});
}

#[test]
fn absurd_readings_leave_every_word_its_room() {
    for (name, sheet) in absurd() {
        check(name, &sheet, |_| {});
    }
}

#[test]
fn settings_at_their_ends_leave_every_word_its_room() {
    let all = underpin::settings::ALL;
    for end in [f32::MIN, f32::MAX] {
        let mut sheet = nothing();
        let plain: Vec<f32> = all.iter().map(|setting| setting.clamp(end)).collect();
        let plain = plain.try_into().expect("all settings");
        sheet.settings = Some(underpin::settings::Settings::from_plain(plain));
        check("ends", &sheet, |_| {});
    }
}

#[test]
fn a_plan_leaves_every_word_its_room() {
    check("plan", &pink(20.0), |stage| stage.plan = Some(plan()));
    check("long plan", &nothing(), |stage| {
        let mut plan = plan();
        plan.found.iter_mut().for_each(|found| found.told = "long words ".repeat(20));
        plan.proposed.iter_mut().for_each(|stage| stage.told = "long words ".repeat(20));
        stage.plan = Some(plan);
    });
}

#[test]
fn presets_tray_and_blind_leave_every_word_its_room() {
    check("presets", &pink(20.0), |stage| {
        stage.state.open = Open::Presets;
        stage.state.library = Library::read(std::path::Path::new("there is no such folder"));
        let mut long = stage.state.library.entries[3].clone();
        long.preset.name = "A very long name of a preset of somebody's own car".into();
        stage.state.loaded = Some(long.preset.clone());
        stage.state.library.entries.insert(1, long);
        stage.over_s = 123.0;
        stage.state.comparison.put_other(Settings { low_band_gain_db: 3.0, ..stage.settings });
    });
    check("tray", &tone(60.0, 0.5), |stage| {
        stage.state.open = Open::Tray;
        stage.state.folder = "/home/somebody/a folder/with a long name/that does not end".into();
        stage.sounds_s = Some(18.0);
    });
    check("help", &nothing(), |stage| stage.state.open = Open::Help);
    check("shelf", &pink(20.0), |stage| {
        let curve = |db: f64| Curve::new([(16.0, db), (20_000.0, db)]);
        for db in [-3.0, -6.0, -12.0, -20.0] {
            let name = "WWWWWWWWWWWWWWWW";
            stage.state.shelf.keep(&name[..(10.0 - db / 4.0) as usize], curve(db)).expect("room");
        }
        stage.state.shelf.from = Some(0);
        stage.state.open = Open::Shelf;
        stage.state.target.asked = Asked::Flat;
        stage.state.beside = 1;
        for id in [Id::input_trim_db, Id::octave_level_db] {
            stage.state.history.record(&[id], &stage.settings, 0.0);
        }
        stage.state.history.undo(&stage.settings);
        stage.now = Some(now());
    });
    check("trials", &pink(20.0), |stage| {
        stage.state.comparison.put_other(Settings { low_band_gain_db: 3.0, ..stage.settings });
        stage.state.comparison.hide();
        stage.state.trials.all = 123;
    });
    check("blind", &pink(20.0), |stage| stage.state.comparison.hide());
    check("frozen and held", &pink(20.0), |stage| {
        stage.state.frozen_s = Some(0.0);
        stage.state.hold = Some(underpin::editor::model::hold::Hold::default());
        stage.state.cursor = Cursor { hz: Some(900.0), pinned_hz: Some(20.0) };
    });
}
