//! Real hosts run the plugin: a CLAP host of our own, two VST3 hosts in
//! Python, Ardour, and the stand-alone window under a virtual screen; real browsers open the page.
//!
//! What is missing is fetched: Debian packages with apt (as root), Python
//! packages into `data/python`. Nothing else of the project needs any of it.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell::{self, finish, root};
use crate::{Outcome, bundle, data, page};

/// Debian packages, and a program that shows that each is there.
const PACKAGES: [(&str, &str); 10] = [
    ("ardour", "/usr/bin/ardour7-lua"),
    ("chromium", "/usr/bin/chromium"),
    ("chromium-driver", "/usr/bin/chromedriver"),
    ("firefox-esr", "/usr/bin/firefox-esr"),
    ("ffmpeg", "/usr/bin/ffmpeg"),
    ("jackd2", "/usr/bin/jackd"),
    ("libasound2-dev", "/usr/include/alsa/version.h"),
    ("libjack-jackd2-dev", "/usr/include/jack/jack.h"),
    ("pkg-config", "/usr/bin/pkg-config"),
    ("xvfb", "/usr/bin/Xvfb"),
];

/// What a window and Python need besides, looked for with them.
const LIBRARIES: [&str; 8] = [
    "libgl1",
    "libgl1-mesa-dri",
    "libx11-xcb1",
    "libxkbcommon-x11-0",
    "libxkbcommon0",
    "libx11-6",
    "libxcb1",
    "python3-venv",
];

/// Python packages at the versions that were tried.
const PYTHON: [&str; 7] = [
    "numpy==2.4.6",
    "scipy==1.17.1",
    "pedalboard==0.9.26",
    "dawdreamer==0.9.0",
    "python-xlib==0.33",
    "pillow==12.0.0",
    "selenium==4.51.0",
];

/// Brings axe-core; what it would drive it with is not needed.
const AXE: &str = "axe-playwright-python==0.1.8";

/// A recording that every host hears.
const RECORDING: &str = "usr/share/sonic-pi/samples/bass_thick_c.flac";

/// Packages outside the workspace.
const OWN: [&str; 4] =
    ["hosts/Cargo.toml", "page/Cargo.toml", "page/assemble/Cargo.toml", "tests/window/Cargo.toml"];

/// Runs every host on a fresh bundle.
pub(crate) fn run() -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("these hosts run on Linux".into());
    }
    packages()?;
    let python = python()?;
    data::run()?;
    bundle::run()?;
    shell::run("cargo", &["build", "--release", "--bin", "underpin"])?;

    shell::run("cargo", &["test", "--test", "recordings", "--test", "codecs"])?;
    let clap = bundle::bundled().join("Underpin.clap");
    clap_host(&clap, &[])?;
    let [vst3, window] = ["Underpin.vst3", "underpin-window"].map(|f| bundle::bundled().join(f));
    let program = bundle::target().join("release/underpin");
    let recording = root().join("data/recordings").join(RECORDING);
    script(&python, "prove.py", &[&program])?;
    script(&python, "example.py", &[&program])?;
    script(&python, "factory.py", &[&vst3])?;
    script(&python, "vst3.py", &[&vst3, &program, &recording])?;
    script(&python, "ardour.py", &[&vst3, &program])?;
    script(&python, "window.py", &[&window])?;
    script(&python, "shots.py", &[&vst3, &program, &bundle::target().join("shots")])?;
    allocations(&python)?;
    browsers(&python, &program, &recording)
}

/// The page in two browsers.
fn browsers(python: &Path, program: &Path, recording: &Path) -> Outcome {
    page::run()?;
    let made = page::made();
    let pictures = bundle::target().join("page/pictures");
    // Two minutes of playing; without the word it is five.
    let seconds = Path::new("120");
    script(python, "page.py", &[&made, program, recording, &pictures, seconds])?;
    script(python, "firefox.py", &[&made, program])
}

/// Lints of what plain `cargo clippy` does not build.
pub(crate) fn lints() -> Outcome {
    let strict = ["--", "-D", "warnings"];
    let plugin = ["clippy", "--quiet", "--no-default-features", "--features", "plugin", "--lib"];
    shell::run("cargo", &[&plugin[..], &strict].concat())?;
    for manifest in OWN {
        shell::run("cargo", &["fmt", "--manifest-path", manifest, "--check"])?;
        let own = ["clippy", "--quiet", "--manifest-path", manifest, "--all-targets"];
        shell::run("cargo", &[&own[..], &strict].concat())?;
    }
    Ok(())
}

/// The CLAP host's tests that need nothing but the plugin.
pub(crate) const CLAP_TESTS: [&str; 2] = ["--test", "clap"];

/// The CLAP host's tests, on this plugin.
pub(crate) fn clap_host(plugin: &Path, more: &[&str]) -> Outcome {
    let mut cargo = Command::new("cargo");
    cargo.arg("test").args(more).current_dir(root().join("hosts"));
    cargo.env("CARGO_TARGET_DIR", bundle::target().join("hosts")).env("UNDERPIN_CLAP", plugin);
    finish(cargo.env("NICE_LOG", "/dev/null"))
}

/// The window once more, built to end at the first allocation in `process`.
fn allocations(python: &Path) -> Outcome {
    let fixed = ["build", "--no-default-features", "--bin", "underpin-window"];
    let features = ["--features", "standalone,assert_process_allocs"];
    shell::run("cargo", &[&fixed[..], &features].concat())?;
    script(python, "window.py", &[&bundle::target().join("debug/underpin-window")])
}

fn script(python: &Path, name: &str, args: &[&Path]) -> Outcome {
    let script = root().join("hosts/python").join(name);
    finish(Command::new(python).arg(script).args(args).env("NICE_LOG", "/dev/null"))
}

/// Installs the Debian packages that are missing.
fn packages() -> Outcome {
    let missing: Vec<_> = PACKAGES.iter().filter(|(_, file)| !Path::new(file).exists()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    shell::run("apt-get", &["update", "--quiet"])?;
    let names = missing.iter().map(|(name, _)| *name).chain(LIBRARIES);
    let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
    shell::run("apt-get", &install.into_iter().chain(names).collect::<Vec<_>>())
}

/// A Python of our own with the packages in it.
fn python() -> Result<PathBuf, String> {
    let home = root().join("data/python");
    let python = home.join("bin/python");
    if !python.exists() {
        finish(Command::new("python3").args(["-m", "venv"]).arg(&home))?;
    }
    let install = ["-m", "pip", "install", "--quiet"];
    finish(Command::new(&python).args(install).args(PYTHON))?;
    finish(Command::new(&python).args(install).args(["--no-deps", AXE]))?;
    Ok(python)
}
