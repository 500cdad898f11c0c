//! Settings as the page knows them: plain numbers in the order of the line, read and written as text.

use serde_json::{Value, json};
use underpin::presets::Preset;
use underpin::settings::{ALL, Setting, Settings};

use crate::asked::text;

/// The settings of a list of plain values; what is missing has its default.
pub(crate) fn settings(asked: &Value) -> Settings {
    let mut plain = Settings::default().to_plain();
    let values = asked["values"].as_array().into_iter().flatten();
    for (setting, value) in ALL.iter().zip(values) {
        let value = value.as_f64().map_or(f32::NAN, |value| value as f32);
        plain[setting.id.index()] = setting.clamp(value);
    }
    Settings::from_plain(plain)
}

/// What a hand has typed for a setting, as a plain value.
pub(crate) fn typed(asked: &Value) -> Result<Value, String> {
    let setting = Setting::of(text(asked, "key"))?;
    let words = text(asked, "text");
    let value = setting.typed(words);
    let value = value.ok_or_else(|| format!("takes {}, not {words:?}", setting.range()))?;
    Ok(json!({ "value": value, "shown": setting.show(value) }))
}

/// Every value as text with its unit, and what does not make sense together.
pub(crate) fn shown(asked: &Value) -> Result<Value, String> {
    let settings = settings(asked);
    let shown: Vec<String> = settings.each().map(|(setting, plain)| setting.show(plain)).collect();
    Ok(json!({ "shown": shown, "wrong": settings.check().err() }))
}

/// A preset of a file.
pub(crate) fn read(asked: &Value) -> Result<Value, String> {
    let preset = Preset::parse(text(asked, "text"))?;
    Ok(of(&preset))
}

/// A preset as the page knows it.
pub(crate) fn of(preset: &Preset) -> Value {
    json!({
        "name": preset.name, "when": preset.when, "slug": preset.slug(),
        "values": preset.settings.to_plain(), "notices": preset.notices(),
    })
}

/// A preset as a file.
pub(crate) fn write(asked: &Value) -> Result<Value, String> {
    let (name, when) = (text(asked, "name"), text(asked, "when"));
    let text = Preset::new(name, when, settings(asked)).to_toml();
    // What would not be read back is not written.
    Preset::parse(&text)?;
    Ok(json!({ "text": text }))
}
