//! When one part does what another one does.

use crate::board::{Grade, Momentary};
use crate::size::{SIZES, Size};

/// Whether a part of the first grade does all that one of the second does. What share of its rating is used in normal use
/// belongs to the board, not to the part.
pub fn covers(one: &Grade, other: &Grade) -> bool {
    better_than(other, one).is_empty()
        && one.derated_from >= other.derated_from
        && one.derated_to_zero >= other.derated_to_zero
        && stands_as_long(one.momentary, other.momentary)
}

fn stands_as_long(one: Option<Momentary>, other: Option<Momentary>) -> bool {
    match (one, other) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(one), Some(other)) => {
            one.power >= other.power && one.voltage >= other.voltage && one.time >= other.time
        }
    }
}

/// In what a grade is better than another: `tolerance`, `tempco`, `ageing`, `size`.
pub fn better_than(one: &Grade, other: &Grade) -> Vec<&'static str> {
    let stands_more = one.rating > other.rating || one.working_voltage > other.working_voltage;
    [
        ("tolerance", one.tolerance < other.tolerance),
        ("tempco", one.tempco < other.tempco),
        ("ageing", one.ageing < other.ageing),
        ("size", stands_more),
    ]
    .into_iter()
    .filter_map(|(name, is_better)| is_better.then_some(name))
    .collect()
}

/// The grade of a part that does what both do: the better of the two, or the best of each in a standard size. `None`:
/// no standard size is known to stand both, or they are derated in different ways.
pub fn joined(one: &Grade, other: &Grade) -> Option<Grade> {
    if let Some((better, _)) = [(one, other), (other, one)].into_iter().find(|(a, b)| covers(a, b)) {
        return Some(better.clone());
    }
    let is_alike = one.derated_from == other.derated_from
        && one.derated_to_zero == other.derated_to_zero
        && one.momentary == other.momentary;
    if !is_alike {
        return None;
    }
    let (rating, voltage) = (one.rating.max(other.rating), one.working_voltage.max(other.working_voltage));
    let (rating, working_voltage) = [one, other]
        .into_iter()
        .map(|grade| (grade.rating, grade.working_voltage))
        .chain(SIZES.iter().map(|size| (size.rating, size.working_voltage)))
        .find(|(watts, volts)| *watts >= rating && *volts >= voltage)?;
    Some(Grade {
        tolerance: one.tolerance.min(other.tolerance),
        tempco: one.tempco.min(other.tempco),
        ageing: one.ageing.min(other.ageing),
        rating,
        working_voltage,
        ..one.clone()
    })
}

/// The standard size that stands exactly what a grade does.
pub fn size_of(grade: &Grade) -> Option<&'static Size> {
    SIZES.iter().find(|size| size.rating == grade.rating && size.working_voltage == grade.working_voltage)
}
