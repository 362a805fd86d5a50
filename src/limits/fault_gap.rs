//! How far a broken or chafed wire is from normal use.

use super::{Checks, Limit, Unit, Watched};
use crate::case::Case;
use crate::circuit::Situation;
use crate::quantity::{Band, Counts, Ohms};
use crate::worst::{Sense, count_band, gap};

/// At least so many counts between the working band and that of a wire that is open or lies on ground or supply; reported
/// in any case.
pub(super) const LIMIT: Limit = Limit { name: "fault_gap", checks };

/// What may happen to the wire alone.
const WIRING: [Case; 3] = [Case::WireOpen, Case::WireToGround, Case::WireToSupply];

fn checks(checks: &mut Checks) {
    let allowed = checks.input.limits.fault_gap.bound(|| None).map(|bound| bound.0);
    // The wire of a measured supply that lies on that supply is no fault.
    let is_supply = checks.input.drive.is_supply();
    let is_fault = |case| WIRING.contains(&case) && !(is_supply && case == Case::WireToSupply);
    let wiring = checks.cases().filter(|(_, situation)| is_fault(situation.case));
    for place in wiring.map(|(place, _)| place).collect::<Vec<_>>() {
        checks.add(place, Watched::Gap, Sense::AtLeast, allowed, Unit::Counts);
    }
}

/// Counts between normal use and a case, truncated as the firmware sees them; zero or less: they cannot be told apart. A
/// pin that floats may show any count: less than nothing of the whole range is left. `None`: normal use has no counts.
pub(crate) fn of([normal, case]: [&Situation; 2], resistances: [&[Band<Ohms>]; 2]) -> Option<Counts> {
    let converter = &normal.converter;
    let work = converter.truncated_band(count_band(normal, resistances[0])?);
    let Some(band) = count_band(case, resistances[1]) else { return Some(-converter.highest_count()) };
    Some(gap(converter.truncated_band(band), work).counts)
}
