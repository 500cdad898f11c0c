//! Copies the bundles into the user's own plugin folders and says where.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use crate::Outcome;
use crate::bundle;

/// Bundles, then copies every bundle to its folder.
pub(crate) fn run() -> Outcome {
    bundle::run()?;
    let [claps, vst3s, presets, programs] = folders()?;
    let places = [("Underpin.clap", claps), ("Underpin.vst3", vst3s)];
    copy_all(&bundle::bundled().join("presets"), &presets)?;
    println!("installed {}", presets.display());
    let window = format!("underpin-window{}", env::consts::EXE_SUFFIX);
    for (file, folder) in places.into_iter().chain([(window.as_str(), programs)]) {
        let from = bundle::bundled().join(file);
        if from.exists() {
            let to = folder.join(file);
            bundle::remove(&to)?;
            copy_all(&from, &to)?;
            println!("installed {}", to.display());
        }
    }
    Ok(())
}

/// The user's folders for CLAP, VST3, VST3 presets ("VST 3 Locations / Format" of the SDK:
/// company, then effect) and programs, by the rules of each format.
fn folders() -> Result<[PathBuf; 4], String> {
    let own = Path::new("Underpin").join("Underpin");
    let of = |name: &str| env::var_os(name).map(PathBuf::from).ok_or(format!("{name} is not set"));
    if cfg!(windows) {
        let common = of("LOCALAPPDATA")?.join("Programs").join("Common");
        let presets = of("USERPROFILE")?.join("Documents").join("VST3 Presets").join(own);
        return Ok([common.join("CLAP"), common.join("VST3"), presets, common.join("Underpin")]);
    }
    let home = of("HOME")?;
    if cfg!(target_os = "macos") {
        let plugins = home.join("Library/Audio/Plug-Ins");
        let presets = home.join("Library/Audio/Presets").join(own);
        let [claps, vst3s] = ["CLAP", "VST3"].map(|format| plugins.join(format));
        return Ok([claps, vst3s, presets, home.join("Applications")]);
    }
    let presets = home.join(".vst3/presets").join(own);
    Ok([home.join(".clap"), home.join(".vst3"), presets, home.join(".local/bin")])
}

/// Copies a file, or a folder with all that is in it.
pub(crate) fn copy_all(from: &Path, to: &Path) -> Outcome {
    if !from.is_dir() {
        return bundle::copy(from, to);
    }
    let entries = fs::read_dir(from).map_err(|e| format!("{}: {e}", from.display()))?;
    for entry in entries {
        let entry = entry.map_err(|e| e.to_string())?;
        copy_all(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}
