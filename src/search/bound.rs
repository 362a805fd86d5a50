//! Bounds over a box of values: how good it can be at best, and whether a limit excludes all of it.

use super::space::{Box, MOST, Root, Vertices};
use crate::circuit::{FedBy, Of, Situation};
use crate::limits::{Check, Unit, Watched};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::{self, Corner, Ends, Extreme, Measure, Sense, SpanCorner, least_span, worst, worst_apart};

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

impl Root<'_> {
    /// The assured span of one combination, and the board at which it is least.
    pub(super) fn assured(&self, places: &[u16; MOST]) -> SpanCorner {
        let [first, last] = &self.scene.range_ends;
        let bands = [self.fitted(first, places), self.fitted(last, places)];
        least_span(first, last, [&bands[0], &bands[1]], self.sign)
    }

    /// A board at which a combination has little span: the least, where no parts track each other.
    pub(super) fn witness(&self, places: &[u16; MOST]) -> SpanCorner {
        let [first, last] = &self.scene.range_ends;
        let bands = [self.surely(first, places), self.surely(last, places)];
        least_span(first, last, [&bands[0], &bands[1]], self.sign)
    }

    /// A bound that no assured span in the box exceeds; exact for a single combination.
    ///
    /// Any board inside the tolerances bounds the least span from above. Taken is `witness`, a board at which a
    /// combination nearby is worst, and of that board the greatest span over the box: between the two readings of one
    /// board, and, each held in the range of the converter, between any two.
    pub(super) fn best_span(&self, b: &Box, witness: &SpanCorner) -> f64 {
        if b.is_single() {
            return (self.assured(&b.first).span.0 * self.sign).max(0.0);
        }
        let pairs = self.pairs(b, witness.ends);
        let highest = self.highest_in_range(b, &pairs);
        let open = if self.has_sender {
            self.best_of_sender(b, &pairs, witness)
        } else {
            self.best_of_signal(&pairs, witness, highest)
        };
        open.min(self.best_held(&pairs, witness, highest)).max(0.0)
    }

    /// The highest open voltage of the upper end of the range on the board that is looked at, among all combinations
    /// that keep another board, the ceiling, in the range of the converter.
    ///
    /// With nothing but ground on the path, n is a product of part values, so that of two boards with the same nominal
    /// parts v/v' = constant·d'/d, monotone in each value: its greatest is at a vertex.
    fn highest_in_range(&self, b: &Box, pairs: &[Pair]) -> Option<f64> {
        let ceiling = self.ceiling?;
        let others = self.pairs(b, ceiling.ends);
        let leakage = self.scene.range_ends[0].leakage.0;
        let least_drop =
            others.iter().map(|other| leakage * other.resistance[1]).fold(f64::INFINITY, f64::min);
        let ratios = pairs.iter().zip(others.iter()).map(|(pair, other)| pair.emf[1] / other.emf[1]);
        let ratio = ratios.fold(0.0, f64::max);
        let is_positive = |pairs: &[Pair]| pairs.iter().all(|pair| pair.emf[1] > 0.0);
        (is_positive(pairs) && is_positive(&others)).then_some(ratio * (ceiling.pin.0 - least_drop))
    }

    /// Volts at the pin as counts of the board that is looked at.
    fn counts(&self, v: f64, pair: &Pair, worst: &SpanCorner) -> f64 {
        self.scene.nominal.converter.count(Volts(v), pair.reference, worst.gain).0
    }

    /// The greatest span with each count held in the range of the converter, the two ends of the range on their own.
    fn best_held(&self, pairs: &[Pair], worst: &SpanCorner, highest: Option<f64>) -> f64 {
        let Some(any) = pairs.first() else { return f64::INFINITY };
        let drop = |pair: &Pair, end: usize| worst.leakage.0 * pair.resistance[end];
        let least = pairs.iter().map(|pair| pair.emf[0] + drop(pair, 0)).fold(f64::INFINITY, f64::min);
        let most = pairs.iter().map(|pair| pair.emf[1] + drop(pair, 1)).fold(f64::NEG_INFINITY, f64::max);
        let most_drop = pairs.iter().map(|pair| drop(pair, 1)).fold(f64::NEG_INFINITY, f64::max);
        let most = highest.map_or(most, |highest| most.min(highest + most_drop));
        let top = self.scene.nominal.converter.highest_count().0;
        let held = |v: f64| self.counts(v, any, worst).clamp(0.0, top);
        held(most) - held(least)
    }

    /// The ends of the range, that with the lower pin first.
    fn ends_by_pin(&self) -> [&Situation; 2] {
        let [first, last] = &self.scene.range_ends;
        if self.sign > 0.0 { [first, last] } else { [last, first] }
    }

    /// Between two voltages at the far end, the pin moves by their difference times the share of the far end in the
    /// pin. That share is monotone in each part: its greatest is at a vertex. Leakage moves both ends alike.
    fn best_of_signal(&self, pairs: &[Pair], worst: &SpanCorner, highest: Option<f64>) -> f64 {
        let Some(any) = pairs.first() else { return f64::INFINITY };
        let most = pairs.iter().map(|pair| pair.emf[1] - pair.emf[0]).fold(f64::NEG_INFINITY, f64::max);
        // The two ends are in the same proportion for all parts.
        let moved = |highest: f64| highest * (1.0 - any.emf[0] / any.emf[1]);
        let most = highest.map_or(most, |highest| most.min(moved(highest)));
        self.counts(most, any, worst)
    }

    /// Between two resistances a < z of a sender.
    ///
    /// The numbers n, d, m of the pin are affine in the sender, so V(z) − V(a) = (z − a)·Δ/(d(a)·d(z)) with the
    /// determinant Δ = n₁·d₀ − n₀·d₁. Followed through the steps of the chain, Δ is a sum of products of part values
    /// without a minus sign for what pulls up and for the leakage, and with nothing but minus signs for what the sender
    /// hangs on: the ground shift, or the excitation of a pull-down, where a is the upper end. So each of them helps or
    /// harms the span all over the box; d is such a sum without a minus sign too. What comes in through a wet connector
    /// pulls up a sender to ground, and hinders one that hangs on its excitation: it counts by itself. The logarithm of such a sum is convex in the logarithms of the values. So
    /// ln Δ − ln d(a) − ln d(z) is at most ln Δ less the tangents of the other two, which is convex: its greatest is at
    /// a vertex. The bound is off by the second order of the box only. What counts against the span is taken at its
    /// least instead: Δ at the smallest values, d at the largest.
    fn best_of_sender(&self, b: &Box, pairs: &[Pair], worst: &SpanCorner) -> f64 {
        let tangents = self.ends_by_pin().map(|s| self.tangent(s, b, worst.ends));
        // The vertices come with the smallest values first and the largest last.
        let [Some(smallest), Some(largest)] = [pairs.first(), pairs.last()] else { return f64::INFINITY };
        let (shift, leakage) = (smallest.shift, worst.leakage.0);
        let others = |pair: &Pair| [-shift * pair.by_far(), leakage * pair.by_leakage(), pair.by_wet()];
        let helps = |pair: &Pair| {
            others(pair).into_iter().fold(pair.by_excitation(), |sum, moved| sum + moved.max(0.0))
        };
        let most = self.vertices(b).zip(pairs).map(|(places, pair)| {
            let tangent: f64 = tangents.iter().map(|t| self.along(t, &places, worst.ends)).sum();
            helps(pair) * (pair.d().ln() - tangent).exp()
        });
        let most = most.fold(f64::NEG_INFINITY, f64::max);
        let adverse: f64 = others(smallest).into_iter().map(|moved| (-moved).max(0.0)).sum();
        let least = adverse * smallest.d() / largest.d();
        self.counts(most - least, smallest, worst)
    }

    /// One board at the vertices of the box.
    fn pairs(&self, b: &Box, ends: Ends) -> Vertices<Pair> {
        let mut corners = self.ends_by_pin().map(|s| self.board_at(s, &b.first, ends));
        self.vertices(b)
            .map(|places| {
                for corner in &mut corners {
                    corner.put(self.parts_at(&places, ends));
                }
                Pair::of(&corners)
            })
            .collect()
    }

    /// The parts of a combination, each at the end of its limits that `ends` says, with their places in the chain.
    fn parts_at(&self, places: &[u16; MOST], ends: Ends) -> impl Iterator<Item = (usize, Ohms)> {
        self.slots.iter().zip(*places).map(move |(slot, place)| (slot.element, slot.value_at(place, ends)))
    }

    /// The tangent of ln d at the middle of the box: ln d there, the logarithms of the values there, and the slopes
    /// by the logarithm of each value, (d − d without the value)/d.
    fn tangent(&self, situation: &Situation, b: &Box, ends: Ends) -> Tangent {
        let middle = self.board_at(situation, &b.middle(), ends);
        let d = middle.pin().numbers()[1];
        let mut tangent = Tangent { ln_d: d.ln(), at: [0.0; MOST], slopes: [0.0; MOST] };
        for (k, slot) in self.slots.iter().enumerate() {
            if b.first[k] != b.last[k] {
                let without = middle.pin_with(slot.element, Ohms(0.0)).numbers()[1];
                tangent.at[k] = middle.resistance(slot.element).0.ln();
                tangent.slopes[k] = 1.0 - without / d;
            }
        }
        tangent
    }

    /// The tangent at one combination of the box.
    fn along(&self, tangent: &Tangent, places: &[u16; MOST], ends: Ends) -> f64 {
        let mut sum = tangent.ln_d;
        for (k, (_, value)) in self.parts_at(places, ends).enumerate() {
            if tangent.slopes[k] != 0.0 {
                sum += tangent.slopes[k] * (value.0.ln() - tangent.at[k]);
            }
        }
        sum
    }

    /// One board: the parts of a combination, each at the end of its limits that `ends` says.
    fn board_at<'a>(&self, situation: &'a Situation, places: &[u16; MOST], ends: Ends) -> Corner<'a> {
        Corner::at(situation, &self.surely(situation, places), ends)
    }

    /// What a limit says of a box.
    pub(super) fn ruling(&self, check: &Check, b: &Box) -> Ruling {
        let measure = match check.watched {
            Watched::Measure(measure) => measure,
            Watched::Error => return self.ruling_on_error(check, b),
            Watched::Gap => return self.ruling_on_gap(check, b),
        };
        let situation = &self.scene.situations[check.situation];
        let Some(worst) = self.worst_in(measure, check.sense, situation, b) else {
            return Ruling::Holds;
        };
        if check.holds(worst.value) {
            return Ruling::Holds;
        }
        if b.is_single() {
            return Ruling::Excludes;
        }
        let favourable = self.favourable(check, measure, situation, b, worst.ends);
        if check.holds(favourable.best) { Ruling::Open(favourable.moved_by) } else { Ruling::Excludes }
    }

    /// A bound that the worst value of a check is not better than for any combination of a box; exact for a single one.
    pub(super) fn best_worst(&self, check: &Check, b: &Box) -> Option<f64> {
        let measure = match check.watched {
            Watched::Measure(measure) => measure,
            Watched::Error => return Some(self.best_error(b)),
            Watched::Gap => return self.best_gap(check, b),
        };
        let situation = &self.scene.situations[check.situation];
        let worst = self.worst_in(measure, check.sense, situation, b)?;
        if b.is_single() {
            return Some(worst.value);
        }
        Some(self.favourable(check, measure, situation, b, worst.ends).best)
    }

    /// The worst value in a box, exactly for a single combination. In a box parts that track each other count as if each
    /// were off by itself: nothing in it is worse.
    fn worst_in(
        &self,
        measure: Measure,
        sense: Sense,
        situation: &Situation,
        b: &Box,
    ) -> Option<Extreme<f64>> {
        let spread = self.spread(situation, b);
        if b.is_single() {
            worst(measure, sense, situation, &spread)
        } else {
            worst_apart(measure, sense, situation, &spread)
        }
    }

    /// The most favourable value over the box for the board that sits at `ends`: for no combination is the worst case
    /// better than that. Monotone quantities have it at a vertex. A current has it there too unless it changes its
    /// sign in between, and so has a dissipation, which in the part's own value rises to a peak and falls again.
    fn favourable(
        &self,
        check: &Check,
        measure: Measure,
        situation: &Situation,
        b: &Box,
        ends: Ends,
    ) -> Favourable {
        let mut signs = [false; 2];
        let fed = two_nodes_fed(measure, situation);
        let mut drawn = [f64::INFINITY; worst::MOST];
        let mut corner = self.board_at(situation, &b.first, ends);
        let values: Vertices<f64> = self
            .vertices(b)
            .map(|places| {
                corner.put(self.parts_at(&places, ends));
                let (value, current) = at_one_board(measure, check.sense, &corner);
                if let Some(current) = current {
                    signs[usize::from(current > Amperes(0.0))] = true;
                }
                for &element in &fed {
                    drawn[element] = drawn[element].min(least_drawn(&corner, element));
                }
                value
            })
            .collect();
        let better = |a: f64, b: f64| if check.sense.is_worse(a, b) { b } else { a };
        let best = values.iter().copied().reduce(better).unwrap_or(f64::NAN);
        let best = if signs == [true, true] { 0.0 } else { best };
        let best = if fed.is_empty() { best } else { fed.iter().map(|&element| drawn[element]).sum() };
        // A share of the reference may be bounded by 0: its scale is the reference.
        let natural = if check.unit == Unit::Share { 1.0 } else { 0.0 };
        let scale = check.allowed.unwrap_or(0.0).abs().max(natural);
        Favourable { best, moved_by: self.moved_by(b, &values, scale) }
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

    /// By which share each slot moves the span of one board, from the middle of the box to either end.
    pub(super) fn span_moved_by(&self, b: &Box, ends: Ends) -> [f64; MOST] {
        let middle = b.middle();
        let corners = self.ends_by_pin().map(|s| self.board_at(s, &middle, ends));
        let [low, high] = corners.each_ref().map(|corner| corner.pin().emf().0);
        std::array::from_fn(|k| {
            let Some(slot) = self.slots.get(k) else { return 0.0 };
            let moved_to = |place: u16| {
                let r = slot.value_at(place, ends);
                let [a, z] = corners.each_ref().map(|corner| corner.pin_with(slot.element, r).emf().0);
                share(high - low, z - a, 0.0)
            };
            f64::max(moved_to(b.first[k]), moved_to(b.last[k]))
        })
    }

    /// The least that the worst value of a measure over the range can be in the box, at nominal values.
    pub(super) fn least_nominal(&self, measure: Measure, b: &Box) -> f64 {
        [Ends::default(), Ends::ALL_HIGH]
            .into_iter()
            .map(|ends| {
                self.vertices(b)
                    .map(|places| {
                        let bands: &[Band<Ohms>] = &self.nominally(&self.scene.nominal, &places);
                        measure.at(&Corner::at(&self.scene.nominal, bands, ends), Sense::AtMost)
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

/// The elements that are fed, where that happens at both sides of a part. What one takes the other may give, so that their
/// sum may be least anywhere; each by itself is least at a vertex.
fn two_nodes_fed(measure: Measure, situation: &Situation) -> Vec<usize> {
    if measure != Measure::SupplyCurrent || !worst::feeds_two_nodes(situation) {
        return Vec::new();
    }
    (0..situation.elements.len())
        .filter(|&place| situation.elements[place].fed_by != FedBy::Nothing)
        .collect()
}

/// The least that an element draws, whatever leaks.
fn least_drawn(corner: &Corner, element: usize) -> f64 {
    let leakage = corner.situation().leakage;
    let currents = [-leakage, leakage].map(|leakage| corner.current(element, leakage).0);
    currents[0].min(currents[1]).max(0.0)
}

/// What a check measures at one board, and the current whose sign decides whether its least is at a vertex.
fn at_one_board(measure: Measure, sense: Sense, corner: &Corner) -> (f64, Option<Amperes>) {
    let element = match (measure, sense) {
        (Measure::Power(element) | Measure::Voltage(element), Sense::AtMost) => element,
        (Measure::FarCurrent | Measure::SenderPower, Sense::AtMost) => 0,
        _ => return (measure.at(corner, sense), None),
    };
    let leakage = corner.situation().leakage;
    let i = corner.current(element, leakage);
    let value = match measure {
        Measure::Power(_) => corner.power(element, leakage).0,
        Measure::SenderPower => corner.sender_power(leakage).0,
        Measure::Voltage(_) => corner.voltage(element, leakage).0.abs(),
        _ => i.0.abs(),
    };
    (value, Some(i))
}

/// The change between two values as a share of the largest of them and the scale.
fn share(x: f64, y: f64, scale: f64) -> f64 {
    let change = (x - y).abs() / x.abs().max(y.abs()).max(scale);
    if change.is_nan() { 0.0 } else { change }
}

/// One board at the two ends of its range, that with the lower pin first.
#[derive(Clone, Copy, Debug, Default)]
struct Pair {
    /// Open voltage of the pin.
    emf: [f64; 2],
    /// Volts at the pin for each ampere of leakage.
    resistance: [f64; 2],
    /// Volts at the pin for each volt of remote ground.
    far: [f64; 2],
    /// The number d of the pin.
    d: [f64; 2],
    /// Remote ground.
    shift: f64,
    /// Volts at the pin that come in through a wet connector.
    wet: [f64; 2],
    reference: Volts,
}

impl Pair {
    fn of(corners: &[Corner; 2]) -> Self {
        let numbers = corners.each_ref().map(|corner| corner.leaking().numbers());
        let shift = corners[0].shift().0;
        // How much of remote ground reaches the pin matters only if it is not at 0 V.
        let far = |k: usize| if shift == 0.0 { 0.0 } else { corners[k].far_alone().emf().0 };
        let wet = corners.each_ref().map(|corner| {
            let place = corner.situation().place_of(Of::Wet);
            place.map_or(0.0, |place| (corner.pin().emf() - corner.pin_without(place).emf()).0)
        });
        Self {
            wet,
            emf: numbers.map(|[n, d, _]| n / d),
            resistance: numbers.map(|[_, d, m]| m / d),
            far: [far(0), far(1)],
            d: numbers.map(|[_, d, _]| d),
            shift,
            reference: corners[0].reference().unwrap_or(Volts(f64::NAN)),
        }
    }

    fn d(&self) -> f64 {
        self.d[0] * self.d[1]
    }

    /// What the excitation alone moves the pin by.
    fn by_excitation(&self) -> f64 {
        self.emf[1] - self.emf[0] + self.shift * self.by_far() - self.by_wet()
    }

    /// What the pin moves by because of what comes in through a wet connector.
    fn by_wet(&self) -> f64 {
        self.wet[1] - self.wet[0]
    }

    /// What the pin moves down by for each volt of remote ground.
    fn by_far(&self) -> f64 {
        self.far[0] - self.far[1]
    }

    /// What the pin moves by for each ampere of leakage.
    fn by_leakage(&self) -> f64 {
        self.resistance[1] - self.resistance[0]
    }
}

/// The tangent of ln d over the logarithms of the values.
#[derive(Debug)]
struct Tangent {
    ln_d: f64,
    at: [f64; MOST],
    slopes: [f64; MOST],
}
