//! Whether readings rise as platinum does: a level near that of the law is none of platinum yet.

use itertools::Itertools;

use super::data::{Data, Datum};
use super::fit::{Fit, Refusal};
use super::readings::shown;
use super::words::rounded;
use crate::quantity::Ohms;

/// Without a stated accuracy, how far the rise may differ from that of platinum, as a share: copper rises by 12 % more
/// (0.43 %/K against 0.385 %/K), nickel by 60 %.
const UNKNOWN: f64 = 0.05;
/// With one, never less than what sensors differ: 0.3916 %/K, an older platinum wire, is 1.7 % more.
const LEAST: f64 = 0.02;
/// And never more: whatever agrees with so coarse a rise does not speak for platinum.
const MOST: f64 = 0.25;

/// Refuses readings whose rise over the range is not that of the fitted platinum.
///
/// The rise is the median of those between all pairs of readings, so that one wrong reading does not decide.
pub(super) fn rises_as_platinum(fit: &Fit, data: &Data) -> Result<(), Refusal> {
    let curve = |datum: &Datum| fit.curve.at(datum.value).0;
    let rise = |(low, high): (&Datum, &Datum)| (high.ohms - low.ohms) / (curve(high) - curve(low));
    let rises: Vec<f64> = data.all.iter().tuple_combinations().map(rise).sorted_by(f64::total_cmp).collect();
    let middle = rises.len() / 2;
    let median = match rises.get(middle) {
        None => return Ok(()),
        Some(above) if rises.len().is_multiple_of(2) => f64::midpoint(rises[middle - 1], *above),
        Some(exact) => *exact,
    };
    if (median - 1.0).abs() <= allowed(fit, data) {
        return Ok(());
    }
    let whole = curve(&data.all[data.all.len() - 1]) - curve(&data.all[0]);
    let [low, high] = [data.lowest(), data.highest()].map(|end| shown(end, &data.unit));
    let [found, expected] = [median * whole, whole].map(|ohms| Ohms(rounded(ohms)));
    Err(format!(
        "the resistance rises by {found} from {low} to {high}, where platinum would rise by {expected}"
    ))
}

/// What the accuracy of the readings at both ends makes of the rise between them, as a share.
fn allowed(fit: &Fit, data: &Data) -> f64 {
    if !data.has_accuracy() {
        return UNKNOWN;
    }
    let (first, last) = (&data.all[0], &data.all[data.all.len() - 1]);
    let off = |datum: &Datum| datum.ohms_width + fit.slope(datum.value) * datum.value_width;
    let whole = fit.curve.at(last.value).0 - fit.curve.at(first.value).0;
    ((off(first) + off(last)) / whole).clamp(LEAST, MOST)
}
