//! How every command that measures hands out its sheet: text or JSON on
//! standard output, and one HTML file where it is wanted.

use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::failure::Failure;
use crate::cli::output::{Output, print, write_text};
use crate::cli::places::{self, Named};
use crate::plot::Palette;
use crate::report::{Sheet, csv, html, json, pictures, svg, text};

/// What the sheet is handed out as.
#[derive(clap::Args, Clone, Debug)]
pub(super) struct Hand {
    /// Prints JSON (schema 1) instead of text
    #[arg(long)]
    json: bool,
    /// Writes the report as one self-contained HTML file; - is standard output
    #[arg(long, value_name = "FILE.html")]
    report: Option<PathBuf>,
    /// Writes every picture of the report as an SVG file into this folder, and its figures as CSV
    #[arg(long, value_name = "DIR")]
    pictures: Option<PathBuf>,
    /// Replaces files that exist
    #[arg(short, long)]
    pub(super) force: bool,
}

/// A sheet that is awaited; its report file is already begun.
pub(super) struct Awaited {
    json: bool,
    report: Option<Output>,
    pictures: Option<PathBuf>,
    force: bool,
    to_pipe: bool,
}

impl Hand {
    /// True when something beside text is wanted.
    pub(super) fn is_wanted(&self) -> bool {
        self.json || self.report.is_some() || self.pictures.is_some()
    }

    /// Refuses outputs that would destroy each other or an input: those of the sheet, and the
    /// `others` of the command.
    ///
    /// # Errors
    /// One sentence that names both.
    pub(super) fn apart(&self, others: &[Named], inputs: &[&Path]) -> Result<(), Failure> {
        let json = self.json.then_some(Path::new("-"));
        let own = [("--report", self.report.as_deref()), ("--json", json)];
        places::apart(&[others, &own].concat(), inputs)
    }

    fn reports_to_pipe(&self) -> bool {
        self.report.as_deref() == Some(Path::new("-"))
    }

    /// Begins the report file, so that what cannot be written is said before the work. Where one
    /// of the `others` takes standard output, the text keeps silent.
    ///
    /// # Errors
    /// The file exists or cannot be written, or two outputs want one place.
    pub(super) fn begin(&self, others: &[Named], inputs: &[&Path]) -> Result<Awaited, Failure> {
        self.apart(others, inputs)?;
        let pipe = |(_, path): &Named| *path == Some(Path::new("-"));
        let report = self.report.as_deref().map(|path| Output::create(path, self.force));
        Ok(Awaited {
            json: self.json,
            report: report.transpose()?,
            pictures: self.pictures.clone(),
            force: self.force,
            to_pipe: self.reports_to_pipe() || others.iter().any(pipe),
        })
    }
}

impl Awaited {
    /// Hands out the sheet.
    ///
    /// # Errors
    /// An output cannot be written.
    pub(super) fn finish(self, sheet: &Sheet) -> Result<(), Failure> {
        let Self { json, to_pipe, .. } = self;
        self.finish_silently(sheet)?;
        match (to_pipe, json) {
            (true, _) | (_, true) => Ok(()),
            (false, false) => print(&text(sheet)),
        }
    }

    /// Hands out what was asked for by an option, without the text.
    ///
    /// # Errors
    /// An output cannot be written.
    pub(super) fn finish_silently(self, sheet: &Sheet) -> Result<(), Failure> {
        if let Some(mut report) = self.report {
            report.write(html(sheet).as_bytes())?;
            report.commit()?;
        }
        if let Some(folder) = self.pictures {
            write_pictures(&folder, self.force, sheet)?;
        }
        if self.json { print(&format!("{:#}\n", json(sheet))) } else { Ok(()) }
    }
}

/// Every picture by day, named by its number and title, and every table of figures:
/// `1-responses.svg`, `responses.csv`.
fn write_pictures(folder: &Path, force: bool, sheet: &Sheet) -> Result<(), Failure> {
    let name = folder.display().to_string();
    fs::create_dir_all(folder).map_err(|error| Failure::unwritable(&name, &error))?;
    for (i, picture) in pictures(sheet).iter().enumerate() {
        let path = folder.join(format!("{}-{}.svg", i + 1, plain(&picture.title)));
        write_text(&path, force, &svg(&picture.wide, Palette::Day))?;
    }
    let mut written = HashSet::new();
    for (title, table) in csv::all(sheet) {
        let name = plain(&title);
        // Two channels heard alike have tables of one name: the second says so.
        let name = if written.insert(name.clone()) { name } else { format!("{name}-2") };
        write_text(&folder.join(format!("{name}.csv")), force, &table)?;
    }
    Ok(())
}

/// A title as the name of a file.
fn plain(title: &str) -> String {
    let title = title.to_lowercase();
    let words = title.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join("-")
}
