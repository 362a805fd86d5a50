//! A curve through rows of a value and a quantity.

use super::super::path::Path;
use super::super::place::At;
use super::super::reader::{Keys, Value};
use super::super::rule;
use super::super::unit::{Unit, number_text};
use super::super::words::counted;
use crate::curve::{Curve, CurveError};
use crate::quantity::{Base, Ohms};

/// Whether a cubic goes through the points.
pub(super) fn cubic(keys: &mut Keys<'_>) -> Option<bool> {
    match keys.get("interpolation") {
        Some(value) => value.word(&[("linear", false), ("monotone", true)]),
        None => Some(keys.assume("interpolation", false, "linear")),
    }
}

/// Rows of value and resistance.
pub(super) fn read(value: &Value<'_>, unit: Option<Unit>, cubic: bool) -> Option<Curve<Ohms>> {
    let rows = value.list("rows such as [[0, 240], [50, 103], [100, 33]]")?;
    let pairs: Vec<Option<(Value<'_>, Value<'_>)>> =
        rows.iter().map(|row| row.pair("a row of two: [value, resistance]")).collect();
    let unit = match unit {
        Some(unit) => unit,
        None => unit_of_rows(value, pairs.iter().flatten().next())?,
    };
    let point = |(x, y): (Value<'_>, Value<'_>)| {
        let x = x.parse("a value", |text| unit.value(text));
        let y = y.quantity(&rule::RESISTANCE);
        Some((x?, y?))
    };
    let points: Vec<Option<(f64, Ohms)>> = pairs.into_iter().map(|pair| pair.and_then(point)).collect();
    let points: Vec<(f64, Ohms)> = points.into_iter().collect::<Option<_>>()?;
    let curve = if cubic { Curve::monotone } else { Curve::new };
    connected(value, &unit, points, |ohms| format!("{ohms:#}"), curve)
}

/// The unit that stands behind the first value, if the sender names none.
fn unit_of_rows(points: &Value<'_>, first: Option<&(Value<'_>, Value<'_>)>) -> Option<Unit> {
    let unit = first.and_then(|(x, _)| x.as_text()).and_then(Unit::behind_number);
    if unit.is_none() {
        points.log.mistake(
            &points.path,
            At::Key,
            "values without a unit",
            "the unit beside the points, such as unit: °C (in quotes where it is a sign: unit: \"%\")",
        );
    }
    unit
}

/// A value as a message shows it: a converted one may have many digits.
pub(super) fn rounded(value: f64) -> String {
    number_text((value * 1e4).round() / 1e4)
}

/// A curve straight between points, or the row that makes it none.
pub(in super::super) fn through<Q: Base>(
    rows: &Value<'_>,
    unit: &Unit,
    points: Vec<(f64, Q)>,
    text: impl Fn(Q) -> String,
) -> Option<Curve<Q>> {
    connected(rows, unit, points, text, Curve::new)
}

type Connect<Q> = fn(String, Vec<(f64, Q)>) -> Result<Curve<Q>, CurveError>;

fn connected<Q: Base>(
    rows: &Value<'_>,
    unit: &Unit,
    points: Vec<(f64, Q)>,
    text: impl Fn(Q) -> String,
    connect: Connect<Q>,
) -> Option<Curve<Q>> {
    let row = |i: usize| -> Path { rows.path.item(i) };
    let wrong = |i: usize, found: String, expected: &str| {
        rows.log.mistake(&row(i), At::Value, found, expected);
    };
    let shown: Vec<(String, String)> =
        points.iter().map(|(x, y)| (format!("{} {}", rounded(*x), unit.name()), text(*y))).collect();
    match connect(unit.name().to_owned(), points) {
        Ok(curve) => return Some(curve),
        Err(CurveError::TooFew) => rows.wrong(counted(shown.len(), "row", "rows"), "at least two rows"),
        Err(CurveError::ValueDoesNotRise(i)) => wrong(
            i,
            format!("row {} with {} behind {}", i + 1, shown[i].0, shown[i - 1].0),
            "rows in rising order of their values, each value once",
        ),
        Err(CurveError::Folded(i)) => wrong(
            i,
            format!("row {} with {} behind {}", i + 1, shown[i].1, shown[i - 1].1),
            "a curve that rises or falls all the way: one that turns back or stands still has no inverse",
        ),
        Err(error) => rows.wrong(error.to_string(), "numbers that can be calculated with"),
    }
    None
}
