//! No output destroys another one or an input: asked before anything is written.

use std::path::{Path, PathBuf};

use crate::cli::failure::Failure;

/// An output with the name it has on the command line; `None` when it is not wanted.
pub(super) type Named<'a> = (&'a str, Option<&'a Path>);

/// Refuses two outputs at one place, and an output at the place of an input. A link is the place
/// it points to; a device or a pipe may be written to twice.
///
/// # Errors
/// One sentence that names both.
pub(super) fn apart(outputs: &[Named], inputs: &[&Path]) -> Result<(), Failure> {
    let wanted: Vec<(&str, PathBuf)> =
        outputs.iter().filter_map(|(name, path)| Some((*name, place((*path)?)?))).collect();
    for (i, (name, at)) in wanted.iter().enumerate() {
        if let Some((other, _)) = wanted[..i].iter().find(|(_, earlier)| earlier == at) {
            return Err(Failure::usage(match at == Path::new("-") {
                true => format!("{other} and {name} both want standard output"),
                false => format!("{other} and {name} are both {}", at.display()),
            }));
        }
        let inputs = inputs.iter().filter(|input| **input != Path::new("-"));
        if let Some(input) = inputs.clone().find(|input| place(input).as_ref() == Some(at)) {
            let sentence = format!("{name} would overwrite the input {}", input.display());
            return Err(Failure::usage(sentence));
        }
    }
    Ok(())
}

/// Where a path really leads; `None` for what is no file to overwrite.
fn place(path: &Path) -> Option<PathBuf> {
    if path == Path::new("-") {
        return Some(path.into());
    }
    match path.metadata() {
        Ok(there) if !there.is_file() => None,
        Ok(_) => path.canonicalize().ok(),
        Err(_) => {
            let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty());
            let parent = parent.unwrap_or(Path::new(".")).canonicalize().ok()?;
            Some(parent.join(path.file_name()?))
        }
    }
}
