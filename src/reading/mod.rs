//! What a count is worth in the unit of the dial: the firmware's inverse, its resolution, and its greatest error.

mod dial;
mod edges;
mod error;
mod heat;
mod nominal;

pub use error::greatest_error;
pub use nominal::{Found, Nominal};

use crate::board::{Board, Drive, Input};
use crate::case::Case;
use crate::circuit::{Outlook, Place, Situation, Values, situations_of};
use crate::quantity::{Band, Counts, Ohms};
use crate::worst::count_band;
use heat::Heat;

/// An input as the firmware knows it: nominal parts, nominal reference, no errors.
#[derive(Debug)]
pub struct Firmware<'a> {
    board: &'a Board,
    input: &'a Input,
    values: &'a Values,
    nominal: Nominal<'a>,
}

impl<'a> Firmware<'a> {
    /// The firmware of an input with these parts.
    pub fn new(board: &'a Board, input: &'a Input, values: &'a Values) -> Self {
        let situation = at(board, input, values, Outlook::Nominal, Place::Range);
        let nominal = Nominal::new(input, &situation, &situation.resistances);
        Self { board, input, values, nominal }
    }

    /// What it holds for the board.
    pub fn nominal(&self) -> &Nominal<'a> {
        &self.nominal
    }

    /// The reading for a truncated count, as [`Nominal::reading`].
    pub fn reading(&self, count: Counts) -> f64 {
        self.nominal.reading(count)
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

/// Normal use with the measured quantity at one place. A sender that its own current warms may stand higher there over
/// life; on the bench something else stands in for it.
pub(crate) fn at(board: &Board, input: &Input, values: &Values, outlook: Outlook, place: Place) -> Situation {
    let normal = |place| situations_of(board, input, values, Case::Normal, outlook, place).swap_remove(0);
    let (Drive::Sender(sender), Outlook::Life, Place::At(value)) = (&input.drive, outlook, place) else {
        return normal(place);
    };
    let Some(heating) = sender.self_heating else { return normal(place) };
    let range = normal(Place::Range);
    let heat = Heat::new(&range, &range.resistances, heating);
    let shown = value + sender.accuracy.at(value);
    // The side of the band that warmth reaches: the tolerance adds to it there.
    let spread = 1.0 + input.far_direction() * sender.tolerance.0;
    let warmth = |above: f64| heat.warmth((sender.curve.at(shown + above) * spread).max(Ohms(0.0)));
    normal(Place::Warm(value, settled(warmth)))
}

/// The warmth at which a sender settles: it gives off what it takes in.
fn settled(warmth: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while warmth(high) > high && high < 1e6 {
        high *= 2.0;
    }
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if warmth(middle) > middle {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}
