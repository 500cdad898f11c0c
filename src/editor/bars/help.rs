//! What is said in the foot of whatever is under the pointer or has the focus, in one line.

use crate::figures::true_minus;
use crate::settings::{ALL, Kind};

/// Names of parts of the window and what they do; a name that ends in a star stands for all that
/// begin like it. Settings are told by their own table.
const WORDS: &[(&str, &str)] = &[
    ("Spectrum", "What the radio gives and what each stage lays on it, over frequency."),
    ("Bands", "Third octaves with their figures, deep at the bottom."),
    ("Scope", "The wave: a tone stands still, music is caught where its bass rises."),
    ("Partials", "Lines beside a tone: below it the effect, above it harmonics."),
    ("Plan", "What recordings of the radio told, and what is proposed."),
    ("Lessons", "Twelve questions, answered by the line itself."),
    ("presets", "P: settings by name, with when to use them; save your own."),
    ("keep this view", "E: keep what is shown as picture, drawing, figures or words."),
    ("curves and target", "V: keep curves, lay them over each other, choose a target."),
    ("set A", "Alt+A: the first of two settings to compare."),
    ("set B", "Alt+B: the second of two settings to compare."),
    ("set 1", "Alt+A: one of the two settings, without its name."),
    ("set 2", "Alt+B: the other one, without its name."),
    ("make A and B equally loud", "Hears both for five seconds and lowers the louder one."),
    ("compare without names", "Alt+X: name the hidden one; the count says what a coin would do."),
    ("clipped", "K: how long what comes out was beyond full scale; a click clears it."),
    ("cursor", "C, then arrows: levels at one frequency; a click pins it for differences."),
    ("range of the axis", "W: the low end, or the whole range."),
    ("low band gain, grip", "Drag up or down: gain of the low band. Double click: its default."),
    ("floor, grip", "Drag: no octave note below this frequency."),
    ("source from, grip", "Drag: the lowest frequency that is made an octave lower."),
    ("source to, grip", "Drag: the highest frequency that is made an octave lower."),
    ("high-pass, grip", "Drag: the corner of the protective high-pass."),
    ("low band centre, grip", "Drag: where the low band lifts most."),
    ("low band lower end, grip", "Drag: how wide the low band is, between its half-gain points."),
    ("low band upper end, grip", "Drag: how wide the low band is, between its half-gain points."),
    ("target at *", "Drag up or down: what is asked for here. Double click: as the mid band."),
    ("hear what comes out", "L: you hear the blend after every stage."),
    ("hear the octave part alone", "L: you hear the octave part by itself."),
    ("hear the dry part alone", "L: you hear the dry part by itself."),
    ("hear the difference", "L: you hear what comes out minus what came in."),
    ("choose a test signal", "T: a tone, noise, a sweep or a kick in place of the input."),
    ("test signal *", "The signal that sounds when start is held."),
    ("test tone frequency", "Frequency of the tone: drag, arrows, or Enter to type."),
    ("unlock louder test signals", "Allows test signals up to full scale until this is reloaded."),
    ("hold to start", "Hold for a second, by the pointer or by Enter. Esc is silence."),
    ("silence", "Esc: ends the test signal, from anywhere."),
    ("start with a 60 Hz tone", "Chooses a soft tone of 60 Hz; hold start and it sounds."),
    ("undo", "Ctrl+Z: takes back what was set last."),
    ("redo", "Ctrl+Y: does again what was taken back."),
    ("colours", "Colours: by day, by night, high contrast."),
    ("zoom in", "Ctrl +: larger letters."),
    ("natural zoom", "Ctrl 0: letters as large as the window has them by itself."),
    ("zoom out", "Ctrl \u{2212}: smaller letters."),
    ("help", "F1: all keys, and what the fills mean."),
    ("restart the averages", "R: measures afresh from now on."),
    ("over what is averaged", "The mean of all, or of the last 30 or 10 seconds."),
    ("hold highest and lowest", "H: keeps the highest and the lowest level of each band."),
    ("freeze", "F: everything stands still until it is pressed again."),
    ("keep as *", "Written into the folder on the right, never over another file."),
    ("keep in every form", "All forms of one and the same reading, under one number."),
    ("copy the sheet", "The whole sheet in words, into the clipboard."),
    ("open the folder", "Shows the folder in which everything is kept."),
    ("target *", "What is asked for; Bands and the sentence judge by it."),
    ("keep the curve", "Keeps what comes out now as a thin line; four have room."),
    ("load a curve", "Reads the table of this name in the folder, as figures csv are kept."),
    ("show *", "Lays this curve over the picture, or takes it off."),
    ("difference from *", "Draws what comes out now minus this curve, about 0 dB."),
    ("let go of *", "Takes this curve off the shelf."),
    ("name of the curve", "The name under which the next curve is kept."),
    ("use this plan", "Sets what the plan proposes; the host can take it back."),
    ("preset *", "Sets it; the host can take it back, and so can Ctrl+Z."),
    ("name of the preset", "The name under which what is set is saved."),
    ("save the preset", "Saves what is set under the name on the left."),
    ("listen to *", "Listen as often as you like before you answer."),
    ("* is B", "Your answer; the next trial is tossed at once."),
    ("say which is which", "Ends the trials: names, count, and what a coin would do."),
    ("next lesson", "The next question of the course."),
    ("lesson before", "The question before this one."),
    ("a: *", "Choose first; then it is played and measured."),
    ("b: *", "Choose first; then it is played and measured."),
    ("c: *", "Choose first; then it is played and measured."),
    ("next picture", "Another picture of the same answer."),
    ("set the lesson up in the line", "Puts its settings into your line and its signal beside it."),
    ("level that arrives", "Bar: level now; mark: highest peak of the last two seconds."),
    ("level that comes out", "Bar: level now; mark: highest peak of the last two seconds."),
];

/// What a part does, by the name it is known by; `None` for a name that nobody explained.
pub fn words(name: &str) -> Option<String> {
    if let Some(setting) = ALL.iter().find(|setting| setting.name == name) {
        let way = match setting.kind {
            Kind::Number { .. } => "drag, arrows, or Enter to type",
            _ => "click or Enter",
        };
        return Some(format!("{name}: {}; {way}.", true_minus(setting.about)));
    }
    let fits = |known: &str| match (known.strip_suffix('*'), known.strip_prefix('*')) {
        (Some(start), _) => name.starts_with(start),
        (_, Some(end)) => name.ends_with(end),
        _ => name == known,
    };
    WORDS.iter().find(|(known, _)| fits(known)).map(|(_, words)| (*words).into())
}
