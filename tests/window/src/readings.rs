//! Readings of an invented car: noise or a tone through the line, measured.

use std::f64::consts::TAU;
use underpin::curve::Curve;
use underpin::editor::model::now::{Meter, Now};
use underpin::measure::{Ask, Measure, Readings};
use underpin::path::Path;
use underpin::plot::oscillogram::Stretch;
use underpin::report::{Run, Sheet};
use underpin::settings::{Order, Settings};

const RATE_HZ: f64 = 48_000.0;

/// A sheet on which nothing was measured.
pub fn nothing() -> Sheet {
    Sheet::new("invented car")
}

/// Settings that fill the low end of the invented car.
fn settings() -> Settings {
    Settings {
        octave_level_db: 0.0,
        octave_from_hz: 50.0,
        octave_to_hz: 125.0,
        low_band_gain_db: 6.0,
        low_band_centre_hz: 38.0,
        low_band_width_oct: 1.2,
        high_pass_order: Order::Second,
        ..Settings::default()
    }
}

/// Pink-like noise as it is, through the line with these settings.
pub fn level_pink(seconds: f64, settings: Settings) -> Sheet {
    measured("pink noise", &noise((seconds * RATE_HZ) as usize, &mut []), settings, None)
}

/// Pink-like noise through a radio that takes the low bass out, then through the line.
pub fn pink(seconds: f64) -> Sheet {
    // A fourth-order 80 Hz high-pass made of two second-order ones (Butterworth).
    let mut radio = [0.541_196_100, 1.306_562_965].map(|q| HighPass::new(80.0, q));
    let radio = noise((seconds * RATE_HZ) as usize, &mut radio);
    let mut sheet = measured("pink noise", &radio, settings(), None);
    sheet.target =
        Some(Curve::new([(25.0, 0.5), (50.0, 2.0), (80.0, 2.0), (160.0, 0.5), (200.0, 0.0)]));
    sheet
}

/// A tone at `hz` with a peak of `peak` through the line with these settings.
pub fn tone_with(hz: f64, peak: f64, settings: Settings) -> Sheet {
    measured(&format!("tone {hz} Hz"), &sine(hz, peak), settings, Some(hz))
}

/// A tone through the line.
pub fn tone(hz: f64, peak: f64) -> Sheet {
    tone_with(hz, peak, settings())
}

fn sine(hz: f64, peak: f64) -> Vec<f32> {
    let n = (8.0 * RATE_HZ) as usize;
    (0..n).map(|i| (peak * (TAU * hz * i as f64 / RATE_HZ).sin()) as f32).collect()
}

/// A tone that was clipped before the line, over its limit.
pub fn clipped() -> Sheet {
    let samples: Vec<f32> = sine(60.0, 0.9).into_iter().map(|x| x.clamp(-0.5, 0.5)).collect();
    let mut sheet = measured("tone 60 Hz", &samples, settings(), Some(60.0));
    sheet.harmonics_limit = Some(0.001);
    sheet
}

/// What sounds now: a wave of 50 Hz at every post.
pub fn now() -> Now {
    let sine = |gain: f64| (0..4800).map(|n| gain * (TAU * n as f64 / 960.0).sin()).collect();
    Now {
        number: 1,
        before: Meter { rms_dbfs: -21.3, peak_dbfs: -12.1, weighted_dbfs: [-21.0, -22.4] },
        after: Meter { rms_dbfs: -18.2, peak_dbfs: -4.4, weighted_dbfs: [-18.0, -19.6] },
        wave: Stretch { seconds: 0.1, before: sine(0.2), octave: sine(0.1), after: sine(0.3) },
        scope: None,
        is_moving: false,
    }
}

/// Digital silence.
pub fn silence() -> Sheet {
    measured("silence", &vec![0.0; (4.0 * RATE_HZ) as usize], settings(), None)
}

/// Readings that no signal could give, by name.
pub fn absurd() -> Vec<(&'static str, Sheet)> {
    let base = tone(60.0, 0.5);
    let with = |change: &dyn Fn(&mut Readings)| {
        let mut sheet = base.clone();
        change(&mut sheet.runs[0].readings);
        sheet
    };
    let level = |readings: &mut Readings, db: f64| {
        for side in [Some(&mut readings.before), readings.after.as_mut()].into_iter().flatten() {
            side.level.rms_dbfs = db;
            side.level.peak_dbfs = db;
            side.level.true_peak_dbtp = db;
            side.spectrum.power.iter_mut().for_each(|power| *power = db);
            side.partials = None;
        }
        readings.scope = None;
    };
    vec![
        ("not a number", with(&|readings| level(readings, f64::NAN))),
        ("endless", with(&|readings| level(readings, f64::INFINITY))),
        ("huge", with(&|readings| level(readings, 1e30))),
        (
            "no bins",
            with(&|readings| {
                level(readings, -300.0);
                readings.before.spectrum.power.clear();
                readings.before.bands.clear();
            }),
        ),
        (
            "odd partials",
            with(&|readings| {
                let partials = readings.after.as_mut().and_then(|side| side.partials.as_mut());
                let partials = partials.expect("partials");
                partials.below_ratio = f64::INFINITY;
                partials.thd_f = f64::NAN;
                partials.tone_dbfs = f64::NEG_INFINITY;
                partials.below.iter_mut().for_each(|line| line.re_tone_db = f64::NAN);
                partials.above.iter_mut().for_each(|line| line.re_tone_db = 900.0);
            }),
        ),
        (
            "odd scope",
            with(&|readings| {
                let scope = readings.scope.as_mut().expect("a scope");
                scope.dry.iter_mut().for_each(|x| *x = f64::NAN);
                scope.out.iter_mut().for_each(|x| *x *= 1e12);
            }),
        ),
    ]
}

fn measured(name: &str, samples: &[f32], settings: Settings, tone_hz: Option<f64>) -> Sheet {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(&settings);
    let ask = Ask { tone_hz, strata: true, skip_s: 1.0, ..Ask::default() };
    let mut measure = Measure::new(RATE_HZ, 1, &ask);
    let mut block = samples.to_vec();
    path.process(&mut [&mut block], &mut measure);
    let mut sheet = Sheet::new("invented car: 4th-order 80 Hz high-pass");
    sheet.settings = Some(settings);
    sheet.runs = vec![Run::new(name, measure.reading())];
    sheet
}

/// Pink noise (Kellet's filter, published on music-dsp 1999) through filters.
fn noise(count: usize, sections: &mut [HighPass]) -> Vec<f32> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut white = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    let mut b = [0.0; 3];
    let mut next = || {
        let white = white();
        b[0] = 0.99765 * b[0] + white * 0.0990460;
        b[1] = 0.96300 * b[1] + white * 0.2965164;
        b[2] = 0.57000 * b[2] + white * 1.0526913;
        let pink = 0.03 * (b[0] + b[1] + b[2] + 0.1848 * white);
        sections.iter_mut().fold(pink, |x, section| section.process(x))
    };
    (0..count).map(|_| next() as f32).collect()
}

/// A second-order high-pass (R. Bristow-Johnson, *Audio EQ Cookbook*).
struct HighPass {
    b: [f64; 3],
    a: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl HighPass {
    fn new(hz: f64, q: f64) -> Self {
        let w = TAU * hz / RATE_HZ;
        let (cos, alpha) = (w.cos(), w.sin() / (2.0 * q));
        let a0 = 1.0 + alpha;
        let gain = (1.0 + cos) / 2.0 / a0;
        Self {
            b: [gain, -2.0 * gain, gain],
            a: [-2.0 * cos / a0, (1.0 - alpha) / a0],
            x: [0.0; 2],
            y: [0.0; 2],
        }
    }

    fn process(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.b[1] * self.x[0] + self.b[2] * self.x[1]
            - self.a[0] * self.y[0]
            - self.a[1] * self.y[1];
        self.x = [x, self.x[0]];
        self.y = [y, self.y[0]];
        y
    }
}
