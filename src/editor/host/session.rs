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
/// written at the end, and a sentence where nothing could be made of it.
pub(super) fn begin(
    folder: &Path,
    host: &GuiContext,
    params: &HostParams,
) -> (SessionFile, Option<String>) {
    if host.plugin_api() != PluginApi::Standalone {
        return (SessionFile::default(), None);
    }
    let (file, taken) = SessionFile::open(folder, |text| {
        params::from_text(text).map(|saved| take_over(saved, host, params)).is_some()
    });
    (file, taken.err())
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

/// Writes what is left; the window is closing, so a fault is told where a terminal is.
pub(super) fn end(file: &SessionFile, host: &GuiContext) {
    if let Err(why) = file.write(&params::to_text(&host.get_state())) {
        eprintln!("{why}");
    }
}
