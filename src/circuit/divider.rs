//! A voltage, divided; an extension in front takes an existing divider to a higher voltage.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// source - signal resistance + wire - \[extension\] - top - bottom - \[existing\] - \[protection\]
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::Divider,
    name: "divider",
    rises: true,
    keeps_zero: true,
    elements: &[
        (Of::Part(Role::Extension), Way::Series),
        (Of::Part(Role::Top), Way::Series),
        (Of::Part(Role::Bottom), Way::Bridge(To::Ground)),
        (Of::Existing, Way::Bridge(To::Ground)),
        (Of::Part(Role::Protection), Way::Series),
    ],
};
