//! A thermistor by three coefficients.

use super::beta::HOTTEST;
use super::function::Function;
use super::law::ABSOLUTE_ZERO;
use super::{CurveError, solve};
use crate::quantity::Band;

/// A thermistor with three coefficients: 1/T = a + b·ln R + c·(ln R)³, R in ohms and T in kelvin.
///
/// Source: J. S. Steinhart and S. R. Hart, Calibration curves for thermistors, Deep-Sea Research 15 (1968), 497–503.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteinhartHart {
    /// In 1/K.
    pub a: f64,
    /// In 1/K; above 0.
    pub b: f64,
    /// In 1/K; 0 for a pure beta, of which 1/b is the beta.
    pub c: f64,
}

/// Magnitude of ln R up to which resistances are calculated: from 1e-30 Ω to 1e30 Ω.
const FARTHEST: f64 = 69.0;
/// How near ln R may come to the place where a law with negative c turns back, as a share of it.
const NEAREST: f64 = 1.0 - 1e-6;

impl SteinhartHart {
    pub(super) fn checked(self) -> Result<Self, CurveError> {
        let sane = |x: f64| x.abs() <= 1.0;
        if !(sane(self.a) && sane(self.b) && sane(self.c) && self.b >= 1e-12) {
            return Err(CurveError::NoLaw);
        }
        let Band { lowest, highest } = self.logs();
        if self.inverse_kelvin(lowest) < self.inverse_kelvin(highest)
            && self.inverse_kelvin(highest) > 1.0 / HOTTEST
        {
            Ok(self)
        } else {
            Err(CurveError::NotFalling)
        }
    }

    /// 1/T, here f(L) with L = ln R.
    fn inverse_kelvin(&self, log: f64) -> f64 {
        self.a + log * (self.b + self.c * log * log)
    }

    /// f′(L).
    fn first(&self, log: f64) -> f64 {
        self.b + 3.0 * self.c * log * log
    }

    /// The ln R for which 1/T rises with ln R.
    fn logs(&self) -> Band<f64> {
        let turn = if self.c < 0.0 { (self.b / (-3.0 * self.c)).sqrt() * NEAREST } else { FARTHEST };
        let farthest = turn.min(FARTHEST);
        Band { lowest: -farthest, highest: farthest }
    }

    /// ln R at a temperature: the root of L³ + p·L = y/c with p = b/c and y = 1/T − a.
    ///
    /// Source: the hyperbolic and trigonometric solutions of the depressed cubic (Viète; G. C. Holmes, The use of
    /// hyperbolic cosines in solving cubic polynomials, The Mathematical Gazette 86 (2002), 473–477). With
    /// m = 2·√(|p|/3) and s = 3·y/(b·m): L = m·sinh(asinh(s)/3) for c > 0 and, between the two places where the law
    /// turns back, L = m·sin(asin(s)/3) for c < 0. Nothing nearly equal is subtracted, and c → 0 leads to y/b.
    fn log(&self, celsius: f64) -> f64 {
        let y = 1.0 / (celsius - ABSOLUTE_ZERO) - self.a;
        let m = 2.0 * (self.b / (3.0 * self.c.abs())).sqrt();
        // So small a c that its cube root has no digit left.
        if m > 1e6 * FARTHEST {
            return y / self.b;
        }
        let s = 3.0 * y / (self.b * m);
        if self.c > 0.0 { m * (s.asinh() / 3.0).sinh() } else { m * (s.clamp(-1.0, 1.0).asin() / 3.0).sin() }
    }

    /// The condition for a stationary slope, left minus right side, between two logarithms: see
    /// [`Function::stationary`] below.
    fn condition(&self, log: f64, offset: f64) -> f64 {
        let (f, f1, f2) = (self.inverse_kelvin(log), self.first(log), 6.0 * self.c * log);
        2.0 * f1 / f - f2 / f1 - log.midpoint(offset).tanh()
    }

    /// Bounds of the derivative of the condition over `logs`:
    /// 2·f″/f − 2·(f′/f)² − f‴/f′ + (f″/f′)² − sech²((L + offset)/2)/2.
    fn condition_slope(&self, logs: Band<f64>, offset: f64) -> Band<f64> {
        let f = Band::between(self.inverse_kelvin(logs.lowest), self.inverse_kelvin(logs.highest));
        let f1 = self.first_over(logs);
        let f2 = Band::between(6.0 * self.c * logs.lowest, 6.0 * self.c * logs.highest);
        let f3 = Band::exactly(6.0 * self.c);
        let (bend, turn) = (over(f2, f), square(over(f2, f1)));
        let (fall, third) = (square(over(f1, f)), over(f3, f1));
        let sech = |log: f64| 1.0 - log.midpoint(offset).tanh().powi(2);
        let ends = Band::between(sech(logs.lowest), sech(logs.highest));
        let top = if logs.holds(-offset) { 1.0 } else { ends.highest };
        Band {
            lowest: 2.0 * bend.lowest - 2.0 * fall.highest - third.highest + turn.lowest - top / 2.0,
            highest: 2.0 * bend.highest - 2.0 * fall.lowest - third.lowest + turn.highest - ends.lowest / 2.0,
        }
    }

    /// Bounds of f′ over `logs`.
    fn first_over(&self, logs: Band<f64>) -> Band<f64> {
        let ends = Band::between(self.first(logs.lowest), self.first(logs.highest));
        if logs.holds(0.0) { ends.joined(Band::exactly(self.b)) } else { ends }
    }

    /// Appends the roots of the condition between two logarithms.
    fn roots(&self, logs: Band<f64>, offset: f64, depth: u32, found: &mut Vec<f64>) {
        let Band { lowest, highest } = logs;
        let slope = self.condition_slope(logs, offset);
        if slope.highest < 0.0 || slope.lowest > 0.0 {
            found.extend(solve::crossing(|log| self.condition(log, offset), lowest, highest));
            return;
        }
        // Nowhere in the half of the width to either side is the condition 0 if it is too far from 0 in the middle.
        let middle = lowest + (highest - lowest) / 2.0;
        let steepest = slope.lowest.abs().max(slope.highest.abs());
        if self.condition(middle, offset).abs() > steepest * (highest - lowest) / 2.0 {
            return;
        }
        if depth == 0 {
            found.push(middle);
            return;
        }
        self.roots(Band { lowest, highest: middle }, offset, depth - 1, found);
        self.roots(Band { lowest: middle, highest }, offset, depth - 1, found);
    }
}

/// How often a range is halved at most: to a millionth of it.
const DEPTH: u32 = 20;

/// Bounds of a/b, b above 0.
fn over(a: Band<f64>, b: Band<f64>) -> Band<f64> {
    let all = [a.lowest / b.lowest, a.lowest / b.highest, a.highest / b.lowest, a.highest / b.highest];
    Band {
        lowest: all.into_iter().fold(f64::INFINITY, f64::min),
        highest: all.into_iter().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// Bounds of a².
fn square(a: Band<f64>) -> Band<f64> {
    let ends = Band::between(a.lowest * a.lowest, a.highest * a.highest);
    if a.holds(0.0) { Band { lowest: 0.0, highest: ends.highest } } else { ends }
}

impl Function for SteinhartHart {
    fn at(&self, celsius: f64) -> f64 {
        self.log(celsius).exp()
    }

    /// R′ = R·dL/dT, and dL/dT = −1/(T²·f′).
    fn slope(&self, celsius: f64) -> f64 {
        let log = self.log(celsius);
        -log.exp() / ((celsius - ABSOLUTE_ZERO).powi(2) * self.first(log))
    }

    /// R″ = R·(L′² + L″), and L″ = 2/(T³·f′) + f″·L′/(T·f′)².
    fn second(&self, celsius: f64) -> f64 {
        let (t, log) = (celsius - ABSOLUTE_ZERO, self.log(celsius));
        let (f1, f2) = (self.first(log), 6.0 * self.c * log);
        let slope = -1.0 / (t * t * f1);
        let second = 2.0 / (t.powi(3) * f1) + f2 * slope / (t * f1).powi(2);
        log.exp() * (slope * slope + second)
    }

    fn inverse(&self, ohms: f64) -> f64 {
        let (logs, reach) = (self.logs(), self.reach());
        let log = ohms.max(0.0).ln().clamp(logs.lowest, logs.highest);
        let inverse = self.inverse_kelvin(log);
        if inverse * HOTTEST <= 1.0 {
            return reach.highest;
        }
        (1.0 / inverse + ABSOLUTE_ZERO).clamp(reach.lowest, reach.highest)
    }

    fn reach(&self) -> Band<f64> {
        let logs = self.logs();
        let celsius = |log: f64| 1.0 / self.inverse_kelvin(log).max(1.0 / HOTTEST) + ABSOLUTE_ZERO;
        Band { lowest: celsius(logs.highest), highest: celsius(logs.lowest) }
    }

    /// With L = ln R the condition r″·(d0 + d1·r) = 2·d1·r′² is L″/L′² = (d1·R − d0)/(d1·R + d0), derivatives by T. From
    /// f(L) = 1/T follows L′ = −f²/f′, and the condition in L alone:
    /// 2·f′/f − f″/f′ = tanh((L + ln(d1/d0))/2).
    ///
    /// Its derivative is bounded by interval arithmetic. Where it keeps its sign there is at most one root, found by
    /// halving; where it may not, the range is halved until it does, until no root is possible, or down to a
    /// millionth of the range, which then counts as a root. Nothing is sampled.
    fn stationary(&self, a: f64, b: f64, d0: f64, d1: f64) -> Vec<f64> {
        // ln(d1/d0) held to where the hyperbolic tangent is ±1 for every L.
        let offset = (d1.ln() - d0.ln()).clamp(-1e3, 1e3);
        let logs = Band::between(self.log(a), self.log(b));
        let mut found = Vec::new();
        self.roots(logs, offset, DEPTH, &mut found);
        found.into_iter().map(|log| 1.0 / self.inverse_kelvin(log) + ABSOLUTE_ZERO).collect()
    }
}
