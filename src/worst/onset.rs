//! Boards on which a clamp is about to conduct, where that is worse than any corner.

use super::corner::{Corner, Extreme, visit};
use super::measure::{Measure, Sense};
use crate::circuit::{Far, Situation};
use crate::quantity::{Amperes, Band, Ohms, Volts};

impl Measure {
    /// Whether a clamp that takes hold may turn the direction in which a rail moves it.
    const fn bends(self) -> bool {
        matches!(
            self,
            Self::Power(_)
                | Self::Voltage(_)
                | Self::FarCurrent
                | Self::SupplyCurrent
                | Self::SupplyDrain
                | Self::FedBack(_)
        )
    }
}

/// The worst value at a board whose clamp is about to conduct; `None`: there is no such board, or no such measure.
///
/// A rail that feeds a sensor at the far end and drives the node as well moves the current of a part from both sides. While
/// no clamp conducts the current is affine in that rail, and so it is while one does, but perhaps in the other direction:
/// it may be worst at the onset, which is found in closed form, since the open node is affine in a voltage and so is the
/// window.
pub(super) fn worst_at_onset(
    measure: Measure,
    sense: Sense,
    situation: &Situation,
    resistances: &[Band<Ohms>],
) -> Option<Extreme<f64>> {
    let Far::Stands { scaled_by: Some((place, _)), .. } = situation.far else { return None };
    let band = situation.sources[place];
    if band.is_single() || !measure.bends() {
        return None;
    }
    let pinned = |volts| {
        let mut at = situation.clone();
        at.sources[place] = Band::exactly(volts);
        at
    };
    let (low, high) = (pinned(band.lowest), pinned(band.highest));
    let mut found: Option<Extreme<f64>> = None;
    visit([&low, &high], [resistances, resistances], |[a, b]| {
        for share in onsets(a, b, situation.leakage) {
            let one = pinned(band.lowest + (band.highest - band.lowest) * share);
            let value = measure.at(&Corner::at(&one, resistances, a.ends()), sense);
            if found.is_none_or(|worst| sense.is_worse(value, worst.value)) && !value.is_nan() {
                found = Some(Extreme { value, ends: a.ends() });
            }
        }
    });
    found
}

/// Where between two boards that differ in one voltage a clamp begins to conduct, as shares of the way.
fn onsets(a: &Corner, b: &Corner, leakage: Amperes) -> impl Iterator<Item = f64> {
    let excess = |corner: &Corner, leakage: Amperes, upper: bool| -> Volts {
        let window = corner.window();
        corner.clamped_node().pushed_by(leakage) - if upper { window.highest } else { window.lowest }
    };
    let sides = [(-leakage, false), (-leakage, true), (leakage, false), (leakage, true)];
    let found = sides.map(|(leakage, upper)| {
        let (from, to) = (excess(a, leakage, upper), excess(b, leakage, upper));
        ((from.0 < 0.0) != (to.0 < 0.0)).then(|| from / (from - to))
    });
    found.into_iter().flatten()
}
