//! The noise floor of a capture in third-octave bands, and the tones that stand
//! in it (hum, whine): from the track's silence, and from the scatter of the
//! comb's blocks where noise comes with the signal (codecs, automatic gain).
//!
//! A line of hum is not noise: music stands beside it. The floor is what lies
//! between the lines.

use std::f64::consts::TAU;

use realfft::RealFftPlanner;

use super::resample::GRID_HZ;
use super::statistics::median;
use crate::analysis::bands::{low_thirds, third_edges};
use crate::units::{db_to_power, power_to_db};

/// Scatter this far above the silence is noise that comes with the signal, dB.
const WITH_SIGNAL_DB: f64 = 6.0;
/// Standard deviation of a band's noise by scatter, dB: eleven lines in four to sixteen blocks.
const SCATTER_SD_DB: f64 = 0.7;
/// No noise is told below this, dBFS: a band's share of the rounding of 24 bits.
const LEAST_DBFS: f64 = -160.0;
/// Bins of the silence above so many times the usual are no noise: by chance 1 in 150.
const USUAL: f64 = 5.0;
/// Mean of a unit exponential cut off at [`USUAL`]: 1 − 5e⁻⁵/(1 − e⁻⁵).
const CUT_MEAN: f64 = 0.966;
/// A line stands this many times over the floor: by chance once in 3000 silences (counted; 14 times
/// happens in one of 85).
const LINE: f64 = 20.0;
/// Lines nearer than this many bins are one (a Hann line is four wide).
const ONE_LINE: usize = 5;
/// Bins on either side that a floor is taken from at least.
const LEAST_BINS: usize = 14;
/// ... or this share of an octave, whichever is more.
const AROUND_OCT: f64 = 1.0 / 6.0;
/// Bins of a Hann window that are independent of each other: 1 in 1.5.
const PER_INDEPENDENT: f64 = 1.5;
/// A band's own noise counts against its neighbours' when it is so many deviations off.
const OWN: f64 = 3.0;

/// Noise in one third-octave band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoiseBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// Level in dBFS (AES17).
    pub dbfs: f64,
    /// Standard deviation in dB, 4.343/√(B·T).
    pub sd_db: f64,
    /// Whether it comes with the signal and is not there in silence.
    pub with_signal: bool,
}

/// A tone that is not the track's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hum {
    /// Frequency in Hz; the middle where it moves.
    pub hz: f64,
    /// How far it moves within the silence, Hz; 0 for a steady one.
    pub moves_hz: f64,
    /// Level in dBFS (AES17).
    pub dbfs: f64,
}

/// What the track's silence holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Silence {
    /// Noise in the bands from 12.5 Hz to 1 kHz.
    pub noise: Vec<NoiseBand>,
    /// Tones in it, the strongest first.
    pub hum: Vec<Hum>,
}

impl Silence {
    /// From a silent stretch on the grid, Hann-weighted.
    pub fn new(samples: &[f32]) -> Self {
        let spectrum = Spectrum::new(samples);
        let noise = low_thirds().map(|hz| spectrum.band(hz)).collect::<Vec<_>>();
        let mut hum = spectrum.lines();
        hum.sort_by(|a, b| b.dbfs.total_cmp(&a.dbfs));
        Self { noise: between_neighbours(&noise), hum }
    }
}

/// Powers of a silent stretch, re full scale by AES17, bin by bin.
struct Spectrum {
    power: Vec<f64>,
    df_hz: f64,
}

impl Spectrum {
    fn new(samples: &[f32]) -> Self {
        let n = samples.len();
        let forward = RealFftPlanner::new().plan_fft_forward(n);
        let window = |i: usize| 0.5 - 0.5 * (TAU * i as f64 / n as f64).cos();
        let mut input: Vec<f64> = (0..n).map(|i| window(i) * f64::from(samples[i])).collect();
        let mut bins = forward.make_output_vec();
        forward.process(&mut input, &mut bins).expect("lengths fit");
        // 3/8 is the mean square of a Hann window; AES17 power is twice the mean square.
        let unit = 4.0 / (0.375 * (n * n) as f64);
        let power = bins.iter().map(|x| unit * x.norm_sqr()).collect();
        Self { power, df_hz: GRID_HZ / n as f64 }
    }

    fn around(&self, from_hz: f64, to_hz: f64) -> std::ops::Range<usize> {
        let middle = ((from_hz * to_hz).sqrt() / self.df_hz) as usize;
        let [from, to] = [from_hz, to_hz].map(|hz| (hz / self.df_hz) as usize);
        // The lowest bins hold what the window leaves of a direct voltage.
        let from = from.min(middle.saturating_sub(LEAST_BINS)).max(4);
        from..to.max(middle + LEAST_BINS).min(self.power.len())
    }

    /// Noise per bin between the lines of a stretch: the mean of what is usual there.
    fn floor(&self, bins: std::ops::Range<usize>) -> f64 {
        let near = &self.power[bins];
        // The median of an exponential is ln 2 of its mean.
        let most = USUAL * median(near.iter().copied()) / std::f64::consts::LN_2;
        let usual = near.iter().filter(|p| **p <= most);
        let (sum, count) = usual.fold((0.0, 0.0), |(s, c), p| (s + p, c + 1.0));
        sum / f64::max(count, 1.0) / CUT_MEAN
    }

    fn band(&self, hz: f64) -> NoiseBand {
        let (low, high) = third_edges(hz);
        let bins = self.around(low, high);
        let sd_db = 4.343 * (PER_INDEPENDENT / bins.len() as f64).sqrt();
        let power = self.floor(bins) * (high - low) / self.df_hz;
        NoiseBand { hz, dbfs: power_to_db(power).max(LEAST_DBFS), sd_db, with_signal: false }
    }

    /// Tones from 10 Hz to 1.2 kHz that stand out of the floor.
    fn lines(&self) -> Vec<Hum> {
        let [from, to] = [10.0, 1200.0].map(|hz| (hz / self.df_hz) as usize);
        let half = AROUND_OCT.exp2();
        let mut found: Vec<std::ops::Range<usize>> = Vec::new();
        for third in low_thirds().filter(|hz| *hz < 1200.0) {
            let (low, high) = third_edges(third);
            let floor = self.floor(self.around(third / half, third * half));
            let least = (LINE * floor).max(db_to_power(LEAST_DBFS));
            let bins = (low / self.df_hz) as usize..(high / self.df_hz) as usize;
            for bin in bins.filter(|b| (from..to).contains(b) && self.power[*b] > least) {
                match found.last_mut() {
                    Some(last) if bin < last.end + ONE_LINE => last.end = bin + 1,
                    _ => found.push(bin..bin + 1),
                }
            }
        }
        found.into_iter().map(|bins| self.line(bins)).collect()
    }

    fn line(&self, bins: std::ops::Range<usize>) -> Hum {
        let power: f64 = self.power[bins.clone()].iter().sum();
        let middle = bins.clone().map(|i| i as f64 * self.power[i]).sum::<f64>() / power;
        // A steady tone fills no more than the main lobe and its skirts.
        let wide = (bins.len().saturating_sub(ONE_LINE + 3)) as f64 * self.df_hz;
        Hum { hz: middle * self.df_hz, moves_hz: wide, dbfs: power_to_db(power) }
    }
}

/// Noise is smooth over frequency: each band with its neighbours, unless it stands apart.
fn between_neighbours(noise: &[NoiseBand]) -> Vec<NoiseBand> {
    let one = |i: usize| -> NoiseBand {
        let own = noise[i];
        // What a straight line through the neighbours says here.
        let pairs = [(i.checked_sub(1), i + 1), (i.checked_sub(2), i + 2)];
        let told: Vec<(f64, f64)> = pairs
            .iter()
            .filter_map(|(below, above)| Some((noise[(*below)?], *noise.get(*above)?)))
            .map(|(a, b)| ((a.dbfs + b.dbfs) / 2.0, (a.sd_db.hypot(b.sd_db) / 2.0).hypot(0.5)))
            .collect();
        let agree = |t: &&(f64, f64)| (t.0 - own.dbfs).abs() < OWN * t.1.hypot(own.sd_db);
        let all = told.iter().filter(agree).copied().chain([(own.dbfs, own.sd_db)]);
        let (sum, weight) =
            all.fold((0.0, 0.0), |(s, w), (db, sd)| (s + db / (sd * sd), w + 1.0 / (sd * sd)));
        NoiseBand { dbfs: sum / weight, sd_db: weight.sqrt().recip(), ..own }
    };
    (0..noise.len()).map(one).collect()
}

/// The noise that a response was measured in: silence and scatter (Hz, dBFS per bin of 0.5 Hz)
/// together, or the scatter's alone where that is more than 6 dB higher, or so much lower that
/// something disturbed the silence.
pub fn with_signal(silence: &[NoiseBand], scatter: &[(f64, f64)]) -> Vec<NoiseBand> {
    silence
        .iter()
        .map(|band| {
            let (low, high) = third_edges(band.hz);
            let near: Vec<f64> = scatter
                .iter()
                .filter(|(hz, _)| (low / 1.1..high * 1.1).contains(hz))
                .map(|(_, dbfs)| *dbfs)
                .collect();
            if near.is_empty() {
                return *band;
            }
            let dbfs = median(near) + power_to_db((high - low) / 0.5);
            let apart = dbfs - band.dbfs;
            if apart > WITH_SIGNAL_DB {
                return NoiseBand { dbfs, sd_db: SCATTER_SD_DB, with_signal: true, ..*band };
            }
            if apart < -WITH_SIGNAL_DB {
                return NoiseBand { dbfs, sd_db: 2.0 * SCATTER_SD_DB, ..*band };
            }
            // Two readings of one noise: each counts by its variance.
            let [a, b] = [band.sd_db, SCATTER_SD_DB].map(|sd| 1.0 / (sd * sd));
            let dbfs = (a * band.dbfs + b * dbfs) / (a + b);
            NoiseBand { dbfs, sd_db: (a + b).sqrt().recip(), ..*band }
        })
        .collect()
}
