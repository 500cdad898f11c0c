//! The archive in a Debian root that holds nothing else: unpacked, checked, run.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::Outcome;
use crate::bare;
use crate::bundle;
use crate::shell::finish;

/// What a person would do with it, without a compiler, a sound system or a screen.
const TRIED: &str = "cd /underpin-*/ && sha256sum --quiet --check SHA256SUMS && \
    cp -r bin share lib /usr/local/ && cd /tmp && underpin --version && \
    underpin demo --out demo > demo.txt && tail -n 3 demo.txt && \
    underpin render demo/radio.wav lifted.wav --preset lift-the-roll-off && \
    . /usr/local/share/bash-completion/completions/underpin && complete -p underpin && \
    ls /usr/local/share/man/man1 | head -n 3 && ldd /usr/local/bin/underpin";

/// Unpacks and tries the archive.
pub(super) fn run(archive: &Path) -> Outcome {
    let empty = bundle::target().join("empty");
    if !empty.join("bin/bash").exists() {
        bare::debootstrap(&empty, "ca-certificates")?;
    }
    for old in ["tmp/demo", "tmp/lifted.wav", "tmp/demo.txt"] {
        bundle::remove(&empty.join(old))?;
    }
    let entries = fs::read_dir(&empty).map_err(|e| e.to_string())?;
    for path in entries.filter_map(|entry| Some(entry.ok()?.path())) {
        if path.file_name().is_some_and(|n| n.to_string_lossy().starts_with("underpin-")) {
            bundle::remove(&path)?;
        }
    }
    finish(Command::new("tar").arg("-xzf").arg(archive).arg("-C").arg(&empty))?;
    bare::inside(&empty, TRIED)
}
