//! A painter without a screen: fills the window's triangles into an image, pixel by pixel.
//!
//! It writes the pictures that are exported, and those that the tests look at.
//! Colours are blended premultiplied and in gamma space, as on the screen.

use egui::epaint::{ClippedPrimitive, ImageDelta, Mesh, Primitive, Vertex};
use egui::{Color32, ImageData, Pos2, Rect, TextureId, TexturesDelta};
use std::collections::HashMap;

/// An image: rows of pixels from the top left.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The pixels.
    pub pixels: Vec<Color32>,
}

/// The textures that were handed over, and the painter.
#[derive(Default)]
pub struct Raster {
    textures: HashMap<TextureId, Image>,
}

impl Raster {
    /// Takes new and changed textures over, and drops those that were freed.
    pub fn take(&mut self, delta: &TexturesDelta) {
        let mut changed: Vec<_> = delta.set.iter().collect();
        changed.sort_by_key(|(id, _)| **id);
        for (id, deltas) in changed {
            deltas.iter().for_each(|delta| self.change(*id, delta));
        }
        self.textures.retain(|id, _| !delta.free.contains(id));
    }

    fn change(&mut self, id: TextureId, delta: &ImageDelta) {
        let ImageData::Color(image) = &delta.image;
        let [width, height] = image.size;
        let Some([left, top]) = delta.pos else {
            let pixels = image.pixels.clone();
            self.textures.insert(id, Image { width, height, pixels });
            return;
        };
        let Some(texture) = self.textures.get_mut(&id) else { return };
        for (row, pixels) in image.pixels.chunks(width.max(1)).enumerate() {
            let start = (top + row) * texture.width + left;
            texture.pixels[start..start + width].copy_from_slice(pixels);
        }
    }

    /// Fills triangles into an image of `width` by `height` pixels over `ground`.
    pub fn draw(
        &self,
        primitives: &[ClippedPrimitive],
        (width, height): (usize, usize),
        pixels_per_point: f32,
        ground: Color32,
    ) -> Image {
        let mut image = Image { width, height, pixels: vec![ground; width * height] };
        for ClippedPrimitive { clip_rect, primitive } in primitives {
            let Primitive::Mesh(mesh) = primitive else { continue };
            let Some(texture) = self.textures.get(&mesh.texture_id) else { continue };
            let clip = *clip_rect * pixels_per_point;
            image.fill(mesh, texture, clip, pixels_per_point);
        }
        image
    }
}

impl Image {
    fn fill(&mut self, mesh: &Mesh, texture: &Image, clip: Rect, scale: f32) {
        let bounds = Rect::from_min_max(
            Pos2::new(clip.min.x.round().max(0.0), clip.min.y.round().max(0.0)),
            Pos2::new(
                clip.max.x.round().min(self.width as f32),
                clip.max.y.round().min(self.height as f32),
            ),
        );
        for corners in mesh.triangles() {
            let corners = corners.map(|i| {
                let vertex = mesh.vertices[i as usize];
                Vertex { pos: vertex.pos * scale, ..vertex }
            });
            self.triangle(corners, texture, bounds);
        }
    }

    /// Fills the pixels whose middle lies in the triangle; a middle on an edge belongs to the
    /// triangle on one side only (the top-left rule).
    fn triangle(&mut self, [a, mut b, mut c]: [Vertex; 3], texture: &Image, clip: Rect) {
        let mut area = edge(a.pos, b.pos, c.pos);
        if area < 0.0 {
            std::mem::swap(&mut b, &mut c);
            area = -area;
        }
        if !area.is_normal() {
            return;
        }
        let room = Rect::from_points(&[a.pos, b.pos, c.pos]).intersect(clip);
        let first = |low: f32| (low - 0.5).ceil().max(0.0) as usize;
        let (rows, columns) = (
            first(room.min.y)..first(room.max.y + 1.0),
            first(room.min.x)..first(room.max.x + 1.0),
        );
        let owns = |from: Pos2, to: Pos2| {
            let (right, down) = (to.x - from.x, to.y - from.y);
            down < 0.0 || (down == 0.0 && right > 0.0)
        };
        let owned = [owns(b.pos, c.pos), owns(c.pos, a.pos), owns(a.pos, b.pos)];
        for y in rows.start..rows.end.min(clip.max.y as usize) {
            for x in columns.start..columns.end.min(clip.max.x as usize) {
                let at = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
                let weights =
                    [edge(b.pos, c.pos, at), edge(c.pos, a.pos, at), edge(a.pos, b.pos, at)];
                let inside = |(w, owned): (&f32, &bool)| *w > 0.0 || (*w == 0.0 && *owned);
                if weights.iter().zip(&owned).all(inside) {
                    let share = weights.map(|weight| weight / area);
                    let pixel = shade([&a, &b, &c], share, texture);
                    let under = &mut self.pixels[y * self.width + x];
                    *under = over(pixel, *under);
                }
            }
        }
    }
}

/// Twice the area of the triangle, positive where `at` lies on the inner side.
fn edge(from: Pos2, to: Pos2, at: Pos2) -> f32 {
    (to.x - from.x) * (at.y - from.y) - (to.y - from.y) * (at.x - from.x)
}

/// The colour at a place in a triangle: that of its corners times its texture's.
fn shade(corners: [&Vertex; 3], share: [f32; 3], texture: &Image) -> [f32; 4] {
    let mix = |of: &dyn Fn(&Vertex) -> f32| -> f32 {
        corners.iter().zip(share).map(|(corner, share)| of(corner) * share).sum()
    };
    let place = |value: f32, count: usize| (value.rem_euclid(1.0) * count as f32) as usize;
    let x = place(mix(&|v| v.uv.x), texture.width).min(texture.width - 1);
    let y = place(mix(&|v| v.uv.y), texture.height).min(texture.height - 1);
    let texel = texture.pixels[y * texture.width + x].to_array();
    let colour = |i: usize| mix(&|v: &Vertex| f32::from(v.color.to_array()[i]));
    [0, 1, 2, 3].map(|i| colour(i) * f32::from(texel[i]) / 255.0)
}

/// One premultiplied colour laid over another.
fn over(above: [f32; 4], below: Color32) -> Color32 {
    let through = 1.0 - above[3] / 255.0;
    let below = below.to_array();
    let mixed = [0, 1, 2, 3].map(|i| (above[i] + f32::from(below[i]) * through).round() as u8);
    Color32::from_rgba_premultiplied(mixed[0], mixed[1], mixed[2], mixed[3])
}
