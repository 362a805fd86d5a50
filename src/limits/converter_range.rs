//! The whole range stays inside that of the converter, in normal use.

use super::{Checks, Limit, Unit};
use crate::board::Setting;
use crate::worst::{Measure, Sense};

/// At the top the count before truncation stays at 2^bits − 1 or below and the pin below 1 − headroom of the
/// reference; at the bottom the pin stays at the headroom or above, where what may carry it below 0 is left out if
/// the nominal end of the range is 0. The usable part of the converter holds in addition.
pub(super) const LIMIT: Limit = Limit { name: "converter_range", checks };

fn checks(checks: &mut Checks) {
    let on = |bound: f64| (checks.input.limits.converter_range != Setting::Off).then_some(bound);
    let converter = checks.board.converter;
    let headroom = converter.headroom.0;
    let bottom = checks.scene.bottom();
    let (top, least) = (on(converter.highest_count().0), on(headroom));
    let most = on(1.0 - headroom);
    let usable = converter.usable.map(|band| (on(band.lowest.0), on(band.highest.0)));
    checks.normal(Measure::TopCount, Sense::AtMost, top, Unit::Counts).side = Some("top");
    if headroom > 0.0 {
        checks.normal(Measure::HighestShare, Sense::AtMost, most, Unit::Share).side = Some("top");
    }
    checks.add(bottom, Measure::LowestShare, Sense::AtLeast, least, Unit::Share).side = Some("bottom");
    if let Some((lowest, highest)) = usable {
        checks.normal(Measure::HighestPin, Sense::AtMost, highest, Unit::Volts).side = Some("usable top");
        checks.add(bottom, Measure::LowestPin, Sense::AtLeast, lowest, Unit::Volts).side =
            Some("usable bottom");
    }
}
