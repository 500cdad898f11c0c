//! Proof that demo and check need nothing but Rust and a C compiler: both run in a new Debian
//! root that holds no more.
//!
//! The toolchain and the crates already fetched are copied in; there is no net inside.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::shell::{self, cargo_home, finish, root, sysroot};
use crate::{Outcome, bundle};

/// The Debian release of the root.
const RELEASE: &str = "bookworm";

/// What a person does first, in the order of the README.
const COMMANDS: [&str; 2] = ["cargo run --release -- demo --out /tmp/demo", "cargo xtask check"];

/// Makes the root, unless it is there, and runs both commands in it.
pub(crate) fn run() -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("a Debian root runs on Linux".into());
    }
    let bare = bundle::target().join("bare");
    if !bare.join("usr/bin/gcc").exists() {
        debootstrap(&bare, "gcc,libc6-dev")?;
    }
    copy(&sysroot()?, &bare.join("rust"))?;
    for folder in ["registry/index", "registry/cache", "registry/src"] {
        copy(&cargo_home()?.join(folder), &bare.join("cargo").join(folder))?;
    }
    tree(&bare)?;
    COMMANDS.iter().try_for_each(|command| inside(&bare, &format!("cd /work && {command}")))
}

/// A root with these packages and nothing else.
pub(crate) fn debootstrap(bare: &Path, packages: &str) -> Outcome {
    if !Path::new("/usr/sbin/debootstrap").exists() {
        shell::run("apt-get", &["update", "--quiet"])?;
        shell::run("apt-get", &["install", "--yes", "--quiet", "debootstrap"])?;
    }
    fs::create_dir_all(bare).map_err(|e| format!("{}: {e}", bare.display()))?;
    let include = format!("--include={packages}");
    let options = ["--variant=minbase", &include, RELEASE];
    finish(Command::new("debootstrap").args(options).arg(bare))
}

/// Copies a folder, as links where the disk allows it; what is there already stays.
fn copy(from: &Path, to: &Path) -> Outcome {
    if to.exists() {
        return Ok(());
    }
    let parent = to.parent().unwrap_or(to);
    fs::create_dir_all(parent).map_err(|e| format!("{}: {e}", parent.display()))?;
    finish(Command::new("cp").arg("-al").arg(from).arg(to))
        .or_else(|_| finish(Command::new("cp").arg("-a").arg(from).arg(to)))
}

/// The tree as it is committed.
fn tree(bare: &Path) -> Outcome {
    let work = bare.join("work");
    fs::create_dir_all(&work).map_err(|e| format!("{}: {e}", work.display()))?;
    let archive = bare.join("tree.tar");
    let git = ["archive", "--format=tar", "HEAD", "-o"];
    finish(Command::new("git").args(git).arg(&archive).current_dir(root()))?;
    finish(Command::new("tar").arg("-xf").arg(&archive).arg("-C").arg(&work))
}

/// Runs a command in the root, with no variable of this machine. The root is given /proc, which
/// every system has, in a mount that ends with the command.
pub(crate) fn inside(bare: &Path, command: &str) -> Outcome {
    const ENTER: &str = "mount -t proc proc \"$0/proc\" && exec chroot \"$0\" /usr/bin/env -i \
        PATH=/rust/bin:/usr/local/bin:/usr/bin:/bin HOME=/root CARGO_HOME=/cargo CARGO_NET_OFFLINE=true \
        /bin/bash -c \"$1\"";
    finish(Command::new("unshare").args(["--mount", "sh", "-c", ENTER]).arg(bare).arg(command))
}
