//! The level now beside the averages: a bar at each end of the line, with the highest peak of the
//! latest seconds.

use crate::editor::controls::pen::Pen;
use crate::editor::model::now::{Meter, Now};
use crate::figures::level;
use crate::plot::Ink;
use egui::{Pos2, Rect, Sense, StrokeKind, WidgetInfo, vec2};

/// Size of a bar, in points.
const SIZE: egui::Vec2 = vec2(58.0, 4.0);

/// Where it lies under the top of the line.
const TOP: f32 = 47.0;

/// What the left end of a bar stands for, in dBFS; the right end is full scale.
const SOFTEST_DBFS: f64 = -60.0;

/// Shows both bars on the line in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, now: &Now) {
    let right = rect.max.x - SIZE.x;
    for (name, meter, x) in [
        ("level that arrives", &now.before, rect.min.x),
        ("level that comes out", &now.after, right),
    ] {
        bar(pen, name, meter, Pos2::new(x, rect.min.y + TOP));
    }
}

fn bar(pen: &mut Pen, name: &str, meter: &Meter, at: Pos2) {
    let whole = Rect::from_min_size(at, SIZE);
    let response = pen.touch(whole.expand2(vec2(0.0, 2.0)), name, Sense::hover());
    let told = format!(
        "{} dBFS r.m.s. now, {} fast, {} slow, {} dBFS peak",
        level(meter.rms_dbfs, 1),
        level(meter.weighted_dbfs[0], 1),
        level(meter.weighted_dbfs[1], 1),
        level(meter.peak_dbfs, 1)
    );
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(egui::Role::ProgressIndicator, true, name);
        info.value = meter.rms_dbfs.is_finite().then_some(meter.rms_dbfs);
        info.current_text_value = Some(told.clone());
        info
    });
    let share = |dbfs: f64| match dbfs.is_finite() {
        true => (1.0 - dbfs / SOFTEST_DBFS).clamp(0.0, 1.0) as f32,
        false => 0.0,
    };
    let x = |dbfs: f64| whole.min.x + SIZE.x * share(dbfs);
    let painter = pen.painter();
    painter.rect_filled(whole, 0.0, pen.theme.colour(Ink::GivenWash));
    let filled = Rect::from_min_max(whole.min, Pos2::new(x(meter.rms_dbfs), whole.max.y));
    painter.rect_filled(filled, 0.0, pen.theme.colour(Ink::Given));
    // Where full scale is, stands on the outline.
    let outline = (1.0, pen.theme.colour(Ink::Second));
    painter.rect_stroke(whole, 0.0, outline, StrokeKind::Outside);
    let ink = if meter.peak_dbfs > 0.0 { Ink::Fault } else { Ink::Text };
    let mark = x(meter.peak_dbfs).min(whole.max.x - 1.0);
    painter.vline(mark, whole.min.y - 2.0..=whole.max.y + 2.0, (2.0, pen.theme.colour(ink)));
}
