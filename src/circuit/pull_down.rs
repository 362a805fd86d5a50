//! A sender between its excitation and the node, pulled down to ground: the pin falls with its resistance.

use super::{Of, Plan, To, Way};
use crate::board::{Circuit, Role};

/// excitation - wire + sender - \[line\] - pull_down - \[existing\] - \[protection\]
///
/// Both wires of the sender come to the board, so remote ground plays no part until the wire lies on it. What chafes is the
/// wire between sender and node.
pub(super) const PLAN: Plan = Plan {
    circuit: Circuit::PullDown,
    name: "pull-down",
    rises: false,
    keeps_zero: false,
    elements: &[
        (Of::Part(Role::Line), Way::Series),
        (Of::Part(Role::PullDown), Way::Bridge(To::Ground)),
        (Of::Existing, Way::Bridge(To::Ground)),
        (Of::Part(Role::Protection), Way::Series),
    ],
};
