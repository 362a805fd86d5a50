//! What has to be bought for a board, or for several.
//!
//! Parts of one value go into one line where one part can serve all of them: where one of them is at least as good as the
//! others, or where a part with the best of each, in a standard size, would be. Parts that track each other have a line of
//! their own, since they have to come from one network or one reel. A line of a stock file is taken from one row of it.

mod grade;
mod merge;
mod piece;
mod shelf;

pub use grade::{better_than, covers, joined, size_of};

use crate::board::{Board, Grade, Price, Reel};
use crate::quantity::{Farads, Ohms, Volts, Watts};

/// Everything to buy.
#[derive(Clone, Debug)]
pub struct Purchase {
    /// Resistors by rising value.
    pub resistors: Vec<ResistorLine>,
    /// Capacitors by rising value.
    pub capacitors: Vec<CapacitorLine>,
    /// Inputs whose parts are missing here, since they have no choice.
    pub left_out: Vec<Use>,
}

/// Where a part is used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Use {
    /// The board, by its place in the list of boards.
    pub board: usize,
    /// The input.
    pub input: String,
    /// The key of the part.
    pub part: &'static str,
}

/// Resistors that one part serves.
#[derive(Clone, Debug)]
pub struct ResistorLine {
    /// The value.
    pub ohms: Ohms,
    /// How good the part has to be at least.
    pub grade: Grade,
    /// In what it is better than some of the places ask for: `tolerance`, `tempco`, `ageing`, `size`.
    pub better: Vec<&'static str>,
    /// The group in which these parts track each other.
    pub tracks: Option<String>,
    /// The greatest dissipation of one of them, in normal use and in the cases to be survived.
    pub power: Watts,
    /// The greatest voltage across one of them, likewise.
    pub voltage: Volts,
    /// Where they are used.
    pub used: Vec<Use>,
    /// Pieces for the whole batch.
    pub pieces: u64,
    /// What is taken from a stock file; `None`: they are bought wherever they can be had.
    pub taken: Option<Taken>,
    /// A stock file from which some of them should come, but which has none that serves.
    pub missing_in: Option<String>,
}

/// What a line takes from a row of a stock file.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The stock file.
    pub stock: String,
    /// The row.
    pub reel: Reel,
    /// Pieces to buy: whole packs, as far as there are any.
    pub buy: u64,
    /// What these cost; `None`: the row has no price.
    pub price: Option<Price>,
    /// Pieces that are missing.
    pub short: u64,
}

/// Capacitors of one value.
#[derive(Clone, Debug)]
pub struct CapacitorLine {
    /// The value.
    pub farads: Farads,
    /// The greatest voltage at the pin in any case, of either sign.
    pub voltage: Volts,
    /// Where they are used.
    pub used: Vec<Use>,
    /// Pieces for the whole batch.
    pub pieces: u64,
}

/// The list for so many of each of these boards, on which all parts have their values; an input on which a part is still
/// to be chosen is left out, and named.
pub fn list(boards: &[&Board], batch: u64) -> Purchase {
    let mut pieces = Vec::new();
    let mut found = Purchase { resistors: Vec::new(), capacitors: Vec::new(), left_out: Vec::new() };
    let mut capacitors = Vec::new();
    for (place, board) in boards.iter().enumerate() {
        for input in &board.inputs {
            if input.is_open() {
                found.left_out.push(Use { board: place, input: input.name.clone(), part: "" });
                continue;
            }
            let scene = piece::scene_of(board, input);
            pieces.extend(piece::resistors(place, board, input, &scene));
            capacitors.extend(piece::capacitor(place, input, &scene));
        }
    }
    let lots = merge::merged(&pieces, batch);
    found.resistors = shelf::taken(lots, batch);
    found.capacitors = by_value(capacitors, batch);
    found
}

/// One line for each value, with the greatest voltage of all its places.
fn by_value(mut all: Vec<piece::Capacitor>, batch: u64) -> Vec<CapacitorLine> {
    all.sort_by(|a, b| a.farads.0.total_cmp(&b.farads.0));
    let mut lines: Vec<CapacitorLine> = Vec::new();
    for piece::Capacitor { farads, voltage, used } in all {
        match lines.last_mut().filter(|line| line.farads == farads) {
            Some(line) => {
                line.voltage = line.voltage.max(voltage);
                line.pieces = line.pieces.saturating_add(batch);
                line.used.push(used);
            }
            None => lines.push(CapacitorLine { farads, voltage, used: vec![used], pieces: batch }),
        }
    }
    lines
}
