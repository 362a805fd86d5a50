//! The resistance that the far end sees.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At least the bound; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "input_resistance", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.input_resistance.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::InputResistance, Sense::AtLeast, allowed, Unit::Ohms);
}
