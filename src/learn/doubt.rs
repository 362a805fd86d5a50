//! What is doubtful about readings although they make a curve, and what would settle it.

use itertools::Itertools;

use super::choice::Choice;
use super::data::Data;
use super::fit::fit;
use super::kind::Kind;
use super::readings::{Reading, Readings, shown};
use super::words::within;
use super::{outlier, wrong_scale};
use crate::quantity::Band;

/// How far a value has to lie off, as a share of the distance of its neighbours, to be taken for one of another scale.
const FAR: f64 = 0.1;
/// How much nearer it has to come when converted.
const NEARER: f64 = 0.25;

/// Everything that is doubtful about the readings and the kind.
pub(super) fn about(readings: &Readings, data: &Data, choice: &Choice) -> Vec<String> {
    let unmarked = unmarked_scale(readings, data);
    // What looks like the other scale needs no second doubt of the same row.
    let is_told = matches!(choice.suspects.as_slice(), [one] if unmarked.iter().any(|(row, _)| row == one));
    let mut doubts = if is_told { Vec::new() } else { contradictions(readings, data, choice) };
    if doubts.is_empty() && unmarked.is_empty() {
        doubts.extend(outlier::stands_out(readings, data, choice));
    }
    doubts.extend(unmarked.into_iter().map(|(_, doubt)| doubt));
    doubts.extend(wrong_scale::doubt(data, &choice.trial.fit));
    doubts.extend(unchecked(data, choice));
    doubts
}

/// Readings that do not lie on one curve.
fn contradictions(readings: &Readings, data: &Data, choice: &Choice) -> Vec<String> {
    let trial = &choice.trial;
    let rows = readings.rows();
    let by = |i: usize| trial.left_out.get(i).copied().flatten().map_or(0.0, |l| l.deviation);
    let others = |i: usize| {
        let instead = within(rows[i].value + by(i), data.span(), &data.unit);
        format!(
            "{} says {}, the others put {:#} at {instead}",
            rows[i].name(),
            value(&rows[i], data),
            rows[i].resistance
        )
    };
    let strays = if data.has_accuracy() && trial.kind.is_law() { trial.strays() } else { Vec::new() };
    match choice.suspects.as_slice() {
        [] if strays.is_empty() => Vec::new(),
        [] => {
            let names = strays.iter().sorted().map(|i| rows[*i].name()).join(", ");
            let worst = others(strays[0]);
            vec![format!(
                "the readings contradict each other beyond their accuracy, and no single one explains it ({names}); {worst}. \
                 Measure these rows again, check the stated accuracy, or try another --kind"
            )]
        }
        [one] => vec![format!("{}. All others agree: measure this row again", others(*one))],
        several => {
            let names = several.iter().map(|i| rows[*i].name()).join(" or ");
            let worst = others(several[0]);
            vec![format!(
                "either {names} is wrong: {worst}. Measure both again, or one more place between them"
            )]
        }
    }
}

fn value(row: &Reading, data: &Data) -> String {
    shown(row.value, &data.unit)
}

/// °F among °C, or the other way round, that nobody has marked.
fn unmarked_scale(readings: &Readings, data: &Data) -> Vec<(usize, String)> {
    let Some(scale) = data.scale.filter(|_| data.all.len() > 2) else { return Vec::new() };
    let suspicious = |i: usize| {
        let neighbours = neighbours(data, i);
        let kind = if data.falls() { Kind::Beta } else { Kind::Linear };
        let range = Band { lowest: data.lowest(), highest: data.highest() };
        let local = fit(kind, &neighbours, range).ok()?;
        let expected = local.value_of(data.all[i].ohms);
        let (converted, other) = scale.unmarked(data.all[i].value)?;
        let (off, off_converted) = ((data.all[i].value - expected).abs(), (converted - expected).abs());
        let is_suspicious = off > FAR * neighbours.span() && off_converted < NEARER * off;
        is_suspicious.then(|| {
            let row = &readings.rows()[i];
            let doubt = format!(
                "{} with {} looks like {} in a column of {}: its neighbours put {} at {}, and {} is {}. Write its unit, \
                 or measure this row again",
                row.name(),
                value(row, data),
                other.sign(),
                data.unit,
                row.resistance,
                within(expected, data.span(), &data.unit),
                shown(row.value, other.sign()),
                within(converted, data.span(), &data.unit),
            );
            (i, doubt)
        })
    };
    (0..data.all.len()).filter_map(suspicious).collect()
}

/// The two readings nearest to one, on both sides where there are both.
fn neighbours(data: &Data, i: usize) -> Data {
    let last = data.all.len() - 1;
    let pair = if i == 0 {
        [1, 2]
    } else if i == last {
        [last - 2, last - 1]
    } else {
        [i - 1, i + 1]
    };
    Data { all: pair.iter().map(|j| data.all[*j]).collect(), ..data.clone() }
}

/// Readings of which none is left to check the curve.
fn unchecked(data: &Data, choice: &Choice) -> Option<String> {
    let trial = &choice.trial;
    match trial.kind.coefficients() {
        Some(terms) if data.all.len() == terms => Some(format!(
            "{} readings fix the curve, and none is left to check it: one more, between them, tells a slip",
            data.all.len()
        )),
        None if data.all.len() == 2 => {
            Some("what lies between two readings is unknown: one more, in the middle, tells whether it is straight".to_owned())
        }
        _ => None,
    }
}
