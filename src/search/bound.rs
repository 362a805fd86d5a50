//! Bounds over a box of values: how good it can be at best, and whether a limit excludes all of it.

use super::space::{Box, MOST, Root};
use crate::circuit::Situation;
use crate::limits::{Check, Unit};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::{Corner, Ends, Measure, Sense, SpanCorner, least_span, worst};

/// What a limit says of a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ruling {
    /// It holds for every combination.
    Holds,
    /// It fails for every combination.
    Excludes,
    /// Neither is shown. Each slot moves what is measured by this share of it, from one end of the box to the other.
    Open([f64; MOST]),
}

impl Root {
    /// The assured span of one combination, and the board at which it is least.
    pub(super) fn assured(&self, places: &[u16; MOST]) -> SpanCorner {
        let [first, last] = &self.scene.range_ends;
        let bands = [self.fitted(first, places), self.fitted(last, places)];
        least_span(first, last, [&bands[0], &bands[1]], self.sign)
    }

    /// A bound that no assured span in the box exceeds; exact for a single combination.
    ///
    /// Any board inside the tolerances bounds the least span from above. Taken is the board at which the combination
    /// in the middle of the box is worst, and of that board the greatest span over the box.
    pub(super) fn best_span(&self, b: &Box) -> f64 {
        let worst = self.assured(&b.middle());
        if self.is_single(b) {
            return (worst.span.0 * self.sign).max(0.0);
        }
        let open = if self.has_sender { self.best_of_sender(b, &worst) } else { self.best_of_signal(b, &worst) };
        open.min(self.best_held(b, &worst)).max(0.0)
    }

    /// The greatest span with each count held in the range of the converter, the two ends of the range on their own.
    fn best_held(&self, b: &Box, worst: &SpanCorner) -> f64 {
        let [low, high] = self.ends_by_pin();
        let top = low.converter.highest_count().0;
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for places in self.vertices(b) {
            least = least.min(open_count(&self.board_at(low, &places, worst.ends), worst));
            most = most.max(open_count(&self.board_at(high, &places, worst.ends), worst));
        }
        most.clamp(0.0, top) - least.clamp(0.0, top)
    }

    /// The ends of the range, that with the lower pin first.
    fn ends_by_pin(&self) -> [&Situation; 2] {
        let [first, last] = &self.scene.range_ends;
        if self.sign > 0.0 { [first, last] } else { [last, first] }
    }

    /// Between two voltages at the far end, the pin moves by their difference times the share of the far end in the
    /// pin. That share is monotone in each part: its greatest is at a vertex. Leakage moves both ends alike.
    fn best_of_signal(&self, b: &Box, worst: &SpanCorner) -> f64 {
        let [low, high] = self.ends_by_pin();
        let span = |places| {
            let [a, z] = [low, high].map(|s| open_count(&self.board_at(s, &places, worst.ends), worst));
            z - a
        };
        self.vertices(b).map(span).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Between two resistances a < z of a sender.
    ///
    /// The numbers n, d, m of the pin are affine in the sender, so V(z) − V(a) = (z − a)·Δ/(d(a)·d(z)) with the
    /// determinant Δ = n₁·d₀ − n₀·d₁. Followed through the steps of the chain, Δ is a sum of products of part values
    /// without a minus sign for the excitation and for the leakage, and with nothing but minus signs for the ground
    /// shift; d is such a sum too. The logarithm of such a sum is convex in the logarithms of the values. So
    /// ln Δ − ln d(a) − ln d(z) is at most ln Δ less the tangents of the other two, which is convex: its greatest is at
    /// a vertex. The bound is off by the second order of the box only. What counts against the span is taken at its
    /// least instead: Δ at the smallest values, d at the largest.
    fn best_of_sender(&self, b: &Box, worst: &SpanCorner) -> f64 {
        let [low, high] = self.ends_by_pin();
        let [smallest, largest] = [&b.first, &b.last].map(|p| self.pair_at([low, high], p, worst.ends));
        let tangents = [low, high].map(|s| self.tangent(s, b, worst.ends));
        let (shift, leakage) = (self.board_at(low, &b.first, worst.ends).shift().0, worst.leakage.0);
        let against = |of: fn(&Pair) -> f64| of(&smallest) * smallest.d() / largest.d();
        let most = self
            .vertices(b)
            .map(|places| {
                let pair = self.pair_at([low, high], &places, worst.ends);
                let tangent: f64 = tangents.iter().map(|t| self.along(t, &places, worst.ends)).sum();
                let helps = pair.excitation + (-shift).max(0.0) * pair.far + leakage.max(0.0) * pair.leakage;
                helps * (pair.d().ln() - tangent).exp()
            })
            .fold(f64::NEG_INFINITY, f64::max);
        let least = shift.max(0.0) * against(|p| p.far) + (-leakage).max(0.0) * against(|p| p.leakage);
        let corner = self.board_at(low, &b.first, worst.ends);
        let reference = corner.reference().unwrap_or(Volts(f64::NAN));
        low.converter.count(Volts(most - least), reference, worst.gain).0
    }

    fn pair_at(&self, ends_of_range: [&Situation; 2], places: &[u16; MOST], ends: Ends) -> Pair {
        let [a, z] = ends_of_range.map(|s| self.board_at(s, places, ends));
        let ([na, da, ma], [nz, dz, mz]) = (a.pin().numbers(), z.pin().numbers());
        let [ga, gz] = [&a, &z].map(|corner| corner.far_alone().numbers()[0]);
        let shift = a.shift().0;
        let (far, total) = (ga / da - gz / dz, nz / dz - na / da);
        Pair { excitation: total + shift * far, far, leakage: mz / dz - ma / da, d: [da, dz] }
    }

    /// The tangent of ln d at the middle of the box: ln d there, the logarithms of the values there, and the slopes
    /// by the logarithm of each value, (d − d without the value)/d.
    fn tangent(&self, situation: &Situation, b: &Box, ends: Ends) -> Tangent {
        let middle = self.board_at(situation, &b.middle(), ends);
        let d = middle.pin().numbers()[1];
        let mut tangent = Tangent { ln_d: d.ln(), at: [0.0; MOST], slopes: [0.0; MOST] };
        for (k, slot) in self.slots.iter().enumerate() {
            let without = middle.with_resistance(slot.element, Ohms(0.0)).pin().numbers()[1];
            tangent.at[k] = middle.resistance(slot.element).0.ln();
            tangent.slopes[k] = 1.0 - without / d;
        }
        tangent
    }

    /// The tangent at one combination.
    fn along(&self, tangent: &Tangent, places: &[u16; MOST], ends: Ends) -> f64 {
        let mut sum = tangent.ln_d;
        for (k, slot) in self.slots.iter().enumerate() {
            let limits = slot.limits[usize::from(places[k])];
            let value = if ends.resistance_is_high(slot.element) { limits.highest } else { limits.lowest };
            sum += tangent.slopes[k] * (value.0.ln() - tangent.at[k]);
        }
        sum
    }

    /// One board: the parts of a combination, each at the end of its limits that `ends` says.
    fn board_at<'a>(&self, situation: &'a Situation, places: &[u16; MOST], ends: Ends) -> Corner<'a> {
        Corner::at(situation, &self.fitted(situation, places), ends)
    }

    /// What a limit says of a box.
    pub(super) fn ruling(&self, check: &Check, b: &Box) -> Ruling {
        let situation = &self.scene.situations[check.situation];
        let spread = self.spread(situation, b);
        let Some(worst) = worst(check.measure, check.sense, situation, &spread) else {
            return Ruling::Holds;
        };
        if check.holds(worst.value) {
            return Ruling::Holds;
        }
        if self.is_single(b) {
            return Ruling::Excludes;
        }
        let favourable = self.favourable(check, situation, b, worst.ends);
        if check.holds(favourable.best) { Ruling::Open(favourable.moved_by) } else { Ruling::Excludes }
    }

    /// The most favourable value over the box for the board that sits at `ends`: for no combination is the worst case
    /// better than that. Monotone quantities have it at a vertex. A current has it there too unless it changes its
    /// sign in between, and so has a dissipation, which in the part's own value rises to a peak and falls again.
    fn favourable(&self, check: &Check, situation: &Situation, b: &Box, ends: Ends) -> Favourable {
        let mut values = [0.0; 1 << MOST];
        let mut signs = [false; 2];
        let mut count = 0;
        for places in self.vertices(b) {
            let corner = self.board_at(situation, &places, ends);
            let (value, current) = at_one_board(check, &corner);
            if let Some(current) = current {
                signs[usize::from(current > Amperes(0.0))] = true;
            }
            values[count] = value;
            count += 1;
        }
        let values = &values[..count];
        let better = |a: f64, b: f64| if check.sense.is_worse(a, b) { b } else { a };
        let best = values.iter().copied().reduce(better).unwrap_or(f64::NAN);
        let best = if signs == [true, true] { 0.0 } else { best };
        // A share of the reference may be bounded by 0: its scale is the reference.
        let natural = if check.unit == Unit::Share { 1.0 } else { 0.0 };
        let scale = check.allowed.unwrap_or(0.0).abs().max(natural);
        Favourable { best, moved_by: self.moved_by(b, values, scale) }
    }

    /// By which share each slot moves a quantity, given at the vertices of the box; where the quantity is small, by
    /// which share of its bound.
    fn moved_by(&self, b: &Box, values: &[f64], scale: f64) -> [f64; MOST] {
        let mut moved = [0.0; MOST];
        let open = (0..self.slots.len()).filter(|&k| b.first[k] != b.last[k]);
        for (bit, k) in open.enumerate() {
            for (i, &x) in values.iter().enumerate().filter(|(i, _)| i >> bit & 1 == 0) {
                moved[k] = f64::max(moved[k], share(x, values[i | 1 << bit], scale));
            }
        }
        moved
    }

    /// By which share each slot moves the span, from the middle of the box to either end.
    pub(super) fn span_moved_by(&self, b: &Box) -> [f64; MOST] {
        let [low, high] = self.ends_by_pin();
        let span = |places: [u16; MOST]| {
            let [a, z] = [low, high].map(|s| self.board_at(s, &places, Ends::default()).pin().emf());
            (z - a).0
        };
        let middle = b.middle();
        let at_middle = span(middle);
        let mut moved = [0.0; MOST];
        for k in 0..self.slots.len() {
            for end in [b.first[k], b.last[k]] {
                let mut places = middle;
                places[k] = end;
                moved[k] = f64::max(moved[k], share(at_middle, span(places), 0.0));
            }
        }
        moved
    }

    /// The least that the worst value of a measure over the range can be in the box, at nominal values.
    pub(super) fn least_nominal(&self, measure: Measure, b: &Box) -> f64 {
        [Ends::default(), Ends::ALL_HIGH]
            .into_iter()
            .map(|ends| {
                self.vertices(b)
                    .map(|places| {
                        let bands: &[Band<Ohms>] = &self.nominally(&self.nominal, &places);
                        measure.at(&Corner::at(&self.nominal, bands, ends), Sense::AtMost)
                    })
                    .fold(f64::INFINITY, f64::min)
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

/// The most favourable value of a measure over a box, and by which share each slot moves it.
#[derive(Debug)]
struct Favourable {
    best: f64,
    moved_by: [f64; MOST],
}

/// What a check measures at one board, and the current whose sign decides whether its least is at a vertex.
fn at_one_board(check: &Check, corner: &Corner) -> (f64, Option<Amperes>) {
    let element = match (check.measure, check.sense) {
        (Measure::Power(element) | Measure::Voltage(element), Sense::AtMost) => element,
        (Measure::FarCurrent, Sense::AtMost) => 0,
        _ => return (check.measure.at(corner, check.sense), None),
    };
    let i = corner.current(element, corner.situation().leakage);
    let r = corner.resistance(element);
    let value = match check.measure {
        Measure::Power(_) => (i * r * i).0,
        Measure::Voltage(_) => (i * r).0.abs(),
        _ => i.0.abs(),
    };
    (value, Some(i))
}

/// The change between two values as a share of the largest of them and the scale.
fn share(x: f64, y: f64, scale: f64) -> f64 {
    let change = (x - y).abs() / x.abs().max(y.abs()).max(scale);
    if change.is_nan() { 0.0 } else { change }
}

/// The count of a board before truncation, held nowhere.
fn open_count(corner: &Corner, board: &SpanCorner) -> f64 {
    let v = corner.pin().pushed_by(board.leakage);
    let converter = &corner.situation().converter;
    corner.reference().map_or(f64::NAN, |reference| converter.count(v, reference, board.gain).0)
}

/// What the pin moves by between the two ends of a sender's range, apart for each thing that drives it.
#[derive(Debug)]
struct Pair {
    /// Volts, by the excitation.
    excitation: f64,
    /// Volts down for each volt of remote ground.
    far: f64,
    /// Volts for each ampere of leakage.
    leakage: f64,
    /// d at both ends.
    d: [f64; 2],
}

impl Pair {
    fn d(&self) -> f64 {
        self.d[0] * self.d[1]
    }
}

/// The tangent of ln d over the logarithms of the values.
#[derive(Debug)]
struct Tangent {
    ln_d: f64,
    at: [f64; MOST],
    slopes: [f64; MOST],
}
