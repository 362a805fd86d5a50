//! The dissipation of the sender.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At most the bound, in normal use over the whole range; reported in any case where there is a sender.
pub(super) const LIMIT: Limit = Limit { name: "sender_power", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.sender_power.bound(|| None).map(|bound| bound.0);
    if checks.input.drive.is_sender() {
        checks.normal(Measure::SenderPower, Sense::AtMost, allowed, Unit::Watts);
    }
}
