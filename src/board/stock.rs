//! What a stock file offers.

use std::cmp::Reverse;
use std::path::PathBuf;

use super::{Grade, Part, Price};
use crate::quantity::{Fraction, Ohms, PerKelvin};
use crate::size::Size;

/// A stock file: the values that can be had.
#[derive(Clone, Debug, PartialEq)]
pub struct StockFile {
    /// Its name, as seen from where the program runs.
    pub name: String,
    /// Where it is, whatever name leads there.
    pub place: PathBuf,
    /// Its rows in the order of the file, never empty: no two have the same value and the same grade.
    pub reels: Vec<Reel>,
}

/// One row of a stock file: pieces of one value and one grade.
#[derive(Clone, Debug, PartialEq)]
pub struct Reel {
    /// The line of the file, counted from 1.
    pub line: usize,
    /// The value.
    pub ohms: Ohms,
    /// What one piece costs; `None`: the file does not say.
    pub price: Option<Price>,
    /// Pieces that can be had; `None`: as many as needed.
    pub quantity: Option<u64>,
    /// The smallest number of pieces that is sold together, at least 1.
    pub pack: u64,
    /// How far a new piece may be off; `None`: as the brief says of the part.
    pub tolerance: Option<Fraction>,
    /// Its change with temperature; `None`: as the brief says of the part.
    pub tempco: Option<PerKelvin>,
    /// Its size; `None`: as the brief says of the part.
    pub size: Option<Size>,
}

impl Reel {
    /// Whether the reel is at least as good as the brief says of a part: neither tolerance nor tempco wider, neither rating
    /// nor working voltage lower.
    pub fn serves(&self, grade: &Grade) -> bool {
        self.shortcomings(grade) == 0
    }

    /// In how many ways the reel is worse than a grade.
    pub fn shortcomings(&self, grade: &Grade) -> usize {
        let is_worse = [
            self.tolerance.is_some_and(|tolerance| tolerance > grade.tolerance),
            self.tempco.is_some_and(|tempco| tempco > grade.tempco),
            self.size.is_some_and(|size| size.rating < grade.rating),
            self.size.is_some_and(|size| size.working_voltage < grade.working_voltage),
        ];
        is_worse.into_iter().filter(|is_worse| *is_worse).count()
    }

    /// Whether the reel is better than a grade in any way.
    pub fn exceeds(&self, grade: &Grade) -> bool {
        self.tolerance.is_some_and(|tolerance| tolerance < grade.tolerance)
            || self.tempco.is_some_and(|tempco| tempco < grade.tempco)
            || self.size.is_some_and(|size| {
                size.rating > grade.rating || size.working_voltage > grade.working_voltage
            })
    }
}

impl StockFile {
    /// The rows of a value that serve a part of a grade, in the order of the file.
    pub fn serving(&self, ohms: Ohms, grade: &Grade) -> impl Iterator<Item = &Reel> {
        self.reels.iter().filter(move |reel| reel.ohms == ohms && reel.serves(grade))
    }
}

impl Part {
    /// The row of its stock file that the part is taken from at a value: of those that serve it the cheapest, of equally
    /// cheap ones that with most pieces, then the first. A row without a price comes last. `None`: there is no stock file,
    /// or no row serves.
    pub fn reel(&self, ohms: Ohms) -> Option<&Reel> {
        let serving = self.stock.as_ref()?.serving(ohms, &self.grade);
        serving
            .min_by_key(|reel| (reel.price.is_none(), reel.price, Reverse(reel.quantity.unwrap_or(u64::MAX))))
    }
}
