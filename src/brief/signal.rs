//! `measures` and `reads`: a voltage that follows what is measured.

use super::place::At;
use super::rails::rail_of;
use super::reader::{Keys, Value, band_text};
use super::rule;
use super::sender::{shape, through};
use super::unit::Unit;
use super::words::quoted;
use crate::board::{Rail, RailId, Signal};
use crate::curve::Curve;
use crate::quantity::{Band, Ohms, Volts};

/// Reads the keys of a measured voltage.
pub(super) fn read(keys: &mut Keys<'_>, rails: &[Rail]) -> Option<Signal> {
    let curve = curve(keys);
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

/// The curve from the unit to the voltage, over the part that is measured.
fn curve(keys: &mut Keys<'_>) -> Option<Curve<Volts>> {
    let unit = keys.get("unit");
    let (reads, shape) = (keys.get("reads"), keys.get("shape"));
    let measures = match keys.get("measures") {
        Some(value) => Some((value.clone(), measured(&value)?)),
        None => None,
    };
    match reads.filter(|reads| !reads.is_word("itself")) {
        Some(reads) => {
            let curve = from_rows(&reads, unit.as_ref())?;
            let curve = match measures {
                Some((value, band)) => part_of(&curve, &value, band)?,
                None => curve,
            };
            match shape {
                Some(shape) => shape::through(curve, &shape, None),
                None => Some(curve),
            }
        }
        None if shape.is_some() => {
            let expected = "reads beside it, which says what level a voltage means";
            keys.log.mistake(&keys.path.key("shape"), At::Key, "a shape without reads", expected);
            None
        }
        None => itself(keys, unit.as_ref(), measures.map(|(_, band)| band)),
    }
}

fn measured(value: &Value<'_>) -> Option<Band<Volts>> {
    let band = value.band(&rule::VOLTAGE)?;
    if band.is_single() {
        value.wrong(format!("{} (empty)", value.found()), "two different ends");
        return None;
    }
    Some(band)
}

/// A voltage that is shown as what it is.
fn itself(
    keys: &mut Keys<'_>,
    unit: Option<&Value<'_>>,
    measures: Option<Band<Volts>>,
) -> Option<Curve<Volts>> {
    if let Some(unit) = unit.filter(|unit| !unit.is_word("V")) {
        let expected = "what the voltage means in this unit, such as reads: [[0.5 V, -100], [4.5 V, 100]]";
        unit.wrong_key(format!("{} without reads", unit.found()), expected);
        return None;
    }
    let Some(Band { lowest, highest }) = measures else {
        keys.required("measures", "the voltages to be measured, such as measures: 0 V .. 32 V");
        return None;
    };
    if !keys.has("reads") {
        keys.assume("reads", (), "itself");
    }
    Curve::new("V", vec![(lowest.0, lowest), (highest.0, highest)]).ok()
}

/// Rows of voltage and value; the values rise or fall from row to row.
fn from_rows(reads: &Value<'_>, unit: Option<&Value<'_>>) -> Option<Curve<Volts>> {
    let rows = reads.list("rows such as [[0.5 V, -100], [4.5 V, 100]]")?;
    let pairs: Vec<_> = rows.iter().map(|row| row.pair("a row of two: [voltage, value]")).collect();
    let unit = match unit {
        Some(unit) => Unit::new(unit.text("a unit such as A, °C or bar")?),
        None => unit_of_rows(reads, pairs.iter().flatten().next())?,
    };
    let point = |(volts, value): (Value<'_>, Value<'_>)| {
        let volts = volts.quantity(&rule::VOLTAGE);
        let value = value.parse("a value", |text| unit.value(text));
        Some((value?, volts?))
    };
    let points: Vec<Option<(f64, Volts)>> = pairs.into_iter().map(|pair| pair.and_then(point)).collect();
    let mut points: Vec<(f64, Volts)> = points.into_iter().collect::<Option<_>>()?;
    let falls = points.len() > 1 && points.windows(2).all(|pair| pair[1].0 < pair[0].0);
    if falls {
        points.reverse();
    }
    through(reads, &unit, points, |volts| format!("{volts:#}"))
}

fn unit_of_rows(reads: &Value<'_>, first: Option<&(Value<'_>, Value<'_>)>) -> Option<Unit> {
    let unit = first.and_then(|(_, value)| value.as_text()).and_then(Unit::behind_number);
    if unit.is_none() {
        let expected = "the unit of the values beside reads, such as unit: A";
        reads.log.mistake(&reads.path, At::Key, "values without a unit", expected);
    }
    unit
}

/// The part of a curve whose voltages are measured.
fn part_of(curve: &Curve<Volts>, value: &Value<'_>, band: Band<Volts>) -> Option<Curve<Volts>> {
    let known = Band::between(curve.first().1, curve.last().1);
    if !(known.holds(band.lowest) && known.holds(band.highest)) {
        let found = format!("{} (beyond reads)", quoted(&band_text(&band)));
        value.wrong(found, format!("a part of what reads covers: {}", band_text(&known)));
        return None;
    }
    let (a, b) = (curve.value_of(band.lowest), curve.value_of(band.highest));
    let (first, last) =
        if a < b { ((a, band.lowest), (b, band.highest)) } else { ((b, band.highest), (a, band.lowest)) };
    let inner = curve.points().into_iter().filter(|(x, _)| first.0 < *x && *x < last.0);
    let points = std::iter::once(first).chain(inner).chain([last]).collect();
    Curve::new(curve.unit(), points).ok()
}
