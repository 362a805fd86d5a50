//! `measures` and `reads`: a voltage or a current that follows what is measured.

use std::fmt::Display;

use super::place::At;
use super::reader::{Keys, Value, band_text};
use super::rule::Rule;
use super::sender::{shape, through};
use super::unit::Unit;
use super::words::quoted;
use crate::curve::Curve;
use crate::quantity::{Band, Base, Quantity};

/// What is measured, and the words for it.
pub(super) struct Kind<Q: 'static> {
    pub(super) rule: &'static Rule<Q>,
    /// Its unit, where it is shown as what it is.
    pub(super) unit: &'static str,
    pub(super) measures: &'static str,
    pub(super) means: &'static str,
    pub(super) rows: &'static str,
    pub(super) row: &'static str,
}

/// The curve from the unit to the quantity, over the part that is measured.
pub(super) fn curve<Q>(keys: &mut Keys<'_>, kind: &Kind<Q>) -> Option<Curve<Q>>
where
    Q: Base + Quantity + Display,
{
    let unit = keys.get("unit");
    let (reads, shape) = (keys.get("reads"), keys.get("shape"));
    let measures = match keys.get("measures") {
        Some(value) => Some((value.clone(), measured(&value, kind.rule)?)),
        None => None,
    };
    match reads.filter(|reads| !reads.is_word("itself")) {
        Some(reads) => {
            let curve = from_rows(&reads, unit.as_ref(), kind)?;
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
            let expected = "reads beside it, which says what level is meant";
            keys.log.mistake(&keys.path.key("shape"), At::Key, "a shape without reads", expected);
            None
        }
        None => itself(keys, unit.as_ref(), measures.map(|(_, band)| band), kind),
    }
}

fn measured<Q: Quantity + Display>(value: &Value<'_>, rule: &Rule<Q>) -> Option<Band<Q>> {
    let band = value.band(rule)?;
    if band.lowest == band.highest {
        value.wrong(format!("{} (empty)", value.found()), "two different ends");
        return None;
    }
    Some(band)
}

/// A quantity that is shown as what it is.
fn itself<Q: Base>(
    keys: &mut Keys<'_>,
    unit: Option<&Value<'_>>,
    measures: Option<Band<Q>>,
    kind: &Kind<Q>,
) -> Option<Curve<Q>> {
    if let Some(unit) = unit.filter(|unit| !unit.is_word(kind.unit)) {
        unit.wrong_key(format!("{} without reads", unit.found()), kind.means);
        return None;
    }
    let Some(Band { lowest, highest }) = measures else {
        keys.required("measures", kind.measures);
        return None;
    };
    if !keys.has("reads") {
        keys.assume("reads", (), "itself");
    }
    Curve::new(kind.unit, vec![(lowest.get(), lowest), (highest.get(), highest)]).ok()
}

/// Rows of quantity and value; the values rise or fall from row to row.
fn from_rows<Q>(reads: &Value<'_>, unit: Option<&Value<'_>>, kind: &Kind<Q>) -> Option<Curve<Q>>
where
    Q: Base + Quantity + Display,
{
    let rows = reads.list(kind.rows)?;
    let pairs: Vec<_> = rows.iter().map(|row| row.pair(kind.row)).collect();
    let unit = match unit {
        Some(unit) => Unit::new(unit.text("a unit such as A, °C or bar")?),
        None => unit_of_rows(reads, pairs.iter().flatten().next())?,
    };
    let point = |(quantity, value): (Value<'_>, Value<'_>)| {
        let quantity = quantity.quantity(kind.rule);
        let value = value.parse("a value", |text| unit.value(text));
        Some((value?, quantity?))
    };
    let points: Vec<Option<(f64, Q)>> = pairs.into_iter().map(|pair| pair.and_then(point)).collect();
    let mut points: Vec<(f64, Q)> = points.into_iter().collect::<Option<_>>()?;
    let falls = points.len() > 1 && points.windows(2).all(|pair| pair[1].0 < pair[0].0);
    if falls {
        points.reverse();
    }
    through(reads, &unit, points, |quantity| format!("{quantity:#}"))
}

fn unit_of_rows(reads: &Value<'_>, first: Option<&(Value<'_>, Value<'_>)>) -> Option<Unit> {
    let unit = first.and_then(|(_, value)| value.as_text()).and_then(Unit::behind_number);
    if unit.is_none() {
        let expected = "the unit of the values beside reads, such as unit: A";
        reads.log.mistake(&reads.path, At::Key, "values without a unit", expected);
    }
    unit
}

/// The part of a curve whose quantities are measured.
fn part_of<Q: Base + Display>(curve: &Curve<Q>, value: &Value<'_>, band: Band<Q>) -> Option<Curve<Q>> {
    let known = Band::between(curve.first().1, curve.last().1);
    if band.lowest < known.lowest || known.highest < band.highest {
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
