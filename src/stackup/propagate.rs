//! Propagation of uncertainty through any model: by its slopes, and by random draws.
//!
//! Sources are independent. Quantities that are correlated are put as functions of independent sources that they share.

use super::source::{Source, Spread};
use super::trials::Trials;

/// What the slopes of a model make of its sources.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Propagated {
    /// How far the middle of the result is from the nominal one: Σ slope·middle.
    pub bias: f64,
    /// The combined standard uncertainty of first order: √Σ(slope·standard)² (JCGM 100, 5.1.2).
    pub standard: f64,
}

/// The slope of a model at its nominal point by one source, from a step to either side.
///
/// For a Möbius function the harmonic mean of the two difference quotients is the slope itself, however long the step: with
/// f(q) − f(0) = k·q/(1 + c·q) they are k/(1 + c·h) and k/(1 − c·h). Of any other smooth function it is the slope but for
/// a term with the square of the step.
fn slope(above: f64, here: f64, below: f64, step: f64) -> f64 {
    let (up, down) = ((above - here) / step, (here - below) / step);
    let slope = if up * down > 0.0 { 2.0 * up * down / (up + down) } else { f64::midpoint(up, down) };
    // Where a model is not defined nothing can be said.
    if slope.is_finite() { slope } else { 0.0 }
}

/// A model around its nominal point.
struct Around<'a, M> {
    model: M,
    spreads: &'a [Spread],
    point: Vec<f64>,
    here: f64,
}

impl<'a, M: Fn(&[f64]) -> f64> Around<'a, M> {
    fn new(model: M, spreads: &'a [Spread]) -> Self {
        let point = vec![0.0; spreads.len()];
        let here = model(&point);
        Self { model, spreads, point, here }
    }

    /// The model with some sources off nominal.
    fn with(&mut self, changes: &[(usize, f64)]) -> f64 {
        for &(source, by) in changes {
            self.point[source] += by;
        }
        let found = (self.model)(&self.point);
        for &(source, _) in changes {
            self.point[source] = 0.0;
        }
        found
    }

    /// The sources that may be off, each with a step that is a share of its standard uncertainty.
    fn steps(&self, share: f64) -> Vec<(usize, f64)> {
        let steps = self.spreads.iter().enumerate().map(|(i, spread)| (i, share * spread.standard));
        steps.filter(|(_, step)| *step != 0.0).collect()
    }
}

/// Propagates the spreads through a model; `model` takes the deviation of each source from nominal.
pub fn propagate(model: impl Fn(&[f64]) -> f64, spreads: &[Spread]) -> Propagated {
    const STEP: f64 = 1e-3;
    let mut around = Around::new(model, spreads);
    let (mut bias, mut variance) = (0.0, 0.0);
    for (i, h) in around.steps(STEP) {
        let (above, below) = (around.with(&[(i, h)]), around.with(&[(i, -h)]));
        let slope = slope(above, around.here, below, h);
        bias += slope * spreads[i].middle;
        variance += (slope * spreads[i].standard).powi(2);
    }
    Propagated { bias, standard: variance.sqrt() }
}

/// The same with what the curvature of the model adds: ½·Σ f″·standard² to the bias, and
/// ΣΣ (½·(∂²f/∂i∂j)² + ∂f/∂i·∂³f/∂i∂j²)·standardᵢ²·standardⱼ² to the variance (JCGM 100, 5.1.2, note).
pub fn second_order(model: impl Fn(&[f64]) -> f64, spreads: &[Spread]) -> Propagated {
    /// Longer than for slopes, or the terms drown in rounding.
    const STEP: f64 = 0.1;
    let mut around = Around::new(model, spreads);
    let steps = around.steps(STEP);
    let (mut bias, mut variance) = (0.0, 0.0);
    for &(i, h) in &steps {
        let (above, below) = (around.with(&[(i, h)]), around.with(&[(i, -h)]));
        let slope = (above - below) / (2.0 * h);
        let bend = (above - 2.0 * around.here + below) / (h * h);
        let square = spreads[i].standard.powi(2);
        bias += slope * spreads[i].middle + bend * square / 2.0;
        variance += slope * slope * square;
        for &(j, k) in &steps {
            let (mixed, third) = if i == j {
                let (far, near) = (around.with(&[(i, 2.0 * h)]), around.with(&[(i, -2.0 * h)]));
                (bend, (far - 2.0 * above + 2.0 * below - near) / (2.0 * h.powi(3)))
            } else {
                let corners = [[h, k], [h, -k], [-h, k], [-h, -k]];
                let [pp, pm, mp, mm] = corners.map(|[a, b]| around.with(&[(i, a), (j, b)]));
                let third = ((pp - mp) - 2.0 * (above - below) + (pm - mm)) / (2.0 * h * k * k);
                ((pp - pm - mp + mm) / (4.0 * h * k), third)
            };
            variance += (mixed * mixed / 2.0 + slope * third) * square * spreads[j].standard.powi(2);
        }
    }
    Propagated { bias, standard: variance.max(0.0).sqrt() }
}

/// The results of a model at random draws of its sources, ascending (JCGM 101, 7).
pub fn draw(model: impl Fn(&[f64]) -> f64 + Sync, spreads: &[Spread], trials: &Trials<'_>) -> Vec<f64> {
    let drawn = trials.in_chunks(Vec::new, |random, boards, found: &mut Vec<f64>| {
        let mut point = vec![0.0; spreads.len()];
        for _ in 0..boards {
            for (value, spread) in point.iter_mut().zip(spreads) {
                *value = spread.middle + spread.standard * spread.distribution.draw(random);
            }
            found.push(model(&point));
        }
    });
    let mut all = drawn.concat();
    all.sort_by(f64::total_cmp);
    all
}

/// The ends of the interval that holds a share of the results, as many below as above it (JCGM 101, 7.7).
pub fn coverage(ascending: &[f64], share: f64) -> Option<[f64; 2]> {
    let outside = (1.0 - share) / 2.0;
    let place = |share: f64| {
        let place = (share * ascending.len() as f64).floor();
        ascending.get((place as usize).min(ascending.len().saturating_sub(1))).copied()
    };
    Some([place(outside)?, place(1.0 - outside)?])
}

/// The spreads of some sources.
pub(super) fn spreads(sources: &[Source]) -> Vec<Spread> {
    sources.iter().map(|source| source.spread).collect()
}
