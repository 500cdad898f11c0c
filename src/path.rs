//! The one signal path, live and offline: before ► chain ► after, with
//! listeners at fixed posts on the line.

/// Where on the line a listener stands, in the order of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Post {
    /// What arrives: the input as it is.
    Before,
    /// The untouched part: after trim and dry level.
    Dry,
    /// The octave part alone, at its level, the same in every channel.
    Octave,
    /// Dry and octave part together, before the low band.
    Blend,
    /// After the low band.
    LowBand,
    /// What comes out.
    After,
}

/// Something that hears the line while it runs.
///
/// For each block the posts are called once each, in their order, each with one
/// slice a channel (one or two), all of one length. Called on the audio
/// thread: an implementation that is used live neither allocates nor locks.
pub trait Listen {
    /// Hears one block at one post.
    fn hear(&mut self, post: Post, channels: &[&[f64]]);
}

/// Nobody listens.
impl Listen for () {
    fn hear(&mut self, _: Post, _: &[&[f64]]) {}
}
