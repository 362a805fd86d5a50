//! Which source is worth what: each alone, and its share of the whole.

use super::channel::{LANES, Lanes};
use super::places::greatest_of;
use super::propagate::{propagate, spreads};
use super::source::Source;
use super::stack::Stack;
use crate::quantity::Band;

/// One source, judged by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranked {
    /// The source.
    pub source: Source,
    /// The greatest |reading − nominal reading| in the zone before truncation with only this source off nominal, in the
    /// unit.
    pub error_alone: f64,
    /// Where it is greatest.
    pub at: f64,
    /// Its share of the variance at a given value.
    pub share: f64,
}

/// The share of the zone below which an error is but rounding.
const ROUNDING: f64 = 1e-9;

/// All sources that move a reading in the zone, the worst first. Shares are those at the value `at`.
pub fn rank(stack: &Stack<'_>, zone: Band<f64>, at: f64) -> Vec<Ranked> {
    let shares = shares(stack, at);
    let mut ranked: Vec<Ranked> = stack
        .sources()
        .iter()
        .enumerate()
        .map(|(place, &source)| {
            let found = alone(stack, zone, place);
            Ranked { source, error_alone: found.value, at: found.at, share: shares[place] }
        })
        .filter(|ranked| ranked.error_alone > ROUNDING * (zone.highest - zone.lowest))
        .collect();
    // Sources that do as much stay in their order.
    ranked.sort_by(|a, b| b.error_alone.total_cmp(&a.error_alone));
    ranked
}

/// The share of each source in the variance of a reading.
fn shares(stack: &Stack<'_>, at: f64) -> Vec<f64> {
    let spreads = spreads(stack.sources());
    let model = stack.model(&stack.spot(at));
    let squares: Vec<f64> = (0..spreads.len())
        .map(|place| {
            let alone = |deviation: &[f64]| {
                let mut point = vec![0.0; spreads.len()];
                point[place] = deviation[0];
                model(&point)
            };
            propagate(alone, &spreads[place..=place]).standard.powi(2)
        })
        .collect();
    let all: f64 = squares.iter().sum();
    squares.into_iter().map(|square| if all > 0.0 { square / all } else { 0.0 }).collect()
}

/// The greatest error with one source at either end of its band.
fn alone(stack: &Stack<'_>, zone: Band<f64>, place: usize) -> crate::reading::Found {
    let source = stack.sources()[place];
    let mut worst = crate::reading::Found { value: 0.0, at: zone.lowest };
    for limit in source.spread.limits() {
        let mut deviations = vec![[0.0; LANES]; stack.sources().len()];
        deviations[place] = [limit; LANES];
        let shown = reading_of(stack, &deviations);
        let mut kinks = stack.kinks(zone);
        kinks.extend(stack.kinks_of(zone, &shown));
        let found = greatest_of(zone, kinks, |value| (shown(value) - value).abs());
        if found.value > worst.value {
            worst = found;
        }
    }
    worst
}

/// What a board with these deviations shows, before truncation and held to the range.
fn reading_of<'s>(stack: &'s Stack<'_>, deviations: &[Lanes]) -> impl Fn(f64) -> f64 + 's {
    let boards = stack.boards(deviations);
    move |value| {
        let [far, ..] = stack.estimates(&stack.spot(value), &boards, false);
        stack.value_of(far)
    }
}
