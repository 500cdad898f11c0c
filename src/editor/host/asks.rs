//! What is asked of the analysers, by what sounds.

use crate::link::measuring::Test;
use crate::measure::Ask;

/// Seconds that are not measured after a change: the line glides and its filters settle.
const SETTLING_S: f64 = 0.5;

/// What is asked of whatever the host plays.
pub(super) fn of_host() -> Ask {
    Ask { strata: true, skip_s: SETTLING_S, ..Ask::default() }
}

/// What is asked of a test signal.
pub(super) fn of_test(test: Test) -> Ask {
    match test {
        Test::Tone(hz) => Ask { tone_hz: Some(hz), skip_s: 1.0, ..of_host() },
        // One period of it, so that the line has settled.
        Test::Pink => Ask { periodic: true, skip_s: 2.0, ..of_host() },
        Test::Tones(hz) => Ask { tone_hz: Some(hz[0]), skip_s: 1.0, ..of_host() },
        Test::Sweep | Test::Kick | Test::Track(_) => of_host(),
    }
}
