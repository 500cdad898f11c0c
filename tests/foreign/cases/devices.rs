//! Devices that make an octave below, or a band, or clip, as shops sell them: dividers with and without
//! a gate, two bands, a treble cut, a coupling, rails of every kind.

use underpin::signal::track::layout::Form;

use crate::case::{Bench, Case, RATE, Scene};
use crate::chance::Chance;
use crate::equaliser::{coupling, peak};
use crate::filter::{Filter, butterworth};
use crate::program::Ask;
use crate::radio::Radio;
use crate::rails::Rails;
use crate::truth::{Clip, Depends, DeviceTruth, Octave};

/// A flip-flop at the zero crossings of a band turns its sign: half the frequency at 8/(3π) of the
/// amplitude (Fourier series of sin(2πft)·sgn sin(πft)).
const HALF_OF_A_DIVIDER_DB: f64 = -1.424;

/// A device under test.
#[derive(Clone)]
struct Device {
    direct: Filter,
    gain_db: f64,
    /// Octave part: level in dB, and the level below which it is silent, dBFS.
    octave: Option<(f64, f64)>,
    /// Low-pass of the octave part, Hz.
    treble_cut_hz: Option<f64>,
    rails: Rails,
    inverts: bool,
}

pub(crate) fn all() -> Vec<Case> {
    direct().into_iter().chain(halving()).chain(bending()).collect()
}

/// A wire with 4 dB of loss.
fn plain() -> Device {
    Device {
        direct: Filter::none(RATE),
        gain_db: -4.0,
        octave: None,
        treble_cut_hz: None,
        rails: Rails::None,
        inverts: false,
    }
}

/// What filters alone do.
fn direct() -> Vec<Case> {
    let band = |hz: f64, q: f64, db: f64| Device { direct: peak(hz, q, db, RATE), ..plain() };
    let high_pass = |n: usize, hz: f64| butterworth(n).turned().at(hz, RATE, 600.0);
    let nothing = DeviceTruth::default();
    vec![
        device("a wire", plain(), nothing).clean(),
        device(
            "a wire that inverts",
            Device { inverts: true, ..plain() },
            DeviceTruth { inverts: true, ..nothing },
        )
        .clean(),
        device(
            "one band, +8 dB at 45 Hz",
            band(45.0, 1.414, 8.0),
            DeviceTruth { band: Some((45.0, 1.0, 8.0)), ..nothing },
        )
        .clean(),
        device(
            "one band, -6 dB at 90 Hz",
            band(90.0, 1.414, -6.0),
            DeviceTruth { band: Some((90.0, 1.0, -6.0)), ..nothing },
        )
        .clean(),
        device(
            "two bands",
            Device {
                direct: peak(32.0, 2.0, 7.0, RATE).then(peak(110.0, 2.0, 6.0, RATE)),
                ..plain()
            },
            DeviceTruth { is_ours: false, ..nothing },
        ),
        device(
            "subsonic of second order at 25 Hz",
            Device { direct: high_pass(2, 25.0), ..plain() },
            DeviceTruth { high_pass: Some((2, 25.0)), ..nothing },
        )
        .clean(),
        device(
            "subsonic of fourth order at 30 Hz",
            Device { direct: high_pass(4, 30.0), ..plain() },
            DeviceTruth { high_pass: Some((4, 30.0)), ..nothing },
        )
        .clean(),
        device(
            "first order at 22 Hz",
            Device { direct: coupling(22.0, RATE), ..plain() },
            DeviceTruth { is_ours: false, ..nothing },
        ),
    ]
}

/// Dividers, plain and as people build them.
fn halving() -> Vec<Case> {
    let nothing = DeviceTruth::default();
    vec![
        device(
            "divider at -6 dB",
            Device { octave: Some((-6.0, -90.0)), ..plain() },
            DeviceTruth { octave: Octave::At(-6.0 + HALF_OF_A_DIVIDER_DB), ..nothing },
        ),
        device(
            "divider at -14 dB",
            Device { octave: Some((-14.0, -90.0)), ..plain() },
            DeviceTruth { octave: Octave::At(-14.0 + HALF_OF_A_DIVIDER_DB), ..nothing },
        ),
        device(
            "divider behind a gate at -19 dBFS",
            Device { octave: Some((-6.0, -19.0)), ..plain() },
            DeviceTruth { octave: Octave::Gated, ..nothing },
        ),
        device(
            "divider with its treble cut at 35 Hz",
            Device { octave: Some((-4.0, -90.0)), treble_cut_hz: Some(35.0), ..plain() },
            DeviceTruth { octave: Octave::Sloping, ..nothing },
        ),
    ]
}

/// Everything that bends.
fn bending() -> Vec<Case> {
    let bent = |rails: Rails| Device { rails, ..plain() };
    let clips = |at: Clip| DeviceTruth { clip: at, ..DeviceTruth::default() };
    vec![
        device("hard clip 6 dB below full scale", bent(Rails::Hard(-10.0)), clips(Clip::At(-6.0)))
            .clean(),
        device("hard clip at the top of the ramp", bent(Rails::Hard(-6.0)), clips(Clip::At(-2.0)))
            .clean(),
        device("hard clip below the ramp", bent(Rails::Hard(-24.0)), clips(Clip::Below)),
        device("soft rails", bent(Rails::Soft(-6.0)), clips(Clip::Soft)),
        device("one side clips", bent(Rails::OneSided(-10.0)), clips(Clip::Soft)),
        device("second harmonic", bent(Rails::Curved(0.1)), clips(Clip::Soft)),
        device("crossover", bent(Rails::Crossover(0.004)), clips(Clip::Soft)),
    ]
}

fn device(name: &str, device: Device, truth: DeviceTruth) -> Case {
    Case::new("device", name, move |c: &mut Chance, seed| recorded(c, &device, truth, seed))
}

fn recorded(c: &mut Chance, device: &Device, truth: DeviceTruth, seed: u64) -> Scene {
    let mut bench = Bench::new(c, Filter::none(RATE));
    bench.form = Form::Long;
    bench.one_channel = true;
    bench.truth.depends = Depends::NotAsked;
    bench.truth.relation = None;
    let radio = Radio { volume_db: 0.0, ..Radio::new(RATE, Filter::none(RATE)) };
    let [sent, _] = radio.plays(Form::Long, seed);
    let out = device.works(sent);
    let mut scene = bench.scene(None, seed);
    scene.captures[0].channels = bench_wire(c).record(&[out.clone(), out], RATE, seed);
    scene.captures[0].channels.truncate(1);
    scene.truth.channels.clear();
    scene.truth.device = Some(truth);
    scene.question = Ask::Identify;
    scene
}

fn bench_wire(c: &mut Chance) -> crate::wire::Wire {
    crate::wire::Wire { lead_s: c.even(0.2, 1.5), ppm: c.even(-40.0, 40.0), ..Default::default() }
}

impl Device {
    fn works(&self, sent: Vec<f64>) -> Vec<f64> {
        let mut direct = sent.clone();
        self.direct.run(&mut direct);
        if let Some((level_db, gate_dbfs)) = self.octave {
            let half = self.divided(sent, level_db, gate_dbfs);
            direct.iter_mut().zip(half).for_each(|(x, half)| *x += half);
        }
        let gain = 10f64.powf(self.gain_db / 20.0) * if self.inverts { -1.0 } else { 1.0 };
        direct.iter_mut().for_each(|x| *x *= gain);
        self.rails.run(&mut direct);
        direct
    }

    /// The classic divider: a band from 35 to 160 Hz, its sign turned at every other cycle.
    fn divided(&self, mut band: Vec<f64>, level_db: f64, gate_dbfs: f64) -> Vec<f64> {
        butterworth(2).turned().at(25.0, RATE, 1000.0).run(&mut band);
        butterworth(4).at(220.0, RATE, 10.0).run(&mut band);
        let (gain, gate) = (10f64.powf(level_db / 20.0), 10f64.powf(gate_dbfs / 20.0));
        let (mut sign, mut before, mut level) = (1.0, 0.0, 0f64);
        let mut out: Vec<f64> = band
            .iter()
            .map(|x| {
                if before <= 0.0 && *x > 0.0 {
                    sign = -sign;
                }
                before = *x;
                // 0.1 s of hold: longer than a cycle of 20 Hz.
                level = x.abs().max(level * (1.0 - 1.0 / (0.1 * RATE)));
                if level > gate { gain * sign * x } else { 0.0 }
            })
            .collect();
        if let Some(hz) = self.treble_cut_hz {
            butterworth(2).at(hz, RATE, 5.0).run(&mut out);
        }
        out
    }
}
