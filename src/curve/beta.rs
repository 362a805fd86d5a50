//! A thermistor by its beta.

use super::function::Function;
use super::law::ABSOLUTE_ZERO;
use super::{CurveError, error, solve};
use crate::quantity::{Band, Celsius, Ohms};

/// A thermistor with one parameter: R = r0 · exp(beta · (1/T − 1/T0)), temperatures in kelvin.
///
/// Source: IEC 60539-1, definition of the B-value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beta {
    /// The temperature at which the resistance is given.
    pub t0: Celsius,
    /// The resistance there.
    pub r0: Ohms,
    /// The sensitivity, in kelvin.
    pub beta: f64,
}

/// The highest temperature that is looked at, in kelvin: hotter than any thermistor lives.
pub(super) const HOTTEST: f64 = 10_000.0;
/// The exponent beyond which a resistance is not calculated any more: far above any insulator.
const LARGEST_EXPONENT: f64 = 100.0;

fn kelvin(celsius: f64) -> f64 {
    celsius - ABSOLUTE_ZERO
}

impl Beta {
    pub(super) fn checked(self) -> Result<Self, CurveError> {
        let sane = error::positive(self.r0.0) && (1e-3..=1e6).contains(&self.beta);
        let temperature = self.t0.0 > ABSOLUTE_ZERO && kelvin(self.t0.0) < HOTTEST;
        if sane && temperature { Ok(self) } else { Err(CurveError::NoLaw) }
    }

    fn start(&self) -> f64 {
        1.0 / kelvin(self.t0.0)
    }
}

impl Function for Beta {
    fn at(&self, celsius: f64) -> f64 {
        self.r0.0 * (self.beta * (1.0 / kelvin(celsius) - self.start())).exp()
    }

    /// R′ = −R·beta/T².
    fn slope(&self, celsius: f64) -> f64 {
        -self.at(celsius) * self.beta / kelvin(celsius).powi(2)
    }

    /// R″ = R·(beta²/T⁴ + 2·beta/T³).
    fn second(&self, celsius: f64) -> f64 {
        let t = kelvin(celsius);
        self.at(celsius) * self.beta * (self.beta + 2.0 * t) / t.powi(4)
    }

    /// 1/T = 1/T0 + ln(R/r0)/beta.
    fn inverse(&self, ohms: f64) -> f64 {
        let Band { lowest, highest } = self.reach();
        let inverse = self.start() + (ohms.max(0.0) / self.r0.0).ln() / self.beta;
        if inverse <= 1.0 / kelvin(highest) { highest } else { (1.0 / inverse + ABSOLUTE_ZERO).max(lowest) }
    }

    fn reach(&self) -> Band<f64> {
        let coldest = 1.0 / (self.start() + LARGEST_EXPONENT / self.beta);
        Band { lowest: coldest + ABSOLUTE_ZERO, highest: HOTTEST + ABSOLUTE_ZERO }
    }

    /// With u = ln R the condition r″·(d0 + d1·r) = 2·d1·r′² is u″/u′² = (d1·R − d0)/(d1·R + d0), and u″/u′² = 2·T/beta.
    /// The left side rises with T; the right side rises with R and so falls with T. Hence there is at most one such
    /// place. The derivative of ln(|r′|/(d0 + d1·r)²) is u′ times (left − right): it changes from + to −, since u′ is
    /// negative, so that the slope has its greatest magnitude there, never its least.
    fn stationary(&self, a: f64, b: f64, d0: f64, d1: f64) -> Vec<f64> {
        let excess = |celsius: f64| {
            let r = d1 * self.at(celsius);
            2.0 * kelvin(celsius) / self.beta - (r - d0) / (r + d0)
        };
        solve::crossing(excess, a, b).into_iter().collect()
    }
}
