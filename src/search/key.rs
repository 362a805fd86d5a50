//! What decides between choices that tie in their aim.
//!
//! Two resistors may straighten a sender in many proportions; of these the one with the most span is wanted.

use super::space::{Box, MOST, Root};
use crate::board::Aim;
use crate::series::Preferred;
use crate::worst::Measure;
use std::cmp::Ordering;

/// The order among ties, smallest first: parts, current, source resistance, series, values. For a box it is a bound
/// that no combination in it is below.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Key {
    /// The negative of the assured span where the aim says nothing of how much is seen; else 0.
    span: f64,
    parts: usize,
    current: f64,
    source_resistance: f64,
    fineness: usize,
    values: Vec<f64>,
}

impl Key {
    pub(super) fn of(root: &Root<'_>, b: &Box) -> Self {
        let rank = |k: usize| {
            let slot = &root.slots[k];
            let range = usize::from(b.first[k])..=usize::from(b.last[k]);
            slot.candidates[range].iter().map(Preferred::fineness).min().unwrap_or(0)
        };
        Self {
            span: if root.input.aim == Aim::Straight { -millionths(root.most_assured(b)) } else { 0.0 },
            parts: root.values.count(),
            current: settled(root.least_nominal(Measure::SupplyCurrent, b)),
            source_resistance: settled(root.least_nominal(Measure::SourceResistance, b)),
            fineness: (0..root.slots.len()).map(rank).sum(),
            values: values(root, &b.first),
        }
    }

    /// What is worse of both in each respect: the key of one set of parts in two places.
    pub(super) fn worse(self, other: &Self) -> Self {
        Self {
            span: self.span.max(other.span),
            current: self.current.max(other.current),
            source_resistance: self.source_resistance.max(other.source_resistance),
            ..self
        }
    }

    pub(super) fn order(&self, other: &Self) -> Ordering {
        self.span
            .total_cmp(&other.span)
            .then(self.parts.cmp(&other.parts))
            .then(self.current.total_cmp(&other.current))
            .then(self.source_resistance.total_cmp(&other.source_resistance))
            .then(self.fineness.cmp(&other.fineness))
            .then_with(|| {
                let pairs = self.values.iter().zip(&other.values);
                pairs.map(|(a, b)| a.total_cmp(b)).find(|o| o.is_ne()).unwrap_or(Ordering::Equal)
            })
    }
}

/// The values in the order of the circuit; a part that is left out comes first.
fn values(root: &Root<'_>, places: &[u16; MOST]) -> Vec<f64> {
    let values = root.values_at(places);
    let mut roles: Vec<_> = root.slots.iter().map(|slot| (slot.element, slot.role)).collect();
    roles.sort_unstable();
    roles.into_iter().map(|(_, role)| values.get(role).map_or(0.0, |ohms| ohms.0)).collect()
}

/// A span in millionths of a count: it is a difference of counts, of which rounding leaves no more.
fn millionths(counts: f64) -> f64 {
    (counts * 1e6).round()
}

/// Twelve digits: what is equal but for rounding counts as equal.
fn settled(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    let digit = 10_f64.powi(11 - x.abs().log10().floor() as i32);
    (x * digit).round() / digit
}
