//! What the window does at the bench, for the framework's side.

use super::Window;
use crate::editor::files::take_files;
use crate::editor::host::asks::of_host;
use crate::editor::model::action::Action;
use crate::editor::model::state::View;
use crate::link::bench::Measured;
use crate::link::measuring::Test;
use crate::measure::Ask;

/// Level at which a test signal to a device begins, dBFS.
const FIRST_DBFS: f32 = -40.0;

impl Window {
    /// Asks for something else; the stages of the line stand on the line alone.
    pub(super) fn ask(&mut self, ask: Ask) {
        let strata = ask.strata && self.meters.measured() == Measured::Line;
        self.analyst.ask(Ask { strata, ..ask });
    }

    /// Fulfils what is asked for at the bench.
    pub(super) fn at_the_bench(&mut self, action: Action) {
        match action {
            Action::Measure(what) => self.measure(what),
            Action::LookForCaptures => {
                self.state.captures.files = take_files::captures(&self.state.folder);
                self.state.captures.chosen.clear();
            }
            Action::ReadCaptures => {
                self.state.view = View::Plan;
                self.desk.read(self.state.captures.wanted(), &self.state);
            }
            Action::ForgetTakes => self.desk.forget(),
            Action::KeepPlan => self.state.message = Some(self.desk.keep_plan(&self.state)),
            Action::WriteTrack => self.state.message = Some(self.desk.write_track(&self.state)),
            _ => {}
        }
    }

    /// Measures something else from now on, and begins in silence.
    pub(super) fn measure(&mut self, what: Measured) {
        self.remote.stop();
        self.meters.measure(what);
        self.ask(of_host());
        self.sheet.runs.clear();
        match what {
            Measured::Radio => self.state.view = View::Plan,
            // Nobody knows yet what the device does with it.
            Measured::Device => self.state.test_choice.dbfs = FIRST_DBFS,
            Measured::Line => {}
        }
        if matches!(self.state.test_choice.test, Test::Track(_)) {
            self.state.test_choice.test = Test::Tone(self.state.test_choice.hz.into());
        }
    }
}
