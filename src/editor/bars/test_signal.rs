//! The test signal: choose and level first, hold "start" for a second, one click for silence.
//!
//! Nothing here starts by itself, and Esc is silence from anywhere in the window.

use crate::editor::controls::input::ring;
use crate::editor::controls::number;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::model::action::Action;
use crate::editor::model::dial::{Dial, Move};
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::model::test_choice::TestChoice;
use crate::figures::{level, short};
use crate::link::bench::Measured;
use crate::link::measuring::{MOST_DBFS, Test};
use crate::plot::{Ink, Role};
use crate::signal::track::layout::Form;
use egui::{Key, Pos2, Rect, Sense, StrokeKind, WidgetInfo, vec2};

/// How long "start" must be held, in seconds.
const HOLD_S: f32 = 1.0;

/// Softest level, dBFS.
const SOFTEST_DBFS: f32 = -60.0;

/// What to heed before it is loud (common practice, no source).
const CAUTION: &str = "Start soft: low tones heat a driver before they are heard.";

/// The frequency of the tone.
struct Tone;

impl Dial for Tone {
    fn place(&self, hz: f32) -> f32 {
        (hz / 10.0).ln() / 100f32.ln()
    }
    fn value(&self, place: f32) -> f32 {
        (10.0 * 100f32.powf(place.clamp(0.0, 1.0)) * 2.0).round() / 2.0
    }
    // Half a hertz: tone and half both lie on a bin of 2 s.
    fn step(&self, hz: f32, steps: f32) -> f32 {
        let step = if steps.abs() > 1.0 { 2.5 * steps } else { steps.signum() * 0.5 };
        (hz + step).clamp(10.0, 1000.0)
    }
    fn default(&self) -> f32 {
        60.0
    }
    fn show(&self, hz: f32) -> String {
        format!("{hz} Hz")
    }
    fn read(&self, text: &str) -> Option<f32> {
        number_of(text).map(|hz| hz.clamp(10.0, 1000.0))
    }
}

/// The level, up to what is allowed.
struct Loud {
    most: f32,
}

impl Dial for Loud {
    fn place(&self, dbfs: f32) -> f32 {
        (dbfs - SOFTEST_DBFS) / (self.most - SOFTEST_DBFS)
    }
    fn value(&self, place: f32) -> f32 {
        (SOFTEST_DBFS + place.clamp(0.0, 1.0) * (self.most - SOFTEST_DBFS)).round()
    }
    fn step(&self, dbfs: f32, steps: f32) -> f32 {
        (dbfs + steps).clamp(SOFTEST_DBFS, self.most)
    }
    fn default(&self) -> f32 {
        TestChoice::default().dbfs
    }
    fn show(&self, dbfs: f32) -> String {
        format!("{dbfs} dBFS")
    }
    fn read(&self, text: &str) -> Option<f32> {
        number_of(text).map(|dbfs| dbfs.clamp(SOFTEST_DBFS, self.most))
    }
}

/// The number at the beginning of a text.
fn number_of(text: &str) -> Option<f32> {
    let text = text.trim().replace(',', ".").replace('\u{2212}', "-");
    let end = text.find(|c: char| !c.is_ascii_digit() && !"+-.".contains(c)).unwrap_or(text.len());
    text[..end].parse().ok().filter(|number: &f32| number.is_finite())
}

/// Shows the bar in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    match shown.sounds_s {
        Some(left_s) => sounding(pen, rect, state.test_choice, left_s),
        None => choosing(pen, rect, state, shown),
    }
}

/// While a signal sounds: what, how loud, how long yet, and the way to silence.
fn sounding(pen: &mut Pen, rect: Rect, chosen: TestChoice, left_s: f32) {
    let (ink, sheet) = (pen.theme.colour(Ink::Text), pen.theme.colour(Ink::Sheet));
    pen.painter().rect(rect, 0.0, sheet, (1.4, ink), StrokeKind::Inside);
    let y = rect.center().y + 4.5;
    let on = Spot::new(rect.min.x + 8.0, y, Role::Strong, Ink::Sheet);
    let plate = on.room("TEST SIGNAL ON").expand2(vec2(8.0, 0.0));
    let plate = Rect::from_x_y_ranges(plate.x_range(), rect.y_range());
    pen.painter().rect_filled(plate, 0.0, ink);
    pen.write(on, "TEST SIGNAL ON");
    let level = level(chosen.test.level_dbfs(chosen.dbfs.into()), 0);
    let words = format!("{} at {level} dBFS, in place of the input", name(chosen));
    pen.write(Spot::new(plate.max.x + 12.0, y, Role::Label, Ink::Text), &words);
    let silence = Rect::from_min_max(Pos2::new(rect.max.x - 96.0, rect.min.y), rect.max);
    let ago = format!("{} left", crate::figures::clock(left_s.into()));
    pen.write(Spot::new(silence.min.x - 12.0, y, Role::Note, Ink::Second).end(), &ago);
    let response = pen.touch(silence, "silence", Sense::click());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, "silence"));
    pen.painter().rect_filled(silence, 0.0, ink);
    let spot = Spot::new(silence.center().x, y, Role::Strong, Ink::Sheet).middle();
    pen.write(spot, "silence \u{b7} Esc");
    ring(pen.ui, &response, silence.shrink(5.0), &pen.theme);
    if response.clicked() {
        pen.gestures.actions.push(Action::Silence);
    }
}

fn name(chosen: TestChoice) -> String {
    match chosen.test {
        Test::Tone(hz) => format!("tone {} Hz", short(hz, 1)),
        Test::Tones(_) => {
            let all: Vec<String> = chosen.test.sounding_hz().map(|hz| short(hz, 1)).collect();
            format!("tones {} Hz", all.join(", "))
        }
        Test::Pink => "pink noise".into(),
        Test::Sweep => "sweep 10 Hz to 1 kHz".into(),
        Test::Kick => "kick".into(),
        Test::Track(Form::Short) => "short track".into(),
        Test::Track(Form::Long) => "long track".into(),
    }
}

/// While nothing sounds: the choice.
fn choosing(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let unlocked = shown.unlocked;
    let has_track = shown.bench.measured == Measured::Device;
    let y = rect.center().y + 4.0;
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let x = choose_test(pen, Pos2::new(rect.min.x + 8.0, y), &mut state.test_choice, has_track);
    let x = choose_level(pen, Pos2::new(x + 8.0, y), &mut state.test_choice, unlocked);
    let x = if unlocked { x } else { unlock(pen, Pos2::new(x, y)) };
    let start = Rect::from_min_max(Pos2::new(rect.max.x - 96.0, rect.min.y), rect.max);
    let caution = Spot::new(x, y, Role::Note, Ink::Second);
    if caution.room(CAUTION).max.x < start.min.x - 8.0 {
        pen.write(caution, CAUTION);
    }
    hold(pen, start, y, state.test_choice);
}

/// The signals, and the frequency of the tone; returns where they end.
fn choose_test(pen: &mut Pen, at: Pos2, choice: &mut TestChoice, has_track: bool) -> f32 {
    let mut x = at.x;
    let hz = choice.hz;
    let tests = [
        ("tone", Test::Tone(hz.into())),
        ("pink", Test::Pink),
        ("sweep", Test::Sweep),
        ("kick", Test::Kick),
        ("long track", Test::Track(Form::Long)),
    ];
    let tests = &tests[..tests.len() - usize::from(!has_track)];
    for &(words, test) in tests {
        let is_chosen = std::mem::discriminant(&choice.test) == std::mem::discriminant(&test);
        let ink = if is_chosen { Ink::Text } else { Ink::Second };
        let spot = Spot::new(x, at.y, Role::Choice, ink);
        if pen.word(spot, words, &format!("test signal {words}"), is_chosen) {
            choice.test = test;
        }
        x += Role::Choice.width(words) as f32 + 12.0;
        if words == "tone" {
            let words = format!("{} Hz", short(hz.into(), 1));
            let spot = Spot::new(x, at.y, Role::Value, ink);
            let moved = number::dial(pen, spot, &Tone, "test tone frequency", (hz, &words));
            if let Some(Move::Drag(hz) | Move::Step(hz)) = moved {
                *choice = TestChoice { hz, test: Test::Tone(hz.into()), ..*choice };
            }
            x = spot.room(&words).max.x + 16.0;
        }
    }
    if let Test::Tones(_) = choice.test {
        let room = pen.write(Spot::new(x, at.y, Role::Value, Ink::Text), &name(*choice));
        x = room.max.x + 16.0;
    }
    x
}

/// The level; returns where it ends.
fn choose_level(pen: &mut Pen, at: Pos2, choice: &mut TestChoice, unlocked: bool) -> f32 {
    pen.write(Spot::new(at.x, at.y, Role::Note, Ink::Second), "level");
    let x = at.x + Role::Note.width("level") as f32 + 7.0;
    let most = if unlocked { 0.0 } else { MOST_DBFS as f32 };
    let words = format!("{} dBFS", level(choice.test.level_dbfs(choice.dbfs.into()), 0));
    let spot = Spot::new(x, at.y, Role::Value, Ink::Text);
    let now = (choice.dbfs, words.as_str());
    let moved = number::dial(pen, spot, &Loud { most }, "test signal level", now);
    if let Some(Move::Drag(dbfs) | Move::Step(dbfs)) = moved {
        choice.dbfs = dbfs;
    }
    spot.room(&words).max.x + 10.0
}

/// The limit, and the word that lifts it; returns where they end.
fn unlock(pen: &mut Pen, at: Pos2) -> f32 {
    let words = format!("limit {} dBFS, unlock", level(MOST_DBFS, 0));
    let spot = Spot::new(at.x, at.y, Role::Note, Ink::Second);
    if pen.word(spot, &words, "unlock louder test signals", false) {
        pen.gestures.actions.push(Action::Unlock);
    }
    spot.room(&words).max.x + 12.0
}

/// "hold to start": fills while it is held, starts when it is full.
fn hold(pen: &mut Pen, rect: Rect, y: f32, chosen: TestChoice) {
    let response = pen.touch(rect, "hold to start", Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, "hold to start"));
    if response.clicked() {
        response.request_focus();
    }
    let by_key = response.has_focus() && pen.ui.input(|input| input.key_down(Key::Enter));
    let is_down = response.is_pointer_button_down_on() || by_key;
    let before = pen.ui.data(|data| data.get_temp::<f32>(response.id)).unwrap_or(0.0);
    let step = pen.ui.input(|input| input.stable_dt.min(0.1));
    let held = if is_down { before + step } else { 0.0 };
    pen.ui.data_mut(|data| data.insert_temp(response.id, held));
    let ink = pen.theme.colour(Ink::Text);
    let filled = Rect::from_min_size(
        rect.min,
        vec2(rect.width() * (held / HOLD_S).clamp(0.0, 1.0), rect.height()),
    );
    pen.painter().rect_filled(filled, 0.0, pen.theme.colour(Ink::GivenWash));
    if held > 0.0 {
        pen.painter().vline(filled.max.x, filled.y_range(), (2.0, ink));
    }
    pen.painter().rect_stroke(rect, 0.0, (1.2, ink), StrokeKind::Inside);
    let words = if response.has_focus() { "hold Enter" } else { "hold to start" };
    pen.write(Spot::new(rect.center().x, y, Role::Strong, Ink::Text).middle(), words);
    ring(pen.ui, &response, rect.shrink(5.0), &pen.theme);
    if is_down {
        pen.ui.ctx().request_repaint();
    }
    if held >= HOLD_S {
        // Once a hold: it must be let go before it starts again.
        pen.ui.data_mut(|data| data.insert_temp(response.id, f32::NEG_INFINITY));
        pen.gestures.actions.push(Action::Start(chosen.test, chosen.dbfs.into()));
    }
}
