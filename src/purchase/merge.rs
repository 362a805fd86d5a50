//! Which parts one line serves.

use super::grade::{better_than, joined};
use super::piece::Piece;
use crate::board::Grade;

/// Parts that one part serves.
#[derive(Clone, Debug)]
pub(super) struct Lot<'a> {
    /// The parts, in the order of the boards; never empty.
    pub(super) pieces: Vec<&'a Piece<'a>>,
    /// How good the one part has to be.
    pub(super) grade: Grade,
}

impl Lot<'_> {
    /// In what the part is better than some of the places ask for.
    pub(super) fn better(&self) -> Vec<&'static str> {
        let better: Vec<_> =
            self.pieces.iter().flat_map(|piece| better_than(&self.grade, piece.grade)).collect();
        ["tolerance", "tempco", "ageing", "size"].into_iter().filter(|name| better.contains(name)).collect()
    }
}

/// As few lots as can be had by joining two at a time: no two of them can be joined any more.
pub(super) fn merged<'a>(pieces: &'a [Piece<'a>], batch: u64) -> Vec<Lot<'a>> {
    let mut lots: Vec<Lot<'a>> = Vec::new();
    for piece in pieces {
        let alike = |lot: &&mut Lot<'_>| may_meet(lot.pieces[0], piece) && lot.grade == *piece.grade;
        match lots.iter_mut().find(alike) {
            Some(lot) => lot.pieces.push(piece),
            None => lots.push(Lot { pieces: vec![piece], grade: piece.grade.clone() }),
        }
    }
    let mut place = 0;
    while place < lots.len() {
        let partner = (0..lots.len())
            .filter(|&other| other != place)
            .find_map(|other| Some((other, met(&lots[place], &lots[other], batch)?)));
        match partner {
            Some((other, grade)) => {
                let (keeps, goes) = (place.min(other), place.max(other));
                let gone = lots.remove(goes);
                lots[keeps].pieces.extend(gone.pieces);
                lots[keeps].grade = grade;
                // What could not be joined with either may be joined with both. All other pairs are as they were.
                place = keeps;
            }
            None => place += 1,
        }
    }
    lots
}

/// Whether two parts may come from one line at all: one value, one network or none, one place to buy.
fn may_meet(one: &Piece<'_>, other: &Piece<'_>) -> bool {
    let is_one_shop = match (one.stock, other.stock) {
        (Some(one), Some(other)) => one.name == other.name,
        (one, other) => one.is_none() && other.is_none(),
    };
    one.ohms == other.ohms && one.tracks == other.tracks && is_one_shop
}

/// The grade of a part that serves both lots, if there is one. From a stock file it has to be there, and enough of it.
fn met(one: &Lot<'_>, other: &Lot<'_>, batch: u64) -> Option<Grade> {
    let piece = one.pieces[0];
    if !may_meet(piece, other.pieces[0]) {
        return None;
    }
    let grade = joined(&one.grade, &other.grade)?;
    let Some(stock) = piece.stock else { return Some(grade) };
    let pieces = batch.saturating_mul((one.pieces.len() + other.pieces.len()) as u64);
    let is_enough = stock
        .serving(piece.ohms, &grade)
        .any(|reel| reel.can_be_had().is_none_or(|can_be_had| can_be_had >= pieces));
    is_enough.then_some(grade)
}
