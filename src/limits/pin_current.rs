//! The current into the clamps of the pin, in every case that exists for the input.

use super::{Checks, Limit, Unit};
use crate::board::Setting;
use crate::worst::{Measure, Sense};

/// The larger of the currents into the upper and out of the lower clamp; an external clamp may take more than the pin. The
/// pin's own clamp behind it is held to what the pin takes.
pub(super) const LIMIT: Limit = Limit { name: "pin_current", checks };

fn checks(checks: &mut Checks) {
    let own = checks.board.converter.pin_current;
    let usual = checks.input.clamp.map_or(own, |clamp| clamp.current);
    let setting = checks.input.limits.pin_current;
    let allowed = setting.bound(|| Some(usual)).map(|i| i.0);
    let own = (setting != Setting::Off).then_some(own.0);
    for place in checks.cases().map(|(place, _)| place).collect::<Vec<_>>() {
        for (measure, side) in [(Measure::UpperClamp, "upper clamp"), (Measure::LowerClamp, "lower clamp")] {
            checks.add(place, measure, Sense::AtMost, allowed, Unit::Amperes).side = Some(side);
        }
        if checks.scene.situations[place].own_rail.is_some() {
            let check = checks.add(place, Measure::OwnClamp, Sense::AtMost, own, Unit::Amperes);
            // Of what an external clamp takes as much as the pin's own clamp does.
            let share = own.zip(allowed).map_or(1.0, |(own, allowed)| own / allowed);
            (check.side, check.share) = (Some("own upper clamp"), share);
        }
    }
}
