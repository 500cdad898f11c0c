//! What is saved beside the parameters, and how any saved state is admitted.
//!
//! Loaded values are clamped, what is missing is at its default, what a newer
//! version saved and this one does not know is kept and saved again.

use crate::settings::{ALL, Kind, Setting, Settings};
use nice_plug::params::persist::PersistentField;
use nice_plug::plugin::{ParamValue, PluginState};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Mutex, PoisonError};

/// Number of the form of the saved state; it grows when a value's meaning changes.
pub const SCHEMA: u32 = 1;

/// The saved fields this version knows.
const FIELDS: [&str; 4] = ["kept", "zoom", "palette", "window"];

/// The highest number of a palette of the window that is known.
const LAST_PALETTE: u8 = 2;

/// What is saved beside the parameters.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(default)]
pub struct Kept {
    /// Schema of the version that saved.
    pub schema: u32,
    /// Settings that the version which loaded them did not know.
    pub params: BTreeMap<String, ParamValue>,
    /// Fields that the version which loaded them did not know.
    pub fields: BTreeMap<String, String>,
}

impl Default for Kept {
    fn default() -> Self {
        Self { schema: SCHEMA, params: BTreeMap::new(), fields: BTreeMap::new() }
    }
}

impl Kept {
    /// One sentence for the reader when a newer version saved this.
    pub fn notice(&self) -> Option<String> {
        let unknown = self.params.len() + self.fields.len();
        let settings = if unknown == 1 { "setting" } else { "settings" };
        (self.schema > SCHEMA || unknown > 0)
            .then(|| format!("Saved by a newer version: {unknown} {settings} unknown, kept."))
    }
}

/// What the window shows, to be found again with the session; numbers stand for places in its
/// tables, and one that it does not know for the first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Remembered {
    /// The view.
    pub view: u8,
    /// Whether the whole range is shown.
    pub whole: bool,
    /// Over what is averaged.
    pub span: u8,
    /// What is asked for.
    pub target: u8,
    /// The levels of a target drawn by hand, in dB.
    pub own_target_db: Vec<f32>,
    /// Frequency of the test tone in Hz, if another was chosen.
    pub test_hz: Option<f32>,
}

/// What was kept from the last load, and how many loads there were.
#[derive(Debug, Default)]
pub struct Loads {
    kept: Mutex<Kept>,
    count: AtomicU32,
}

impl Loads {
    /// How many states were loaded; a change tells that the sound is another's. Lock-free.
    pub fn count(&self) -> u32 {
        self.count.load(Ordering::Acquire)
    }

    /// One sentence when the last state came from a newer version. `[main thread]`
    pub fn notice(&self) -> Option<String> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner).notice()
    }
}

impl PersistentField<'_, Kept> for Loads {
    fn set(&self, loaded: Kept) {
        *self.kept.lock().unwrap_or_else(PoisonError::into_inner) = loaded;
        self.count.fetch_add(1, Ordering::AcqRel);
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Kept) -> R,
    {
        f(&self.kept.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Makes a loaded state one that this version can take: every setting there,
/// in its range and of its kind; the unknown put aside, to be saved again.
pub fn admit(state: &mut PluginState) {
    let kept = state.fields.get("kept").and_then(|json| serde_json::from_str(json).ok());
    let mut kept: Kept = kept.unwrap_or_default();
    state.params.append(&mut kept.params);
    state.fields.append(&mut kept.fields);

    for setting in ALL {
        let loaded = state.params.remove(setting.key);
        let plain = loaded.and_then(|value| plain(setting, &value)).unwrap_or(setting.default());
        kept.params.insert(setting.key.to_owned(), value(setting, setting.clamp(plain)));
    }
    // Now `kept` holds the known and `state` the rest: the other way round.
    std::mem::swap(&mut kept.params, &mut state.params);
    let zoom = state.fields.get("zoom").and_then(|json| serde_json::from_str(json).ok());
    let zoom = zoom.filter(|zoom: &f32| zoom.is_finite()).unwrap_or(1.0).clamp(0.75, 3.0);
    let palette = state.fields.get("palette").and_then(|json| serde_json::from_str(json).ok());
    let palette = palette.filter(|palette: &u8| *palette <= LAST_PALETTE).unwrap_or(0);
    let window = state.fields.get("window").and_then(|json| serde_json::from_str(json).ok());
    let window: Remembered = window.unwrap_or_default();
    kept.fields = std::mem::take(&mut state.fields);
    kept.fields.retain(|key, _| !FIELDS.contains(&key.as_str()));
    let saved = serde_json::to_string(&kept).unwrap_or_default();
    state.fields.insert("kept".to_owned(), saved);
    state.fields.insert("zoom".to_owned(), zoom.to_string());
    state.fields.insert("palette".to_owned(), palette.to_string());
    let window = serde_json::to_string(&window).unwrap_or_default();
    state.fields.insert("window".to_owned(), window);
}

/// A state from its text, as this version can take it, and the settings in it; `None` where the
/// text is no state.
pub fn from_text(text: &str) -> Option<(PluginState, Settings)> {
    let mut state = serde_json::from_str(text).ok()?;
    admit(&mut state);
    let mut all = Settings::default().to_plain();
    for (all, setting) in all.iter_mut().zip(ALL) {
        if let Some(saved) = state.params.get(setting.key).and_then(|saved| plain(setting, saved)) {
            *all = saved;
        }
    }
    Some((state, Settings::from_plain(all)))
}

/// A state as text.
pub fn to_text(state: &PluginState) -> String {
    // Maps of texts to texts and numbers: there is nothing that JSON cannot say.
    serde_json::to_string(state).unwrap_or_default()
}

/// The plain value a saved value stands for, whatever its form.
fn plain(setting: &Setting, value: &ParamValue) -> Option<f32> {
    match (value, setting.kind) {
        (ParamValue::F32(number), _) => Some(*number),
        (ParamValue::I32(number), _) => Some(*number as f32),
        (ParamValue::Bool(on), _) => Some(f32::from(*on)),
        (ParamValue::String(text), _) => setting.parse(text).ok(),
    }
}

/// The form in which a parameter of this kind is saved.
fn value(setting: &Setting, plain: f32) -> ParamValue {
    match setting.kind {
        Kind::Switch => ParamValue::Bool(plain >= 0.5),
        Kind::Choice { .. } => ParamValue::String(setting.show(plain)),
        Kind::Number { .. } => ParamValue::F32(plain),
    }
}
