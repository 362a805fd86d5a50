//! How long the source and the capacitor at the pin hold back what changes.

use super::{Checks, Limit, Unit};
use crate::quantity::Farads;
use crate::worst::{Measure, Sense};

/// At least the bound: the least source resistance in normal use times the capacitor; reported in any case where there is
/// a capacitor.
pub(super) const LIMIT: Limit = Limit { name: "filter_time", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.filter_time.bound(|| None).map(|bound| bound.0);
    let capacitor = checks.input.capacitor.largest();
    if allowed.is_some() || capacitor.is_some() {
        let measure = Measure::TimeConstant { capacitor: capacitor.unwrap_or(Farads(0.0)) };
        checks.normal(measure, Sense::AtLeast, allowed, Unit::Seconds);
    }
}
