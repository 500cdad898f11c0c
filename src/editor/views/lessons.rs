//! Lessons: a question, three answers, and then the picture and figures measured there and then.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::ring;
use crate::editor::controls::number;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::Layout;
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::dial::{Dial, Move};
use crate::editor::model::lessons::Answered;
use crate::editor::model::state::{FrameInput, Open, Picture, WindowState};
use crate::editor::model::test_choice::TestChoice;
use crate::editor::paint::scene;
use crate::figures::{short, true_minus};
use crate::lessons::{ALL, Lesson, Turn};
use crate::plot::lettering::wrap;
use crate::plot::{Ink, Role};
use crate::report::{Figure, Sentence};
use egui::{Pos2, Rect, Sense, WidgetInfo, vec2};

/// Between two rows of words, and between two paragraphs, in points.
const ROW: f32 = 15.0;
const GAP: f32 = 7.0;

/// Room above the picture for its name.
const NAME: f32 = 20.0;

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let width = match grid.sheet.width() {
        width if width < 840.0 => 236.0,
        width if width < 1240.0 => 300.0,
        _ => 400.0,
    };
    let left = Rect::from_min_size(grid.sheet.min, vec2(width, grid.sheet.height()));
    let right = Rect::from_min_max(Pos2::new(left.max.x + 18.0, left.min.y), grid.sheet.max);
    let y = head(pen, left, state);
    let ctx = pen.ui.ctx().clone();
    let is_told = state.lessons.answered(move || ctx.request_repaint()).is_some();
    if is_told {
        tell(pen, Rect { min: Pos2::new(left.min.x, y), ..left }, state, shown);
        picture(pen, right, state);
    } else {
        ask(pen, Rect { min: Pos2::new(left.min.x, y), ..left }, state);
        wait(pen, right, state);
    }
}

/// What is said over the view.
pub fn say(state: &WindowState) -> Sentence {
    let lesson = state.lessons.lesson();
    match state.lessons.chosen {
        None => "Think first, then choose: it is played and measured then, by a line beside yours.",
        Some(_) if state.lessons.is_playing() => "It is being played and measured.",
        Some(chosen) if chosen == lesson.right => "Right. What stands here was measured just now.",
        Some(_) => "Not so. What stands here was measured just now.",
    }
    .into()
}

/// The number and title, and the way to the lessons beside it; returns where the rest begins.
fn head(pen: &mut Pen, rect: Rect, state: &mut WindowState) -> f32 {
    let y = rect.min.y + 12.0;
    let number = format!("{} of {}", state.lessons.number(), ALL.len());
    let count = Spot::new(rect.min.x, y, Role::Note, Ink::Second);
    pen.write(count, &number);
    let next = Spot::new(rect.max.x, y, Role::Choice, Ink::Second).end();
    if pen.word(next, "next", "next lesson", false) {
        state.lessons.step(true);
    }
    let before = Spot::new(next.room("next").min.x - 12.0, y, Role::Choice, Ink::Second).end();
    if pen.word(before, "before", "lesson before", false) {
        state.lessons.step(false);
    }
    let title = state.lessons.lesson().title;
    paragraph(pen, (rect.min.x, y + 19.0), rect.width(), (Role::Value, Ink::Text), title)
}

/// Words in rows of a width; returns where the next paragraph begins.
fn paragraph(
    pen: &Pen,
    (x, y): (f32, f32),
    width: f32,
    (role, ink): (Role, Ink),
    words: &str,
) -> f32 {
    let rows = wrap(&true_minus(words), role, width.into());
    for (i, row) in rows.iter().enumerate() {
        pen.write(Spot::new(x, y + ROW * i as f32, role, ink), row);
    }
    y + ROW * rows.len() as f32 + GAP
}

/// The question and the answers to choose from.
fn ask(pen: &mut Pen, rect: Rect, state: &mut WindowState) {
    let lesson = state.lessons.lesson();
    let at = (rect.min.x, rect.min.y + 4.0);
    let mut y = paragraph(pen, at, rect.width(), (Role::Label, Ink::Text), lesson.question) + 4.0;
    for (i, words) in lesson.choices.iter().enumerate() {
        let letter = ["a", "b", "c"][i];
        let is_chosen = state.lessons.chosen == Some(i);
        let rows = wrap(words, Role::Choice, f64::from(rect.width()) - 26.0);
        let height = ROW * rows.len() as f32 + 9.0;
        let plate =
            Rect::from_min_size(Pos2::new(rect.min.x, y - 14.0), vec2(rect.width(), height));
        let name = format!("{letter}: {words}");
        let response = pen.touch(plate, &name, Sense::click());
        let role = egui::Role::Button;
        response.widget_info(|| WidgetInfo::selected(role, true, is_chosen, &name));
        let ground = if response.hovered() { Ink::Sheet } else { Ink::Ground };
        pen.painter().rect_filled(plate, 0.0, pen.theme.colour(ground));
        pen.painter().hline(plate.x_range(), plate.max.y, pen.theme.rule());
        pen.write(Spot::new(rect.min.x + 4.0, y, Role::Choice, Ink::Second), letter);
        for (i, row) in rows.iter().enumerate() {
            let spot = Spot::new(rect.min.x + 22.0, y + ROW * i as f32, Role::Choice, Ink::Text);
            pen.write(spot, row);
        }
        ring(pen.ui, &response, plate.shrink(3.0), &pen.theme);
        if response.clicked() {
            state.lessons.chosen = Some(i);
        }
        y += height + 3.0;
    }
}

/// In the picture's place while there is none: what will be played.
fn wait(pen: &mut Pen, rect: Rect, state: &WindowState) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let lesson = state.lessons.lesson();
    let mut y = rect.min.y + 22.0;
    let x = rect.min.x + 14.0;
    let width = rect.width() - 28.0;
    y = paragraph(pen, (x, y), width, (Role::Strong, Ink::Second), "will be played");
    let names: Vec<String> = lesson.setups(None).into_iter().map(|setup| setup.name).collect();
    for name in names.iter().take(6) {
        y = paragraph(pen, (x, y), width, (Role::Label, Ink::Text), name) - 4.0;
    }
    if let Some(more) = names.len().checked_sub(6).filter(|more| *more > 0) {
        paragraph(pen, (x, y), width, (Role::Note, Ink::Second), &format!("and {more} more"));
    }
}

/// The answer: why, the figures, what can be turned, and what to do with it.
fn tell(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let lesson = state.lessons.lesson();
    let (x, width) = (rect.min.x, rect.width());
    let told = lesson.told();
    let mut y = paragraph(pen, (x, rect.min.y + 4.0), width, (Role::Cell, Ink::Text), &told);
    let figures = answer(state).map(|answer| answer.figures.clone()).unwrap_or_default();
    for figure in &figures {
        draw_figure(pen, (x, y), width, figure);
        y += ROW;
    }
    turn(pen, (x, y + 6.0), width, state, &lesson.turn);
    y += 6.0 + ROW + GAP;
    let foot = rect.max.y - 6.0;
    for (name, words) in [("try", lesson.try_it), ("where it fails", lesson.fails)] {
        let words = format!("{name}: {words}");
        let rows = wrap(&words, Role::Note, width.into()).len() as f32;
        if y + ROW * rows < foot - ROW {
            y = paragraph(pen, (x, y + 4.0), width, (Role::Note, Ink::Second), &words);
        }
    }
    let load = Spot::new(x, foot, Role::Value, Ink::Text);
    if pen.word(load, "set this up", "set the lesson up in the line", false) {
        set_up(pen, state, shown, lesson);
    }
}

fn draw_figure(pen: &Pen, (x, y): (f32, f32), width: f32, figure: &Figure) {
    let value = format!("{} {}", figure.shown(), figure.unit);
    let end = Spot::new(x + width, y, Role::CellStrong, Ink::Text).end();
    let room = end.room(&value).min.x - x - 8.0;
    let name = fitting(&figure.name, Role::Cell, room.into());
    pen.write(Spot::new(x, y, Role::Cell, Ink::Second), &name);
    pen.write(end, &value);
}

/// What a hand turns in a lesson.
struct Turned(&'static Turn);

impl Dial for Turned {
    fn place(&self, value: f32) -> f32 {
        let (from, to) = self.0.range;
        ((f64::from(value) - from) / (to - from)) as f32
    }
    fn value(&self, place: f32) -> f32 {
        let (from, to) = self.0.range;
        let value = from + f64::from(place.clamp(0.0, 1.0)) * (to - from);
        ((value / self.0.step).round() * self.0.step) as f32
    }
    fn step(&self, value: f32, steps: f32) -> f32 {
        let (from, to) = self.0.range;
        (f64::from(value) + f64::from(steps) * self.0.step).clamp(from, to) as f32
    }
    fn default(&self) -> f32 {
        self.0.start as f32
    }
    fn show(&self, value: f32) -> String {
        format!("{} {}", short(value.into(), 2), self.0.unit)
    }
    fn read(&self, text: &str) -> Option<f32> {
        let number = crate::settings::read_number(text, &[self.0.unit], false)?;
        Some(number.clamp(self.0.range.0, self.0.range.1) as f32)
    }
}

fn turn(pen: &mut Pen, (x, y): (f32, f32), width: f32, state: &mut WindowState, of: &'static Turn) {
    let dial = Turned(of);
    let value = state.lessons.value.unwrap_or(of.start) as f32;
    let words = dial.show(value);
    let spot = Spot::new(x + width, y, Role::Value, Ink::Text).end();
    let room = spot.room(&words).min.x - x - 8.0;
    let name = fitting(of.name, Role::Cell, room.into());
    pen.write(Spot::new(x, y, Role::Cell, Ink::Text), &name);
    let moved = number::dial(pen, spot, &dial, of.name, (value, &words));
    if let Some(Move::Drag(value) | Move::Step(value)) = moved {
        state.lessons.value = Some(value.into());
    }
}

/// Sets the line and the test signal as the lesson has them, for the other views.
fn set_up(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput, lesson: &Lesson) {
    let setups = lesson.setups(state.lessons.value);
    let Some(setup) = setups.first() else { return };
    let wanted = moves(&shown.settings, &setup.settings);
    let actions: Vec<Action> = wanted.flat_map(|(id, plain)| Action::once(id, plain)).collect();
    pen.gestures.actions.extend(actions);
    if let Some(choice) = TestChoice::of(&setup.signal) {
        state.test_choice = choice;
    }
    state.open = Open::TestSignal;
    state.message = Some(format!("It is set up: hold start. Where to look: {}.", lesson.look));
}

/// A picture of the answer, with its name; the others by a word.
fn picture(pen: &mut Pen, rect: Rect, state: &mut WindowState) {
    let lesson = state.lessons.lesson();
    let count = lesson.pictures.len();
    let at = state.lessons.picture % count;
    let (setup, kind) = lesson.pictures[at];
    let Some(name) = answer(state).map(|answer| answer.setups[setup].name.clone()) else { return };
    let y = rect.min.y + 12.0;
    let mut room = f64::from(rect.width());
    if count > 1 {
        let words = format!("picture {} of {count}", at + 1);
        let spot = Spot::new(rect.max.x, y, Role::Choice, Ink::Second).end();
        if pen.word(spot, &words, "next picture", false) {
            state.lessons.picture = at + 1;
        }
        room = f64::from(spot.room(&words).min.x - rect.min.x) - 12.0;
    }
    let name = fitting(&true_minus(&name), Role::Strong, room);
    pen.write(Spot::new(rect.min.x, y, Role::Strong, Ink::Text), &name);
    let sheet = Rect::from_min_max(Pos2::new(rect.min.x, rect.min.y + NAME), rect.max);
    let (size, serial) = (sheet.size(), state.lessons.serial);
    let reading = serial * 16 + at as u64;
    let key = state.key(reading, size);
    if state.picture.as_ref().is_none_or(|kept| kept.key != key) {
        let size = (f64::from(size.x), f64::from(size.y));
        let drawn = answer(state)
            .map(|answer| kind.draw(&answer.setups[setup], &answer.played[setup], size));
        state.picture = drawn.map(|scene| Picture { key, scene, frame: None });
    }
    let Some(kept) = &state.picture else { return };
    scene::draw(pen.painter(), sheet.min, &kept.scene, &pen.theme);
}

fn answer(state: &WindowState) -> Option<&Answered> {
    state.lessons.last()
}
