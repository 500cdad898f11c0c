//! What lies on the line while the capture is made: mains, alternators, clocks, chimes, codecs.

use crate::case::{Bench, Case, RATE};
use crate::cases::shapes::high_pass;
use crate::chance::Chance;
use crate::filter::{Filter, butterworth};
use crate::truth::Depends;
use crate::wire::{Codec, Tones, Wire};

pub(crate) fn all() -> Vec<Case> {
    let mut all = hum();
    all.extend(clocks());
    all.extend(codecs());
    all.extend(mishaps());
    all
}

/// A fourth-order radio (or a flat one) on a wire that this changes.
fn on(
    group: &'static str,
    name: impl Into<String>,
    flat: bool,
    change: impl Fn(&mut Chance, &mut Wire) + Sync + Send + 'static,
) -> Case {
    Case::new(group, name, move |chance: &mut Chance, seed| {
        let hz = chance.near(60.0, 0.1);
        let linear = if flat { Filter::none(RATE) } else { high_pass(&butterworth(4), hz) };
        let mut bench = Bench::new(chance, linear);
        change(chance, &mut bench.wire);
        bench.truth.depends = Depends::Unknown;
        bench.truth.flat = flat;
        bench.scene(Some(if flat { 0 } else { 4 }), seed)
    })
}

fn hum() -> Vec<Case> {
    let mut all = Vec::new();
    for hz in [50.0, 60.0] {
        for dbfs in [-70.0, -55.0, -40.0] {
            for flat in [true, false] {
                let radio = if flat { "flat" } else { "fourth order" };
                let name = format!("hum {hz} Hz at {dbfs} dBFS, {radio}");
                all.push(on("hum", name, flat, move |c, wire| {
                    // Mains hold within 0.4 % (EN 50160).
                    wire.tones = Tones::Hum(c.near(hz, 0.002), dbfs);
                }));
            }
        }
    }
    for dbfs in [-65.0, -50.0, -40.0] {
        for flat in [true, false] {
            let radio = if flat { "flat" } else { "fourth order" };
            all.push(on(
                "whine",
                format!("whine at {dbfs} dBFS, {radio}"),
                flat,
                move |_, wire| {
                    wire.tones = Tones::Whine(dbfs);
                },
            ));
        }
    }
    all
}

fn clocks() -> Vec<Case> {
    let mut all = Vec::new();
    for wander in [0.2, 1.0, 2.0, 5.0, 15.0] {
        for flat in [true, false] {
            let radio = if flat { "flat" } else { "fourth order" };
            all.push(on(
                "clock",
                format!("clock wanders {wander} ppm, {radio}"),
                flat,
                move |c, wire| {
                    wire.wander_ppm = wander;
                    wire.ppm = c.even(-50.0, 50.0);
                },
            ));
        }
    }
    for ppm in [-300.0, 120.0, 300.0] {
        all.push(on("clock", format!("clock {ppm} ppm"), false, move |_, wire| wire.ppm = ppm));
    }
    all
}

fn codecs() -> Vec<Case> {
    let mut all = Vec::new();
    for below in [30.0, 22.0, 16.0] {
        for flat in [true, false] {
            let radio = if flat { "flat" } else { "fourth order" };
            all.push(on(
                "codec",
                format!("codec, noise {below} dB below, {radio}"),
                flat,
                move |_, wire| {
                    wire.codec = Codec::Lossy(below);
                },
            ));
        }
    }
    all.push(on("codec", "8 bits", false, |_, wire| wire.bits = 8));
    all.push(on("codec", "12 bits", true, |_, wire| wire.bits = 12));
    all
}

fn mishaps() -> Vec<Case> {
    vec![
        on("mishap", "thirty seconds of silence before", false, |_, wire| wire.lead_s = 30.0),
        on("mishap", "DC of 0.1", false, |_, wire| wire.dc = 0.1),
        on("mishap", "very quiet recording", false, |_, wire| wire.gain_db = -40.0),
        on("mishap", "very quiet recording of a flat radio", true, |_, wire| wire.gain_db = -40.0),
        on("mishap", "recorder noise -60 dBFS", false, |_, wire| wire.noise_dbfs = -60.0),
        on("mishap", "recorder noise -60 dBFS, flat", true, |_, wire| wire.noise_dbfs = -60.0),
        on("mishap", "recorder noise -45 dBFS", false, |_, wire| wire.noise_dbfs = -45.0),
        on("mishap", "drop-out of 40 ms", false, |c, wire| {
            wire.drop_outs = vec![(c.even(32.0, 40.0), 0.04)];
        }),
        on("mishap", "drop-outs of 5 ms", true, |c, wire| {
            wire.drop_outs = (0..3).map(|_| (c.even(12.0, 42.0), 0.005)).collect();
        }),
        on("mishap", "chime in the silence", false, |_, wire| wire.chime = Some((4.0, -35.0))),
        on("mishap", "chime while the comb plays", true, |_, wire| {
            wire.chime = Some((36.0, -25.0))
        }),
        on("mishap", "16 bits, quiet", true, |_, wire| {
            wire.bits = 16;
            wire.gain_db = -25.0;
        }),
        on("mishap", "driven 5 dB over full scale", false, |_, wire| wire.gain_db = 15.0),
    ]
}
