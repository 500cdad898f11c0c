//! After the music: silence must end as exact silence.

use crate::path::{Listen, Path, Tap};
use crate::prove::{RATE_HZ, SEED, play};
use crate::report::{Limit, Proof};
use crate::settings::Settings;
use crate::signal::{Kind, Pink, Source};

/// Time given to come to rest, in seconds.
const REST_S: f64 = 4.0;

/// Remembers the highest sample that came out.
struct Peak(f64);

impl Listen for Peak {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        if tap == Tap::After {
            let samples = channels.iter().flat_map(|c| c.iter());
            self.0 = samples.fold(self.0, |peak, x| peak.max(x.abs()));
        }
    }
}

/// One second of noise, four of silence: nothing may come out after them.
///
/// # Errors
/// One sentence when the noise cannot be made.
pub(super) fn proof(settings: &Settings) -> Result<Proof, String> {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(settings);
    let noise = Source::new(&Kind::Pink(Pink::default()), RATE_HZ, SEED)?;
    play(&mut noise.lasting(1.0), &mut path, 1.0 + REST_S, &mut ());
    let mut peak = Peak(0.0);
    play(&mut Source::new(&Kind::Silence, RATE_HZ, SEED)?, &mut path, 1.0, &mut peak);
    let name = format!("highest sample {REST_S} s into silence");
    Ok(Proof::new(name, peak.0, "", Limit::AtMost(0.0)))
}
