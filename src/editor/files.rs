//! Files of the person's own: the folder, presets, the plan, the last session, what is written and never over
//! another.

pub mod curve_file;
pub mod folder;
pub mod plan_file;
pub mod preset_library;
pub mod session_file;
pub mod take_files;
pub mod write_new;
