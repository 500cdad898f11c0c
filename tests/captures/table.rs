//! The figures of a run, kept as tables for the documentation.

use std::fmt::Write as _;

/// Whether the long form runs: every figure at its full number of seeds.
pub(crate) fn long() -> bool {
    std::env::var("UNDERPIN_CAPTURES").is_ok_and(|form| form == "long")
}

/// A table that is written when it goes.
pub(crate) struct Table {
    title: String,
    text: String,
}

impl Table {
    pub(crate) fn new(title: &str, head: &[&str]) -> Self {
        let mut text = format!("## {title}\n\n| {} |\n|", head.join(" | "));
        text.push_str(&"---|".repeat(head.len()));
        Self { title: title.into(), text: text + "\n" }
    }

    pub(crate) fn row(&mut self, cells: &[String]) {
        let _ = writeln!(self.text, "| {} |", cells.join(" | "));
    }
}

impl Drop for Table {
    fn drop(&mut self) {
        println!("{}", self.text);
        if let Ok(folder) = std::env::var("UNDERPIN_CAPTURES_OUT") {
            let name = format!("{}.md", self.title.replace(' ', "-"));
            // A table that cannot be kept is still printed.
            let _ = std::fs::write(std::path::Path::new(&folder).join(name), &self.text);
        }
    }
}
