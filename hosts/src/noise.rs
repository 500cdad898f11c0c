//! Seeded noise: the same on every machine.

/// SplitMix64 (Steele, Lea & Flood 2014).
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A source from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A whole number from 0 up to `end`, which it never reaches.
    pub fn below(&mut self, end: usize) -> usize {
        (self.unit() * end as f64) as usize
    }
}

/// White noise in two channels, peak half of full scale.
pub fn stereo(frames: usize, seed: u64) -> Vec<Vec<f32>> {
    let mut random = Random::new(seed);
    (0..2).map(|_| (0..frames).map(|_| (random.unit() - 0.5) as f32).collect()).collect()
}
