//! How wide words are: the advances of the typeface, so that labels can be placed without a painter.
//!
//! Source: the `hmtx` tables of `assets/fonts`, in thousandths of the size.

use crate::plot::scene::Role;

/// Height of a capital letter or a figure, as a share of the size.
pub const CAPITAL: f64 = 0.7;

/// How far a letter reaches below its base line, as a share of the size.
pub const DESCENT: f64 = 0.2;

/// Advances of the characters U+0020 to U+007E, weight 500.
#[rustfmt::skip]
const MEDIUM: [u16; 95] = [
    200, 295, 286, 634, 495, 808, 619, 141, 272, 272, 379, 468, 227, 360, 238, 395, 495, 495,
    495, 495, 495, 495, 495, 495, 495, 495, 291, 260, 468, 468, 468, 438, 791, 533, 540, 530,
    544, 515, 487, 535, 560, 240, 507, 541, 488, 623, 587, 542, 522, 516, 533, 507, 507, 559,
    529, 762, 526, 514, 476, 355, 395, 355, 432, 445, 202, 471, 492, 470, 492, 478, 326, 483,
    487, 233, 227, 467, 213, 742, 487, 490, 497, 497, 341, 437, 322, 485, 445, 659, 449, 432,
    408, 313, 169, 313, 492,
];

/// Advances of the characters U+0020 to U+007E, weight 600.
#[rustfmt::skip]
const SEMI_BOLD: [u16; 95] = [
    200, 302, 315, 642, 501, 802, 635, 153, 298, 298, 380, 465, 232, 364, 242, 417, 507, 507,
    507, 507, 507, 507, 507, 507, 507, 507, 304, 266, 465, 465, 465, 456, 789, 552, 542, 533,
    545, 513, 489, 537, 557, 243, 512, 549, 493, 627, 588, 544, 526, 521, 537, 513, 516, 557,
    540, 771, 538, 528, 480, 366, 417, 366, 439, 457, 213, 478, 498, 477, 498, 484, 333, 490,
    491, 235, 231, 478, 219, 747, 491, 490, 502, 502, 342, 446, 328, 489, 460, 677, 466, 446,
    412, 334, 180, 334, 501,
];

/// The advance of any other character: wider than all but a few, so labels keep their distance.
const OTHER: u16 = 600;

impl Role {
    /// Size in pixels.
    pub const fn size(self) -> f64 {
        match self {
            Role::Tick | Role::Note | Role::Strong => 11.0,
            Role::Cell | Role::CellStrong => 11.5,
            Role::Label => 12.0,
            Role::Choice | Role::Value => 13.0,
            Role::Level => 18.0,
            Role::Figure => 26.0,
        }
    }

    /// True for weight 600, false for 500.
    pub const fn is_heavy(self) -> bool {
        !matches!(self, Role::Tick | Role::Note | Role::Cell | Role::Choice)
    }

    /// The width of `words` in pixels.
    pub fn width(self, words: &str) -> f64 {
        let advances = if self.is_heavy() { &SEMI_BOLD } else { &MEDIUM };
        words.chars().map(|c| advance(advances, c)).sum::<f64>() * self.size()
    }
}

/// Rows no wider than `width`; a longer word keeps a row of its own.
pub fn wrap(words: &str, role: Role, width: f64) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match rows.last_mut().filter(|row| role.width(&format!("{row} {word}")) <= width) {
            Some(row) => *row = format!("{row} {word}"),
            None => rows.push(word.into()),
        }
    }
    rows
}

/// The advance of one character as a share of the size.
fn advance(advances: &[u16; 95], character: char) -> f64 {
    let thousandths = match character {
        ' '..='~' => advances[character as usize - 32],
        '\u{2212}' | '\u{b1}' | '\u{2265}' | '\u{2264}' => 468,
        '\u{b7}' => 220,
        '\u{b0}' => 369,
        _ => OTHER,
    };
    f64::from(thousandths) / 1000.0
}
