//! Makes the window for the framework, with what wakes it.

use crate::editor::host::window::Window;
use crate::editor::layout;
use crate::editor::measuring::analyser_thread::AnalyserThread;
use crate::editor::measuring::work::Watch;
use crate::link::{Meters, UiEnd};
use crate::params::HostParams;
use nice_plug::editor::ResizeHint;
use nice_plug::editor::dpi::LogicalSize;
use nice_plug_egui::{
    EguiEditor, EguiEditorState, EguiNiceSettings, RepaintNotifier, create_egui_editor,
};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

/// Size at which the window opens first.
const SIZE: LogicalSize<f32> = LogicalSize::new(960.0, 600.0);

/// No host that keeps to the hint makes it smaller.
const SMALLEST: LogicalSize<f32> = LogicalSize::new(layout::SMALLEST.x, layout::SMALLEST.y);

/// The window's maker for the framework, and the state that says whether it is open.
pub fn open(
    params: Arc<HostParams>,
    wires: UiEnd,
) -> Option<(EguiEditor<Window>, Arc<EguiEditorState>)> {
    let resize = ResizeHint::resizable().with_min_logical_size(SMALLEST);
    let settings = EguiNiceSettings::new().with_tile("Underpin").with_resize_hint(resize);
    let notifier = RepaintNotifier::new();
    let state = EguiEditorState::from_size(SIZE, 1.0);
    let analyst = AnalyserThread::new(Watch {
        receiver: wires.receiver,
        look: look_at(params.clone(), wires.meters.clone()),
        is_open: {
            let state = state.clone();
            Box::new(move || state.is_open())
        },
        settings: {
            let params = params.clone();
            Box::new(move || params.set())
        },
        wake: {
            let notifier = notifier.clone();
            Box::new(move || notifier.request_repaint())
        },
    });
    let window = Window::new(params, wires.meters, wires.remote, analyst);
    let editor = create_egui_editor(state.clone(), notifier, settings, window)?;
    Some((editor, state))
}

/// Sees what a host can change by itself: settings, the latch, a loaded state.
fn look_at(params: Arc<HostParams>, meters: Arc<Meters>) -> Box<dyn FnMut() -> u64 + Send> {
    Box::new(move || {
        let mut hash = DefaultHasher::new();
        params.set().to_plain().map(f32::to_bits).hash(&mut hash);
        (meters.overs(), params.loads.count()).hash(&mut hash);
        hash.finish()
    })
}
