//! A current that follows what is measured.

use super::measured::{Kind, curve};
use super::reader::Keys;
use super::rule;
use crate::board::Transmitter;
use crate::quantity::Amperes;

const CURRENT: Kind<Amperes> = Kind {
    rule: &rule::CURRENT_FROM_ZERO,
    unit: "A",
    measures: "the currents to be measured, such as measures: 4 mA .. 20 mA",
    means: "what the current means in this unit, such as reads: [[4 mA, 0], [20 mA, 10]]",
    rows: "rows such as [[4 mA, 0], [20 mA, 10]]",
    row: "a row of two: [current, value]",
};

/// Reads the keys of a measured current.
pub(super) fn read(keys: &mut Keys<'_>) -> Option<Transmitter> {
    let curve = curve(keys, &CURRENT);
    let compliance = keys.quantity_or_none("compliance", &rule::VOLTAGE_ABOVE_ZERO);
    Some(Transmitter { curve: curve?, compliance })
}
