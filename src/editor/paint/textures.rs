//! The textures of the pictures: one small white tile each, repeated over the screen.
//!
//! A tile is tinted by the colour of its corners and laid by screen pixel, so a
//! hatch needs no lines, stays crisp at any zoom, and stands still while the
//! layer that it fills grows.

use egui::{Color32, ColorImage, Context, Id, TextureHandle, TextureOptions};

/// The tiles at one number of pixels a point.
#[derive(Clone)]
pub struct Textures {
    /// Slanted lines: what is new.
    pub slanted: Texture,
    /// Upright lines: what is lifted.
    pub upright: Texture,
    /// Staggered dots: what is not known yet.
    pub dots: Texture,
    pixels_per_point: f32,
}

/// One repeated texture.
#[derive(Clone)]
pub struct Texture {
    texture: TextureHandle,
    /// Its side in points.
    side: f32,
}

impl Texture {
    /// The texture's id.
    pub fn id(&self) -> egui::TextureId {
        self.texture.id()
    }

    /// Where a place on the screen lies in the texture.
    pub fn uv(&self, at: egui::Pos2) -> egui::Pos2 {
        egui::pos2(at.x / self.side, at.y / self.side)
    }
}

impl Textures {
    /// The tiles for this window; made again when its pixels change their size.
    pub fn of(ctx: &Context) -> Self {
        let id = Id::unique("tiles");
        let pixels_per_point = ctx.pixels_per_point();
        let kept: Option<Self> = ctx.data(|data| data.get_temp(id));
        if let Some(kept) = kept.filter(|kept| kept.pixels_per_point == pixels_per_point) {
            return kept;
        }
        let made = Self::new(ctx, pixels_per_point);
        ctx.data_mut(|data| data.insert_temp(id, made.clone()));
        made
    }

    fn new(ctx: &Context, scale: f32) -> Self {
        // 10 points along the row are 7 across the slant.
        let slanted = tile(ctx, "slanted", 10.0, scale, |x, y, side| {
            let along = (x + y).rem_euclid(side);
            along.min(side - along) / std::f32::consts::SQRT_2 - 0.575 * scale
        });
        let upright = tile(ctx, "upright", 4.0, scale, |x, _, side| {
            (x - 0.5 * side).abs() - 0.5 * scale.max(1.0)
        });
        let dots = tile(ctx, "dots", 6.0, scale, |x, y, side| {
            let from = |share: f32| (x - share * side).hypot(y - share * side);
            from(0.25).min(from(0.75)) - 0.8 * scale
        });
        Self { slanted, upright, dots, pixels_per_point: scale }
    }
}

/// A white tile whose coverage follows the distance of each pixel from a shape, in pixels.
fn tile(
    ctx: &Context,
    name: &str,
    points: f32,
    scale: f32,
    distance: impl Fn(f32, f32, f32) -> f32,
) -> Texture {
    let side = (points * scale).round().max(2.0);
    let count = side as usize;
    let pixels = (0..count * count).map(|i| {
        let (x, y) = ((i % count) as f32 + 0.5, (i / count) as f32 + 0.5);
        let covered = (0.5 - distance(x, y, side)).clamp(0.0, 1.0);
        Color32::from_white_alpha((255.0 * covered).round() as u8)
    });
    let image = ColorImage::new([count, count], pixels.collect());
    let options = TextureOptions::NEAREST_REPEAT;
    Texture { texture: ctx.load_texture(name, image, options), side: side / scale }
}
