//! Low-end equalisation of a sealed box, from (f0, Q0) to (fp, Qp):
//! H(s) = (s² + s·ω0/Q0 + ω0²)/(s² + s·ωp/Qp + ωp²), by the bilinear transform.
//!
//! It turns the second-order fall of the one box into that of another, and gains 40·log10(f0/fp) dB
//! far below both. Switched off it does not run; its switch cross-fades.

use super::glide::Glide;
use super::lanes;
use super::svf::{Design, Svf};
use super::tick::Tick;
use crate::settings::Settings;

/// The equaliser of the line.
pub struct ClosedBox {
    sample_rate_hz: f64,
    from_octaves: Glide,
    from_q: Glide,
    to_octaves: Glide,
    to_q: Glide,
    share: Glide,
    design: Design,
    filter: Svf,
    tick: Tick,
}

impl ClosedBox {
    /// Switched off, for signals at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64) -> Self {
        let glide = |value| Glide::new(value, sample_rate_hz);
        Self {
            sample_rate_hz,
            from_octaves: glide(libm::log2(40.0)),
            from_q: glide(0.9),
            to_octaves: glide(libm::log2(25.0)),
            to_q: glide(0.707),
            share: glide(0.0),
            design: Design::extension([40.0, 0.9], [25.0, 0.707], sample_rate_hz),
            filter: Svf::default(),
            tick: Tick::default(),
        }
    }

    /// Follows `closed_box.*`.
    pub fn set(&mut self, settings: &Settings) {
        let [[from_hz, from_q], [to_hz, to_q]] = corners(settings);
        self.from_octaves.set(libm::log2(from_hz));
        self.from_q.set(from_q);
        self.to_octaves.set(libm::log2(to_hz));
        self.to_q.set(to_q);
        self.share.set(f64::from(settings.closed_box_on));
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        let glides = [&mut self.from_octaves, &mut self.from_q, &mut self.to_octaves];
        glides.into_iter().chain([&mut self.to_q, &mut self.share]).for_each(Glide::finish);
        self.redesign();
        self.filter = Svf::default();
        self.tick = Tick::default();
    }

    /// A stretch through the equaliser, in place.
    pub fn process(&mut self, left: &mut [f64], right: &mut [f64]) {
        if self.share.rests_at(0.0) && !self.moves() {
            self.filter = Svf::default();
            self.tick.pass(left.len());
        } else {
            lanes::each(left, right, |frame| self.frame(frame));
        }
    }

    #[inline]
    fn frame(&mut self, frame: [f64; 2]) -> [f64; 2] {
        if self.tick.due() {
            self.filter.flush();
        }
        self.glide();
        let share = self.share.step();
        if self.share.rests_at(0.0) {
            self.filter = Svf::default();
            return frame;
        }
        let out = self.filter.process(&self.design, frame);
        if share == 1.0 { out } else { [0, 1].map(|i| frame[i] + share * (out[i] - frame[i])) }
    }

    /// Gain in dB at `hz` that these settings ask for, once every glide has arrived.
    pub fn response_db(settings: &Settings, hz: f64, sample_rate_hz: f64) -> f64 {
        match Self::design(settings, sample_rate_hz) {
            Some(design) => design.response_db(hz, sample_rate_hz),
            None => 0.0,
        }
    }

    /// What these settings ask for; `None` when it is off.
    pub(super) fn design(settings: &Settings, sample_rate_hz: f64) -> Option<Design> {
        let [from, to] = corners(settings);
        settings.closed_box_on.then(|| Design::extension(from, to, sample_rate_hz))
    }

    /// Designs the filter anew for every sample of a glide: coarser steps would buzz.
    fn glide(&mut self) {
        if self.moves() {
            self.from_octaves.step();
            self.from_q.step();
            self.to_octaves.step();
            self.to_q.step();
            self.redesign();
        }
    }

    /// Whether one of the boxes is on its way.
    fn moves(&self) -> bool {
        let glides = [&self.from_octaves, &self.from_q, &self.to_octaves, &self.to_q];
        glides.into_iter().any(Glide::moves)
    }

    fn redesign(&mut self) {
        let from = [libm::exp2(self.from_octaves.value()), self.from_q.value()];
        let to = [libm::exp2(self.to_octaves.value()), self.to_q.value()];
        self.design = Design::extension(from, to, self.sample_rate_hz);
    }
}

/// Frequency in Hz and quality of the box as it is, and of what it is to become.
fn corners(settings: &Settings) -> [[f64; 2]; 2] {
    [
        [settings.closed_box_from_hz, settings.closed_box_from_q].map(f64::from),
        [settings.closed_box_to_hz, settings.closed_box_to_q].map(f64::from),
    ]
}
