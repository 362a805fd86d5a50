//! A current, turned into a voltage by a burden.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// current source - wire - burden - \[existing\] - \[protection\]
///
/// Neither the wire nor a shift of remote ground changes the current: they only count against what the transmitter can
/// drive.
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::Burden,
    name: "burden",
    rises: true,
    keeps_zero: true,
    elements: &[
        (Of::Part(Role::Burden), Way::Bridge(To::Ground)),
        (Of::Existing, Way::Bridge(To::Ground)),
        (Of::Part(Role::Protection), Way::Series),
    ],
};
