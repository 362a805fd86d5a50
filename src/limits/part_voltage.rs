//! The voltage across each part.

use super::{Checks, Limit, Unit};
use crate::quantity::Volts;
use crate::worst::{Measure, Sense};

/// At most the working voltage of its size, in normal use and in each case to be survived.
pub(super) const LIMIT: Limit = Limit { name: "part_voltage", checks };

fn checks(checks: &mut Checks) {
    let setting = checks.input.limits.part_voltage;
    let survived = checks.to_be_survived();
    for (element, part) in checks.parts() {
        let allowed = setting.bound(|| Some(part.grade.working_voltage)).map(|Volts(v)| v);
        for &(place, _) in &survived {
            let voltage = Measure::Voltage(element);
            checks.add(place, voltage, Sense::AtMost, allowed, Unit::Volts).part = Some(part.role);
        }
    }
}
