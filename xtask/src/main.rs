//! The project's chores, one file a verb: `cargo xtask VERB`.

fn main() {}
