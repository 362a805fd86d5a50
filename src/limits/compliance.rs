//! What a transmitter has to drive its current against.

use super::{Checks, Limit, Unit};
use crate::board::Drive;
use crate::worst::{Measure, Sense};

/// At most what the transmitter is made for, in normal use at its highest current, burden and wire together; reported in
/// any case where there is a transmitter.
pub(super) const LIMIT: Limit = Limit { name: "compliance", checks };

fn checks(checks: &mut Checks) {
    let Drive::Current(transmitter) = &checks.input.drive else { return };
    let allowed = checks.input.limits.compliance.bound(|| transmitter.compliance).map(|bound| bound.0);
    checks.normal(Measure::FarVoltage, Sense::AtMost, allowed, Unit::Volts);
}
