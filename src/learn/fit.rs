//! From readings to the curve of one kind, and how that curve answers to an error of each reading.

use super::data::{Data, Datum};
use super::kind::Kind;
use super::least_squares::{Solution, solve};
use super::readings::Scale;
use crate::curve::{Affine, Beta, Curve, Law, Platinum, SteinhartHart};
use crate::quantity::{Band, Celsius, Ohms};

/// How the value that a curve gives for a resistance follows an error of one reading.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Answer {
    /// To an error of its value, in the unit for each unit.
    pub(super) to_value: f64,
    /// To an error of its resistance, in the unit for each ohm.
    pub(super) to_ohms: f64,
}

/// A curve through or along readings.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) kind: Kind,
    /// The law with its coefficients, if the kind is one.
    pub(super) law: Option<Law>,
    pub(super) curve: Curve<Ohms>,
    data: Data,
    effect: Effect,
}

/// How an error of a reading reaches the curve.
#[derive(Clone, Debug)]
enum Effect {
    /// Over coefficients of 1/T in powers of ln R: ∂coefficient/∂(1/T of the reading).
    Inverse { scale: Scale, answers: Vec<Vec<f64>> },
    /// Over the resistance at 0 °C: ∂r0/∂(resistance of the reading).
    Ice { share: Curve<Ohms>, r0: f64, answers: Vec<f64> },
    /// Over the points next to the place.
    Points,
}

/// Why readings have no curve of a kind.
pub(super) type Refusal = String;

/// The curve of a kind over the readings and, for a law, over `range`.
pub(super) fn fit(kind: Kind, data: &Data, range: Band<f64>) -> Result<Fit, Refusal> {
    match (kind, data.scale) {
        (Kind::Linear | Kind::Monotone, _) => through(kind, data),
        (_, None) => {
            Err(format!("{} is a law over temperature, and {} is no unit of it", kind.name(), data.unit))
        }
        (Kind::Platinum, Some(scale)) => platinum(data, scale, range),
        (Kind::Beta, Some(scale)) => inverse(kind, 2, data, scale, range),
        (Kind::SteinhartHart, Some(scale)) => inverse(kind, 3, data, scale, range),
    }
}

fn through(kind: Kind, data: &Data) -> Result<Fit, Refusal> {
    let points = data.all.iter().map(|datum| (datum.value, Ohms(datum.ohms))).collect();
    let curve = if kind == Kind::Linear {
        Curve::new(&data.unit, points)
    } else {
        Curve::monotone(&data.unit, points)
    };
    let curve = curve.map_err(|error| error.to_string())?;
    Ok(Fit { kind, law: None, curve, data: data.clone(), effect: Effect::Points })
}

fn affine(scale: Scale) -> Affine {
    match scale {
        Scale::Celsius => Affine::CELSIUS,
        Scale::Fahrenheit => Affine::FAHRENHEIT,
        Scale::Kelvin => Affine::KELVIN,
    }
}

/// Beta and Steinhart-Hart: 1/T = a + b·ln R (+ c·(ln R)³), linear in the coefficients.
///
/// The weight of a reading is 1/u² of its 1/T, to which u(T)/T² and (d(1/T)/d ln R)·u(R)/R contribute. Where no accuracy
/// is known, all values count as equally good, which gives the weight T⁴.
fn inverse(kind: Kind, terms: usize, data: &Data, scale: Scale, range: Band<f64>) -> Result<Fit, Refusal> {
    if data.all.len() < terms {
        return Err(format!("{} needs {terms} readings", kind.name()));
    }
    if data.all.iter().any(|datum| datum.ohms <= 0.0) {
        return Err(format!("{} knows no 0 Ω", kind.name()));
    }
    if !data.falls() {
        return Err(format!("{} needs a resistance that falls while the temperature rises", kind.name()));
    }
    let alike = || format!("the readings lie too close together for {}", kind.name());
    let equal: Vec<f64> = data.all.iter().map(|datum| scale.kelvin(datum.value).powi(4)).collect();
    let rough = coefficients(data, scale, 2, &equal).ok_or_else(alike)?;
    let weight = |datum: &Datum| {
        let of_value =
            scale.zero_and_step().1 * datum.value_uncertainty() / scale.kelvin(datum.value).powi(2);
        let of_ohms = rough.coefficients[1] * datum.ohms_uncertainty() / datum.ohms;
        1.0 / (of_value.powi(2) + of_ohms.powi(2))
    };
    let weights: Vec<f64> = data.all.iter().map(weight).collect();
    let usable = weights.iter().all(|weight| weight.is_finite() && *weight > 0.0);
    let solution =
        coefficients(data, scale, terms, if usable { &weights } else { &equal }).ok_or_else(alike)?;
    let law = law_of(&solution.coefficients, data, scale)?;
    let curve = Curve::of_law(&data.unit, affine(scale), law, range).map_err(|error| error.to_string())?;
    let effect = Effect::Inverse { scale, answers: solution.answers };
    Ok(Fit { kind, law: Some(law), curve, data: data.clone(), effect })
}

fn coefficients(data: &Data, scale: Scale, terms: usize, weights: &[f64]) -> Option<Solution> {
    let column = |k: usize| data.all.iter().map(|datum| powers(datum.ohms.ln())[k]).collect();
    let columns: Vec<Vec<f64>> = (0..terms).map(column).collect();
    let observed: Vec<f64> = data.all.iter().map(|datum| 1.0 / scale.kelvin(datum.value)).collect();
    solve(&columns, &observed, weights)
}

const fn powers(log: f64) -> [f64; 3] {
    [1.0, log, log * log * log]
}

fn law_of(coefficients: &[f64], data: &Data, scale: Scale) -> Result<Law, Refusal> {
    let (a, b) = (coefficients[0], coefficients[1]);
    if let Some(c) = coefficients.get(2) {
        return plausible(SteinhartHart { a, b, c: *c }).map(Law::SteinhartHart);
    }
    let beta = 1.0 / b;
    if !(ABSURD.lowest..=ABSURD.highest).contains(&beta) {
        return Err(format!(
            "a beta of {beta:.0} K is absurd: thermistors have {:.0} to {:.0} K",
            USUAL.lowest, USUAL.highest
        ));
    }
    let t0 = usual_temperature(data, scale);
    let r0 = ((1.0 / (t0.0 + 273.15) - a) / b).exp();
    Ok(Law::Beta(Beta { t0, r0: Ohms(r0), beta }))
}

/// Betas of thermistors on the market, in kelvin: common practice.
pub(super) const USUAL: Band<f64> = Band { lowest: 2500.0, highest: 5000.0 };
/// Outside these no material is a thermistor.
const ABSURD: Band<f64> = Band { lowest: 1000.0, highest: 10_000.0 };

/// Where the resistance of a thermistor is named: 25 °C if it was measured around there, else a whole number of °C in
/// the middle of the readings.
fn usual_temperature(data: &Data, scale: Scale) -> Celsius {
    let celsius = |value: f64| scale.kelvin(value) - 273.15;
    let (lowest, highest) = (celsius(data.lowest()), celsius(data.highest()));
    let is_usual = (lowest..=highest).contains(&25.0);
    let middle = f64::midpoint(lowest, highest).round();
    Celsius(if is_usual || middle <= -273.0 { 25.0 } else { middle })
}

/// Thermistors have a positive c: a negative one bends the wrong way, and the law turns back.
fn plausible(law: SteinhartHart) -> Result<SteinhartHart, Refusal> {
    if law.c < 0.0 {
        return Err(format!(
            "Steinhart-Hart would need a negative c ({:.3e}), which no thermistor has",
            law.c
        ));
    }
    if law.b <= 0.0 {
        return Err(format!(
            "Steinhart-Hart would need a negative b ({:.3e}), which no thermistor has",
            law.b
        ));
    }
    Ok(law)
}

/// Platinum: R = r0·f(t) after IEC 60751, linear in r0. The weight of a reading is 1/u² of R − r0·f(t); where no
/// accuracy is known, all values count as equally good.
fn platinum(data: &Data, scale: Scale, range: Band<f64>) -> Result<Fit, Refusal> {
    if data.falls() {
        return Err("platinum needs a resistance that rises with the temperature".to_owned());
    }
    let over = |law: Platinum, range: Band<f64>| {
        Curve::of_law(&data.unit, affine(scale), law, range).map_err(|error| error.to_string())
    };
    let readings = Band { lowest: data.lowest(), highest: data.highest() };
    let share = over(Platinum { r0: Ohms(1.0) }, range.joined(readings))?;
    let f = |datum: &Datum| (share.at(datum.value).0, share.slopes(datum.value)[1]);
    let solved = |weights: &[f64]| {
        let column = data.all.iter().map(|datum| f(datum).0).collect();
        let observed: Vec<f64> = data.all.iter().map(|datum| datum.ohms).collect();
        solve(&[column], &observed, weights).ok_or_else(|| "platinum knows no 0 Ω".to_owned())
    };
    let equal: Vec<f64> = data.all.iter().map(|datum| f(datum).1.powi(-2)).collect();
    let rough = solved(&equal)?.coefficients[0];
    let weight = |datum: &Datum| {
        1.0 / (datum.ohms_uncertainty().powi(2) + (rough * f(datum).1 * datum.value_uncertainty()).powi(2))
    };
    let weights: Vec<f64> = data.all.iter().map(weight).collect();
    let usable = weights.iter().all(|weight| weight.is_finite() && *weight > 0.0);
    let solution = solved(if usable { &weights } else { &equal })?;
    let r0 = solution.coefficients[0];
    let steepness = |datum: &Datum| datum.ohms / (r0 * f(datum).0);
    if data.all.iter().any(|datum| !(1.0 - PLATINUM..=1.0 + PLATINUM).contains(&steepness(datum))) {
        return Err(
            "the resistance does not rise as that of platinum, about 0.385 % of its value at 0 °C for each K"
                .to_owned(),
        );
    }
    let law = Platinum { r0: Ohms(r0) };
    let curve = over(law, range)?;
    let answers = solution.answers.into_iter().next().unwrap_or_default();
    let effect = Effect::Ice { share, r0, answers };
    Ok(Fit { kind: Kind::Platinum, law: Some(law.into()), curve, data: data.clone(), effect })
}

/// How far a reading may lie from platinum, as a share: other metals lie farther off over 100 K (copper 0.43 %/K, nickel
/// 0.62 %/K against 0.385 %/K).
const PLATINUM: f64 = 0.02;

impl Fit {
    /// The value that the curve gives for a resistance, also outside its range.
    pub(super) fn value_of(&self, ohms: f64) -> f64 {
        self.curve.value_beyond(Ohms(ohms))
    }

    /// Magnitude of the slope, in ohms for each unit: the mean of both sides at a knot.
    pub(super) fn slope(&self, value: f64) -> f64 {
        let [below, above] = self.curve.slopes(value);
        f64::midpoint(below.abs(), above.abs())
    }

    /// How the value that the curve gives for `ohms` answers to each reading.
    pub(super) fn answers(&self, ohms: f64) -> Vec<Answer> {
        match &self.effect {
            Effect::Inverse { scale, answers } => self.over_inverse(*scale, answers, ohms),
            Effect::Ice { share, r0, answers } => self.over_ice(share, *r0, answers, ohms),
            Effect::Points => self.over_points(ohms),
        }
    }

    /// δT = −T²·δ(1/T), and δ(1/T) = Σ (∂c/∂y)·(power of ln R)·δy with δy = −δT/T² − (d(1/T)/d ln R)·δR/R at each
    /// reading.
    fn over_inverse(&self, scale: Scale, answers: &[Vec<f64>], ohms: f64) -> Vec<Answer> {
        let step = scale.zero_and_step().1;
        let place = powers(ohms.ln());
        let kelvin = scale.kelvin(self.value_of(ohms));
        let one = |(j, datum): (usize, &Datum)| {
            let part: f64 = answers.iter().zip(place).map(|(row, power)| row[j] * power).sum();
            let here = scale.kelvin(datum.value);
            Answer {
                to_value: part * (kelvin / here).powi(2),
                to_ohms: part * kelvin.powi(2) / step * self.inverse_slope(scale, datum) / datum.ohms,
            }
        };
        self.data.all.iter().enumerate().map(one).collect()
    }

    /// d(1/T)/d ln R at a reading.
    fn inverse_slope(&self, scale: Scale, datum: &Datum) -> f64 {
        match self.law {
            Some(Law::Beta(law)) => 1.0 / law.beta,
            Some(Law::SteinhartHart(law)) => law.b + 3.0 * law.c * datum.ohms.ln().powi(2),
            _ => scale.zero_and_step().1,
        }
    }

    /// δt = −(f/f′)·δr0/r0, and δr0 = Σ (∂r0/∂R)·(δR − r0·f′·δt) over the readings.
    fn over_ice(&self, share: &Curve<Ohms>, r0: f64, answers: &[f64], ohms: f64) -> Vec<Answer> {
        let value = self.value_of(ohms);
        let lever = -share.at(value).0 / share.slopes(value)[1] / r0;
        let one = |(datum, answer): (&Datum, &f64)| Answer {
            to_value: -lever * answer * r0 * share.slopes(datum.value)[1],
            to_ohms: lever * answer,
        };
        self.data.all.iter().zip(answers).map(one).collect()
    }

    /// By a small step of each point near the place; farther points do not reach there.
    fn over_points(&self, ohms: f64) -> Vec<Answer> {
        let value = self.value_of(ohms);
        let all = &self.data.all;
        let above = all.partition_point(|datum| datum.value <= value);
        let near = above.saturating_sub(4)..(above + 4).min(all.len());
        let reached = above.saturating_sub(3)..(above + 3).min(all.len());
        let window: Vec<Datum> = all[near.clone()].to_vec();
        let mut answers = vec![Answer::default(); all.len()];
        for j in reached {
            let gap = |step: fn(&Datum) -> f64| {
                let beside = all[j.saturating_sub(1)..(j + 2).min(all.len())].windows(2);
                beside.map(|pair| (step(&pair[1]) - step(&pair[0])).abs()).fold(f64::INFINITY, f64::min)
            };
            let moved = |by_value: f64, by_ohms: f64| {
                let mut points = window.clone();
                points[j - near.start].value += by_value;
                points[j - near.start].ohms += by_ohms;
                let data = Data { all: points, ..self.data.clone() };
                through(self.kind, &data).map_or(f64::NAN, |fit| fit.value_of(ohms))
            };
            let central = |step: f64, along: fn(f64) -> (f64, f64)| {
                let (up, down) = (along(step), along(-step));
                (moved(up.0, up.1) - moved(down.0, down.1)) / (2.0 * step)
            };
            answers[j] = Answer {
                to_value: central(STEP * gap(|datum| datum.value), |step| (step, 0.0)),
                to_ohms: central(STEP * gap(|datum| datum.ohms), |step| (0.0, step)),
            };
        }
        answers
    }
}

/// The step of a point as a share of the distance to the next one.
const STEP: f64 = 1e-4;
