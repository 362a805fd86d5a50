//! What the leakage of the pin does to the count.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// Counts by which the greatest leakage moves the pin, at the worst place; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "leakage_error", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.leakage_error.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::LeakageError, Sense::AtMost, allowed, Unit::Counts);
}
