//! What a device does, from takes of the long track through it, one for each position of its knobs.

use super::{Takes, Trouble};
use crate::planning::clip_light::ClipLight;
use crate::planning::identify::{Device, identify_without};
use crate::planning::take_reading::TakeReading;
use crate::report::{Sheet, device, positions};
use crate::signal::track::layout::Form;

/// Takes of the long form with what each of them says of the device, in the order of the sounds.
///
/// # Errors
/// None of them says anything.
pub fn identified(read: &Takes) -> Result<Vec<(&TakeReading, Device)>, Trouble> {
    let own = read.loop_back.as_ref();
    let long = read.takes.iter().filter(|take| take.label.form == Form::Long);
    let all: Vec<_> = long.filter_map(|take| Some((take, identify_without(take, own)?))).collect();
    match all.is_empty() {
        true => Err(Trouble::Impossible(
            "no take of the long form can be read: it alone holds the tones for a device".into(),
        )),
        false => Ok(all),
    }
}

/// The sheet about the first of them, with the others beside it.
pub fn device_sheet(
    read: &Takes,
    all: &[(&TakeReading, Device)],
    light: Option<&ClipLight>,
) -> Sheet {
    let mut sheet = read.sheet("device, identified from a capture");
    if let Some((_, first)) = all.first() {
        device(&mut sheet, first, light);
    }
    if all.len() > 1 {
        sheet.tables.insert(0, positions(all.iter().map(|(_, found)| found)));
    }
    sheet
}
