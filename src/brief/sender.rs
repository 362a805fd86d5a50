//! `sender`: a resistance that follows what is measured.

use super::dial::Dial;
use super::path::Path;
use super::reader::{Keys, Value};
use super::rule;
use super::unit::{Unit, number_text};
use super::words::{counted, quoted};
use crate::board::{Accuracy, Sender};
use crate::curve::{Curve, CurveError};
use crate::quantity::{Fraction, Ohms, Quantity, parse_range};

const KINDS: &str = "a sender such as 240 Ω .. 33 Ω, { resistance: 240 Ω .. 33 Ω } or \
                     { unit: \"%\", points: [[0, 240], [100, 33]] }";
const LATER_KINDS: [&str; 4] = ["file", "ntc", "steinhart_hart", "platinum"];
/// What a sender without a unit shows: 0 at its first end, 100 at its second.
const PER_CENT: &str = "%";

/// Reads a sender. A bare range stands for `{ resistance: RANGE }`.
pub(super) fn read(value: &Value<'_>) -> Option<Sender> {
    if value.as_text().is_none() {
        return read_keys(value.keys(KINDS)?);
    }
    let curve = from_ends(value)?;
    let keys = Keys::new(&[], value.path.clone(), value.log);
    Some(Sender {
        curve,
        tolerance: no_tolerance(&keys),
        accuracy: Accuracy::constant(no_accuracy(&keys)),
        self_heating: None,
    })
}

fn no_tolerance(keys: &Keys<'_>) -> Fraction {
    keys.assume("tolerance", Fraction(0.0), "0 %")
}

fn no_accuracy(keys: &Keys<'_>) -> f64 {
    keys.assume("accuracy", 0.0, "0")
}

fn read_keys(mut keys: Keys<'_>) -> Option<Sender> {
    let expected = "resistance or points: this version does not serve this kind yet";
    keys.refuse(&LATER_KINDS, expected);
    keys.not_yet(&["class", "range", "self_heating", "shape"]);
    interpolation(&mut keys);
    let curve = curve(&mut keys);
    let tolerance = match keys.get("tolerance") {
        Some(value) => value.quantity(&rule::SHARE_BELOW_ONE),
        None => Some(no_tolerance(&keys)),
    };
    let unit = curve.as_ref().map(|curve| Unit::new(curve.unit()));
    let accuracy = match (keys.get("accuracy"), unit) {
        (Some(value), Some(unit)) => Dial::difference(&unit, &value),
        (Some(_), None) => None,
        (None, _) => Some(no_accuracy(&keys)),
    };
    keys.finish();
    Some(Sender {
        curve: curve?,
        tolerance: tolerance?,
        accuracy: Accuracy::constant(accuracy?),
        self_heating: None,
    })
}

fn interpolation(keys: &mut Keys<'_>) {
    let Some(value) = keys.get("interpolation") else { return keys.assume("interpolation", (), "linear") };
    if value.is_word("monotone") {
        value.unlike("linear: this version does not serve monotone yet");
    } else {
        value.word(&[("linear", ())]);
    }
}

fn curve(keys: &mut Keys<'_>) -> Option<Curve<Ohms>> {
    let ends = keys.get("resistance");
    let points = keys.get("points");
    let unit = keys.get("unit");
    let unit = match &unit {
        Some(value) => Some(value.text("a unit such as \"%\", °C or L")?),
        None => None,
    };
    match (ends, points) {
        (Some(ends), None) => {
            if let Some(unit) = unit.filter(|unit| *unit != PER_CENT) {
                let expected = "unit: \"%\" or none, or points instead of resistance";
                keys.log.mistake(&keys.path.key("unit"), super::place::At::Value, quoted(unit), expected);
            }
            from_ends(&ends)
        }
        (None, Some(points)) => from_points(&points, unit),
        (Some(_), Some(points)) => {
            points.wrong_key("points beside resistance", "one of the two");
            None
        }
        (None, None) => {
            if !served_later(keys) {
                keys.required("resistance", KINDS);
            }
            None
        }
    }
}

/// Whether a kind of sender is named that is refused already.
fn served_later(keys: &Keys<'_>) -> bool {
    LATER_KINDS.iter().any(|kind| keys.has(kind))
}

/// The first end is 0 %, the second 100 %: the order is kept, never inferred.
fn from_ends(value: &Value<'_>) -> Option<Curve<Ohms>> {
    let (empty, full) = value.ends(Ohms::EXPECTED, parse_range, Ohms::parse)?;
    value.ruled(empty, &rule::RESISTANCE)?;
    value.ruled(full, &rule::RESISTANCE)?;
    let curve = Curve::new(PER_CENT, vec![(0.0, empty), (100.0, full)]);
    if curve.is_err() {
        value.wrong(format!("{} (both ends alike)", value.found()), "two different resistances");
    }
    curve.ok()
}

fn from_points(value: &Value<'_>, unit: Option<&str>) -> Option<Curve<Ohms>> {
    let rows = value.list("rows such as [[0, 240], [50, 103], [100, 33]]")?;
    let pairs: Vec<Option<(Value<'_>, Value<'_>)>> =
        rows.iter().map(|row| row.pair("a row of two: [value, resistance]")).collect();
    let unit = match unit {
        Some(unit) => Unit::new(unit),
        None => unit_of_rows(value, pairs.iter().flatten().next())?,
    };
    let point = |(x, y): (Value<'_>, Value<'_>)| {
        let x = x.parse("a value", |text| unit.value(text));
        let y = y.quantity(&rule::RESISTANCE);
        Some((x?, y?))
    };
    let points: Vec<Option<(f64, Ohms)>> = pairs.into_iter().map(|pair| pair.and_then(point)).collect();
    let points: Vec<(f64, Ohms)> = points.into_iter().collect::<Option<_>>()?;
    through(value, &unit, points, |ohms| format!("{ohms:#}"))
}

/// The unit that stands behind the first value, if the sender names none.
fn unit_of_rows(points: &Value<'_>, first: Option<&(Value<'_>, Value<'_>)>) -> Option<Unit> {
    let unit = first.and_then(|(x, _)| x.as_text()).and_then(Unit::behind_number);
    if unit.is_none() {
        points.log.mistake(
            &points.path,
            super::place::At::Key,
            "values without a unit",
            "the unit beside the points, such as unit: °C (in quotes where it is a sign: unit: \"%\")",
        );
    }
    unit
}

/// A value as a message shows it: a converted one may have many digits.
fn rounded(value: f64) -> String {
    number_text((value * 1e4).round() / 1e4)
}

/// A curve through points, or the row that makes it none.
pub(super) fn through<Q>(
    rows: &Value<'_>,
    unit: &Unit,
    points: Vec<(f64, Q)>,
    text: impl Fn(Q) -> String,
) -> Option<Curve<Q>>
where
    Q: Copy + PartialOrd + std::ops::Add<Output = Q> + std::ops::Sub<Output = Q>,
    Q: std::ops::Mul<f64, Output = Q> + std::ops::Div<Output = f64> + crate::curve::Number,
{
    let row = |i: usize| -> Path { rows.path.item(i) };
    let wrong = |i: usize, found: String, expected: &str| {
        rows.log.mistake(&row(i), super::place::At::Value, found, expected);
    };
    let shown: Vec<(String, String)> =
        points.iter().map(|(x, y)| (format!("{} {}", rounded(*x), unit.name()), text(*y))).collect();
    match Curve::new(unit.name(), points) {
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
    }
    None
}
