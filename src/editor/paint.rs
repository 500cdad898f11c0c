//! From scenes to the painter or to pixels.

pub mod raster;
pub mod scale;
pub mod scene;
pub mod textures;
pub mod theme;
