//! The edges of the life band: between which values of what is measured a count may occur.

use super::heat::Heat;
use crate::board::{Accuracy, Converter, Drive, Input};
use crate::circuit::Situation;
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms};
use crate::worst::{EdgeBoard, FarEnd, edge_boards, has_peak_at_clamp};

/// One board at an edge of the band.
#[derive(Clone, Copy, Debug)]
struct Limb {
    board: EdgeBoard,
    leakage: Amperes,
}

/// Which edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Lower,
    Upper,
}

/// The lower and the upper edge of the count over the range, everything of the life band included: each is the extreme of
/// a few boards, of which one is enough nearly always.
#[derive(Clone, Debug)]
pub(super) struct Edges<'a> {
    input: &'a Input,
    /// 1 where the pin rises with the far end, −1 where it falls.
    sign: f64,
    converter: Converter,
    lower: Vec<Limb>,
    upper: Vec<Limb>,
    wire: Band<Ohms>,
    heat: Option<Heat>,
}

impl<'a> Edges<'a> {
    /// The edges in normal use over life. `None`: on some board the pin does not follow the far end as its circuit says,
    /// since ground shift or leakage overpowers the excitation, or a clamp takes hold where its count would be greatest; its
    /// counts then mean nothing.
    pub(super) fn new(input: &'a Input, life: &Situation, resistances: &[Band<Ohms>]) -> Option<Self> {
        if has_peak_at_clamp(life, resistances) {
            return None;
        }
        let is_sender = input.drive.is_sender();
        let limbs = |boards: Vec<EdgeBoard>, leakage: Amperes| -> Vec<Limb> {
            boards.into_iter().map(|board| Limb { board, leakage }).collect()
        };
        let [lower, upper] = edge_boards(life, resistances, is_sender);
        let (lower, upper) = (limbs(lower, -life.leakage), limbs(upper, life.leakage));
        let sign = input.circuit.sign();
        let follows = |limb: &Limb| sign * limb.board.transfer.determinant(limb.leakage) > 0.0;
        let heat = match &input.drive {
            Drive::Sender(sender) => sender.self_heating.map(|per| Heat::new(life, resistances, per)),
            Drive::Signal(_) | Drive::Current(_) => None,
        };
        (lower.iter().all(follows) && upper.iter().all(follows)).then_some(Self {
            input,
            sign,
            converter: life.converter,
            lower,
            upper,
            wire: if is_sender { life.wire } else { Band::exactly(Ohms(0.0)) },
            heat,
        })
    }

    /// The values, from the first to the last in the direction in which counts rise, between which a truncated count from
    /// `first` to `last` may occur. Multiplied by `direction`, so that they ascend.
    pub(super) fn values(&self, first: f64, last: f64, direction: f64) -> Band<f64> {
        Band { lowest: self.starts(first, direction), highest: self.ends(last, direction) }
    }

    /// From here on, in the direction in which counts rise, a truncated count of `count` or more may occur.
    pub(super) fn starts(&self, count: f64, direction: f64) -> f64 {
        // Every board counts at least 0.
        if count <= 0.0 { f64::NEG_INFINITY } else { direction * self.passes(Side::Upper, count, direction) }
    }

    /// Up to here, in the direction in which counts rise, a truncated count of `count` or less may occur.
    pub(super) fn ends(&self, count: f64, direction: f64) -> f64 {
        let top = self.converter.highest_count().0;
        if count >= top {
            f64::INFINITY
        } else {
            direction * self.passes(Side::Lower, count + 1.0, direction)
        }
    }

    /// The value at which an edge reaches a count before truncation.
    fn passes(&self, side: Side, count: f64, direction: f64) -> f64 {
        let count = Counts(count - Converter::SLACK);
        let far = match side {
            Side::Upper => {
                self.upper.iter().map(|limb| self.far_at(limb, side, count)).fold(f64::INFINITY, f64::min)
            }
            Side::Lower => {
                self.lower.iter().map(|limb| self.far_at(limb, side, count)).fold(f64::NEG_INFINITY, f64::max)
            }
        };
        if far.is_infinite() { direction * far } else { self.value_at(side, self.sign * far) }
    }

    /// The far end at which one board at the edge reaches a count, with the sign that makes the pin rise.
    fn far_at(&self, limb: &Limb, side: Side, count: Counts) -> f64 {
        let added = self.converter.added();
        let count = if side == Side::Upper { count - added } else { count + added };
        // The gain moves the count away from 0 at the upper edge of positive counts.
        let outwards = if (side == Side::Upper) == (count.0 >= 0.0) { 1.0 } else { -1.0 };
        let gain = Fraction(outwards * self.converter.gain.0);
        let v = limb.board.reference
            * (count / self.converter.count(limb.board.reference, limb.board.reference, gain));
        if v > limb.board.window.highest {
            f64::INFINITY
        } else if v <= limb.board.window.lowest {
            f64::NEG_INFINITY
        } else {
            self.sign * limb.board.transfer.far_at(v, limb.leakage).0
        }
    }

    /// The value at which the far end may bring the pin as high (at the upper edge) or as low (at the lower) as `far` does.
    fn value_at(&self, side: Side, far: f64) -> f64 {
        let sender = match &self.input.drive {
            Drive::Sender(sender) => sender,
            exact @ (Drive::Signal(_) | Drive::Current(_)) => return exact.value_beyond(FarEnd(far)),
        };
        let up = if side == Side::Upper { 1.0 } else { -1.0 };
        // Where the pin falls with the sender, the upper edge is that of the lowest resistance.
        let sign = up * self.sign;
        let wire = if sign > 0.0 { self.wire.highest } else { self.wire.lowest };
        let actual = Ohms(far) - wire;
        let ohms = actual * (1.0 / (1.0 + sign * sender.tolerance.0));
        let direction = self.input.direction();
        if ohms <= Ohms(0.0) {
            // No sender is below 0 Ω: the edge is past that count all along, or nowhere if the pin falls from there.
            return -self.sign * direction * f64::INFINITY;
        }
        let shown = self.input.drive.value_beyond(FarEnd(ohms.0));
        // A sender that shows too much has its true value before what it shows; warmth makes it show more.
        if up * direction > 0.0 {
            let warmth = self.heat.as_ref().map_or(0.0, |heat| heat.warmth(actual));
            sender.accuracy.before(shown - warmth)
        } else {
            sender.accuracy.after(shown)
        }
    }
}

impl Accuracy {
    /// The true value of a sender that shows `shown` and is too high by all that it may be off.
    fn before(&self, shown: f64) -> f64 {
        let side = if shown - self.constant >= self.zero { 1.0 } else { -1.0 };
        (shown - self.constant + side * self.share * self.zero) / (1.0 + side * self.share)
    }

    /// The true value of a sender that shows `shown` and is too low by all that it may be off.
    fn after(&self, shown: f64) -> f64 {
        let side = if shown + self.constant >= self.zero { 1.0 } else { -1.0 };
        (shown + self.constant - side * self.share * self.zero) / (1.0 - side * self.share)
    }
}
