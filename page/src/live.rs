//! What plays now, measured beside it: the same line on the same samples, and the same views as
//! window and report.

use serde_json::{Value, json};
use underpin::measure::layers::Layers;
use underpin::measure::{Ask, Measure, Readings};
use underpin::path::Path;
use underpin::plot::axis::FrequencyAxis;
use underpin::plot::low_end::{Beside, low_end};
use underpin::plot::scene::Rect;
use underpin::plot::{Scene, bore, lines, tone, waves};
use underpin::report::{Run, Sheet, csv, finding, inline, svg, underlined};
use underpin::settings::Settings;

use crate::asked::{number, text};
use crate::values;

/// Seconds at the start that are not measured: the line settles.
const SETTLING_S: f64 = 0.5;

/// Seconds that must be measured before they are shown.
const LEAST_S: f64 = 0.2;

/// A line that runs beside the one that is heard, and what is measured of it.
pub(crate) struct Live {
    path: Path,
    measure: Measure,
    settings: Settings,
    sheet: Sheet,
}

impl Live {
    pub(crate) fn new(asked: &Value) -> Result<Self, String> {
        let rate_hz = number(asked, "rate", 48_000.0);
        if !(8_000.0..=768_000.0).contains(&rate_hz) {
            return Err(format!("a sample rate of {rate_hz} Hz is not measured"));
        }
        let settings = values::settings(asked);
        let mut path = Path::new(rate_hz, 2);
        path.set(&settings);
        let ask = Ask {
            strata: true,
            skip_s: SETTLING_S,
            tone_hz: asked["hz"].as_f64(),
            ..Ask::default()
        };
        let measure = Measure::new(rate_hz, 2, &ask);
        Ok(Self { path, measure, settings, sheet: Sheet::new(text(asked, "name")) })
    }

    /// Hears what arrives.
    pub(crate) fn hear(&mut self, channels: &[&[f32]]) {
        let mut block: Vec<Vec<f32>> = channels.iter().map(|channel| channel.to_vec()).collect();
        if let [only] = &block[..] {
            block.push(only.clone());
        }
        if let [left, right, ..] = &mut block[..] {
            self.path.process(&mut [left, right], &mut self.measure);
        }
    }

    /// A view of what was measured.
    pub(crate) fn see(&mut self, asked: &Value) -> Value {
        let readings = self.measure.reading();
        let seconds = readings.seconds;
        if seconds < LEAST_S {
            return json!({ "seconds": seconds });
        }
        let given = readings.before.level;
        let out = readings.after.as_ref().map(|side| side.level);
        self.sheet.settings = Some(self.settings);
        self.sheet.runs = vec![Run::new("what plays", readings)];
        let size = (
            number(asked, "width", 682.0).clamp(260.0, 1900.0),
            number(asked, "height", 320.0).clamp(160.0, 900.0),
        );
        let view = text(asked, "view");
        let scene = draw(view, &self.sheet.runs[0].readings, &self.settings, size);
        let sheet = &self.sheet;
        let figures = match view {
            "bands" => csv::bands(sheet),
            "scope" => csv::scope(sheet),
            "partials" => csv::partials(sheet),
            _ => csv::spectrum(sheet),
        };
        let level = |l: &underpin::analysis::level::Level| json!({ "peak_dbfs": l.peak_dbfs, "rms_dbfs": l.rms_dbfs, "lufs": l.loudness_lufs });
        json!({
            "seconds": seconds,
            "svg": scene.as_ref().map(inline),
            "drawing": scene.as_ref().map(|scene| svg(scene, underpin::plot::Palette::Day)),
            "csv": figures,
            "said": underlined(&finding(sheet)),
            "before": level(&given),
            "after": out.as_ref().map(level),
        })
    }
}

/// A view as a picture; `None` where there is nothing to see in it.
fn draw(view: &str, readings: &Readings, settings: &Settings, size: (f64, f64)) -> Option<Scene> {
    let (width, height) = size;
    let out = readings.after.as_ref().unwrap_or(&readings.before);
    let axes = Rect::new(34.0, 4.0, width - 34.0, height - 28.0);
    match view {
        "bands" => {
            let bands = Layers::thirds(readings, 15.9, 1010.0);
            let mut scene = Scene::new(width, bore::height(&bands), "Third octaves");
            bore::bore(&mut scene, (0.0, 0.0), width, &bands, None);
            (!bands.is_empty()).then_some(scene)
        }
        "scope" => {
            let scope = readings.scope.as_ref()?;
            let mut scene = Scene::new(width, height, "Waves standing still");
            let side = (0.3 * width).min(0.62 * height);
            let whole = Rect::new(0.0, 2.0, width, height - 4.0);
            waves::waves(&mut scene, whole, side, scope).then_some(scene)
        }
        "partials" => {
            let mut scene = Scene::new(width, height, "Lines below and above the tone");
            let rect = Rect { height: axes.height - 14.0, ..axes };
            tone::tone(&mut scene, rect, out.partials.as_ref()?, None);
            Some(scene)
        }
        _ => {
            let mut scene = Scene::new(width, height, "Levels of the low end, layer by layer");
            if out.partials.is_some() {
                lines::lines(&mut scene, axes, readings, FrequencyAxis::LOW_END);
                return Some(scene);
            }
            let beside = Beside::default().with(Some(settings));
            low_end(&mut scene, axes, readings, beside)?;
            Some(scene)
        }
    }
}
