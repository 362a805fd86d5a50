//! What the firmware makes of a count: the nominal inverse.

use crate::board::{Board, Drive, Input};
use crate::case::Case;
use crate::circuit::{Outlook, Place, Situation, Values, situations_of};
use crate::quantity::{Band, Counts, Volts};
use crate::worst::{Corner, Ends, count_band};

/// An input as the firmware knows it: nominal parts, nominal reference, no errors.
#[derive(Debug)]
pub struct Firmware<'a> {
    board: &'a Board,
    input: &'a Input,
    values: &'a Values,
    first: Situation,
    last: Situation,
}

impl<'a> Firmware<'a> {
    /// The firmware of an input with these parts.
    pub fn new(board: &'a Board, input: &'a Input, values: &'a Values) -> Self {
        let (first, last) = input.range();
        let end = |value| at(board, input, values, Outlook::Nominal, Place::Exactly(value));
        Self { board, input, values, first: end(first), last: end(last) }
    }

    /// The reading for a truncated count n: the nominal inverse of n + 0.5, held to the ends of the range, in the
    /// unit. Not a number if the reference of the converter is down.
    pub fn reading(&self, count: Counts) -> f64 {
        let [a, b] = [&self.first, &self.last].map(|s| Corner::at(s, &s.resistances, Ends::default()));
        let reference = a.reference().unwrap_or(Volts(f64::NAN));
        let v = self.board.converter.voltage_of(count, reference);
        // How far the pin is above v, affine in what the far end does: a resistance or a voltage.
        let (above_a, above_b) = (a.pin().excess_over(v), b.pin().excess_over(v));
        let rises = self.rises();
        let (first, last) = self.input.range();
        if above_a >= 0.0 && above_b >= 0.0 {
            return if rises { first } else { last };
        }
        if above_a <= 0.0 && above_b <= 0.0 {
            return if rises { last } else { first };
        }
        let share = above_a / (above_a - above_b);
        match &self.input.drive {
            Drive::Sender(sender) => {
                let (a, b) = (sender.curve.first().1, sender.curve.last().1);
                sender.curve.value_of(a + (b - a) * share)
            }
            Drive::Signal(signal) => {
                let (a, b) = (signal.curve.first().1, signal.curve.last().1);
                signal.curve.value_of(a + (b - a) * share)
            }
        }
    }

    /// The readings of a band of truncated counts.
    pub fn readings(&self, counts: Band<Counts>) -> Band<f64> {
        Band::between(self.reading(counts.lowest), self.reading(counts.highest))
    }

    /// Whether the count rises with the value.
    pub fn rises(&self) -> bool {
        self.input.direction() > 0.0
    }

    /// The band of the count before truncation at a value, over life.
    pub fn life_band(&self, value: f64) -> Option<Band<Counts>> {
        let situation = at(self.board, self.input, self.values, Outlook::Life, Place::At(value));
        count_band(&situation, &situation.resistances)
    }

    /// The value at which an edge of the life band passes `count`, held to the range. The edges are monotone in the
    /// value, so halving the range finds it to the last digit.
    pub fn crossing(&self, count: Counts, edge: impl Fn(Band<Counts>) -> Counts) -> f64 {
        let (mut a, mut b) = self.input.range();
        let rises = self.rises();
        let beyond = |value: f64| {
            let reached = self.life_band(value).is_some_and(|band| edge(band) >= count);
            reached == rises
        };
        if beyond(a) {
            return a;
        }
        if !beyond(b) {
            return b;
        }
        loop {
            let middle = a + (b - a) / 2.0;
            if middle <= a || middle >= b {
                return b;
            }
            if beyond(middle) {
                b = middle;
            } else {
                a = middle;
            }
        }
    }
}

/// Normal use with the measured quantity at one place.
pub(crate) fn at(board: &Board, input: &Input, values: &Values, outlook: Outlook, place: Place) -> Situation {
    situations_of(board, input, values, Case::Normal, outlook, place).swap_remove(0)
}
