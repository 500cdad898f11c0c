//! Between the window and the host: listens to the wires, fulfils actions.

mod bench;

use crate::editor::files::folder;
use crate::editor::files::plan_file;
use crate::editor::files::plan_file::Plans;
use crate::editor::files::preset_library;
use crate::editor::files::preset_library::Library;
use crate::editor::guard::guarded;
use crate::editor::host::asks::{of_host, of_test};
use crate::editor::host::remember::{recall, remembered};
use crate::editor::host::save::keep;
use crate::editor::host::session::{self, Session};
use crate::editor::measuring::analyser_thread::AnalyserThread;
use crate::editor::measuring::desk::Desk;
use crate::editor::measuring::loudness_match;
use crate::editor::measuring::work::News;
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::now::Now;
use crate::editor::model::state::{FrameInput, View, WindowState};
use crate::editor::paint::theme::{self, Theme};
use crate::link::Meters;
use crate::link::bench::Measured;
use crate::link::measuring::{Remote, Test};
use crate::params::HostParams;
use crate::plot::Palette;
use crate::report::{Run, Sheet};
use nice_plug::context::gui::GuiContext;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{Frame, NiceEguiApp};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

/// Time between two frames while a clock runs in the window; else it is drawn only when there
/// is something new to see.
const CLOCK: Duration = Duration::from_millis(250);

/// What was heard longer ago does not sound now: a dozen looks were missed.
const STALE: Duration = Duration::from_millis(1000);

/// The colours by the number under which they are saved.
const PALETTES: [Palette; 3] = [Palette::Day, Palette::Night, Palette::HighContrast];

/// Seconds that must be measured before they are shown.
const LEAST_S: f64 = 0.2;

/// Everything behind the window; it stays while the window is closed.
pub struct Window {
    params: Arc<HostParams>,
    meters: Arc<Meters>,
    remote: Remote,
    analyst: AnalyserThread,
    state: WindowState,
    sheet: Sheet,
    reading: u64,
    /// What sounds, and when that was heard in the window's time.
    now: Option<(Now, f64)>,
    /// Whether the settings changed while what is shown was averaged.
    is_mixed: bool,
    /// How often full scale was left at the last look, and when that last changed.
    overs: (u32, Option<f64>),
    plans: Plans,
    desk: Desk,
    said: Option<String>,
    closed_notice: u32,
    host: Option<GuiContext>,
    session: Session,
}

impl Window {
    /// A window that is closed yet.
    pub(super) fn new(
        params: Arc<HostParams>,
        meters: Arc<Meters>,
        remote: Remote,
        analyst: AnalyserThread,
    ) -> Self {
        Self {
            params,
            meters,
            remote,
            analyst,
            state: WindowState::new(Palette::Day),
            sheet: Sheet::new("what the host plays"),
            reading: 0,
            now: None,
            is_mixed: false,
            overs: (0, None),
            plans: Plans::default(),
            desk: Desk::new(),
            said: None,
            closed_notice: 0,
            host: None,
            session: Session::default(),
        }
    }

    fn fulfil(&mut self, action: Action, ctx: &egui::Context) {
        let Some(host) = &self.host else { return };
        let setter = host.param_setter();
        match action {
            Action::Take(id) => self.params.slot(id).take(&setter),
            Action::Put(id, plain) => self.params.slot(id).put(&setter, plain),
            Action::Leave(id) => self.params.slot(id).leave(&setter),
            Action::ClearClip => self.meters.clear_overs(),
            Action::CloseNotice => {
                self.said = None;
                self.closed_notice = self.params.loads.count();
            }
            Action::Zoom(zoom) => {
                self.params.zoom.store(zoom, Ordering::Relaxed);
                self.state.zoom = zoom;
            }
            Action::Show(palette) => {
                let at = PALETTES.iter().position(|p| *p == palette).unwrap_or_default();
                self.params.palette.store(at as u8, Ordering::Relaxed);
                self.state.palette = palette;
                ctx.set_visuals(Theme { palette: self.state.palette }.visuals());
            }
            Action::Restart => self.analyst.restart(),
            Action::Average(span) => self.analyst.average(span),
            Action::Unlock => self.remote.unlock(),
            Action::Start(test, dbfs) => self.start(test, dbfs),
            Action::Browse => self.state.library = Library::read(&self.state.folder),
            Action::SavePreset => self.save(),
            Action::OpenFolder => {
                if let Err(why) = folder::open(&self.state.folder) {
                    self.state.message = Some(why);
                }
            }
            Action::Match => {
                let now = self.params.set();
                self.analyst.compare([now, self.state.comparison.other(now)]);
                let words =
                    format!("A and B are heard on the same sound: {} s.", loudness_match::LASTS_S);
                self.state.message = Some(words);
            }
            // Made from what was shown, before anything moved.
            Action::Keep(_) | Action::KeepAll | Action::Copy => {}
            Action::Silence => {
                self.remote.stop();
                self.ask(of_host());
                self.sheet.runs.clear();
            }
            _ => self.at_the_bench(action),
        }
    }

    /// Saves what is set as a preset of the person's own.
    fn save(&mut self) {
        let (state, settings) = (&mut self.state, self.params.set());
        match preset_library::save(&state.folder, &state.saving, settings, state.loaded.as_ref()) {
            Ok(entry) => {
                let file = entry.file.unwrap_or_default();
                state.message = Some(format!("Saved: {}", file.display()));
                state.loaded = Some(entry.preset);
                state.saving.clear();
                state.library = Library::read(&state.folder);
            }
            Err(why) => state.message = Some(why),
        }
    }

    /// Makes A and B equally loud, once it is known how loud they are.
    fn match_levels(&mut self, ctx: &egui::Context) {
        let Some(levels) = self.analyst.compared() else { return };
        let now = self.params.set();
        let (to, words) = self.state.comparison.match_levels(now, levels);
        for (id, plain) in moves(&now, &to) {
            Action::once(id, plain).into_iter().for_each(|action| self.fulfil(action, ctx));
        }
        self.state.message = Some(words);
    }

    /// Starts a test signal, and measures it as what it is.
    fn start(&mut self, test: Test, dbfs: f64) {
        if self.meters.measured() == Measured::Radio {
            self.state.message = Some("With a radio nothing goes out.".into());
            return;
        }
        match self.remote.start(test, dbfs, self.meters.sample_rate_hz()) {
            Ok(_) => self.ask(of_test(test)),
            Err(why) => self.said = Some(why),
        }
    }

    /// Takes what was measured since the last frame.
    fn listen(&mut self, now: f64) {
        self.remote.tidy();
        self.desk.listen(&mut self.analyst, &self.state, self.meters.measured());
        let overs = self.meters.overs();
        if overs != self.overs.0 {
            self.overs = (overs, (overs > self.overs.0).then_some(now).or(self.overs.1));
        }
        if self.state.frozen_s.is_some() {
            return;
        }
        let Some(News { averages, now: sounds }) = self.analyst.take() else { return };
        self.now = Some((sounds, now));
        // Before the line has settled there is nothing to show of the averages.
        let Some(averages) = averages.filter(|of| of.readings.seconds >= LEAST_S) else { return };
        let name = if self.remote.sounding() { "test signal" } else { "host input" };
        let is_line = self.meters.measured() == Measured::Line;
        self.sheet.settings = is_line.then_some(averages.settings);
        self.is_mixed = averages.is_mixed;
        self.sheet.runs = vec![Run::new(name, averages.readings)];
        self.reading += 1;
    }
}

impl NiceEguiApp for Window {
    fn build(
        &mut self,
        ctx: egui::Context,
        host: GuiContext,
        _: &mut Frame,
    ) -> Result<(), HandlerError> {
        let (session, fault) = session::begin(&self.state.folder, &host, &self.params);
        (self.session, self.said) = (session, fault.or(self.said.take()));
        let at = usize::from(self.params.palette.load(Ordering::Relaxed));
        self.state.palette = PALETTES.get(at).copied().unwrap_or(Palette::Day);
        ctx.set_fonts(theme::fonts());
        ctx.set_visuals(Theme { palette: self.state.palette }.visuals());
        self.state.zoom = self.params.zoom.load(Ordering::Relaxed);
        // Nobody panics while holding it; if somebody did, the window is as it was.
        if let Ok(saved) = self.params.window.lock() {
            recall(&mut self.state, &saved);
        }
        self.host = Some(host);
        self.analyst.average(self.state.span);
        self.analyst.begin(of_host());
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut Frame) {
        guarded(ui, |ui| {
            self.draw(ui);
            self.keep_session(ui.ctx());
        });
    }

    fn editor_closed(&mut self) {
        // Nobody sees then that something else is measured, or why nothing goes out.
        self.measure(Measured::Line);
        self.analyst.end();
        self.host = None;
    }
}

impl Window {
    /// One frame: what was measured, what is shown of it, and what a hand asked for.
    /// Writes what a stand-alone window shall find again.
    fn keep_session(&mut self, ctx: &egui::Context) {
        let Some(host) = &self.host else { return };
        let (again_s, fault) = self.session.keep(host, ctx.input(|input| input.time));
        self.said = fault.or(self.said.take());
        if let Some(again_s) = again_s {
            ctx.request_repaint_after(Duration::from_secs_f64(again_s));
        }
    }

    fn draw(&mut self, ui: &mut egui::Ui) {
        let ctx = ui.ctx().clone();
        let now = ctx.input(|input| input.time);
        self.listen(now);
        if self.state.view == View::Plan {
            self.plans.look(now);
        }
        let of_plan = self.plans.plan.as_ref().and_then(|plan| plan.target.as_ref());
        self.sheet.target = self.state.target.curve(of_plan);
        let place = self.plans.place();
        // A host that has stopped sends nothing: its last level is not the level now.
        let fresh_s = if self.state.frozen_s.is_some() { f64::MAX } else { STALE.as_secs_f64() };
        let sounds = self.now.as_ref().filter(|(_, at)| now - at < fresh_s).map(|now| &now.0);
        if sounds.is_some() {
            ctx.request_repaint_after(STALE);
        }
        let loads = &self.params.loads;
        let loaded = || loads.notice().filter(|_| loads.count() != self.closed_notice);
        let shown = FrameInput {
            settings: self.params.set(),
            sheet: &self.sheet,
            reading: self.reading,
            is_mixed: self.is_mixed,
            now: sounds,
            over_s: self.meters.over_s(),
            over_ago_s: self.overs.1.map(|at| now - at),
            sounds_s: self.remote.sounding().then(|| self.remote.left_s()),
            unlocked: self.remote.unlocked(),
            plan: plan_file::PlanInput {
                plan: self.desk.plan().or(self.plans.plan.as_ref()),
                fault: self.plans.fault.as_deref(),
                place: &place,
                reading: self.plans.reading + self.desk.reading,
            },
            bench: self.desk.input(),
            notice: self.said.clone().or_else(loaded),
        };
        let actions = crate::editor::show(ui, &mut self.state, &shown);
        let kept = actions
            .iter()
            .filter_map(|action| keep(*action, &self.state, &shown, &ctx))
            .next_back();
        self.state.message = kept.or(self.state.message.take());
        actions.into_iter().for_each(|action| self.fulfil(action, &ctx));
        self.match_levels(&ctx);
        let shows = remembered(&self.state);
        if let Ok(mut saved) = self.params.window.lock()
            && *saved != shows
        {
            *saved = shows;
        }
        if self.has_clock() {
            ctx.request_repaint_after(CLOCK);
        }
    }

    /// Whether a clock runs in the window, so that it is drawn though nothing is measured.
    fn has_clock(&self) -> bool {
        self.remote.sounding()
            || self.state.frozen_s.is_some()
            || self.overs.0 > 0
            || self.meters.measured() != Measured::Line
            || self.desk.is_reading()
            || self.state.view == View::Plan
    }
}
