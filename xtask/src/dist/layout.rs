//! What lies where in the archive: the places of the Filesystem Hierarchy Standard below one
//! prefix, and the plugin folders of CLAP and VST3 in `lib`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Outcome;
use crate::bundle::{self, copy};
use crate::install::copy_all;
use crate::notices;
use crate::page;
use crate::shell::{finish, root};

/// The id of the window on a desktop, also the start of its files' names.
const ID: &str = "org.underpin.Underpin";

/// Commands with a manual page of their own; the program's page names them.
const SHELLS: [(&str, &str); 3] = [
    ("bash", "share/bash-completion/completions/underpin"),
    ("zsh", "share/zsh/site-functions/_underpin"),
    ("fish", "share/fish/vendor_completions.d/underpin.fish"),
];

const TEXTS: [&str; 5] = ["README.md", "CHANGELOG.md", "LICENSE-APACHE", "LICENSE-MIT", "docs"];

/// A file of the desktop by its ending.
pub(super) fn file(ending: &str) -> String {
    format!("{ID}.{ending}")
}

/// Lays out everything that was built in `folder` below `prefix`.
pub(super) fn lay(folder: &Path, prefix: &Path) -> Outcome {
    bundle::remove(prefix)?;
    let bundled = folder.join("bundled");
    let program = prefix.join("bin/underpin");
    copy(&folder.join("release/underpin"), &program)?;
    copy(&bundled.join("underpin-window"), &prefix.join("bin/underpin-window"))?;
    copy(&bundled.join("Underpin.clap"), &prefix.join("lib/clap/Underpin.clap"))?;
    copy_all(&bundled.join("Underpin.vst3"), &prefix.join("lib/vst3/Underpin.vst3"))?;
    copy_all(&bundled.join("presets"), &prefix.join("share/vst3/presets/Underpin/Underpin"))?;
    copy_all(&root().join("src/presets"), &prefix.join("share/underpin/presets"))?;
    let page = folder.join("page").join(page::FILE);
    copy(&page, &prefix.join("share/underpin").join(page::FILE))?;
    let doc = prefix.join("share/doc/underpin");
    copy(&bundled.join(notices::FILE), &doc.join(notices::FILE))?;
    TEXTS.iter().try_for_each(|text| copy_all(&root().join(text), &doc.join(text)))?;
    desktop(prefix)?;
    pages(&program, prefix)?;
    sums(prefix)
}

/// What a desktop shows.
fn desktop(prefix: &Path) -> Outcome {
    let places = [
        ("desktop", "share/applications"),
        ("metainfo.xml", "share/metainfo"),
        ("svg", "share/icons/hicolor/scalable/apps"),
    ];
    places.iter().try_for_each(|(ending, place)| {
        let from = root().join("assets/desktop").join(file(ending));
        copy(&from, &prefix.join(place).join(file(ending)))
    })
}

/// Manual pages and completions, printed by the program itself.
fn pages(program: &Path, prefix: &Path) -> Outcome {
    let man = prefix.join("share/man/man1");
    let help = print(program, &["man"])?;
    write(&man.join("underpin.1"), &help)?;
    for command in commands(&help) {
        let page = print(program, &["man", &command])?;
        write(&man.join(format!("underpin-{command}.1")), &page)?;
    }
    SHELLS.iter().try_for_each(|(shell, place)| {
        write(&prefix.join(place), &print(program, &["completions", shell])?)
    })
}

/// The commands that the program's page names, as `underpin\-NAME(1)`.
fn commands(page: &[u8]) -> Vec<String> {
    let page = String::from_utf8_lossy(page).replace('\\', "");
    let names = page.lines().filter_map(|line| line.strip_prefix("underpin-")?.strip_suffix("(1)"));
    names.map(str::to_owned).filter(|name| name != "help").collect()
}

fn print(program: &Path, args: &[&str]) -> Result<Vec<u8>, String> {
    let ran = Command::new(program).args(args).output();
    let ran = ran.map_err(|e| format!("{}: {e}", program.display()))?;
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    ran.status.success().then_some(ran.stdout).ok_or(format!("underpin {}: {said}", args.join(" ")))
}

fn write(path: &Path, bytes: &[u8]) -> Outcome {
    let folder = path.parent().map_or_else(PathBuf::new, Path::to_owned);
    let wrote = fs::create_dir_all(folder).and_then(|()| fs::write(path, bytes));
    wrote.map_err(|e| format!("{}: {e}", path.display()))
}

/// Checksums of every file, as `sha256sum --check` reads them.
fn sums(prefix: &Path) -> Outcome {
    const SUMS: &str = "find . -type f ! -name SHA256SUMS | LC_ALL=C sort | xargs -d '\\n' \
        sha256sum > SHA256SUMS";
    finish(Command::new("sh").args(["-c", SUMS]).current_dir(prefix))
}
