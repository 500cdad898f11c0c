//! The page: the engine as WebAssembly, and everything around it, in one HTML file.

use std::path::PathBuf;
use std::process::Command;

use crate::shell::{finish, root};
use crate::{Outcome, bundle, debian};

const TARGET: &str = "wasm32-unknown-unknown";

/// Makes `target/page/underpin.html`.
pub(crate) fn run() -> Outcome {
    let home = bundle::target().join("page");
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--lib"]);
    debian::aim(&mut cargo, TARGET, "std,panic_abort")?;
    cargo.env("CARGO_TARGET_DIR", &home).current_dir(root().join("page"));
    finish(&mut cargo)?;
    let engine = home.join(TARGET).join("release/underpin_page.wasm");
    let mut assemble = Command::new("cargo");
    assemble.args(["run", "--quiet", "--release", "--"]).arg(engine);
    assemble.arg(root().join("page/web")).arg(made());
    assemble.env("CARGO_TARGET_DIR", &home).current_dir(root().join("page/assemble"));
    finish(&mut assemble)
}

/// Where the page is made.
pub(crate) fn made() -> PathBuf {
    bundle::target().join("page/underpin.html")
}
