//! The current into the clamps of the pin, in every case that exists for the input.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// The larger of the currents into the upper and out of the lower clamp.
pub(super) const LIMIT: Limit = Limit { name: "pin_current", checks };

fn checks(checks: &mut Checks) {
    let usual = checks.board.converter.pin_current;
    let allowed = checks.input.limits.pin_current.bound(|| Some(usual)).map(|i| i.0);
    for place in checks.cases().map(|(place, _)| place).collect::<Vec<_>>() {
        for (measure, side) in [(Measure::UpperClamp, "upper clamp"), (Measure::LowerClamp, "lower clamp")] {
            checks.add(place, measure, Sense::AtMost, allowed, Unit::Amperes).side = Some(side);
        }
    }
}
