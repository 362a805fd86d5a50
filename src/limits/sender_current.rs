//! The current through the sender, or out of the source.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At most the bound, in normal use over the whole range; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "sender_current", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.sender_current.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::FarCurrent, Sense::AtMost, allowed, Unit::Amperes);
}
