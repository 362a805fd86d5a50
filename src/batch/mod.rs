//! Assembled boards against the bench band: which are inside, which part of the others is out, what the batch shows.
//!
//! [`read_file`] reads what was measured, one board a line; [`judge`] compares it with what a good new board may show on
//! the bench, and looks for what alone would explain a board that is outside.

mod answer;
mod bench;
mod cause;
mod file;
mod intervals;
mod summary;
mod suspects;

pub use answer::{BatchAnswer, BoardRow, ColumnRow, Findings, MeasuredRow, Summary, Suspect};
pub use file::{read_file, read_text};

use crate::board::{Board, InputId, Role};
use crate::quantity::{Counts, Ohms};
use bench::Allowed;

/// What was measured of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// What was measured, in the order of the columns.
    pub columns: Vec<Column>,
    /// The boards in the order of the lines; never empty.
    pub boards: Vec<Assembled>,
}

/// One thing that was measured on the boards.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// The input that it belongs to.
    pub input: InputId,
    /// What it is.
    pub what: What,
    /// The head of the column.
    pub head: String,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// The resistance of a part.
    Part(Role),
    /// The count of the converter with this value dialled in, in the unit of the input.
    Count(f64),
}

impl What {
    /// The unit of what is measured.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Part(_) => "Ω",
            Self::Count(_) => "counts",
        }
    }
}

/// One board that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Assembled {
    /// Its number or name.
    pub name: String,
    /// What was measured, one entry a column; `None`: not measured.
    pub measured: Vec<Option<Measured>>,
}

/// A measured value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measured {
    /// Of a part.
    Part(Ohms),
    /// What the converter gave, or the average of several samples.
    Count(Counts),
}

impl Measured {
    /// The number in the unit of its column.
    pub const fn number(self) -> f64 {
        match self {
            Self::Part(ohms) => ohms.0,
            Self::Count(counts) => counts.0,
        }
    }
}

/// Judges every board of a batch against the bench band.
pub fn judge(board: &Board, batch: &Batch) -> Findings {
    let allowed: Vec<Allowed> = batch.columns.iter().map(|column| Allowed::of(board, column)).collect();
    let boards: Vec<BoardRow> = batch.boards.iter().map(|one| row(board, batch, &allowed, one)).collect();
    let batch = summary::of(batch, &allowed, &boards);
    Findings { boards, batch }
}

fn row(board: &Board, batch: &Batch, allowed: &[Allowed], one: &Assembled) -> BoardRow {
    let cells = batch.columns.iter().zip(allowed).zip(&one.measured);
    let rows = cells.filter_map(|((column, allowed), measured)| Some(allowed.judged(column, (*measured)?)));
    let measured: Vec<MeasuredRow> = rows.collect();
    let inside = measured.iter().all(|row| row.inside);
    BoardRow {
        board: one.name.clone(),
        verdict: answer::word(inside),
        suspects: if inside { Vec::new() } else { suspects::of(board, batch, allowed, one) },
        measured,
    }
}
