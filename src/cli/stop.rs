//! Ctrl-C: leaves nothing half-written.
//!
//! While a file is being written the signal only raises a flag; the loop that
//! writes sees it, and the unfinished file is removed. At any other time the
//! program ends at once.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::cli::failure::{Code, Failure};

static RAISED: AtomicBool = AtomicBool::new(false);
static WRITING: AtomicUsize = AtomicUsize::new(0);

/// Takes over Ctrl-C for the rest of the program.
pub(super) fn listen() {
    // Without a handler Ctrl-C still ends the program, only less tidily.
    let _ = ctrlc::set_handler(|| {
        let again = RAISED.swap(true, Ordering::SeqCst);
        if again || WRITING.load(Ordering::SeqCst) == 0 {
            std::process::exit(Code::Interrupted as i32);
        }
    });
}

/// Ends a loop after Ctrl-C.
///
/// # Errors
/// When Ctrl-C was pressed.
pub fn check() -> Result<(), Failure> {
    match RAISED.load(Ordering::SeqCst) {
        true => Err(ended()),
        false => Ok(()),
    }
}

/// What is said of a loop that was ended.
pub(super) fn ended() -> Failure {
    Failure::new(Code::Interrupted, "interrupted; nothing was left half-written")
}

/// Held while an unfinished file lies on the disk.
#[derive(Debug)]
pub(super) struct Writing(());

impl Writing {
    pub(super) fn begin() -> Self {
        WRITING.fetch_add(1, Ordering::SeqCst);
        Self(())
    }
}

impl Drop for Writing {
    fn drop(&mut self) {
        WRITING.fetch_sub(1, Ordering::SeqCst);
    }
}
