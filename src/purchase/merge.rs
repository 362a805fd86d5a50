//! Which parts one line serves.

use std::collections::BTreeMap;
use std::path::Path;

use super::grade::{better_than, joined};
use super::piece::Piece;
use crate::board::{Grade, Reel, StockFile};

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
    let ample = Ample::of(pieces, batch);
    let mut place = 0;
    while place < lots.len() {
        let mut others = (0..lots.len()).filter(|&other| other != place);
        let met = |other: usize| Some((other, ample.met(&lots[place], &lots[other])?));
        match others.find_map(met) {
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
    one.ohms == other.ohms && one.tracks == other.tracks && one.shop() == other.shop()
}

impl<'a> Piece<'a> {
    /// The stock file that it comes from, by its place.
    fn shop(&self) -> Option<&'a Path> {
        self.stock.map(|stock| stock.place.as_path())
    }
}

/// The rows of stock files that have enough pieces for all parts of their value, by file and value: what is joined from
/// them is never short.
struct Ample<'a>(BTreeMap<(&'a Path, u64), Vec<&'a Reel>>);

impl<'a> Ample<'a> {
    fn of(pieces: &[Piece<'a>], batch: u64) -> Self {
        let mut parts: BTreeMap<(&Path, u64), (&StockFile, u64)> = BTreeMap::new();
        for piece in pieces {
            if let Some(stock) = piece.stock {
                parts.entry((&stock.place, piece.ohms.0.to_bits())).or_insert((stock, 0)).1 += batch;
            }
        }
        let rows = |((name, ohms), (stock, wanted)): ((&'a Path, u64), (&'a StockFile, u64))| {
            let is_ample = |reel: &&Reel| {
                reel.ohms.0.to_bits() == ohms && reel.can_be_had().is_none_or(|pieces| pieces >= wanted)
            };
            ((name, ohms), stock.reels.iter().filter(is_ample).collect())
        };
        Self(parts.into_iter().map(rows).collect())
    }

    /// The grade of a part that serves both lots, if there is one. From a stock file it has to be there.
    fn met(&self, one: &Lot<'_>, other: &Lot<'_>) -> Option<Grade> {
        let piece = one.pieces[0];
        if !may_meet(piece, other.pieces[0]) {
            return None;
        }
        let grade = joined(&one.grade, &other.grade)?;
        let Some(shop) = piece.shop() else { return Some(grade) };
        let rows = self.0.get(&(shop, piece.ohms.0.to_bits()))?;
        rows.iter().any(|reel| reel.serves(&grade)).then_some(grade)
    }
}
