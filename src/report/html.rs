//! The sheet as one self-contained HTML file.

use crate::report::{Sheet, finding};

/// The sheet as one self-contained HTML file.
pub fn html(sheet: &Sheet) -> String {
    format!("<!doctype html>\n<title>{}</title>", escape(&finding(sheet).plain()))
}

/// Text from outside, made harmless inside HTML text and attributes.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
