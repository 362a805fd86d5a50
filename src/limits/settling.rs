//! The sample settles.

use super::{Checks, Limit, Unit};
use crate::board::Setting;
use crate::worst::{Measure, Sense};

/// Without a capacitor at the pin the sampling time has to last; with one, what a sample takes out of it has to come
/// back until the next.
pub(super) const LIMIT: Limit = Limit { name: "settling", checks };

fn checks(checks: &mut Checks) {
    let sampling = checks.board.converter.sampling;
    let setting = checks.input.limits.settling;
    let settles_to = setting.bound(|| Some(sampling.settles_to));
    if let Some(capacitor) = checks.input.capacitor.largest() {
        let allowed = settles_to.map(|counts| counts.0);
        checks.normal(Measure::Missing { capacitor }, Sense::AtMost, allowed, Unit::Counts);
    } else {
        let allowed = (setting != Setting::Off).then_some(sampling.time.0);
        let settles_to = settles_to.unwrap_or(sampling.settles_to);
        checks.normal(Measure::SettlingTime { settles_to }, Sense::AtMost, allowed, Unit::Seconds);
    }
}
