//! What is shown as a file: a picture, a drawing, figures, or the sheet in words.
//!
//! All of them are made of the values that the window shows now; nothing is measured again.

use crate::editor::files::write_new;
use crate::editor::layout::TICKS;
use crate::editor::model::action::Form;
use crate::editor::model::state::{FrameInput, View, WindowState};
use crate::editor::paint::raster::{Image, Raster};
use crate::editor::paint::scene;
use crate::editor::paint::theme::{Theme, fonts};
use crate::editor::views;
use crate::figures::ascii;
use crate::plot::lane;
use crate::plot::page::{line_in_words, page};
use crate::plot::{Ink, Scene};
use crate::report::{Sheet, svg, text};
use crate::settings::ALL;
use egui::{Context, Pos2, RawInput, Rect, vec2};

/// Pixels of a picture for each point of the window: fit for print.
const SCALE: f32 = 2.0;

/// The bytes of what is shown in this form.
///
/// # Errors
/// One sentence when the view shows nothing of the kind.
pub fn make(form: Form, state: &WindowState, shown: &FrameInput) -> Result<Vec<u8>, String> {
    match form {
        Form::Picture => png(&draw(state, shown)?, &Theme { palette: state.palette }),
        Form::Drawing => Ok(svg(&draw(state, shown)?, state.palette).into_bytes()),
        Form::Figures => (views::entry(state.view).figures)(shown)
            .map(|table| (made_of(state.view, shown) + &table).into_bytes())
            .ok_or_else(|| "Nothing was measured that this view could write down.".into()),
        Form::Sheet => Ok(words(shown).into_bytes()),
    }
}

/// Keeps what is shown in every form that it has, under one name and number: all of them tell of
/// the same reading. Returns where, in a sentence.
///
/// # Errors
/// One sentence; then nothing was kept.
pub fn keep_all(state: &WindowState, shown: &FrameInput) -> Result<String, String> {
    let made = Form::ALL.map(|(form, _, ending)| Some((ending, make(form, state, shown).ok()?)));
    let made: Vec<(&str, Vec<u8>)> = made.into_iter().flatten().collect();
    let files: Vec<(&str, &[u8])> = made.iter().map(|(end, bytes)| (*end, &bytes[..])).collect();
    let stem = stem(Form::Picture, state.view);
    let kept = write_new::keep_all(&state.folder, &stem, &files)?;
    let first = kept.first().map(|file| file.with_extension("")).unwrap_or_default();
    let endings: Vec<&str> = files.iter().map(|(ending, _)| *ending).collect();
    Ok(format!("Kept: {}, as {}", first.display(), endings.join(", ")))
}

/// What figures were measured of, before their table: how, how long, and every setting.
fn made_of(view: View, shown: &FrameInput) -> String {
    let settings = shown.settings_of(view);
    let mut told = String::new();
    if let (Some(run), Some(how)) = (shown.run(), shown.how(view, true)) {
        told += &format!("# {}\n# seconds={}\n", ascii(&how), run.readings.seconds);
    }
    told.extend(shown.caution(view).map(|words| format!("# {words}\n")));
    for (setting, plain) in ALL.iter().zip(settings.to_plain()) {
        told += &format!("# {}={}\n", setting.key, setting.show(plain));
    }
    told
}

/// The stem of a file's name for a view.
pub fn stem(form: Form, view: View) -> String {
    match form {
        Form::Sheet => "sheet".into(),
        _ => View::ALL.iter().find(|(v, _)| *v == view).map_or("", |(_, word)| word).to_lowercase(),
    }
}

/// The sheet in words, with what is set now.
pub fn words(shown: &FrameInput) -> String {
    let settings = shown.sheet.settings.unwrap_or(shown.settings);
    text(&Sheet { settings: Some(settings), ..shown.sheet.clone() })
}

/// The picture that is shown, with its finding, settings and conditions.
fn draw(state: &WindowState, shown: &FrameInput) -> Result<Scene, String> {
    let kept = state.picture.as_ref().ok_or("This view has no picture.")?;
    let said = state.said.as_ref().map(|(said, ..)| said.plain()).unwrap_or_default();
    let settings = shown.settings_of(state.view);
    let mut picture = kept.scene.clone();
    if let Some(frame) = kept.frame.filter(|_| state.view == View::Spectrum) {
        let top = frame.rect.bottom() + f64::from(TICKS);
        lane::draw(&mut picture, &frame, top, &settings, lane::Which::All);
    }
    let how = shown.how(state.view, true).into_iter();
    let how: Vec<String> = how.chain(shown.caution(state.view).map(String::from)).collect();
    let notes = [line_in_words(&settings), how.join(" \u{b7} ")];
    Ok(page(&picture, &said, &notes))
}

/// The scene as a PNG in the colours of the window.
fn png(scene: &Scene, theme: &Theme) -> Result<Vec<u8>, String> {
    let image = paint_without_screen(scene, theme);
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, image.width as u32, image.height as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let pixels: Vec<u8> = image.pixels.iter().flat_map(|p| [p.r(), p.g(), p.b()]).collect();
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(&pixels)?;
        writer.finish()
    });
    written.map_err(|why| format!("The picture cannot be written: {why}."))?;
    Ok(bytes)
}

fn paint_without_screen(scene: &Scene, theme: &Theme) -> Image {
    let ctx = Context::default();
    ctx.set_fonts(fonts());
    ctx.set_pixels_per_point(SCALE);
    let size = vec2(scene.width as f32, scene.height as f32);
    let page = Rect::from_min_size(Pos2::ZERO, size);
    let mut raster = Raster::default();
    // The fonts and the scale are there from the second pass on.
    let mut draw = || {
        let input = RawInput { screen_rect: Some(page), ..RawInput::default() };
        let mut output = ctx.run_ui(input, |ui| {
            ui.set_clip_rect(page);
            scene::draw(ui.painter(), Pos2::ZERO, scene, theme);
        });
        raster.take(&output.textures_delta);
        output.textures_delta.clear();
        output
    };
    draw();
    let output = draw();
    let primitives = ctx.tessellate(output.shapes, output.pixels_per_point);
    let pixels = |points: f32| (points * SCALE).round() as usize;
    raster.draw(&primitives, (pixels(size.x), pixels(size.y)), SCALE, theme.colour(Ink::Ground))
}
