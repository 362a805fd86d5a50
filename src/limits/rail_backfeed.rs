//! What an input feeds back into the rails.

use super::{Checks, Limit, Unit};
use crate::board::RailId;
use crate::worst::{Measure, Sense};

/// At most what the rail takes, or the bound of the brief, in every case; reported in any case. What all inputs together
/// feed back in one event is judged for the whole board.
pub(super) const LIMIT: Limit = Limit { name: "rail_backfeed", checks };

fn checks(checks: &mut Checks) {
    let setting = checks.input.limits.rail_backfeed;
    let places: Vec<usize> = checks.cases().map(|(place, _)| place).collect();
    for (id, rail) in checks.board.rails.iter().enumerate() {
        let allowed = setting.bound(|| Some(rail.takes())).map(|bound| bound.0);
        for &place in &places {
            let is_reached = checks.scene.situations[place].reaches(RailId(id));
            if is_reached {
                checks.add(place, Measure::FedBack(RailId(id)), Sense::AtMost, allowed, Unit::Amperes);
            }
        }
    }
}
