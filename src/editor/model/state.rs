//! What the window remembers by itself, and what it is shown.

use crate::analysis::scope::Scope;
use crate::editor::files::folder;
use crate::editor::files::plan_file;
use crate::editor::files::preset_library::Library;
use crate::editor::model::averaging::Span;
use crate::editor::model::bench::{BenchInput, Captures};
use crate::editor::model::comparison::Comparison;
use crate::editor::model::gestures::Gestures;
use crate::editor::model::ghost::Ghost;
use crate::editor::model::history::History;
use crate::editor::model::hold::Hold;
use crate::editor::model::lessons::Lessons;
use crate::editor::model::now::Now;
use crate::editor::model::shelf::Shelf;
use crate::editor::model::target::{Asked, Target};
use crate::editor::model::test_choice::TestChoice;
use crate::editor::model::trials::Trials;
use crate::figures::short;
use crate::plot::axis::Frame;
use crate::plot::{Palette, Scene};
use crate::presets::Preset;
use crate::report::{Run, Sentence, Sheet, conditions};
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
    /// The tray of kept curves and the target.
    Shelf,
    /// All keys, and what the fills mean.
    Help,
    /// The captures in the folder.
    Captures,
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
    /// Whether the settings changed while it was averaged.
    pub is_mixed: bool,
    /// What sounds now, while something is measured.
    pub now: Option<&'a Now>,
    /// How long the output was beyond full scale since the latch was cleared, in seconds; 0
    /// while it never was.
    pub over_s: f64,
    /// Seconds since the last time it did.
    pub over_ago_s: Option<f64>,
    /// Seconds until the test signal ends; `None` while none sounds.
    pub sounds_s: Option<f32>,
    /// Whether test signals above the limit are allowed.
    pub unlocked: bool,
    /// The plan in the user's folder.
    pub plan: plan_file::PlanInput<'a>,
    /// The bench.
    pub bench: BenchInput<'a>,
    /// A sentence for the reader, when there is one.
    pub notice: Option<String>,
}

impl FrameInput<'_> {
    /// The run that is shown.
    pub fn run(&self) -> Option<&Run> {
        self.sheet.runs.first()
    }

    /// What sounds now, where the Scope shows that and not the wave of the averages: a tone that
    /// ended still stands in these.
    fn wave_of_now(&self, view: View) -> Option<&Now> {
        let averaged = || self.run().is_some_and(|run| run.readings.scope.is_some());
        let now = self.now.filter(|_| view == View::Scope);
        now.filter(|now| now.scope.is_some() || !averaged())
    }

    /// The wave standing still: the latest, else that of the averages.
    pub fn scope(&self) -> Option<&Scope> {
        let latest = self.now.and_then(|now| now.scope.as_ref());
        latest.or_else(|| self.run()?.readings.scope.as_ref())
    }

    /// The settings of what a view shows: a wave is of now, an average of when it was measured.
    pub fn settings_of(&self, view: View) -> Settings {
        match self.wave_of_now(view) {
            Some(_) => self.settings,
            None => self.sheet.settings.unwrap_or(self.settings),
        }
    }

    /// How what a view shows was measured, in words.
    pub fn how(&self, view: View, with_name: bool) -> Option<String> {
        let run = self.run()?;
        let Some(now) = self.wave_of_now(view) else {
            return Some(conditions::how(run, with_name));
        };
        let seconds = now.scope.as_ref().map_or(now.wave.seconds, |scope| scope.span_s);
        Some(format!("the latest {} ms, no average", short(1000.0 * seconds, 1)))
    }

    /// How far it has settled; nothing of a wave, which is no average.
    pub fn settled(&self, view: View) -> Option<String> {
        let run = self.run().filter(|_| self.wave_of_now(view).is_none())?;
        Some(conditions::settled(run))
    }

    /// What must be known of the settings to read what a view shows; `None` when they are those
    /// that stand in the line, from its beginning to its end.
    pub fn caution(&self, view: View) -> Option<&'static str> {
        if let Some(now) = self.wave_of_now(view) {
            return now.is_moving.then_some("a setting changed in this stretch");
        }
        match self.sheet.settings {
            Some(settings) if settings != self.settings => Some("measured before the change"),
            _ => self.is_mixed.then_some("settings changed meanwhile"),
        }
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
    /// The zoom that there is.
    pub zoom_shown: f32,
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
    /// The volume step under which takes of a radio are kept.
    pub step: String,
    /// The captures of the folder.
    pub captures: Captures,
    /// Whether a signal was started in this window.
    pub has_started: bool,
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
    /// The curve before the last change, while what comes out is measured afresh.
    pub ghost: Ghost,
    /// The kept curves.
    pub shelf: Shelf,
    /// The name for the next one of them.
    pub naming: String,
    /// What is asked for.
    pub target: Target,
    /// Rises with every change of the shelf and of the target.
    pub beside: u64,
    /// That count as this frame began: what was changed since then is shown by the next.
    pub beside_shown: u64,
    /// What was set by a hand, to be taken back.
    pub history: History,
    /// True in a frame whose moves are no step of their own: one back, or a turn to the other of a
    /// pair.
    pub is_undoing: bool,
    /// The trials without names.
    pub trials: Trials,
    /// The picture drawn last.
    pub picture: Option<Picture>,
    /// The sentence said last, of what, and when.
    pub said: Option<(Sentence, SaidOf, f64)>,
}

/// What a sentence is of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SaidOf {
    /// The measurement, and the look at what sounds now where that is shown.
    pub reading: (u64, Option<u64>),
    /// The view, whether of a tone, and the target by the count of its changes.
    pub what: (View, bool, u64),
}

/// What a picture depends on: when none of it changes, the last one is shown again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureKey {
    /// The measurement.
    pub reading: u64,
    /// The look at what sounds now, where it is shown.
    pub look: Option<u64>,
    /// The view.
    pub view: View,
    /// Width and height in points.
    pub size: egui::Vec2,
    /// The range of the axis.
    pub whole: bool,
    /// What is laid beside the measurement, by the count of its changes.
    pub beside: u64,
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

    /// Whether a target was chosen in the window.
    pub fn has_target(&self) -> bool {
        self.target.asked != Asked::Nothing
    }

    /// What a picture of this size that shows a measurement depends on.
    pub fn key(&self, reading: u64, size: egui::Vec2) -> PictureKey {
        PictureKey {
            reading,
            look: None,
            view: self.view,
            size,
            whole: self.whole,
            beside: self.beside_shown,
        }
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
