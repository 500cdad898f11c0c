//! Two channels of a stretch, walked frame by frame.

/// Gives every frame of two lanes of one length to `stage`, and takes back what it makes of it.
#[inline]
pub(super) fn each(
    left: &mut [f64],
    right: &mut [f64],
    mut stage: impl FnMut([f64; 2]) -> [f64; 2],
) {
    for (left, right) in left.iter_mut().zip(right) {
        [*left, *right] = stage([*left, *right]);
    }
}
