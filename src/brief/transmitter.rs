//! A current that follows what is measured.

use super::measured::{Kind, curve};
use super::rails::excitation;
use super::reader::{Keys, Value};
use super::rule;
use crate::board::{Excitation, LoopSupply, Rail, Transmitter};
use crate::quantity::{Amperes, Band};

const CURRENT: Kind<Amperes> = Kind {
    rule: &rule::CURRENT_FROM_ZERO,
    unit: "A",
    measures: "the currents to be measured, such as measures: 4 mA .. 20 mA",
    means: "what the current means in this unit, such as reads: [[4 mA, 0], [20 mA, 10]]",
    rows: "rows such as [[4 mA, 0], [20 mA, 10]]",
    row: "a row of two: [current, value]",
};

/// Reads the keys of a measured current.
pub(super) fn read(keys: &mut Keys<'_>, rails: &[Rail]) -> Option<Transmitter> {
    let curve = curve(keys, &CURRENT);
    let compliance = keys.quantity_or_none("compliance", &rule::VOLTAGE_ABOVE_ZERO);
    let loop_supply = match keys.get("loop") {
        Some(value) => loop_supply(&value, rails),
        None => Some(keys.assume("loop", LoopSupply::Supply, "supply")),
    };
    Some(Transmitter { curve: curve?, compliance, loop_supply: loop_supply? })
}

/// What feeds the loop: the vehicle's supply, a rail, or a supply of its own.
fn loop_supply(value: &Value<'_>, rails: &[Rail]) -> Option<LoopSupply> {
    if value.as_text().is_some() {
        let what = "what feeds the loop, a map such as { voltage: 24 V, tolerance: 5 % } or one of";
        return excitation(value, rails, what).map(|fed_by| match fed_by {
            Excitation::Rail(id) => LoopSupply::Rail(id),
            Excitation::Supply => LoopSupply::Supply,
        });
    }
    let mut keys =
        value.keys("supply, a rail of the board, or a map such as { voltage: 24 V, tolerance: 5 % }")?;
    let voltage = keys.required("voltage", "the voltage of the loop supply, such as voltage: 24 V");
    let voltage = voltage.and_then(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let tolerance = keys.required("tolerance", "how far it may be off, such as tolerance: 5 %");
    let tolerance = tolerance.and_then(|value| value.quantity(&rule::SHARE_BELOW_ONE));
    keys.finish();
    Some(LoopSupply::Own(Band::within(voltage?, tolerance?)))
}
