//! The nominal board: what the firmware takes a count for, and how finely it counts.

use crate::board::{Converter, Drive, Input};
use crate::circuit::Situation;
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms, Volts};
use crate::worst::{Corner, Ends, FarEnd, Transfer};

/// An input with nominal parts, nominal reference and no errors.
#[derive(Clone, Copy, Debug)]
pub struct Nominal<'a> {
    drive: &'a Drive,
    /// 1 where the pin rises with the far end, −1 where it falls.
    sign: f64,
    zone: Band<f64>,
    converter: Converter,
    transfer: Transfer,
    reference: Volts,
    window: Band<Volts>,
    /// The wire in front of a sender.
    wire: f64,
}

/// A value of what is measured, and where it is found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The value.
    pub value: f64,
    /// Where, in the unit.
    pub at: f64,
}

impl<'a> Nominal<'a> {
    /// The input in normal use at nominal values. `resistances` are those of the situation, or others in their place.
    pub fn new(input: &'a Input, nominal: &Situation, resistances: &[Band<Ohms>]) -> Self {
        let corner = Corner::at(nominal, resistances, Ends::default());
        let transfer = corner.transfer(input.drive.is_sender());
        let is_sender = input.drive.is_sender();
        Self {
            drive: &input.drive,
            sign: input.circuit.sign(),
            zone: input.zone(),
            converter: nominal.converter,
            transfer,
            reference: corner.reference().unwrap_or(Volts(f64::NAN)),
            window: corner.clamped_window(&transfer, Amperes(0.0)),
            wire: if is_sender { nominal.wire.lowest.0 } else { 0.0 },
        }
    }

    /// The reading for a truncated count n: the nominal inverse of n + 0.5, held to the ends of the range, in the
    /// unit.
    pub fn reading(&self, count: Counts) -> f64 {
        self.value_at(self.converter.voltage_of(count, self.reference))
    }

    /// What stands at the far end for a truncated count n: the nominal inverse of n + 0.5, not held.
    pub(crate) fn far_of(&self, count: Counts) -> FarEnd {
        self.far_behind(self.converter.voltage_of(count, self.reference))
    }

    /// Whether the pin follows the far end as its circuit says.
    pub(super) fn follows(&self) -> bool {
        self.sign * self.transfer.determinant(Amperes(0.0)) > 0.0
    }

    /// The value at which the pin is at `v`, held to the ends of the range.
    fn value_at(&self, v: Volts) -> f64 {
        self.drive.value_of(self.far_behind(v))
    }

    /// The far end at which the pin is at `v`.
    fn far_behind(&self, v: Volts) -> FarEnd {
        FarEnd(self.transfer.far_at(v, Amperes(0.0)).0 - self.wire)
    }

    /// The count at a value, before truncation.
    pub fn count(&self, value: f64) -> Counts {
        let pin = self.transfer.pin(self.far(value), Amperes(0.0)).min(self.window.highest);
        self.converter.count(pin.max(self.window.lowest), self.reference, Fraction(0.0))
    }

    /// Counts for each unit, without sign, below and above a value; 0 where the count is held at an end of the
    /// converter or by a clamp, and where a ground shift that overpowers the excitation turns the count round.
    pub fn slopes(&self, value: f64) -> [f64; 2] {
        if self.is_held(value) {
            return [0.0; 2];
        }
        let volts = Volts((self.sign * self.transfer.slope(self.far(value))).max(0.0));
        let counts = self.converter.count(volts, self.reference, Fraction(0.0)).0;
        self.drive.slopes(value).map(|slope| (counts * slope).abs())
    }

    /// The least counts for each unit over a part of the range, and the first value at which they are so few.
    ///
    /// The count is a Möbius function of the far end, so its slope is far'(x)/(d0 + d1·far(x))² but for a factor: least
    /// at an end, at a knot of the curve, or where that expression is stationary.
    pub fn least_slope(&self, zone: Band<f64>) -> Found {
        let mut least = Found { value: f64::INFINITY, at: zone.lowest };
        for at in self.places(zone) {
            let [below, above] = self.slopes(at);
            // Outside the zone nothing counts.
            let value = if at <= zone.lowest {
                above
            } else if at >= zone.highest {
                below
            } else {
                below.min(above)
            };
            if value < least.value {
                least = Found { value, at };
            }
        }
        least
    }

    /// The far end, the wire included, and its slope without sign at the places where the slope of the count may be
    /// least whatever the parts are: the ends of the zone and the knots in it.
    pub(crate) fn fixed_slopes(&self) -> Vec<(FarEnd, f64)> {
        let zone = self.zone;
        let inside = self.drive.knots().into_iter().filter(|x| zone.lowest < *x && *x < zone.highest);
        let inside = inside.map(|x| {
            let [below, above] = self.drive.slopes(x);
            (x, below.abs().min(above.abs()))
        });
        let ends = [
            (zone.lowest, self.drive.slopes(zone.lowest)[1]),
            (zone.highest, self.drive.slopes(zone.highest)[0]),
        ];
        inside.chain(ends).map(|(x, slope)| (self.far(x), slope.abs())).collect()
    }

    /// How strongly the count bends at a value: its second derivative over its first, without sign, per unit. 0 where
    /// the curve of the sender and that of the circuit straighten each other.
    pub fn bend(&self, value: f64) -> f64 {
        self.signed_bend(value).abs()
    }

    /// The same with its sign.
    pub(crate) fn signed_bend(&self, value: f64) -> f64 {
        let [d0, d1] = self.transfer.divisor();
        let [slope, _] = self.drive.slopes(value);
        self.drive.bend(value) - 2.0 * d1 * slope / (d0 + d1 * self.far(value).0)
    }

    /// The most that a straight line between the ends of a part of the range would be off there, signed, in the unit.
    ///
    /// Between the places where the slope is stationary, or a clamp begins to conduct, the count bends to one side only.
    pub fn off_straight_line(&self, zone: Band<f64>) -> Found {
        let Band { lowest, highest } = zone;
        let [from, to] = [lowest, highest].map(|value| self.count(value).0);
        let units = (highest - lowest) / (to - from);
        let off = |at: f64| lowest + (self.count(at).0 - from) * units - at;
        let mut most = Found { value: 0.0, at: lowest };
        let clamped = [self.window.lowest, self.window.highest].into_iter().filter(|v| v.0.is_finite());
        let clamped = clamped.map(|v| self.value_at(v)).filter(|place| zone.holds(*place));
        let mut places: Vec<f64> = self.places(zone).into_iter().chain(clamped).collect();
        places.sort_by(f64::total_cmp);
        for pair in places.windows(2) {
            for at in [turning(off, pair[0], pair[1]), pair[1]] {
                let value = off(at);
                if value.abs() > most.value.abs() {
                    most = Found { value, at };
                }
            }
        }
        most
    }

    /// The most counts by which this board and another one with the same input differ, over the whole range, and where.
    ///
    /// The pin of either is a Möbius function of the far end, with the slope det/(d0 + d1·far)²: their difference is
    /// greatest at an end of the range, where the two slopes are alike, or where a clamp or an end of the converter takes
    /// hold of one of them.
    pub fn farthest_from(&self, other: &Self) -> Found {
        let (first, last) = self.drive.range();
        let knots = [self, other].into_iter().flat_map(|board| {
            let top =
                board.converter.voltage_of(board.converter.highest_count() - Counts(0.5), board.reference);
            [board.window.lowest, board.window.highest, Volts(0.0), top].map(|v| board.value_at(v))
        });
        let alike = alike_slopes(&self.transfer, &other.transfer);
        let alike = alike.map(|far| self.drive.value_of(FarEnd(far - self.wire)));
        let places = knots.chain(alike).chain([first, last]).filter(|place| place.is_finite());
        let top = self.converter.highest_count();
        let apart = |at: f64| {
            let [a, b] = [self, other].map(|board| board.count(at).max(Counts(0.0)).min(top));
            Found { value: (a - b).abs().0, at }
        };
        let none = Found { value: 0.0, at: first };
        places.map(apart).fold(none, |most, found| if found.value > most.value { found } else { most })
    }

    /// The ends of a zone and every value inside at which the slope may be least, ascending.
    fn places(&self, zone: Band<f64>) -> Vec<f64> {
        let [d0, d1] = self.transfer.divisor();
        let inside = |value: &f64| zone.lowest < *value && *value < zone.highest;
        let stationary = self.drive.stationary_slopes(zone, [d0 + d1 * self.wire, d1]);
        let mut places: Vec<f64> = self
            .drive
            .knots()
            .into_iter()
            .chain(stationary)
            .filter(inside)
            .chain([zone.lowest, zone.highest])
            .collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        places
    }

    fn far(&self, value: f64) -> FarEnd {
        FarEnd(self.drive.far_at(value).0 + self.wire)
    }

    /// Whether an end of the converter or a clamp holds the count.
    fn is_held(&self, value: f64) -> bool {
        let pin = self.transfer.pin(self.far(value), Amperes(0.0));
        let count = self.converter.count(pin, self.reference, Fraction(0.0));
        let in_range = Band { lowest: Counts(0.0), highest: self.converter.highest_count() };
        !(in_range.holds(count) && self.window.holds(pin))
    }
}

/// The far end at which two Möbius functions have the same slope: det/(a0 + a1·far)² = other/(b0 + b1·far)². Where no
/// divisor changes its sign it has one solution at most.
fn alike_slopes(a: &Transfer, b: &Transfer) -> Option<f64> {
    let [root, other] = [a, b].map(|transfer| transfer.determinant(Amperes(0.0)).abs().sqrt());
    let ([a0, a1], [b0, b1]) = (a.divisor(), b.divisor());
    let far = (other * a0 - root * b0) / (root * b1 - other * a1);
    far.is_finite().then_some(far)
}

/// The place between `a` and `b` at which a function that bends to one side only is greatest (or least, if it bends
/// up): by golden sections.
fn turning(of: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let sign = if of(f64::midpoint(a, b)) >= f64::midpoint(of(a), of(b)) { 1.0 } else { -1.0 };
    for _ in 0..80 {
        let (left, right) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        if sign * of(left) < sign * of(right) {
            a = left;
        } else {
            b = right;
        }
    }
    f64::midpoint(a, b)
}
