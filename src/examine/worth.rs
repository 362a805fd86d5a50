//! What the counts are worth in the unit of the dial.

use crate::answer::{GreatestError, LimitRow, Resolution, StraightLine};
use crate::board::Input;
use crate::reading::Nominal;

/// How finely the converter sees the zone.
pub(super) fn resolution(input: &Input, nominal: &Nominal<'_>) -> Resolution {
    let zone = input.zone();
    let least = nominal.least_slope(zone);
    let [_, at_lowest] = nominal.slopes(zone.lowest);
    let [at_highest, _] = nominal.slopes(zone.highest);
    let (from, to) = (zone.lowest, zone.highest);
    Resolution { least_counts_per_unit: least.value, at: least.at, at_lowest, at_highest, from, to }
}

/// The greatest error, which its limit has found.
pub(super) fn error(limits: &[LimitRow]) -> Option<GreatestError> {
    let row = limits.iter().find(|row| row.limit == "error")?;
    Some(GreatestError { greatest: row.worst, at: row.at? })
}

/// What a straight line would make of the count.
pub(super) fn straight_line(input: &Input, nominal: &Nominal<'_>) -> StraightLine {
    let zone = input.zone();
    let found = nominal.off_straight_line(zone);
    let bend = nominal.bend(f64::midpoint(zone.lowest, zone.highest));
    StraightLine { off: found.value, at: found.at, bend_per_unit: input.drive.is_curved().then_some(bend) }
}
