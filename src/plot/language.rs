//! The language of every picture: causes, strokes, fills and colours, as data.
//!
//! Slanted = new, upright = lifted, hollow = gone, dots = not known yet. Two
//! hues name causes, a third faults; dash and texture say the same without hue.
//! The hues keep the orange and blue of Okabe & Ito (2008), shifted for contrast.

use serde::{Deserialize, Serialize};

/// Why a mark is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// What the radio gives, or the dry part.
    Given,
    /// What was taken out; also the signal before the radio.
    Taken,
    /// The octave part: new.
    Octave,
    /// The low band: lifted.
    LowBand,
    /// What comes out.
    Out,
    /// A target or a limit.
    Target,
    /// The difference of two posts.
    Difference,
    /// Not settled or not measured.
    Open,
    /// A fault; never by hue alone: always a filled shape and a word.
    Fault,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width in pixels.
    pub width: f64,
    /// Lengths on, off, on ... in pixels; empty for a solid line.
    pub dash: &'static [f64],
    /// Its colour.
    pub ink: Ink,
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fill {
    /// One flat colour.
    Flat(Ink),
    /// Slanted lines at 45 degrees, every 7 px from left to right, on the wash of the octave part.
    Slanted,
    /// Upright lines, 4 px apart, on the wash of the low band.
    Upright,
    /// Staggered dots, 6 px apart, faint, on the sheet.
    Dots,
    /// The light of the low end: brightest on the left, gone at the right edge.
    Light,
}

impl Cause {
    /// All causes, in the order in which a key would list them.
    pub const ALL: [Cause; 9] = [
        Cause::Given,
        Cause::Taken,
        Cause::Octave,
        Cause::LowBand,
        Cause::Out,
        Cause::Target,
        Cause::Difference,
        Cause::Open,
        Cause::Fault,
    ];

    /// One word for style sheets and files.
    pub const fn key(self) -> &'static str {
        match self {
            Cause::Given => "given",
            Cause::Taken => "taken",
            Cause::Octave => "octave",
            Cause::LowBand => "low",
            Cause::Out => "out",
            Cause::Target => "target",
            Cause::Difference => "difference",
            Cause::Open => "open",
            Cause::Fault => "fault",
        }
    }

    /// The line of this cause.
    pub const fn stroke(self) -> Stroke {
        let (width, dash, ink): (f64, &'static [f64], Ink) = match self {
            Cause::Given => (1.3, &[], Ink::Given),
            Cause::Taken => (1.1, &[3.0, 3.0], Ink::Second),
            Cause::Octave => (1.3, &[7.0, 3.0], Ink::Octave),
            Cause::LowBand => (1.6, &[2.0, 2.5], Ink::Low),
            Cause::Out => (2.6, &[], Ink::Text),
            Cause::Target => (1.1, &[9.0, 3.0, 2.0, 3.0], Ink::Text),
            Cause::Difference => (1.0, &[1.5, 3.0], Ink::Second),
            Cause::Open => (1.0, &[3.0, 3.0], Ink::Text),
            Cause::Fault => (2.4, &[], Ink::Fault),
        };
        Stroke { width, dash, ink }
    }

    /// The area of this cause; `None` for causes that only have a line.
    pub const fn fill(self) -> Option<Fill> {
        match self {
            Cause::Given => Some(Fill::Flat(Ink::GivenWash)),
            Cause::Octave => Some(Fill::Slanted),
            Cause::LowBand => Some(Fill::Upright),
            Cause::Open => Some(Fill::Dots),
            Cause::Fault => Some(Fill::Flat(Ink::FaultWash)),
            _ => None,
        }
    }
}

/// A colour by its part in the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// The page.
    Ground,
    /// The drawing area.
    Sheet,
    /// The drawing area where light falls on it.
    Lit,
    /// Text and what comes out.
    Text,
    /// Secondary text.
    Second,
    /// A rule between parts.
    Rule,
    /// Lines of a grid.
    Grid,
    /// Line of what the radio gives.
    Given,
    /// Area of what the radio gives.
    GivenWash,
    /// Line and text of the octave part.
    Octave,
    /// Slanted lines of the octave part.
    OctaveHatch,
    /// Ground of the slanted lines.
    OctaveWash,
    /// Line and text of the low band.
    Low,
    /// Upright lines of the low band.
    LowHatch,
    /// Ground of the upright lines.
    LowWash,
    /// Line and text of a fault.
    Fault,
    /// Area of a fault.
    FaultWash,
}

/// A colour, red, green and blue, sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    const fn new(rgb: u32) -> Self {
        Colour([(rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8])
    }

    /// As written in a style sheet, e.g. `#14212a`.
    pub fn hex(self) -> String {
        let [red, green, blue] = self.0;
        format!("#{red:02x}{green:02x}{blue:02x}")
    }
}

/// One set of colours, one for each [`Ink`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Palette {
    /// Ink on paper.
    #[default]
    Day,
    /// Paper on slate.
    Night,
    /// Black ground, no tints.
    HighContrast,
}

/// Every ink: its word in style sheets and its colour by day, by night, in high contrast.
const INKS: [(Ink, &str, [u32; 3]); 17] = [
    (Ink::Ground, "ground", [0xE6EBEA, 0x12171A, 0x000000]),
    (Ink::Sheet, "sheet", [0xF7F9F8, 0x1A2125, 0x000000]),
    (Ink::Lit, "lit", [0xFFFBEA, 0x28261C, 0x000000]),
    (Ink::Text, "ink", [0x14212A, 0xEFEADD, 0xFFFFFF]),
    (Ink::Second, "ink2", [0x4B5A63, 0xA8B1B0, 0xE0E0E0]),
    (Ink::Rule, "rule", [0x788589, 0x6C7A82, 0x9A9A9A]),
    (Ink::Grid, "grid", [0xC8D1D2, 0x39454C, 0x3A3A3A]),
    (Ink::Given, "given", [0x3C4D58, 0xB3BFC2, 0xFFFFFF]),
    (Ink::GivenWash, "given-wash", [0xD3DCDE, 0x303C42, 0x262626]),
    (Ink::Octave, "octave", [0x844C00, 0xFFCB66, 0xFFD24A]),
    (Ink::OctaveHatch, "octave-hatch", [0xB87400, 0xD79A35, 0xFFD24A]),
    (Ink::OctaveWash, "octave-wash", [0xFFE2A0, 0x58410F, 0x3A2A00]),
    (Ink::Low, "low", [0x0A5580, 0x86CBF0, 0x66D1FF]),
    (Ink::LowHatch, "low-hatch", [0x2A7FB0, 0x4C9CC9, 0x66D1FF]),
    (Ink::LowWash, "low-wash", [0xCDE7F4, 0x1C435A, 0x00283C]),
    (Ink::Fault, "fault", [0xA5104A, 0xFF93B4, 0xFF9DBB]),
    (Ink::FaultWash, "fault-wash", [0xF7D6E0, 0x5A2036, 0x5E0024]),
];

impl Ink {
    /// All inks.
    pub fn all() -> impl Iterator<Item = Ink> {
        INKS.iter().map(|row| row.0)
    }

    /// One word for style sheets, e.g. `octave-wash`.
    pub const fn key(self) -> &'static str {
        INKS[self as usize].1
    }
}

impl Palette {
    /// The colour of `ink` in this palette.
    pub const fn of(self, ink: Ink) -> Colour {
        Colour::new(INKS[ink as usize].2[self as usize])
    }
}
