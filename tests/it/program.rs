//! Runs the built program, as a person or a script would.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// A folder of its own with the program ready to run in it.
pub(crate) struct Bench {
    folder: TempDir,
}

/// What a run gave.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: Vec<u8>,
    pub(crate) said: String,
}

impl Ran {
    #[track_caller]
    pub(crate) fn text(&self) -> &str {
        std::str::from_utf8(&self.out).unwrap()
    }

    #[track_caller]
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.out).expect("standard output must be JSON and nothing else")
    }
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self { folder: TempDir::new().unwrap() }
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_underpin"));
        command.current_dir(self.path()).stdin(Stdio::null());
        command
    }

    #[track_caller]
    pub(crate) fn run(&self, args: &str) -> Ran {
        self.run_with(args, b"")
    }

    /// Runs with these bytes at standard input. Arguments are separated by blanks.
    #[track_caller]
    pub(crate) fn run_with(&self, args: &str, input: &[u8]) -> Ran {
        let mut command = self.command();
        command.args(args.split_whitespace()).stdin(Stdio::piped());
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut stdin = child.stdin.take().unwrap();
        let input = input.to_vec();
        // A program that reads nothing closes the pipe: that is its right.
        let feeder = std::thread::spawn(move || drop(stdin.write_all(&input)));
        let output = child.wait_with_output().unwrap();
        feeder.join().unwrap();
        Ran {
            code: output.status.code().unwrap(),
            out: output.stdout,
            said: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// Runs what must succeed without a word.
    #[track_caller]
    pub(crate) fn does(&self, args: &str) -> Ran {
        let ran = self.run(args);
        assert_eq!((ran.code, ran.said.as_str()), (0, ""), "{args}");
        ran
    }

    /// Runs what must fail with a code and one sentence that has these words.
    #[track_caller]
    pub(crate) fn fails(&self, args: &str, code: i32, words: &[&str]) {
        let ran = self.run(args);
        assert_eq!(ran.code, code, "{args}: {}", ran.said);
        for word in words {
            assert!(ran.said.contains(word), "{args}: {:?} lacks {word:?}", ran.said);
        }
        assert!(ran.out.is_empty(), "{args} printed data");
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path().join(name)).unwrap()
    }

    pub(crate) fn write(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.path().join(name), bytes).unwrap();
    }

    /// Names of everything in the folder, hidden files too.
    pub(crate) fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.path()).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    /// Writes a float WAV of 48 kHz laid out by hand, channels interleaved.
    pub(crate) fn write_wav(&self, name: &str, channels: u16, samples: &[f32]) {
        let data: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
        self.write(name, &[wav_head(channels, data.len() as u32), data].concat());
    }

    /// The samples of a float WAV as this program writes them, channels interleaved.
    #[track_caller]
    pub(crate) fn read_wav(&self, name: &str) -> Vec<f32> {
        wav_samples(&self.read(name))
    }
}

/// The samples after the first `data` of a float WAV.
#[track_caller]
pub(crate) fn wav_samples(file: &[u8]) -> Vec<f32> {
    let at = file.windows(4).position(|w| w == b"data").expect("a data chunk") + 8;
    file[at..].chunks_exact(4).map(|b| f32::from_le_bytes(b.try_into().unwrap())).collect()
}

/// The head of a float WAV of 48 kHz with so many bytes of data.
pub(crate) fn wav_head(channels: u16, data_bytes: u32) -> Vec<u8> {
    let frame = 4 * channels;
    let mut head = [&b"RIFF"[..], &(36 + data_bytes).to_le_bytes(), b"WAVEfmt "].concat();
    head.extend(16u32.to_le_bytes());
    head.extend(3u16.to_le_bytes());
    head.extend(channels.to_le_bytes());
    head.extend(48_000u32.to_le_bytes());
    head.extend((48_000 * u32::from(frame)).to_le_bytes());
    head.extend(frame.to_le_bytes());
    head.extend(32u16.to_le_bytes());
    head.extend(b"data");
    head.extend(data_bytes.to_le_bytes());
    head
}
