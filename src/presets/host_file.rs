//! A preset as the file that VST3 hosts show in their own browser (`.vstpreset`).
//!
//! The form is that of the VST 3 SDK, "Preset Format": a header with the effect's class, the
//! state of the effect, and a list that says where it lies. The state is the one the effect
//! saves in a session: values by key, in their own units.

use super::Preset;
use crate::settings::{Kind, Setting};

/// The effect's class in VST3, as long as it is the same effect.
pub const VST3_CLASS: [u8; 16] = *b"UnderpinLowBass1";

/// Bytes before the state: "VST3", version, class in 32 hexadecimal digits, place of the list.
const HEADER: usize = 48;

impl Preset {
    /// The preset as a `.vstpreset` file. Its words on when to use it have no place there.
    pub fn to_vst3(&self) -> Vec<u8> {
        let state = self.state();
        let list = HEADER + state.len();
        let class: String = VST3_CLASS.iter().map(|byte| format!("{byte:02X}")).collect();
        let mut file = Vec::new();
        file.extend(b"VST3");
        file.extend(1i32.to_le_bytes());
        file.extend(class.as_bytes());
        file.extend((list as i64).to_le_bytes());
        file.extend(state.as_bytes());
        file.extend(b"List");
        file.extend(1i32.to_le_bytes());
        file.extend(b"Comp");
        file.extend((HEADER as i64).to_le_bytes());
        file.extend((state.len() as i64).to_le_bytes());
        file
    }

    /// The settings as the effect saves them.
    fn state(&self) -> String {
        let values: Vec<_> =
            self.settings.each().map(|(setting, plain)| value(setting, plain)).collect();
        let version = env!("CARGO_PKG_VERSION");
        format!(r#"{{"version":"{version}","params":{{{}}},"fields":{{}}}}"#, values.join(","))
    }
}

/// One setting as JSON: keys and words have neither quotes nor backslashes.
fn value(setting: &Setting, plain: f32) -> String {
    let value = match setting.kind {
        Kind::Switch => format!(r#""bool":{}"#, plain >= 0.5),
        Kind::Choice { .. } => format!(r#""string":"{}""#, setting.show(plain)),
        Kind::Number { .. } => format!(r#""f32":{plain:?}"#),
    };
    format!(r#""{}":{{{value}}}"#, setting.key)
}
