//! The pictures' colours, strokes and typeface as the window's painter takes them.

use crate::plot::{Cause, Ink, Palette};
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Stroke, Visuals};
use std::sync::Arc;

/// How the window looks: one palette, in the painter's own terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Day, night or high contrast.
    pub palette: Palette,
}

impl Theme {
    /// The colour of an ink.
    pub fn colour(&self, ink: Ink) -> Color32 {
        let [red, green, blue] = self.palette.of(ink).0;
        Color32::from_rgb(red, green, blue)
    }

    /// The line of a cause, without its dash.
    pub fn stroke(&self, cause: Cause) -> Stroke {
        let stroke = cause.stroke();
        Stroke::new(stroke.width as f32, self.colour(stroke.ink))
    }

    /// A line of one pixel between parts.
    pub fn rule(&self) -> Stroke {
        Stroke::new(1.0, self.colour(Ink::Rule))
    }

    /// Colours of the framework's own parts: text fields, nothing else.
    pub fn visuals(&self) -> Visuals {
        let mut visuals = match self.palette {
            Palette::Day => Visuals::light(),
            _ => Visuals::dark(),
        };
        visuals.override_text_color = Some(self.colour(Ink::Text));
        visuals.panel_fill = self.colour(Ink::Ground);
        visuals.extreme_bg_color = self.colour(Ink::Sheet);
        visuals.text_cursor.blink = false;
        visuals.selection.bg_fill = self.colour(Ink::GivenWash);
        visuals.selection.stroke = Stroke::new(1.0, self.colour(Ink::Text));
        visuals
    }
}

impl Default for Theme {
    fn default() -> Self {
        Self { palette: Palette::Day }
    }
}

/// Text of weight 500.
pub fn medium(size: f32) -> FontId {
    FontId::proportional(size)
}

/// Text of weight 600.
pub fn strong(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name("strong".into()))
}

/// Text of a size in points, heavy or not.
pub fn face(size: f32, is_heavy: bool) -> FontId {
    if is_heavy { strong(size) } else { medium(size) }
}

/// The typeface in its two weights, before the framework's own.
pub fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let faces: [(&str, &'static [u8]); 2] = [
        ("medium", include_bytes!("../../../assets/fonts/UnderpinSans-Medium.ttf")),
        ("semi bold", include_bytes!("../../../assets/fonts/UnderpinSans-SemiBold.ttf")),
    ];
    for (name, bytes) in faces {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    let families = &mut fonts.families;
    let fallback = families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let with = |first: &str| [vec![first.to_owned()], fallback.clone()].concat();
    families.insert(FontFamily::Proportional, with("medium"));
    families.insert(FontFamily::Name("strong".into()), with("semi bold"));
    fonts
}
