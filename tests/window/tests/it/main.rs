//! Tests of the window, one file a part of it.

mod bench;
mod changes;
mod comparing;
mod findings;
mod gestures;
mod helping;
mod history;
mod keeping;
mod keyboard;
mod layout;
mod lessons;
mod live;
mod patch;
mod pictures;
mod plan;
mod pointer;
mod remembering;
mod session;
mod shelf;
mod sizes;
mod targets;
mod tasks;
mod time;
