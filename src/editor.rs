//! The plugin's window: shows the settings and levels, and moves the host's
//! parameters. Drawing is in free functions that know no framework and return
//! wishes; this file alone speaks with the framework.

pub mod levels;
pub mod look;
pub mod number;
pub mod sheet;
pub mod test_bar;
pub mod wish;
pub mod words;

use crate::link::Wires;
use crate::params::HostParams;
use crate::plot::Palette;
use levels::Strand;
use look::Look;
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::ResizeHint;
use nice_plug::editor::dpi::LogicalSize;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{
    EguiEditor, EguiEditorState, EguiNiceSettings, Frame, NiceEguiApp, RepaintNotifier,
    create_egui_editor,
};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;
use test_bar::Measuring;
use wish::Wish;

/// Size at which the window opens first.
const SIZE: LogicalSize<f32> = LogicalSize::new(960.0, 600.0);

/// Time between two frames.
const FRAME: Duration = Duration::from_millis(33);

/// Everything behind the window; it stays while the window is closed.
pub struct Window {
    params: Arc<HostParams>,
    wires: Wires,
    strands: [Strand; 2],
    look: Look,
    measuring: Measuring,
    said: Option<String>,
    closed_notice: u32,
    host: Option<GuiContext>,
}

/// The window's maker for the framework, and the state that says whether it is open.
pub fn open(
    params: Arc<HostParams>,
    wires: Wires,
) -> Option<(EguiEditor<Window>, Arc<EguiEditorState>)> {
    let resize = ResizeHint {
        can_resize: true,
        can_resize_horizontally: true,
        can_resize_vertically: true,
        ..ResizeHint::NON_RESIZABLE
    };
    let settings = EguiNiceSettings::new().with_tile("Underpin").with_resize_hint(resize);
    let window = Window {
        params,
        wires,
        strands: [Strand::default(); 2],
        look: Look { palette: Palette::Day },
        measuring: Measuring::default(),
        said: None,
        closed_notice: 0,
        host: None,
    };
    let state = EguiEditorState::from_size(SIZE, 1.0);
    let editor = create_egui_editor(state.clone(), RepaintNotifier::new(), settings, window)?;
    Some((editor, state))
}

impl Window {
    /// What the sheet shows now.
    fn shown(&self) -> sheet::Shown {
        let loads = &self.params.loads;
        let remote = &self.wires.remote;
        sheet::Shown {
            settings: self.params.set(),
            strands: self.strands,
            overs: self.wires.meters.overs(),
            notice: self
                .said
                .clone()
                .or_else(|| loads.notice().filter(|_| loads.count() != self.closed_notice)),
            measuring: Measuring {
                left_s: remote.sounding().then(|| remote.left_s()),
                unlocked: remote.unlocked(),
                ..self.measuring
            },
        }
    }

    /// Takes what the audio thread sent since the last frame.
    fn listen(&mut self, seconds: f32) {
        let meters = &self.wires.meters;
        self.strands[0].push(meters.take_before_peak(), seconds);
        self.strands[1].push(meters.take_after_peak(), seconds);
        let _ = self.wires.fresh();
        self.wires.drain(&mut ());
        self.wires.remote.tidy();
    }

    fn start(&mut self) {
        let Measuring { test, level_dbfs, .. } = self.measuring;
        let rate_hz = self.wires.meters.sample_rate_hz();
        match self.wires.remote.start(test, level_dbfs, rate_hz) {
            Ok(level_dbfs) => (self.measuring.level_dbfs, self.said) = (level_dbfs, None),
            Err(why) => self.said = Some(why),
        }
    }

    fn fulfil(&mut self, wish: Wish, ctx: &egui::Context) {
        let Some(host) = &self.host else { return };
        let setter = host.param_setter();
        let slot = |index: usize| self.params.slots().nth(index).map(|(_, slot)| slot);
        match wish {
            Wish::Take(index) => slot(index).into_iter().for_each(|s| s.take(&setter)),
            Wish::Put(index, plain) => slot(index).into_iter().for_each(|s| s.put(&setter, plain)),
            Wish::Leave(index) => slot(index).into_iter().for_each(|s| s.leave(&setter)),
            Wish::ClearClip => self.wires.meters.clear_overs(),
            Wish::CloseNotice => self.closed_notice = self.params.loads.count(),
            Wish::Zoom(zoom) => {
                self.params.zoom.store(zoom.clamp(0.75, 3.0), Ordering::Relaxed);
                ctx.set_zoom_factor(zoom.clamp(0.75, 3.0));
            }
            Wish::Show(palette) => {
                self.look.palette = palette;
                ctx.set_visuals(self.look.visuals());
            }
            Wish::Choose(test) => self.measuring.test = test,
            Wish::Level(level_dbfs) => self.measuring.level_dbfs = level_dbfs,
            Wish::Unlock => self.wires.remote.unlock(),
            Wish::Start => self.start(),
            Wish::Silence => self.wires.remote.stop(),
        }
    }
}

impl NiceEguiApp for Window {
    fn build(
        &mut self,
        ctx: egui::Context,
        host: GuiContext,
        _: &mut Frame,
    ) -> Result<(), HandlerError> {
        ctx.set_fonts(look::fonts());
        ctx.set_visuals(self.look.visuals());
        ctx.set_zoom_factor(self.params.zoom.load(Ordering::Relaxed));
        self.host = Some(host);
        self.wires.discard();
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut Frame) {
        let ctx = ui.ctx().clone();
        self.listen(ctx.input(|input| input.stable_dt).min(0.5));
        for wish in sheet::show(ui, &self.shown(), &self.look) {
            self.fulfil(wish, &ctx);
        }
        ctx.request_repaint_after(FRAME);
    }
}
