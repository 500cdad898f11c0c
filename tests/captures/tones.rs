//! The lines of a tone, by least squares: exact where the tone has no whole number of periods.

use std::f64::consts::TAU;

use underpin::planning::tones::ToneReading;

#[test]
fn a_tone_that_stands_on_a_constant_has_no_other_lines() {
    // 63.4 periods of it in what is read: a projection alone would find some in each line.
    let (hz, seconds, amplitude) = (45.3, 1.7, 0.5);
    let wave = |n: i32| 0.1 + amplitude * (TAU * hz * f64::from(n) / 12_000.0 + 0.7).cos();
    let samples: Vec<f32> = (0..20_400).map(|n| wave(n) as f32).collect();
    let reading = ToneReading::new(&samples, 0.0, seconds, hz, -6.0);
    for (multiple, found) in &reading.parts {
        // Samples in single precision are off by 3e-8 at most, each by itself.
        let planted = if *multiple == 1.0 { amplitude } else { 0.0 };
        assert!((found - planted).abs() < 1e-7, "{multiple}: {found}");
    }
    assert!(reading.rest_dbfs < -140.0, "{}", reading.rest_dbfs);
}
