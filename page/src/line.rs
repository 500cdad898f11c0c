//! The line on the page's audio thread: nothing is allocated after it was made.

use underpin::path::Path;
use underpin::settings::{ALL, Settings};

/// Samples that a browser hands on at a time (Web Audio API 1.0, render quantum).
const MOST: usize = 128;

/// A line and the samples it works on.
pub(crate) struct Line {
    path: Path,
    samples: [[f32; MOST]; 2],
    plain: [f32; ALL.len()],
    /// Whether a setting has moved since the last run.
    has_moved: bool,
}

impl Line {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        Self {
            path: Path::new(sample_rate_hz, 2),
            samples: [[0.0; MOST]; 2],
            plain: Settings::default().to_plain(),
            has_moved: true,
        }
    }

    pub(crate) fn samples(&mut self) -> *mut f32 {
        self.samples.as_mut_ptr().cast()
    }

    pub(crate) fn put(&mut self, setting: usize, plain: f32) {
        let Some(setting) = ALL.get(setting) else { return };
        self.plain[setting.id.index()] = setting.clamp(plain);
        self.has_moved = true;
    }

    pub(crate) fn run(&mut self, frames: usize) {
        if self.has_moved {
            self.path.set(&Settings::from_plain(self.plain));
            self.has_moved = false;
        }
        let [left, right] = &mut self.samples;
        let frames = frames.min(MOST);
        self.path.process(&mut [&mut left[..frames], &mut right[..frames]], &mut ());
    }
}
