//! Platinum resistance thermometers.

use super::function::Function;
use super::law::ABSOLUTE_ZERO;
use super::{CurveError, error, polynomial, solve};
use crate::quantity::{Band, Ohms};

/// Platinum after IEC 60751:
/// R = r0·(1 + A·t + B·t²) from 0 °C to 850 °C, R = r0·(1 + A·t + B·t² + C·(t − 100)·t³) from −200 °C to 0 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Platinum {
    /// The resistance at 0 °C.
    pub r0: Ohms,
}

/// A in 1/°C, IEC 60751.
const A: f64 = 3.9083e-3;
/// B in 1/°C², IEC 60751.
const B: f64 = -5.775e-7;
/// C in 1/°C⁴, IEC 60751.
const C: f64 = -4.183e-12;
/// R/r0 from 0 °C on, by rising power of t.
const ABOVE: [f64; 3] = [1.0, A, B];
/// R/r0 up to 0 °C, by rising power of t.
const BELOW: [f64; 5] = [1.0, A, B, -100.0 * C, C];
/// The temperatures for which the standard holds, in °C.
const STANDARD: Band<f64> = Band { lowest: -200.0, highest: 850.0 };
/// Where the equations are still monotone (the upper one turns back at 3384 °C), in °C.
const REACH: Band<f64> = Band { lowest: ABSOLUTE_ZERO, highest: 3_000.0 };

impl Platinum {
    pub(super) fn checked(self) -> Result<Self, CurveError> {
        if error::positive(self.r0.0) { Ok(self) } else { Err(CurveError::NoLaw) }
    }

    /// Whether the standard holds for these temperatures.
    pub(super) fn covers(celsius: Band<f64>) -> bool {
        STANDARD.holds(celsius.lowest) && STANDARD.holds(celsius.highest)
    }
}

/// The equation that holds at a temperature.
fn equation(celsius: f64) -> &'static [f64] {
    if celsius < 0.0 { &BELOW } else { &ABOVE }
}

fn share(celsius: f64) -> f64 {
    polynomial::value(equation(celsius), celsius)
}

fn share_slope(celsius: f64) -> f64 {
    polynomial::value(&polynomial::derivative(equation(celsius)), celsius)
}

impl Function for Platinum {
    fn at(&self, celsius: f64) -> f64 {
        self.r0.0 * share(celsius)
    }

    fn slope(&self, celsius: f64) -> f64 {
        self.r0.0 * share_slope(celsius)
    }

    fn second(&self, celsius: f64) -> f64 {
        let slope = polynomial::derivative(equation(celsius));
        self.r0.0 * polynomial::value(&polynomial::derivative(&slope), celsius)
    }

    /// From 0 °C on the root of the quadratic equation, written without a difference of nearly equal numbers; below,
    /// Newton's method.
    fn inverse(&self, ohms: f64) -> f64 {
        let found = ohms / self.r0.0;
        if found >= share(REACH.highest) {
            REACH.highest
        } else if found >= 1.0 {
            let above = found - 1.0;
            2.0 * above / (A + (A * A + 4.0 * B * above).sqrt())
        } else if found > share(REACH.lowest) {
            solve::monotone_root(|t| (share(t) - found, share_slope(t)), REACH.lowest, 0.0)
        } else {
            REACH.lowest
        }
    }

    fn reach(&self) -> Band<f64> {
        REACH
    }

    fn stationary(&self, a: f64, b: f64, d0: f64, d1: f64) -> Vec<f64> {
        let roots = |equation: &[f64], a: f64, b: f64| {
            // In shares of r0, which leaves the condition as it is when d1 is scaled, too.
            polynomial::roots_in(&polynomial::stationary(equation, d0, d1 * self.r0.0), a, b)
        };
        let mut all = if a < 0.0 { roots(&BELOW, a, b.min(0.0)) } else { Vec::new() };
        if b > 0.0 {
            all.extend(roots(&ABOVE, a.max(0.0), b));
        }
        all
    }
}
