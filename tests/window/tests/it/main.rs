//! Tests of the window, one file a part of it.

mod gestures;
mod keyboard;
mod layout;
mod pictures;
mod session;
