//! What the trackers do not explain: is it theirs, another partial, or a hit?
//!
//! The signal z is the known p plus the unexplained d. Three cases need three
//! treatments, and simple powers tell them apart:
//!
//! - **A partial on the move**, a glide: d is large, but z is as long as p,
//!   because a turned signal keeps its length. Everything is one signal then.
//! - **A hit over notes that were settled**: the power rises, and z's length
//!   differs from p's. All of d is foreign, and the trackers coast meanwhile.
//! - **Otherwise** d is foreign as far as its power exceeds that of the known:
//!   modulation of a note is never stronger than the note.

use super::phasor::Phasor;
use super::smooth::Smooth;
use num_complex::Complex64;

/// Powers are averaged over a cycle of 50 Hz.
const POWER_S: f64 = 0.02;
/// Less than this share of the known is not worth looking for partials in, -30 dB.
const EXPLAINED: f64 = 0.001;
/// Trackers settle while the unexplained stays below this share of the known, -13 dB ...
const SETTLED: f64 = 0.05;
/// ... for a cycle or two, so that passing through does not count, and stay settled about as long
/// while a hit builds up. Half way between counts.
const SETTLES_S: f64 = 0.05;
const UNSETTLES_S: f64 = 0.04;
/// |z|² - |p|² = 2·Re(d·p*) + |d|², whose square is 2·|d|²·|z|² on average if d is foreign, and
/// nothing if d is p turned. Below this share of it, p has turned: the middle of what works.
const TURNED: f64 = 0.25;
/// Into one signal and out again: a tenth of a cycle does not click.
const FADE_S: f64 = 0.005;
/// A hit: the power, followed within a fraction of a cycle ...
const LEVEL_S: f64 = 0.002;
/// ... exceeds its own average over about a hit's length ...
const AVERAGE_S: f64 = 0.1;
/// ... this many times.
const RISE: f64 = 2.0;
/// Or: something stronger than -10 dB re the known ...
const STRONG: f64 = 0.1;
/// ... changes length and angle alike over a few milliseconds, ...
const CHANGE_S: f64 = 0.005;
const BOTH: f64 = 0.2;
/// ... while there is about as much as is known, and as there was: a drum that dies and falls in
/// pitch changes both too.
const HOLDS: f64 = 0.6;
const LASTS: f64 = 0.8;
/// The opposite, an end: 1 dB below the average.
const END: f64 = 0.8;
/// A hit is over when the unexplained is this share of the known, -15 dB, or after a while.
const FAINT: f64 = 0.03;
const HIT_S: f64 = 0.25;
/// Settled trackers trust errors up to this share of the known power, -10 dB, and larger ones less.
const TRUSTED: f64 = 0.1;

/// Watches the known and the unexplained.
pub(super) struct ResidualClassifier {
    rate_hz: f64,
    known: Smooth,
    whole: Smooth,
    unexplained: Smooth,
    difference: Smooth,
    level: Smooth,
    average: Smooth,
    foreign: Smooth,
    in_length: Smooth,
    in_angle: Smooth,
    unsettled: bool,
    state: State,
    hit_share: f64,
    one: f64,
}

/// What the trackers are to do.
#[derive(Clone, Copy)]
enum State {
    /// Follow; they have settled this far, 0..1.
    Follow { settled: f64 },
    /// Coast: a hit sounds over settled notes, and may for this long.
    Coast { left_s: f64 },
}

impl State {
    const NEW: Self = Self::Follow { settled: 0.0 };

    /// Half way counts.
    fn settled(self) -> bool {
        matches!(self, Self::Follow { settled } if settled >= 0.5)
    }

    /// The state after a sample of `time` seconds, in which the residual was this.
    #[inline]
    fn after(self, residual: Residual, time: f64) -> Self {
        let Residual { unsettled, hits, faint, any } = residual;
        match self {
            Self::Coast { left_s } if faint || left_s <= time => Self::NEW,
            Self::Coast { left_s } => Self::Coast { left_s: left_s - time },
            Self::Follow { .. } if self.settled() && unsettled && hits => {
                Self::Coast { left_s: HIT_S }
            }
            Self::Follow { .. } if !any => Self::NEW,
            Self::Follow { settled } => {
                let step = if unsettled { -time / UNSETTLES_S } else { time / SETTLES_S };
                Self::Follow { settled: (settled + step).clamp(0.0, 1.0) }
            }
        }
    }
}

/// What the residual of one sample is like.
#[derive(Clone, Copy)]
struct Residual {
    /// More than settled trackers leave.
    unsettled: bool,
    /// As a hit would be.
    hits: bool,
    /// Next to nothing.
    faint: bool,
    /// There are trackers that are believed in.
    any: bool,
}

impl ResidualClassifier {
    pub(super) fn new(rate_hz: f64) -> Self {
        let smooth = |seconds| Smooth::new(seconds, rate_hz);
        Self {
            rate_hz,
            known: smooth(POWER_S),
            whole: smooth(POWER_S),
            unexplained: smooth(POWER_S),
            difference: smooth(POWER_S),
            level: smooth(LEVEL_S),
            average: smooth(AVERAGE_S),
            foreign: smooth(CHANGE_S),
            in_length: smooth(CHANGE_S),
            in_angle: smooth(CHANGE_S),
            unsettled: false,
            state: State::NEW,
            hit_share: 0.0,
            one: 0.0,
        }
    }

    pub(super) fn reset(&mut self) {
        *self = Self::new(self.rate_hz);
    }

    /// Takes in the signal `z`, its `known` part, and the sum of that part's powers. Answers with
    /// the share of the unexplained that is foreign to the notes known.
    #[inline]
    pub(super) fn push(&mut self, z: Complex64, known: Complex64, power: f64) -> f64 {
        let time = 1.0 / self.rate_hz;
        let difference = z.norm_sqr() - known.norm_sqr();
        let (unexplained, level) = (z - known, z.norm_sqr());
        let in_length = self.in_length.push((0.5 * difference).powi(2));
        let in_angle = self.in_angle.push(unexplained.ahead(known).powi(2));
        let foreign = self.foreign.push(unexplained.norm_sqr());
        let known = self.known.push(power);
        let whole = self.whole.push(level);
        let unexplained = self.unexplained.push(unexplained.norm_sqr());
        let difference = self.difference.push(difference * difference);
        let average = self.average.push(level);
        let level = self.level.push(level);
        let faint = power == 0.0 || unexplained < FAINT * known;
        self.unsettled = unexplained > SETTLED * known;
        let both = in_length.min(in_angle) > BOTH * (in_length + in_angle);
        let holds = whole > HOLDS * known && whole > LASTS * average;
        let hits = level > RISE * average || (foreign > STRONG * power && both && holds);
        let any = power > 0.0;
        let residual = Residual { unsettled: self.unsettled, hits, faint, any };
        self.state = self.state.after(residual, time);
        let step = |up: bool, seconds: f64| if up { time / seconds } else { -time / seconds };
        let turned = power > 0.0
            && self.unsettled
            && !self.hit()
            && difference < TURNED * 2.0 * unexplained * whole;
        self.one = (self.one + step(turned, FADE_S)).clamp(0.0, 1.0);
        self.hit_share = (self.hit_share + step(self.hit(), FADE_S)).clamp(0.0, 1.0);
        match power {
            0.0 => 1.0,
            _ => (1.0 - power / unexplained.max(1e-300)).max(self.hit_share),
        }
    }

    /// True while there is something that known partials do not explain, and no hit over them.
    #[inline]
    pub(super) fn unexplained(&self) -> bool {
        !self.hit() && self.unexplained.value() > EXPLAINED * self.known.value()
    }

    /// All has just been explained by partials of this power.
    pub(super) fn explained(&mut self, power: f64) {
        self.known.set(power);
        self.unexplained.set(0.0);
    }

    /// True while a hit sounds over settled notes.
    #[inline]
    pub(super) fn hit(&self) -> bool {
        matches!(self.state, State::Coast { .. })
    }

    /// True on the first sample of a hit.
    #[inline]
    pub(super) fn hit_starts(&self) -> bool {
        matches!(self.state, State::Coast { left_s } if left_s == HIT_S)
    }

    /// True while trackers that have settled, or a hit over them, call for slow decisions.
    #[inline]
    pub(super) fn calm(&self) -> bool {
        self.hit() || (self.state.settled() && self.level.value() > END * self.average.value())
    }

    /// True while settled trackers meet something that may become a hit.
    #[inline]
    pub(super) fn doubtful(&self) -> bool {
        self.unsettled && !self.hit() && self.calm()
    }

    /// How far (0..1) everything is one signal.
    #[inline]
    pub(super) fn one(&self) -> f64 {
        self.one
    }

    /// How far (0..1) an error of power `error` may move trackers of power `known`: settled ones
    /// are not to be thrown by something new, but have to follow when all ends.
    #[inline]
    pub(super) fn trust(&self, error: f64, known: f64) -> f64 {
        let trusted = TRUSTED * known;
        if error > trusted && self.calm() { trusted / error } else { 1.0 }
    }
}
