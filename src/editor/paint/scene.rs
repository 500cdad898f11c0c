//! A painter: walks a scene and draws it in the window.

use crate::editor::paint::textures::{Texture, Textures};
use crate::editor::paint::theme::{Theme, face};
use crate::plot::scene::Point;
use crate::plot::{Anchor, Cause, Fill, Ink, Mark, Role, Scene};
use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Color32, Galley, Painter, Pos2, Shape, Stroke, TextureId, Vec2};
use std::sync::Arc;

/// How far the halo of a label reaches, in points.
const HALO: f32 = 1.6;

/// Draws `scene` with its top left at `origin`.
pub fn draw(painter: &Painter, origin: Pos2, scene: &Scene, theme: &Theme) {
    let brush =
        Brush { painter, offset: origin.to_vec2(), theme, tiles: Textures::of(painter.ctx()) };
    scene.marks.iter().for_each(|mark| brush.draw(mark));
}

struct Brush<'a> {
    painter: &'a Painter,
    offset: Vec2,
    theme: &'a Theme,
    tiles: Textures,
}

impl Brush<'_> {
    fn draw(&self, mark: &Mark) {
        match mark {
            Mark::Line { cause, width, points } => {
                let points = self.all(points);
                line(self.painter, *cause, *width as f32, points, self.theme);
            }
            Mark::Rule { from, to, width, ink } => {
                let stroke = Stroke::new(*width as f32, self.theme.colour(*ink));
                self.painter.line_segment([self.at(*from), self.at(*to)], stroke);
            }
            Mark::Area { fill, points } => self.area(*fill, &self.all(points)),
            Mark::Disc { at, radius, fill, outline } => {
                let stroke = Stroke::new(outline.1 as f32, self.theme.colour(outline.0));
                self.painter.circle(self.at(*at), *radius as f32, self.theme.colour(*fill), stroke);
            }
            Mark::Outline { points, width, ink } => {
                let stroke = Stroke::new(*width as f32, self.theme.colour(*ink));
                self.painter.add(Shape::closed_line(self.all(points), stroke));
            }
            Mark::Text { at, anchor, role, ink, halo, words } => {
                let align = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => 0.5,
                    Anchor::End => 1.0,
                };
                let text = Text { words, role: *role, ink: *ink, halo: *halo };
                text.draw(self.painter, self.at(*at), align, self.theme);
            }
        }
    }

    fn at(&self, (x, y): Point) -> Pos2 {
        Pos2::new(x as f32, y as f32) + self.offset
    }

    /// The places that can be drawn.
    fn all(&self, points: &[Point]) -> Vec<Pos2> {
        let finite = points.iter().filter(|p| p.0.is_finite() && p.1.is_finite());
        finite.map(|p| self.at(*p)).collect()
    }

    fn area(&self, fill: Fill, corners: &[Pos2]) {
        let colour = |ink| self.theme.colour(ink);
        match fill {
            Fill::Flat(ink) => self.strip(corners, None, |_| colour(ink)),
            Fill::Slanted => {
                self.strip(corners, None, |_| colour(Ink::OctaveWash));
                self.strip(corners, Some(&self.tiles.slanted), |_| colour(Ink::OctaveHatch));
            }
            Fill::Upright => {
                self.strip(corners, None, |_| colour(Ink::LowWash));
                self.strip(corners, Some(&self.tiles.upright), |_| colour(Ink::LowHatch));
            }
            Fill::Dots => {
                self.strip(corners, None, |_| colour(Ink::Sheet));
                self.strip(corners, Some(&self.tiles.dots), |_| colour(Ink::Rule));
            }
            Fill::Light => {
                let left = corners.iter().map(|p| p.x).fold(f32::INFINITY, f32::min);
                let right = corners.iter().map(|p| p.x).fold(f32::NEG_INFINITY, f32::max);
                let share = move |x: f32| (right - x) / (right - left).max(1.0);
                let lit = colour(Ink::Lit);
                self.strip(corners, None, |at| lit.gamma_multiply(share(at.x).clamp(0.0, 1.0)));
            }
        }
    }

    /// Fills an area. Every area of a scene is a strip: the first half of its corners runs
    /// along one side, the second half runs back along the other.
    fn strip(&self, corners: &[Pos2], tile: Option<&Texture>, colour: impl Fn(Pos2) -> Color32) {
        let half = corners.len() / 2;
        if half < 2 {
            return;
        }
        let mut mesh = Mesh::with_texture(tile.map_or(TextureId::default(), Texture::id));
        mesh.vertices = (0..half)
            .flat_map(|i| [corners[i], corners[corners.len() - 1 - i]])
            .map(|pos| Vertex {
                pos,
                uv: tile.map_or(WHITE_UV, |tile| tile.uv(pos)),
                color: colour(pos),
            })
            .collect();
        for i in 0..half as u32 - 1 {
            let at = 2 * i;
            mesh.add_triangle(at, at + 1, at + 2);
            mesh.add_triangle(at + 1, at + 2, at + 3);
        }
        self.painter.add(Shape::mesh(mesh));
    }
}

/// Draws a line in the dash and colour of its cause.
pub fn line(painter: &Painter, cause: Cause, width: f32, points: Vec<Pos2>, theme: &Theme) {
    let style = cause.stroke();
    let stroke = Stroke::new(width, theme.colour(style.ink));
    if style.dash.is_empty() {
        painter.add(Shape::line(points, stroke));
        return;
    }
    let part = |first: usize| {
        let every = style.dash.iter().skip(first).step_by(2);
        every.map(|length| *length as f32).collect::<Vec<_>>()
    };
    painter.extend(Shape::dashed_line_with_offset(&points, stroke, &part(0), &part(1), 0.0));
}

/// Words in one size and colour.
#[derive(Clone, Copy, Debug)]
pub struct Text<'a> {
    /// The words.
    pub words: &'a str,
    /// Size and weight.
    pub role: Role,
    /// Colour.
    pub ink: Ink,
    /// Colour behind the letters.
    pub halo: Option<Ink>,
}

impl<'a> Text<'a> {
    /// Words without a halo.
    pub fn new(words: &'a str, role: Role, ink: Ink) -> Self {
        Self { words, role, ink, halo: None }
    }

    /// Draws the words with their base line at `at`, `align` of their width left of it (0 to 1);
    /// returns the room they take.
    pub fn draw(&self, painter: &Painter, at: Pos2, align: f32, theme: &Theme) -> egui::Rect {
        let font = face(self.role.size() as f32, self.role.is_heavy());
        let colour = theme.colour(self.ink);
        let galley = painter.layout_no_wrap(self.words.to_owned(), font, colour);
        let corner = Pos2::new(at.x - align * galley.size().x, at.y - base_line(&galley));
        if let Some(halo) = self.halo {
            let halo = theme.colour(halo);
            for step in 0..8 {
                let offset = HALO * Vec2::angled(step as f32 * std::f32::consts::FRAC_PI_4);
                painter.galley_with_override_text_color(corner + offset, galley.clone(), halo);
            }
        }
        let room = egui::Rect::from_min_size(corner, galley.size());
        painter.galley(corner, galley, colour);
        room
    }
}

/// How far the base line of the first row lies below the top of a text.
pub fn base_line(galley: &Arc<Galley>) -> f32 {
    let row = galley.rows.first();
    row.and_then(|row| Some(row.pos.y + row.row.glyphs.first()?.pos.y)).unwrap_or(0.0)
}
