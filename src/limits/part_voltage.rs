//! The voltage across each part.

use super::{Checks, Limit, Unit};
use crate::quantity::Volts;
use crate::worst::{Measure, Sense};

/// At most the working voltage of its size, in normal use and in each case to be survived.
pub(super) const LIMIT: Limit = Limit { name: "part_voltage", checks };

fn checks(checks: &mut Checks) {
    let mut rows = Vec::new();
    for (element, role) in checks.parts() {
        for part in checks.input.parts.iter().filter(|part| part.role == role) {
            let working = part.grade.working_voltage;
            let allowed = checks.input.limits.part_voltage.bound(|| Some(working)).map(|Volts(v)| v);
            for (place, _) in checks.to_be_survived() {
                rows.push((place, element, role, allowed));
            }
        }
    }
    for (place, element, role, allowed) in rows {
        checks.add(place, Measure::Voltage(element), Sense::AtMost, allowed, Unit::Volts).part = Some(role);
    }
}
