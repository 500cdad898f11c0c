//! A picture as a list of marks that any painter can walk.
//!
//! Coordinates are pixels from the top left; later marks lie on earlier ones.

use crate::plot::language::{Cause, Fill, Ink};

/// A place: pixels from the left, pixels from the top.
pub type Point = (f64, f64);

/// A rectangle in pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// Which part of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// The part a text plays: it sets size and weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A minor tick, 11 px: no letters are smaller.
    Tick,
    /// Secondary text, 11 px.
    Note,
    /// A decade tick or a small heading, 11 px, heavy.
    Strong,
    /// A figure in a table, 11.5 px.
    Cell,
    /// A heavy figure in a table, 11.5 px.
    CellStrong,
    /// The name of a cause, 12 px, heavy.
    Label,
    /// A word to choose, 13 px.
    Choice,
    /// A figure at a station, 13 px, heavy.
    Value,
    /// A level at an end of the line, 18 px, heavy.
    Level,
    /// A figure that a whole view is about, 26 px, heavy.
    Figure,
}

/// One thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line in the stroke of its cause.
    Line {
        /// Why it is there.
        cause: Cause,
        /// Width in pixels, as the cause has it or heavier.
        width: f64,
        /// Its corners.
        points: Vec<Point>,
    },
    /// A straight line of the drawing itself: axis, grid, dimension.
    Rule {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// Width in pixels.
        width: f64,
        /// Its colour.
        ink: Ink,
    },
    /// A closed area.
    Area {
        /// How it is filled.
        fill: Fill,
        /// Its corners.
        points: Vec<Point>,
    },
    /// A disc.
    Disc {
        /// Its centre.
        at: Point,
        /// Its radius in pixels.
        radius: f64,
        /// Its filling.
        fill: Ink,
        /// Its outline, with a width in pixels.
        outline: (Ink, f64),
    },
    /// An outlined shape without filling: a diamond, a box.
    Outline {
        /// Its corners; it is closed.
        points: Vec<Point>,
        /// Width in pixels.
        width: f64,
        /// Its colour.
        ink: Ink,
    },
    /// Some words.
    Text {
        /// Where the base line of the text has its anchor.
        at: Point,
        /// Which part of it stands there.
        anchor: Anchor,
        /// Size and weight.
        role: Role,
        /// Its colour.
        ink: Ink,
        /// The colour laid behind the letters, where they cross a texture.
        halo: Option<Ink>,
        /// The words.
        words: String,
    },
}

/// A picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// Width in pixels.
    pub width: f64,
    /// Height in pixels.
    pub height: f64,
    /// One sentence that says what is seen, for those who cannot see it.
    pub about: String,
    /// What is drawn, from the back to the front.
    pub marks: Vec<Mark>,
}

impl Role {
    /// All roles.
    pub const ALL: [Role; 10] = [
        Role::Tick,
        Role::Note,
        Role::Strong,
        Role::Cell,
        Role::CellStrong,
        Role::Label,
        Role::Choice,
        Role::Value,
        Role::Level,
        Role::Figure,
    ];
}

impl Rect {
    /// A rectangle from its left, top, width and height.
    pub const fn new(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self { x, y, width, height }
    }

    /// Right edge.
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Bottom edge.
    pub fn bottom(&self) -> f64 {
        self.y + self.height
    }

    /// True when the two share more than an edge.
    pub fn meets(&self, other: &Rect) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.bottom()
            && other.y < self.bottom()
    }

    /// True when `other` lies in this one.
    pub fn holds(&self, other: &Rect) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && other.right() <= self.right()
            && other.bottom() <= self.bottom()
    }

    /// Its corners.
    pub fn corners(&self) -> Vec<Point> {
        let (left, top, right, bottom) = (self.x, self.y, self.right(), self.bottom());
        vec![(left, top), (right, top), (right, bottom), (left, bottom)]
    }
}

impl Scene {
    /// An empty picture.
    pub fn new(width: f64, height: f64, about: impl Into<String>) -> Self {
        Self { width, height, about: about.into(), marks: Vec::new() }
    }

    /// Adds a line in the stroke of its cause; fewer than two points draw nothing.
    pub fn line(&mut self, cause: Cause, points: Vec<Point>) {
        self.track(cause, cause.stroke().width, points);
    }

    /// Adds a line in the dash and colour of its cause with another width in pixels.
    pub fn track(&mut self, cause: Cause, width: f64, points: Vec<Point>) {
        if points.len() > 1 {
            self.marks.push(Mark::Line { cause, width, points });
        }
    }

    /// Adds a straight line of the drawing itself.
    pub fn rule(&mut self, from: Point, to: Point, width: f64, ink: Ink) {
        self.marks.push(Mark::Rule { from, to, width, ink });
    }

    /// Adds an area; fewer than three points draw nothing.
    pub fn area(&mut self, fill: Fill, points: Vec<Point>) {
        if points.len() > 2 {
            self.marks.push(Mark::Area { fill, points });
        }
    }

    /// Adds a disc.
    pub fn disc(&mut self, at: Point, radius: f64, fill: Ink, outline: (Ink, f64)) {
        self.marks.push(Mark::Disc { at, radius, fill, outline });
    }

    /// Adds an outlined shape.
    pub fn outline(&mut self, points: Vec<Point>, width: f64, ink: Ink) {
        self.marks.push(Mark::Outline { points, width, ink });
    }

    /// Adds words.
    pub fn text(
        &mut self,
        at: Point,
        anchor: Anchor,
        role: Role,
        ink: Ink,
        words: impl Into<String>,
    ) {
        self.marks.push(Mark::Text { at, anchor, role, ink, halo: None, words: words.into() });
    }
}
