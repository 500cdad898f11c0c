//! Bad input and bad luck: one clear sentence, and nothing is lost.

use std::fs::{self, File};

use crate::program::{Bench, Ran, wav_head};

/// The head of a float WAV, mono, that claims this sample rate.
fn head_at(rate_hz: u32, data_bytes: u32) -> Vec<u8> {
    let mut head = wav_head(1, data_bytes);
    head[24..28].copy_from_slice(&rate_hz.to_le_bytes());
    head
}

/// Runs with arguments that may hold anything.
fn run(bench: &Bench, args: &[&str]) -> Ran {
    let output = bench.command().args(args).output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: output.stdout,
        said: String::from_utf8(output.stderr).unwrap(),
    }
}

#[test]
fn a_sample_rate_that_no_sound_has_is_refused() {
    let bench = Bench::new();
    for rate_hz in [1, 7_999, 768_001, u32::MAX] {
        bench.write("in.wav", &[head_at(rate_hz, 400), vec![0; 400]].concat());
        for command in ["measure in.wav", "render in.wav out.wav", "diagnose in.wav in.wav"] {
            bench.fails(command, 3, &["in.wav", &format!("sample rate of {rate_hz} Hz")]);
        }
    }
    for rate_hz in [8_000, 768_000] {
        bench.write("in.wav", &[head_at(rate_hz, 400), vec![0; 400]].concat());
        bench.does("render in.wav out.wav --force");
    }
}

#[test]
fn names_cannot_steer_a_terminal() {
    let bench = Bench::new();
    let evil = "\u{1b}[31mred\nunderpin: forged\u{202e}.wav";
    for args in [
        &["measure", evil][..],
        &["render", evil, "out.wav"],
        &["render", "a.wav", "b.wav", "--preset", evil],
        &["render", "a.wav", "b.wav", evil],
        &["presets", evil],
        &["signal", "tone", "--hz", evil, "-o", "x.wav"],
        &["render", "a.wav", "b.wav", "--set", evil],
    ] {
        let ran = run(&bench, args);
        assert!([2, 3].contains(&ran.code), "{args:?}");
        assert!(!ran.said.contains('\u{1b}') && !ran.said.contains('\u{202e}'), "{:?}", ran.said);
        assert!(!ran.said.contains("\nunderpin: forged"), "{:?}", ran.said);
    }
}

/// Windows knows no such names.
#[test]
#[cfg(unix)]
fn nor_can_the_name_of_a_file_that_is_there() {
    let bench = Bench::new();
    let evil = "\u{1b}[31mred\nunderpin: forged\u{202e}.toml";
    bench.write(evil, b"schema = 9\nname = \"x\"\n");
    let ran = run(&bench, &["presets", "check", evil]);
    assert_eq!(ran.code, 1);
    assert!(!ran.text().contains('\u{1b}'), "{:?}", ran.text());
}

#[test]
fn outputs_never_overwrite_each_other_or_an_input() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.5; 9_600]);
    bench.write("mine.toml", b"schema = 1\nname = \"Mine\"\n");
    let before = [bench.read("in.wav"), bench.read("mine.toml")];
    #[cfg(unix)]
    std::os::unix::fs::symlink("in.wav", bench.path().join("link.wav")).unwrap();
    let mut commands = vec![
        ("render in.wav in.wav --force", "in.wav"),
        ("render in.wav ./in.wav --force", "in.wav"),
        ("render in.wav out.wav --report out.wav", "out.wav"),
        ("render in.wav out.wav --report in.wav --force", "in.wav"),
        ("render in.wav out.wav --preset mine.toml --report mine.toml --force", "mine.toml"),
        ("render in.wav - --json", "standard output"),
        ("render in.wav - --report -", "standard output"),
        ("measure in.wav --report in.wav --force", "in.wav"),
        ("measure in.wav --json --report -", "standard output"),
        ("prove --preset mine.toml --report mine.toml --force", "mine.toml"),
        ("signal track -o t.wav --sheet t.wav", "t.wav"),
        ("signal track -o - --sheet -", "standard output"),
        ("diagnose in.wav in.wav --report in.wav --force", "in.wav"),
        ("tune in.wav in.wav --preset q --plan q", "q"),
        ("tune in.wav in.wav --preset - --plan -", "standard output"),
        ("tune in.wav in.wav --preset - --json", "standard output"),
        ("identify in.wav in.wav --preset q --report q", "q"),
    ];
    if cfg!(unix) {
        commands.extend([
            ("render link.wav in.wav --force", "link.wav"),
            ("render in.wav link.wav --force", "in.wav"),
            ("render in.wav out.wav --report link.wav --force", "in.wav"),
        ]);
    }
    for (command, word) in commands {
        bench.fails(command, 2, &[word]);
    }
    assert_eq!([bench.read("in.wav"), bench.read("mine.toml")], before);
    let left: Vec<String> = bench.names().into_iter().filter(|name| name != "link.wav").collect();
    assert_eq!(left, ["in.wav", "mine.toml"]);
}

#[test]
fn samples_louder_than_any_sound_are_counted() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.1, 2_000.0, 0.2, -5_000.0, 999.0]);
    let ran = bench.run("render in.wav out.wav --preset untouched");
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("2 samples are louder than +60 dBFS"), "{}", ran.said);
    assert_eq!(bench.read_wav("out.wav"), [0.1, 0.0, 0.2, 0.0, 999.0]);
}

#[test]
fn a_quiet_run_says_errors_alone() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.1, 1001.0, 0.2]);
    assert_eq!(run(&bench, &["render", "in.wav", "out.wav", "--quiet"]).said, "");
    let again = run(&bench, &["-q", "render", "in.wav", "out.wav"]);
    assert_eq!(again.code, 4);
    assert_eq!(again.said.lines().count(), 1, "{}", again.said);
}

#[test]
fn what_a_killed_run_left_is_named_and_left_alone() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.1; 100]);
    bench.write(".unfinished-abc", b"half");
    let ran = bench.run("render in.wav out.wav");
    assert_eq!(ran.code, 0);
    assert_eq!(ran.said.lines().count(), 1, "{}", ran.said);
    assert!(ran.said.contains(".unfinished-abc is left over"), "{}", ran.said);
    assert_eq!(bench.read(".unfinished-abc"), b"half");
    // A file that another run still writes is no leftover.
    let busy = File::open(bench.path().join(".unfinished-abc")).unwrap();
    busy.lock().unwrap();
    bench.does("render in.wav out.wav --force");
}

#[test]
#[cfg(unix)]
fn an_interrupted_demo_leaves_nothing() {
    use rustix::process::{Pid, Signal, kill_process};
    let bench = Bench::new();
    let mut command = bench.command();
    command.args(["demo", "--out", "demo"]).stderr(std::process::Stdio::piped());
    let mut child = command.stdout(std::process::Stdio::null()).spawn().unwrap();
    while bench.names().is_empty() {
        assert_eq!(child.try_wait().unwrap(), None, "it ended before it wrote");
        std::thread::yield_now();
    }
    kill_process(Pid::from_child(&child), Signal::TERM).unwrap();
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(130));
    assert!(bench.names().is_empty(), "{:?}", bench.names());
}

#[test]
fn a_demo_does_not_take_another_s_report_for_its_own() {
    let bench = Bench::new();
    fs::create_dir(bench.path().join("mine")).unwrap();
    for name in ["report.html", "settings.toml"] {
        bench.write(&format!("mine/{name}"), b"years of work");
        bench.fails("demo --out mine", 4, &["mine holds", name, "another folder"]);
        assert_eq!(bench.read(&format!("mine/{name}")), b"years of work");
        fs::remove_file(bench.path().join("mine").join(name)).unwrap();
    }
}

#[test]
fn a_source_band_that_ends_below_its_start_is_refused() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.1; 100]);
    let crossed = "--set octave.from_hz=100 --set octave.to_hz=60";
    bench.fails(&format!("render in.wav out.wav {crossed}"), 2, &["100 Hz", "60 Hz", "empty"]);
    bench.fails(&format!("prove {crossed}"), 2, &["empty"]);
    bench.write(
        "crossed.toml",
        b"schema = 1\nname = \"x\"\noctave.from_hz = 90\noctave.to_hz = 70\n",
    );
    let ran = bench.run("presets check crossed.toml");
    assert_eq!(ran.code, 1);
    assert!(ran.text().contains("source band is empty"), "{}", ran.text());
}

#[test]
fn numbers_are_read_alike_everywhere() {
    let bench = Bench::new();
    let tone = "signal tone --hz 40.5 --level -6.5 --seconds 0.5 --rate 44100 --fade 0.02";
    bench.does(&format!("{tone} -o plain.wav"));
    for typed in [
        "signal tone --hz 40.5hz --level -6.5dB --seconds 0.5s --rate 44100Hz --fade 20ms",
        "signal tone --hz 40,5 --level -6,5 --seconds 0,5 --rate 44,1k --fade 0,02",
        "signal tone --hz 0.0405kHz --level -6.5dBFS --seconds 500ms --rate 44.1kHz --fade 0.02s",
    ] {
        bench.does(&format!("{typed} -o typed.wav --force"));
        assert_eq!(bench.read("typed.wav"), bench.read("plain.wav"), "{typed}");
    }
    let sealed = bench.does("box --fs 28.5 --qts 0.45 --vas 80 --volume 28 --json").out;
    let typed = "box --fs 28,5Hz --qts 0,45 --vas 80l --volume 28litres --json";
    assert_eq!(bench.does(typed).out, sealed);
    let volts = bench.does("gains --power 500 --ohm 2 --overlap 5 --json").out;
    assert_eq!(bench.does("gains --power 500W --ohm 2ohm --overlap 5dB --json").out, volts);
    bench.does("gains --read 2,4V --tone -12dBFS --device-gain -3,5dB");
    bench.fails("signal tone --hz 40dB -o x.wav", 2, &["40dB", "--hz"]);
    bench.fails("signal tone --level 6Hz -o x.wav", 2, &["6Hz", "--level"]);
    bench.fails("signal tone --rate 44100.5 -o x.wav", 2, &["44100.5", "--rate"]);
    // Read, and then refused for what it says.
    bench.fails("measure plain.wav --tone 30kHz", 2, &["--tone", "30000"]);
    bench.fails("tune a.wav b.wav --down-to 5Hz", 2, &["--down-to", "16"]);
    bench.fails("tune a.wav b.wav --most-lift 13,5dB", 2, &["--most-lift", "13.5"]);
    bench.fails("tune a.wav b.wav --point 40Hz=3,5dB", 3, &["a.wav"]);
}

#[test]
fn the_pipe_of_the_help_says_nothing() {
    let bench = Bench::new();
    let kick = bench.does("signal kick --every 0.5 --seconds 1 -o -");
    let ran = bench.run_with("render - kick.wav", &kick.out);
    assert_eq!((ran.code, ran.said.as_str()), (0, ""));
    assert_eq!(bench.read_wav("kick.wav").len(), 2 * 48_000);
    // A file without a length is worth a word: its writer was interrupted.
    bench.write("kick-stream.wav", &kick.out);
    let ran = bench.run("render kick-stream.wav out.wav");
    assert!(ran.said.contains("tells no length"), "{}", ran.said);
}

#[test]
fn a_failure_to_write_names_no_temporary_file() {
    use underpin::cli::failure::Failure;
    let nowhere = std::path::Path::new("/nowhere/at/all");
    let error = tempfile::Builder::new().prefix(".unfinished-").tempfile_in(nowhere).unwrap_err();
    assert!(error.to_string().contains("nowhere"), "the library tells no path any more");
    let said = Failure::unwritable("song.wav", &error).sentence;
    assert!(said.starts_with("cannot write song.wav: ") && !said.contains("nowhere"), "{said}");
    let full = std::io::Error::from(std::io::ErrorKind::StorageFull);
    let said = Failure::unwritable("song.wav", &full).sentence;
    assert_eq!(said, "cannot write song.wav: the disk is full");
}

#[test]
#[cfg(unix)]
fn a_file_that_is_replaced_keeps_its_mode() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    for mode in [0o600, 0o640, 0o755] {
        bench.write("mine.toml", b"old");
        let path = bench.path().join("mine.toml");
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        bench.does("presets export untouched -o mine.toml --force");
        assert_eq!(path.metadata().unwrap().permissions().mode() & 0o777, mode);
        assert_ne!(bench.read("mine.toml"), b"old");
    }
}

/// A mono float WAV of 48 kHz with one more chunk before its data, padded or not.
fn with_chunk(chunk: &[u8], padded: bool, samples: &[f32]) -> Vec<u8> {
    let data: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
    let head = wav_head(1, data.len() as u32);
    let (format, data_head) = head.split_at(36);
    let mut file = [format, b"LIST", &(chunk.len() as u32).to_le_bytes(), chunk].concat();
    if padded && chunk.len() % 2 == 1 {
        file.push(0);
    }
    file.extend(data_head);
    file.extend(data);
    file
}

#[test]
fn an_odd_chunk_is_read_with_its_padding_and_without() {
    let bench = Bench::new();
    let samples: Vec<f32> = (0..100).map(|n| n as f32 / 200.0).collect();
    for (chunk, padded) in [(&b"odd"[..], true), (b"odd", false), (b"even", true)] {
        bench.write("in.wav", &with_chunk(chunk, padded, &samples));
        bench.does("render in.wav out.wav --preset untouched --force");
        assert_eq!(bench.read_wav("out.wav"), samples, "{chunk:?} {padded}");
    }
}

#[test]
fn codings_are_called_by_their_names() {
    let bench = Bench::new();
    for (tag, name) in [(6u16, "A-law"), (7, "\u{b5}-law"), (2, "ADPCM"), (0x55, "MP3")] {
        let mut head = wav_head(1, 100);
        head[20..22].copy_from_slice(&tag.to_le_bytes());
        bench.write("in.wav", &[head, vec![0; 100]].concat());
        bench.fails("measure in.wav", 3, &[name, "PCM"]);
    }
}

#[test]
fn a_header_that_tells_less_than_is_there_is_said() {
    let bench = Bench::new();
    // It tells 0.5 s of 2 s.
    let samples: Vec<u8> = (0..96_000).flat_map(|_| 0.25f32.to_le_bytes()).collect();
    bench.write("in.wav", &[wav_head(1, 4 * 24_000), samples].concat());
    let ran = bench.run("render in.wav out.wav");
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("less than is there: 1.5 s"), "{}", ran.said);
    // Chunks after the data are no sound.
    let data = vec![0; 400];
    bench.write("in.wav", &[wav_head(1, 400), data, b"LIST\x04\0\0\0abcd".to_vec()].concat());
    bench.does("render in.wav out.wav --force");
}

#[test]
fn a_preset_with_an_endless_name_is_refused() {
    let bench = Bench::new();
    let preset = |name: &str| format!("schema = 1\nname = \"{name}\"\n");
    bench.write("long.toml", preset(&"x".repeat(101)).as_bytes());
    bench.write("huge.toml", preset(&"x".repeat(5_000_000)).as_bytes());
    bench.write("fits.toml", preset(&"\u{e4}".repeat(100)).as_bytes());
    bench.fails("presets check long.toml", 3, &["long.toml", "100 letters"]);
    bench.fails("presets check huge.toml", 3, &["huge.toml", "too large"]);
    assert!(bench.run("presets check long.toml").said.len() < 200);
    bench.does("presets check fits.toml");
}
