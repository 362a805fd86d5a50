//! Boards that differ in what stays as it is on each of them.

use super::EdgeBoards;
use crate::circuit::{Situation, Steady};
use crate::quantity::{Band, Volts};
use crate::worst::{edge_boards, edge_boards_at, extreme_corners};

/// A grid over everything that stays: its corners among its points.
#[derive(Debug)]
pub(super) struct Grid<'s> {
    steady: &'s [Steady],
    steps: &'s [u32],
}

impl Steady {
    /// Half the logarithm of its highest value over its lowest.
    pub(super) fn half_width(&self) -> f64 {
        let [low, high] = self.factors();
        (high / low).ln() / 2.0
    }

    fn factors(&self) -> [f64; 2] {
        match self {
            Self::Parts { tolerance, .. } => [1.0 - tolerance.0, 1.0 + tolerance.0],
            Self::Rail { band, .. } => [band.lowest.0, band.highest.0],
        }
    }

    /// Its value at a share of the way from its lowest to its highest, on the scale of logarithms; the ends exactly.
    fn at(&self, share: f64) -> f64 {
        let [low, high] = self.factors();
        if share >= 1.0 { high } else { low * (high / low).powf(share) }
    }

    /// The situation with it at one value: a part keeps its change with temperature and over life.
    pub(super) fn put(&self, situation: &mut Situation, share: f64) {
        let value = self.at(share);
        match self {
            Self::Parts { elements, .. } => {
                let [low, high] = self.factors();
                for &element in elements {
                    let band = &mut situation.resistances[element];
                    let nominal =
                        Band { lowest: band.lowest * (1.0 / low), highest: band.highest * (1.0 / high) };
                    *band = Band { lowest: nominal.lowest * value, highest: nominal.highest * value };
                    // A part that does not drift is one value, whatever rounding makes of its ends.
                    if (band.highest - band.lowest).0.abs() <= 1e-14 * band.highest.0 {
                        *band = Band::exactly(band.lowest);
                    }
                }
            }
            Self::Rail { name, .. } => {
                if let Some(place) = situation.place_named(*name) {
                    situation.sources[place] = Band::exactly(Volts(value));
                }
            }
        }
    }
}

impl<'s> Grid<'s> {
    pub(super) fn new(steady: &'s [Steady], steps: &'s [u32]) -> Self {
        Self { steady, steps }
    }

    /// The boards at the edges of a count, for each point of the grid.
    pub(super) fn boards(&self, varied: &Situation, of_resistance: bool) -> Vec<EdgeBoards> {
        // A direction that is the same all over the box is the same in each part of it.
        let corners = varied.tracking.is_empty().then(|| extreme_corners(varied, &varied.resistances));
        let mut boards = Vec::new();
        self.visit(varied, |board| {
            boards.push(match &corners {
                Some(corners) => edge_boards_at(board, &board.resistances, of_resistance, corners),
                None => edge_boards(board, &board.resistances, of_resistance),
            });
        });
        boards
    }

    /// Shows a situation at every point of the grid.
    pub(super) fn visit(&self, situation: &Situation, mut see: impl FnMut(&Situation)) {
        let points: usize = self.steps.iter().map(|&steps| steps as usize + 1).product();
        for point in 0..points {
            let (mut board, mut left) = (situation.clone(), point);
            for (steady, &steps) in self.steady.iter().zip(self.steps) {
                let place = left % (steps as usize + 1);
                left /= steps as usize + 1;
                steady.put(&mut board, place as f64 / f64::from(steps));
            }
            see(&board);
        }
    }
}
