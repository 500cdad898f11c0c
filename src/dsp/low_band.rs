//! The parametric low band, on the blend or on the octave part alone.
//!
//! One filter serves both: with w = 1 it filters dry + octave; with w = 0 the
//! dry part goes round it. w glides, so the choice can change while it sounds.
//! A flat band does not run.

use super::glide::Glide;
use super::shape::Shape;
use super::svf::{Design, Svf};
use super::tick::Tick;
use crate::settings::{ActsOn, Settings};

/// The low band of the line.
pub struct LowBand {
    sample_rate_hz: f64,
    centre_octaves: Glide,
    width_octaves: Glide,
    gain_db: Glide,
    dry_share: Glide,
    design: Design,
    filter: Svf,
    tick: Tick,
}

impl LowBand {
    /// A flat band for signals at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64) -> Self {
        let glide = |value| Glide::new(value, sample_rate_hz);
        Self {
            sample_rate_hz,
            centre_octaves: glide(libm::log2(45.0)),
            width_octaves: glide(1.0),
            gain_db: glide(0.0),
            dry_share: glide(1.0),
            design: Design::band(45.0, 1.0, 0.0, sample_rate_hz),
            filter: Svf::default(),
            tick: Tick::default(),
        }
    }

    /// Follows `low_band.*`.
    pub fn set(&mut self, settings: &Settings) {
        self.centre_octaves.set(libm::log2(settings.low_band_centre_hz.into()));
        self.width_octaves.set(f64::from(settings.low_band_width_oct));
        self.gain_db.set(f64::from(settings.low_band_gain_db));
        self.dry_share.set(f64::from(settings.low_band_acts_on == ActsOn::Blend));
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        for glide in [
            &mut self.centre_octaves,
            &mut self.width_octaves,
            &mut self.gain_db,
            &mut self.dry_share,
        ] {
            glide.finish();
        }
        self.redesign();
        self.filter = Svf::default();
        self.tick = Tick::default();
    }

    /// A stretch of the dry part and of the octave part, whose sum lies in `blend`; there the band
    /// leaves what it makes of them.
    pub fn process(&mut self, dry: [&[f64]; 2], octave: &[f64], blend: [&mut [f64]; 2]) {
        if self.is_flat() {
            self.filter = Svf::default();
            self.tick.pass(octave.len());
            return;
        }
        let [left, right] = blend;
        for (i, octave) in octave.iter().enumerate() {
            [left[i], right[i]] = self.frame([dry[0][i], dry[1][i]], *octave);
        }
    }

    #[inline]
    fn frame(&mut self, dry: [f64; 2], octave: f64) -> [f64; 2] {
        if self.tick.due() {
            self.filter.flush();
        }
        self.glide();
        let share = self.dry_share.step();
        if self.gain_db.rests_at(0.0) {
            self.filter = Svf::default();
            return [dry[0] + octave, dry[1] + octave];
        }
        let filtered = [octave + share * dry[0], octave + share * dry[1]];
        let out = self.filter.process(&self.design, filtered);
        let around = 1.0 - share;
        [out[0] + around * dry[0], out[1] + around * dry[1]]
    }

    /// Gain in dB at `hz` that these settings ask for, once every glide has arrived.
    pub fn response_db(settings: &Settings, hz: f64, sample_rate_hz: f64) -> f64 {
        let band =
            [settings.low_band_centre_hz, settings.low_band_width_oct, settings.low_band_gain_db];
        Self::shape(band.map(f64::from), sample_rate_hz).db(hz)
    }

    /// The closed form of a band of [centre in Hz, width in octaves, gain in dB], for whoever takes
    /// differences of it or reads it at many frequencies.
    pub fn shape([centre_hz, width, gain]: [f64; 3], sample_rate_hz: f64) -> Shape {
        Shape::new(&[Design::band(centre_hz, width, gain, sample_rate_hz)], sample_rate_hz)
    }

    /// What these settings ask for; `None` when the band is flat.
    pub(super) fn design(settings: &Settings, sample_rate_hz: f64) -> Option<Design> {
        let [centre_hz, width, gain] =
            [settings.low_band_centre_hz, settings.low_band_width_oct, settings.low_band_gain_db]
                .map(f64::from);
        (gain != 0.0).then(|| Design::band(centre_hz, width, gain, sample_rate_hz))
    }

    /// Whether nothing moves and the band does nothing.
    fn is_flat(&self) -> bool {
        let glides = [&self.centre_octaves, &self.width_octaves, &self.dry_share];
        self.gain_db.rests_at(0.0) && !glides.into_iter().any(Glide::moves)
    }

    /// Designs the filter anew for every sample of a glide: coarser steps would buzz.
    fn glide(&mut self) {
        if self.centre_octaves.moves() || self.width_octaves.moves() || self.gain_db.moves() {
            self.centre_octaves.step();
            self.width_octaves.step();
            self.gain_db.step();
            self.redesign();
        }
    }

    fn redesign(&mut self) {
        let centre_hz = libm::exp2(self.centre_octaves.value());
        let (width, gain) = (self.width_octaves.value(), self.gain_db.value());
        self.design = Design::band(centre_hz, width, gain, self.sample_rate_hz);
    }
}
