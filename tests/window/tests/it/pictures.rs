//! Pictures of every view, to be looked at.

use egui::vec2;
use std::path::Path;
use underpin::curve::Curve;
use underpin::editor::files::preset_library::Library;
use underpin::editor::model::now::Now;
use underpin::editor::model::state::{Open, View};
use underpin::editor::model::target::Asked;
use underpin::plot::Palette;
use underpin::report::Sheet;
use underpin::settings::{Id, Settings};
use window_tests::{Stage, nothing, now, picture, pink, plan, silence, stage, tone, tone_with};

const SIZES: [(f32, f32, &str, Palette); 3] = [
    (720.0, 480.0, "720-night", Palette::Night),
    (960.0, 600.0, "960-day", Palette::Day),
    (1920.0, 1080.0, "1920-contrast", Palette::HighContrast),
];

fn draw(name: &str, view: View, sheet: &Sheet, with: impl Fn(&mut Stage)) {
    for (width, height, size, palette) in SIZES {
        let mut shown = Stage::new(sheet.clone(), palette);
        shown.state.view = view;
        with(&mut shown);
        let mut window = stage(shown, vec2(width, height), 1.0);
        window.run();
        window.run_steps(2);
        picture(&mut window, &format!("{name}-{size}"));
    }
}

/// A gentle target, and two kept curves with the difference from one of them.
fn shelf(stage: &mut Stage) {
    let louder = |db: f64| {
        let target = stage.sheet.target.clone().expect("a target");
        Curve::new(target.points().iter().map(|(hz, level)| (*hz, level + db)))
    };
    let shelf = &mut stage.state.shelf;
    shelf.keep("before lunch", louder(-12.0)).expect("room");
    shelf.keep("", louder(-20.0)).expect("room");
    shelf.from = Some(0);
    stage.state.open = Open::Shelf;
    stage.state.target.asked = Asked::Gentle;
    stage.state.beside = 1;
    stage.state.history.record(&[Id::input_trim_db], &stage.settings, 0.0);
    stage.now = Some(now());
}

/// What a view says when it is not simply measured.
fn draw_states(noise: &Sheet, tone: &Sheet) {
    for (view, sheet) in [(View::Spectrum, noise), (View::Scope, tone)] {
        let word = View::ALL.iter().find(|(v, _)| *v == view).map_or("", |(_, word)| word);
        let name = |state: &str| format!("{}-{state}", word.to_lowercase());
        draw(&name("bypassed"), view, sheet, |stage| stage.settings.bypass = true);
        draw(&name("frozen"), view, sheet, |stage| {
            stage.state.frozen_s = Some(0.0);
            stage.settings.output_gain_db = -6.0;
        });
        draw(&name("silence"), view, &silence(), |_| {});
        draw(&name("mixed"), view, sheet, |stage| {
            stage.is_mixed = true;
            let scope = sheet.runs[0].readings.scope.clone();
            stage.now = Some(Now { is_moving: true, scope, ..now() });
        });
    }
    let loud = Settings { output_gain_db: 18.0, ..Settings::default() };
    draw("spectrum-beyond", View::Spectrum, &tone_with(60.0, 0.5, loud), |stage| {
        stage.over_s = 3.2;
    });
}

#[test]
fn every_view_is_drawn() {
    let noise = pink(40.0);
    let mut tone = tone(60.0, 0.5);
    tone.harmonics_limit = Some(0.001);
    draw("spectrum", View::Spectrum, &noise, |stage| stage.state.cursor.hz = Some(31.5));
    draw("bands", View::Bands, &noise, |stage| stage.over_s = 0.038);
    draw("spectrum-tone", View::Spectrum, &tone, |stage| stage.sounds_s = Some(18.0));
    draw("scope", View::Scope, &tone, |stage| stage.sounds_s = Some(18.0));
    draw("partials", View::Partials, &tone, |stage| stage.state.open = Open::TestSignal);
    let beyond = tone_with(60.0, 0.5, Settings { input_trim_db: 12.0, ..Settings::default() });
    draw("scope-beyond", View::Scope, &beyond, |stage| stage.over_s = 0.038);
    draw("partials-beyond", View::Partials, &beyond, |stage| stage.over_s = 0.038);
    draw("help", View::Spectrum, &noise, |stage| stage.state.open = Open::Help);
    draw("shelf", View::Spectrum, &noise, shelf);
    draw("scope-music", View::Scope, &noise, |stage| stage.now = Some(now()));
    draw("presets", View::Spectrum, &noise, |stage| {
        stage.state.open = Open::Presets;
        stage.state.library = Library::read(Path::new("there is no such folder"));
        stage.state.loaded = Some(stage.state.library.entries[5].preset.clone());
    });
    draw_states(&noise, &tone);
    draw("tray", View::Bands, &noise, |stage| stage.state.open = Open::Tray);
    draw("blind", View::Bands, &noise, |stage| stage.state.comparison.hide());
    draw("plan", View::Plan, &noise, |stage| {
        stage.plan = Some(plan());
        stage.state.comparison.put_other(Settings { low_band_gain_db: 3.0, ..stage.settings });
    });
    draw("plan-none", View::Plan, &nothing(), |_| {});
    draw("empty", View::Spectrum, &nothing(), |_| {});
}
