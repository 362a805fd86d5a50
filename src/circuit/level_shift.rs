//! A voltage of either sign, divided and lifted by a rail so that all of it lies above ground.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// source - signal resistance + wire - top - bias to the rail - bottom - \[existing\] - \[protection\]
///
/// Which share of the source reaches the pin is a Möbius function of each part without a pole, as in a divider. The rail
/// lifts both ends of the range alike, so it plays no part in the span unless it is the reference, too.
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::LevelShift,
    name: "level-shift",
    rises: true,
    keeps_zero: false,
    elements: &[
        (Of::Part(Role::Top), Way::Series),
        (Of::Part(Role::Bias), Way::Bridge(To::Bias)),
        (Of::Part(Role::Bottom), Way::Bridge(To::Ground)),
        (Of::Existing, Way::Bridge(To::Ground)),
        (Of::Part(Role::Protection), Way::Series),
    ],
};
