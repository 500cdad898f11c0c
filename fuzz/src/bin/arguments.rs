//! See `fuzz::arguments`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::arguments(bytes));
