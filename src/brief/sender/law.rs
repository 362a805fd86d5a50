//! Thermistors and platinum: laws of resistance over temperature.

use super::super::node::Node;
use super::super::reader::{Keys, Value};
use super::super::rule::{self, Rule};
use super::super::unit::Unit;
use super::{Kind, Named};
use crate::board::Accuracy;
use crate::curve::{Affine, Beta, Curve, CurveError, Law, Platinum, SteinhartHart};
use crate::quantity::{Band, Celsius, Ohms, ParseQuantityError, Quantity, parse_range};

const CELSIUS: &str = "°C";
const RANGE: &str = "the temperatures over which it is read, such as range: -20 °C .. 120 °C; nothing beyond what is \
                     known of a sender is assumed";

/// Resistances that thermistors on boards and engines have at 25 °C.
const AT_25: Band<Ohms> = Band { lowest: Ohms(1.0), highest: Ohms(100e6) };

/// The curve of a law over its range.
pub(super) fn read(keys: &mut Keys<'_>, named: &Named<'_>) -> Option<Curve<Ohms>> {
    let law = match named.kind {
        Kind::Ntc => ntc(&named.value).map(Law::from),
        Kind::SteinhartHart => steinhart_hart(&named.value).map(Law::from),
        _ => platinum(&named.value).map(Law::from),
    };
    let value = keys.required("range", RANGE);
    let dial = dial(keys, value.as_ref().and_then(unit_behind));
    let ((unit, dial), value) = (dial?, value?);
    let range = range(&value, unit.as_ref())?;
    let name = unit.as_ref().map_or(CELSIUS, Unit::name);
    match Curve::of_law(name, dial, law?, range) {
        Ok(curve) => sane(curve, dial, named),
        Err(error) => {
            refuse(error, &value, named);
            None
        }
    }
}

/// The unit of temperature behind the second end of a range: whoever writes it in °F wants to see it so.
fn unit_behind(range: &Value<'_>) -> Option<Unit> {
    let second = match range.node {
        Node::Text(text) => text.split_once("..")?.1,
        Node::List(ends) => match ends.last()? {
            Node::Text(text) => text,
            _ => return None,
        },
        _ => return None,
    };
    Unit::behind_number(second).filter(|unit| unit.celsius().is_some())
}

/// The unit that is given, or that of the range, and how a dial in it shows temperature.
fn dial(keys: &mut Keys<'_>, of_range: Option<Unit>) -> Option<(Option<Unit>, Affine)> {
    const UNITS: &str = "a unit of temperature: °C, °F or K";
    let Some(value) = keys.get("unit") else {
        let name = of_range.as_ref().map_or(CELSIUS, Unit::name).to_owned();
        let dial = of_range.as_ref().and_then(Unit::celsius).unwrap_or(Affine::CELSIUS);
        return Some((of_range, keys.assume("unit", dial, name)));
    };
    let unit = Unit::new(value.text(UNITS)?);
    let dial = unit.celsius();
    if dial.is_none() {
        value.unlike(UNITS);
    }
    Some((Some(unit), dial?))
}

/// The range in the unit. Where no unit is given, a bare number could mean several temperatures.
fn range(value: &Value<'_>, unit: Option<&Unit>) -> Option<Band<f64>> {
    let (lowest, highest) = if let Some(unit) = unit {
        value.ends(&format!("in {}", unit.name()), |text| unit.ends(text), |text| unit.value(text))?
    } else {
        let (lowest, highest) = value.ends(Celsius::EXPECTED, parse_range::<Celsius>, Celsius::parse)?;
        (lowest.0, highest.0)
    };
    if lowest < highest {
        return Some(Band { lowest, highest });
    }
    let odd = if lowest == highest { "empty" } else { "reversed" };
    value.wrong(format!("{} ({odd})", value.found()), "the lower end first and a higher one behind it");
    None
}

/// Says why the law is no curve over the range.
fn refuse(error: CurveError, range: &Value<'_>, named: &Named<'_>) {
    match error {
        CurveError::BelowAbsoluteZero => {
            range.wrong(format!("{} (below absolute zero)", range.found()), "temperatures above -273.15 °C");
        }
        CurveError::OutsideStandard => range.wrong(
            format!("{} (outside the standard)", range.found()),
            "a range within -200 °C .. 850 °C, for which IEC 60751 defines platinum",
        ),
        CurveError::NotFalling if named.kind == Kind::SteinhartHart => named.value.wrong_key(
            "coefficients whose resistance does not fall all over the range",
            "those of 1/T = a + b·ln R + c·(ln R)³ in ohms and kelvin, or the range over which they were fitted",
        ),
        CurveError::NotFalling => range.wrong(
            format!("{} (beyond what the law is good for)", range.found()),
            "the temperatures for which the sender is made",
        ),
        _ => named.value.wrong_key("numbers that are no thermistor", EXAMPLE),
    }
}

const EXAMPLE: &str = "such as ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K } or \
                       steinhart_hart: { a: 1.13e-3, b: 2.34e-4, c: 8.8e-8 }";

/// Refuses a thermistor with an absurd resistance at 25 °C: coefficients for kΩ, or for log to base 10.
fn sane(curve: Curve<Ohms>, dial: Affine, named: &Named<'_>) -> Option<Curve<Ohms>> {
    let at_25 = curve.at((25.0 - dial.offset) / dial.factor);
    if AT_25.holds(at_25) {
        return Some(curve);
    }
    named.value.wrong_key(
        format!("a sender with {at_25} at 25 °C"),
        format!("one between {:#} and {:#} there, {EXAMPLE}", AT_25.lowest, AT_25.highest),
    );
    None
}

const NTC: &str = "a map such as { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }";

fn ntc(value: &Value<'_>) -> Option<Beta> {
    let mut keys = value.keys(NTC)?;
    let at = keys.quantity_or("at", &rule::TEMPERATURE, Celsius(25.0));
    let resistance =
        keys.required("resistance", "its resistance at that temperature, such as resistance: 10 kΩ");
    let resistance = resistance.and_then(|value| value.quantity(&rule::RESISTANCE_ABOVE_ZERO));
    let beta = keys.required("beta", "how steep it is, such as beta: 3950 K");
    let beta = beta.and_then(|value| number(&value, &BETA));
    keys.finish();
    Some(Beta { t0: at?, r0: resistance?, beta: beta? })
}

fn steinhart_hart(value: &Value<'_>) -> Option<SteinhartHart> {
    let mut keys = value.keys("a map such as { a: 1.13e-3, b: 2.34e-4, c: 8.8e-8 }")?;
    let mut coefficient = |key, rule: &Known| {
        let value = keys.required(key, format!("a coefficient: {}", rule.rule.expected))?;
        number(&value, rule)
    };
    let (a, b, c) = (coefficient("a", &A), coefficient("b", &B), coefficient("c", &C));
    keys.finish();
    Some(SteinhartHart { a: a?, b: b?, c: c? })
}

fn platinum(value: &Value<'_>) -> Option<Platinum> {
    let rule = Rule {
        holds: |r: Ohms| r.0 >= 1.0 && r.0 <= 100e3,
        expected: "its resistance at 0 °C, from 1 Ω to 100 kΩ: 100 Ω or 1000 Ω as a rule",
    };
    value.quantity(&rule).map(|r0| Platinum { r0 })
}

/// A number with its only unit, which may be left out.
struct Known {
    unit: &'static str,
    rule: Rule<f64>,
}

const BETA: Known = Known {
    unit: "K",
    rule: Rule {
        holds: |beta| (1_000.0..=10_000.0).contains(&beta),
        expected: "a beta from 1000 K to 10000 K, such as 3950 K",
    },
};
const A: Known = Known {
    unit: "1/K",
    rule: Rule { holds: |a| a.abs() <= 0.1, expected: "a number between -0.1 and 0.1, such as 1.13e-3" },
};
const B: Known = Known {
    unit: "1/K",
    rule: Rule { holds: |b| b > 1e-9 && b <= 0.1, expected: "a number above 0, up to 0.1, such as 2.34e-4" },
};
const C: Known = Known {
    unit: "1/K",
    rule: Rule { holds: |c| c.abs() <= 0.01, expected: "a number between -0.01 and 0.01, such as 8.8e-8" },
};

fn number(value: &Value<'_>, known: &Known) -> Option<f64> {
    let unit = Unit::plain(known.unit);
    let read = |text: &str| {
        // What is said about a decimal comma holds here, too.
        let other = |error| {
            if text.contains(',') {
                error
            } else {
                ParseQuantityError { expected: known.rule.expected.to_owned(), ..error }
            }
        };
        unit.value(text).map_err(other)
    };
    let number = value.parse(known.rule.expected, read)?;
    value.ruled(number, &known.rule)
}

/// Classes of IEC 60751: ±(constant + share·|t|), in °C.
const CLASSES: [(&str, Option<(f64, f64)>); 5] = [
    ("AA", Some((0.1, 0.0017))),
    ("A", Some((0.15, 0.002))),
    ("B", Some((0.3, 0.005))),
    ("C", Some((0.6, 0.01))),
    ("none", None),
];

/// How far a class lets the value be off, on a dial in this unit. The outer `None` is a mistake.
#[expect(clippy::option_option, reason = "a mistake is not the same as no class")]
pub(super) fn class(keys: &mut Keys<'_>, unit: Option<&str>) -> Option<Option<Accuracy>> {
    let Some(value) = keys.get("class") else { return Some(keys.assume("class", None, "none")) };
    let Some((constant, share)) = value.word(&CLASSES)? else { return Some(None) };
    let dial = Unit::new(unit?).celsius()?;
    // The same distance in steps of the dial, counted from where the dial shows 0 °C.
    Some(Some(Accuracy { constant: constant / dial.factor, share, zero: -dial.offset / dial.factor }))
}
