//! The list of faults: blocks of lines in text files, one block a fault.
//!
//! ```text
//! in src/dsp/ceiling.rs          a file, or a folder with one place that fits
//! was let sample = «frame[0].abs().max(frame[1].abs())»;
//! now frame[0].abs()             in the place of what stands between « and »
//! it path::the_ceiling           the test program and the tests expected to notice
//! the right channel is unheard   what it means, the last line
//! ```

use std::fs;
use std::path::Path;

/// The CLAP host's tests: they load the built plugin.
pub(super) const HOST: &str = "clap";

/// The test programs a fault can be held against.
pub(super) const SUITES: [&str; 4] = ["it", "captures", "foreign", HOST];

/// One planted fault.
pub(super) struct Fault {
    /// Its number in the environment, from 1 up.
    pub(super) number: usize,
    /// File or folder of the original, from the top of the tree.
    pub(super) place: String,
    /// The original expression, between « and » where its surroundings are named with it.
    pub(super) was: String,
    /// The faulty one, of the same type.
    pub(super) now: String,
    /// Test programs, each with the tests expected to notice; none names the whole program.
    pub(super) tests: Vec<(String, Vec<String>)>,
    /// What it means, in a line.
    pub(super) meaning: String,
}

impl Fault {
    /// Where it is and what it means.
    pub(super) fn title(&self) -> String {
        format!("{:>3} {}: {}", self.number, self.place, self.meaning)
    }

    /// True when `word` stands in its place or its meaning.
    pub(super) fn holds(&self, word: &str) -> bool {
        self.place.contains(word) || self.meaning.contains(word)
    }
}

/// Reads every list in `folder`, in the order of the names.
pub(super) fn read(folder: &Path) -> Result<Vec<Fault>, String> {
    let failed = |e: std::io::Error| format!("{}: {e}", folder.display());
    let entries = fs::read_dir(folder).map_err(failed)?;
    let mut files: Vec<_> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    files.sort();
    let mut faults = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).map_err(failed)?;
        let text: String = text
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| line.to_string() + "\n")
            .collect();
        let blocks = text.split("\n\n").map(str::trim).filter(|block| !block.is_empty());
        for block in blocks {
            let fault = parse(block, faults.len() + 1);
            faults.push(fault.ok_or_else(|| format!("{}: not a fault:\n{block}", file.display()))?);
        }
    }
    Ok(faults)
}

fn parse(block: &str, number: usize) -> Option<Fault> {
    let lines: Vec<&str> = block.lines().collect();
    let (meaning, lines) = lines.split_last()?;
    let (mut place, mut was, mut now, mut tests) = (None, None, None, Vec::new());
    for line in lines {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        let rest = rest.trim().to_string();
        match word {
            "in" => place = Some(rest),
            "was" => was = Some(rest),
            "now" => now = Some(rest),
            suite if SUITES.contains(&suite) => {
                let names = rest.split_whitespace().map(String::from).collect();
                tests.push((suite.to_string(), names));
            }
            _ => return None,
        }
    }
    let meaning = (*meaning).to_string();
    (!tests.is_empty()).then_some(Fault {
        number,
        place: place?,
        was: was?,
        now: now?,
        tests,
        meaning,
    })
}
