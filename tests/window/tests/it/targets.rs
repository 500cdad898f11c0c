//! Everything that can be hit is large enough, or far enough from the next: WCAG 2.2, success
//! criterion 2.5.8 (AA), "Target Size (Minimum)". A point of the window at 100 % is a CSS pixel.

use egui::{Rect, vec2};
use egui_kittest::kittest::NodeT;
use std::path::Path;
use underpin::editor::files::preset_library::Library;
use underpin::editor::model::state::{Open, View};
use underpin::editor::model::target::Asked;
use underpin::plot::Palette;
use underpin::report::Sheet;
use underpin::settings::Settings;
use window_tests::{Stage, now, pink, plan, stage, tone};

const SIZES: [(f32, f32); 3] = [(720.0, 480.0), (960.0, 600.0), (1920.0, 1080.0)];

/// Least width and height, and the diameter of the circle that stands for what is smaller.
const LEAST: f32 = 24.0;

/// Half a pixel is no size: bounds are rounded to the screen's grid.
const ROUNDING: f32 = 0.5;

/// What takes a click or a drag; a meter is only looked at.
const ROLES: [&str; 6] = ["Button", "Tab", "Slider", "RadioButton", "ListItem", "TextInput"];

fn targets(sheet: &Sheet, size: (f32, f32), with: impl Fn(&mut Stage)) -> Vec<(String, Rect)> {
    let mut shown = Stage::new(sheet.clone(), Palette::Day);
    with(&mut shown);
    let mut window = stage(shown, vec2(size.0, size.1), 1.0);
    window.run_steps(4);
    let nodes = window.root().children_recursive();
    let hit = |role: String| ROLES.contains(&role.as_str());
    let nodes = nodes.filter(|node| hit(format!("{:?}", node.accesskit_node().role())));
    nodes
        .map(|node| (node.accesskit_node().label().unwrap_or_default().to_owned(), node.rect()))
        .collect()
}

fn is_small(rect: &Rect) -> bool {
    rect.width() < LEAST - ROUNDING || rect.height() < LEAST - ROUNDING
}

/// The criterion: what is smaller has a circle of 24 pixels about its middle to itself, which
/// meets no other target and no circle of another one that is smaller.
fn faults(targets: &[(String, Rect)]) -> Vec<String> {
    let mut faults = Vec::new();
    for (i, (name, rect)) in targets.iter().enumerate().filter(|(_, (_, rect))| is_small(rect)) {
        for (j, (other, near)) in targets.iter().enumerate().filter(|(j, _)| *j != i) {
            let to_target = near.distance_to_pos(rect.center());
            let to_circle = rect.center().distance(near.center());
            let meets = to_target < 0.5 * LEAST - ROUNDING
                || (is_small(near) && to_circle < LEAST - ROUNDING);
            // Of two that are too near, one name is enough.
            if meets && !(is_small(near) && j < i) {
                faults.push(format!(
                    "{name:?} {:.1?} and {other:?} {:.1?}",
                    rect.size(),
                    to_circle
                ));
            }
        }
    }
    faults
}

/// What lies in the sheet stands where its value is: the criterion lets it ("essential").
fn is_placed_by_its_value(name: &str) -> bool {
    name.ends_with(", grip") || name.starts_with("target at ")
}

/// Pairs of which one takes room from the other; the sheet itself is under its grips.
fn overlaps(targets: &[(String, Rect)]) -> Vec<String> {
    let fixed =
        targets.iter().filter(|(name, _)| name != "cursor" && !is_placed_by_its_value(name));
    let fixed: Vec<_> = fixed.collect();
    let mut faults = Vec::new();
    for (i, (name, rect)) in fixed.iter().enumerate() {
        for (other, near) in &fixed[i + 1..] {
            let common = rect.intersect(*near);
            // A word may reach a pixel or two into the margin of the next.
            if common.width() > 2.0 && common.height() > 2.0 {
                faults.push(format!("{name:?} lies {:.1?} on {other:?}", common.size()));
            }
        }
    }
    faults
}

#[test]
fn the_criterion_is_met_by_room_or_by_distance() {
    let at = |x: f32, side: f32| {
        let rect = Rect::from_center_size(egui::pos2(x, 50.0), vec2(side, side));
        (x.to_string(), rect)
    };
    assert!(faults(&[at(0.0, 24.0), at(24.0, 24.0)]).is_empty(), "two of full size, side by side");
    assert!(faults(&[at(0.0, 16.0), at(24.0, 16.0)]).is_empty(), "two small ones with room");
    assert_eq!(faults(&[at(0.0, 16.0), at(22.0, 16.0)]).len(), 1, "two circles meet");
    assert_eq!(faults(&[at(0.0, 16.0), at(20.0, 24.0)]).len(), 1, "a circle meets a target");
}

#[test]
fn everything_is_large_enough_to_be_hit() {
    let (noise, tone) = (pink(5.0), tone(60.0, 0.5));
    let opens = [Open::Nothing, Open::TestSignal, Open::Presets, Open::Tray, Open::Shelf];
    let mut all = Vec::new();
    for size in SIZES {
        for (view, words) in View::ALL {
            for open in opens {
                let sheet = if view == View::Scope { &tone } else { &noise };
                let targets = targets(sheet, size, |stage| {
                    stage.state.view = view;
                    stage.state.open = open;
                    stage.state.library = Library::read(Path::new("there is no such folder"));
                    stage.plan = Some(plan());
                    stage.now = Some(now());
                    stage.state.target.asked = Asked::Gentle;
                    stage.state.beside = 1;
                    stage.over_s = 0.5;
                    let other = Settings { low_band_gain_db: 3.0, ..stage.settings };
                    stage.state.comparison.put_other(other);
                });
                assert!(targets.len() > 25, "only {} targets in {words}", targets.len());
                let at = format!("{}x{}, {words}, {open:?}", size.0, size.1);
                let found = faults(&targets).into_iter().chain(overlaps(&targets));
                all.extend(found.map(|fault| format!("{at}: {fault}")));
            }
        }
    }
    assert!(all.is_empty(), "{} too near:\n{}", all.len(), all.join("\n"));
}
