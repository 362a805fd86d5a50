//! The dissipation of each part.

use super::{Checks, Limit, Unit};
use crate::board::Part;
use crate::case::Case;
use crate::quantity::Watts;
use crate::worst::{Measure, Sense};

/// In normal use a share of the derated rating, in each case to be survived all of it.
pub(super) const LIMIT: Limit = Limit { name: "dissipation", checks };

fn checks(checks: &mut Checks) {
    let hottest = checks.board.ambient.highest;
    let allowed = |part: &Part, case| {
        let derated = part.grade.derated(hottest);
        let share = if case == Case::Normal { part.grade.derate_to.0 } else { 1.0 };
        checks.input.limits.dissipation.bound(|| Some(derated * share)).map(|Watts(w)| w)
    };
    let mut rows = Vec::new();
    for (element, role) in checks.parts() {
        for part in checks.input.parts.iter().filter(|part| part.role == role) {
            for (place, case) in checks.to_be_survived() {
                rows.push((place, element, role, allowed(part, case)));
            }
        }
    }
    for (place, element, role, allowed) in rows {
        checks.add(place, Measure::Power(element), Sense::AtMost, allowed, Unit::Watts).part = Some(role);
    }
}
