//! Runs the cases on all processors and counts.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::case::Case;
use crate::judge::{Fate, Remark, judge};
use crate::program::ask;
use crate::walk::contradictions;

/// Counts of some cases.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Count {
    pub(crate) told: usize,
    pub(crate) wrong: usize,
    pub(crate) untold: usize,
    pub(crate) open: usize,
    pub(crate) intervals: usize,
    pub(crate) covered: usize,
}

impl Count {
    fn add(&mut self, remarks: &[Remark]) {
        let of = |fate: Fate| remarks.iter().filter(|r| r.fate == fate).count();
        self.told += remarks.len();
        self.wrong += of(Fate::Wrong);
        self.untold += of(Fate::Untold);
        self.open += of(Fate::Open);
        self.intervals += remarks.iter().filter(|r| r.covered.is_some()).count();
        self.covered += remarks.iter().filter(|r| r.covered == Some(true)).count();
    }

    fn share(part: usize, of: usize) -> String {
        match of {
            0 => "-".into(),
            of => format!("{:.1} %", 100.0 * part as f64 / of as f64),
        }
    }

    fn row(&self, name: &str) -> String {
        let covered = Self::share(self.covered, self.intervals);
        let open = Self::share(self.open, self.told);
        format!(
            "| {name} | {} | {} | {} | {covered} | {open} |\n",
            self.told, self.wrong, self.untold
        )
    }
}

const HEAD: &str = "| | told | sure and wrong | untold | intervals that cover | open |\n|---|---|---|---|---|---|\n";

/// What came of all cases.
pub(crate) struct Tally<'a> {
    cases: &'a [Case],
    /// By case, all seeds together.
    remarks: Vec<Vec<Remark>>,
    seeds: u64,
}

/// Runs every so many-th case whose name or group holds `only`, with `seeds` seeds.
pub(crate) fn run<'a>(cases: &'a [Case], seeds: u64, every: usize, only: &str) -> Tally<'a> {
    let remarks = Mutex::new(vec![Vec::new(); cases.len()]);
    on_all_processors(cases.len() * seeds as usize, |job| {
        let (case, seed) = (job / seeds as usize, job as u64 % seeds);
        let at = &cases[case];
        let asked = at.name.contains(only) || at.group.contains(only);
        if case % every == 0 && asked {
            let scene = at.scene(seed);
            let found = judge(&ask(scene.question, &scene), &scene.truth);
            remarks.lock().expect("no judge panics")[case].extend(found);
        }
    });
    Tally { cases, remarks: remarks.into_inner().expect("no judge panics"), seeds }
}

/// Walks over random radios: those in which something contradicts something, with what.
pub(crate) fn walk(radios: std::ops::Range<usize>) -> Vec<(usize, Vec<String>)> {
    let found = Mutex::new(Vec::new());
    on_all_processors(radios.len(), |radio| {
        let seed = radios.start + radio;
        let all = contradictions(seed as u64);
        if !all.is_empty() {
            found.lock().expect("no rule panics").push((seed, all));
        }
    });
    let mut found = found.into_inner().expect("no rule panics");
    found.sort();
    found
}

fn on_all_processors(jobs: usize, work: impl Fn(usize) + Sync) {
    let next = AtomicUsize::new(0);
    let worker = || {
        loop {
            let job = next.fetch_add(1, Ordering::Relaxed);
            if job >= jobs {
                break;
            }
            work(job);
        }
    };
    let processors = thread::available_parallelism().map_or(1, usize::from);
    thread::scope(|scope| (0..processors).for_each(|_| drop(scope.spawn(worker))));
}

impl Tally<'_> {
    pub(crate) fn total(&self) -> Count {
        self.count(|_| true)
    }

    pub(crate) fn clean(&self) -> Count {
        self.count(|case| case.clean)
    }

    fn count(&self, of: impl Fn(&Case) -> bool) -> Count {
        let mut count = Count::default();
        let pairs = self.cases.iter().zip(&self.remarks).filter(|(case, _)| of(case));
        pairs.for_each(|(_, remarks)| count.add(remarks));
        count
    }

    /// The table of groups, of all, and of the clean ones.
    pub(crate) fn summary(&self) -> String {
        let mut text = format!("{} cases, {} seeds each\n\n{HEAD}", self.cases.len(), self.seeds);
        let mut groups: Vec<&str> = Vec::new();
        for case in self.cases {
            if !groups.contains(&case.group) {
                groups.push(case.group);
            }
        }
        for group in groups {
            text += &self.count(|case| case.group == group).row(group);
        }
        text += &self.total().row("all");
        text += &self.clean().row("clean cases alone");
        text
    }

    /// One line a case.
    fn table(&self) -> String {
        let mut text = String::from(HEAD);
        for (case, remarks) in self.cases.iter().zip(&self.remarks) {
            let mut count = Count::default();
            count.add(remarks);
            text += &count.row(&format!("{}: {}", case.group, case.name));
        }
        text
    }

    /// What is wrong, what is untold and what of the clean is open, each once.
    pub(crate) fn failures(&self) -> String {
        let mut text = String::new();
        for (case, remarks) in self.cases.iter().zip(&self.remarks) {
            let counts = |r: &&Remark| match r.fate {
                Fate::Right => false,
                Fate::Open => case.clean,
                Fate::Wrong | Fate::Untold => true,
            };
            let mut by_what: BTreeMap<(&str, &str), (usize, &str)> = BTreeMap::new();
            for r in remarks.iter().filter(counts) {
                let fate = match r.fate {
                    Fate::Wrong => "WRONG",
                    Fate::Untold => "untold",
                    _ => "open",
                };
                by_what.entry((fate, &r.what)).or_insert((0, &r.note)).0 += 1;
            }
            if by_what.is_empty() {
                continue;
            }
            let _ = writeln!(text, "\n{}: {}", case.group, case.name);
            for ((fate, what), (times, note)) in by_what {
                let _ = writeln!(text, "  {fate} {times}x {what}: {note}");
            }
        }
        text
    }

    /// Leaves the tables where the chore asked for them.
    pub(crate) fn write(&self) {
        let Some(folder) = std::env::var_os("UNDERPIN_CAPTURES_OUT").map(PathBuf::from) else {
            return;
        };
        let summary = format!("## foreign gear\n\n{}", self.summary());
        let files = [
            ("foreign.md", summary),
            ("foreign-cases.md", format!("## foreign gear, case by case\n\n{}", self.table())),
            ("foreign-failures.txt", self.failures()),
        ];
        for (name, text) in files {
            std::fs::write(folder.join(name), text).expect("the folder of the chore");
        }
    }
}
