//! How far a reading may be off.

use super::{Checks, Limit, Unit, Watched};
use crate::worst::Sense;

/// The greatest error of a reading in the zone, everything of the life band included; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "error", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.error.bound(|| None);
    checks.normal(Watched::Error, Sense::AtMost, allowed, Unit::Dial);
}
