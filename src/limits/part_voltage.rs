//! The voltage across each part.

use super::{Checks, Limit, MOMENTARY, Unit};
use crate::board::Setting;
use crate::quantity::Volts;
use crate::worst::{Measure, Sense};

/// At most the working voltage of its size, in normal use and in each case to be survived; in one that is short what
/// the part stands for a short while. That a rated voltage is √(P·R) where this is less is what dissipation watches.
pub(super) const LIMIT: Limit = Limit { name: "part_voltage", checks };

fn checks(checks: &mut Checks) {
    let setting = checks.input.limits.part_voltage;
    let survived = checks.to_be_survived();
    for (element, part) in checks.parts() {
        let working = part.grade.working_voltage;
        for &(place, _, lasts) in &survived {
            let momentary = part.grade.momentary_for(lasts).filter(|_| setting == Setting::Usual);
            let (share, side) = momentary.map_or((1.0, None), |m| (m.voltage / working, Some(MOMENTARY)));
            let allowed = setting.bound(|| Some(working * share)).map(|Volts(v)| v);
            let check = checks.add(place, Measure::Voltage(element), Sense::AtMost, allowed, Unit::Volts);
            (check.part, check.side, check.share) = (Some(part.role), side, share);
        }
    }
}
