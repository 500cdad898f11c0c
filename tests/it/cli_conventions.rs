//! What every command keeps to (clig.dev): examples first, hints for typos,
//! data and messages apart, no colour when not wanted, quiet pipes, tidy ends.

use std::process::Stdio;

use crate::program::Bench;

/// The commands that the help lists.
fn commands(bench: &Bench) -> Vec<String> {
    let help = bench.does("--help");
    let list = help.text().split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().filter_map(|line| line.split_whitespace().next());
    names.filter(|name| *name != "help").map(String::from).collect()
}

#[test]
fn help_shows_examples_before_usage_and_options() {
    let bench = Bench::new();
    let commands = commands(&bench);
    assert!(commands.len() > 1);
    for command in commands.iter().map(String::as_str).chain([""]) {
        let ran = bench.does(&format!("{command} --help"));
        let text = ran.text();
        let at = |word: &str| text.find(word).unwrap_or_else(|| panic!("{command}: no {word}"));
        assert!(at("Examples:") < at("Usage:"), "{command}");
        assert!(at("Usage:") < at("Options:"), "{command}");
    }
}

#[test]
fn the_help_of_render_lists_every_setting() {
    let ran = Bench::new().does("render --help");
    for setting in underpin::settings::ALL {
        assert!(ran.text().contains(setting.key), "{}", setting.key);
        assert!(ran.text().contains(&setting.range()), "{}", setting.range());
    }
}

#[test]
fn the_version_is_that_of_the_package() {
    let ran = Bench::new().does("--version");
    assert_eq!(ran.text(), concat!("underpin ", env!("CARGO_PKG_VERSION"), "\n"));
}

#[test]
fn typos_get_a_hint_and_the_usage_code() {
    let bench = Bench::new();
    bench.fails("rendr a b", 2, &["render"]);
    bench.fails("render a b --prest x", 2, &["--preset"]);
    bench.fails("presets shw x", 2, &["show"]);
    bench.fails("", 2, &["Usage"]);
}

#[test]
fn nothing_is_coloured_in_a_pipe_or_with_no_color() {
    let bench = Bench::new();
    for args in ["--help", "rendr"] {
        let ran = bench.command().arg(args).env("NO_COLOR", "1").output().unwrap();
        assert!(!ran.stdout.contains(&0x1B) && !ran.stderr.contains(&0x1B), "{args}");
        let ran = bench.run(args);
        assert!(!ran.out.contains(&0x1B) && !ran.said.contains('\x1B'), "{args}");
    }
}

#[test]
fn a_closed_pipe_is_no_error() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &vec![0.0; 400_000]);
    for args in ["presets list", "render in.wav -"] {
        let mut command = bench.command();
        command.args(args.split(' ')).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        drop(child.stdout.take());
        let ended = child.wait_with_output().unwrap();
        assert_eq!(ended.status.code(), Some(0), "{args}");
        assert_eq!(String::from_utf8_lossy(&ended.stderr), "", "{args}");
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_is_said_in_one_sentence() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &vec![0.0; 400_000]);
    bench.fails("render in.wav /dev/full", 4, &["/dev/full"]);
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let ran = bench.command().args(["presets", "list"]).stdout(full).output().unwrap();
    assert_eq!(ran.status.code(), Some(4));
}

#[test]
#[cfg(unix)]
fn whatever_ends_it_leaves_nothing_half_written() {
    use rustix::process::Signal;
    // Ctrl-C, the polite end of a shell's kill, and a terminal that goes away.
    for signal in [Signal::INT, Signal::TERM, Signal::HUP] {
        check_signal(signal);
    }
}

#[cfg(unix)]
fn check_signal(signal: rustix::process::Signal) {
    let bench = Bench::new();
    // Nearly three hours of silence that take no room on the disk: longer than any
    // machine needs to notice the signal.
    let bytes = 8 * 48_000 * 10_000u32;
    bench.write("in.wav", &crate::program::wav_head(2, bytes));
    let file = std::fs::File::options().write(true).open(bench.path().join("in.wav")).unwrap();
    file.set_len(44 + u64::from(bytes)).unwrap();
    let mut command = bench.command();
    command.args(["render", "in.wav", "out.wav"]).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    while bench.names().len() < 2 {
        assert_eq!(child.try_wait().unwrap(), None, "it ended before it wrote");
        std::thread::yield_now();
    }
    rustix::process::kill_process(rustix::process::Pid::from_child(&child), signal).unwrap();
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(130));
    assert_eq!(String::from_utf8_lossy(&ended.stderr).lines().count(), 1);
    assert_eq!(bench.names(), ["in.wav"]);
}

#[test]
#[cfg(unix)]
fn a_new_file_has_the_permissions_of_the_users_mask() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    bench.write("plain", b"");
    bench.does("presets export untouched -o new.toml");
    let mode = |name: &str| bench.path().join(name).metadata().unwrap().permissions().mode();
    assert_eq!(mode("new.toml"), mode("plain"));
}
