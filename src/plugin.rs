//! Underpin as an effect for music hosts: CLAP, VST3 and a stand-alone window
//! around the one signal path.
//!
//! The path reads the parameters at the start of every block, so that whatever
//! moves them (a hand, automation, a loaded state) is heard alike; hosts'
//! automation splits blocks and so falls on its exact sample.

use crate::editor;
use crate::link::bench::Measured;
use crate::link::{self, Taps, UiEnd};
use crate::params::{self, HostParams};
use crate::path::Path;
use crate::presets::host_file::VST3_CLASS;
use crate::settings::Settings;
use nice_plug::prelude::*;
use nice_plug_egui::{EguiEditor, EguiEditorState};
use std::sync::Arc;

/// How long the line can ring, in seconds. The longest ring is that of a low
/// band at 16 Hz, 0.2 octaves wide, lifted by 18 dB: its poles have the quality
/// A·Q = 2.8·7.2. The loudest sample that enters is +60 dBFS; trim, band and
/// output gain add 24 + 18 + 24 dB, a box extended from 120 Hz, Q 0.3, to 10 Hz,
/// Q 1.2, another 37.6 dB at 16 Hz, and to fall from there to -120 dBFS takes
/// ln(10^(283.6/20))·A·Q/(π·16 Hz) = 13.2 s. The other stages are far shorter.
const TAIL_S: f64 = 14.0;

/// The path and the settings it follows. Not every host resets an effect between an activation
/// and its first block, so a path has its settings from the start.
struct Followed {
    path: Path,
    settings: Settings,
}

impl Followed {
    fn new(settings: Settings, sample_rate_hz: f64, channels: usize) -> Self {
        let mut path = Path::new(sample_rate_hz, channels);
        path.set(&settings);
        Self { path, settings }
    }

    /// Lets the path follow `settings`, if they are others; tells `taps` so.
    fn follow(&mut self, settings: Settings, taps: &mut Taps) {
        if settings != self.settings {
            self.settings = settings;
            self.path.set(&settings);
            taps.changed();
        }
    }
}

/// One instance in a host.
pub struct Underpin {
    params: Arc<HostParams>,
    taps: Taps,
    wires: Option<UiEnd>,
    window: Option<Arc<EguiEditorState>>,
    line: Option<Followed>,
    is_fanned: bool,
    tail: u32,
    loads: u32,
    /// True while something else than the line is measured.
    is_at_rest: bool,
}

impl Default for Underpin {
    fn default() -> Self {
        let (taps, wires) = link::connect();
        Self {
            params: Arc::new(HostParams::new()),
            taps,
            wires: Some(wires),
            window: None,
            line: None,
            is_fanned: false,
            tail: 0,
            loads: 0,
            is_at_rest: false,
        }
    }
}

const fn layout(inputs: u32, outputs: u32) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: std::num::NonZeroU32::new(inputs),
        main_output_channels: std::num::NonZeroU32::new(outputs),
        ..AudioIOLayout::const_default()
    }
}

/// The one channel that came in is both of those that go out.
fn fan_out(block: &mut [&mut [f32]]) {
    if let [first, second] = block {
        second.iter_mut().zip(first.iter()).for_each(|(out, sample)| *out = *sample);
    }
}

impl Plugin for Underpin {
    const NAME: &'static str = "Underpin";
    const VENDOR: &'static str = "Underpin";
    // There is no page and no mailbox of the project that would stay: none is invented.
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[layout(2, 2), layout(1, 1), layout(1, 2)];
    const SAMPLE_ACCURATE_AUTOMATION: bool = true;

    type Editor = EguiEditor<editor::Window>;
    type SysExMessage = ();
    type BackgroundTask = ();

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn editor(&mut self, _: AsyncExecutor<Self>) -> Option<Self::Editor> {
        let (editor, state) = editor::open(self.params.clone(), self.wires.take()?)?;
        self.window = Some(state);
        Some(editor)
    }

    fn filter_state(state: &mut PluginState) {
        params::admit(state);
    }

    fn activate(
        &mut self,
        layout: &AudioIOLayout,
        config: &BufferConfig,
        _: &mut impl ActivateContext<Self>,
    ) -> bool {
        let channels = layout.main_output_channels.map_or(2, |n| n.get()) as usize;
        let sample_rate_hz = f64::from(config.sample_rate);
        self.line = Some(Followed::new(self.params.heard(), sample_rate_hz, channels));
        self.is_fanned = layout.main_input_channels < layout.main_output_channels;
        self.tail = (TAIL_S * sample_rate_hz) as u32;
        self.taps.start(sample_rate_hz, channels);
        true
    }

    fn reset(&mut self) {
        self.taps.feed.silence();
        if let Some(line) = &mut self.line {
            line.path.reset();
            line.follow(self.params.heard(), &mut self.taps);
        }
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        _: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let Some(line) = &mut self.line else { return ProcessStatus::Normal };
        let loads = self.params.loads.count();
        if loads != self.loads {
            self.loads = loads;
            self.taps.feed.silence();
        }
        line.follow(self.params.heard(), &mut self.taps);
        if self.is_fanned {
            fan_out(buffer.as_slice());
        }
        self.taps.watched(self.window.as_ref().is_some_and(|window| window.is_open()));
        if self.taps.measured() != Measured::Line {
            self.is_at_rest = true;
            self.taps.exchange(buffer.as_slice());
            // What arrives must be heard on, though nothing goes out.
            return ProcessStatus::KeepAlive;
        }
        if std::mem::take(&mut self.is_at_rest) {
            line.path.reset();
        }
        let sounding = self.taps.feed.fill(buffer.as_slice());
        line.path.process(buffer.as_slice(), &mut self.taps);
        if sounding { ProcessStatus::KeepAlive } else { ProcessStatus::Tail(self.tail) }
    }
}

impl ClapPlugin for Underpin {
    const CLAP_ID: &'static str = "org.underpin.underpin";
    const CLAP_DESCRIPTION: Option<&'static str> =
        Some("Octave-down bass, with the measurements that prove it");
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Filter,
        ClapFeature::Analyzer,
        ClapFeature::Stereo,
        ClapFeature::Mono,
    ];

    fn remote_controls(&self, context: &mut impl RemoteControlsContext) {
        let params = &*self.params;
        context.add_section("Underpin", |section| {
            section.add_page("Octave part", |page| {
                params.octave.add_to(page);
                params.dry.add_to(page);
            });
            section.add_page("Low band", |page| {
                params.low_band.add_to(page);
                params.high_pass.add_to(page);
            });
            section.add_page("Closed box", |page| {
                params.closed_box.add_to(page);
            });
            section.add_page("Output", |page| {
                params.input.add_to(page);
                params.output.add_to(page);
                params.whole.add_to(page);
            });
        });
    }
}

impl Vst3Plugin for Underpin {
    const VST3_CLASS_ID: [u8; 16] = VST3_CLASS;
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] =
        &[Vst3SubCategory::Fx, Vst3SubCategory::Filter, Vst3SubCategory::Analyzer];
}

nice_export_clap!(Underpin);
nice_export_vst3!(Underpin);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_has_its_settings_before_any_reset() {
        let off = Settings::default().with("dry.level_db", "off").expect("a setting");
        let mut line = Followed::new(off, 48_000.0, 1);
        let mut block = [0.25f32; 64];
        // The host moved nothing since: there is nothing new to follow.
        line.follow(off, &mut link::connect().0);
        line.path.process(&mut [&mut block], &mut ());
        assert_eq!(block[0], 0.0);
    }
}
