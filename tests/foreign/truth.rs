//! What is true of a case: figures by the gear's own formulas, sentences by what was built.

use crate::filter::Filter;

/// Third-octave mid frequencies judged, Hz: 12.5 to 250.
pub(crate) fn bands_hz() -> impl Iterator<Item = f64> {
    (11..=24).map(|k| 10f64.powf(f64::from(k) / 10.0))
}

/// What the bass does when volume or level rises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Depends {
    /// Nothing moves.
    Fixed,
    /// The curve follows the knob.
    Volume,
    /// The curve, or the level, follows what arrives.
    Level,
    /// Both.
    Both,
    /// Cannot be known from these captures: nothing may be said as sure.
    Unknown,
    /// Not judged in this case.
    NotAsked,
}

/// Where the distortion of a tone reaches 1 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Clean {
    /// Nothing bends at any level the recorder takes.
    Never,
    /// For 997 Hz and 45 Hz at −1 dBFS: as gain to the file in the mid band, dB.
    At([f64; 2]),
    /// Quiet tones are bent too: no figure of a clip is true.
    Odd,
    /// Not judged in this case.
    NotAsked,
}

/// Where a device clips.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum Clip {
    /// Nowhere on the ramp.
    #[default]
    Never,
    /// From this level of its input on, dBFS.
    At(f64),
    /// Already at the lowest step of the ramp.
    Below,
    /// It bends, and no figure of a hard clip is true.
    Soft,
}

/// The octave part of a device.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum Octave {
    /// None.
    #[default]
    None,
    /// At this level re its source, dB.
    At(f64),
    /// It opens at a level: no one level is true.
    Gated,
    /// Its level falls over its range: no one level is true.
    Sloping,
}

/// What a device does.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DeviceTruth {
    pub(crate) inverts: bool,
    /// Centre in Hz, width in octaves, gain in dB.
    pub(crate) band: Option<(f64, f64, f64)>,
    pub(crate) high_pass: Option<(usize, f64)>,
    /// Whether one band and one high-pass of even order hold its direct response.
    pub(crate) is_ours: bool,
    pub(crate) octave: Octave,
    pub(crate) clip: Clip,
}

impl Default for DeviceTruth {
    fn default() -> Self {
        Self {
            inverts: false,
            band: None,
            high_pass: None,
            is_ours: true,
            octave: Octave::None,
            clip: Clip::Never,
        }
    }
}

/// One channel.
#[derive(Clone, Debug)]
pub(crate) struct Channel {
    /// Everything linear from the track to what the figures are about.
    pub(crate) response: Filter,
    /// How far the bass may also lie below that, dB (a limiter at some level).
    pub(crate) below_db: f64,
    /// How far the bass may lie above it: the mid band it is told against may be limited too, dB.
    pub(crate) above_db: f64,
    /// Noise of the radio's output re what it gives of the track at 0 dB of response, in the band
    /// at a frequency: dBFS with the gain to the file taken in.
    pub(crate) noise_dbfs: Vec<(f64, f64)>,
    /// The same with the recorder's noise in it.
    pub(crate) capture_noise_dbfs: Vec<(f64, f64)>,
    /// Gain from the track to the file in the mid band, dB.
    pub(crate) gain_db: f64,
    /// Orders of the roll-off: 6 dB per octave each; `None` when there is no single one.
    pub(crate) order: Option<usize>,
    /// Whether it inverts.
    pub(crate) inverts: bool,
}

/// The case's truth.
#[derive(Clone, Debug)]
pub(crate) struct Truth {
    /// What the track's left and right channel go through; one when the figures of both are one.
    pub(crate) channels: Vec<Channel>,
    pub(crate) depends: Depends,
    /// Whether anything makes the level or curve follow the level (sentences about a limiter).
    pub(crate) level_dependent: bool,
    /// Volume at which the loud tones have 1 % of distortion.
    pub(crate) clean: Clean,
    /// The second output re the first: inverted, delay in ms, level in dB.
    pub(crate) relation: Option<(bool, f64, f64)>,
    /// Noise of the capture hides the radio's: nothing may be called gone.
    pub(crate) hidden: bool,
    /// A mains line: frequency, level in dBFS. Its name and place must be told.
    pub(crate) hum: Option<(f64, f64)>,
    /// Whether nothing but the track and noise is on the line.
    pub(crate) no_tones: bool,
    /// The recorder is in the figures and no loop-back was given.
    pub(crate) recorder_inside: bool,
    /// Lifted by one band of 12 dB at most; nothing is needed at all when the radio is flat.
    pub(crate) flat: bool,
    /// Sentences that must stand somewhere: each of these alternatives by one of its words.
    pub(crate) must_say: Vec<&'static [&'static str]>,
    /// Words that must not stand anywhere.
    pub(crate) must_not_say: Vec<&'static str>,
    /// What a device does, where one was under test.
    pub(crate) device: Option<DeviceTruth>,
    /// The case may be refused as a whole with a sentence.
    pub(crate) may_refuse: bool,
}

impl Channel {
    /// Level of pink noise in a band, dB re that from 250 Hz to 1 kHz per third.
    pub(crate) fn band_db(&self, hz: f64) -> f64 {
        let (low, high) = (hz * 10f64.powf(-0.05), hz * 10f64.powf(0.05));
        power_db(&self.response, low, high, 40) - self.mid_db()
    }

    fn mid_db(&self) -> f64 {
        power_db(&self.response, 250.0, 1000.0, 120)
    }

    /// The highest frequency below 300 Hz at which the response falls through `down_db`: re the mid
    /// band as the tables are, or re the top as handbooks have it. Both are usual, both are true.
    pub(crate) fn falls_at(&self, down_db: f64) -> Option<(f64, f64)> {
        let places = [self.mid_db(), self.response.db(4000.0)].map(|re| self.falls_re(re, down_db));
        let [mid, top] = places.map(|p| p.or(places[0]).or(places[1]));
        Some((mid?.min(top?), mid?.max(top?)))
    }

    fn falls_re(&self, reference_db: f64, down_db: f64) -> Option<f64> {
        let level = |hz: f64| self.response.db(hz) - reference_db + down_db;
        let grid = |i: i32| 300.0 * 2f64.powf(-f64::from(i) / 96.0);
        let last = (1..96 * 6).find(|i| level(grid(*i)) < 0.0)?;
        let (mut low, mut high) = (grid(last), grid(last - 1));
        for _ in 0..40 {
            let middle = (low * high).sqrt();
            if level(middle) < 0.0 { low = middle } else { high = middle }
        }
        Some((low * high).sqrt())
    }

    /// Pink programme of −20 dBFS in thirty thirds over the radio's own noise, dB.
    pub(crate) fn over_noise_db(&self, hz: f64) -> Option<f64> {
        self.over(&self.noise_dbfs, hz)
    }

    /// The same over everything in the capture: what is near the line there may be left open.
    pub(crate) fn over_capture_db(&self, hz: f64) -> Option<f64> {
        self.over(&self.capture_noise_dbfs, hz)
    }

    fn over(&self, noise: &[(f64, f64)], hz: f64) -> Option<f64> {
        let noise = noise.iter().find(|n| (n.0 / hz - 1.0).abs() < 0.01)?.1;
        Some(-20.0 - 10.0 * 30f64.log10() + self.gain_db + self.band_db(hz) - noise)
    }
}

/// Mean of |H|² for equal power per octave, dB.
fn power_db(response: &Filter, low: f64, high: f64, points: u32) -> f64 {
    let at = |i: u32| low * (high / low).powf((f64::from(i) + 0.5) / f64::from(points));
    let sum: f64 = (0..points).map(|i| response.gain(at(i)).norm_sqr()).sum();
    10.0 * (sum / f64::from(points)).max(1e-20).log10()
}
