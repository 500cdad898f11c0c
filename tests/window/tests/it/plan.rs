//! What the Plan shows of the radio that it was made from.

use underpin::plot::Cause;
use window_tests::plan;

#[test]
fn a_plan_has_a_curve_for_every_volume_step() {
    let plan = plan();
    let steps: Vec<_> =
        plan.responses.curves.iter().filter(|drawn| drawn.cause == Cause::Difference).collect();
    assert_eq!(steps.len(), 2);
    // Fourth-order Butterworth high-passes with corners at 60 and at 50 Hz: 10·log10(1 + (fc/f)^8)
    // below their mid band.
    for (step, corner_hz) in steps.iter().zip([60.0f64, 50.0]) {
        for hz in [40.0, 63.0, 100.0] {
            let wanted = -10.0 * (1.0 + (corner_hz / hz).powi(8)).log10();
            let read = step.curve.at(hz).expect("a level");
            // A third octave of a slope of 24 dB an octave is read at its middle.
            assert!((read - wanted).abs() < 1.0, "{corner_hz} Hz at {hz} Hz: {read} for {wanted}");
        }
    }
}
