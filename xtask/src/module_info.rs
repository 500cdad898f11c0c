//! What hosts read of the VST3 plugin without loading it: `moduleinfo.json`.
//!
//! The form is that of the VST 3 SDK, "Module Info". It must say what the library itself says:
//! `hosts/python/factory.py` holds one against the other. There is no page and no mailbox of the
//! project that would stay, so neither is named.

use std::fs;
use std::path::Path;

/// Where the class stands in a preset: 32 hexadecimal digits ("Preset Format" of the SDK).
const CLASS: std::ops::Range<usize> = 8..40;

/// Where it stands in the bundle.
pub(crate) const PLACE: &str = "Contents/Resources/moduleinfo.json";

/// What it says, with the class that this preset is for.
pub(crate) fn of(name: &str, preset: &Path) -> Result<String, String> {
    let preset = fs::read(preset).map_err(|e| format!("{}: {e}", preset.display()))?;
    let class = preset.get(CLASS).ok_or("a preset without a class")?;
    let class = String::from_utf8_lossy(class);
    Ok(text(name, env!("CARGO_PKG_VERSION"), &class))
}

/// The SDK's version and the flag ("simple mode") are those of the framework.
fn text(name: &str, version: &str, class: &str) -> String {
    format!(
        r#"{{
  "Name": "{name}",
  "Version": "{version}",
  "Factory Info": {{
    "Vendor": "{name}",
    "URL": "",
    "E-Mail": "",
    "Flags": {{
      "Unicode": true,
      "Classes Discardable": false,
      "Component Non Discardable": false
    }}
  }},
  "Compatibility": [],
  "Classes": [
    {{
      "CID": "{class}",
      "Category": "Audio Module Class",
      "Name": "{name}",
      "Vendor": "{name}",
      "Version": "{version}",
      "SDKVersion": "VST 3.6.14",
      "Sub Categories": ["Fx", "Filter", "Analyzer"],
      "Class Flags": 2,
      "Cardinality": 2147483647,
      "Snapshots": []
    }}
  ]
}}
"#
    )
}
