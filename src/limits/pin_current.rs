//! The current into the clamps of the pin, in every case that exists for the input.

use super::{Checks, Limit, Unit};
use crate::board::{Role, Setting};
use crate::worst::{Measure, Sense};

/// The larger of the currents into the upper and out of the lower clamp; an external clamp may take more than the pin. The
/// pin's own clamp behind one is held to what the pin takes: it is the protection between them that sees to it.
pub(super) const LIMIT: Limit = Limit { name: "pin_current", checks };

fn checks(checks: &mut Checks) {
    let of_pin = checks.board.converter.pin_current;
    let usual = checks.input.clamp.map_or(of_pin, |clamp| clamp.current);
    let setting = checks.input.limits.pin_current;
    let allowed = setting.bound(|| Some(usual)).map(|i| i.0);
    let places: Vec<usize> = checks.cases().map(|(place, _)| place).collect();
    for &place in &places {
        for (measure, side) in [(Measure::UpperClamp, "upper clamp"), (Measure::LowerClamp, "lower clamp")] {
            checks.add(place, measure, Sense::AtMost, allowed, Unit::Amperes).side = Some(side);
        }
    }
    let allowed = (setting != Setting::Off).then_some(of_pin.0);
    for place in places {
        if checks.scene.situations[place].own_rail.is_some() {
            let check = checks.add(place, Measure::OwnClamp, Sense::AtMost, allowed, Unit::Amperes);
            (check.side, check.part) = (Some("own upper clamp"), Some(Role::Protection));
        }
    }
}
