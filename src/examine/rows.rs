//! Each limit with its worst case.

use crate::answer::LimitRow;
use crate::board::Input;
use crate::circuit::Scene;
use crate::limits::{Check, Unit, Worst};
use crate::worst::Sense;
use itertools::Itertools;

/// One row for each thing that a limit looks at: the check with the least left of its bound, or, where nothing is
/// limited, with the worst value.
pub(super) fn of(input: &Input, scene: &Scene, checks: &[Check]) -> Vec<LimitRow> {
    let measured = checks.iter().filter_map(|check| Some((check, check.worst(input, scene)?)));
    let rows = measured.chunk_by(|(check, _)| thing(check));
    rows.into_iter()
        .filter_map(|(_, group)| group.reduce(|a, b| if is_worse(&b, &a) { b } else { a }))
        .map(|(check, worst)| row(input, scene, check, worst))
        .collect()
}

/// What a check looks at: checks of one thing differ in their case, or in the side of the same clamp window.
fn thing(check: &Check) -> (usize, Option<crate::board::Role>, Unit, bool) {
    (check.limit, check.part, check.unit, check.sense == Sense::AtMost)
}

fn is_worse(b: &(&Check, Worst), a: &(&Check, Worst)) -> bool {
    match (b.0.allowed, a.0.allowed) {
        (Some(allowed_b), Some(allowed_a)) if allowed_a > 0.0 && allowed_b > 0.0 => {
            b.0.sense.is_worse(b.1.value / allowed_b, a.1.value / allowed_a)
        }
        _ => b.0.sense.is_worse(b.1.value, a.1.value),
    }
}

fn row(input: &Input, scene: &Scene, check: &Check, worst: Worst) -> LimitRow {
    let situation = &scene.situations[check.situation];
    LimitRow {
        limit: check.name(),
        part: check.part.map(crate::board::Role::key),
        side: check.side,
        case: situation.case.name(),
        at: worst.at,
        worst: worst.value,
        allowed: check.allowed,
        margin: check.allowed.map(|allowed| check.sense.margin(worst.value, allowed)),
        unit: check.unit.symbol(input.unit()),
        holds: check.holds(worst.value),
        binds: None,
        without_it: None,
        larger_size: None,
    }
}
