//! What the current of the circuit does to the sender that it measures.

use crate::board::SelfHeating;
use crate::chain::Drive;
use crate::circuit::Situation;
use crate::quantity::{Band, Ohms, Watts};
use crate::worst::visit_corners;

/// By how much a sender may sit above what it measures, in the unit of its dial: its dissipation over what it gives off
/// for each unit.
///
/// Taken is the hottest board, whatever the rest of the stack-up looks like: as one more source of error, between none
/// and that. With a given sender the current is monotone in every parameter with the same direction at every resistance of
/// the sender, so the boards that are hottest at one of a few resistances are hottest at all.
#[derive(Clone, Debug)]
pub(super) struct Heat {
    drives: Vec<Drive>,
    wire: Ohms,
    heating: SelfHeating,
}

impl Heat {
    /// The warmth of a sender in normal use over life.
    pub(super) fn new(life: &Situation, resistances: &[Band<Ohms>], heating: SelfHeating) -> Self {
        let mut drives = Vec::new();
        visit_corners(life, resistances, |corner| {
            for leakage in [-life.leakage, life.leakage] {
                drives.push(corner.drive_of_far(leakage));
            }
        });
        let wire = life.wire.lowest;
        let far = resistances[0];
        let places = [far.lowest - wire, far.highest - wire, Ohms((far.lowest.0 * far.highest.0).sqrt())];
        let hottest = |r: Ohms| {
            drives.iter().copied().max_by(|a, b| power(*a, wire, r).0.total_cmp(&power(*b, wire, r).0))
        };
        let drives = places.iter().filter_map(|&r| hottest(r)).collect();
        Self { drives, wire, heating }
    }

    /// How far a sender of this resistance may sit above what it measures.
    pub(super) fn warmth(&self, r: Ohms) -> f64 {
        let powers = self.drives.iter().map(|drive| power(*drive, self.wire, r));
        self.heating.warmth(powers.fold(Watts(0.0), Watts::max))
    }
}

fn power(drive: Drive, wire: Ohms, r: Ohms) -> Watts {
    drive.behind_also(wire).power(r)
}
