//! What is worth recording next, from what the takes so far told.

use crate::planning::diagnose::Diagnosis;
use crate::planning::volume::Dependence;

/// Takes after which more of the same kind decide nothing new.
const MANY: usize = 4;

/// The next useful thing, in a sentence; without takes how to begin.
pub fn next_take(found: Option<&Diagnosis>) -> String {
    let Some((found, last)) = found.and_then(|found| Some((found, found.takes.last()?))) else {
        return "Play the track whole, at the volume step you use.".into();
    };
    let louder = || {
        let name = Some(&last.name).filter(|name| !name.is_empty());
        let than = name.map_or(String::new(), |name| format!(" than {name}"));
        format!("Two steps louder{than}, the same again.")
    };
    if last.full_scale {
        return "The input was driven to full scale: attenuate it by 6 dB, and this step again."
            .into();
    }
    if last.automatic_gain {
        return "The level moves by itself: switch automatic gain off, and this step again.".into();
    }
    if found.outputs {
        return "Enough to compare these outputs; for the cause, four steps of one of them.".into();
    }
    if found.takes.len() < 2 {
        return louder();
    }
    match found.volume.dependence {
        Dependence::Undecided | Dependence::LevelCauseUndecided if found.takes.len() >= MANY => {
            "Enough of this kind: what is open stands in the findings with what would settle it."
                .into()
        }
        dependence if dependence.needs().is_some() => louder(),
        _ => "Enough: the cause is known.".into(),
    }
}
