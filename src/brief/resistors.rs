//! `resistors`: what holds for every part unless the part says otherwise.

use std::collections::BTreeSet;

use super::grades;
use super::reader::{Keys, Value, band_text};
use super::rule::{self, Rule};
use super::source::Source;
use super::stock::Files;
use super::words::{did_you_mean, one_of};
use crate::board::{Grade, Momentary, Offer};
use crate::quantity::{Band, Celsius, Fraction, Ohms, PerKelvin, Quantity};
use crate::series::Series;
use crate::size::{self, SIZES, Size};

/// What holds for every part.
#[derive(Clone, Debug)]
pub(super) struct Stock {
    pub(super) source: Source,
    /// The ends of what is chosen from; `None`: all of a stock file.
    pub(super) between: Option<Band<Ohms>>,
    pub(super) grade: Grade,
    /// Grades to choose from; empty where none are given.
    pub(super) grades: Vec<Offer>,
}

/// The ends of what is chosen from a series where the brief names none.
const BETWEEN: Band<Ohms> = Band { lowest: Ohms(10.0), highest: Ohms(1e6) };

impl Stock {
    fn usual() -> Self {
        Self {
            source: Source::Series(vec![Series::E24]),
            between: Some(BETWEEN),
            grade: Grade {
                tolerance: Fraction(0.01),
                tempco: PerKelvin(100e-6),
                ageing: Fraction(0.01),
                rating: size::USUAL.rating,
                working_voltage: size::USUAL.working_voltage,
                derated_from: Celsius(70.0),
                derated_to_zero: Celsius(155.0),
                derate_to: Fraction(0.6),
                momentary: None,
            },
            grades: Vec::new(),
        }
    }
}

/// Reads the section.
pub(super) fn read(board: &mut Keys<'_>, ambient: &Band<Celsius>, files: &Files<'_>) -> Stock {
    let usual = Stock::usual();
    let expected = "a map such as { series: E24, tolerance: 1 %, size: \"0805\" }";
    let Some(mut keys) = board.section("resistors", expected) else { return usual };
    keys.refuse(&["tracks"], "it at the parts of one network, such as top: { value: 100k, tracks: network }");
    let source = match given_source(&mut keys, files) {
        Some(source) => source,
        None => Some(keys.assume("series", usual.source.clone(), "E24")),
    };
    let between = match (keys.get("between"), &source) {
        (Some(value), _) => value.band(&rule::RESISTANCE_ABOVE_ZERO),
        (None, Some(Source::Stock(_))) => None,
        (None, _) => keys.assume("between", usual.between, band_text(&BETWEEN)),
    };
    let grade = grade(&mut keys, &usual.grade, Origin::Default, ambient);
    let of_all = grade.as_ref().unwrap_or(&usual.grade);
    let grades = keys.get("grades").and_then(|value| grades::read(&value, of_all, ambient));
    keys.finish();
    let usual = Stock::usual();
    Stock {
        between,
        source: source.unwrap_or(usual.source),
        grade: grade.unwrap_or(usual.grade),
        grades: grades.unwrap_or_default(),
    }
}

/// What a section or a part says of where its values come from. `None`: it says nothing; `Some(None)`: it is wrong.
#[expect(clippy::option_option, reason = "a mistake is something else than silence")]
pub(super) fn given_source(keys: &mut Keys<'_>, files: &Files<'_>) -> Option<Option<Source>> {
    match (keys.get("stock"), keys.get("series")) {
        (Some(stock), Some(series)) => {
            stock.wrong_key("`stock` beside `series`", "one of the two: a stock file has its own values");
            // Its own mistakes are told, too.
            self::series(&series);
            Some(files.read(&stock).map(Source::Stock))
        }
        (Some(stock), None) => Some(files.read(&stock).map(Source::Stock)),
        (None, Some(series)) => Some(self::series(&series).map(Source::Series)),
        (None, None) => None,
    }
}

/// One series or a list of some.
pub(super) fn series(value: &Value<'_>) -> Option<Vec<Series>> {
    let expected = "a series such as E24, or a list such as [E96, E24]";
    let values = match value.as_text() {
        Some(_) => vec![value.clone()],
        None => value.list(expected)?,
    };
    if values.is_empty() {
        value.wrong("an empty list", expected);
        return None;
    }
    let read: Vec<Option<Series>> = values.iter().map(one_series).collect();
    let series: BTreeSet<Series> = read.into_iter().collect::<Option<_>>()?;
    Some(series.into_iter().collect())
}

fn one_series(value: &Value<'_>) -> Option<Series> {
    match value.text("a series such as E24")?.parse() {
        Ok(series) => Some(series),
        Err(error) => {
            let crate::series::ParseSeriesError { found, expected } = error;
            value.wrong(found, expected);
            None
        }
    }
}

/// Where a value comes from that is not given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Origin {
    /// A documented default: it is listed as assumed.
    Default,
    /// What the brief says for all parts.
    Board,
}

impl Origin {
    fn quantity<Q>(self, keys: &mut Keys<'_>, key: &'static str, rule: &Rule<Q>, otherwise: Q) -> Option<Q>
    where
        Q: Quantity + std::fmt::Display,
    {
        match (self, keys.get(key)) {
            (_, Some(value)) => value.quantity(rule),
            (Self::Board, None) => Some(otherwise),
            (Self::Default, None) => Some(keys.assume(key, otherwise, format!("{otherwise:#}"))),
        }
    }
}

/// Reads how good a part is from the keys of the section or of a part.
pub(super) fn grade(
    keys: &mut Keys<'_>,
    otherwise: &Grade,
    origin: Origin,
    ambient: &Band<Celsius>,
) -> Option<Grade> {
    let tolerance = origin.quantity(keys, "tolerance", &rule::SHARE_BELOW_ONE, otherwise.tolerance);
    let tempco = origin.quantity(keys, "tempco", &rule::TEMPCO, otherwise.tempco);
    let ageing = origin.quantity(keys, "ageing", &rule::SHARE_BELOW_ONE, otherwise.ageing);
    let stands = stands(keys, otherwise, origin);
    let derated_from = origin.quantity(keys, "derated_from", &rule::TEMPERATURE, otherwise.derated_from);
    let derated_to_zero =
        origin.quantity(keys, "derated_to_zero", &rule::TEMPERATURE, otherwise.derated_to_zero);
    let derate_to = origin.quantity(keys, "derate_to", &rule::SHARE_TO_USE, otherwise.derate_to);
    let momentary = momentary(keys, otherwise.momentary, origin);
    let (rating, working_voltage) = stands?;
    let grade = Grade {
        tolerance: tolerance?,
        tempco: tempco?,
        ageing: ageing?,
        rating,
        working_voltage,
        derated_from: derated_from?,
        derated_to_zero: derated_to_zero?,
        derate_to: derate_to?,
        momentary: momentary?,
    };
    sound(keys, &grade, ambient).then_some(grade)
}

/// Rating and working voltage: those of the size, unless they are given themselves.
fn stands(
    keys: &mut Keys<'_>,
    otherwise: &Grade,
    origin: Origin,
) -> Option<(crate::quantity::Watts, crate::quantity::Volts)> {
    let both_given = keys.has("rating") && keys.has("working_voltage");
    let size = keys.get("size").map(|value| size_of(&value));
    if size.is_none() && origin == Origin::Default && !both_given {
        keys.assume("size", (), size::USUAL.name);
    }
    let rating = keys.get("rating").map(|value| value.quantity(&rule::POWER_ABOVE_ZERO));
    let voltage = keys.get("working_voltage").map(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let (of_rating, of_voltage) = match size {
        Some(size) => size.map(|size| (size.rating, size.working_voltage))?,
        None => (otherwise.rating, otherwise.working_voltage),
    };
    Some((rating.unwrap_or(Some(of_rating))?, voltage.unwrap_or(Some(of_voltage))?))
}

/// What a part stands for a short while, or `off`, which is the default; `None`: a mistake.
#[expect(clippy::option_option, reason = "a mistake is something else than nothing known")]
fn momentary(keys: &mut Keys<'_>, otherwise: Option<Momentary>, origin: Origin) -> Option<Option<Momentary>> {
    let value = match (keys.get("momentary"), origin) {
        (Some(value), _) => value,
        // Another size has another one.
        (None, Origin::Board) if ["size", "rating", "working_voltage"].iter().any(|key| keys.has(key)) => {
            return Some(None);
        }
        (None, Origin::Board) => return Some(otherwise),
        (None, Origin::Default) => return Some(keys.assume("momentary", otherwise, "off")),
    };
    if value.is_word("off") {
        return Some(None);
    }
    let mut keys = value.keys("off, or a map such as { power: 0.78 W, voltage: 300 V, time: 5 s }")?;
    let power = keys.required("power", "what it stands for that long, such as power: 0.78 W");
    let power = power.and_then(|value| value.quantity(&rule::POWER_ABOVE_ZERO));
    let voltage =
        keys.required("voltage", "the voltage that it stands for that long, such as voltage: 300 V");
    let voltage = voltage.and_then(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let time = keys.required("time", "for how long, such as time: 5 s");
    let time = time.and_then(|value| value.quantity(&rule::TIME_ABOVE_ZERO));
    keys.finish();
    Some(Some(Momentary { power: power?, voltage: voltage?, time: time? }))
}

fn size_of(value: &Value<'_>) -> Option<Size> {
    let names = SIZES.map(|size| size.name);
    let expected = format!("a size: {}", one_of(&names));
    let name = value.text(&expected)?;
    let size = SIZES.into_iter().find(|size| size.name == name);
    if size.is_none() {
        value.unlike(format!("{expected}{}", did_you_mean(name, &names)));
    }
    size
}

/// Whether the values fit together: a part that may lose all its resistance is none.
fn sound(keys: &Keys<'_>, grade: &Grade, ambient: &Band<Celsius>) -> bool {
    let wrong = |found: String, expected: &str| {
        keys.log.mistake(&keys.path, super::place::At::Key, found, expected);
        false
    };
    let (from, to) = (grade.derated_from, grade.derated_to_zero);
    if from >= to {
        return wrong(
            format!("derated_from {from:#}, derated_to_zero {to:#}"),
            "derated_from below derated_to_zero",
        );
    }
    if let Some(momentary) = grade.momentary
        && (momentary.power < grade.rating || momentary.voltage < grade.working_voltage)
    {
        let found = format!(
            "momentary {:#}, {:#} below {:#}, {:#}",
            momentary.power, momentary.voltage, grade.rating, grade.working_voltage
        );
        return wrong(found, "a momentary power and voltage not below rating and working voltage");
    }
    leaves_something(keys, grade.tempco, ambient)
}

/// Whether a tempco leaves something of a part over the whole of ambient.
pub(super) fn leaves_something(keys: &Keys<'_>, tempco: PerKelvin, ambient: &Band<Celsius>) -> bool {
    let away = (ambient.highest.0 - 25.0).abs().max((ambient.lowest.0 - 25.0).abs());
    let leaves = tempco.0 * away < 1.0;
    if !leaves {
        let found = format!("tempco {tempco:#} over {away} K from 25 °C");
        let expected = "a tempco that leaves something of the part over the whole of ambient";
        keys.log.mistake(&keys.path, super::place::At::Key, found, expected);
    }
    leaves
}
