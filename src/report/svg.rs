//! A painter: walks a scene and writes SVG.
//!
//! Colours, dashes and fills are classes, so that one picture serves day,
//! night and print; [`style`] writes the rules and [`defs`] the textures.

use crate::plot::scene::Point;
use crate::plot::{Anchor, Cause, Fill, Ink, Mark, Palette, Role, Scene};
use std::fmt::Write;

/// The scene as one SVG file in the colours of `palette`, without a font: viewers use their own.
pub fn svg(scene: &Scene, palette: Palette) -> String {
    let (width, height) = (number(scene.width), number(scene.height));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
         width=\"{width}\" height=\"{height}\" role=\"img\">\n<title>{}</title>\n\
         <style>svg{{{}}}{}</style>\n{}{}</svg>\n",
        escape(&scene.about),
        colours(palette),
        style(),
        defs(),
        marks(scene)
    )
}

/// The scene as an SVG element inside a page that has the report's look and textures.
pub fn inline(scene: &Scene) -> String {
    let (width, height) = (number(scene.width), number(scene.height));
    format!(
        "<svg viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
         role=\"img\" aria-label=\"{}\">\n{}</svg>\n",
        escape(&scene.about),
        marks(scene)
    )
}

/// The colours of a palette as custom properties.
pub fn colours(palette: Palette) -> String {
    Ink::all().fold(String::new(), |mut rules, ink| {
        let _ = write!(rules, "--{}:{};", ink.key(), palette.of(ink).hex());
        rules
    })
}

/// The classes of inks, causes and roles.
pub(super) fn style() -> String {
    let mut rules = String::from(
        "svg text{font-family:'Underpin Sans',sans-serif;font-weight:500}\
         svg path,svg line{fill:none;stroke-linejoin:round}",
    );
    for ink in Ink::all() {
        let key = ink.key();
        let _ =
            write!(rules, "svg .f-{key}{{fill:var(--{key})}}svg .s-{key}{{stroke:var(--{key})}}");
    }
    for cause in Cause::ALL {
        let stroke = cause.stroke();
        let dash: Vec<_> = stroke.dash.iter().map(|on| number(*on)).collect();
        let dash = if dash.is_empty() { "none".into() } else { dash.join(" ") };
        let (key, ink) = (cause.key(), stroke.ink.key());
        let _ = write!(rules, "svg .c-{key}{{stroke:var(--{ink});stroke-dasharray:{dash}}}");
    }
    for role in Role::ALL {
        let weight = if role.is_heavy() { 600 } else { 500 };
        let (key, size) = (role as usize, number(role.size()));
        let _ = write!(rules, "svg .r{key}{{font-size:{size}px;font-weight:{weight}}}");
    }
    rules + "svg .halo{stroke-width:3.5;paint-order:stroke;stroke-linejoin:round}"
}

/// The textures: slanted, upright, dots and light.
pub(super) fn defs() -> &'static str {
    "<defs>\
     <pattern id=\"slanted\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\">\
     <rect width=\"7\" height=\"7\" class=\"f-octave-wash\"/>\
     <path d=\"M-2 2 2-2M0 7 7 0M5 9 9 5\" class=\"s-octave-hatch\" stroke-width=\"1.15\"/></pattern>\
     <pattern id=\"upright\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\">\
     <rect width=\"4\" height=\"4\" class=\"f-low-wash\"/>\
     <path d=\"M1.5 0V4\" class=\"s-low-hatch\" stroke-width=\"1\"/></pattern>\
     <pattern id=\"dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
     <circle cx=\"1.5\" cy=\"1.5\" r=\".8\" class=\"f-ink\"/>\
     <circle cx=\"4.5\" cy=\"4.5\" r=\".8\" class=\"f-ink\"/></pattern>\
     <linearGradient id=\"light\"><stop offset=\"0\" style=\"stop-color:var(--lit)\"/>\
     <stop offset=\"1\" style=\"stop-color:var(--lit);stop-opacity:0\"/></linearGradient>\
     </defs>\n"
}

/// Text from outside, made harmless in HTML and SVG, as text and inside attributes.
/// Characters that XML 1.0 does not allow are left out.
pub(super) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\r' | '\t' => safe.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => safe.push(c),
        }
    }
    safe
}

fn marks(scene: &Scene) -> String {
    let mut out = String::new();
    for mark in &scene.marks {
        // Writing to a string cannot fail.
        let _ = write_mark(&mut out, mark);
    }
    out
}

fn write_mark(out: &mut String, mark: &Mark) -> std::fmt::Result {
    match mark {
        Mark::Line { cause, width, points } => {
            let (d, width) = (path(points, false), number(*width));
            writeln!(out, "<path class=\"c-{}\" stroke-width=\"{width}\" d=\"{d}\"/>", cause.key())
        }
        Mark::Rule { from, to, width, ink } => {
            let d = path(&[*from, *to], false);
            let width = number(*width);
            writeln!(out, "<path class=\"s-{}\" stroke-width=\"{width}\" d=\"{d}\"/>", ink.key())
        }
        Mark::Area { fill, points } => {
            let fill = match fill {
                Fill::Flat(ink) => format!("class=\"f-{}\"", ink.key()),
                Fill::Slanted => "style=\"fill:url(#slanted)\"".into(),
                Fill::Upright => "style=\"fill:url(#upright)\"".into(),
                Fill::Dots => "style=\"fill:url(#dots)\"".into(),
                Fill::Light => "style=\"fill:url(#light)\"".into(),
            };
            writeln!(out, "<path {fill} d=\"{}\"/>", path(points, true))
        }
        Mark::Disc { at, radius, fill, outline } => writeln!(
            out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" class=\"f-{} s-{}\" stroke-width=\"{}\"/>",
            number(at.0),
            number(at.1),
            number(*radius),
            fill.key(),
            outline.0.key(),
            number(outline.1)
        ),
        Mark::Outline { points, width, ink } => {
            let (d, width) = (path(points, true), number(*width));
            writeln!(out, "<path class=\"s-{}\" stroke-width=\"{width}\" d=\"{d}\"/>", ink.key())
        }
        Mark::Text { at, anchor, role, ink, halo, words } => {
            let (x, y) = (number(at.0), number(at.1));
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let halo = halo.map_or(String::new(), |halo| format!(" halo s-{}", halo.key()));
            let class = format!("r{} f-{}{halo}", *role as usize, ink.key());
            let words = escape(words);
            writeln!(out, "<text x=\"{x}\" y=\"{y}\"{anchor} class=\"{class}\">{words}</text>")
        }
    }
}

/// Corners as path data; points that are not finite are left out.
fn path(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    let finite = points.iter().filter(|point| point.0.is_finite() && point.1.is_finite());
    for (i, (x, y)) in finite.enumerate() {
        let _ = write!(data, "{}{} {}", if i == 0 { "M" } else { "L" }, number(*x), number(*y));
    }
    if closed { data + "Z" } else { data }
}

/// A length in pixels to a tenth: finer than any screen or printer shows.
fn number(value: f64) -> String {
    let tenths = format!("{:.1}", if value.is_finite() { value } else { 0.0 });
    tenths.strip_suffix(".0").unwrap_or(&tenths).into()
}
