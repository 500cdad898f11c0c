//! A plugin that processes: sound and events in, sound out.

use crate::Quiet;
use clack_extensions::tail::PluginTail;
use clack_host::events::event_types::ParamValueEvent;
use clack_host::prelude::*;

/// A plugin between start and stop.
pub struct Running {
    processor: StartedPluginAudioProcessor<Quiet>,
    scratch: Vec<Vec<f32>>,
    ports: [AudioPorts; 2],
}

impl Running {
    pub(crate) fn new(processor: StartedPluginAudioProcessor<Quiet>) -> Self {
        let ports = [AudioPorts::with_capacity(2, 1), AudioPorts::with_capacity(2, 1)];
        Self { processor, scratch: Vec::new(), ports }
    }

    pub(crate) fn stop(self) -> StoppedPluginAudioProcessor<Quiet> {
        self.processor.stop_processing()
    }

    /// Back to silence.
    pub fn reset(&mut self) {
        self.processor.reset();
    }

    /// Runs one block in place: one slice a channel, with events on samples of it.
    pub fn process(&mut self, block: &mut [&mut [f32]], events: &[ParamValueEvent]) {
        self.scratch = block.iter().map(|channel| channel.to_vec()).collect();
        self.pass(block, events);
    }

    /// Runs one channel into as many as `block` has; what stood there is never heard.
    pub fn fan_out(&mut self, input: &[f32], block: &mut [&mut [f32]]) {
        self.scratch = vec![input.to_vec()];
        self.pass(block, &[]);
    }

    fn pass(&mut self, block: &mut [&mut [f32]], events: &[ParamValueEvent]) {
        let [input, output] = &mut self.ports;
        let input = input.with_input_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_input_only(
                self.scratch.iter_mut().map(InputChannel::variable),
            ),
        }]);
        let mut output = output.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(block.iter_mut().map(|c| &mut **c)),
        }]);
        let mut out = EventBuffer::new();
        let status = self.processor.process(
            &input,
            &mut output,
            &InputEvents::from_buffer(&events),
            &mut OutputEvents::from_buffer(&mut out),
            None,
            None,
        );
        status.expect("processed");
    }

    /// Runs whole signals in place, in blocks of `frames`.
    pub fn run(&mut self, signal: &mut [Vec<f32>], frames: usize) {
        let length = signal[0].len();
        for start in (0..length).step_by(frames) {
            let end = length.min(start + frames);
            let mut block: Vec<&mut [f32]> =
                signal.iter_mut().map(|c| &mut c[start..end]).collect();
            self.process(&mut block, &[]);
        }
    }

    /// For how long it may sound after its input has fallen silent, in samples.
    pub fn tail(&mut self) -> u32 {
        let handle = self.processor.plugin_handle();
        let tail: PluginTail = handle.shared().get_extension().expect("a tail");
        tail.get(&handle).to_raw()
    }
}
