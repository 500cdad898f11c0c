//! Bands: third octaves as a bore log, deep at the bottom, with the miss from the target.

use crate::curve::Curve;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::Layout;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::paint::scene;
use crate::figures::{difference, hertz, level};
use crate::measure::layers::{Layers, asked};
use crate::plot::{Cause, Ink, Role, bore, key};
use crate::report::{Run, Sentence};

/// Room under the log for the key, in points.
const KEY: f32 = 22.0;

/// The lowest band shown, Hz.
const LOWEST_HZ: f64 = 16.0;

/// The upper end is folded away from here on, in Hz.
const FOLDED_HZ: f64 = 500.0;

/// Room for the word that unfolds it, in points.
const RANGE: f64 = 60.0;

/// Said of a lone tone, and of silence.
pub const NO_REFERENCE: &str = "Nothing stands between 200 Hz and 1 kHz to refer the bands to. \
                                Play noise or music; for a tone see Spectrum or Partials.";

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let about = state.key(shown.reading, size);
    let whole = state.whole;
    let kept = state.picture(about, |scene| {
        let run = shown.run()?;
        let target = shown.sheet.target.as_ref();
        let strata = shown_bands(run, whole, size.y - KEY);
        if strata.is_empty() {
            return None;
        }
        let row = bore::row_to_fill(&strata, f64::from(size.y - KEY));
        let rows = (size.x.into(), row);
        let y = bore::bore_in_rows(scene, (0.0, 0.0), rows, &strata, target) + 10.0;
        key::bore(scene, (38.0, y), f64::from(size.x) - 38.0 - RANGE, target.is_some());
        None
    });
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);
    let words = if state.whole { "to 500 Hz" } else { "all bands" };
    let corner = grid.sheet.max;
    let spot = Spot::new(corner.x, corner.y - 5.0, Role::Note, Ink::Second).end();
    if shown.run().is_some() && pen.word(spot, words, "range of the axis", false) {
        state.whole = !state.whole;
    }
}

/// As many bands from the lowest upwards as have room in `height`; of the upper ones none that are
/// not asked for.
fn shown_bands(run: &Run, whole: bool, height: f32) -> Layers {
    let to_hz = if whole { 20_500.0 } else { FOLDED_HZ * 1.01 };
    let mut strata = Layers::thirds(&run.readings, LOWEST_HZ * 0.99, to_hz);
    while strata.bands.len() > 1 && bore::height(&strata) > f64::from(height) {
        strata.bands.pop();
    }
    strata
}

/// The largest miss, or the largest change where nothing is asked.
pub fn say(run: &Run, target: Option<&Curve>) -> Sentence {
    let strata = Layers::thirds(&run.readings, LOWEST_HZ * 0.99, 1000.0);
    if strata.is_empty() {
        return NO_REFERENCE.into();
    }
    let off = |hz: f64, out: f64| Some(out - asked(target, hz)?);
    let misses = strata.bands.iter().filter_map(|band| Some((band.hz, off(band.hz, band.out)?)));
    let worst = misses.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    if let Some((hz, off)) = worst {
        let side = if off < 0.0 { "below" } else { "above" };
        let lowest = target.and_then(|target| target.points().first()).map_or(0.0, |p| p.0);
        let words = format!("Largest miss: {}, {} dB {side} the ", hertz(hz), level(off.abs(), 1));
        return Sentence::default()
            .say(words)
            .name(Cause::Target, "target")
            .say(format!(". Below {} nothing is asked.", hertz(lowest)));
    }
    let change = |band: &crate::measure::layers::BandLayers| band.out - band.given;
    let most = strata.bands.iter().max_by(|a, b| change(a).abs().total_cmp(&change(b).abs()));
    match most.filter(|_| strata.has_out) {
        Some(band) => Sentence::default()
            .say("Most changes at ")
            .say(format!("{}: ", hertz(band.hz)))
            .name(Cause::Out, "what comes out")
            .say(" stands ")
            .say(format!("{} dB to ", difference(change(band))))
            .name(Cause::Given, "what the radio gives")
            .say(". No target is asked."),
        None => "One signal was measured; nothing is asked of it.".into(),
    }
}
