//! The test signal that is chosen.

use crate::link::measuring::Test;
use crate::signal::Kind;

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

impl TestChoice {
    /// The choice that comes nearest to a signal; `None` where there is none like it.
    pub fn of(signal: &Kind) -> Option<Self> {
        let (test, dbfs) = match signal {
            Kind::Tone(tone) => (Test::Tone(tone.hz), tone.level_dbfs),
            Kind::Tones(tones) => {
                let mut hz = [0.0; 3];
                hz.iter_mut().zip(tones).for_each(|(hz, tone)| *hz = tone.hz);
                let each = tones.first().map_or(-20.0, |tone| tone.level_dbfs);
                (Test::Tones(hz), each + 20.0 * (tones.len() as f64).log10())
            }
            Kind::Pink(pink) => (Test::Pink, pink.level_dbfs),
            Kind::Kick(kick) => (Test::Kick, kick.level_dbfs),
            Kind::Sweep(sweep) => (Test::Sweep, sweep.level_dbfs),
            Kind::Burst(_) | Kind::Silence => return None,
        };
        let hz = if let Test::Tone(hz) = test { hz as f32 } else { Self::default().hz };
        Some(Self { test, hz, dbfs: dbfs.round() as f32 })
    }
}

impl Default for TestChoice {
    fn default() -> Self {
        Self { test: Test::Tone(60.0), hz: 60.0, dbfs: -20.0 }
    }
}
