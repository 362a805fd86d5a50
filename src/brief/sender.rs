//! `sender`: a resistance that follows what is measured.

mod file;
mod law;
mod points;
pub(super) mod shape;

pub(super) use points::through;

use std::path::Path;

use super::dial::Dial;
use super::place::At;
use super::reader::{Keys, Value};
use super::rule;
use super::unit::Unit;
use super::words::quoted;
use crate::board::{Accuracy, SelfHeating, Sender};
use crate::curve::Curve;
use crate::quantity::{Band, Fraction, Ohms, Quantity, WattsPerKelvin, parse_range};

const KINDS: &str = "a sender such as 240 Ω .. 33 Ω, { resistance: 240 Ω .. 33 Ω } or \
                     { unit: \"%\", points: [[0, 240], [100, 33]] }";
/// What a sender without a unit shows: 0 at its first end, 100 at its second.
const PER_CENT: &str = "%";

/// What a sender may be, by the key that says so.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Resistance,
    Points,
    File,
    Ntc,
    SteinhartHart,
    Platinum,
}

const ALL: [(&str, Kind); 6] = [
    ("resistance", Kind::Resistance),
    ("points", Kind::Points),
    ("file", Kind::File),
    ("ntc", Kind::Ntc),
    ("steinhart_hart", Kind::SteinhartHart),
    ("platinum", Kind::Platinum),
];

impl Kind {
    /// A law over temperature; its range has to be given.
    fn is_law(self) -> bool {
        matches!(self, Self::Ntc | Self::SteinhartHart | Self::Platinum)
    }
}

/// A kind of sender with the key that names it and what stands behind the key.
struct Named<'a> {
    kind: Kind,
    key: &'static str,
    value: Value<'a>,
}

/// Reads a sender. A bare range stands for `{ resistance: RANGE }`.
/// A file that the sender names is seen from `folder`.
pub(super) fn read(value: &Value<'_>, folder: &Path) -> Option<Sender> {
    if value.as_text().is_none() {
        return read_keys(value.keys(KINDS)?, folder);
    }
    let curve = from_ends(value)?;
    let keys = Keys::new(&[], value.path.clone(), value.log);
    let tolerance = no_tolerance(&keys);
    Some(Sender { curve, tolerance, accuracy: no_accuracy(&keys), self_heating: None })
}

fn no_tolerance(keys: &Keys<'_>) -> Fraction {
    keys.assume("tolerance", Fraction(0.0), "0 %")
}

fn no_accuracy(keys: &Keys<'_>) -> Accuracy {
    keys.assume("accuracy", Accuracy::NONE, "0")
}

fn read_keys(mut keys: Keys<'_>, folder: &Path) -> Option<Sender> {
    let named = kind(&mut keys);
    if let Some(named) = named.as_ref().filter(|named| named.kind == Kind::File) {
        return from_file(keys, named, folder);
    }
    if let Some(named) = &named {
        misplaced(&mut keys, named);
    }
    let curve = named.as_ref().and_then(|named| curve(&mut keys, named));
    let tolerance = match keys.get("tolerance") {
        Some(value) => value.quantity(&rule::SHARE_BELOW_ONE),
        None => Some(no_tolerance(&keys)),
    };
    let accuracy = accuracy(&mut keys, curve.as_ref(), named.as_ref());
    let self_heating = self_heating(&mut keys, named.as_ref(), curve.as_ref());
    if named.is_none() {
        // Which keys belong here depends on the kind.
        keys.skip(&["unit", "interpolation", "class", "range", "shape"]);
    }
    keys.finish();
    Some(Sender { curve: curve?, tolerance: tolerance?, accuracy: accuracy?, self_heating })
}

/// A sender from a file. What the brief says of its errors takes the place of what the file says.
fn from_file(mut keys: Keys<'_>, named: &Named<'_>, folder: &Path) -> Option<Sender> {
    let elsewhere = ["unit", "interpolation", "class"];
    keys.refuse(&elsewhere, "it left out: the file says what the curve is");
    let (range, shape) = (keys.get("range"), keys.get("shape"));
    let found = file::read(&keys, &named.value, folder)
        .and_then(|sender| part_of(sender, range.as_ref()))
        .and_then(|sender| shape::of_sender(sender, shape.as_ref()));
    let tolerance = keys.get("tolerance").map(|value| value.quantity(&rule::SHARE_BELOW_ONE));
    let unit = found.as_ref().map(|sender| Unit::new(sender.curve.unit()));
    let accuracy = keys.get("accuracy").map(|value| Dial::difference(&unit?, &value).map(Accuracy::constant));
    let own_heating = keys.has("self_heating");
    let heating =
        own_heating.then(|| self_heating(&mut keys, None, found.as_ref().map(|sender| &sender.curve)));
    keys.finish();
    let mut sender = found?;
    sender.tolerance = tolerance.unwrap_or(Some(sender.tolerance))?;
    sender.accuracy = accuracy.unwrap_or(Some(sender.accuracy))?;
    sender.self_heating = heating.unwrap_or(sender.self_heating);
    Some(sender)
}

/// The sender over a part of what its file covers.
fn part_of(sender: Sender, range: Option<&Value<'_>>) -> Option<Sender> {
    let Some(value) = range else { return Some(sender) };
    let (first, last) = (sender.curve.first().0, sender.curve.last().0);
    let band = Dial::new(sender.curve.unit(), Band { lowest: first, highest: last }).band(value)?;
    let curve = sender.curve.part(band.lowest, band.highest)?;
    Some(Sender { curve, ..sender })
}

/// The kind of sender; a mistake if there is none or more than one.
fn kind<'a>(keys: &mut Keys<'a>) -> Option<Named<'a>> {
    let mut named = Vec::new();
    for (key, kind) in ALL {
        if let Some(value) = keys.get(key) {
            named.push(Named { kind, key, value });
        }
    }
    for other in named.iter().skip(1) {
        other.value.wrong_key(format!("{} beside {}", other.key, named[0].key), "one of the two");
    }
    if named.is_empty() {
        keys.required("resistance", KINDS);
    }
    if named.len() == 1 { named.pop() } else { None }
}

/// Refuses keys that mean nothing beside this kind.
fn misplaced(keys: &mut Keys<'_>, named: &Named<'_>) {
    let key = named.key;
    if named.kind != Kind::Platinum {
        keys.refuse(&["class"], "it left out: only platinum comes in classes");
    }
    if named.kind.is_law() {
        keys.refuse(&["interpolation"], &format!("it left out: {key} has no points to go between"));
        keys.refuse(
            &["shape"],
            &format!("it left out: {key} reads a temperature, and a shape turns levels into volumes"),
        );
    } else {
        keys.refuse(&["range"], &format!("it left out: the range is that of {key}"));
    }
}

fn curve(keys: &mut Keys<'_>, named: &Named<'_>) -> Option<Curve<Ohms>> {
    match named.kind {
        Kind::Resistance => {
            points::cubic(keys);
            let (unit, shape) = (unit(keys), keys.get("shape"));
            let curve = from_ends(&named.value);
            let unit = unit?;
            if let Some(shape) = shape {
                // The levels of such a sender are its travel, so a unit is that of the volumes.
                return shape::through(curve?, &shape, unit);
            }
            if let Some(unit) = unit.filter(|unit| unit.name() != PER_CENT) {
                let expected = "unit: \"%\" or none, or points instead of resistance; a shape beside it would say \
                                what the travel means";
                keys.log.mistake(&keys.path.key("unit"), At::Value, quoted(unit.name()), expected);
            }
            curve
        }
        Kind::Points => {
            let (cubic, unit, shape) = (points::cubic(keys), unit(keys), keys.get("shape"));
            let curve = points::read(&named.value, unit?, cubic?)?;
            match shape {
                Some(shape) => shape::through(curve, &shape, None),
                None => Some(curve),
            }
        }
        // A file brings its own curve.
        Kind::File => None,
        Kind::Ntc | Kind::SteinhartHart | Kind::Platinum => law::read(keys, named),
    }
}

/// The unit, if one is given. The outer `None` is a mistake.
#[expect(clippy::option_option, reason = "a mistake is not the same as nothing")]
fn unit(keys: &mut Keys<'_>) -> Option<Option<Unit>> {
    match keys.get("unit") {
        Some(value) => value.text("a unit such as \"%\", °C or L").map(|name| Some(Unit::new(name))),
        None => Some(None),
    }
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

/// How far the value may be off: the class of platinum, or what `accuracy` says.
fn accuracy(keys: &mut Keys<'_>, curve: Option<&Curve<Ohms>>, named: Option<&Named<'_>>) -> Option<Accuracy> {
    let given = keys.get("accuracy");
    let class = match named.filter(|named| named.kind == Kind::Platinum) {
        Some(_) => law::class(keys, curve.map(Curve::unit))?,
        None => None,
    };
    match (given, class) {
        (Some(value), Some(_)) => {
            value.wrong_key("accuracy beside class", "one of the two");
            None
        }
        (Some(value), None) => Dial::difference(&Unit::new(curve?.unit()), &value).map(Accuracy::constant),
        (None, Some(class)) => Some(class),
        (None, None) => Some(no_accuracy(keys)),
    }
}

const SELF_HEATING: rule::Rule<WattsPerKelvin> = rule::Rule {
    holds: |x| x.0 > 0.0 && x.0 <= 1.0,
    expected: "a dissipation for each kelvin above 0 W/K, up to 1 W/K, such as 2 mW/K",
};

/// What warms the sender by a kelvin; only for laws of temperature is it worth a word if it is missing.
fn self_heating(
    keys: &mut Keys<'_>,
    named: Option<&Named<'_>>,
    curve: Option<&Curve<Ohms>>,
) -> Option<SelfHeating> {
    let given = keys.get("self_heating").filter(|value| !value.is_word("none"));
    let Some(value) = given else {
        if named.is_some_and(|named| named.kind.is_law()) && !keys.has("self_heating") {
            keys.assume("self_heating", (), "none");
        }
        return None;
    };
    let per_kelvin = value.quantity(&SELF_HEATING)?;
    let Some(dial) = Unit::new(curve?.unit()).celsius() else {
        let expected =
            "it left out, or a sender in °C, °F or K: what is warmed there is the temperature that is shown";
        value.wrong_key(format!("self_heating beside values in {}", curve?.unit()), expected);
        return None;
    };
    Some(SelfHeating { per_kelvin, units_per_kelvin: 1.0 / dial.factor })
}
