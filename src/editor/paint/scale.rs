//! The window's own zoom: everything larger or smaller inside a window that keeps its size.
//!
//! The toolkit's zoom factor makes the windowing layer resize the window, so it stays at 1. What
//! comes in (places of the pointer, size of the window) is divided by the zoom, what goes out
//! (shapes) is multiplied by it, and letters are made for the pixels they will fill.

use egui::emath::TSTransform;
use egui::{Context, Event, FullOutput, RawInput, Shape};
use std::sync::Arc;

/// The zoom, between the toolkit and the window.
#[derive(Debug)]
pub struct Scale {
    now: f32,
    wanted: f32,
}

impl Default for Scale {
    fn default() -> Self {
        Self { now: 1.0, wanted: 1.0 }
    }
}

/// The zoom of this frame; 1 where nobody asked for one.
pub fn now(ctx: &Context) -> f32 {
    ctx.with_plugin(|scale: &mut Scale| scale.now).unwrap_or(1.0)
}

/// Asks for a zoom from the next frame on.
pub fn want(ctx: &Context, zoom: f32) {
    let scale = ctx.plugin_or_default::<Scale>();
    let mut scale = scale.lock();
    if scale.wanted != zoom {
        scale.wanted = zoom;
        ctx.request_repaint();
    }
}

impl egui::Plugin for Scale {
    fn debug_name(&self) -> &'static str {
        "scale"
    }

    fn input_hook(&mut self, _: &Context, input: &mut RawInput) {
        self.now = self.wanted;
        let zoom = self.now;
        input.screen_rect = input.screen_rect.map(|rect| rect / zoom);
        let viewport = input.viewports.entry(input.viewport_id).or_default();
        let native = viewport.native_pixels_per_point.unwrap_or(1.0);
        viewport.native_pixels_per_point = Some(native * zoom);
        for event in &mut input.events {
            match event {
                Event::PointerMoved(pos) | Event::PointerButton { pos, .. } => *pos = *pos / zoom,
                Event::Touch { pos, .. } => *pos = *pos / zoom,
                Event::MouseMoved(way) => *way /= zoom,
                _ => {}
            }
        }
    }

    fn output_hook(&mut self, _: &Context, output: &mut FullOutput) {
        if self.now == 1.0 {
            return;
        }
        output.pixels_per_point /= self.now;
        let zoom = TSTransform::from_scaling(self.now);
        for clipped in &mut output.shapes {
            clipped.transform(zoom);
            laid_out_for(output.pixels_per_point, &mut clipped.shape);
        }
    }
}

/// Letters are laid out for the pixels that they fill; the painter is told so.
fn laid_out_for(pixels_per_point: f32, shape: &mut Shape) {
    match shape {
        Shape::Text(text) => Arc::make_mut(&mut text.galley).pixels_per_point = pixels_per_point,
        Shape::Vec(shapes) => {
            shapes.iter_mut().for_each(|shape| laid_out_for(pixels_per_point, shape));
        }
        _ => {}
    }
}
