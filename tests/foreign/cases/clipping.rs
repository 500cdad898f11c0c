//! Output stages that bend: hard, soft, on one side, at zero; from the first step on or never.

use crate::case::{Bench, Case};
use crate::cases::shapes::high_pass;
use crate::chance::Chance;
use crate::filter::butterworth;
use crate::rails::Rails;
use crate::truth::Depends;

/// Bending needs the room above its harmonics.
const STEPS: [f64; 4] = [-20.0, -14.0, -8.0, -2.0];

pub(crate) fn all() -> Vec<Case> {
    vec![
        bent("hard at -6 dBFS", Rails::Hard(-6.0), &STEPS),
        bent("hard at -12 dBFS", Rails::Hard(-12.0), &STEPS),
        bent("hard at +3 dBFS: never reached", Rails::Hard(3.0), &STEPS),
        bent("hard, every step clips", Rails::Hard(-30.0), &[-14.0, -8.0, -2.0]),
        bent("hard, one take clips", Rails::Hard(-10.0), &[-4.0]),
        bent("hard, one clean take", Rails::Hard(-2.0), &[-10.0]),
        bent("soft at -4 dBFS", Rails::Soft(-4.0), &STEPS),
        bent("soft at +4 dBFS", Rails::Soft(4.0), &STEPS),
        bent("soft, every step", Rails::Soft(-22.0), &[-14.0, -8.0, -2.0]),
        bent("one side at -6 dBFS", Rails::OneSided(-6.0), &STEPS),
        bent("one side at -14 dBFS", Rails::OneSided(-14.0), &STEPS),
        bent("second harmonic", Rails::Curved(0.08), &STEPS),
        bent("second harmonic, small", Rails::Curved(0.01), &STEPS),
        bent("crossover, large", Rails::Crossover(0.004), &STEPS),
        bent("crossover, small", Rails::Crossover(0.0005), &STEPS),
    ]
}

fn bent(name: &str, rails: Rails, steps: &'static [f64]) -> Case {
    Case::new("clipping", name, move |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(2), c.near(30.0, 0.1));
        let mut bench = Bench::new(c, linear).at(steps);
        bench.radio.rails = rails;
        bench.wire.gain_db = -1.5;
        // A rail is level dependence too; what the sentence calls it is judged by the table of tones.
        bench.truth.depends = Depends::NotAsked;
        let mut scene = bench.scene(Some(2), seed);
        // Bent combs read lower, more so the louder they are.
        scene.truth.channels.iter_mut().for_each(|channel| channel.below_db = 3.0);
        scene
    })
}
