//! Bars around the picture: head, sentence, test signal, export, the signal path, foot.

pub mod averaging;
pub mod bench;
pub mod end_meters;
pub mod export_bar;
pub mod foot;
pub mod head;
pub mod help;
pub mod listen_points;
pub mod sentence;
pub mod shelf;
pub mod signal_path;
pub mod test_signal;
