//! The stand-alone window: the plugin with sound devices of its own.

use std::process::ExitCode;

fn main() -> ExitCode {
    let asks = std::env::args().skip(1).any(|a| ["-h", "--help", "-V", "--version"].contains(&&*a));
    if !asks && let Err(why) = display() {
        eprintln!("{why}");
        return ExitCode::FAILURE;
    }
    match nice_plug::nice_export_standalone::<underpin::plugin::Underpin>() {
        true => ExitCode::SUCCESS,
        false => ExitCode::FAILURE,
    }
}

/// Whether there is a screen to draw on: without one the framework would wait for ever.
#[cfg(target_os = "linux")]
fn display() -> Result<(), String> {
    use std::net::TcpStream;
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::net::{SocketAddr, UnixStream};

    let name = std::env::var("DISPLAY").unwrap_or_default();
    let none = || "There is no screen to open the window on: DISPLAY is not set.".to_owned();
    let (host, number) = name.rsplit_once(':').ok_or_else(none)?;
    let number: u16 = number.split('.').next().and_then(|n| n.parse().ok()).ok_or_else(none)?;
    let socket = format!("/tmp/.X11-unix/X{number}");
    let there = match host {
        "" | "unix" => {
            let hidden = SocketAddr::from_abstract_name(&socket);
            UnixStream::connect(&socket).is_ok()
                || hidden.is_ok_and(|hidden| UnixStream::connect_addr(&hidden).is_ok())
        }
        host => TcpStream::connect((host, 6000 + number)).is_ok(),
    };
    there
        .then_some(())
        .ok_or(format!("There is no screen to open the window on: {name} is silent."))
}

#[cfg(not(target_os = "linux"))]
fn display() -> Result<(), String> {
    Ok(())
}
