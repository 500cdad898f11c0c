//! See `fuzz::plan`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::plan(bytes));
