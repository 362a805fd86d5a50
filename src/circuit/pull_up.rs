//! A sender to ground, pulled up by an excitation; a divider may stand behind the measuring node.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// remote ground - wire + sender - \[line\] - \[gauge to its feed\] - pull_up to the excitation - \[shunt\] -
/// \[existing\] - \[top - bottom\] - \[protection\]
///
/// A gauge that stays connected excites the sender, too, so that beside one the pull-up may be left out.
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::PullUp,
    name: "pull-up",
    rises: true,
    keeps_zero: true,
    elements: &[
        (Of::Part(Role::Line), Way::Series),
        (Of::Gauge, Way::Bridge(To::Gauge)),
        (Of::Part(Role::PullUp), Way::Bridge(To::Excitation)),
        (Of::Part(Role::Shunt), Way::Bridge(To::Ground)),
        (Of::Existing, Way::Bridge(To::Ground)),
        (Of::Part(Role::Top), Way::Series),
        (Of::Part(Role::Bottom), Way::Bridge(To::Ground)),
        (Of::Part(Role::Protection), Way::Series),
    ],
};
