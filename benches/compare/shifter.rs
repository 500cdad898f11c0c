//! What makes an octave down: our own methods, and programs that work on files.

use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use underpin::dsp::octave::Octave;
use underpin::settings::{Method, Settings};

/// A way to an octave down.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Shifter {
    Own(Method),
    Sox,
    RubberBand,
}

/// All that are judged, with their names.
pub(crate) const ALL: [(&str, Shifter); 5] = [
    ("tracked", Shifter::Own(Method::Tracked)),
    ("halved", Shifter::Own(Method::Halved)),
    ("divided", Shifter::Own(Method::Divided)),
    ("sox pitch -1200", Shifter::Sox),
    ("rubberband --fine -p -12", Shifter::RubberBand),
];

thread_local! {
    /// What the measures are hearing.
    static NOW: Cell<Shifter> = const { Cell::new(Shifter::Sox) };
}

impl Shifter {
    /// The one that is judged now.
    pub(crate) fn now() -> Self {
        NOW.get()
    }

    /// From now on this one is judged.
    pub(crate) fn judge(self) {
        NOW.set(self);
    }

    /// A mono signal an octave down.
    pub(crate) fn render(self, settings: &Settings, rate_hz: f64, x: &[f64]) -> Vec<f64> {
        match self {
            Self::Own(octave_method) => {
                let mut octave = Octave::new(rate_hz);
                octave.set(&Settings { octave_method, ..*settings });
                let mut out = vec![0.0; x.len()];
                octave.process(x, x, &mut out);
                out
            }
            Self::Sox | Self::RubberBand => self.shifted(rate_hz, x),
        }
    }

    /// Through files: low-passed with fourth order at 170 Hz as the engine's own input is, then
    /// an octave down.
    fn shifted(self, rate_hz: f64, x: &[f64]) -> Vec<f64> {
        let folder = tempfile::tempdir().expect("a folder");
        let [given, low, out] =
            ["given", "low", "out"].map(|name| folder.path().join(name).with_extension("wav"));
        fs::write(&given, wav(rate_hz, x)).expect("a file");
        let low_pass = ["lowpass", "-2", "170", "0.541q", "lowpass", "-2", "170", "1.307q"];
        match self {
            Self::Sox => {
                run("sox", &[&given, &out], &[&low_pass[..], &["pitch", "-1200"]].concat())
            }
            _ => {
                run("sox", &[&given, &low], &low_pass);
                rubber_band(&low, &out);
            }
        }
        let mut y = samples(&fs::read(&out).expect("an answer"));
        y.resize(x.len(), 0.0);
        y
    }
}

fn run(program: &str, files: &[&PathBuf], effects: &[&str]) {
    let mut command = Command::new(program);
    command
        .arg("-D")
        .arg(files[0])
        .args(["-e", "floating-point", "-b", "32"])
        .arg(files[1])
        .args(effects);
    done(&mut command);
}

fn rubber_band(from: &Path, to: &Path) {
    done(Command::new("rubberband").args(["--fine", "--quiet", "-p", "-12"]).arg(from).arg(to));
}

fn done(command: &mut Command) {
    let status = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
    assert!(status.is_ok_and(|status| status.success()), "{command:?} failed");
}

/// A mono WAV file of 32-bit floats.
fn wav(rate_hz: f64, x: &[f64]) -> Vec<u8> {
    let (rate, size) = (rate_hz as u32, 4 * x.len() as u32);
    let mut bytes = Vec::from(*b"RIFF");
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(*b"WAVEfmt ");
    bytes.extend(16u32.to_le_bytes());
    bytes.extend([3u16, 1].map(u16::to_le_bytes).concat());
    bytes.extend([rate, 4 * rate].map(u32::to_le_bytes).concat());
    bytes.extend([4u16, 32].map(u16::to_le_bytes).concat());
    bytes.extend(*b"data");
    bytes.extend(size.to_le_bytes());
    bytes.extend(x.iter().flat_map(|x| (*x as f32).to_le_bytes()));
    bytes
}

/// The samples of a WAV file of 32-bit floats.
fn samples(bytes: &[u8]) -> Vec<f64> {
    let at = bytes.windows(4).position(|name| name == b"data").expect("a data chunk") + 8;
    bytes[at..]
        .chunks_exact(4)
        .map(|b| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]])))
        .collect()
}
