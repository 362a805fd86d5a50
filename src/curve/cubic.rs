//! A cubic without overshoot.
//!
//! M. Steffen, A simple method for monotonic interpolation in one dimension, Astronomy and Astrophysics 239 (1990),
//! 443–450: a cubic Hermite spline whose slope at a point is that of the parabola through it and its neighbours, held
//! to twice the smaller of the two secants. Then every stretch is monotone.

use super::function::Function;
use super::{polynomial, solve};

/// A cubic over its share from 0 to 1, straight on beyond both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cubic {
    /// The quantity at share 0 and at share 1.
    ends: [f64; 2],
    /// The slopes there, for a share of 1; neither is 0.
    slopes: [f64; 2],
}

/// The least slope at an end of the curve, as a part of the secant. Steffen lets it come down to 0 where the parabola
/// turns back; but what stands still at its end has no inverse there, and none beyond.
const LEAST_END_SLOPE: f64 = 0.1;

/// The cubics through points whose values rise and whose quantities rise or fall all the way.
pub(super) fn through(points: &[(f64, f64)]) -> Vec<Cubic> {
    let widths: Vec<f64> = points.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    let secants: Vec<f64> =
        points.windows(2).zip(&widths).map(|(pair, width)| (pair[1].1 - pair[0].1) / width).collect();
    let slope = |i: usize| {
        if i == 0 {
            end_slope(&widths, &secants, [0, 1])
        } else if i == secants.len() {
            end_slope(&widths, &secants, [i - 1, i.saturating_sub(2)])
        } else {
            let parabola =
                (secants[i - 1] * widths[i] + secants[i] * widths[i - 1]) / (widths[i - 1] + widths[i]);
            within(parabola, 2.0 * secants[i - 1].abs().min(secants[i].abs()))
        }
    };
    let piece = |i: usize| Cubic {
        ends: [points[i].1, points[i + 1].1],
        slopes: [slope(i) * widths[i], slope(i + 1) * widths[i]],
    };
    (0..secants.len()).map(piece).collect()
}

/// The slope at an end: that of the parabola through the last three points, held between a small part of the last
/// secant and twice that secant. `of` are the last stretch and the one before it; with two points there is only one.
fn end_slope(widths: &[f64], secants: &[f64], of: [usize; 2]) -> f64 {
    let last = secants[of[0]];
    let (Some(width), Some(secant)) = (widths.get(of[1]), secants.get(of[1])) else { return last };
    let share = widths[of[0]] / (widths[of[0]] + width);
    let parabola = last * (1.0 + share) - secant * share;
    last * (parabola / last).clamp(LEAST_END_SLOPE, 2.0)
}

/// The number, with its magnitude held to `most`.
fn within(number: f64, most: f64) -> f64 {
    number.signum() * number.abs().min(most)
}

impl Cubic {
    fn coefficients(&self) -> [f64; 4] {
        let ([r0, r1], [m0, m1]) = (self.ends, self.slopes);
        let rise = r1 - r0;
        [r0, m0, 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise]
    }

    /// The same cubic seen from its other end.
    fn reversed(&self) -> Self {
        let ([r0, r1], [m0, m1]) = (self.ends, self.slopes);
        Self { ends: [r1, r0], slopes: [-m1, -m0] }
    }
}

impl Function for Cubic {
    fn at(&self, share: f64) -> f64 {
        // From the nearer end, so that both ends come out exactly.
        if share > 0.5 {
            self.reversed().at(1.0 - share)
        } else if share < 0.0 {
            self.ends[0] + self.slopes[0] * share
        } else {
            polynomial::value(&self.coefficients(), share)
        }
    }

    fn slope(&self, share: f64) -> f64 {
        let [_, c1, c2, c3] = self.coefficients();
        match share {
            _ if share <= 0.0 => self.slopes[0],
            _ if share >= 1.0 => self.slopes[1],
            _ => polynomial::value(&[c1, 2.0 * c2, 3.0 * c3], share),
        }
    }

    fn second(&self, share: f64) -> f64 {
        let [_, _, c2, c3] = self.coefficients();
        if (0.0..=1.0).contains(&share) { 2.0 * c2 + 6.0 * c3 * share } else { 0.0 }
    }

    fn inverse(&self, quantity: f64) -> f64 {
        let [from, to] = self.ends.map(|end| (quantity - end) * (self.ends[1] - self.ends[0]).signum());
        if from <= 0.0 {
            return (quantity - self.ends[0]) / self.slopes[0];
        }
        if to >= 0.0 {
            return 1.0 + (quantity - self.ends[1]) / self.slopes[1];
        }
        solve::monotone_root(|share| (self.at(share) - quantity, self.slope(share)), 0.0, 1.0)
    }

    fn stationary(&self, a: f64, b: f64, d0: f64, d1: f64) -> Vec<f64> {
        polynomial::roots_in(&polynomial::stationary(&self.coefficients(), d0, d1), a, b)
    }
}
