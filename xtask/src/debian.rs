//! A compiler for systems whose library this toolchain lacks: Debian's Rust, which carries the source
//! of its library, unpacked out of the way of the usual one.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell::{finish, sysroot};
use crate::{Outcome, bundle};

/// Debian packages with the compiler, its library as source, and a linker.
const COMPILER: [&str; 6] = [
    "rustc-web",
    "libstd-rust-web-dev",
    "libstd-rust-web-1.96",
    "libllvm22",
    "rust-web-src",
    "lld-22",
];

/// Lets `cargo` build for `target`, the parts of the library by Debian's source where the toolchain
/// has none for it; says which.
pub(crate) fn aim(cargo: &mut Command, target: &str, library: &str) -> Outcome {
    cargo.args(["--target", target]);
    if sysroot()?.join("lib/rustlib").join(target).exists() {
        println!("{target}: by the toolchain's own library");
        return Ok(());
    }
    println!("{target}: by Debian's Rust, its library built on the way");
    let root = unpacked()?;
    let libraries = ["usr/lib/x86_64-linux-gnu", "usr/lib/llvm-22/lib"];
    let libraries = libraries.map(|folder| root.join(folder).display().to_string());
    cargo.args(["-Z", &format!("build-std={library}")]);
    cargo.env("RUSTC", root.join("usr/bin/rustc")).env("RUSTC_BOOTSTRAP", "1");
    cargo.env("LD_LIBRARY_PATH", libraries.join(":"));
    let linker = root.join("usr/lib/llvm-22/bin/wasm-ld");
    cargo.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker);
    Ok(())
}

/// Where the packages lie unpacked, without links once they do: so the compiler names it.
pub(crate) fn root() -> PathBuf {
    let root = bundle::target().join("debian/root");
    root.canonicalize().unwrap_or(root)
}

/// The same, fetched the first time.
fn unpacked() -> Result<PathBuf, String> {
    let (packages, root) = (bundle::target().join("debian/packages"), root());
    if !root.join("usr/bin/rustc").exists() {
        fs::create_dir_all(&packages).map_err(|e| format!("{}: {e}", packages.display()))?;
        finish(Command::new("apt-get").args(["update", "--quiet"]))?;
        finish(Command::new("apt-get").arg("download").args(COMPILER).current_dir(&packages))?;
        for package in fs::read_dir(&packages).map_err(|e| e.to_string())?.flatten() {
            unpack(&package.path(), &root)?;
        }
    }
    Ok(root)
}

fn unpack(package: &Path, root: &Path) -> Outcome {
    finish(Command::new("dpkg").arg("-x").arg(package).arg(root))
}
