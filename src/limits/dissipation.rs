//! The dissipation of each part.

use super::{Checks, Limit, MOMENTARY, Unit};
use crate::board::{Grade, Setting};
use crate::case::Case;
use crate::quantity::{Seconds, Watts};
use crate::worst::{Measure, Sense};

/// In normal use a share of the derated rating, in each case to be survived all of it, and in one that is short what
/// the part stands for a short while, derated alike.
pub(super) const LIMIT: Limit = Limit { name: "dissipation", checks };

fn checks(checks: &mut Checks) {
    let hottest = checks.board.ambient.highest;
    let setting = checks.input.limits.dissipation;
    let survived = checks.to_be_survived();
    for (element, part) in checks.parts() {
        let derated = part.grade.derated(hottest);
        for &(place, case, lasts) in &survived {
            let (share, side) = match setting {
                Setting::Usual => share(&part.grade, case, lasts),
                Setting::Off | Setting::At(_) => (1.0, None),
            };
            let allowed = setting.bound(|| Some(derated * share)).map(|Watts(w)| w);
            let check = checks.add(place, Measure::Power(element), Sense::AtMost, allowed, Unit::Watts);
            (check.part, check.side, check.share) = (Some(part.role), side, share);
        }
    }
}

/// How much of its rating a part may bear.
fn share(grade: &Grade, case: Case, lasts: Option<Seconds>) -> (f64, Option<&'static str>) {
    match grade.momentary_for(lasts) {
        Some(momentary) => (momentary.power / grade.rating, Some(MOMENTARY)),
        None if case == Case::Normal => (grade.derate_to.0, None),
        None => (1.0, None),
    }
}
