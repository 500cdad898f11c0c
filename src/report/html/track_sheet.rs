//! The sheet for the car: one A4 page to print and to write on, for playing and recording the track.
//!
//! All of it is common practice of the trade, no source; the timeline is the track's own.

use super::style;
use crate::plot::scene::{Rect, Scene};
use crate::plot::timeline::{Bar, timeline};
use crate::report::svg::{defs, escape, inline};
use crate::report::{CAUTIONS, Picture};

/// What the sheet is about.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackSheet {
    /// Name of the track's file.
    pub track: String,
    /// The form in words, e.g. `short form, 51 s`.
    pub form: String,
    /// True for the long form, which also serves devices.
    pub is_long: bool,
    /// What it plays when.
    pub bars: Vec<Bar>,
}

/// Resistors in each of both leads and across the recorder's input, in ohm.
const ATTENUATOR_OHM: (f64, f64) = (10_000.0, 1_000.0);

/// What has to be off or flat, each with a box to tick.
const SWITCHED_OFF: [&str; 9] = [
    "bass, treble, middle flat",
    "loudness off",
    "bass extension off",
    "surround off",
    "sound mode plain",
    "levelling by speed off",
    "volume levelling off",
    "fader, balance centred",
    "chimes still on",
];

/// What is done once, before the first take.
const BEFORE: [&str; 5] = [
    "Charger on, engine off, car outdoors or the garage open. Phone on silent.",
    "Copy the track to a stick as it is; do not convert it. Bluetooth only as an extra take.",
    "Take the signal where the amplifier will take it. Amplifiers off, or start at the lowest step.",
    "Recorder: automatic gain, noise reduction, limiter off; WAV or FLAC, 44.1 kHz or more.",
    "Set the recorder's gain once, at the loudest step you will play, peaks 6 dB or more below full scale; then leave it.",
];

/// The sheet as one self-contained HTML file.
pub fn track_sheet(sheet: &TrackSheet) -> String {
    let parts = [
        head(sheet),
        fields(&["car", "radio", "date", "by"]),
        format!(
            "<h2>Off or flat <small>tick what is so</small></h2><p class=\"ticks\">{}</p>",
            ticks()
        ),
        list("Before", &BEFORE),
        time(sheet),
        wiring(),
        takes(sheet),
        if sheet.is_long { device() } else { String::new() },
        after(sheet),
        cautions(),
    ];
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n\
         <title>Measuring track: sheet for the car</title>\n<style>\n{}{RULES}</style>\n</head>\n\
         <body class=\"sheet\">\n\
         <svg width=\"0\" height=\"0\" class=\"textures\" aria-hidden=\"true\">{}</svg>\n{}</body>\n</html>\n",
        style::style() + "@page{size:A4}\n",
        defs(),
        parts.concat()
    )
}

/// Rules of the sheet beside those of the reports: closer together, with lines to write on.
const RULES: &str = "\
body.sheet{font-size:11px;line-height:1.32}
.sheet h2{margin-top:7px}.sheet p,.sheet ol,.sheet ul{margin:0;padding:0}
.sheet ol,.sheet ul{padding-left:15px}
.sheet p.field{display:flex;gap:16px;margin:16px 0 10px}.field span{flex:1;border-bottom:1px solid var(--ink);color:var(--ink2);height:17px}
.ticks{columns:3}.ticks span{display:block;break-inside:avoid}.ticks i{display:inline-block;width:9px;height:9px;border:1px solid var(--ink);margin-right:5px}
.sheet td{height:25px;border:1px solid var(--rule)}.sheet th{border:1px solid var(--rule)}
.sheet th,.sheet td{padding:1px 5px}
.two{display:grid;grid-template-columns:1fr 1fr;gap:0 22px}
.sheet code{font:600 10.5px/1.4 monospace;overflow-wrap:anywhere}
";

fn head(sheet: &TrackSheet) -> String {
    format!(
        "<header><strong class=\"slab\">Underpin</strong><span>measuring track, {}</span>\
         <span class=\"subject\">sheet for the car: how to play and record it</span></header>\n",
        escape(&sheet.form)
    )
}

fn fields(names: &[&str]) -> String {
    let all: String = names.iter().map(|name| format!("<span>{name}</span>")).collect();
    format!("<p class=\"field\">{all}</p>\n")
}

fn ticks() -> String {
    SWITCHED_OFF.iter().map(|words| format!("<span><i></i>{words}</span>")).collect()
}

fn list(title: &str, items: &[&str]) -> String {
    let items: String = items.iter().map(|item| format!("<li>{item}</li>")).collect();
    format!("<h2>{title}</h2><ol>{items}</ol>\n")
}

fn time(sheet: &TrackSheet) -> String {
    let mut scene = Scene::new(Picture::WIDE, 84.0, "What the track plays when");
    timeline(&mut scene, Rect::new(8.0, 18.0, Picture::WIDE - 16.0, 48.0), &sheet.bars);
    let loud: Vec<&Bar> = sheet.bars.iter().filter(|bar| bar.is_loud_and_low).collect();
    let from = loud.first().map(|bar| bar.from_s);
    let to = loud.last().map(|bar| bar.to_s);
    let warning = match from.zip(to) {
        Some((from, to)) => format!(
            "loud low tones from {from:.0} to {to:.0} s: hand on the volume, ears away from the loudspeakers"
        ),
        None => String::new(),
    };
    format!("<h2>Time <small>{warning}</small></h2>{}", inline(&scene))
}

fn wiring() -> String {
    let (series, across) = ATTENUATOR_OHM;
    let db = 20.0 * (across / (2.0 * series + across)).log10();
    let volts = 14.4 / std::f64::consts::SQRT_2;
    let left = volts * 10f64.powf(db / 20.0);
    format!(
        "<h2>Wiring the recorder <small>common practice, no source</small></h2>\
         <svg viewBox=\"0 0 682 66\" width=\"682\" height=\"66\" role=\"img\" aria-label=\"An attenuator between the radio and the recorder\">\
         <text class=\"r2 f-ink\" x=\"0\" y=\"14\">radio +</text><text class=\"r2 f-ink\" x=\"0\" y=\"58\">radio \u{2212}</text>\
         <path class=\"s-ink\" stroke-width=\"1.3\" d=\"M48 10H130M48 54H130M190 10H470M190 54H470M330 10V22M330 42V54\"/>\
         <path class=\"s-ink\" stroke-width=\"1.3\" d=\"M130 4H190V16H130ZM130 48H190V60H130ZM322 22H338V42H322Z\"/>\
         <text class=\"r2 f-ink\" x=\"160\" y=\"29\" text-anchor=\"middle\">{} k\u{3a9}</text>\
         <text class=\"r2 f-ink\" x=\"160\" y=\"44\" text-anchor=\"middle\">{} k\u{3a9}</text>\
         <text class=\"r2 f-ink\" x=\"346\" y=\"36\">{} k\u{3a9}</text>\
         <text class=\"r2 f-ink\" x=\"476\" y=\"14\">recorder, tip</text><text class=\"r2 f-ink\" x=\"476\" y=\"58\">recorder, sleeve</text></svg>\
         <ul><li>From loudspeaker wires: \u{2212}{:.1} dB. {volts:.1} V r.m.s., the most a 14.4 V bridge gives, become {left:.2} V. From line outputs: a plain cable.</li>\
         <li><b>Never ground either wire of a bridged output.</b> The sleeve is a ground: use a recorder on its battery with nothing else plugged in, or a line transformer. Otherwise leave it.</li>\
         <li>Every pair alone, same recorder, same gain. A sum only behind the device that sums.</li></ul>\n",
        series / 1000.0,
        series / 1000.0,
        across / 1000.0,
        -db
    )
}

fn takes(sheet: &TrackSheet) -> String {
    let rows = [
        "left, soft",
        "left",
        "left",
        "left, loudest",
        "right, usual",
        "rear, usual",
        "sum, usual",
        "loop-back: player into recorder",
    ];
    let row = |(i, what): (usize, &&str)| {
        let file = match i {
            7 => "loop-back.wav",
            _ => "",
        };
        format!(
            "<tr><td class=\"n\">{}</td><td>{what}</td><td></td><td>{file}</td><td></td><td></td></tr>",
            i + 1
        )
    };
    let rows: String = rows.iter().enumerate().map(row).collect();
    let long = if sheet.is_long { " The long form once, at the usual step." } else { "" };
    format!(
        "<h2>Takes <small>play the track whole; four steps or more, from soft to the loudest you use.{long}</small></h2>\
         <table><thead><tr><th>no.</th><th>channel</th><th>volume step</th><th>file, e.g. step-12.wav</th>\
         <th>recorder gain</th><th>noticed (clip light, chime, fan)</th></tr></thead><tbody>{rows}</tbody></table>\n"
    )
}

fn device() -> String {
    let row = "<tr><td></td><td></td><td></td><td></td><td></td></tr>";
    format!(
        "<h2>A device <small>player, device, recorder; knobs as read, once with every knob at its middle, once as used</small></h2>\
         <table><thead><tr><th>device</th><th>knob</th><th>position</th><th>clip light at</th><th>file</th></tr></thead>\
         <tbody>{row}{row}{row}</tbody></table>\n"
    )
}

fn after(sheet: &TrackSheet) -> String {
    let track = escape(&sheet.track);
    let device = match sheet.is_long {
        true => {
            format!("<br><code>underpin identify {track} device.wav --report device.html</code>")
        }
        false => String::new(),
    };
    format!(
        "<h2>At home</h2><p><code>underpin diagnose {track} 12=step-12.wav 18=step-18.wav 24=step-24.wav \
         30=step-30.wav --loop-back loop-back.wav --report radio.html</code>{device}<br>\
         with your own steps and files: the number before = is the step.</p>\n"
    )
}

fn cautions() -> String {
    let all: Vec<&str> = CAUTIONS
        .into_iter()
        .chain([
            "battery negative off before any wiring, fuse at the battery",
            "never touch airbag, high-voltage or steering wiring: leave it to licensed people and follow the vehicle maker and local codes",
            "chimes and warnings must stay audible",
        ])
        .collect();
    format!("<h2>Mind</h2><p>{}.</p>\n", all.join(" \u{b7} "))
}
