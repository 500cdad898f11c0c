//! Random numbers that are the same everywhere: SplitMix64 (Steele, Lea, Flood,
//! "Fast splittable pseudorandom number generators", OOPSLA 2014).

/// A seeded generator.
#[derive(Clone, Debug)]
pub struct Random {
    state: u64,
}

impl Random {
    /// The sequence of `seed`; any seed is good.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// The next number, even over 0 ≤ x < 1, in steps of 2⁻⁵³.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
}
