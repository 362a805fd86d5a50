//! Bands of what the pin shows.

use super::vertices::{Quotient, Regime, Vertex, at_each_corner, most};
use super::{Groups, Look, Slice, middle, refine};
use crate::quantity::{Amperes, Band, Volts};
use crate::worst::corner::{Corner, Ends};
use crate::worst::peak_at_clamp;

/// The band of the pin voltage over something that does not depend on resistances. `with_peak`: over the reference, which
/// may be worst where a clamp begins to conduct.
pub(in crate::worst) fn ratio_band(
    groups: &Groups<'_>,
    over: impl Fn(&Corner<'_>) -> Volts,
    with_peak: bool,
) -> Option<Band<f64>> {
    let (situation, resistances) = (groups.situation, groups.resistances);
    if Corner::at(situation, resistances, Ends::ALL_HIGH).pin().is_floating() {
        return None;
    }
    let leakage = situation.leakage;
    let end = |leakage: Amperes, up: f64| {
        let see = |corner: &Corner<'_>| {
            let pin = corner.pin_voltage(leakage);
            let regime = if corner.clamped_node().is_stiff() {
                Regime::Any
            } else {
                Regime::Held(corner.determinant(leakage).0)
            };
            let [_, below, _] = corner.clamped_node().numbers();
            Quotient { value: up * (pin / over(corner)), below, regime: Some(regime) }
        };
        let look = |slice: &Slice| {
            let mut look = look_at(groups, slice, see);
            if with_peak && up > 0.0 {
                add_peak(groups, slice, &mut look);
            }
            look
        };
        refine(groups, look).map(|found| up * found.bound)
    };
    Some(Band { lowest: end(-leakage, -1.0)?, highest: end(leakage, 1.0)? })
}

/// The worst of a quotient at every corner of the rest.
pub(super) fn look_at(groups: &Groups<'_>, slice: &Slice, see: impl Fn(&Corner<'_>) -> Quotient) -> Look {
    let levels = groups.sizes().iter().product();
    let mut look = Look::NOTHING;
    for vertices in at_each_corner(groups, slice, see) {
        look.bind(most(&vertices, levels));
        take_boards(&mut look, &vertices);
    }
    look
}

/// Takes in the boards that there are.
fn take_boards(look: &mut Look, vertices: &[Vertex<Quotient>]) {
    for vertex in vertices {
        if vertex.seen.value.is_finite() {
            look.scale = look.scale.max(vertex.seen.value.abs());
        }
        if vertex.is_board {
            look.attain(vertex.seen.value, vertex.ends);
        }
    }
}

/// Boards whose upper clamp is about to conduct.
fn add_peak(groups: &Groups<'_>, slice: &Slice, look: &mut Look) {
    let Some(bound) = peak_at_clamp(groups.situation, &groups.bands(slice)) else { return };
    look.bind(bound);
    if let Some(peak) = peak_at_clamp(groups.situation, &groups.bands(&middle(slice))) {
        look.attain(peak, look.ends);
    }
}
