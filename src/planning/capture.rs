//! From a recording to takes: streams a file of any length in little memory,
//! finds the track in it, and lays every take onto the track's own time.
//!
//! Without a complete pair of markers there is no take: nothing is guessed.

use std::fmt;

use super::marker_search::{Found, MarkerSearch};
use super::resample::{Decimator, GRID_HZ, Reader};
use crate::signal::track::Label;
use crate::signal::track::layout::{Content, Form, VERSION};

/// A clock further off than this is not a clock, in ppm.
const MOST_PPM: f64 = 600.0;
/// Markers nearer than this are one marker heard in several channels, in samples.
const SAME: f64 = 0.1 * GRID_HZ;
/// What is kept before an open start marker or the search's horizon, in samples.
const LEAD: f64 = 5.0 * GRID_HZ;
/// How long after its place a marker is surely reported, in samples.
const HORIZON: f64 = 3.0 * GRID_HZ;
/// Most channels that are looked at.
const MOST_CHANNELS: usize = 8;

/// Why a recording, or a part of it, says nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Refusal {
    /// The sample rate is too low, in Hz.
    RateTooLow(u32),
    /// No marker anywhere.
    NoMarker,
    /// A start marker at this time (seconds) has no end marker.
    NoEnd(f64),
    /// An end marker at this time (seconds) has no start marker.
    NoStart(f64),
    /// The track is of a version this program does not know.
    UnknownVersion(u8),
    /// Start and end are this many ppm too far apart or too near.
    Speed(f64),
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RateTooLow(hz) => {
                write!(
                    f,
                    "the capture's sample rate of {hz} Hz is too low: at least 12 000 Hz are needed"
                )
            }
            Self::NoMarker => write!(
                f,
                "no marker of the track was found in the capture; behind a subwoofer's low-pass there is \
                 none (its chirps lie above 600 Hz): capture before the low-pass, or set it to its \
                 highest or off"
            ),
            Self::NoEnd(at) => write!(
                f,
                "no complete take: the end marker after the start at {at:.1} s is missing"
            ),
            Self::NoStart(at) => write!(
                f,
                "no complete take: the start marker before the end at {at:.1} s is missing"
            ),
            Self::UnknownVersion(v) => {
                write!(f, "the track is of version {v}, which this program does not know")
            }
            Self::Speed(ppm) => write!(
                f,
                "start and end of the take are {ppm:+.0} ppm off their distance: it was played at a wrong speed or cut"
            ),
        }
    }
}

impl std::error::Error for Refusal {}

/// One pass of the track through whatever was measured, on the track's own time.
#[derive(Clone, Debug)]
pub struct Take {
    /// What the markers say.
    pub label: Label,
    /// Where the track starts in the file, in seconds of the file.
    pub start_s: f64,
    /// How much slower the player's clock runs than the recorder's, in ppm.
    pub clock_ppm: f64,
    /// Mean share of the local energy that the markers explain, 0..1.
    pub marker_share: f64,
    /// Highest sample of the take before any filtering, full scale at 1.
    pub peak: f32,
    /// One row of samples a channel at [`GRID_HZ`]; sample 0 is the track's time 0.
    pub channels: Vec<Vec<f32>>,
}

/// A take that is being heard: its start marker has come, its end marker has not yet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hearing {
    /// What the start marker says.
    pub label: Label,
    /// Where the track starts, in seconds of the recording.
    pub start_s: f64,
    /// Which channels of the recording heard the marker, the first in the lowest bit.
    pub channels: u8,
}

/// Reads a recording piece by piece.
pub struct Capture {
    sample_rate_hz: u32,
    lanes: Vec<Lane>,
    kept_from: u64,
    peaks: Vec<f32>,
    frames: u64,
    waiting: Vec<Event>,
    open: Option<Event>,
    any: bool,
    reader: Reader,
}

struct Lane {
    decimator: Decimator,
    search: MarkerSearch,
    kept: Vec<f32>,
}

/// One marker, as each channel heard it.
#[derive(Clone, Copy)]
struct Event {
    heard: [Option<Found>; MOST_CHANNELS],
    best: Found,
}

impl Capture {
    /// A recording at `sample_rate_hz` with `channels` (at most eight are looked at).
    ///
    /// # Errors
    /// [`Refusal::RateTooLow`] below 12 kHz.
    pub fn new(sample_rate_hz: u32, channels: usize) -> Result<Self, Refusal> {
        if f64::from(sample_rate_hz) < GRID_HZ {
            return Err(Refusal::RateTooLow(sample_rate_hz));
        }
        let lane = || Lane {
            decimator: Decimator::new(sample_rate_hz),
            search: MarkerSearch::new(),
            kept: Vec::new(),
        };
        Ok(Self {
            sample_rate_hz,
            lanes: (0..channels.clamp(1, MOST_CHANNELS)).map(|_| lane()).collect(),
            kept_from: 0,
            peaks: Vec::new(),
            frames: 0,
            waiting: Vec::new(),
            open: None,
            any: false,
            reader: Reader::new(),
        })
    }

    /// Takes the next frames, one slice a channel, and hands out the takes and
    /// refusals that are now complete.
    pub fn push(&mut self, channels: &[&[f32]], mut out: impl FnMut(Result<Take, Refusal>)) {
        self.note_peaks(channels);
        for (c, samples) in channels.iter().enumerate().take(self.lanes.len()) {
            let lane = &mut self.lanes[c];
            let (old, mut found) = (lane.kept.len(), Vec::new());
            lane.decimator.push(samples, &mut lane.kept);
            lane.search.push(&lane.kept[old..], &mut found);
            found.into_iter().for_each(|f| self.hear(c, f));
        }
        let now = (self.kept_from + self.lanes[0].kept.len() as u64) as f64;
        self.settle(now - HORIZON, &mut out);
        self.forget(now);
    }

    /// The take that is being heard, if one is.
    pub fn hearing(&self) -> Option<Hearing> {
        let open = self.open.as_ref()?;
        let label = Label::read(open.best.marker).0;
        let marker_at_s = marker_start_s(label.form) + open.best.marker.centroid_s();
        let heard = |c: &usize| open.heard[*c].is_some();
        Some(Hearing {
            label,
            start_s: open.best.centroid / GRID_HZ - marker_at_s,
            channels: (0..MOST_CHANNELS).filter(heard).fold(0, |all, c| all | 1 << c),
        })
    }

    /// Ends the recording.
    pub fn finish(mut self, mut out: impl FnMut(Result<Take, Refusal>)) {
        for c in 0..self.lanes.len() {
            let lane = &mut self.lanes[c];
            let (old, mut found) = (lane.kept.len(), Vec::new());
            lane.decimator.finish(&mut lane.kept);
            lane.search.push(&lane.kept[old..], &mut found);
            lane.search.finish(&mut found);
            found.into_iter().for_each(|f| self.hear(c, f));
        }
        self.settle(f64::INFINITY, &mut out);
        if let Some(open) = self.open {
            out(Err(Refusal::NoEnd(open.best.centroid / GRID_HZ)));
        }
        if !self.any {
            out(Err(Refusal::NoMarker));
        }
    }

    /// Highest sample of each tenth of a second.
    fn note_peaks(&mut self, channels: &[&[f32]]) {
        let tenth = u64::from(self.sample_rate_hz).div_ceil(10);
        for i in 0..channels.iter().map(|c| c.len()).min().unwrap_or(0) {
            let slot = (self.frames / tenth) as usize;
            self.peaks.resize(slot + 1, 0.0);
            let peak = channels.iter().fold(0f32, |peak, c| peak.max(c[i].abs()));
            self.peaks[slot] = self.peaks[slot].max(peak);
            self.frames += 1;
        }
    }

    fn hear(&mut self, channel: usize, found: Found) {
        self.any = true;
        let same = |e: &&mut Event| {
            e.best.marker == found.marker && (e.best.centroid - found.centroid).abs() < SAME
        };
        let event = match self.waiting.iter_mut().find(same) {
            Some(event) => event,
            None => {
                self.waiting.push(Event { heard: [None; MOST_CHANNELS], best: found });
                self.waiting.last_mut().expect("just pushed")
            }
        };
        // The first counts: what comes later at a stretch's border is its echo.
        event.heard[channel].get_or_insert(found);
        if found.share > event.best.share {
            event.best = found;
        }
    }

    /// Pairs the markers before `horizon`, in the order of time.
    fn settle(&mut self, horizon: f64, out: &mut impl FnMut(Result<Take, Refusal>)) {
        self.waiting.sort_by(|a, b| a.best.centroid.total_cmp(&b.best.centroid));
        let ready = self.waiting.partition_point(|e| e.best.centroid < horizon);
        for event in self.waiting.drain(..ready).collect::<Vec<_>>() {
            let (label, end) = Label::read(event.best.marker);
            let at_s = event.best.centroid / GRID_HZ;
            match (end, self.open.take()) {
                _ if label.version != VERSION => out(Err(Refusal::UnknownVersion(label.version))),
                (false, before) => {
                    if let Some(before) = before {
                        out(Err(Refusal::NoEnd(before.best.centroid / GRID_HZ)));
                    }
                    self.open = Some(event);
                }
                (true, None) => out(Err(Refusal::NoStart(at_s))),
                (true, Some(start)) if Label::read(start.best.marker).0 != label => {
                    out(Err(Refusal::NoEnd(start.best.centroid / GRID_HZ)));
                    out(Err(Refusal::NoStart(at_s)));
                }
                (true, Some(start)) => {
                    out(self.take(label, &start, &event));
                }
            }
        }
    }

    /// Drops what no take can need any more.
    fn forget(&mut self, now: f64) {
        if let Some(open) = &self.open {
            let longest = Form::Long.seconds() * GRID_HZ + LEAD;
            // A start whose end cannot come any more is answered when the next marker or the
            // end of the file comes; its samples need not wait for that.
            if now - open.best.centroid < longest {
                return self.keep_from(open.best.centroid - LEAD);
            }
        }
        let waiting = self.waiting.iter().map(|e| e.best.centroid).fold(now - HORIZON, f64::min);
        self.keep_from(waiting - LEAD);
    }

    fn keep_from(&mut self, place: f64) {
        let Some(drop) = (place.max(0.0) as u64).checked_sub(self.kept_from) else { return };
        // In large steps: moving the rest down costs time.
        if drop as f64 > GRID_HZ {
            for lane in &mut self.lanes {
                lane.kept.drain(..drop as usize);
            }
            self.kept_from += drop;
        }
    }

    /// Lays a take onto the track's time.
    fn take(&self, label: Label, start: &Event, end: &Event) -> Result<Take, Refusal> {
        let pairs = (0..MOST_CHANNELS).filter_map(|c| Some((start.heard[c]?, end.heard[c]?)));
        let (from, to) = pairs
            .max_by(|a, b| (a.0.share + a.1.share).total_cmp(&(b.0.share + b.1.share)))
            .unwrap_or((start.best, end.best));
        let distance = label.form.marker_distance_s(&from.marker, &to.marker) * GRID_HZ;
        let stretch = (to.centroid - from.centroid) / distance;
        let clock_ppm = 1e6 * (stretch - 1.0);
        if clock_ppm.abs() > MOST_PPM {
            return Err(Refusal::Speed(clock_ppm));
        }
        let marker_at = marker_start_s(label.form) + from.marker.centroid_s();
        let origin = from.centroid - stretch * marker_at * GRID_HZ;
        let length = (label.form.seconds() * GRID_HZ) as usize;
        let shift = origin - self.kept_from as f64;
        let lay = |lane: &Lane| {
            (0..length).map(|n| self.reader.at(&lane.kept, shift + n as f64 * stretch)).collect()
        };
        let slots = [origin, to.centroid].map(|place| (place.max(0.0) / GRID_HZ * 10.0) as usize);
        let peaks = self.peaks.get(slots[0]..=slots[1].min(self.peaks.len().saturating_sub(1)));
        Ok(Take {
            label,
            start_s: origin / GRID_HZ,
            clock_ppm,
            marker_share: (from.share + to.share) / 2.0,
            peak: peaks.unwrap_or(&[]).iter().copied().fold(0.0, f32::max),
            channels: self.lanes.iter().map(lay).collect(),
        })
    }
}

fn marker_start_s(form: Form) -> f64 {
    let sections = form.sections();
    let marker = sections.iter().find(|s| matches!(s.content, Content::Marker { .. }));
    marker.map_or(0.0, |s| s.start_s)
}
