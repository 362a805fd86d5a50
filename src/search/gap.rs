//! How far a case can be from normal use, over a box of part values.

use super::bound::Ruling;
use super::space::{Box, MOST, Root};
use crate::circuit::{Scene, Situation};
use crate::limits::{Check, fault_gap};
use crate::quantity::{Band, Counts};
use crate::worst::{Corner, edge_at, gap, greatest, least};

impl Root<'_> {
    /// What the limit of the gap says of a box.
    pub(super) fn ruling_on_gap(&self, check: &Check, b: &Box) -> Ruling {
        match self.best_gap(check, b) {
            Some(best) if !check.holds(best) => Ruling::Excludes,
            _ if b.is_single() => Ruling::Holds,
            _ => Ruling::Open([0.0; MOST]),
        }
    }

    /// A bound that no gap in the box exceeds; exact for a single combination. `None`: there are no counts.
    pub(super) fn best_gap(&self, check: &Check, b: &Box) -> Option<f64> {
        let normal = &self.scene.situations[Scene::NORMAL];
        let case = &self.scene.situations[check.situation];
        if b.is_single() {
            let resistances = [normal, case].map(|situation| self.fitted(situation, &b.first));
            return fault_gap([normal, case], resistances.each_ref().map(|bands| &**bands)).map(|gap| gap.0);
        }
        let converter = &normal.converter;
        let narrow = |situation| Some(converter.truncated_band(self.narrowest(situation, b)?));
        let work = narrow(normal)?;
        // A pin that floats does so with any values.
        let Some(case) = narrow(case) else { return Some(-converter.highest_count().0) };
        Some(gap(case, work).counts.0)
    }

    /// Edges that those of no combination of the box lie inside of: the band of each reaches down to its count at any board,
    /// and that is greatest at a vertex of the box. The band may be empty: its lowest edge above its highest.
    fn narrowest(&self, situation: &Situation, b: &Box) -> Option<Band<Counts>> {
        let middle = self.surely(situation, &b.middle());
        let lowest = least(situation, &middle, |corner| edge_at(corner, -1.0))?.ends;
        let highest = greatest(situation, &middle, |corner| edge_at(corner, 1.0))?.ends;
        let at_vertices = |ends, up| {
            self.vertices(b).map(move |places| {
                let bands = self.surely(situation, &places);
                edge_at(&Corner::at(situation, &bands, ends), up)
            })
        };
        Some(Band {
            lowest: at_vertices(lowest, -1.0).reduce(Counts::max)?,
            highest: at_vertices(highest, 1.0).reduce(Counts::min)?,
        })
    }
}
