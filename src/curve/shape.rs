//! The shape of a tank: volume over level.

use super::error;
use super::{Curve, CurveError, Piece};
use crate::quantity::Base;

/// How far the rows may fall short of the range of levels, as a share of it: the rounding of converted units.
const ROUNDING: f64 = 1e-9;

impl<Q: Base> Curve<Q> {
    /// The same curve over the volume that its level means, straight between `rows` of level and volume.
    /// `unit` is that of the volumes. What the rows say beyond the range of levels is left out.
    ///
    /// # Errors
    /// When there are fewer than two rows, a level or a volume does not rise, or the rows do not cover the whole range
    /// of levels.
    pub fn through_shape(self, unit: impl Into<String>, rows: &[(f64, f64)]) -> Result<Self, CurveError> {
        let (Some(first), Some(last), true) = (rows.first(), rows.last(), rows.len() >= 2) else {
            return Err(CurveError::ShapeTooFew);
        };
        let climbs =
            |pair: &[(f64, f64)]| error::rises(pair[0].0, pair[1].0) && error::rises(pair[0].1, pair[1].1);
        if let Some(i) = rows.windows(2).position(|pair| !climbs(pair)) {
            return Err(CurveError::ShapeDoesNotRise(i + 1));
        }
        let (lowest, highest) = (self.first().0, self.last().0);
        let slack = ROUNDING * (highest - lowest);
        if first.0 > lowest + slack || last.0 < highest - slack {
            return Err(CurveError::ShapeTooShort);
        }
        let rows: Vec<(f64, f64)> =
            rows.iter().map(|&(level, volume)| (self.snapped(level, slack), volume)).collect();
        let pieces: Vec<Piece> = self
            .pieces
            .iter()
            .flat_map(|piece| rows.windows(2).filter_map(|row| shaped(piece, row)))
            .collect();
        if pieces.is_empty() {
            return Err(CurveError::ShapeTooShort);
        }
        let kind = format!("{}, through a tank shape", self.kind);
        Ok(Self { unit: unit.into(), pieces, kind, quantity: self.quantity })
    }

    /// A level, or the end of a piece that it is beside by rounding: a piece as wide as that has no slope of its own.
    fn snapped(&self, level: f64, slack: f64) -> f64 {
        let ends = self.pieces.iter().flat_map(|piece| piece.values);
        ends.into_iter().find(|end| (end - level).abs() <= slack).unwrap_or(level)
    }
}

/// The part of a piece whose levels lie between two rows, over the volume.
fn shaped(piece: &Piece, row: &[(f64, f64)]) -> Option<Piece> {
    let [(l0, v0), (l1, v1)] = [row[0], row[1]];
    let levels = [piece.values[0].max(l0), piece.values[1].min(l1)];
    if levels[0] >= levels[1] {
        return None;
    }
    piece.part(levels, levels.map(|level| super::piece::along(level, [l0, l1], [v0, v1])))
}
