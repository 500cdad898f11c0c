//! What every part of the window draws with: the screen, the theme, the hand, the settings.

use crate::editor::controls::input::ring;
use crate::editor::model::dial;
use crate::editor::model::gestures::Gestures;
use crate::editor::paint::scene::Text;
use crate::editor::paint::theme::Theme;
use crate::plot::{Ink, Role};
use crate::settings::Id;
use crate::settings::{ALL, Settings};
use egui::{Painter, Pos2, Rect, Response, Sense, Ui, WidgetInfo, vec2};

/// The screen, the theme, the hand and the settings.
pub struct Pen<'a> {
    /// The screen.
    pub ui: &'a mut Ui,
    /// The colours.
    pub theme: Theme,
    /// The gestures on the settings.
    pub gestures: &'a mut Gestures,
    /// What is under the pointer, or else has the focus, by its name.
    pub pointed: Pointed,
    /// Every setting in its plain form; one that is held, where the hand has put it.
    pub plain: [f32; ALL.len()],
}

/// Nothing is harder to hit than this, in points (WCAG 2.2, success criterion 2.5.8).
pub const LEAST: egui::Vec2 = vec2(24.0, 24.0);

/// How wide the place is in which words of this width are hit.
pub fn reach_width(width: f32) -> f32 {
    (width + 6.0).max(LEAST.x)
}

/// Where words of this room are hit: all around them, and never less than the least.
pub fn reach(room: Rect) -> Rect {
    let height = (room.height() + 6.0).max(LEAST.y);
    Rect::from_center_size(room.center(), vec2(reach_width(room.width()), height))
}

/// What is under the pointer, and what has the focus, by their names.
#[derive(Clone, Debug, Default)]
pub struct Pointed {
    hovered: Option<String>,
    focused: Option<String>,
}

impl Pointed {
    /// The name of what the pointer is on, or else of what has the focus.
    pub fn name(&self) -> Option<&str> {
        self.hovered.as_deref().or(self.focused.as_deref())
    }
}

/// Where a text stands: its base line, and the share of its width left of the place.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Its place on the base line.
    pub at: Pos2,
    /// 0 for its left end, 1 for its right end.
    pub align: f32,
    /// Size and weight.
    pub role: Role,
    /// Colour.
    pub ink: Ink,
}

impl Spot {
    /// A spot for a text that begins here.
    pub fn new(x: f32, y: f32, role: Role, ink: Ink) -> Self {
        Self { at: Pos2::new(x, y), align: 0.0, role, ink }
    }

    /// The same for a text whose middle is here.
    pub fn middle(self) -> Self {
        Self { align: 0.5, ..self }
    }

    /// The same for a text that ends here.
    pub fn end(self) -> Self {
        Self { align: 1.0, ..self }
    }

    /// The room that `words` take here.
    pub fn room(&self, words: &str) -> Rect {
        let (width, size) = (self.role.width(words) as f32, self.role.size() as f32);
        let left = self.at.x - self.align * width;
        Rect::from_min_size(Pos2::new(left, self.at.y - 0.78 * size), vec2(width, size))
    }
}

impl Pen<'_> {
    /// The settings as they stand, with what is in the hand.
    pub fn settings(&self) -> Settings {
        Settings::from_plain(self.plain)
    }

    /// The plain value of a setting.
    pub fn value(&self, id: Id) -> f32 {
        self.plain[id.index()]
    }

    /// The painter of the screen.
    pub fn painter(&self) -> &Painter {
        self.ui.painter()
    }

    /// Writes words; returns the room they take.
    pub fn write(&self, spot: Spot, words: &str) -> Rect {
        let text = Text::new(words, spot.role, spot.ink);
        text.draw(self.ui.painter(), spot.at, spot.align, &self.theme)
    }

    /// The identity of what is known by `name`.
    pub fn id(name: &str) -> egui::Id {
        egui::Id::unique(("underpin", name))
    }

    /// Something to click or drag, known by `name`.
    pub fn touch(&mut self, rect: Rect, name: &str, sense: Sense) -> Response {
        let response = self.ui.interact(rect, Self::id(name), sense);
        self.point_at(&response, name);
        response
    }

    /// Remembers what is known by `name` when the pointer is on it or it has the focus.
    pub fn point_at(&mut self, response: &Response, name: &str) {
        if response.hovered() {
            self.pointed.hovered = Some(name.to_owned());
        }
        if response.has_focus() {
            self.pointed.focused = Some(name.to_owned());
        }
    }

    /// A word to click, known by `name`; a chosen one stands on a slab on piles.
    pub fn word(&mut self, spot: Spot, words: &str, name: &str, chosen: bool) -> bool {
        let room = spot.room(words);
        let response = self.touch(reach(room), name, Sense::click());
        let role = egui::Role::Button;
        response.widget_info(|| WidgetInfo::selected(role, true, chosen, name));
        self.write(spot, words);
        if chosen {
            slab(self.ui.painter(), room.x_range(), spot.at.y + 6.0, &self.theme);
        } else if response.hovered() {
            let y = spot.at.y + 2.5;
            self.ui.painter().hline(room.x_range(), y, (1.0, self.theme.colour(spot.ink)));
        }
        ring(self.ui, &response, room.expand2(vec2(0.0, 1.0)), &self.theme);
        response.clicked()
    }

    /// A word for each value of a choice, of which one is taken by clicking; the words go round.
    pub fn turn(&mut self, spot: Spot, id: Id, words: &str) {
        let name = id.setting().name;
        let room = spot.room(words);
        let response = self.touch(reach(room), name, Sense::click());
        response.widget_info(|| {
            let mut info = WidgetInfo::labeled(egui::Role::Button, true, name);
            info.current_text_value = Some(words.to_owned());
            info
        });
        self.write(spot, words);
        if response.hovered() {
            let y = spot.at.y + 2.5;
            self.ui.painter().hline(room.x_range(), y, (1.0, self.theme.colour(spot.ink)));
        }
        ring(self.ui, &response, room, &self.theme);
        if response.clicked() {
            let plain = self.value(id);
            self.gestures.set(id, dial::next(id, plain));
        }
        if response.has_focus() && self.ui.input(|input| input.key_pressed(egui::Key::Delete)) {
            self.gestures.set(id, id.setting().default());
        }
    }
}

/// A bar of 2.4 points on piles of 4 points every 9 points.
pub fn slab(painter: &Painter, x: egui::Rangef, y: f32, theme: &Theme) {
    let ink = theme.colour(Ink::Text);
    painter.hline(x, y, (2.4, ink));
    let mut pile = x.min + 1.0;
    while pile <= x.max {
        painter.vline(pile, y..=y + 4.5, (1.2, ink));
        pile += 9.0;
    }
}
