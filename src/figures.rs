//! Figures as words: one decimal, a true minus, a sign on every difference.

/// The minus sign, U+2212.
pub const MINUS: &str = "\u{2212}";

/// A level with `decimals` digits: `−23.4`, `0.0`; a dash when it is silence, not finite or
/// beyond every quantity that is written.
pub fn level(value: f64, decimals: usize) -> String {
    if !(-300.0..1e6).contains(&value) || value == -300.0 {
        return "\u{2013}".into();
    }
    let words = format!("{value:.decimals$}");
    let is_zero = !words.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if is_zero { words.replace('-', "") } else { words.replace('-', MINUS) }
}

/// A difference with one decimal and its sign: `+0.1`, `−3.6`, `0.0`.
pub fn difference(value: f64) -> String {
    let words = level(value, 1);
    let is_positive = value > 0.0 && words.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if is_positive { format!("+{words}") } else { words }
}

/// A number with at most `decimals` digits and no zeros at its end: `31.5`, `60`, `−6`.
pub fn short(value: f64, decimals: usize) -> String {
    let words = level(value, decimals);
    match words.contains('.') {
        true => words.trim_end_matches('0').trim_end_matches('.').into(),
        false => words,
    }
}

/// A frequency without its unit: `31.5`, `315`, `1k`, `12.5k`.
pub fn frequency(hz: f64) -> String {
    if hz >= 1000.0 { format!("{}k", short(hz / 1000.0, 2)) } else { short(hz, 1) }
}

/// A frequency with its unit: `31.5 Hz`, `1.12 kHz`.
pub fn hertz(hz: f64) -> String {
    match hz >= 1000.0 {
        true => format!("{} kHz", short(hz / 1000.0, 2)),
        false => format!("{} Hz", short(hz, 1)),
    }
}

/// A share as a percentage of two figures: `72 %`, `0.096 %`, `0.030 %`.
pub fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if !percent.is_finite() {
        return "\u{2013}".into();
    }
    if (0.0..0.0001).contains(&percent) {
        return "< 0.0001 %".into();
    }
    if percent > 9999.0 {
        return "> 9999 %".into();
    }
    let digits = if percent > 0.0 { (1.0 - percent.log10().floor()).clamp(0.0, 5.0) } else { 0.0 };
    format!("{} %", level(percent, digits as usize))
}

/// The same words with a true minus before every figure that is alone: `-3 dB` but not `2-3`.
pub fn true_minus(words: &str) -> String {
    let mut before = ' ';
    let mut out = String::with_capacity(words.len());
    let mut characters = words.chars().peekable();
    while let Some(c) = characters.next() {
        let is_figure = characters.peek().is_some_and(char::is_ascii_digit);
        if c == '-' && is_figure && before == ' ' {
            out.push_str(MINUS);
        } else {
            out.push(c);
        }
        before = c;
    }
    out
}

/// The same words with a plain ASCII minus and dash, for text files and terminals.
pub fn ascii(words: &str) -> String {
    words.replace([MINUS.chars().next().unwrap_or('-'), '\u{2013}'], "-").replace('\u{b7}', "-")
}

/// The note nearest to a frequency in equal temperament, A4 = 440 Hz (ISO 16), with the
/// distance in cents: `B0 +35 ct`.
pub fn note(hz: f64) -> String {
    const NAMES: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
    let semitones = 12.0 * (hz / 440.0).log2() + 69.0;
    if !semitones.is_finite() {
        return "\u{2013}".into();
    }
    let nearest = semitones.round();
    let cents = (100.0 * (semitones - nearest)).round();
    let name = NAMES[nearest.rem_euclid(12.0) as usize % 12];
    let octave = (nearest / 12.0).floor() as i64 - 1;
    let sign = if cents > 0.0 { "+" } else { "" };
    match cents {
        0.0 => format!("{name}{octave}"),
        cents => format!("{name}{octave} {sign}{} ct", level(cents, 0)),
    }
}

/// Minutes and seconds, `4:12`.
pub fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}
