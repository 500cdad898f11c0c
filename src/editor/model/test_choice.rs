//! The test signal that is chosen.

use crate::link::measuring::Test;

/// What is chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestChoice {
    /// The signal.
    pub test: Test,
    /// The frequency of the tone, kept while another signal is chosen, in Hz.
    pub hz: f32,
    /// The level, dBFS.
    pub dbfs: f32,
}

impl Default for TestChoice {
    fn default() -> Self {
        Self { test: Test::Tone(60.0), hz: 60.0, dbfs: -20.0 }
    }
}
