//! The tests that hold the program against truths outside it: one file a feature.

mod alignment;
mod architecture;
#[cfg(feature = "cli")]
mod audio_file;
mod audio_file_written;
mod line;
mod listening;
mod tones;

mod bands;
mod ceiling;
mod closed_box;
mod gains;
mod hardware;
mod level;
mod measure;
mod path;
mod presets;
mod properties;
mod responses;
mod settings;
mod spectrum;
mod trade;
mod transfer;
mod weighting;

#[path = "../octave_goals/mod.rs"]
#[allow(dead_code)]
mod octave_goals;

#[cfg(feature = "cli")]
mod cli_beside;
#[cfg(feature = "cli")]
mod cli_box;
#[cfg(feature = "cli")]
mod cli_conventions;
#[cfg(feature = "cli")]
mod cli_faults;
#[cfg(feature = "cli")]
mod cli_hand_over;
#[cfg(feature = "cli")]
mod cli_manual;
#[cfg(feature = "cli")]
mod cli_measure;
#[cfg(feature = "cli")]
mod cli_plan;
#[cfg(feature = "cli")]
mod cli_presets;
mod cli_prove;
#[cfg(feature = "cli")]
mod cli_render;
#[cfg(feature = "cli")]
mod cli_sheet;
#[cfg(feature = "cli")]
mod cli_signal;
mod clipping;
mod goals;
mod octave;
mod partials;
#[cfg(feature = "cli")]
mod program;
mod scope;
mod signal;
mod time_weighting;
mod tone_fit;

mod csv;
mod labels;
mod language;
#[cfg(feature = "cli")]
mod lessons;
mod plot;
mod report;
#[cfg(feature = "cli")]
mod report_json;
mod sheets;
mod strata;
mod switches;
