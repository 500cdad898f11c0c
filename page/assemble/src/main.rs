//! Puts the page's parts into one HTML file: `assemble ENGINE.wasm NOTICES.txt WEB-FOLDER PAGE.html`.
//!
//! The page's policy allows no script but the one whose hash it names, and no request at all.

use std::env::args_os;
use std::error::Error;
use std::fs;
use std::io::Write;
use std::path::Path;

use base64::prelude::{BASE64_STANDARD, Engine};
use flate2::Compression;
use flate2::write::GzEncoder;
use sha2::{Digest, Sha256};

/// The page's script, in this order.
const SCRIPTS: [&str; 6] = ["core.js", "hear.js", "see.js", "find.js", "learn.js", "begin.js"];

/// A page larger than this is too large to hand on, in bytes.
const MOST: usize = 2_000_000;

fn main() -> Result<(), Box<dyn Error>> {
    let [engine, notices, web, page] = args_os()
        .skip(1)
        .collect::<Vec<_>>()
        .try_into()
        .map_err(|_| "assemble ENGINE.wasm NOTICES.txt WEB-FOLDER PAGE.html")?;
    let html = assembled(&fs::read(engine)?, &fs::read(notices)?, Path::new(&web))?;
    if html.len() > MOST {
        return Err(format!("the page has {} bytes, more than {MOST}", html.len()).into());
    }
    println!("{}: {} bytes", Path::new(&page).display(), html.len());
    Ok(fs::write(page, html)?)
}

/// Bytes in few letters.
fn packed(bytes: &[u8]) -> Result<String, Box<dyn Error>> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::best());
    packed.write_all(bytes)?;
    Ok(BASE64_STANDARD.encode(packed.finish()?))
}

fn assembled(engine: &[u8], notices: &[u8], web: &Path) -> Result<String, Box<dyn Error>> {
    let read = |name: &str| fs::read_to_string(web.join(name)).map_err(|e| format!("{name}: {e}"));
    let script = SCRIPTS.map(read).into_iter().collect::<Result<Vec<_>, _>>()?.concat();
    let hash = BASE64_STANDARD.encode(Sha256::digest(script.as_bytes()));
    let parts = [
        ("{{STYLE}}", read("page.css")?),
        ("{{ENGINE}}", packed(engine)?),
        ("{{NOTICES}}", packed(notices)?),
        ("{{WORKER}}", read("worker.js")?),
        ("{{WORKLET}}", read("worklet.js")?),
        ("{{SCRIPT}}", script),
        ("{{HASH}}", format!("sha256-{hash}")),
    ];
    let mut html = read("index.html")?;
    for (place, part) in parts {
        if !html.contains(place) || part.contains("</script") {
            return Err(format!("{place} has no place").into());
        }
        html = html.replace(place, &part);
    }
    Ok(html)
}
