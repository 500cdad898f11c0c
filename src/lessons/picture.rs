//! The pictures of a lesson: those of window and report, of what was just played.

use super::{Played, Setup};
use crate::measure::layers::Layers;
use crate::plot::axis::FrequencyAxis;
use crate::plot::low_end::{Beside, low_end};
use crate::plot::oscillogram::oscillogram;
use crate::plot::scene::{Rect, Scene};
use crate::plot::{Fill, Ink, bore, lines, tone, waves};

/// What is drawn of a setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// Layers of the low end, or the lines of a tone.
    Spectrum,
    /// Third octaves.
    Bands,
    /// The waves of a tone standing still, its swings laid together.
    Scope,
    /// Lines below and above the tone.
    Partials,
    /// A stretch of the waves from where measuring began.
    Waves,
}

/// Room for the words of an axis, in pixels: left, below.
const AXES: (f64, f64) = (34.0, 24.0);

/// Third octaves that are shown, in Hz.
const BANDS_HZ: (f64, f64) = (15.9, 316.0);

impl Shown {
    /// Draws it, `width` by `height` pixels; an empty sheet where there is nothing to see.
    pub fn draw(self, setup: &Setup, played: &Played, (width, height): (f64, f64)) -> Scene {
        let mut scene = Scene::new(width, height, setup.name.clone());
        let whole = Rect::new(0.0, 2.0, width, height - 4.0);
        let axes = Rect::new(AXES.0, 4.0, width - AXES.0, height - AXES.1 - 4.0);
        if !self.fill(&mut scene, setup, played, (whole, axes)) {
            scene.marks.clear();
            scene.area(Fill::Flat(Ink::Sheet), whole.corners());
        }
        scene
    }

    /// The unit of its upright axis; empty where it has none.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Spectrum => "dB",
            Self::Bands | Self::Scope | Self::Partials | Self::Waves => "",
        }
    }

    fn fill(self, scene: &mut Scene, setup: &Setup, played: &Played, rects: (Rect, Rect)) -> bool {
        let (whole, axes) = rects;
        let readings = &played.readings;
        let out = readings.after.as_ref().unwrap_or(&readings.before);
        match self {
            Self::Spectrum if out.partials.is_some() => {
                lines::lines(scene, axes, readings, FrequencyAxis::LOW_END);
                true
            }
            Self::Spectrum => {
                let beside = Beside::default().with(Some(&setup.settings));
                low_end(scene, axes, readings, beside).is_some()
            }
            Self::Bands => {
                let mut bands = Layers::thirds(readings, BANDS_HZ.0, BANDS_HZ.1);
                while bands.bands.len() > 1 && bore::height(&bands) > whole.height {
                    bands.bands.pop();
                }
                let has_bands = !bands.is_empty();
                if has_bands {
                    bore::bore(scene, (0.0, 0.0), whole.width, &bands, None);
                }
                has_bands
            }
            Self::Scope => readings.scope.as_ref().is_some_and(|scope| {
                let side = (0.3 * whole.width).min(0.62 * whole.height);
                waves::waves(scene, whole, side, scope)
            }),
            Self::Partials => out.partials.as_ref().is_some_and(|partials| {
                tone::tone(scene, Rect { height: axes.height - 14.0, ..axes }, partials, None);
                true
            }),
            Self::Waves => oscillogram(scene, whole, &played.waves),
        }
    }
}
