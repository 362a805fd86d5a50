//! What the accuracy of the readings makes of the curve.

use super::data::Data;
use super::fit::Answer;

/// Coverage factor for 95 % where the uncertainty is known.
pub(super) const NORMAL: f64 = 1.96;

/// How far the value that a curve gives may be off, in the unit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Spread {
    /// Standard uncertainty if all errors are independent of each other.
    pub(super) independent: f64,
    /// Standard uncertainty, whichever is greater for each source: errors independent of each other, or the same in all
    /// readings.
    pub(super) standard: f64,
    /// The worst that half widths of this size can do together.
    pub(super) worst: f64,
}

/// Carries the accuracy of the readings through to a value of the curve (JCGM 100, 5.1.2 and 5.2.2).
///
/// There are two sources: the thermometer and the meter, whose specification `1 % + 2 Ω` is one limit and not two
/// independent ones. Of neither is it known how much of its error is the same in all readings (a meter that reads at
/// its upper limit may do so everywhere) and how much changes from reading to reading. With the correlation r of a
/// source its variance is (1 − r)·Σt² + r·(Σt)², which for no r exceeds the greater of both. Each half width a is
/// rectangular: u = a/√3.
pub(super) fn spread(answers: &[Answer], data: &Data) -> Spread {
    let pairs = || answers.iter().zip(&data.all);
    let sources = [
        pairs().map(|(answer, datum)| answer.to_value * datum.value_width).collect::<Vec<f64>>(),
        pairs().map(|(answer, datum)| answer.to_ohms * datum.ohms_width).collect(),
    ];
    let squares = |terms: &[f64]| terms.iter().map(|t| t * t).sum::<f64>() / 3.0;
    let common = |terms: &[f64]| terms.iter().sum::<f64>().powi(2) / 3.0;
    Spread {
        independent: sources.iter().map(|terms| squares(terms)).sum::<f64>().sqrt(),
        standard: sources.iter().map(|terms| squares(terms).max(common(terms))).sum::<f64>().sqrt(),
        worst: sources.iter().flatten().map(|t| t.abs()).sum(),
    }
}

/// Coverage factor for 95 % where the uncertainty comes from residuals with so many degrees of freedom.
///
/// Source: JCGM 100, table G.2 (quantiles of Student's t); beyond ten the expansion of Cornish and Fisher, which is
/// good to a thousandth there.
pub(super) fn student(freedom: usize) -> f64 {
    const TABLE: [f64; 10] = [12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23];
    match freedom.checked_sub(1) {
        None => f64::INFINITY,
        Some(i) if i < TABLE.len() => TABLE[i],
        Some(_) => {
            let (z, n) = (1.959_964_f64, freedom as f64);
            let first = (z.powi(3) + z) / 4.0;
            let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
            z + first / n + second / (n * n)
        }
    }
}

#[cfg(test)]
mod tests {
    use rand::{RngExt as _, SeedableRng as _};
    use rand_xoshiro::Xoshiro256PlusPlus;

    use super::*;
    use crate::learn::data::Datum;
    use crate::learn::fit::fit;
    use crate::learn::kind::Kind;
    use crate::learn::readings::Scale;
    use crate::quantity::Band;

    /// Source: JCGM 100, table G.2.
    #[test]
    fn coverage_factors_are_those_of_the_table() {
        for (freedom, published) in
            [(1, 12.71), (3, 3.18), (10, 2.23), (11, 2.20), (15, 2.13), (20, 2.09), (50, 2.01)]
        {
            assert!((student(freedom) - published).abs() <= 0.006, "{freedom}: {}", student(freedom));
        }
    }

    /// Readings good to a share of the resistance, a fixed resistance, and an own distance for each value.
    fn data(scale: Option<Scale>, rows: &[(f64, f64)], value: f64, share: f64, fixed: f64) -> Data {
        let datum = |(i, (x, ohms)): (usize, &(f64, f64))| Datum {
            value: *x,
            ohms: *ohms,
            value_width: value * (1.0 + 0.5 * (i % 3) as f64),
            ohms_width: ohms * share + fixed,
        };
        Data { unit: "x".to_owned(), scale, all: rows.iter().enumerate().map(datum).collect() }
    }

    /// Every kind with readings of it: calculated by hand from beta 3950 K, from the "typical" Steinhart-Hart set
    /// 1.40e-3, 2.37e-4, 9.90e-8, and taken from IEC 60751.
    fn every_kind() -> Vec<(Kind, Data, f64)> {
        let kelvin = |t: f64| t + 273.15;
        let beta: Vec<(f64, f64)> = [10.0, 20.0, 35.0, 50.0, 70.0, 90.0]
            .map(|t| (t, 10_000.0 * (3950.0 * (1.0 / kelvin(t) - 1.0 / 298.15)).exp()))
            .to_vec();
        let inverse = |r: f64| 1.40e-3 + 2.37e-4 * r.ln() + 9.90e-8 * r.ln().powi(3);
        let law: Vec<(f64, f64)> =
            [17_000.0, 9000.0, 4000.0, 1500.0, 600.0, 250.0].map(|r| (1.0 / inverse(r) - 273.15, r)).to_vec();
        let platinum = [(0.0, 100.0), (50.0, 119.397_1), (100.0, 138.505_5), (200.0, 175.856_0)];
        let points = [(0.0, 10.0), (2.5, 60.0), (5.0, 107.0), (7.5, 148.0), (10.0, 184.0)];
        let celsius = Some(Scale::Celsius);
        vec![
            (Kind::Beta, data(celsius, &beta, 0.3, 0.01, 2.0), 1800.0),
            (Kind::SteinhartHart, data(celsius, &law, 0.1, 0.004, 0.5), 2500.0),
            (Kind::Platinum, data(celsius, &platinum, 0.2, 0.001, 0.05), 150.0),
            (Kind::Linear, data(None, &points, 0.1, 0.01, 0.5), 75.0),
            (Kind::Monotone, data(None, &points, 0.1, 0.01, 0.5), 75.0),
        ]
    }

    /// The standard deviation over many sets of readings, each fitted anew.
    fn scattered(kind: Kind, truth: &Data, ohms: f64, common: bool) -> f64 {
        const SETS: usize = 20_000;
        let mut dice = Xoshiro256PlusPlus::seed_from_u64(11);
        let mut draw = || -> [f64; 2] { std::array::from_fn(|_| dice.random_range(-1.0..=1.0)) };
        let range = Band { lowest: truth.lowest(), highest: truth.highest() };
        let mut values = Vec::with_capacity(SETS);
        for _ in 0..SETS {
            let shared = draw();
            let mut set = truth.clone();
            for datum in &mut set.all {
                let [value, meter] = if common { shared } else { draw() };
                datum.value += datum.value_width * value;
                datum.ohms += datum.ohms_width * meter;
            }
            values.push(fit(kind, &set, range).unwrap().value_of(ohms));
        }
        let mean = values.iter().sum::<f64>() / SETS as f64;
        (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (SETS - 1) as f64).sqrt()
    }

    /// With 20 000 sets a standard deviation is known to half a per cent: 3 % is six times that.
    #[test]
    fn monte_carlo_gives_the_same_for_every_kind() {
        for (kind, data, ohms) in every_kind() {
            let range = Band { lowest: data.lowest(), highest: data.highest() };
            let spread = spread(&fit(kind, &data, range).unwrap().answers(ohms), &data);
            let independent = scattered(kind, &data, ohms, false) / spread.independent;
            assert!((independent - 1.0).abs() < 0.03, "{kind:?} independent {independent}");
            // Inside of several readings common errors outweigh independent ones for every source.
            let common = scattered(kind, &data, ohms, true) / spread.standard;
            assert!((common - 1.0).abs() < 0.03, "{kind:?} common {common}");
        }
    }

    /// Against the change of a second fit with one reading moved a little. Weights follow the readings, which changes
    /// the curve only where the readings do not lie on it; these do.
    #[test]
    fn answers_are_the_changes_of_a_second_fit() {
        for (kind, data, ohms) in every_kind() {
            let range = Band { lowest: data.lowest(), highest: data.highest() };
            let answers = fit(kind, &data, range).unwrap().answers(ohms);
            for (j, answer) in answers.iter().enumerate() {
                let moved = |value: f64, resistance: f64| {
                    let mut set = data.clone();
                    set.all[j].value += value;
                    set.all[j].ohms += resistance;
                    fit(kind, &set, range).unwrap().value_of(ohms)
                };
                let (v, r) = (1e-4, 1e-5 * data.all[j].ohms);
                let by_value = (moved(v, 0.0) - moved(-v, 0.0)) / (2.0 * v);
                let by_ohms = (moved(0.0, r) - moved(0.0, -r)) / (2.0 * r);
                assert!((by_value - answer.to_value).abs() < 1e-4, "{kind:?} {j} {by_value} {answer:?}");
                let scale = data.all[j].ohms;
                assert!(
                    ((by_ohms - answer.to_ohms) * scale).abs() < 2e-3,
                    "{kind:?} {j} {by_ohms} {answer:?}"
                );
            }
        }
    }
}
