//! What a page asks, read.

use serde_json::Value;

/// A text of what is asked; empty where there is none.
pub(crate) fn text<'a>(asked: &'a Value, key: &str) -> &'a str {
    asked[key].as_str().unwrap_or_default()
}

/// A number of what is asked.
pub(crate) fn number(asked: &Value, key: &str, default: f64) -> f64 {
    asked[key].as_f64().unwrap_or(default)
}
