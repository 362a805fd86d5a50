//! The least current through the sender, which keeps its contacts clean.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At least the bound, in normal use over the whole range; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "wetting_current", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.wetting_current.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::FarCurrent, Sense::AtLeast, allowed, Unit::Amperes);
}
