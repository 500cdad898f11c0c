//! The project's chores, one file a verb: `cargo xtask VERB`.
//!
//! Chores run other programs; none of them is needed to build or use the project.

mod bare;
mod bundle;
mod captures;
mod check;
mod compare;
mod data;
mod debian;
mod dist;
mod faults;
mod fuzz;
mod hosts;
mod install;
mod macos;
mod mishaps;
mod module_info;
mod notices;
mod page;
mod shell;
mod window;
mod windows;

use std::process::ExitCode;

type Outcome = Result<(), String>;

const USAGE: &str = "\
cargo xtask VERB
  ablate   the octave engine without one of its steps at a time
  check    format, lints, tests of program, window and plugin, documentation: needs Rust and
           a C compiler
  captures the figures of the captures and of foreign gear, all seeds (about half an hour)
  compare  the octave engine beside sox and rubberband (Debian's apt)
  data     fetch open recordings into data/ (Debian's apt)
  dist     the archive for Linux; built again, compared and tried in an empty root: [twice]
  faults   plant faults one at a time and say which the tests notice: [look | WORD]
  fuzz     bytes nobody thought of, so many seconds a target (C++): [SECONDS [TARGET]]
  bare     demo and check in a Debian root with Rust and gcc alone (Linux, as root)
  bundle   build the plugin and make Underpin.clap, Underpin.vst3, underpin-window
  install  bundle, then copy into your own plugin folders
  engine   the octave engine against its goals, with recordings where data/ has them
  hosts    run the plugin in real hosts and the page in real browsers (Linux; fetches what it lacks)
  macos    type-check program and plugin for macOS, which is not run (Debian's apt)
  mishaps  kill the program, fill its disk, cut its input, close its pipe: [long]
  notices  the licences of all that is built in, as one text
  page     the engine, lessons and all in one HTML file for a browser (WebAssembly; where the
           toolchain has no such library: Debian's apt)
  window   test the window without a screen (builds its toolkit)
  windows  build program, plugin and tests for Windows, run them under Wine and compare
           (Debian's apt)";

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let outcome = match args.next().as_deref() {
        Some("ablate") => faults::ablate(),
        Some("check") => check::run(),
        Some("captures") => captures::run(),
        Some("compare") => compare::run(),
        Some("data") => data::run(),
        Some("dist") => dist::run(args.next().as_deref() == Some("twice")),
        Some("faults") => {
            let word = args.next();
            let look = word.as_deref() == Some("look");
            faults::run(word.as_deref().filter(|_| !look), look)
        }
        Some("fuzz") => {
            let seconds = args.next().unwrap_or_else(|| "60".into());
            fuzz::run(&seconds, args.next().as_deref())
        }
        Some("bare") => bare::run(),
        Some("bundle") => bundle::run(),
        Some("install") => install::run(),
        Some("engine") => shell::run("cargo", &["bench", "--bench", "engine"]),
        Some("hosts") => hosts::run(),
        Some("macos") => macos::run(),
        Some("mishaps") => mishaps::run(args.next().as_deref() == Some("long")),
        Some("notices") => notices::run(&bundle::bundled()),
        Some("page") => page::run(),
        Some("window") => window::run(),
        Some("windows") => windows::run(),
        _ => Err(USAGE.to_owned()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}
