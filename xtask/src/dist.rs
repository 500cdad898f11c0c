//! The archive that people fetch: program, window, plugins, presets, manual pages, completions,
//! documentation, notices and checksums, laid out as a prefix for Linux.
//!
//! Two runs on one commit give the same bytes: paths of this machine are taken out of the
//! binaries, and the archive knows no clock but the commit's.

mod layout;
mod tried;

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Outcome;
use crate::bundle;
use crate::page;
use crate::shell::{self, finish, root};

/// Validators of what a desktop reads, and the packages they are in.
const VALIDATORS: [(&str, &str); 2] =
    [("desktop-file-validate", "desktop-file-utils"), ("appstreamcli", "appstream")];

/// Builds, lays out, validates, packs; `twice` does it again and compares, then runs what was
/// packed in an empty Debian root.
pub(crate) fn run(twice: bool) -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("the archive is made on Linux; elsewhere use `cargo xtask bundle`".into());
    }
    let first = archive(&bundle::target().join("dist"))?;
    println!("{}  {}", sum(&first)?, first.display());
    if twice {
        let again = archive(&bundle::target().join("dist-again"))?;
        if sum(&first)? != sum(&again)? {
            return Err(format!("{} and {} differ", first.display(), again.display()));
        }
        println!("the same bytes, built again in another folder");
        tried::run(&first)?;
    }
    Ok(())
}

/// The archive, built from nothing in a folder of its own.
fn archive(folder: &Path) -> Result<PathBuf, String> {
    build(folder)?;
    let name = format!("underpin-{}-{}-linux", env!("CARGO_PKG_VERSION"), std::env::consts::ARCH);
    let prefix = folder.join(&name);
    layout::lay(folder, &prefix)?;
    validate(&prefix)?;
    let archive = folder.join(format!("{name}.tar.gz"));
    pack(folder, &name, &archive)?;
    Ok(archive)
}

/// All bundles, the program and the page, without a path of this machine in them.
fn build(folder: &Path) -> Outcome {
    let flags = shell::without_paths(&[(folder, "/target")])?;
    let mut cargo = Command::new("cargo");
    cargo.args(["xtask", "bundle"]).current_dir(root());
    finish(cargo.env("CARGO_TARGET_DIR", folder).env("RUSTFLAGS", flags))?;
    page::build(&folder.join("page")).map(drop)
}

/// What desktops read is held against their own validators.
fn validate(prefix: &Path) -> Outcome {
    let missing: Vec<_> = VALIDATORS
        .iter()
        .filter(|(program, _)| !Path::new("/usr/bin").join(program).exists())
        .map(|(_, package)| *package)
        .collect();
    if !missing.is_empty() {
        shell::run("apt-get", &["update", "--quiet"])?;
        let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
        shell::run("apt-get", &[&install[..], &missing].concat())?;
    }
    let desktop = prefix.join("share/applications").join(layout::file("desktop"));
    finish(Command::new(VALIDATORS[0].0).arg(desktop))?;
    let metainfo = prefix.join("share/metainfo").join(layout::file("metainfo.xml"));
    finish(Command::new(VALIDATORS[1].0).args(["validate", "--no-net"]).arg(metainfo))
}

/// Packs in the order of names, owned by nobody, at the time of the commit.
fn pack(folder: &Path, name: &str, archive: &Path) -> Outcome {
    let told = Command::new("git")
        .args(["log", "-1", "--format=%ct"])
        .current_dir(root())
        .output()
        .map_err(|e| format!("git: {e}"))?;
    let seconds = String::from_utf8_lossy(&told.stdout).trim().to_owned();
    let mut tar = Command::new("tar");
    tar.args(["--sort=name", "--owner=0", "--group=0", "--numeric-owner", "--mode=u+rw,go+r-w"]);
    tar.arg(format!("--mtime=@{seconds}")).args(["--use-compress-program=gzip -9n", "-cf"]);
    finish(tar.arg(archive).arg("-C").arg(folder).arg(name))
}

/// A file's SHA-256.
fn sum(file: &Path) -> Result<String, String> {
    let told = Command::new("sha256sum").arg(file).output();
    let told = told.map_err(|e| format!("sha256sum: {e}"))?.stdout;
    let told = String::from_utf8_lossy(&told).into_owned();
    told.split(' ').next().map(str::to_owned).ok_or("no checksum".into())
}
