//! A capture read, and its bands held against the truth of a filter.

use underpin::planning::capture::{Capture, Refusal, Take};
use underpin::planning::response::BandValue;
use underpin::planning::take_reading::{Purpose, TakeReading};

use crate::filters::Cascade;
use crate::room::Stereo;

/// Reads a capture in uneven pieces.
pub(crate) fn read(channels: &[Vec<f32>], rate: f64) -> Vec<Result<Take, Refusal>> {
    let mut out = Vec::new();
    let mut capture = Capture::new(rate as u32, channels.len()).unwrap();
    let mut from = 0;
    for step in [7919, 65_536, 1, 30_011].into_iter().cycle() {
        let to = (from + step).min(channels[0].len());
        let piece: Vec<&[f32]> = channels.iter().map(|c| &c[from..to]).collect();
        capture.push(&piece, |take| out.push(take));
        from = to;
        if from == channels[0].len() {
            break;
        }
    }
    capture.finish(|take| out.push(take));
    out
}

/// A sound through a filter, each channel by itself.
pub(crate) fn through(mut sound: Stereo, filter: &Cascade) -> Stereo {
    sound.iter_mut().for_each(|c| filter.run(c));
    sound
}

/// What the first take says.
pub(crate) fn first(channels: &[Vec<f32>], rate: f64, purpose: Purpose) -> TakeReading {
    let takes = read(channels, rate);
    let take = takes.iter().find_map(|t| t.as_ref().ok());
    TakeReading::new(
        take.unwrap_or_else(|| panic!("no take: {:?}", takes[0].as_ref().err())),
        purpose,
    )
}

/// What pink noise reads through the filter between two frequencies, per octave: the mean power
/// over log frequency, by the middle rule at 200 steps an octave.
fn truth(filter: &Cascade, rate: f64, from: f64, to: f64) -> f64 {
    let count = (200.0 * (to / from).log2()).ceil();
    let hz = |i: usize| from * (to / from).powf((i as f64 + 0.5) / count);
    let sum: f64 = (0..count as usize).map(|i| 10f64.powf(filter.db(hz(i), rate) / 10.0)).sum();
    10.0 * (sum / count).log10()
}

/// Error of a band against the truth, dB.
pub(crate) fn band_error(band: &BandValue, filter: &Cascade, rate: f64) -> f64 {
    let half = 10f64.powf(0.05);
    let mid = truth(filter, rate, 250.0, 1000.0);
    band.db - (truth(filter, rate, band.hz / half, band.hz * half) - mid)
}

/// Counts: shown readings, those outside max(0.3 dB, 3 sd), worst error where SNR > 20 dB.
#[derive(Default)]
pub(crate) struct Count {
    pub(crate) shown: usize,
    pub(crate) outside: usize,
    pub(crate) worst: f64,
    pub(crate) hidden: usize,
}

/// Counts the bands of every channel and level.
pub(crate) fn count(reading: &TakeReading, filter: &Cascade, rate: f64, total: &mut Count) {
    for channel in &reading.channels {
        for level in &channel.levels {
            for band in level.bands().iter().filter(|b| b.hz < 210.0) {
                if !band.is_shown() {
                    total.hidden += 1;
                    continue;
                }
                let error = band_error(band, filter, rate).abs();
                total.shown += 1;
                total.outside += usize::from(error > (3.0 * band.sd_db).max(0.3));
                // At the loudest level; a quieter one has its own, larger deviation.
                if band.snr_db > 20.0 && level.peak_dbfs == -6.0 {
                    total.worst = total.worst.max(error);
                }
            }
        }
    }
}
