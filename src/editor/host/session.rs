//! The stand-alone window finds again what it was left with; a host keeps that by itself.

use crate::editor::files::session_file::SessionFile;
use crate::params::{self, HostParams};
use crate::settings::Settings;
use nice_plug::context::PluginApi;
use nice_plug::context::gui::GuiContext;
use nice_plug::params::Params;
use nice_plug::plugin::PluginState;
use std::path::Path;

/// Takes over what `folder` has of the last run, if this window has no host; the file to be
/// written from then on, and a sentence where nothing could be made of it.
pub(super) fn begin(
    folder: &Path,
    host: &GuiContext,
    params: &HostParams,
) -> (Session, Option<String>) {
    if host.plugin_api() != PluginApi::Standalone {
        return (Session::default(), None);
    }
    let (file, taken) = SessionFile::open(folder, |text| {
        params::from_text(text).map(|saved| take_over(saved, host, params)).is_some()
    });
    (Session { file, ..Session::default() }, taken.err())
}

/// Sets what was saved, each setting in a gesture of its own: the sound thread follows in its time.
fn take_over((state, settings): (PluginState, Settings), host: &GuiContext, params: &HostParams) {
    let setter = host.param_setter();
    for (setting, plain) in settings.each() {
        let slot = params.slot(setting.id);
        slot.take(&setter);
        slot.put(&setter, plain);
        slot.leave(&setter);
    }
    params.deserialize_fields(&state.fields);
}

/// How often what has changed is written, in seconds of the window's time.
const EVERY_S: f64 = 1.0;

/// The file, and what was written last and when.
#[derive(Default)]
pub(super) struct Session {
    pub(super) file: SessionFile,
    written: String,
    at_s: Option<f64>,
}

impl Session {
    /// Writes what has changed, now and then: nice-plug-egui 0.6 does not tell when a window closes.
    /// Answers with the seconds after which it must be asked again, and a sentence when the file
    /// could not be written; then it is not tried again.
    pub(super) fn keep(&mut self, host: &GuiContext, now_s: f64) -> (Option<f64>, Option<String>) {
        if !self.file.is_kept() {
            return (None, None);
        }
        let since_s = self.at_s.map_or(EVERY_S, |at_s| now_s - at_s);
        if since_s < EVERY_S {
            return (Some(EVERY_S - since_s), None);
        }
        self.at_s = Some(now_s);
        let text = params::to_text(&host.get_state());
        if text == self.written {
            return (None, None);
        }
        let fault = self.file.write(&text).err();
        if fault.is_some() {
            self.file = SessionFile::default();
        }
        self.written = text;
        (None, fault)
    }
}
