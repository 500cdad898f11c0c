//! A small CLAP host: loads the built plugin, moves its parameters, runs sound
//! through it, as a music program would.
//!
//! Loading a plugin is a call into foreign code: the one unsafe line is here.

pub mod noise;
mod running;

pub use running::Running;

use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_extensions::latency::PluginLatency;
use clack_extensions::params::{ParamInfoBuffer, PluginParams};
use clack_extensions::remote_controls::{PluginRemoteControls, RemoteControlsPageBuffer};
use clack_extensions::state::PluginState;
use clack_host::events::event_types::ParamValueEvent;
use clack_host::prelude::*;
use std::ffi::CString;
use std::path::PathBuf;
use std::sync::OnceLock;
use underpin::settings::{ALL, Settings};

/// The host's side: it is asked for nothing and offers nothing.
pub struct Quiet;

/// What plugins may ask of the host.
pub struct Deaf;

impl SharedHandler<'_> for Deaf {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {}
}

impl HostHandlers for Quiet {
    type Shared<'a> = Deaf;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();
}

/// One parameter as the host sees it.
#[derive(Clone, Debug)]
pub struct Param {
    /// Its number.
    pub id: ClapId,
    /// Its name.
    pub name: String,
    /// Its group.
    pub module: String,
    /// Lowest, highest and default value, in the host's terms.
    pub range: [f64; 3],
}

/// One instance of the plugin.
pub struct Plugin {
    instance: PluginInstance<Quiet>,
    params: Vec<Param>,
}

/// The plugin under test: `UNDERPIN_CLAP`, or what `cargo xtask bundle` makes.
pub fn built() -> PathBuf {
    let target = || {
        let target = std::env::var_os("CARGO_TARGET_DIR").map(PathBuf::from);
        target.unwrap_or_else(|| PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../target")))
    };
    std::env::var_os("UNDERPIN_CLAP")
        .map_or_else(|| target().join("bundled/Underpin.clap"), PathBuf::from)
}

fn open() -> PluginEntry {
    let path = built();
    let file = match path.is_dir() {
        true => path.join("Contents/MacOS/Underpin"),
        false => path.clone(),
    };
    // Sound because the file is this project's own plugin, whose entry the
    // framework makes by the CLAP headers.
    let entry = unsafe { PluginEntry::load(&file) };
    entry.unwrap_or_else(|e| panic!("{}: {e}; run `cargo xtask bundle`", path.display()))
}

impl Plugin {
    /// Loads the built plugin and makes an instance.
    pub fn load() -> Self {
        // Loaded once, as hosts do, and for as long as this program runs.
        static ENTRY: OnceLock<PluginEntry> = OnceLock::new();
        let entry = ENTRY.get_or_init(open);
        let factory = entry.get_plugin_factory().expect("a factory");
        let descriptor = factory.plugin_descriptors().next().expect("a plugin");
        let id = descriptor.id().expect("an id");
        let host = HostInfo::new("Hosts", "Underpin", "", "1").expect("host words");
        let instance =
            PluginInstance::new(|_| Deaf, |_| (), entry, id, &host).expect("an instance");
        let mut plugin = Self { instance, params: Vec::new() };
        plugin.params = plugin.ask_params();
        plugin
    }

    fn extension<
        E: clack_host::extensions::Extension<
                ExtensionSide = clack_host::extensions::PluginExtensionSide,
            >,
    >(
        &mut self,
    ) -> E {
        self.instance.plugin_handle().get_extension().expect("the plugin has this extension")
    }

    fn ask_params(&mut self) -> Vec<Param> {
        let extension: PluginParams = self.extension();
        let handle = self.instance.plugin_handle();
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (0..extension.count(&handle))
            .map(|index| {
                let mut buffer = ParamInfoBuffer::new();
                let info = extension.get_info(&handle, index, &mut buffer).expect("a parameter");
                Param {
                    id: info.id,
                    name: text(info.name),
                    module: text(info.module),
                    range: [info.min_value, info.max_value, info.default_value],
                }
            })
            .collect()
    }

    /// Every parameter, in the plugin's order.
    pub fn params(&self) -> &[Param] {
        &self.params
    }

    /// The parameter of the setting with this key: they share their name.
    pub fn param(&self, key: &str) -> &Param {
        let name = ALL.iter().find(|s| s.key == key).expect("a setting").name;
        self.params.iter().find(|p| p.name == name).expect("a parameter")
    }

    /// A parameter's value in the host's terms.
    pub fn value(&mut self, key: &str) -> f64 {
        let id = self.param(key).id;
        let extension: PluginParams = self.extension();
        extension.get_value(&self.instance.plugin_handle(), id).expect("a value")
    }

    /// What the plugin writes for a value.
    pub fn text(&mut self, key: &str, value: f64) -> String {
        let id = self.param(key).id;
        let extension: PluginParams = self.extension();
        let mut buffer = [0u8; 128];
        let handle = self.instance.plugin_handle();
        let text = extension.value_to_text(&handle, id, value, &mut buffer).expect("text");
        String::from_utf8(text.to_vec()).expect("utf-8")
    }

    /// The value the plugin reads from text.
    pub fn read(&mut self, key: &str, text: &str) -> Option<f64> {
        let id = self.param(key).id;
        let extension: PluginParams = self.extension();
        let text = CString::new(text).expect("no zero byte");
        extension.text_to_value(&self.instance.plugin_handle(), id, &text)
    }

    /// What is set, read back through the host's eyes: each value as its text.
    pub fn settings(&mut self) -> Settings {
        ALL.iter().fold(Settings::default(), |settings, setting| {
            let value = self.value(setting.key);
            let text = self.text(setting.key, value);
            settings.with(setting.key, &text).expect("its own text")
        })
    }

    /// An event that moves a parameter to the value of its text at a sample.
    pub fn event(&mut self, at: u32, key: &str, text: &str) -> ParamValueEvent {
        let value = self.read(key, in_a_host(key, text)).expect("a value the plugin reads");
        self.event_at(at, key, value)
    }

    /// An event that moves a parameter to a value in the host's terms at a sample.
    pub fn event_at(&self, at: u32, key: &str, value: f64) -> ParamValueEvent {
        ParamValueEvent::new(at, self.param(key).id, Pckn::match_all(), value)
    }

    /// Moves parameters while the plugin is not active.
    pub fn flush(&mut self, events: &[ParamValueEvent]) {
        let extension: PluginParams = self.extension();
        let mut handle = self.instance.inactive_plugin_handle().expect("not active");
        let input = InputEvents::from_buffer(&events);
        let mut out = EventBuffer::new();
        extension.flush(&mut handle, &input, &mut OutputEvents::from_buffer(&mut out));
    }

    /// The saved state.
    pub fn save(&mut self) -> Vec<u8> {
        let extension: PluginState = self.extension();
        let mut bytes = Vec::new();
        extension.save(&self.instance.plugin_handle(), &mut bytes).expect("saved");
        bytes
    }

    /// Loads a saved state; false when the plugin refuses it.
    pub fn restore(&mut self, bytes: &[u8]) -> bool {
        let extension: PluginState = self.extension();
        let mut reader = bytes;
        extension.load(&self.instance.plugin_handle(), &mut reader).is_ok()
    }

    /// The latency it reports, in samples.
    pub fn latency(&mut self) -> u32 {
        let extension: PluginLatency = self.extension();
        extension.get(&self.instance.plugin_handle())
    }

    /// Names of the remote-control pages.
    pub fn pages(&mut self) -> Vec<String> {
        let extension: PluginRemoteControls = self.extension();
        let handle = self.instance.plugin_handle();
        (0..extension.count(&handle))
            .map(|index| {
                let mut buffer = RemoteControlsPageBuffer::new();
                let page = extension.get(&handle, index, &mut buffer).expect("a page");
                String::from_utf8_lossy(page.page_name).into_owned()
            })
            .collect()
    }

    /// Chooses the layout with this many channels in and out. Stereo is the first.
    pub fn choose(&mut self, channels: [u32; 2]) {
        let extension: PluginAudioPortsConfig = self.extension();
        let handle = self.instance.plugin_handle();
        for index in 0..extension.count(&handle) {
            let mut buffer = AudioPortsConfigBuffer::new();
            let layout = extension.get(&handle, index, &mut buffer).expect("a layout");
            let ports = [layout.main_input, layout.main_output];
            if ports.map(|port| port.map_or(0, |port| port.channel_count)) == channels {
                let id = layout.id;
                extension.select(&handle, id).expect("chosen");
                return;
            }
        }
        panic!("there is no layout with {channels:?} channels");
    }

    /// Starts processing at a rate, in blocks of at most `most_frames`.
    pub fn start(&mut self, sample_rate_hz: f64, most_frames: u32) -> Running {
        let config = PluginAudioConfiguration {
            sample_rate: sample_rate_hz,
            min_frames_count: 1,
            max_frames_count: most_frames,
        };
        let stopped = self.instance.activate(|_, _| (), config).expect("active");
        Running::new(stopped.start_processing().expect("processing"))
    }

    /// Stops processing and deactivates.
    pub fn stop(&mut self, running: Running) {
        self.instance.deactivate(running.stop());
    }
}

/// The word of a setting as the plugin shows it to a host: an order is shown as its slope.
pub fn in_a_host<'a>(key: &str, text: &'a str) -> &'a str {
    match (key, text) {
        ("high_pass.order", "2") => "12 dB/oct",
        ("high_pass.order", "4") => "24 dB/oct",
        _ => text,
    }
}
