//! The sheet as plain text: tables a person reads at a glance.

use crate::report::{Sheet, finding};

/// The sheet as plain text, ending with a line end.
pub fn text(sheet: &Sheet) -> String {
    format!("{}\n\n{}\n", sheet.subject, finding(sheet).plain())
}
