//! Plan: what was found in captures, what is proposed, what it costs; and how to come by one.

use crate::editor::controls::commands::look_for_captures;
use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::Layout;
use crate::editor::model::action::Action;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::paint::scene;
use crate::link::bench::Measured;
use crate::plot::responses::Verdict;
use crate::plot::scene::{Anchor, Rect as Box, Role, Scene};
use crate::plot::{Cause, Ink, responses};
use crate::report::{Found, Plan, Proposed, Sentence};
use crate::settings::ALL;

/// Room at the foot of the view for what can be done with the plan, in points.
const DEED: f64 = 26.0;

/// Height of the row that names the columns.
const HEAD: f64 = 18.0;

/// Between two columns.
const GAP: f64 = 24.0;

/// Least and largest height of a row: two lines of words and air.
const ROW: (f64, f64) = (32.0, 46.0);

/// How one comes by a plan.
const STEPS: [(&str, &str); 4] = [
    (
        "underpin signal track -o track.wav --sheet sheet.html",
        "print the sheet; play the track at four volume steps or more",
    ),
    ("record what the radio gives", "with a line adapter, whole, at each step"),
    ("underpin tune track.wav step-*.wav --plan plan.toml", "finds and proposes"),
    ("put plan.toml there", "this view shows it within a second"),
];

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let about = state.key(shown.plan.reading, size);
    let kept = state.picture(about, |scene| {
        let whole = Box::new(0.0, 2.0, size.x.into(), f64::from(size.y) - 2.0);
        match shown.plan.plan {
            Some(plan) => draw(scene, whole, grid, plan),
            None => draw_steps(scene, whole, shown.plan.place),
        }
        None
    });
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);
    let y = grid.sheet.max.y - 7.0;
    let end = Spot::new(grid.sheet.max.x - 8.0, y, Role::Value, Ink::Sheet).end();
    let left = end.room("use this plan").min.x - 24.0;
    let spot = Spot::new(left, y, Role::Choice, Ink::Text).end();
    if pen.word(spot, "captures", "choose captures", false) {
        look_for_captures(pen, state);
    }
    if let Some(share) = shown.bench.progress {
        let words = format!("reading, {:.0} %", 100.0 * share);
        let left = spot.room("captures").min.x - 14.0;
        pen.write(Spot::new(left, y, Role::Note, Ink::Second).end(), &words);
    }
    if let Some(plan) = shown.plan.plan {
        let note = Spot::new(grid.sheet.min.x, y, Role::Note, Ink::Second);
        pen.write(note, "New content, not the lost one.");
        let plate = end.room("use this plan").expand2(egui::vec2(8.0, 4.0));
        pen.painter().rect_filled(plate, 0.0, pen.theme.colour(Ink::Text));
        if pen.word(end, "use this plan", "use this plan", false) {
            take_over(pen, plan);
        }
    }
}

/// Sets what the plan proposes, each setting that differs in a gesture of its own.
fn take_over(pen: &mut Pen, plan: &Plan) {
    let Ok(preset) = plan.preset() else { return };
    let wanted = preset.settings.to_plain();
    let differ = ALL.iter().filter(|s| wanted[s.id.index()] != pen.value(s.id));
    let actions: Vec<Action> =
        differ.flat_map(|s| Action::once(s.id, wanted[s.id.index()])).collect();
    pen.gestures.actions.extend(actions);
}

/// What the plan says, or that there is none.
pub fn say(shown: &FrameInput) -> Sentence {
    if let Some(fault) = shown.bench.fault {
        return fault.into();
    }
    match (shown.plan.fault, shown.plan.plan) {
        (Some(fault), _) => fault.into(),
        (None, Some(plan)) => plan.finding.clone(),
        (None, None) if shown.bench.measured == Measured::Radio => shown.bench.next.into(),
        (None, None) => "No plan yet: recordings of a test track tell what the radio takes out, \
                         and what answers it."
            .into(),
    }
}

fn draw(scene: &mut Scene, whole: Box, grid: &Layout, plan: &Plan) {
    let body = Box { height: whole.height - DEED, ..whole };
    if whole.width > 1200.0 {
        let column = (body.width - 2.0 * GAP) / 3.4;
        let middle = Box { x: column + GAP, width: 1.4 * column, ..body };
        draw_found(scene, Box { width: column, ..body }, &plan.found);
        draw_responses(scene, middle, grid, plan);
        draw_proposed(
            scene,
            Box { x: middle.right() + GAP, width: column, ..body },
            &plan.proposed,
        );
        return;
    }
    let left = 0.44 * (body.width - GAP);
    draw_found(scene, Box { width: left, ..body }, &plan.found);
    let right = Box { x: left + GAP, width: body.width - GAP - left, ..body };
    let below = HEAD + plan.proposed.len() as f64 * ONE_LINE;
    let above = right.height - below - 4.0;
    draw_responses(scene, Box { height: above, ..right }, grid, plan);
    let proposed = Box { y: right.y + above + 4.0, height: below, ..right };
    draw_proposed(scene, proposed, &plan.proposed);
}

/// A row of one line.
const ONE_LINE: f64 = 18.0;

fn head(scene: &mut Scene, column: Box, name: &str, end: &str) {
    let y = column.y + 11.0;
    scene.text((column.x, y), Anchor::Start, Role::Strong, Ink::Text, name);
    scene.text((column.right(), y), Anchor::End, Role::Note, Ink::Second, end);
    let y = column.y + HEAD - 2.0;
    scene.rule((column.x, y), (column.right(), y), 1.3, Ink::Text);
}

fn draw_found(scene: &mut Scene, column: Box, found: &[Found]) {
    head(scene, column, "Found", "sure?");
    let row = (column.height - HEAD) / found.len().max(1) as f64;
    let row = row.clamp(ROW.0, ROW.1);
    let names = (0.24 * column.width).max(82.0);
    for (i, point) in found.iter().enumerate() {
        let top = column.y + HEAD + row * i as f64;
        if top + row > column.bottom() + 1.0 {
            break;
        }
        let (y, x) = (top + 0.5 * (row - 28.0) + 10.0, column.x + names);
        let room = column.right() - x;
        scene.text((column.x, y), Anchor::Start, Role::Strong, Ink::Text, point.what.as_str());
        let sure = if point.sure { "yes" } else { "open" };
        let room_told = room - Role::Note.width(sure) - 10.0;
        let told = fitting(&point.told, Role::CellStrong, room_told);
        scene.text((x, y), Anchor::Start, Role::CellStrong, Ink::Text, told);
        let evidence = fitting(&point.evidence, Role::Note, room);
        scene.text((x, y + 15.0), Anchor::Start, Role::Note, Ink::Second, evidence);
        let end = (column.right(), y);
        scene.text(end, Anchor::End, Role::Note, Ink::Second, sure);
        if !point.sure {
            let width = Role::Note.width(sure) + 8.0;
            let plate = Box::new(end.0 - width + 4.0, y - 11.0, width, 15.0);
            scene.line(Cause::Open, [plate.corners(), vec![(plate.x, plate.y)]].concat());
        }
        let y = top + row;
        scene.rule((column.x, y), (column.right(), y), 1.0, Ink::Grid);
    }
}

fn draw_responses(scene: &mut Scene, room: Box, grid: &Layout, plan: &Plan) {
    let axis = f64::from(grid.axis);
    let below = 20.0 + responses::STRIP + 2.0;
    let rect = Box::new(room.x + axis, room.y, room.width - axis, room.height - below);
    responses::responses(scene, rect, &plan.responses);
}

fn draw_proposed(scene: &mut Scene, column: Box, proposed: &[Proposed]) {
    head(scene, column, "Proposed", "costs");
    // In a tall column a stage has two lines.
    let is_tall = column.height > 200.0;
    let row = if is_tall { ROW.1 } else { ONE_LINE };
    for (i, stage) in proposed.iter().enumerate() {
        let y = column.y + HEAD + row * i as f64 + 13.0;
        if y > column.bottom() + 1.0 {
            break;
        }
        let ink = stage.cause.map_or(Ink::Text, |cause| cause.stroke().ink);
        scene.text((column.x, y), Anchor::Start, Role::Strong, ink, stage.stage.as_str());
        let end = (column.right(), y);
        scene.text(end, Anchor::End, Role::Note, Ink::Second, stage.cost.as_str());
        let (x, y) = if is_tall { (column.x, y + 16.0) } else { (column.x + 82.0, y) };
        let cost = if is_tall { 0.0 } else { Role::Note.width(&stage.cost) + 10.0 };
        let told = fitting(&stage.told, Role::Cell, column.right() - x - cost);
        scene.text((x, y), Anchor::Start, Role::Cell, Ink::Text, told);
    }
}

/// What a plan says of each stretch of the low end, and what answers it.
const VERDICTS: [(Verdict, &str); 5] = [
    (Verdict::Stands, "as it is: leave it alone"),
    (Verdict::Lift, "weakened: the low band lifts it"),
    (Verdict::Beyond, "there, but one band does not bring it back"),
    (Verdict::MakeNew, "gone: the octave part makes new content"),
    (Verdict::Open, "not known yet: it says what would settle it"),
];

/// The verdicts beside the steps, in their fills, so that a plan is read at once when it is there.
fn draw_verdicts(scene: &mut Scene, column: Box) {
    head(scene, column, "What a plan will say", "of each stretch");
    let row = ((column.height - HEAD) / VERDICTS.len() as f64).clamp(26.0, 46.0);
    for (i, (verdict, words)) in VERDICTS.into_iter().enumerate() {
        let y = column.y + HEAD + row * i as f64 + 6.0;
        let (fill, _) = verdict.look();
        let swatch = Box::new(column.x, y, 56.0, 18.0);
        scene.area(fill, swatch.corners());
        scene.outline(swatch.corners(), 1.2, Ink::Text);
        let x = swatch.right() + 12.0;
        scene.text((x, y + 13.0), Anchor::Start, Role::Strong, Ink::Text, verdict.words());
        let x = x + Role::Strong.width(Verdict::Beyond.words()) + 14.0;
        let words = fitting(words, Role::Note, column.right() - x);
        scene.text((x, y + 13.0), Anchor::Start, Role::Note, Ink::Second, words);
    }
}

fn draw_steps(scene: &mut Scene, whole: Box, place: &str) {
    let left = 0.5 * (whole.width - GAP);
    let right = whole.width - GAP - left;
    draw_verdicts(scene, Box { x: whole.x + left + GAP, y: whole.y + 2.0, width: right, ..whole });
    let whole = Box { width: left, ..whole };
    let row = ((whole.height - 40.0) / STEPS.len() as f64).clamp(34.0, 46.0);
    for (i, (deed, why)) in STEPS.iter().enumerate() {
        let y = whole.y + row * i as f64 + 16.0;
        scene.text((0.0, y), Anchor::Start, Role::Value, Ink::Second, (i + 1).to_string());
        let deed = fitting(deed, Role::Value, whole.width - 24.0);
        let why = fitting(why, Role::Note, whole.width - 24.0);
        scene.text((22.0, y), Anchor::Start, Role::Value, Ink::Text, deed);
        scene.text((22.0, y + 15.0), Anchor::Start, Role::Note, Ink::Second, why);
    }
    let y = whole.y + row * STEPS.len() as f64 + 8.0;
    let place = fitting(place, Role::Cell, whole.width - 24.0);
    scene.text((22.0, y), Anchor::Start, Role::Cell, Ink::Text, place);
}
