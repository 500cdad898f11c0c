//! A curve from a table in the person's folder: one that the window kept, or two columns of numbers.

use crate::curve::Curve;
use crate::editor::files::write_new::reason;
use std::fs;
use std::path::Path;

/// Points a table may have.
const MOST_POINTS: usize = 100_000;

/// A larger file is no table of a curve, in bytes.
const LARGEST: u64 = 8 << 20;

/// The curve of the table with this name in the folder; its ending may be left out.
///
/// # Errors
/// One sentence: no name, no such file, or no table.
pub fn read(folder: &Path, name: &str) -> Result<Curve, String> {
    let name = name.trim();
    let stem = name.strip_suffix(".csv").unwrap_or(name);
    if stem.is_empty() {
        return Err("Type the name of a table first, such as spectrum-2.".into());
    }
    let file = folder.join(format!("{stem}.csv"));
    let left_out = |why: String| format!("{} is left out: {why}.", file.display());
    let length = fs::metadata(&file).map_err(|why| left_out(reason(&why)))?.len();
    if length > LARGEST {
        return Err(left_out("too large for a table".into()));
    }
    let text = fs::read_to_string(&file).map_err(|_| left_out("not a text".into()))?;
    read_table(&text).map_err(left_out)
}

/// A curve of a table as `figures` of the Spectrum are kept, or of any two columns of numbers:
/// frequency in Hz and level in dB.
///
/// # Errors
/// One sentence when there are no two such columns.
pub fn read_table(text: &str) -> Result<Curve, String> {
    let mut rows = text.lines().filter(|row| !row.starts_with('#') && !row.trim().is_empty());
    let head: Vec<&str> = rows.next().unwrap_or_default().split(',').map(str::trim).collect();
    let column = |name: &str| head.iter().position(|head| *head == name);
    let known = column("comes_out_db_re_200_1000_hz").or(column("radio_gives_db_re_200_1000_hz"));
    let (hz, db) = (column("frequency_hz").or(column("exact_hz")).unwrap_or(0), known.unwrap_or(1));
    let cells = |row: &str| {
        let cells: Vec<&str> = row.split([',', ';', '\t']).map(str::trim).collect();
        let number = |at: usize| cells.get(at)?.parse::<f64>().ok();
        Some((number(hz)?, number(db)?))
    };
    // A table without a head begins with its first row.
    let all = text.lines().filter(|row| !row.starts_with('#'));
    let points: Vec<(f64, f64)> = all.filter_map(cells).take(MOST_POINTS).collect();
    let curve = Curve::new(points);
    match curve.points().len() {
        0 | 1 => Err("no table of frequencies and levels".into()),
        _ => Ok(curve),
    }
}
