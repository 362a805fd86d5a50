//! The capacitor at the pin, chosen after the resistors.

use std::borrow::Cow;

use crate::board::{Board, Capacitor, Input};
use crate::circuit::{Scene, Values};
use crate::limits::checks_of;

/// What a capacitor is chosen by.
const LIMITS: [&str; 2] = ["settling", "filter_time"];

/// The input with its capacitor: of values to choose from the smallest with which the sample settles and the filter time
/// holds, else the largest.
///
/// Both get better with a larger one, and nothing else depends on it. So the resistors are chosen with the largest, which
/// keeps every choice open, and the best choice of both is that of the resistors with the smallest capacitor that does.
/// What one sample takes, q = 2^bits·Cs/(C + Cs), and what is missing in the end, q/(1 − exp(−T/(Rs·(C + Cs)))), is of the
/// form x/(1 − exp(−x)) in x = T/(Rs·(C + Cs)), which rises with x and so falls with C.
pub(super) fn chosen<'a>(board: &Board, input: &'a Input, values: &Values) -> Cow<'a, Input> {
    let Capacitor::Choose(candidates) = &input.capacitor else { return Cow::Borrowed(input) };
    let with = |capacitor| Input { capacitor, ..input.clone() };
    let does = |input: &Input| {
        let scene = Scene::new(board, input, values);
        let checks =
            checks_of(board, input, &scene).into_iter().filter(|check| LIMITS.contains(&check.name()));
        checks
            .filter_map(|check| Some((check.worst(input, &scene)?.value, check)))
            .all(|(worst, check)| check.holds(worst))
    };
    let smallest = candidates.iter().map(|&farads| with(Capacitor::Fixed(farads))).find(does);
    let largest = || with(input.capacitor.largest().map_or(Capacitor::Absent, Capacitor::Fixed));
    Cow::Owned(smallest.unwrap_or_else(largest))
}
