//! Underpin for a page in a browser: the line for its audio thread, and everything else for a worker,
//! over plain memory.
//!
//! A page has no names but numbers to call with: bytes go into a room that is asked for first, and
//! come out of one that is told of. What is asked and answered is JSON; sounds and files are bytes.

mod asked;
mod captures;
mod lesson;
mod line;
mod listening;
mod live;
mod looks;
mod signals;
mod values;
mod worker;

use std::cell::RefCell;

use line::Line;
use worker::Worker;

thread_local! {
    static LINE: RefCell<Option<Line>> = const { RefCell::new(None) };
    static WORKER: RefCell<Worker> = RefCell::new(Worker::default());
}

/// Makes room for so many bytes from outside; returns where it lies.
#[unsafe(no_mangle)]
pub extern "C" fn room(bytes: usize) -> *mut u8 {
    WORKER.with_borrow_mut(|worker| {
        worker.room.clear();
        worker.room.resize(bytes, 0);
        worker.room.as_mut_ptr()
    })
}

/// Answers the JSON in the room; returns the length of the answer.
#[unsafe(no_mangle)]
pub extern "C" fn ask() -> usize {
    WORKER.with_borrow_mut(Worker::ask)
}

/// Where the answer lies.
#[unsafe(no_mangle)]
pub extern "C" fn answer() -> *const u8 {
    WORKER.with_borrow(|worker| worker.answer.as_ptr())
}

/// Whether the answer is JSON and not bytes.
#[unsafe(no_mangle)]
pub extern "C" fn is_json() -> bool {
    WORKER.with_borrow(|worker| worker.is_json)
}

/// Keeps what lies in the room as a file whose name is its first `name` bytes.
#[unsafe(no_mangle)]
pub extern "C" fn keep(name: usize) {
    WORKER.with_borrow_mut(|worker| worker.keep(name));
}

/// Hears what lies in the room, 32-bit floats, channel after channel: what plays, to be seen.
#[unsafe(no_mangle)]
pub extern "C" fn watch(channels: usize) {
    WORKER.with_borrow_mut(|worker| worker.watch(channels));
}

/// Hears what lies in the room in the same form: what arrives at an input, to be diagnosed.
#[unsafe(no_mangle)]
pub extern "C" fn listen(channels: usize) {
    WORKER.with_borrow_mut(|worker| worker.listen(channels));
}

/// A line for stereo sound at a sample rate in Hz; returns where its samples lie: 128 of the left,
/// then 128 of the right.
#[unsafe(no_mangle)]
pub extern "C" fn line(sample_rate_hz: f64) -> *mut f32 {
    LINE.with_borrow_mut(|line| line.insert(Line::new(sample_rate_hz)).samples())
}

/// Puts the setting of a number to a plain value; the line follows at the next run.
#[unsafe(no_mangle)]
pub extern "C" fn put(setting: usize, plain: f32) {
    LINE.with_borrow_mut(|line| line.as_mut().map(|line| line.put(setting, plain)));
}

/// Runs the line over its samples, at most 128 of each channel.
#[unsafe(no_mangle)]
pub extern "C" fn run(frames: usize) {
    LINE.with_borrow_mut(|line| line.as_mut().map(|line| line.run(frames)));
}
