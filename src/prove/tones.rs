//! Tones through the line: for each, what stands at the half, at the tone, and
//! beside them.

use crate::dsp::chain;
use crate::dsp::low_band::LowBand;
use crate::measure::{Ask, Readings, Side};
use crate::prove::{RATE_HZ, SEED, measured};
use crate::report::{Limit, Proof, Run, Table};
use crate::settings::{ActsOn, Hear, Settings};
use crate::signal::{Kind, Source, Tone};
use crate::units::{gain_to_db, octaves};

/// The tones in Hz: their halves fall on whole and half hertz, so on bins.
const TONES_HZ: [f64; 7] = [40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 120.0];

/// The tone whose lines and swings are shown; it alone is heard at every post.
const SHOWN_HZ: f64 = 60.0;

/// Level of the tones, dBFS.
const LEVEL_DBFS: f64 = -12.0;

/// Time for the octave part to settle, in seconds.
const SETTLE_S: f64 = 1.5;

/// Time measured, in seconds: one block of the spectrum.
const MEASURED_S: f64 = 2.0;

/// A tone's half is judged when the tone lies this far inside the source band, in octaves.
const INSIDE_OCTAVES: f64 = 0.5;

/// A half further below its tone than this is none, in dB: less than 24 bits carry.
const NOTHING_DB: f64 = -140.0;

/// One tone's run and what the settings ask of it.
pub(super) struct ToneRun {
    hz: f64,
    arrived_dbfs: f64,
    heard: Option<Heard>,
    /// All that was read, of the tone that is shown: the spectra of all would be large.
    readings: Option<Readings>,
    /// Level asked at the tone, dB re what arrives; `None` when nothing is asked.
    tone_asked_db: Option<f64>,
    /// Level asked at the half, dB re what arrives at the tone; `None` when nothing is asked.
    half_asked_db: Option<f64>,
}

/// What came out.
struct Heard {
    tone_dbfs: f64,
    half_dbfs: f64,
    /// The strongest line below three quarters of the tone, in Hz.
    below_hz: Option<f64>,
    /// Harmonic distortion of the tone, as a share of it.
    thd_f: Option<f64>,
    /// All other fractions and odd halves together, dB re the half.
    beside_db: Option<f64>,
}

impl Heard {
    fn of(out: &Side, hz: f64) -> Self {
        Self {
            tone_dbfs: out.spectrum.line_dbfs(hz),
            half_dbfs: out.spectrum.line_dbfs(hz / 2.0),
            below_hz: out.spectrum.strongest_line(5.0, 0.75 * hz).map(|line| line.hz),
            thd_f: out.partials.as_ref().map(|partials| partials.thd_f),
            beside_db: beside_db(out),
        }
    }
}

/// Lines at other fractions and at odd halves, dB re the half.
fn beside_db(out: &Side) -> Option<f64> {
    let partials = out.partials.as_ref()?;
    let half = partials.below.iter().find(|line| line.order == 0.5)?;
    let others = partials.below.iter().chain(&partials.odd_halves);
    let power: f64 = others
        .filter(|line| line.order != 0.5)
        .map(|line| crate::units::db_to_power(line.dbfs - half.dbfs))
        .sum();
    Some(gain_to_db(power.sqrt()))
}

/// Runs every tone.
///
/// # Errors
/// One sentence when a tone cannot be made.
pub(super) fn runs(settings: &Settings) -> Result<Vec<ToneRun>, String> {
    TONES_HZ.iter().map(|hz| run(*hz, settings)).collect()
}

fn run(hz: f64, settings: &Settings) -> Result<ToneRun, String> {
    let tone = Tone { hz, level_dbfs: LEVEL_DBFS, ..Tone::default() };
    let source = Source::new(&Kind::Tone(tone), RATE_HZ, SEED)?;
    let is_shown = hz == SHOWN_HZ;
    let ask = Ask {
        tone_hz: Some(hz),
        strata: is_shown,
        lines_after_only: !is_shown,
        skip_s: SETTLE_S,
        ..Ask::default()
    };
    let readings = measured(source, settings, SETTLE_S + MEASURED_S, &ask);
    Ok(ToneRun {
        hz,
        arrived_dbfs: readings.before.spectrum.line_dbfs(hz),
        heard: readings.after.as_ref().map(|out| Heard::of(out, hz)),
        readings: is_shown.then_some(readings),
        tone_asked_db: tone_asked_db(settings, hz),
        half_asked_db: half_asked_db(settings, hz),
    })
}

/// What the closed forms say the tone itself gets.
fn tone_asked_db(settings: &Settings, hz: f64) -> Option<f64> {
    if settings.bypass {
        return Some(0.0);
    }
    let heard = matches!(settings.listen, Hear::Blend | Hear::Dry) && !settings.dry_is_off();
    let after = match settings.low_band_acts_on {
        ActsOn::Blend => chain::response_db(settings, hz, RATE_HZ),
        ActsOn::Octave => {
            chain::response_db(settings, hz, RATE_HZ) - LowBand::response_db(settings, hz, RATE_HZ)
        }
    };
    let levels = f64::from(settings.input_trim_db) + f64::from(settings.dry_level_db);
    heard.then_some(levels + after)
}

/// What the closed forms say the half gets, where the octave part has to make one.
fn half_asked_db(settings: &Settings, hz: f64) -> Option<f64> {
    let asked = makes_octave(settings)
        && octaves(f64::from(settings.octave_from_hz), hz) >= INSIDE_OCTAVES
        && octaves(hz, f64::from(settings.octave_to_hz)) >= INSIDE_OCTAVES
        && hz / 2.0 >= f64::from(settings.octave_floor_hz) * INSIDE_OCTAVES.exp2();
    let levels = f64::from(settings.input_trim_db) + f64::from(settings.octave_level_db);
    asked.then(|| levels + chain::response_db(settings, hz / 2.0, RATE_HZ))
}

impl ToneRun {
    /// Gain from the tone that arrived to the tone, in dB.
    fn tone_gain_db(&self) -> Option<f64> {
        self.heard.as_ref().map(|heard| heard.tone_dbfs - self.arrived_dbfs)
    }

    /// Gain from the tone that arrived to its half, in dB.
    fn half_gain_db(&self) -> Option<f64> {
        self.heard.as_ref().map(|heard| heard.half_dbfs - self.arrived_dbfs)
    }

    /// How far the tone lies from what was asked, in dB.
    fn tone_off_db(&self) -> Option<f64> {
        Some(self.tone_gain_db()? - self.tone_asked_db?)
    }

    /// How far the half lies from what was asked, in dB.
    fn half_off_db(&self) -> Option<f64> {
        Some(self.half_gain_db()? - self.half_asked_db?)
    }

    /// How far the strongest line below the tone lies from exactly half of it, in Hz.
    fn half_off_hz(&self) -> Option<f64> {
        self.half_asked_db?;
        Some(self.heard.as_ref()?.below_hz? - self.hz / 2.0)
    }

    /// Harmonic distortion of the tone in percent, where the tone itself is heard.
    fn above_percent(&self) -> Option<f64> {
        self.tone_asked_db?;
        Some(100.0 * self.heard.as_ref()?.thd_f?)
    }

    /// Everything else: lines at other fractions and odd halves, dB re the half.
    fn beside_db(&self) -> Option<f64> {
        self.half_asked_db?;
        self.heard.as_ref()?.beside_db
    }
}

/// Whether the settings make an octave part that must be proved.
fn makes_octave(settings: &Settings) -> bool {
    !settings.bypass && settings.listen != Hear::Dry && !settings.octave_is_off()
}

/// What must hold for all tones: each figure is the worst of them. An octave part of which no tone
/// tells stays a row, open.
pub(super) fn proofs(tones: &[ToneRun], settings: &Settings) -> Vec<Proof> {
    let worst = |of: fn(&ToneRun) -> Option<f64>| {
        tones.iter().filter_map(of).max_by(|a, b| a.abs().total_cmp(&b.abs()))
    };
    let highest =
        |of: fn(&ToneRun) -> Option<f64>| tones.iter().filter_map(of).max_by(f64::total_cmp);
    let claims = [
        (
            "half of each tone, off by",
            worst(ToneRun::half_off_hz),
            "Hz",
            Limit::Within(-0.01, 0.01),
            3,
        ),
        (
            "level of the halves, off by",
            worst(ToneRun::half_off_db),
            "dB",
            Limit::Within(-0.5, 0.5),
            2,
        ),
        (
            "level of the tones, off by",
            worst(ToneRun::tone_off_db),
            "dB",
            Limit::Within(-0.1, 0.1),
            2,
        ),
        ("harmonics above the tones", highest(ToneRun::above_percent), "%", Limit::AtMost(0.1), 3),
        ("all else, re the half", highest(ToneRun::beside_db), "dB", Limit::AtMost(-60.0), 1),
    ];
    let octave = [true, true, false, false, true].map(|is| is && makes_octave(settings));
    let row = |((name, figure, unit, limit, decimals), must): ((_, _, _, _, _), bool)| match figure
    {
        Some(figure) => Some(Proof::new(name, figure, unit, limit).decimals(decimals)),
        None if must => Some(Proof::open(format!("{name}: {NONE_INSIDE}"), unit, limit)),
        None => None,
    };
    claims.into_iter().zip(octave).filter_map(row).collect()
}

/// Why a claim on the octave part is open.
const NONE_INSIDE: &str = "no tone lies inside the source band";

/// A figure with its sign; what rounds to zero has none.
fn signed(figure: f64, decimals: usize) -> String {
    let text = format!("{figure:+.decimals$}");
    let zero = text.chars().all(|c| matches!(c, '+' | '-' | '0' | '.'));
    if zero { text[1..].into() } else { text.replace('-', "−") }
}

/// One row a tone: where its half stands, and what stands above it.
pub(super) fn table(tones: &[ToneRun]) -> Table {
    let shown = |figure: Option<f64>, decimals: usize| match figure {
        Some(figure) => signed(figure, decimals),
        None => "none".into(),
    };
    let row = |tone: &ToneRun| {
        vec![
            format!("{:.0}", tone.hz),
            shown(tone.tone_gain_db(), 2),
            format!("{:.1}", tone.hz / 2.0),
            shown(tone.half_gain_db().filter(|db| *db > NOTHING_DB), 2),
            shown(tone.half_asked_db, 2),
            shown(tone.half_off_db(), 2),
            shown(tone.beside_db(), 0),
            tone.above_percent().map_or("none".into(), |p| format!("{p:.4}")),
        ]
    };
    let head = [
        "tone Hz",
        "tone dB",
        "half Hz",
        "half dB",
        "asked dB",
        "off by dB",
        "all else dB",
        "above %",
    ];
    Table {
        title: "Tones and their halves".into(),
        note: format!("{LEVEL_DBFS} dBFS in; dB re the tone that arrives; all else re the half"),
        head: head.map(String::from).to_vec(),
        rows: tones.iter().map(row).collect(),
    }
}

/// The run whose lines and swings are shown: the 60 Hz tone.
pub(super) fn shown(tones: Vec<ToneRun>) -> Option<Run> {
    let shown = tones.into_iter().find_map(|tone| tone.readings)?;
    Some(Run::new("60 Hz tone", shown))
}
