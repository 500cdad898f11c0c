//! The plan in the user's folder: read when it is looked at and has changed.

use crate::editor::files::folder;
use crate::report::Plan;
use std::fs;
use std::path::PathBuf;
use std::time::SystemTime;

/// Name of the file.
const FILE: &str = "plan.toml";

/// A larger file is no plan, in bytes.
const LARGEST: u64 = 1 << 20;

/// Time between two looks, in seconds.
const LOOK_S: f64 = 1.0;

/// The plan, or why there is none.
pub struct Plans {
    path: Option<PathBuf>,
    looked: Option<f64>,
    seen: Option<(SystemTime, u64)>,
    /// The plan read last.
    pub plan: Option<Plan>,
    /// Why the file there is none.
    pub fault: Option<String>,
    /// Rises with every change.
    pub reading: u64,
}

/// What a view is shown of it.
#[derive(Clone, Copy, Debug)]
pub struct PlanInput<'a> {
    /// The plan.
    pub plan: Option<&'a Plan>,
    /// Why the file there is none.
    pub fault: Option<&'a str>,
    /// Where the file belongs.
    pub place: &'a str,
    /// Rises with every change.
    pub reading: u64,
}

impl Default for Plans {
    /// The plan of the user's own folder; nothing is read yet.
    fn default() -> Self {
        let path = folder::own().map(|own| own.join(FILE));
        Self { path, looked: None, seen: None, plan: None, fault: None, reading: 0 }
    }
}

impl Plans {
    /// Reads the file if it has changed; looks once a second at most. `now` in seconds.
    pub fn look(&mut self, now: f64) {
        if self.looked.is_some_and(|then| now - then < LOOK_S) {
            return;
        }
        self.looked = Some(now);
        let Some(path) = &self.path else { return };
        let there = fs::metadata(path).ok();
        let seen = there.and_then(|file| Some((file.modified().ok()?, file.len())));
        if seen == self.seen {
            return;
        }
        self.seen = seen;
        self.reading += 1;
        let read = match seen {
            None => Ok(None),
            Some((_, length)) if length > LARGEST => Err("too large for a plan".into()),
            Some(_) => fs::read_to_string(path)
                .map_err(|error| error.to_string())
                .and_then(|text| Plan::parse(&text).map(Some)),
        };
        (self.plan, self.fault) = match read {
            Ok(plan) => (plan, None),
            Err(why) => (None, Some(format!("{} cannot be used: {why}.", path.display()))),
        };
    }

    /// Where the file belongs.
    pub fn place(&self) -> String {
        self.path.as_ref().map_or("no home folder is set".into(), |path| path.display().to_string())
    }
}
