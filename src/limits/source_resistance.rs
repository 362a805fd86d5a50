//! The source resistance at the pin.

use super::{Checks, Limit, Unit};
use crate::worst::{Measure, Sense};

/// At most the bound, in normal use at its worst place; reported in any case.
pub(super) const LIMIT: Limit = Limit { name: "source_resistance", checks };

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.source_resistance.bound(|| None).map(|bound| bound.0);
    checks.normal(Measure::SourceResistance, Sense::AtMost, allowed, Unit::Ohms);
}
