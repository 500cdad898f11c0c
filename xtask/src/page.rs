//! The page: the engine as WebAssembly, and everything around it, in one HTML file.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell::{self, finish, root};
use crate::{Outcome, bundle, debian, notices};

const TARGET: &str = "wasm32-unknown-unknown";

/// What the page is called.
pub(crate) const FILE: &str = "underpin.html";

/// Makes `target/page/underpin.html`.
pub(crate) fn run() -> Outcome {
    build(&bundle::target().join("page")).map(drop)
}

/// Where [`run`] makes it.
pub(crate) fn made() -> PathBuf {
    bundle::target().join("page").join(FILE)
}

/// Makes the page in a folder, without a path of this machine in it.
pub(crate) fn build(folder: &Path) -> Result<PathBuf, String> {
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--lib"]);
    debian::aim(&mut cargo, TARGET, "std,panic_abort")?;
    let flags = shell::without_paths(&[(folder, "/target"), (&debian::root(), "/rust")])?;
    cargo.env("CARGO_TARGET_DIR", folder).env("RUSTFLAGS", flags);
    finish(cargo.current_dir(root().join("page")))?;
    let engine = folder.join(TARGET).join("release/underpin_page.wasm");
    notices::of_page(folder)?;
    let page = folder.join(FILE);
    let mut assemble = Command::new("cargo");
    assemble.args(["run", "--quiet", "--release", "--"]).arg(engine);
    assemble.arg(folder.join(notices::FILE)).arg(root().join("page/web")).arg(&page);
    assemble.env("CARGO_TARGET_DIR", folder).current_dir(root().join("page/assemble"));
    finish(&mut assemble)?;
    Ok(page)
}
