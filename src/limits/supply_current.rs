//! What the input draws from the vehicle's supply; a rail's current counts one to one.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At most the bound, in normal use at the worst place; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "supply_current", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.supply_current.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::SupplyCurrent, Sense::AtMost, allowed, Unit::Amperes);
}
