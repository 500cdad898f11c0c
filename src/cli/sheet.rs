//! The sheet about files: what they are, what was odd about them, their hashes.

use std::path::Path;

use crate::audio::Reader;
use crate::cli::failure::Failure;
use crate::cli::remark;
use crate::measure::Readings;
use crate::report::{Input, Run, Sheet, Table};

/// A sheet with one run that was measured from `files`, the measured one first.
/// Says to standard error what is odd about them.
///
/// # Errors
/// A file cannot be read again for its hash.
pub(super) fn of_files(files: Vec<Reader>, readings: Readings) -> Result<Sheet, Failure> {
    let names: Vec<String> = files.iter().map(|file| base_name(file.name())).collect();
    let mut sheet = Sheet::new(names.join(" against "));
    sheet.runs = vec![Run::new(names[0].clone(), readings)];
    sheet.tables = vec![about(&files)];
    for (file, name) in files.into_iter().zip(names) {
        file.notes().iter().for_each(|note| remark(&format!("{name}: {note}")));
        sheet.provenance.inputs.push(Input { name, sha256: file.sha256()? });
    }
    Ok(sheet)
}

fn about(files: &[Reader]) -> Table {
    let row = |file: &Reader| {
        let rate = file.sample_rate_hz();
        let seconds = file.frames().map(|frames| format!("{:.3}", frames as f64 / rate));
        let channels = if file.channels() == 1 { "mono" } else { "stereo" };
        vec![
            base_name(file.name()),
            file.kind().into(),
            channels.into(),
            rate.to_string(),
            seconds.unwrap_or_else(|| "not told".into()),
            file.notes().join("; "),
        ]
    };
    let head = ["file", "kind", "channels", "Hz", "s", "note"];
    Table {
        title: "Files".into(),
        head: head.map(String::from).to_vec(),
        rows: files.iter().map(row).collect(),
        ..Table::default()
    }
}

fn base_name(name: &str) -> String {
    if name == "-" {
        return "standard input".into();
    }
    Path::new(name).file_name().map_or(name.into(), |base| base.to_string_lossy().into_owned())
}
