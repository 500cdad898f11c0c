//! What the page is made of: the settings, presets and lessons there are, the look of the report.

use serde_json::{Value, json};
use underpin::lessons::{ALL as LESSONS, Lesson};
use underpin::plot::stations::End;
use underpin::plot::{Palette, Scene, line};
use underpin::presets;
use underpin::report::{CAUTIONS, colours, inline, look, textures};
use underpin::settings::{ALL, Kind, Setting};

use crate::asked::number;
use crate::values;

/// Everything that does not change.
pub(crate) fn about() -> Value {
    json!({
        "version": env!("CARGO_PKG_VERSION"),
        "look": look(),
        "textures": textures(),
        "colours": {
            "day": colours(Palette::Day),
            "night": colours(Palette::Night),
            "contrast": colours(Palette::HighContrast),
        },
        "cautions": CAUTIONS,
        "settings": ALL.iter().map(setting).collect::<Vec<_>>(),
        "presets": presets::all().iter().map(values::of).collect::<Vec<_>>(),
        "lessons": LESSONS.iter().map(lesson).collect::<Vec<_>>(),
    })
}

fn setting(setting: &Setting) -> Value {
    let kind = match setting.kind {
        Kind::Switch => json!({ "words": ["off", "on"] }),
        Kind::Choice { words, .. } => json!({ "words": words }),
        Kind::Number { unit, min, max, off, ratio, .. } => json!({
            "unit": unit.symbol(), "min": min, "max": max, "off": off, "ratio": ratio,
        }),
    };
    json!({
        "key": setting.key, "name": setting.name, "about": setting.about, "group": title(setting.group()),
        "range": setting.range(), "default": setting.default(), "kind": kind,
    })
}

/// What a group of settings is called.
fn title(group: &str) -> String {
    let words = match group {
        "" => "the whole",
        "octave" => "octave part",
        group => group,
    };
    let words = words.replace('_', " ");
    words[..1].to_uppercase() + &words[1..]
}

fn lesson(lesson: &Lesson) -> Value {
    let turn = &lesson.turn;
    json!({
        "title": lesson.title, "minutes": lesson.minutes, "question": lesson.question,
        "choices": lesson.choices, "look": lesson.look,
        "turn": {
            "name": turn.name, "unit": turn.unit, "from": turn.range.0, "to": turn.range.1,
            "start": turn.start, "step": turn.step,
        },
    })
}

/// The line with the settings at its stations, for a wide page and for a narrow one.
pub(crate) fn line(asked: &Value) -> Result<Value, String> {
    let settings = values::settings(asked);
    let width = number(asked, "width", 682.0).clamp(260.0, 1600.0);
    let about = "The line with the settings at its stations";
    let ends = || [End::given(None), End::out(None)];
    let narrow = width < 640.0;
    let mut scene = Scene::new(width, if narrow { line::HEIGHT_DOWN } else { line::HEIGHT }, about);
    match narrow {
        true => line::line_down(&mut scene, (0.0, 0.0), &settings, ends()),
        false => line::line(&mut scene, (0.0, 0.0), width, &settings, ends()),
    }
    Ok(json!({ "svg": inline(&scene) }))
}
