//! What a hand in the window asks for. Drawing returns actions; only the
//! framework's side fulfils them.

use crate::editor::model::averaging::Span;
use crate::link::bench::Measured;
use crate::link::measuring::Test;
use crate::plot::Palette;
use crate::settings::Id;

/// One thing asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// A hand takes this setting.
    Take(Id),
    /// It moves to this plain value.
    Put(Id, f32),
    /// The hand leaves it.
    Leave(Id),
    /// Clear the clip latch.
    ClearClip,
    /// Close the notice.
    CloseNotice,
    /// Show these colours.
    Show(Palette),
    /// Zoom, 1 for a hundred percent.
    Zoom(f32),
    /// Start measuring afresh.
    Restart,
    /// Average over this time, afresh.
    Average(Span),
    /// Allow test signals up to full scale.
    Unlock,
    /// Start this test signal at this level in dBFS.
    Start(Test, f64),
    /// Stop it.
    Silence,
    /// Keep what is shown as a file of this form.
    Keep(Form),
    /// Keep it in every form that it has, all from one reading.
    KeepAll,
    /// Show the folder in which things are kept.
    OpenFolder,
    /// Copy the sheet as text.
    Copy,
    /// Read the presets that there are.
    Browse,
    /// Save what is set under the name on the state.
    SavePreset,
    /// Measure this from now on.
    Measure(Measured),
    /// Look which captures the folder holds.
    LookForCaptures,
    /// Read the captures that are chosen.
    ReadCaptures,
    /// Forget the takes so far, for another radio; their files stay.
    ForgetTakes,
    /// Keep the plan that the takes gave.
    KeepPlan,
    /// Write the track for the stick.
    WriteTrack,
    /// Hear A and B on the same sound and make them equally loud.
    Match,
}

impl Action {
    /// One move in one gesture.
    pub fn once(id: Id, plain: f32) -> [Action; 3] {
        [Action::Take(id), Action::Put(id, plain), Action::Leave(id)]
    }
}

/// The forms in which a view can be kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A PNG.
    Picture,
    /// An SVG.
    Drawing,
    /// A CSV.
    Figures,
    /// The sheet as plain text.
    Sheet,
}

impl Form {
    /// All forms with their words and the ending of their files.
    pub const ALL: [(Form, &'static str, &'static str); 4] = [
        (Form::Picture, "picture", "png"),
        (Form::Drawing, "drawing", "svg"),
        (Form::Figures, "figures", "csv"),
        (Form::Sheet, "sheet", "txt"),
    ];

    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        Self::ALL.iter().find(|(form, ..)| *form == self).map_or("", |(.., ending)| ending)
    }
}
