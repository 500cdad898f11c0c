//! The program: one command a file.

pub mod audio_file;
pub mod failure;
pub mod output;
pub mod stop;
