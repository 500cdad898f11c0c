//! A seeded source of noise: SplitMix64 (Steele, Lea, Flood, OOPSLA 2014) and the polar method.

pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Even in 0..1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even in log frequency.
    pub(crate) fn hz(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Normal, variance 1.
    pub(crate) fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let r = x * x + y * y;
            if r > 0.0 && r < 1.0 {
                return x * (-2.0 * r.ln() / r).sqrt();
            }
        }
    }

    /// Pink noise of r.m.s. about 1: white noise through the six-pole filter of P. Kellet
    /// (published 1999; within 0.035 dB of 1/f from 10 Hz at 44.1 kHz, computed with scipy 1.17).
    pub(crate) fn pink(&mut self, samples: usize) -> Vec<f64> {
        let mut b = [0.0; 7];
        (0..samples)
            .map(|_| {
                let w = self.normal();
                b[0] = 0.99886 * b[0] + w * 0.0555179;
                b[1] = 0.99332 * b[1] + w * 0.0750759;
                b[2] = 0.96900 * b[2] + w * 0.1538520;
                b[3] = 0.86650 * b[3] + w * 0.3104856;
                b[4] = 0.55000 * b[4] + w * 0.5329522;
                b[5] = -0.7616 * b[5] - w * 0.0168980;
                let out = b.iter().sum::<f64>() + w * 0.5362;
                b[6] = w * 0.115926;
                out / 3.9
            })
            .collect()
    }
}
