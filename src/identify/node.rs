//! The node between pull-up and sender.
//!
//! Seen from the sender, pull-up P to the excitation E and whatever is known to hang on the node (X to ground) are one
//! source of E·(1 − c/X) behind c, the two in parallel. With the sender's ground at β·E, gain α and offset o, all as
//! shares of the reference, a sender of R reads
//!
//! ```text
//! y = α·(E/Vref)·(1 − c/X)·R/(R + c) + β·(E/Vref)·c/(R + c) + o
//! ```
//!
//! which is linear in (α, β, o) at a given c. So only c has to be looked for; [`minimax`](super::minimax) does the
//! rest. The accuracy may leave several separate stretches of c open: two pairs with a free offset have two solutions.

use super::cause::Cause;
use super::minimax::{Best, EXPLAINS, Statement, best, greatest};
use super::scale::{Scale, Shared};

/// Where source resistances are looked for, in ohms: powers of ten.
const LEAST_POWER: f64 = -3.0;
const GREATEST_POWER: f64 = 10.0;
/// Steps in a decade of the first look.
const STEPS: f64 = 6.0;
/// Golden cuts that bring a step down to ten digits of the source resistance.
const FINE: usize = 50;
/// Golden cuts and halvings that are enough for a limit.
const PLAIN: usize = 26;
/// (√5 − 1)/2.
const GOLDEN: f64 = 0.618_033_988_749_894_8;

/// One reading with its known resistance in ohms.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub(super) line: usize,
    pub(super) r: f64,
    pub(super) read: Shared,
}

/// What is known of the node.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) points: Vec<Point>,
    /// Excitation as a share of the reference.
    pub(super) feed: f64,
    /// What is known to hang on the node besides the sender, in ohms; infinite if nothing does.
    pub(super) existing: f64,
    /// Accuracy of the known resistances, a share.
    pub(super) known: f64,
    pub(super) scale: Scale,
}

/// A stretch of source resistances within which a cause explains the points, or the best that can be done.
#[derive(Clone, Copy, Debug)]
pub(super) struct Solution {
    /// The source resistance with the least share, in ohms.
    pub(super) c: f64,
    pub(super) best: Best,
    /// The least source resistance that the accuracy leaves open.
    pub(super) lowest: f64,
    /// The greatest one, which may be infinite.
    pub(super) highest: f64,
}

impl Solution {
    pub(super) fn explains(&self) -> bool {
        self.best.share <= EXPLAINS
    }

    /// How much is wrong beside the pull-up, to tell a likely solution from an unlikely one.
    fn departure(&self) -> f64 {
        let [gain, shift, offset] = self.best.u;
        (gain - 1.0).abs() + shift.abs() + offset.abs()
    }
}

impl Node {
    /// What all points and the converter say about (α, β, o) at a source resistance.
    fn statements(&self, cause: Cause, c: f64) -> Vec<Statement> {
        let top = self.feed * (1.0 - c / self.existing);
        let of_point = |point: &Point| {
            let near_ground = c / (point.r + c);
            let q = [top * (1.0 - near_ground), self.feed * near_ground, 1.0];
            // dy/d(ln R) is what is read times the share of c; either the reading or the model may be the larger.
            let moved = near_ground * point.read.share.max(q[0]) * self.known;
            Statement { q, y: point.read.share, h: point.read.accuracy + moved }
        };
        let mut statements: Vec<Statement> = self.points.iter().map(of_point).collect();
        if !cause.frees_gain() {
            statements.push(Statement { q: [1.0, 0.0, 0.0], y: 1.0, h: self.scale.gain });
        }
        if !cause.frees_shift() {
            statements.push(Statement { q: [0.0, 1.0, 0.0], y: 0.0, h: 0.0 });
        }
        if !cause.frees_offset() {
            statements.push(Statement { q: [0.0, 0.0, 1.0], y: 0.0, h: self.scale.offset });
        }
        statements
    }

    /// The share at a power of ten; infinite where nothing can be said.
    fn share(&self, cause: Cause, power: f64) -> f64 {
        best(&self.statements(cause, 10_f64.powf(power))).map_or(f64::INFINITY, |best| best.share)
    }

    /// All stretches in which the cause explains the points, the likeliest first; if there is none, the best point.
    pub(super) fn solutions(&self, cause: Cause) -> Vec<Solution> {
        let highest = GREATEST_POWER.min(self.existing.log10());
        let count = ((highest - LEAST_POWER) * STEPS).ceil().max(2.0) as usize;
        let power = |i: usize| LEAST_POWER + (highest - LEAST_POWER) * i as f64 / count as f64;
        let looks: Vec<(f64, f64)> = (0..=count).map(|i| (power(i), self.share(cause, power(i)))).collect();
        let mut found: Vec<Solution> = Vec::new();
        for (i, &(_, share)) in looks.iter().enumerate() {
            let before = i.checked_sub(1).map_or(f64::INFINITY, |i| looks[i].1);
            let after = looks.get(i + 1).map_or(f64::INFINITY, |look| look.1);
            if share < before && share <= after {
                found.extend(self.around(cause, &looks, i));
            }
        }
        found.sort_by(|a, b| a.best.share.total_cmp(&b.best.share));
        if !found.first().is_some_and(Solution::explains) {
            found.truncate(1);
            return found;
        }
        let mut apart: Vec<Solution> = Vec::new();
        for solution in found.into_iter().filter(Solution::explains) {
            if apart.iter().all(|other| solution.c < other.lowest || other.highest < solution.c) {
                apart.push(solution);
            }
        }
        apart.sort_by(|a, b| a.departure().total_cmp(&b.departure()));
        apart
    }

    /// The lowest share near a look that is lower than its neighbours.
    fn around(&self, cause: Cause, looks: &[(f64, f64)], i: usize) -> Option<Solution> {
        let last = looks.len() - 1;
        let ends = (looks[i.saturating_sub(1)].0, looks[(i + 1).min(last)].0);
        let share = |power: f64| self.share(cause, power);
        let mut power = least(ends, PLAIN, share);
        // Far from an explanation the last digits do not matter.
        if share(power) < 100.0 {
            power = least(ends, FINE, share);
        }
        let c = 10_f64.powf(power);
        let best = best(&self.statements(cause, c))?;
        let mut solution = Solution { c, best, lowest: c, highest: c };
        if solution.explains() {
            let fits = |power: f64| self.share(cause, power) <= EXPLAINS;
            let below = looks.iter().rev().map(|look| look.0).filter(|p| *p < power);
            let above = looks.iter().map(|look| look.0).filter(|p| *p > power);
            solution.lowest = border(power, below, fits).map_or(0.0, |p| 10_f64.powf(p));
            solution.highest = border(power, above, fits).map_or(f64::INFINITY, |p| 10_f64.powf(p));
        }
        Some(solution)
    }

    /// The least and the greatest of a value over a stretch: `value` makes it from the source resistance and from an end
    /// of `of`, and runs in one direction with the latter.
    pub(super) fn range(
        &self,
        cause: Cause,
        stretch: &Solution,
        of: Of,
        value: impl Fn(f64, f64) -> f64,
    ) -> (f64, f64) {
        let ends = |power: f64| {
            let c = 10_f64.powf(power);
            let (low, high) = of.ends(&self.statements(cause, c), self.scale.gain)?;
            let (a, b) = (value(c, low), value(c, high));
            Some((a.min(b), a.max(b)))
        };
        let limits = (
            stretch.lowest.log10().max(LEAST_POWER),
            stretch.highest.min(self.existing * (1.0 - 1e-9)).log10().min(GREATEST_POWER),
        );
        let inside = stretch.c.log10();
        let lowest = extreme(limits, inside, |power| ends(power).map_or(f64::INFINITY, |ends| ends.0));
        let highest = extreme(limits, inside, |power| ends(power).map_or(f64::INFINITY, |ends| -ends.1));
        (lowest, -highest)
    }
}

/// What is looked for at a given source resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    /// α.
    Gain,
    /// What of α may come from outside the converter, whose own gain error hides in it.
    GainOutside,
    /// β.
    Shift,
    /// o.
    Offset,
    /// β/α.
    ShiftToGain,
}

impl Of {
    fn ends(self, statements: &[Statement], gain: f64) -> Option<(f64, f64)> {
        let ends = |direction: [f64; 3]| {
            let high = greatest(statements, direction)?;
            Some((-greatest(statements, direction.map(|x| -x))?, high))
        };
        match self {
            Self::Gain => ends([1.0, 0.0, 0.0]),
            Self::GainOutside => {
                ends([1.0, 0.0, 0.0]).map(|(low, high)| (low.max(0.0) / (1.0 + gain), high / (1.0 - gain)))
            }
            Self::Shift => ends([0.0, 1.0, 0.0]),
            Self::Offset => ends([0.0, 0.0, 1.0]),
            Self::ShiftToGain => {
                Some((-greatest_ratio(statements, -1.0, gain)?, greatest_ratio(statements, 1.0, gain)?))
            }
        }
    }
}

/// The greatest of sign·β/α: it is r if the greatest of sign·β − r·α is 0. Since α is 1 within the gain error, each
/// step leaves only that share of the distance.
fn greatest_ratio(statements: &[Statement], sign: f64, gain: f64) -> Option<f64> {
    let mut ratio = 0.0;
    for _ in 0..PLAIN {
        let short = greatest(statements, [-ratio, sign, 0.0])?;
        ratio += short / (1.0 + gain * short.signum());
        if short.abs() < 1e-12 {
            break;
        }
    }
    Some(ratio)
}

/// The place of the least value between two ends, of a function with one valley there.
fn least((mut low, mut high): (f64, f64), cuts: usize, value: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_a, mut at_b) = (value(a), value(b));
    for _ in 0..cuts {
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - GOLDEN * (high - low);
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + GOLDEN * (high - low);
            at_b = value(b);
        }
    }
    if at_a <= at_b { a } else { b }
}

/// Where `fits` ends, on the way from a place that fits over the others; none if all of them fit.
fn border(from: f64, others: impl Iterator<Item = f64>, fits: impl Fn(f64) -> bool) -> Option<f64> {
    let mut inside = from;
    for outside in others {
        if fits(outside) {
            inside = outside;
            continue;
        }
        let mut outside = outside;
        for _ in 0..PLAIN {
            let middle = f64::midpoint(inside, outside);
            if fits(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        return Some(inside);
    }
    None
}

/// The least value between two ends: looks first, in case of several valleys, then goes down into the lowest one.
fn extreme(ends: (f64, f64), inside: f64, value: impl Fn(f64) -> f64) -> f64 {
    const LOOKS: usize = 12;
    let step = (ends.1 - ends.0) / LOOKS as f64;
    let looks = (0..=LOOKS).map(|i| ends.0 + step * i as f64).chain([inside]);
    let looks = looks.map(|power| (power, value(power)));
    let (lowest, found) = looks.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((inside, f64::INFINITY));
    let near = ((lowest - step).max(ends.0), (lowest + step).min(ends.1));
    value(least(near, PLAIN, &value)).min(found)
}
