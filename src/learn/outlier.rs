//! A reading without which the others agree far better, where no accuracy says how well they should.

use itertools::Itertools;

use super::choice::Choice;
use super::data::Data;
use super::kind::Kind;
use super::readings::{Readings, shown};
use super::trial::{Trial, root_mean_square};
use super::words::within;
use crate::quantity::Band;

/// Without the reading, the best kind misses the others by so many times less. By chance sound readings do so in one
/// case of ten where there are five, in one of a hundred where there are six.
const BETTER: f64 = 10.0;
/// What is missed by less of the span than this is rounding.
const ROUNDING: f64 = 1e-3;
/// So many readings are tried, those that are missed by most.
const TRIED: usize = 3;

/// One row, and how it stands out.
struct Outlier {
    at: usize,
    /// How many times better the others agree without it.
    better: f64,
    /// The value that they give for its resistance.
    instead: f64,
}

/// Names the reading that stands out.
pub(super) fn stands_out(readings: &Readings, data: &Data, choice: &Choice) -> Option<String> {
    if data.has_accuracy() {
        return None;
    }
    let range = Band { lowest: data.lowest(), highest: data.highest() };
    let kinds = choice.candidates.iter().map(|candidate| candidate.kind).collect_vec();
    let all = kinds.iter().filter_map(|kind| Trial::of(*kind, data, range).ok()).collect_vec();
    let best = all.iter().filter_map(missed).min_by(f64::total_cmp)?;
    if best < ROUNDING * data.span() {
        return None;
    }
    let worst = all.iter().flat_map(worst_missed).unique();
    let tried = worst.flat_map(|at| kinds.iter().filter_map(move |kind| without(*kind, data, at, best)));
    let outlier = tried.max_by(|a, b| a.better.total_cmp(&b.better))?;
    let row = &readings.rows()[outlier.at];
    Some(format!(
        "{} stands out: without it the others agree {:.0} times better and put {:#} at {} instead of {}. Measure this row \
         again, and look for swapped digits",
        row.name(),
        outlier.better.min(1000.0),
        row.resistance,
        within(outlier.instead, data.span(), &data.unit),
        shown(row.value, &data.unit),
    ))
}

/// Root mean square of all that can be left out: an end that goes astray shows only there.
fn missed(trial: &Trial) -> Option<f64> {
    root_mean_square(trial.left_out.iter().flatten().map(|left_out| left_out.deviation))
}

/// The rows that a kind misses by most.
fn worst_missed(trial: &Trial) -> Vec<usize> {
    let off = |i: &usize| trial.left_out[*i].map_or(0.0, |left_out| left_out.deviation.abs());
    (0..trial.left_out.len()).sorted_by(|a, b| off(b).total_cmp(&off(a))).take(TRIED).collect()
}

/// What a kind makes of the others, if that is so much better than the `best` with all of them.
fn without(kind: Kind, data: &Data, at: usize, best: f64) -> Option<Outlier> {
    let is_inner = at > 0 && at + 1 < data.all.len();
    // Without an end the range is another one, and the shape beyond it is nobody's contradiction.
    if !(kind.is_law() || is_inner) {
        return None;
    }
    let others = data.without(at);
    if others.all.len() <= kind.coefficients().unwrap_or(2) {
        return None;
    }
    let trial = Trial::of(kind, &others, Band { lowest: data.lowest(), highest: data.highest() }).ok()?;
    let left = missed(&trial)?.max(f64::MIN_POSITIVE);
    let better = best / left;
    (better >= BETTER).then(|| Outlier { at, better, instead: trial.fit.value_of(data.all[at].ohms) })
}
