//! Tests of the window, one file a part of it.

mod comparing;
mod gestures;
mod keeping;
mod keyboard;
mod layout;
mod lessons;
mod pictures;
mod session;
mod sizes;
mod time;
