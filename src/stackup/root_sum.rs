//! Root sum of squares: what a reading may be with a coverage of 95 %, by the slopes at nominal.

use super::places::greatest_of;
use super::propagate::{propagate, second_order, spreads};
use super::stack::Stack;
use crate::quantity::{Band, Counts};
use crate::reading::Found;

/// How many standard uncertainties to either side hold 95 % of a normal distribution.
pub const COVERAGE: f64 = 1.96;

/// What the root sum of squares says of a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RootSum {
    /// Readings that hold 95 %, held to the range.
    pub band: Band<f64>,
    /// The combined standard uncertainty, in the unit.
    pub standard: f64,
    /// The same with the terms of second order, where they matter.
    pub second_order: Option<SecondOrder>,
}

/// What the curvature of the transfer makes of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondOrder {
    /// Readings that hold 95 %, held to the range.
    pub band: Band<f64>,
    /// The combined standard uncertainty, in the unit.
    pub standard: f64,
}

/// The share by which the terms of second order have to change the first ones to be worth a word.
const SEEN: f64 = 0.05;

/// The root sum of squares at a value: about what the nominal board shows.
pub fn root_sum(stack: &Stack<'_>, value: f64) -> RootSum {
    let spot = stack.spot(value);
    let spreads = spreads(stack.sources());
    let shown = stack.nominal_reading(&spot);
    let first = propagate(stack.model(&spot), &spreads);
    let second = second_order(stack.model(&spot), &spreads);
    let band = |bias: f64, standard: f64| {
        let half = COVERAGE * standard;
        let (start, end) = stack.input().range();
        Band { lowest: shown + bias - half, highest: shown + bias + half }
            .held(start.min(end), start.max(end))
    };
    let differs = (second.standard - first.standard).abs() > SEEN * first.standard
        || (second.bias - first.bias).abs() > SEEN * COVERAGE * first.standard;
    RootSum {
        band: band(first.bias, first.standard),
        standard: first.standard,
        second_order: differs
            .then(|| SecondOrder { band: band(second.bias, second.standard), standard: second.standard }),
    }
}

/// The greatest error in a zone with a coverage of 95 %, and where: bias and 1.96 standard uncertainties, and the half
/// count by which truncation may set the nominal reading off.
pub fn greatest_root_sum(stack: &Stack<'_>, zone: Band<f64>) -> Found {
    let spreads = spreads(stack.sources());
    greatest_of(zone, stack.kinks(zone), |value| {
        let found = propagate(stack.model(&stack.spot(value)), &spreads);
        let [below, above] = stack.nominal().slopes(value);
        let half_count = Counts(0.5).0 / below.min(above);
        found.bias.abs() + COVERAGE * found.standard + if half_count.is_finite() { half_count } else { 0.0 }
    })
}

impl Band<f64> {
    /// The band, held between two values.
    fn held(self, lowest: f64, highest: f64) -> Self {
        Self { lowest: self.lowest.max(lowest).min(highest), highest: self.highest.max(lowest).min(highest) }
    }
}
