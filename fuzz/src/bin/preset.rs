//! See `fuzz::preset`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::preset(bytes));
