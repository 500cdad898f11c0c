//! A window on a stage: a host that does what the window actions, and a painter without a screen.

use egui::{Context, FullOutput, TexturesDelta, Vec2};
use egui_kittest::{Harness, TestRenderer};
use image::RgbaImage;
use underpin::editor::files::plan_file;
use underpin::editor::files::preset_library;
use underpin::editor::files::preset_library::Library;
use underpin::editor::files::take_files;
use underpin::editor::model::action::Action;
use underpin::editor::model::bench::{BenchInput, Heard};
use underpin::editor::model::now::Now;
use underpin::editor::model::state::{FrameInput, WindowState};
use underpin::editor::paint::raster::Raster;
use underpin::editor::paint::scale;
use underpin::editor::paint::theme::{self, Theme};
use underpin::editor::show;
use underpin::link::bench::Measured;
use underpin::plot::Palette;
use underpin::report::{Plan, Sheet};
use underpin::settings::Settings;

/// Time between two frames, in seconds.
pub const STEP_S: f32 = 0.05;

/// The painter without a screen.
#[derive(Default)]
pub struct Soft(Raster);

impl TestRenderer for Soft {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        self.0.take(delta);
        delta.clear();
    }

    fn render(&mut self, ctx: &Context, output: &FullOutput) -> Result<RgbaImage, String> {
        let scale = output.pixels_per_point;
        let size = ctx.content_rect().size() * scale::now(ctx) * scale;
        let (width, height) = (size.x.round() as usize, size.y.round() as usize);
        let primitives = ctx.tessellate(output.shapes.clone(), scale);
        let image = self.0.draw(&primitives, (width, height), scale, egui::Color32::BLACK);
        let bytes = image.pixels.iter().flat_map(|pixel| pixel.to_array()).collect();
        RgbaImage::from_raw(width as u32, height as u32, bytes).ok_or("no image".into())
    }
}

/// The host's side: what is set, what was measured, and everything the window wished.
pub struct Stage {
    /// The window's own memory.
    pub state: WindowState,
    /// What is set.
    pub settings: Settings,
    /// What was measured.
    pub sheet: Sheet,
    /// Rises with every measurement.
    pub reading: u64,
    /// Whether the settings changed while it was averaged.
    pub is_mixed: bool,
    /// What sounds now.
    pub now: Option<Now>,
    /// How long the output was beyond full scale, in seconds.
    pub over_s: f64,
    /// Seconds until the test signal ends.
    pub sounds_s: Option<f32>,
    /// Whether louder test signals are allowed.
    pub unlocked: bool,
    /// The plan in the user's folder.
    pub plan: Option<Plan>,
    /// A sentence for the reader.
    pub notice: Option<String>,
    /// What is measured.
    pub measured: Measured,
    /// What is heard of a radio.
    pub heard: Option<Heard>,
    /// The takes so far.
    pub takes: Vec<std::path::PathBuf>,
    /// Settings that come nearest to a device.
    pub identified: Option<Settings>,
    /// Why the last take was none.
    pub fault: Option<String>,
    /// What comes next.
    pub next: String,
    /// Share of a reading that is done.
    pub progress: Option<f64>,
    /// Every action so far.
    pub actions: Vec<Action>,
}

impl Stage {
    /// A stage with nothing measured.
    pub fn new(sheet: Sheet, palette: Palette) -> Self {
        let state = WindowState::new(palette);
        let settings = sheet.settings.unwrap_or_default();
        Self {
            state,
            settings,
            sheet,
            reading: 1,
            is_mixed: false,
            now: None,
            over_s: 0.0,
            sounds_s: None,
            unlocked: false,
            plan: None,
            notice: None,
            measured: Measured::Line,
            heard: None,
            takes: Vec::new(),
            identified: None,
            fault: None,
            next: underpin::takes::next_take(None),
            progress: None,
            actions: Vec::new(),
        }
    }

    /// Sends a tone through the line as it is set, and measures it.
    pub fn play(&mut self, hz: f64, dbfs: f64) {
        self.sheet = crate::readings::tone_with(hz, 10f64.powf(dbfs / 20.0), self.settings);
        self.reading += 1;
    }

    /// What the window is shown.
    pub fn shown(&self) -> FrameInput<'_> {
        FrameInput {
            settings: self.settings,
            sheet: &self.sheet,
            reading: self.reading,
            is_mixed: self.is_mixed,
            now: self.now.as_ref(),
            over_s: self.over_s,
            over_ago_s: (self.over_s > 0.0).then_some(12.0),
            sounds_s: self.sounds_s,
            unlocked: self.unlocked,
            plan: plan_file::PlanInput {
                plan: self.plan.as_ref(),
                fault: None,
                place: "/home/someone/Underpin/plan.toml",
                reading: self.plan.is_some().into(),
            },
            bench: BenchInput {
                measured: self.measured,
                heard: self.heard.as_ref(),
                takes: &self.takes,
                fault: self.fault.as_deref(),
                next: &self.next,
                progress: self.progress,
                settings: self.identified,
            },
            notice: self.notice.clone(),
        }
    }

    /// Draws a frame and does what was wished.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        let mut state = std::mem::take(&mut self.state);
        if state.beside > 0 {
            let of_plan = self.plan.as_ref().and_then(|plan| plan.target.as_ref());
            self.sheet.target = state.target.curve(of_plan);
        }
        let actions = show(ui, &mut state, &self.shown());
        self.state = state;
        for action in &actions {
            self.fulfil(*action, ui.ctx());
        }
        self.actions.extend(actions);
    }

    fn fulfil(&mut self, action: Action, ctx: &Context) {
        match action {
            Action::Put(id, plain) => {
                let mut all = self.settings.to_plain();
                all[id.index()] = plain;
                self.settings = Settings::from_plain(all);
            }
            Action::ClearClip => self.over_s = 0.0,
            Action::Show(palette) => {
                self.state.palette = palette;
                ctx.set_visuals(Theme { palette: self.state.palette }.visuals());
            }
            Action::Zoom(zoom) => self.state.zoom = zoom,
            Action::Unlock => self.unlocked = true,
            Action::Start(..) => self.sounds_s = Some(18.0),
            Action::Silence => self.sounds_s = None,
            Action::CloseNotice => self.notice = None,
            Action::Measure(what) => self.measured = what,
            Action::LookForCaptures => {
                self.state.captures.files = take_files::captures(&self.state.folder);
            }
            Action::Browse => self.state.library = Library::read(&self.state.folder),
            Action::SavePreset => {
                let (state, settings) = (&mut self.state, self.settings);
                match preset_library::save(
                    &state.folder,
                    &state.saving,
                    settings,
                    state.loaded.as_ref(),
                ) {
                    Ok(entry) => state.loaded = Some(entry.preset),
                    Err(why) => state.message = Some(why),
                }
            }
            _ => {}
        }
    }
}

/// A window of a size in points on a stage.
pub fn stage(stage: Stage, size: Vec2, scale: f32) -> Harness<'static, Stage> {
    let theme = Theme { palette: stage.state.palette };
    Harness::builder()
        .with_size(size)
        .with_step_dt(STEP_S)
        .with_pixels_per_point(scale)
        .renderer(Soft::default())
        .with_context_setup(move |ctx| {
            ctx.set_fonts(theme::fonts());
            ctx.set_visuals(theme.visuals());
        })
        .build_ui_state(|ui, stage: &mut Stage| stage.frame(ui), stage)
}

/// Presses a key, and lets the window follow it.
pub fn press(window: &mut Harness<Stage>, key: egui::Key) {
    window.key_press(key);
    window.run();
}

/// Writes what is on the stage as `target/window/NAME.png`.
pub fn picture(harness: &mut Harness<'_, Stage>, name: &str) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/window");
    std::fs::create_dir_all(&folder).expect("a folder for pictures");
    let image = harness.render().expect("a picture");
    image.save(folder.join(format!("{name}.png"))).expect("a file");
}
