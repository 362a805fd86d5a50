//! What is taken from which row of a stock file.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::path::Path;

use super::merge::Lot;
use super::{ResistorLine, Taken};
use crate::board::{Price, Reel, StockFile};
use crate::quantity::{Volts, Watts};

impl Reel {
    /// Pieces that can be had in whole packs; `None`: as many as needed.
    pub fn can_be_had(&self) -> Option<u64> {
        self.quantity.map(|quantity| quantity - quantity % self.pack)
    }

    /// Whole packs that hold so many pieces, as far as there are any.
    fn packs_of(&self, pieces: u64) -> u64 {
        let packs = pieces.div_ceil(self.pack).saturating_mul(self.pack);
        self.can_be_had().map_or(packs, |can_be_had| packs.min(can_be_had))
    }

    /// What a lot of so many pieces takes, where `before` have been taken.
    fn gives(&self, stock: &StockFile, pieces: u64, before: u64) -> Taken {
        let left = self.can_be_had().map_or(pieces, |can_be_had| can_be_had.saturating_sub(before));
        let given = pieces.min(left);
        // What is left of the packs of another lot need not be bought again.
        let buy = self.packs_of(before.saturating_add(given)) - self.packs_of(before);
        let price = self.price.map(|Price(each)| Price(each.saturating_mul(buy)));
        Taken { stock: stock.name.clone(), reel: self.clone(), buy, price, short: pieces - given }
    }
}

/// The lines, by rising value, each taken from the row that serves it: of those that have enough pieces the cheapest, else
/// the one that has most. Rows without a price come last. Lines that few rows serve take first, so that nobody takes from
/// them what is nowhere else.
pub(super) fn taken(mut lots: Vec<Lot<'_>>, batch: u64) -> Vec<ResistorLine> {
    lots.sort_by(|a, b| a.pieces[0].ohms.0.total_cmp(&b.pieces[0].ohms.0));
    let mut shelf = Shelf::default();
    let served_by = |lot: &Lot<'_>| {
        let first = lot.pieces[0];
        first.stock.map_or(0, |stock| stock.serving(first.ohms, &lot.grade).count())
    };
    let mut order: Vec<usize> = (0..lots.len()).collect();
    order.sort_by_key(|&place| served_by(&lots[place]));
    let mut lines: Vec<_> =
        order.into_iter().map(|place| (place, line(&lots[place], batch, &mut shelf))).collect();
    lines.sort_by_key(|(place, _)| *place);
    lines.into_iter().map(|(_, line)| line).collect()
}

/// Pieces that were taken before, by file and line.
#[derive(Debug, Default)]
struct Shelf<'a>(BTreeMap<(&'a Path, usize), u64>);

impl<'a> Shelf<'a> {
    fn take(&mut self, stock: &'a StockFile, lot: &Lot<'_>, pieces: u64) -> Option<Taken> {
        let before =
            |reel: &Reel| self.0.get(&(stock.place.as_path(), reel.line)).copied().unwrap_or_default();
        let taken = stock
            .serving(lot.pieces[0].ohms, &lot.grade)
            .map(|reel| reel.gives(stock, pieces, before(reel)))
            .min_by_key(|taken| {
                let left = taken.reel.can_be_had().unwrap_or(u64::MAX);
                (taken.short, taken.price.is_none(), taken.price, Reverse(left))
            })?;
        *self.0.entry((&stock.place, taken.reel.line)).or_default() += pieces - taken.short;
        Some(taken)
    }
}

fn line<'a>(lot: &Lot<'a>, batch: u64, shelf: &mut Shelf<'a>) -> ResistorLine {
    let first = lot.pieces[0];
    let pieces = batch.saturating_mul(lot.pieces.len() as u64);
    let all = || lot.pieces.iter();
    ResistorLine {
        ohms: first.ohms,
        better: lot.better(),
        grade: lot.grade.clone(),
        tracks: first.tracks.map(|(_, group)| group.to_owned()),
        power: all().map(|piece| piece.power).fold(first.power, Watts::max),
        voltage: all().map(|piece| piece.voltage).fold(first.voltage, Volts::max),
        used: all().map(|piece| piece.used.clone()).collect(),
        pieces,
        taken: first.stock.and_then(|stock| shelf.take(stock, lot, pieces)),
        missing_in: all().find_map(|piece| piece.missing_in).map(|stock| stock.name.clone()),
    }
}
