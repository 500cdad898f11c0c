//! The presets to choose from: those that come with the program, then the person's own files.

use crate::editor::files::write_new;
use crate::editor::files::write_new::reason;
use crate::presets::{self, Preset};
use crate::settings::Settings;
use std::fs;
use std::path::{Path, PathBuf};

/// A preset to choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The preset.
    pub preset: Preset,
    /// Its file, when it is the person's own.
    pub file: Option<PathBuf>,
}

/// All presets, and what could not be read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Library {
    /// The presets, in the order shown.
    pub entries: Vec<Entry>,
    /// One sentence for each file that could not be read.
    pub faults: Vec<String>,
}

/// The folder of the person's own presets in the folder of the window.
pub fn folder(shelf: &Path) -> PathBuf {
    shelf.join("presets")
}

impl Library {
    /// Reads the person's own presets, by name, behind those of the program.
    pub fn read(shelf: &Path) -> Self {
        let entries = presets::all().into_iter().map(|preset| Entry { preset, file: None });
        let mut library = Self { entries: entries.collect(), faults: Vec::new() };
        // No folder yet: nothing was saved.
        let Ok(files) = fs::read_dir(folder(shelf)) else { return library };
        let mut files: Vec<PathBuf> = files.filter_map(|file| Some(file.ok()?.path())).collect();
        files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
        files.sort();
        for file in files {
            match read(&file) {
                Ok(preset) => library.entries.push(Entry { preset, file: Some(file) }),
                Err(why) => library.faults.push(format!("{} is left out: {why}.", file.display())),
            }
        }
        library
    }
}

fn read(file: &Path) -> Result<Preset, String> {
    Preset::parse(&fs::read_to_string(file).map_err(|why| reason(&why))?)
}

/// Saves what is set under a name of its own; returns where.
///
/// # Errors
/// One sentence: no name, a name that is taken, or a folder that cannot be written.
pub fn save(
    shelf: &Path,
    name: &str,
    settings: Settings,
    from: Option<&Preset>,
) -> Result<Entry, String> {
    let name = name.trim();
    let preset = Preset {
        kept: from.map_or(Vec::new(), |from| from.kept.clone()),
        ..Preset::new(name, "Saved from the window.", settings)
    };
    let stem = preset.slug();
    if !stem.contains(char::is_alphanumeric) {
        return Err("A preset needs a name.".into());
    }
    let folder = folder(shelf);
    if folder.join(format!("{stem}.toml")).exists() || presets::named(name).is_some() {
        return Err(format!(
            "There is a preset \u{201c}{name}\u{201d} already: choose another name."
        ));
    }
    let file = write_new::keep(&folder, &stem, "toml", preset.to_toml().as_bytes())?;
    Ok(Entry { preset, file: Some(file) })
}
