//! What the track plays when: two forms, in seconds, whatever the sample rate.
//!
//! Every time is a multiple of 0.1 s, a whole number of samples at any common
//! rate. The comb stays 6 dB below full scale because a high-pass raises the
//! peak of a comb by up to 4.6 dB.

use super::marker::Marker;

/// Version of the track; an analyser refuses one it does not know.
pub const VERSION: u8 = 1;

/// A comb's first block starts this long after its section, in seconds: filters and
/// automatic gains have settled.
pub const SETTLE_S: f64 = 1.9;

/// Fades of tones and combs at both ends, in seconds.
pub const FADE_S: f64 = 0.05;

/// The forms of the track.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// For every volume step: 50.7 s.
    Short,
    /// For the usual step and for devices: 2 min 32 s.
    Long,
}

/// What a section plays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Content {
    /// Nothing: for the noise floor.
    Silence,
    /// The marker of the start or of the end.
    Marker {
        /// Whether it ends the track.
        end: bool,
    },
    /// The comb.
    Comb {
        /// Peak level in dBFS.
        peak_dbfs: f64,
    },
    /// A sine in both channels.
    Tone {
        /// Frequency in Hz.
        hz: f64,
        /// Peak level in dBFS.
        peak_dbfs: f64,
    },
    /// One positive bump of 20 ms, for eyes that look for the polarity.
    Pulse,
}

impl Content {
    /// Peak level of a comb or a tone in dBFS; `None` of what has none of its own.
    pub fn peak_dbfs(&self) -> Option<f64> {
        match self {
            Self::Comb { peak_dbfs } | Self::Tone { peak_dbfs, .. } => Some(*peak_dbfs),
            Self::Silence | Self::Marker { .. } | Self::Pulse => None,
        }
    }
}

/// A section of the track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Start in seconds.
    pub start_s: f64,
    /// Length in seconds.
    pub seconds: f64,
    /// What it plays.
    pub content: Content,
}

impl Section {
    /// How many 2-s blocks of a comb are settled and clear of its fades: always an even
    /// number, because only then a halved component cancels.
    pub fn blocks(&self) -> usize {
        let whole = (self.seconds - SETTLE_S - FADE_S - 0.01) / super::comb::PERIOD_S;
        whole.max(0.0) as usize / 2 * 2
    }
}

/// Frequencies of the tone ladder in Hz. It doubles, so that the direct gain at each half
/// is known from another rung.
pub const LADDER_HZ: [f64; 11] =
    [20.0, 25.5, 32.0, 40.0, 51.0, 64.0, 80.0, 102.0, 128.0, 160.0, 204.0];

/// The level tone in Hz: prime, on no mains harmonic (the tone of AES17).
pub const LEVEL_HZ: f64 = 997.0;

/// The bass tone in Hz.
pub const BASS_HZ: f64 = 45.0;

impl Form {
    /// The sections in the order of time; what lies between them is silent.
    pub fn sections(self) -> Vec<Section> {
        let mut plan = Plan::default();
        plan.quiet(1.0);
        plan.put(2.0, Content::Marker { end: false });
        plan.quiet(0.4);
        match self {
            Form::Short => plan.short(),
            Form::Long => plan.long(),
        }
        plan.put(2.0, Content::Marker { end: true });
        plan.sections
    }

    /// Length in seconds.
    pub fn seconds(self) -> f64 {
        self.sections().last().map_or(0.0, |last| last.start_s + last.seconds) + 0.6
    }

    /// From the middle of the start marker to the middle of the end marker, in seconds.
    pub fn marker_distance_s(self, start: &Marker, end: &Marker) -> f64 {
        let starts: Vec<f64> = self
            .sections()
            .iter()
            .filter(|s| matches!(s.content, Content::Marker { .. }))
            .map(|s| s.start_s)
            .collect();
        starts[1] + end.centroid_s() - starts[0] - start.centroid_s()
    }
}

#[derive(Default)]
struct Plan {
    now_tenths: u32,
    sections: Vec<Section>,
}

impl Plan {
    fn short(&mut self) {
        self.put(4.0, Content::Silence);
        self.tone(LEVEL_HZ, -20.0, 2.0, 0.2);
        self.comb(-26.0, 10.0);
        self.comb(-16.0, 10.0);
        self.comb(-6.0, 14.0);
        self.quiet(0.3);
        self.tone(LEVEL_HZ, -1.0, 1.5, 0.2);
        self.tone(BASS_HZ, -1.0, 2.0, 0.5);
    }

    fn long(&mut self) {
        self.put(6.0, Content::Silence);
        self.tone(LEVEL_HZ, -20.0, 2.0, 0.2);
        self.comb(-26.0, 10.0);
        self.comb(-16.0, 10.0);
        self.comb(-6.0, 34.0);
        self.quiet(0.3);
        for peak_dbfs in [-25.0, -13.0] {
            LADDER_HZ.iter().for_each(|hz| self.tone(*hz, peak_dbfs, 2.5, 0.1));
        }
        (-15..=0).for_each(|peak_dbfs| self.tone(LEVEL_HZ, f64::from(peak_dbfs), 0.8, 0.1));
        for peak_dbfs in [-13.0, -7.0, -4.0, -1.0] {
            self.tone(BASS_HZ, peak_dbfs, 2.5, 0.1);
        }
        self.quiet(0.2);
        self.put(0.1, Content::Pulse);
        self.quiet(0.9);
    }

    fn comb(&mut self, peak_dbfs: f64, seconds: f64) {
        self.put(seconds, Content::Comb { peak_dbfs });
    }

    fn tone(&mut self, hz: f64, peak_dbfs: f64, seconds: f64, then_quiet_s: f64) {
        self.put(seconds, Content::Tone { hz, peak_dbfs });
        self.quiet(then_quiet_s);
    }

    fn put(&mut self, seconds: f64, content: Content) {
        self.sections.push(Section {
            start_s: f64::from(self.now_tenths) / 10.0,
            seconds,
            content,
        });
        self.quiet(seconds);
    }

    fn quiet(&mut self, seconds: f64) {
        self.now_tenths += (seconds * 10.0).round() as u32;
    }
}
