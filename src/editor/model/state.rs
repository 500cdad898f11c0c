//! What the window remembers by itself, and what it is shown.

use crate::editor::files::folder;
use crate::editor::files::plan_file;
use crate::editor::files::preset_library::Library;
use crate::editor::model::averaging::Span;
use crate::editor::model::comparison::Comparison;
use crate::editor::model::gestures::Gestures;
use crate::editor::model::hold::Hold;
use crate::editor::model::lessons::Lessons;
use crate::editor::model::test_choice::TestChoice;
use crate::plot::axis::Frame;
use crate::plot::{Palette, Scene};
use crate::presets::Preset;
use crate::report::{Run, Sentence, Sheet};
use crate::settings::Settings;
use std::path::PathBuf;

/// The views.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum View {
    /// Input against output over frequency, by cause.
    #[default]
    Spectrum,
    /// Third octaves as a bore log.
    Bands,
    /// Waveforms standing still.
    Scope,
    /// Lines beside a tone.
    Partials,
    /// What was found in captures, and what is proposed.
    Plan,
    /// Short lessons, asked before they are shown.
    Lessons,
}

/// What is open beside the view.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Open {
    /// Nothing.
    #[default]
    Nothing,
    /// The choice of a test signal.
    TestSignal,
    /// The presets.
    Presets,
    /// The tray that keeps the view as a file.
    Tray,
}

impl View {
    /// All views with their words, from left to right.
    pub const ALL: [(View, &'static str); 6] = [
        (View::Spectrum, "Spectrum"),
        (View::Bands, "Bands"),
        (View::Scope, "Scope"),
        (View::Partials, "Partials"),
        (View::Plan, "Plan"),
        (View::Lessons, "Lessons"),
    ];
}

/// Where the plumb line hangs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cursor {
    /// Its frequency in Hz, when it hangs somewhere.
    pub hz: Option<f64>,
    /// A second one that was pinned, to take differences from, in Hz.
    pub pinned_hz: Option<f64>,
}

/// What the window is shown: everything that comes from outside.
pub struct FrameInput<'a> {
    /// What is set now.
    pub settings: Settings,
    /// What was measured last, with its target: the same value that a report is written from.
    pub sheet: &'a Sheet,
    /// Rises with every new measurement.
    pub reading: u64,
    /// How often the output left full scale since the latch was cleared.
    pub overs: u32,
    /// Seconds since the last time it did.
    pub over_ago_s: Option<f64>,
    /// Seconds until the test signal ends; `None` while none sounds.
    pub sounds_s: Option<f32>,
    /// Whether test signals above the limit are allowed.
    pub unlocked: bool,
    /// The plan in the user's folder.
    pub plan: plan_file::PlanInput<'a>,
    /// A sentence for the reader, when there is one.
    pub notice: Option<String>,
}

impl FrameInput<'_> {
    /// The run that is shown.
    pub fn run(&self) -> Option<&Run> {
        self.sheet.runs.first()
    }
}

/// What the window remembers by itself.
#[derive(Default)]
pub struct WindowState {
    /// The view.
    pub view: View,
    /// The colours.
    pub palette: Palette,
    /// The zoom that is wanted, 1 for natural size; a small window may have less.
    pub zoom: f32,
    /// The hand on the settings.
    pub gestures: Gestures,
    /// The plumb line.
    pub cursor: Cursor,
    /// True to show the whole range to 20 kHz, false for the low end.
    pub whole: bool,
    /// The test signal chosen.
    pub test_choice: TestChoice,
    /// What is open beside the view.
    pub open: Open,
    /// The lesson that is open.
    pub lessons: Lessons,
    /// The presets to choose from, as they were read last.
    pub library: Library,
    /// The first row of them that is shown.
    pub first_row: usize,
    /// The preset that was loaded or saved last.
    pub loaded: Option<Preset>,
    /// The name to save under.
    pub saving: String,
    /// A and B.
    pub comparison: Comparison,
    /// The folder in which things are kept.
    pub folder: PathBuf,
    /// A sentence that answers what a hand did, until it is closed.
    pub message: Option<String>,
    /// The same, as it was seen first, and when.
    pub message_seen: Option<(String, f64)>,
    /// Since when everything stands still, in the time of the window.
    pub frozen_s: Option<f64>,
    /// Over what time is averaged.
    pub span: Span,
    /// The highest and lowest, while they are held.
    pub hold: Option<Hold>,
    /// The picture drawn last.
    pub picture: Option<Picture>,
    /// The sentence said last, for which reading and view, whether of a tone, and when.
    pub said: Option<(Sentence, (u64, View, bool), f64)>,
}

/// What a picture depends on: when none of it changes, the last one is shown again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureKey {
    /// The measurement.
    pub reading: u64,
    /// The view.
    pub view: View,
    /// Width and height in points.
    pub size: egui::Vec2,
    /// The range of the axis.
    pub whole: bool,
}

/// A picture that was drawn, and what it depends on.
pub struct Picture {
    /// What it depends on.
    pub key: PictureKey,
    /// The picture.
    pub scene: Scene,
    /// Its axes, when it has some.
    pub frame: Option<Frame>,
}

impl WindowState {
    /// A window that opens with these colours.
    pub fn new(palette: Palette) -> Self {
        Self { palette, zoom: 1.0, folder: folder::own().unwrap_or_default(), ..Self::default() }
    }

    /// Opens one thing beside the view, or closes it when it is open.
    pub fn toggle(&mut self, what: Open) {
        self.open = if self.open == what { Open::Nothing } else { what };
    }

    /// The picture for `key`, drawn by `draw` unless it is the last one.
    pub fn picture(
        &mut self,
        key: PictureKey,
        draw: impl FnOnce(&mut Scene) -> Option<Frame>,
    ) -> &Picture {
        if self.picture.as_ref().is_some_and(|kept| kept.key != key) {
            self.picture = None;
        }
        self.picture.get_or_insert_with(|| {
            let mut scene = Scene::new(key.size.x.into(), key.size.y.into(), "");
            let frame = draw(&mut scene);
            Picture { key, scene, frame }
        })
    }
}
