//! Reads the sounds of a Gravis UltraSound patch, the format of Debian's `freepats` (from its
//! programmer's guide, *GF1 Patch File Format*): headers of 129, 63 and 47 bytes, then for each
//! sound a header of 96 bytes and its samples.

use std::fs;
use std::path::Path;

use super::Recording;

const HEADERS: usize = 129 + 63 + 47;
/// Where the instrument's header counts its sounds.
const COUNT: usize = 129 + 63 + 6;
const HEADER: usize = 96;
/// Bits of the mode: samples of 16 bits, and without sign.
const WIDE: u8 = 1;
const UNSIGNED: u8 = 2;

/// The sounds of a patch whose pitch is at most `highest_hz`.
pub(super) fn read(path: &Path, highest_hz: f64) -> Vec<Recording> {
    let bytes = fs::read(path).unwrap_or_default();
    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let mut at = HEADERS;
    let mut sounds = Vec::new();
    for i in 0..bytes.get(COUNT).copied().unwrap_or(0) {
        let Some(header) = bytes.get(at..at + HEADER) else { break };
        let word = |k: usize| u32::from_le_bytes(header[k..k + 4].try_into().expect("four bytes"));
        let (size, root_hz) = (word(8) as usize, f64::from(word(30)) / 1e3);
        let rate_hz = f64::from(u16::from_le_bytes([header[20], header[21]]));
        let Some(data) = bytes.get(at + HEADER..at + HEADER + size) else { break };
        at += HEADER + size;
        if root_hz <= highest_hz {
            let samples = samples(data, header[55]);
            sounds.push(Recording { name: format!("{name}-{i}"), rate_hz, samples });
        }
    }
    sounds
}

fn samples(data: &[u8], mode: u8) -> Vec<f64> {
    // Without sign, the middle is half of full scale: turning the highest bit gives it one.
    let turned = if mode & UNSIGNED > 0 { 0x80 } else { 0 };
    let value = |high: u8, low: u8| f64::from(i16::from_le_bytes([low, high ^ turned])) / 32_768.0;
    if mode & WIDE > 0 {
        data.chunks_exact(2).map(|bytes| value(bytes[1], bytes[0])).collect()
    } else {
        data.iter().map(|&byte| value(byte, 0)).collect()
    }
}
