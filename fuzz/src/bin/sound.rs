//! See `fuzz::sound`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::sound(bytes));
