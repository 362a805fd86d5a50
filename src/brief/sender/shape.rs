//! `shape`: what the level in a tank means as a volume.

use super::super::reader::Value;
use super::super::unit::Unit;
use super::super::words::counted;
use super::points::rounded;
use crate::board::{Accuracy, Sender};
use crate::curve::{Curve, CurveError};
use crate::quantity::Base;

const ROWS: &str = "rows of level and volume such as [[0, 0 L], [50, 20 L], [100, 55 L]]";

/// The curve over the volume instead of the level. `dial` is the unit of the volumes; without it, it is the one behind
/// the first volume that carries one, else that of the levels.
pub(in super::super) fn through<Q: Base>(
    curve: Curve<Q>,
    shape: &Value<'_>,
    dial: Option<Unit>,
) -> Option<Curve<Q>> {
    let rows = shape.list(ROWS)?;
    let pairs: Vec<_> = rows.iter().map(|row| row.pair("a row of two: [level, volume]")).collect();
    let level = Unit::new(curve.unit());
    let behind = || {
        let mut volumes = pairs.iter().flatten().filter_map(|(_, volume)| volume.as_text());
        volumes.find_map(Unit::behind_number)
    };
    let volume = dial.or_else(behind).unwrap_or_else(|| level.clone());
    let read = |(x, y): (Value<'_>, Value<'_>)| {
        let x = x.parse("a level", |text| level.value(text));
        let y = y.parse("a volume", |text| volume.value(text));
        Some((x?, y?))
    };
    let read: Vec<Option<(f64, f64)>> = pairs.into_iter().map(|pair| pair.and_then(read)).collect();
    let numbers: Vec<(f64, f64)> = read.into_iter().collect::<Option<_>>()?;
    let range = format!("{} .. {} {}", rounded(curve.first().0), rounded(curve.last().0), level.name());
    let row = |i: usize| {
        let (x, y) = numbers[i];
        format!("{} {} and {} {}", rounded(x), level.name(), rounded(y), volume.name())
    };
    match curve.through_shape(volume.name(), &numbers) {
        Ok(curve) => return Some(curve),
        Err(CurveError::ShapeTooFew) => {
            shape.wrong(counted(numbers.len(), "row", "rows"), "at least two rows");
        }
        Err(CurveError::ShapeDoesNotRise(i)) => shape.log.mistake(
            &shape.path.item(i),
            super::super::place::At::Value,
            format!("row {} with {} behind {}", i + 1, row(i), row(i - 1)),
            "rows in which level and volume both rise",
        ),
        Err(_) => {
            let covered = |i: usize| format!("{} {}", rounded(numbers[i].0), level.name());
            let found = format!("rows from {} to {}", covered(0), covered(numbers.len() - 1));
            shape.wrong(found, format!("rows that cover all levels of the sender: {range}"));
        }
    }
    None
}

/// A whole sender over the volume. How far its level may be off becomes how far the volume may be off at most: by the
/// steepest rows of the shape.
pub(super) fn of_sender(sender: Sender, shape: Option<&Value<'_>>) -> Option<Sender> {
    let Some(shape) = shape else { return Some(sender) };
    let levels = sender.curve.knots();
    let curve = through(sender.curve.clone(), shape, None)?;
    let volumes = curve.knots();
    let steepest = volumes.windows(2).map(|pair| {
        let [from, to] = [pair[0], pair[1]].map(|volume| sender.curve.value_beyond(curve.at(volume)));
        (pair[1] - pair[0]) / (to - from)
    });
    let steepest = steepest.fold(0.0, f64::max);
    let farthest = levels.iter().map(|level| sender.accuracy.at(*level)).fold(0.0, f64::max);
    Some(Sender { curve, accuracy: Accuracy::constant(farthest * steepest), ..sender })
}
