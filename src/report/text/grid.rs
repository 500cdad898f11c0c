//! A table of plain text, each column as wide as its widest cell.

/// A table under construction.
pub(super) struct Grid {
    title: String,
    head: Vec<String>,
    to_right: Vec<bool>,
    rows: Vec<Vec<String>>,
}

impl Grid {
    /// A table with a title; a head that starts with `>` sets its column to the right.
    pub(super) fn new(title: &str, head: &[&str]) -> Self {
        Self {
            title: title.into(),
            head: head.iter().map(|words| words.trim_start_matches('>').into()).collect(),
            to_right: head.iter().map(|words| words.starts_with('>')).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row.
    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// True when it has no row.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The table as text; nothing when it has no row.
    pub(super) fn show(&self) -> String {
        if self.is_empty() {
            return String::new();
        }
        let widths = self.widths();
        let has_head = self.head.iter().any(|words| !words.is_empty());
        let head = has_head.then_some(&self.head);
        let lines = head.into_iter().chain(&self.rows).map(|row| self.line(row, &widths));
        format!("{}\n{}", self.title, lines.collect::<String>())
    }

    fn widths(&self) -> Vec<usize> {
        let rows = || std::iter::once(&self.head).chain(&self.rows);
        let columns = rows().map(Vec::len).max().unwrap_or(0);
        let width =
            |column: usize| rows().filter_map(|row| row.get(column)).map(|c| count(c)).max();
        (0..columns).map(|column| width(column).unwrap_or(0)).collect()
    }

    fn line(&self, row: &[String], widths: &[usize]) -> String {
        let mut line = String::new();
        for (i, (cell, width)) in row.iter().zip(widths).enumerate() {
            let space = " ".repeat(width - count(cell));
            let is_right = self.to_right.get(i).copied().unwrap_or(false);
            let (before, after) =
                if is_right { (space, String::new()) } else { (String::new(), space) };
            line += &format!("  {before}{cell}{after}");
        }
        format!("{}\n", line.trim_end())
    }
}

/// Columns on a terminal; every character counts as one.
fn count(words: &str) -> usize {
    words.chars().count()
}
