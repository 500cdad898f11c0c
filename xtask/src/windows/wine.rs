//! Building for Windows, and Wine to run what was built.
//!
//! A standard library for Windows is taken from the toolchain where it has one; where not, Debian's
//! Rust that carries its library's source builds one on the way.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell::{self, finish, root};
use crate::{Outcome, bundle, debian, hosts};

const TARGET: &str = "x86_64-pc-windows-gnu";

const COMPILER: &str = "x86_64-w64-mingw32-gcc-posix";

/// Debian packages that link for Windows and run what was linked.
const TOOLS: [&str; 3] = ["gcc-mingw-w64-x86-64-posix", "wine", "wine64"];

/// A folder with what is built for Windows, and Wine's own.
pub(super) struct Wine {
    pub(super) home: PathBuf,
}

impl Wine {
    pub(super) fn new() -> Result<Self, String> {
        let home = bundle::target().join("windows");
        fs::create_dir_all(&home).map_err(|e| format!("{}: {e}", home.display()))?;
        tools()?;
        random_bytes(&home)?;
        Ok(Self { home })
    }

    /// The program, built.
    pub(super) fn program(&self) -> Result<PathBuf, String> {
        let mut cargo = self.cargo(&["build", "--release", "--bin", "underpin"], &[])?;
        finish(cargo.current_dir(root()))?;
        Ok(self.home.join(TARGET).join("release/underpin.exe"))
    }

    /// The plugin, built, and loaded by our own host for Windows: what it is heard to do there.
    pub(super) fn plugin(&self) -> Outcome {
        let library = ["rustc", "--lib", "--crate-type", "cdylib", "--no-default-features"];
        let features = ["--release", "--features", "plugin"];
        let mut cargo = self.cargo(&[&library[..], &features].concat(), &[])?;
        finish(cargo.current_dir(root()))?;
        let plugin = self.home.join(TARGET).join("release/underpin.dll");
        let mut host = self.cargo(&["test"], &hosts::CLAP_TESTS)?;
        host.env("UNDERPIN_CLAP", plugin).env("NICE_LOG", "nul").current_dir(root().join("hosts"));
        finish(&mut host)
    }

    /// The tests of the program, one by one: Wine fails to start one of some hundred programs when
    /// several start at once.
    pub(super) fn tests(&self) -> Outcome {
        let one_by_one = ["--test", "it", "--", "--test-threads", "1"];
        finish(self.cargo(&["test"], &one_by_one)?.current_dir(root()))
    }

    /// A program for Windows, about to run.
    pub(super) fn runs(&self, program: &Path) -> Command {
        let mut wine = Command::new("wine");
        self.quiet(wine.arg(program));
        wine
    }

    /// Cargo for Windows: what it runs of its own is run by Wine.
    fn cargo(&self, args: &[&str], more: &[&str]) -> Result<Command, String> {
        let mut cargo = Command::new("cargo");
        cargo.args(args);
        debian::aim(&mut cargo, TARGET, "std,panic_unwind")?;
        cargo.env("CARGO_TARGET_X86_64_PC_WINDOWS_GNU_LINKER", COMPILER);
        cargo.env("CARGO_TARGET_X86_64_PC_WINDOWS_GNU_RUNNER", "wine");
        cargo.env("CARGO_TARGET_DIR", &self.home).args(more);
        self.quiet(&mut cargo);
        Ok(cargo)
    }

    fn quiet(&self, command: &mut Command) {
        command.env("WINEPREFIX", self.home.join("prefix")).env("WINEDEBUG", "-all");
        // Unix's root is Wine's drive Z.
        let path = format!("Z:{}", self.home.display().to_string().replace('/', "\\"));
        command.env("WINEPATH", path);
    }
}

fn tools() -> Outcome {
    let there = |program: &str| Path::new("/usr/bin").join(program).exists();
    if there(COMPILER) && there("wine") {
        return Ok(());
    }
    shell::run("apt-get", &["update", "--quiet"])?;
    let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
    shell::run("apt-get", &[&install[..], &TOOLS].concat())
}

/// The library that this Wine lacks, where it looks for libraries.
fn random_bytes(home: &Path) -> Outcome {
    let source = root().join("xtask/windows/bcryptprimitives.c");
    let mut compiler = Command::new(COMPILER);
    compiler.args(["-shared", "-O2", "-o"]).arg(home.join("bcryptprimitives.dll"));
    finish(compiler.arg(source).arg("-ladvapi32"))
}
