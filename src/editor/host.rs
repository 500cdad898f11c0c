//! Between the window and the plugin framework: the only code here that knows it.

mod asks;
mod open;
mod remember;
mod save;
mod session;
mod window;

pub use open::open;
pub use window::Window;
