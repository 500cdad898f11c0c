//! Bytes as text for `data:` addresses (RFC 4648, section 4).

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// The bytes in base 64, padded.
pub(super) fn base64(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let at = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let word = at(0) << 16 | at(1) << 8 | at(2);
        for i in 0..4 {
            let letter = LETTERS[(word >> (18 - 6 * i)) as usize & 63];
            text.push(if i <= chunk.len() { letter.into() } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::base64;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn the_vectors_of_rfc_4648_come_out() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (bytes, text) in vectors {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }
}
