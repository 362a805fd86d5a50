//! What a good new board may show on the bench.

use super::answer::MeasuredRow;
use super::{Column, Measured, What};
use crate::board::{Board, Input};
use crate::case::Case;
use crate::circuit::{Name, Outlook, Place, Situation, Values, limits_of, situations_of};
use crate::quantity::{Band, Counts, Volts};
use crate::worst::count_band;

/// What is allowed in one column, in its unit.
#[derive(Clone, Debug)]
pub(super) struct Allowed {
    /// With everything at its nominal value; a count before truncation.
    pub(super) nominal: f64,
    /// Before truncation.
    pub(super) exact: Band<f64>,
    /// What is measured is inside this band. An average of truncated counts lies between them, too, and is not truncated
    /// once more.
    pub(super) band: Band<f64>,
}

/// An input on the bench with a value dialled in.
pub(super) fn on_the_bench(board: &Board, input: &Input, value: f64) -> Situation {
    at(board, input, Outlook::Bench, value)
}

fn at(board: &Board, input: &Input, outlook: Outlook, value: f64) -> Situation {
    let values = Values::given(input);
    situations_of(board, input, &values, Case::Normal, outlook, Place::At(value)).swap_remove(0)
}

impl Allowed {
    pub(super) fn of(board: &Board, column: &Column) -> Self {
        let input = &board.inputs[column.input.0];
        match column.what {
            What::Part(role) => {
                let nominal = Values::given(input).get(role).unwrap_or_default();
                let grade = input.parts.iter().find(|part| part.role == role).map(|part| &part.grade);
                let limits = grade.map(|grade| limits_of(nominal, grade, board, Outlook::Bench));
                let limits = limits.unwrap_or(Band::exactly(nominal));
                let band = Band { lowest: limits.lowest.0, highest: limits.highest.0 };
                Self { nominal: nominal.0, exact: band, band }
            }
            What::Count(value) => Self::of_count(board, input, value),
        }
    }

    fn of_count(board: &Board, input: &Input, value: f64) -> Self {
        let bench = on_the_bench(board, input, value);
        // Firmware takes the middle of the ground shift for granted; on the bench there is none.
        let nominal = at(board, input, Outlook::Nominal, value).with(Name::Shift, Volts(0.0));
        let top = board.converter.highest_count();
        // A pin that floats shows anything.
        let any = Band { lowest: Counts(0.0), highest: top };
        let exact = count_band(&bench, &bench.resistances).unwrap_or(any);
        let nominal = count_band(&nominal, &nominal.resistances).map_or(f64::NAN, |band| band.lowest.0);
        let truncated = board.converter.truncated_band(exact);
        let numbers = |band: Band<Counts>| Band { lowest: band.lowest.0, highest: band.highest.0 };
        Self { nominal, exact: numbers(exact), band: numbers(truncated) }
    }

    /// Whether a measured value is inside.
    pub(super) fn holds(&self, measured: Measured) -> bool {
        self.outside_by(measured) == 0.0
    }

    /// How far it is outside.
    fn outside_by(&self, measured: Measured) -> f64 {
        // As a limit holds: up to a billionth of it.
        const SLACK: f64 = 1e-9;
        let (x, Band { lowest, highest }) = (measured.number(), self.band);
        if x < lowest - SLACK * lowest.abs() {
            x - lowest
        } else if x > highest + SLACK * highest.abs() {
            x - highest
        } else {
            0.0
        }
    }

    pub(super) fn judged(&self, column: &Column, measured: Measured) -> MeasuredRow {
        MeasuredRow {
            what: column.head.clone(),
            measured: measured.number(),
            lowest: self.band.lowest,
            highest: self.band.highest,
            inside: self.holds(measured),
            outside_by: self.outside_by(measured),
            unit: column.what.unit(),
        }
    }
}
