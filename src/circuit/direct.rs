//! A voltage, straight on the pin.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// source - signal resistance + wire - \[existing\] - \[protection\]
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::Direct,
    name: "direct",
    rises: true,
    keeps_zero: true,
    elements: &[(Of::Existing, Way::Bridge(To::Ground)), (Of::Part(Role::Protection), Way::Series)],
};
