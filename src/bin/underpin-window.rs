//! The stand-alone window: the plugin with sound devices of its own.

fn main() -> std::process::ExitCode {
    match nice_plug::nice_export_standalone::<underpin::plugin::Underpin>() {
        true => std::process::ExitCode::SUCCESS,
        false => std::process::ExitCode::FAILURE,
    }
}
