//! A voltage that follows what is measured.

use super::measured::{Kind, curve};
use super::place::At;
use super::rails::rail_of;
use super::reader::{Keys, Value, band_text};
use super::rule;
use crate::board::{Rail, RailId, Signal};
use crate::curve::Curve;
use crate::quantity::{Band, Ohms, Volts};

const VOLTAGE: Kind<Volts> = Kind {
    rule: &rule::VOLTAGE,
    unit: "V",
    measures: "the voltages to be measured, such as measures: 0 V .. 32 V",
    means: "what the voltage means in this unit, such as reads: [[0.5 V, -100], [4.5 V, 100]]",
    rows: "rows such as [[0.5 V, -100], [4.5 V, 100]]",
    row: "a row of two: [voltage, value]",
};

/// Reads the keys of a measured voltage.
pub(super) fn read(keys: &mut Keys<'_>, rails: &[Rail]) -> Option<Signal> {
    let curve = curve(keys, &VOLTAGE);
    let from_supply = from_supply(keys);
    let scales_with = scales_with(keys, from_supply, rails);
    if let (Some(curve), Some(id)) = (&curve, scales_with) {
        within_rail(keys, curve, &rails[id.0]);
    }
    let resistance = match keys.get("signal_resistance") {
        Some(value) => small(&value),
        None => Some(keys.assume("signal_resistance", Ohms(0.0), "0 Ω")),
    };
    Some(Signal { curve: curve?, from_supply: from_supply?, scales_with, resistance: resistance? })
}

pub(super) const SMALL: &str = "a resistance such as 0.5 Ω or 50 mΩ";

/// A resistance among which milliohms are no slip.
pub(super) fn small(value: &Value<'_>) -> Option<Ohms> {
    let ohms = value.parse(SMALL, Ohms::parse_small)?;
    value.ruled(ohms, &rule::RESISTANCE)
}

fn from_supply(keys: &mut Keys<'_>) -> Option<bool> {
    match keys.get("from") {
        Some(value) => value.word(&[("supply", true), ("sensor", false)]),
        None => Some(keys.assume("from", false, "sensor")),
    }
}

/// The rail that feeds the sensor. A mistake reads as none.
fn scales_with(keys: &mut Keys<'_>, from_supply: Option<bool>, rails: &[Rail]) -> Option<RailId> {
    let Some(value) = keys.get("scales_with") else { return keys.assume("scales_with", None, "none") };
    if value.is_word("none") {
        return None;
    }
    if from_supply == Some(true) {
        value.wrong_key(
            "scales_with beside from: supply",
            "one of the two: a supply is no sensor fed by a rail",
        );
        return None;
    }
    rail_of(&value, rails)
}

/// A sensor fed by a rail gives no voltage beyond that rail; worst cases rely on it.
fn within_rail(keys: &Keys<'_>, curve: &Curve<Volts>, rail: &Rail) {
    let measured = Band::between(curve.first().1, curve.last().1);
    let fed = Band { lowest: Volts(0.0), highest: rail.voltage };
    if !(fed.holds(measured.lowest) && fed.holds(measured.highest)) {
        let found = format!("a sensor fed by `{}` that gives {}", rail.name, band_text(&measured));
        let expected = format!("voltages inside those of the rail: {}", band_text(&fed));
        keys.log.mistake(&keys.path.key("scales_with"), At::Key, found, expected);
    }
}
