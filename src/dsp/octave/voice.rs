//! One of several that may be heard: its share glides, and what is not heard does not run.

use crate::dsp::glide::Glide;

/// Something with a share (0..1) in what is heard.
pub(super) struct Voice<T> {
    own: T,
    share: Glide,
    used: bool,
}

impl<T> Voice<T> {
    pub(super) fn new(own: T, rate_hz: f64) -> Self {
        Self { own, share: Glide::new(0.0, rate_hz), used: false }
    }

    /// Fades in if it is to be `heard`, and out if not.
    pub(super) fn set(&mut self, heard: bool) {
        self.share.set(f64::from(heard));
    }

    /// What it is, heard or not.
    pub(super) fn own(&mut self) -> &mut T {
        &mut self.own
    }

    /// Its share in the next sample, if it has any.
    #[inline]
    pub(super) fn step(&mut self) -> Option<(f64, &mut T)> {
        let share = self.share.step();
        self.used |= share > 0.0;
        (share > 0.0).then_some((share, &mut self.own))
    }

    /// What it is, if it is heard now.
    pub(super) fn heard(&mut self) -> Option<&mut T> {
        (self.share.value() > 0.0).then_some(&mut self.own)
    }

    /// Its share now, and what it is.
    pub(super) fn part(&self) -> (f64, &T) {
        (self.share.value(), &self.own)
    }

    /// What has to forget: once after the last sample that was heard.
    pub(super) fn fell_silent(&mut self) -> Option<&mut T> {
        let silent = self.share.rests_at(0.0) && std::mem::take(&mut self.used);
        silent.then_some(&mut self.own)
    }

    /// At its share at once, and new.
    pub(super) fn restart(&mut self) -> &mut T {
        self.share.finish();
        self.used = false;
        &mut self.own
    }
}
