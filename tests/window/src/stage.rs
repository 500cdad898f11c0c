//! A window on a stage: a host that does what the window wishes, and a painter without a screen.

use egui::{Context, FullOutput, TexturesDelta, Vec2};
use egui_kittest::{Harness, TestRenderer};
use image::RgbaImage;
use underpin::editor::desk::{Desk, Shown};
use underpin::editor::library::{self, Library};
use underpin::editor::plans;
use underpin::editor::raster::Raster;
use underpin::editor::wish::Wish;
use underpin::editor::{look, show};
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
        let size = ctx.content_rect().size() * scale;
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
    pub desk: Desk,
    /// What is set.
    pub settings: Settings,
    /// What was measured.
    pub sheet: Sheet,
    /// Rises with every measurement.
    pub reading: u64,
    /// How often the output left full scale.
    pub overs: u32,
    /// Seconds until the test signal ends.
    pub sounds_s: Option<f32>,
    /// Whether louder test signals are allowed.
    pub unlocked: bool,
    /// The plan in the user's folder.
    pub plan: Option<Plan>,
    /// A sentence for the reader.
    pub notice: Option<String>,
    /// Every wish so far.
    pub wishes: Vec<Wish>,
}

impl Stage {
    /// A stage with nothing measured.
    pub fn new(sheet: Sheet, palette: Palette) -> Self {
        let desk = Desk::new(palette);
        let settings = sheet.settings.unwrap_or_default();
        Self {
            desk,
            settings,
            sheet,
            reading: 1,
            overs: 0,
            sounds_s: None,
            unlocked: false,
            plan: None,
            notice: None,
            wishes: Vec::new(),
        }
    }

    /// Sends a tone through the line as it is set, and measures it.
    pub fn play(&mut self, hz: f64, dbfs: f64) {
        self.sheet = crate::readings::tone_with(hz, 10f64.powf(dbfs / 20.0), self.settings);
        self.reading += 1;
    }

    /// What the window is shown.
    pub fn shown(&self) -> Shown<'_> {
        Shown {
            settings: self.settings,
            sheet: &self.sheet,
            reading: self.reading,
            overs: self.overs,
            over_ago_s: (self.overs > 0).then_some(12.0),
            sounds_s: self.sounds_s,
            unlocked: self.unlocked,
            plan: plans::Shown {
                plan: self.plan.as_ref(),
                fault: None,
                place: "/home/someone/Underpin/plan.toml",
                reading: self.plan.is_some().into(),
            },
            notice: self.notice.clone(),
        }
    }

    /// Draws a frame and does what was wished.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        let mut desk = std::mem::take(&mut self.desk);
        let wishes = show(ui, &mut desk, &self.shown());
        self.desk = desk;
        for wish in &wishes {
            self.fulfil(*wish, ui.ctx());
        }
        self.wishes.extend(wishes);
    }

    fn fulfil(&mut self, wish: Wish, ctx: &Context) {
        match wish {
            Wish::Put(index, plain) => {
                let mut all = self.settings.to_plain();
                all[index] = plain;
                self.settings = Settings::from_plain(all);
            }
            Wish::ClearClip => self.overs = 0,
            Wish::Show(palette) => {
                self.desk.look.palette = palette;
                ctx.set_visuals(self.desk.look.visuals());
            }
            Wish::Zoom(zoom) => self.desk.zoom = zoom,
            Wish::Unlock => self.unlocked = true,
            Wish::Start(..) => self.sounds_s = Some(18.0),
            Wish::Silence => self.sounds_s = None,
            Wish::CloseNotice => self.notice = None,
            Wish::Browse => self.desk.library = Library::read(&self.desk.shelf),
            Wish::SavePreset => {
                let (desk, settings) = (&mut self.desk, self.settings);
                match library::save(&desk.shelf, &desk.saving, settings, desk.loaded.as_ref()) {
                    Ok(entry) => desk.loaded = Some(entry.preset),
                    Err(why) => desk.told = Some(why),
                }
            }
            _ => {}
        }
    }
}

/// A window of a size in points on a stage.
pub fn stage(stage: Stage, size: Vec2, scale: f32) -> Harness<'static, Stage> {
    let palette = stage.desk.look;
    Harness::builder()
        .with_size(size)
        .with_step_dt(STEP_S)
        .with_pixels_per_point(scale)
        .renderer(Soft::default())
        .with_context_setup(move |ctx| {
            ctx.set_fonts(look::fonts());
            ctx.set_visuals(palette.visuals());
        })
        .build_ui_state(|ui, stage: &mut Stage| stage.frame(ui), stage)
}

/// Writes what is on the stage as `target/window/NAME.png`.
pub fn picture(harness: &mut Harness<'_, Stage>, name: &str) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/window");
    std::fs::create_dir_all(&folder).expect("a folder for pictures");
    let image = harness.render().expect("a picture");
    image.save(folder.join(format!("{name}.png"))).expect("a file");
}
