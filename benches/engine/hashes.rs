//! What the methods make of one signal, as hashes of its bits: a method that was not to change has
//! the hash it had before, on the same machine (`cargo bench --bench engine -- --hashes`).

use super::octave_goals::render;
use super::octave_goals::signals::{pair, pink};
use super::{METHODS, with};

/// FNV-1a, 64 bits.
fn hash(samples: &[f64]) -> u64 {
    let bytes = samples.iter().flat_map(|x| x.to_bits().to_le_bytes());
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Prints the hashes.
pub(crate) fn print() {
    let notes = pair([50.0, 80.0], [0.2; 2], 1.0);
    let x: Vec<f64> = pink(0.1, 30_000, 1).iter().zip(notes).map(|(a, b)| a + b).collect();
    for method in METHODS {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            let hash = hash(&render(&with(method), rate_hz, &x));
            println!("{method:?} at {rate_hz} Hz: {hash:016x}");
        }
    }
}
