//! The dissipation of each part.

use super::{Checks, Limit, Unit};
use crate::case::Case;
use crate::quantity::Watts;
use crate::worst::{Measure, Sense};

/// In normal use a share of the derated rating, in each case to be survived all of it.
pub(super) const LIMIT: Limit = Limit { name: "dissipation", checks };

fn checks(checks: &mut Checks) {
    let hottest = checks.board.ambient.highest;
    let setting = checks.input.limits.dissipation;
    let survived = checks.to_be_survived();
    for (element, part) in checks.parts() {
        let derated = part.grade.derated(hottest);
        for &(place, case) in &survived {
            let share = if case == Case::Normal { part.grade.derate_to.0 } else { 1.0 };
            let allowed = setting.bound(|| Some(derated * share)).map(|Watts(w)| w);
            let power = Measure::Power(element);
            checks.add(place, power, Sense::AtMost, allowed, Unit::Watts).part = Some(part.role);
        }
    }
}
