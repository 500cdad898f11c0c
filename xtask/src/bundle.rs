//! Plugin files from the library: a `.clap`, a `.vst3` folder, the presets for
//! the browsers of VST3 hosts and the stand-alone window, in `bundled/` of the
//! target folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Outcome;
use crate::module_info;
use crate::notices;
use crate::shell::{self, finish, root};

/// What the bundles are called stands here, by package.
const BUNDLER: &str = include_str!("../../bundler.toml");

/// The name of the bundles: the one value of `bundler.toml`.
fn name() -> &'static str {
    BUNDLER.split('"').nth(1).unwrap_or("Underpin")
}

/// Builds and bundles all of them.
pub(crate) fn run() -> Outcome {
    library(&["--release", "--features", "plugin"])?;
    let made = plugins(&target().join("release"))?;
    notices::run(&bundled())?;
    let resources = made[1].join("Contents/Resources");
    copy(&bundled().join(notices::FILE), &resources.join(notices::FILE))?;
    let presets = presets()?;
    let module_info = module_info::of(name(), &presets.join("start-here.vstpreset"))?;
    write(&made[1].join(module_info::PLACE), &module_info)?;
    println!("{}", presets.display());
    let window = window()?;
    for path in made.iter().chain(&window) {
        println!("{}", path.display());
    }
    Ok(())
}

/// Builds the plugin's library without the program.
pub(crate) fn library(options: &[&str]) -> Outcome {
    let fixed = ["rustc", "--lib", "--crate-type", "cdylib", "--no-default-features"];
    shell::run("cargo", &[&fixed[..], options].concat())
}

/// The folder Cargo builds into.
pub(crate) fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// The folder the bundles are in.
pub(crate) fn bundled() -> PathBuf {
    target().join("bundled")
}

/// What this system calls the plugin's library.
pub(crate) const fn library_file() -> &'static str {
    if cfg!(windows) {
        "underpin.dll"
    } else if cfg!(target_os = "macos") {
        "libunderpin.dylib"
    } else {
        "libunderpin.so"
    }
}

/// Copies the library built in `folder` to where each format wants it.
pub(crate) fn plugins(folder: &Path) -> Result<[PathBuf; 2], String> {
    let library = folder.join(library_file());
    let name = name();
    let clap = bundled().join(format!("{name}.clap"));
    let vst3 = bundled().join(format!("{name}.vst3"));
    for old in [&clap, &vst3] {
        remove(old)?;
    }
    if cfg!(target_os = "macos") {
        mac_bundle(&library, &clap)?;
        mac_bundle(&library, &vst3)?;
    } else {
        copy(&library, &clap)?;
        copy(&library, &vst3.join(vst3_binary()))?;
    }
    Ok([clap, vst3])
}

/// Every built-in preset as a file for a host's own browser, written by the program.
fn presets() -> Result<PathBuf, String> {
    shell::run("cargo", &["build", "--quiet", "--release", "--bin", "underpin"])?;
    let program =
        target().join("release").join(format!("underpin{}", std::env::consts::EXE_SUFFIX));
    let folder = bundled().join("presets");
    remove(&folder)?;
    fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let sources = fs::read_dir(root().join("src/presets")).map_err(|e| e.to_string())?;
    for source in sources.filter_map(|entry| Some(entry.ok()?.path())) {
        let Some(slug) =
            source.file_stem().filter(|_| source.extension().is_some_and(|e| e == "toml"))
        else {
            continue;
        };
        let file = folder.join(slug).with_extension("vstpreset");
        finish(Command::new(&program).args(["presets", "export"]).arg(slug).arg("-o").arg(file))?;
    }
    Ok(folder)
}

/// Builds the window when the headers of the sound systems are there.
fn window() -> Result<Option<PathBuf>, String> {
    let headers = ["alsa", "jack"];
    let there = |name: &&str| {
        Command::new("pkg-config").args(["--exists", name]).status().is_ok_and(|s| s.success())
    };
    if cfg!(target_os = "linux") && !headers.iter().all(there) {
        println!(
            "underpin-window is left out: it needs pkg-config and the headers of ALSA and JACK"
        );
        return Ok(None);
    }
    let features = ["--no-default-features", "--features", "standalone"];
    let build = ["build", "--release", "--bin", "underpin-window"];
    shell::run("cargo", &[&build[..], &features].concat())?;
    let file = format!("underpin-window{}", std::env::consts::EXE_SUFFIX);
    let made = bundled().join(&file);
    copy(&target().join("release").join(&file), &made)?;
    Ok(Some(made))
}

/// Where the library lies inside a `.vst3` folder (VST 3 SDK, "Plug-in Format Structure").
fn vst3_binary() -> PathBuf {
    let (name, arch) = (name(), std::env::consts::ARCH);
    let (system, suffix) = if cfg!(windows) { ("win", "vst3") } else { ("linux", "so") };
    Path::new("Contents").join(format!("{arch}-{system}")).join(format!("{name}.{suffix}"))
}

/// A macOS bundle, signed for this machine.
fn mac_bundle(library: &Path, bundle: &Path) -> Outcome {
    let name = name();
    copy(library, &bundle.join("Contents/MacOS").join(name))?;
    let kind = bundle.extension().unwrap_or_default().to_string_lossy();
    let plist = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <plist version=\"1.0\"><dict>\n\
         <key>CFBundleExecutable</key><string>{name}</string>\n\
         <key>CFBundleIdentifier</key><string>org.underpin.{kind}</string>\n\
         <key>CFBundleName</key><string>{name}</string>\n\
         <key>CFBundlePackageType</key><string>BNDL</string>\n\
         <key>CFBundleShortVersionString</key><string>{0}</string>\n\
         <key>CFBundleVersion</key><string>{0}</string>\n\
         </dict></plist>\n",
        env!("CARGO_PKG_VERSION")
    );
    write(&bundle.join("Contents/Info.plist"), &plist)?;
    write(&bundle.join("Contents/PkgInfo"), "BNDL????")?;
    finish(Command::new("codesign").args(["--force", "--sign", "-"]).arg(bundle))
}

/// Copies a file, and makes the folders on its way.
pub(crate) fn copy(from: &Path, to: &Path) -> Outcome {
    let copied = fs::create_dir_all(to.parent().unwrap_or(to)).and_then(|()| fs::copy(from, to));
    copied.map(|_| ()).map_err(|e| format!("{} to {}: {e}", from.display(), to.display()))
}

/// Removes a file or a folder, if it is there.
pub(crate) fn remove(path: &Path) -> Outcome {
    let removed = if path.is_dir() { fs::remove_dir_all(path) } else { fs::remove_file(path) };
    match removed {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(format!("{}: {error}", path.display()))
        }
        _ => Ok(()),
    }
}

/// Writes a file into a folder that is there.
fn write(path: &Path, text: &str) -> Outcome {
    fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}
