//! Learning a sender: published fits, what readings are worth, and everything that is doubtful about them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use std::fs;
use std::path::Path;

use ohmwright::board::Sender;
use ohmwright::brief;
use ohmwright::curve::Law;
use ohmwright::learn::{
    Beside, Cover, FromFile, Kind, Learned, MeterAccuracy, Reading, Readings, Wishes, learn, read_file,
    sender_from_file,
};
use ohmwright::quantity::{Band, Fraction, Ohms};
use proptest::prelude::{ProptestConfig, Strategy, any, prop_assert, prop_assert_eq, proptest};
use rand::{RngExt as _, SeedableRng as _};
use rand_xoshiro::Xoshiro256PlusPlus;
use tempfile::TempDir;

use support::program::{Run, finished, number, parsed, program};

fn reading(row: usize, value: f64, ohms: f64) -> Reading {
    Reading { row, line: None, value, resistance: Ohms(ohms), value_accuracy: None, meter: None }
}

fn readings(unit: &str, rows: &[(f64, f64)]) -> Readings {
    let rows = rows.iter().enumerate().map(|(i, (value, ohms))| reading(i + 1, *value, *ohms)).collect();
    Readings::new(unit, rows).unwrap()
}

/// The same, each row good to `value` and to `share` of its resistance and `fixed`.
fn measured(unit: &str, rows: &[(f64, f64)], value: f64, share: f64, fixed: f64) -> Readings {
    let meter = MeterAccuracy { share: Fraction(share), fixed: Ohms(fixed) };
    let rows = rows.iter().enumerate().map(|(i, (x, ohms))| Reading {
        value_accuracy: Some(value),
        meter: Some(meter),
        ..reading(i + 1, *x, *ohms)
    });
    Readings::new(unit, rows.collect()).unwrap()
}

fn of_kind(kind: Kind) -> Wishes {
    Wishes { kind: Some(kind), ..Wishes::default() }
}

fn learned(readings: &Readings) -> Learned {
    learn(readings, &Wishes::default()).unwrap()
}

fn steinhart_hart(learned: &Learned) -> [f64; 3] {
    let Some(Law::SteinhartHart(law)) = learned.law else { panic!("{:?}", learned.law) };
    [law.a, law.b, law.c]
}

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} ± {within}");
}

fn warned<'a>(learned: &'a Learned, word: &str) -> Option<&'a String> {
    learned.warnings.iter().find(|warning| warning.contains(word))
}

// Fits.

/// Source: table of the thermistor 10K3MCD1 in the manual of a temperature probe. The fit through −40, −20 and 0 °C and
/// what it makes of the other rows were calculated outside of this program, with 40 digits.
#[test]
fn three_readings_of_a_table_give_the_rest_of_it() {
    let fit = learned(&readings("°C", &[(-40.0, 336_103.2), (-20.0, 97_006.9), (0.0, 32_650.9)]));
    assert_eq!(fit.kind, Kind::SteinhartHart);
    let [a, b, c] = steinhart_hart(&fit);
    close(a, 1.129_155e-3, 5e-10);
    close(b, 2.341_237e-4, 5e-11);
    close(c, 8.767_632e-8, 5e-14);
    let rows = [(176_804.8, -29.999_997), (55_303.9, -10.000_006), (31_030.8, 1.000_006)];
    for (ohms, celsius) in rows {
        close(fit.curve.value_beyond(Ohms(ohms)), celsius, 1e-6);
    }
}

/// Source: README of the GitHub repository keidyz/steinhart-hart, example in kelvin.
#[test]
fn a_published_fit_gives_its_published_temperature() {
    let rows = readings("K", &[(248.15, 87_041.0), (273.15, 27_326.0), (298.15, 10_000.0)]);
    let range = Band { lowest: 248.15, highest: 310.0 };
    let wishes = Wishes { range: Some(range), extrapolate: true, ..Wishes::default() };
    let fit = learn(&rows, &wishes).unwrap();
    close(fit.curve.value_of(Ohms(7000.0)), 307.9031, 6e-5);
}

/// Source: Amphenol Thermometrics, curve of material type 1: ratios 3.264 at 0 °C and 0.06781 at 100 °C. The fit was
/// calculated outside of this program.
#[test]
fn a_thermistor_of_ten_kilohms_has_its_usual_coefficients() {
    let fit = learned(&readings("°C", &[(0.0, 32_640.0), (25.0, 10_000.0), (100.0, 678.1)]));
    let [a, b, c] = steinhart_hart(&fit);
    close(a, 1.130_66e-3, 6e-9);
    close(b, 2.338_61e-4, 6e-10);
    close(c, 8.884_56e-8, 6e-13);
}

/// Source: trade article with three readings, 2045 Ω at −50 °C, 100 Ω at 25 °C and 15 Ω at 100 °C. Its printed set
/// (A = 1.75e-3, B = 339.9e-6, C = 308.9e-9) does not follow from them; the exact solution was calculated outside of this
/// program.
#[test]
fn a_printed_set_that_does_not_follow_from_its_readings_is_not_copied() {
    let fit = learned(&readings("°C", &[(-50.0, 2045.0), (25.0, 100.0), (100.0, 15.0)]));
    let [a, b, c] = steinhart_hart(&fit);
    close(a, 1.740_18e-3, 5e-9);
    close(b, 345.19e-6, 5e-9);
    close(c, 247.58e-9, 5e-12);
    for row in &fit.rows {
        close(row.residual, 0.0, 1e-9);
    }
}

/// Source: Amphenol Thermometrics, material type 1: printed beta 25/85 of 3977 K, ratio 0.1070 at 85 °C (3977.5 K from
/// the printed ratio).
#[test]
fn two_readings_give_the_beta_between_them() {
    let fit = learned(&readings("°C", &[(25.0, 10_000.0), (85.0, 1070.0)]));
    let Some(Law::Beta(law)) = fit.law else { panic!("{:?}", fit.law) };
    close(law.beta, 3977.5, 0.05);
    assert_eq!((law.t0.0, fit.kind), (25.0, Kind::Beta));
    close(law.r0.0, 10_000.0, 1e-8);
}

/// Readings calculated from a law, by the formulas of IEC 60539-1 and of Steinhart and Hart, give it back.
#[test]
fn exact_readings_give_their_own_coefficients() {
    let kelvin = |celsius: f64| celsius + 273.15;
    let (t0, beta): (f64, f64) = (298.15, 3435.0);
    let places = [-10.0, 5.0, 25.0, 40.0, 66.0, 90.0, 125.0];
    let of_beta: Vec<(f64, f64)> =
        places.iter().map(|t| (*t, 10_000.0 * (beta * (1.0 / kelvin(*t) - 1.0 / t0)).exp())).collect();
    let fit = learned(&readings("°C", &of_beta));
    let Some(Law::Beta(law)) = fit.law else { panic!("{:?} {}", fit.law, fit.reason) };
    close(law.beta / beta, 1.0, 1e-9);
    close(law.r0.0 / 10_000.0, 1.0, 1e-9);

    // Temperatures from resistances, so that no inverse is needed.
    let (a, b, c): (f64, f64, f64) = (1.40e-3, 2.37e-4, 9.90e-8);
    let celsius = |ohms: f64| 1.0 / (a + b * ohms.ln() + c * ohms.ln().powi(3)) - 273.15;
    let ohms = [17_000.0, 9000.0, 4000.0, 2000.0, 900.0, 300.0, 100.0];
    let rows: Vec<(f64, f64)> = ohms.iter().map(|r| (celsius(*r), *r)).collect();
    let fit = learned(&readings("°C", &rows));
    let found = steinhart_hart(&fit);
    for (found, exact) in found.into_iter().zip([a, b, c]) {
        close(found / exact, 1.0, 1e-9);
    }
    // In °F the same law comes out.
    let rows: Vec<(f64, f64)> = rows.iter().map(|(t, r)| (t * 1.8 + 32.0, *r)).collect();
    for (found, exact) in steinhart_hart(&learned(&readings("°F", &rows))).into_iter().zip([a, b, c]) {
        close(found / exact, 1.0, 1e-9);
    }
}

/// Source: table of IEC 60751 for 100 Ω, to 0.01 Ω.
#[test]
fn platinum_is_known_by_how_it_rises() {
    let table = [(0.0, 100.00), (50.0, 119.40), (100.0, 138.51), (200.0, 175.86), (300.0, 212.05)];
    let fit = learned(&readings("°C", &table));
    let Some(Law::Platinum(law)) = fit.law else { panic!("{:?} {}", fit.law, fit.reason) };
    close(law.r0.0, 100.0, 0.003);
    // Nickel rises by 0.62 % of its value at 0 °C for each kelvin: common practice.
    let nickel = learned(&readings("°C", &[(0.0, 100.0), (50.0, 129.1), (100.0, 161.8), (150.0, 198.7)]));
    assert!(!nickel.kind.is_law(), "{}", nickel.reason);
    assert!(nickel.reason.contains("Platinum") || nickel.reason.contains("platinum"), "{}", nickel.reason);
}

/// Oil pressure 10/107/184 Ω at 0/5/10 bar: common practice. A field case read it as a straight line between its ends,
/// and behind 200 Ω from 5 V showed the true 5 bar as 6.97 bar. By hand: left out, the middle is (107 − 10)/(184 − 10) of
/// 10 bar.
#[test]
fn three_points_of_a_pressure_sender_are_its_curve() {
    let fit = learned(&readings("bar", &[(0.0, 10.0), (5.0, 107.0), (10.0, 184.0)]));
    assert_eq!(fit.kind, Kind::Linear);
    let volts = |ohms: f64| 5.0 * ohms / (ohms + 200.0);
    let [low, middle, high] = [0.0, 5.0, 10.0].map(|bar| volts(fit.curve.at(bar).0));
    close(middle, 1.743, 5e-4);
    close((middle - low) / (high - low) * 10.0, 6.97, 5e-3);
    close(fit.rows[1].without_itself.unwrap(), 10.0 * 97.0 / 174.0, 1e-12);
    assert_eq!((fit.rows[0].without_itself, fit.rows[2].without_itself), (None, None));
}

// What each reading would be without itself.

/// The closed form of linear least squares, e/(1 − h), where 1/T is linear in the coefficients: by hand for Beta with
/// equal weights T⁴.
#[test]
fn left_out_readings_agree_with_the_closed_form() {
    let rows = [(0.0, 9800.0), (20.0, 3900.0), (40.0, 1700.0), (60.0, 830.0), (80.0, 430.0)];
    let fit = learn(&readings("°C", &rows), &of_kind(Kind::Beta)).unwrap();
    let x: Vec<f64> = rows.iter().map(|(_, r)| r.ln()).collect();
    let y: Vec<f64> = rows.iter().map(|(t, _)| 1.0 / (t + 273.15)).collect();
    let w: Vec<f64> = y.iter().map(|y| y.powi(-4)).collect();
    let sum = |of: &dyn Fn(usize) -> f64| (0..rows.len()).map(of).sum::<f64>();
    let (s, sx, sy) = (sum(&|i| w[i]), sum(&|i| w[i] * x[i]), sum(&|i| w[i] * y[i]));
    let (mx, my) = (sx / s, sy / s);
    let sxx = sum(&|i| w[i] * (x[i] - mx).powi(2));
    let slope = sum(&|i| w[i] * (x[i] - mx) * (y[i] - my)) / sxx;
    for i in 0..rows.len() {
        let residual = y[i] - (my + slope * (x[i] - mx));
        let leverage = w[i] * (1.0 / s + (x[i] - mx).powi(2) / sxx);
        let left_out = 1.0 / (y[i] - residual / (1.0 - leverage)) - 273.15;
        close(fit.rows[i].without_itself.unwrap(), left_out, 1e-8);
    }
}

#[test]
fn what_fits_is_chosen_and_said() {
    // Source: thermistor 10K3MCD1 as above: Beta is off by far more than Steinhart-Hart.
    let table =
        [(-40.0, 336_103.2), (-30.0, 176_804.8), (-20.0, 97_006.9), (-10.0, 55_303.9), (0.0, 32_650.9)];
    let exact = learned(&readings("°C", &table));
    assert_eq!(exact.kind, Kind::SteinhartHart, "{}", exact.reason);
    assert!(exact.reason.contains("comes nearest") && exact.reason.contains("Beta by"), "{}", exact.reason);
    // With a poor thermometer nobody can tell, and the simpler kind is kept.
    let poor = learned(&measured("°C", &table, 2.0, 0.01, 0.0));
    assert_eq!(poor.kind, Kind::Beta, "{}", poor.reason);
    assert!(poor.reason.contains("simplest"), "{}", poor.reason);
    // With a good one Beta is told apart.
    let good = learned(&measured("°C", &table, 0.02, 0.0005, 0.0));
    assert_eq!(good.kind, Kind::SteinhartHart, "{}", good.reason);
    assert!(!good.contradicts);
}

/// A sender that bends the other way: by hand, 1/T = 1e-3 + 3e-4·ln R − 2e-7·(ln R)³.
#[test]
fn a_negative_c_is_not_chosen() {
    let rows: Vec<(f64, f64)> = [8000.0_f64, 4000.0, 2000.0, 1000.0, 500.0]
        .iter()
        .map(|r| (1.0 / (1e-3 + 3e-4 * r.ln() - 2e-7 * r.ln().powi(3)) - 273.15, *r))
        .collect();
    let fit = learned(&readings("°C", &rows));
    assert_ne!(fit.kind, Kind::SteinhartHart);
    assert!(fit.reason.contains("negative c"), "{}", fit.reason);
    let doubt = learn(&readings("°C", &rows), &of_kind(Kind::SteinhartHart)).unwrap_err();
    assert!(doubt.about == "--kind" && doubt.found.contains("negative c"), "{doubt}");
}

/// Platinum of 100 Ω rises by 3.9 Ω over 10 K and by 7.8 Ω over 20 K: IEC 60751.
#[test]
fn what_does_not_rise_as_platinum_is_none() {
    for rows in [[(0.0, 100.0), (10.0, 100.0001)], [(0.0, 100.0), (20.0, 105.0)]] {
        let fit = learned(&readings("°C", &rows));
        assert_eq!(fit.kind, Kind::Linear, "{}", fit.reason);
        assert!(fit.reason.contains("where platinum would rise by"), "{}", fit.reason);
    }
    // With a stated accuracy that does not explain the rise, and with one that does.
    let slow = learned(&measured("°C", &[(0.0, 100.0), (10.0, 101.0)], 0.1, 0.001, 0.0));
    assert_eq!((slow.kind, slow.contradicts), (Kind::Linear, false), "{:?}", slow.warnings);
    let rows = [(0.0, 100.0), (20.0, 108.1)];
    assert_eq!(learned(&measured("°C", &rows, 0.5, 0.001, 0.0)).kind, Kind::Platinum);
    assert_eq!(learned(&measured("°C", &rows, 0.01, 0.0001, 0.0)).kind, Kind::Linear);
    let true_platinum = learned(&readings("°C", &[(0.0, 100.0), (20.0, 107.79)]));
    assert_eq!(true_platinum.kind, Kind::Platinum, "{}", true_platinum.reason);
}

// What the curve is worth.

/// Draws an error within ± its half width.
fn within(dice: &mut Xoshiro256PlusPlus, half: f64) -> f64 {
    half * dice.random_range(-1.0..=1.0)
}

/// The standard deviation of the value at `ohms` over many sets of readings with errors within their accuracy, each
/// fitted anew. `common`: the errors of each source are the same in all readings.
fn scattered(truth: &Readings, wishes: &Wishes, ohms: f64, common: bool) -> f64 {
    const SETS: usize = 5_000;
    let mut dice = Xoshiro256PlusPlus::seed_from_u64(7);
    let mut values = Vec::with_capacity(SETS);
    for _ in 0..SETS {
        let shared = [within(&mut dice, 1.0), within(&mut dice, 1.0)];
        let rows = truth.rows().iter().map(|row| {
            let limit = row.meter.unwrap();
            let own = [within(&mut dice, 1.0), within(&mut dice, 1.0)];
            let [thermometer, meter] = if common { shared } else { own };
            Reading {
                value: row.value + row.value_accuracy.unwrap() * thermometer,
                resistance: row.resistance * (1.0 + limit.share.0 * meter) + limit.fixed * meter,
                ..row.clone()
            }
        });
        let set = Readings::new(truth.unit(), rows.collect()).unwrap();
        values.push(learn(&set, wishes).unwrap().curve.value_beyond(Ohms(ohms)));
    }
    let mean = values.iter().sum::<f64>() / SETS as f64;
    (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (SETS - 1) as f64).sqrt()
}

/// The standard uncertainty at both ends of the range, of which 1.96 make the band.
fn uncertainty(fit: &Learned, value: f64) -> (f64, f64) {
    let place = fit.places.iter().find(|place| place.value == value).unwrap();
    (place.resistance.0, place.off_by.unwrap() / 1.96)
}

/// With 5000 sets a standard deviation is known to 1 %; 3 % is three times that.
#[track_caller]
fn agrees(truth: &Readings, wishes: &Wishes, value: f64, common: bool) {
    let fit = learn(truth, wishes).unwrap();
    let (ohms, expected) = uncertainty(&fit, value);
    let found = scattered(truth, wishes, ohms, common);
    close(found / expected, 1.0, 0.03);
}

/// Exact readings of 10 kΩ and beta 3950 K.
fn thermistor(places: &[f64]) -> Vec<(f64, f64)> {
    let ohms = |t: f64| 10_000.0 * (3950.0 * (1.0 / (t + 273.15) - 1.0 / 298.15)).exp();
    places.iter().map(|t| (*t, ohms(*t))).collect()
}

/// Outside of few readings independent errors outweigh common ones, and inside it is the other way round; each is the
/// greater there and is what the band says.
#[test]
fn monte_carlo_gives_the_same_uncertainty() {
    let wishes = |kind: Kind, lowest: f64, highest: f64| Wishes {
        kind: Some(kind),
        range: Some(Band { lowest, highest }),
        extrapolate: true,
    };
    let two = measured("°C", &thermistor(&[20.0, 60.0]), 0.5, 0.01, 1.0);
    agrees(&two, &wishes(Kind::Beta, 20.0, 110.0), 110.0, false);
    agrees(&two, &wishes(Kind::Beta, 20.0, 60.0), 40.0, true);

    let law = |ohms: f64| 1.0 / (1.40e-3 + 2.37e-4 * ohms.ln() + 9.90e-8 * ohms.ln().powi(3)) - 273.15;
    let rows: Vec<(f64, f64)> = [9000.0, 2500.0, 700.0].iter().map(|r| (law(*r), *r)).collect();
    let three = measured("°C", &rows, 0.05, 0.002, 0.5);
    agrees(&three, &wishes(Kind::SteinhartHart, 0.0, 110.0), 110.0, false);

    let level = measured("%", &[(0.0, 240.0), (100.0, 33.0)], 2.0, 0.02, 1.0);
    agrees(&level, &of_kind(Kind::Linear), 100.0, false);
    agrees(&level, &of_kind(Kind::Linear), 40.0, true);
}

/// A middle place of two readings, by hand: the mean of their errors if they are the same, u = a/√3.
#[test]
fn errors_that_are_the_same_everywhere_do_not_average_out() {
    let level = measured("%", &[(0.0, 240.0), (100.0, 33.0)], 0.0, 0.0, 2.07);
    let fit = learned(&level);
    // 2.07 Ω on 2.07 Ω for each per cent.
    let (_, found) = uncertainty(&fit, 40.0);
    close(found, 1.0 / 3_f64.sqrt(), 1e-6);
    assert_eq!(fit.cover, Cover::Accuracy(1.2));
}

/// By hand: left out, the middle reading is missed by 10·97/174 − 5 bar, of which a quarter may remain in the middle of a
/// gap of half the width, and 4·0.4·0.6 of that at two fifths of it; half widths are rectangular.
#[test]
fn what_lies_between_two_readings_widens_the_band() {
    let rows = [(0.0, 10.0), (5.0, 107.0), (10.0, 184.0)];
    let fit = learned(&measured("bar", &rows, 0.1, 0.0, 0.0));
    let between = (10.0 * 97.0 / 174.0 - 5.0) / 4.0 * (4.0 * 0.4 * 0.6);
    let (_, found) = uncertainty(&fit, 2.0);
    close(found, 0.1_f64.hypot(between) / 3_f64.sqrt(), 1e-6);
    let (_, at_reading) = uncertainty(&fit, 10.0);
    close(at_reading, 0.1 / 3_f64.sqrt(), 1e-6);
}

#[test]
fn the_cover_holds_the_band_everywhere() {
    let rows = thermistor(&[0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0]);
    for (readings, is_tolerance) in
        [(measured("°C", &rows, 0.5, 0.0, 0.0), false), (measured("°C", &rows, 0.0, 0.02, 0.0), true)]
    {
        let fit = learned(&readings);
        let most =
            |of: &dyn Fn(&ohmwright::learn::Place) -> f64| fit.places.iter().map(of).fold(0.0, f64::max);
        match fit.cover {
            Cover::Tolerance(share) => {
                assert!(is_tolerance);
                let worst = most(&|place| place.share_off.unwrap().0);
                assert!(share.0 >= worst && share.0 <= worst * 1.1, "{share} {worst}");
            }
            Cover::Accuracy(accuracy) => {
                assert!(!is_tolerance);
                let worst = most(&|place| place.off_by.unwrap());
                assert!(accuracy >= worst && accuracy <= worst * 1.1, "{accuracy} {worst}");
            }
            Cover::Unknown => panic!("the accuracy is known"),
        }
    }
}

/// Source: table of the thermistor 10K3MCD1 as above. With a poor thermometer Beta is taken for it, although it is none:
/// beyond the readings the band has to hold the truth all the same.
#[test]
fn the_band_holds_what_a_simpler_law_leaves_out() {
    let table =
        [(-40.0, 336_103.2), (-30.0, 176_804.8), (-20.0, 97_006.9), (-10.0, 55_303.9), (0.0, 32_650.9)];
    let range = Some(Band { lowest: -40.0, highest: 50.0 });
    let wishes = Wishes { range, extrapolate: true, ..Wishes::default() };
    let fit = learn(&measured("°C", &table, 1.5, 0.01, 0.0), &wishes).unwrap();
    assert_eq!(fit.kind, Kind::Beta);
    // Source: the widely quoted coefficients of this curve, 3601.0 Ω at 50 °C.
    let missed = (fit.curve.value_beyond(Ohms(3601.0)) - 50.0).abs();
    let (_, standard) = uncertainty(&fit, 50.0);
    assert!(missed > 2.0 && missed < standard * 1.96, "{missed} {standard}");
}

/// Without accuracy the scatter tells, with Student's factor; by hand for one reading more than coefficients.
#[test]
fn scatter_stands_for_an_accuracy_that_nobody_knows() {
    let mut rows = thermistor(&[0.0, 40.0, 80.0]);
    rows[1].1 *= 1.02;
    let fit = learn(&readings("°C", &rows), &of_kind(Kind::Beta)).unwrap();
    let residuals: f64 = fit.rows.iter().map(|row| row.residual.powi(2)).sum();
    // At the middle reading the leverage is near 1/3, and with one degree of freedom 12.71 covers 95 % (JCGM 100, G.2).
    let (_, off) = uncertainty(&fit, 40.0);
    let factor = off * 1.96 / residuals.sqrt() / 12.71;
    assert!((0.45..0.75).contains(&factor), "{factor}");
    assert!(fit.uncertainty_from.unwrap().contains("scatter"));
    // Two readings leave nothing to learn it from.
    let two = learned(&readings("°C", &thermistor(&[0.0, 80.0])));
    assert_eq!(
        (two.cover, warned(&two, "accuracy of the readings is not given").is_some()),
        (Cover::Unknown, true)
    );
    let known = learned(&measured("°C", &thermistor(&[0.0, 80.0]), 0.5, 0.0, 0.0));
    assert_eq!(warned(&known, "accuracy of the readings is not given"), None);
}

// Doubts about readings that make a curve.

const PLACES: [f64; 6] = [20.0, 30.0, 40.0, 55.0, 70.0, 90.0];

#[test]
fn a_reading_that_contradicts_the_others_is_named() {
    let mut rows = thermistor(&PLACES);
    // Within 1 % and 0.5 K nothing contradicts anything, whatever the signs.
    for (i, row) in rows.iter_mut().enumerate() {
        row.1 *= if i % 2 == 0 { 1.01 } else { 0.99 };
    }
    let sound = learned(&measured("°C", &rows, 0.5, 0.01, 0.0));
    assert!(!sound.contradicts && sound.warnings.is_empty(), "{:?}", sound.warnings);
    assert!(sound.rows.iter().all(|row| !row.exceeds));
    rows[3].1 *= 0.85;
    let wrong = learned(&measured("°C", &rows, 0.5, 0.01, 0.0));
    assert!(wrong.contradicts && wrong.rows[3].exceeds);
    let warning = warned(&wrong, "row 4").unwrap();
    assert!(warning.contains("measure this row again"), "{warning}");
    assert!(wrong.kind.is_law() && wrong.reason.contains("row 4"), "{}", wrong.reason);
    // Nothing is dropped in silence.
    assert_eq!(wrong.rows.len(), rows.len());
    // The doubtful row widens the band.
    let off = |fit: &Learned| fit.places[0].off_by.unwrap();
    assert!(off(&wrong) > 1.5 * off(&sound));
}

#[test]
fn without_accuracy_a_reading_that_stands_out_is_named() {
    let mut rows = thermistor(&PLACES);
    for (i, row) in rows.iter_mut().enumerate() {
        row.1 *= if i % 2 == 0 { 1.003 } else { 0.997 };
    }
    let sound = learned(&readings("°C", &rows));
    assert!(sound.warnings.is_empty(), "{:?}", sound.warnings);
    rows[3].1 *= 0.8;
    let wrong = learned(&readings("°C", &rows));
    assert!(warned(&wrong, "row 4").is_some(), "{:?} {}", wrong.warnings, wrong.reason);
    assert!(!wrong.contradicts, "nobody has said how accurate the readings are");
}

#[test]
fn fahrenheit_among_celsius_is_noticed() {
    let mut rows = thermistor(&[20.0, 40.0, 60.0, 80.0]);
    assert_eq!(warned(&learned(&readings("°C", &rows)), "looks like"), None);
    rows[3].0 = 176.0;
    let fit = learned(&readings("°C", &rows));
    let warning = warned(&fit, "looks like °F").unwrap();
    assert!(warning.contains("row 4") && warning.contains("176 °F is 80.0 °C"), "{warning}");
    // °C among °F, too.
    let mut rows: Vec<(f64, f64)> =
        thermistor(&[20.0, 40.0, 60.0, 80.0]).iter().map(|(t, r)| (t * 1.8 + 32.0, *r)).collect();
    assert_eq!(warned(&learned(&readings("°F", &rows)), "looks like"), None);
    rows[0].0 = 20.0;
    let fit = learned(&readings("°F", &rows));
    assert!(warned(&fit, "looks like °C").unwrap().contains("row 1"), "{:?}", fit.warnings);
}

/// Source: table of the thermistor 10K3MCD1, its 0, 20, 40, 60 and 80 °C written as °F below a head of °C.
#[test]
fn a_whole_column_of_another_scale_is_noticed() {
    let table = [(32.0, 32_650.0), (68.0, 12_490.0), (104.0, 5326.0), (140.0, 2488.0), (176.0, 1256.0)];
    let fit = learned(&readings("°C", &table));
    let doubt = warned(&fit, "taken as °F").unwrap_or_else(|| panic!("{:?} {}", fit.warnings, fit.reason));
    assert!(doubt.contains("drifts by") || doubt.contains("unusual"), "{doubt}");
    assert_eq!(warned(&learned(&readings("°F", &table)), "taken as"), None);
    let celsius = table.map(|(value, ohms)| ((value - 32.0) / 1.8, ohms));
    assert_eq!(warned(&learned(&readings("°C", &celsius)), "taken as"), None);
    assert!(warned(&learned(&readings("°F", &celsius)), "taken as °C").is_some());
    // The same curve from −40 to 125 °C, by its widely quoted coefficients, is an ordinary thermistor.
    let (a, b, c) = (1.129_148e-3, 2.341_25e-4, 8.767_41e-8);
    let celsius = |ohms: f64| 1.0 / (a + b * ohms.ln() + c * ohms.ln().powi(3)) - 273.15;
    let wide = [336_000.0, 100_000.0, 10_000.0, 1000.0, 340.0].map(|ohms| (celsius(ohms), ohms));
    let fit = learned(&readings("°C", &wide));
    assert_eq!((fit.kind, warned(&fit, "beta")), (Kind::SteinhartHart, None));
    // Platinum at 0, 50 and 100 °C: IEC 60751.
    let platinum = [(32.0, 100.0), (122.0, 119.40), (212.0, 138.51)];
    assert!(warned(&learned(&readings("°C", &platinum)), "values were in °F").is_some());
    assert_eq!(warned(&learned(&readings("°F", &platinum)), "values were in"), None);
}

/// Source: table of the thermistor 10K3MCD1, 5326 Ω at 40 °C written as 5237 Ω.
#[test]
fn swapped_digits_stand_out_without_a_stated_accuracy() {
    let mut table = [(0.0, 32_650.0), (20.0, 12_490.0), (40.0, 5326.0), (60.0, 2488.0), (80.0, 1256.0)];
    assert_eq!(warned(&learned(&readings("°C", &table)), "stands out"), None);
    table[2].1 = 5237.0;
    let fit = learned(&readings("°C", &table));
    let doubt = warned(&fit, "stands out").unwrap_or_else(|| panic!("{:?} {}", fit.warnings, fit.reason));
    assert!(doubt.contains("row 3") && doubt.contains("5.237 kΩ at 40.4"), "{doubt}");
    // A tank with upright sides, its fourth reading wrong, and one that is wider above its third.
    let tank = [(0.0, 240.0), (20.0, 200.0), (40.0, 160.0), (60.0, 94.0), (80.0, 80.0), (100.0, 40.0)];
    assert!(warned(&learned(&readings("%", &tank)), "stands out").unwrap().contains("row 4"));
    let step = [(0.0, 240.0), (20.0, 220.0), (40.0, 200.0), (60.0, 140.0), (80.0, 80.0), (100.0, 20.0)];
    assert_eq!(warned(&learned(&readings("%", &step)), "stands out"), None);
}

#[test]
fn an_implausible_beta_is_a_doubt_and_an_absurd_one_an_error() {
    let pair = |beta: f64| {
        let ohms = |t: f64| 1000.0 * (beta * (1.0 / (t + 273.15) - 1.0 / 298.15)).exp();
        readings("°C", &[(25.0, ohms(25.0)), (85.0, ohms(85.0))])
    };
    for (beta, is_doubtful) in [(2400.0, true), (2600.0, false), (4900.0, false), (5100.0, true)] {
        let warning = learned(&pair(beta)).warnings.iter().any(|warning| warning.contains("unusual"));
        assert_eq!(warning, is_doubtful, "{beta}");
    }
    for beta in [200.0, 12_000.0] {
        let doubt = learn(&pair(beta), &Wishes::default()).unwrap_err();
        assert!(doubt.found.contains("absurd") && doubt.expected.contains("°F"), "{doubt}");
        let straight = learn(&pair(beta), &of_kind(Kind::Linear)).unwrap();
        assert_eq!(straight.kind, Kind::Linear);
    }
}

#[test]
fn a_range_beyond_the_readings_has_to_be_asked_for() {
    let rows = measured("°C", &thermistor(&PLACES), 0.3, 0.01, 0.0);
    let wishes = |lowest: f64, highest: f64, extrapolate| Wishes {
        range: Some(Band { lowest, highest }),
        extrapolate,
        ..Wishes::default()
    };
    let inside = learn(&rows, &wishes(25.0, 80.0, false)).unwrap();
    assert_eq!((warned(&inside, "extrapolated"), inside.curve.last().0), (None, 80.0));
    let doubt = learn(&rows, &wishes(0.0, 80.0, false)).unwrap_err();
    assert!(doubt.about == "--range" && doubt.expected.contains("--extrapolate"), "{doubt}");
    assert!(doubt.found.contains("20 °C") && doubt.found.contains("90 °C"), "{doubt}");
    let beyond = learn(&rows, &wishes(0.0, 80.0, true)).unwrap();
    let warning = warned(&beyond, "extrapolated").unwrap();
    assert!(warning.contains("0 °C (±") && !warning.contains("80 °C"), "{warning}");
    // Points know nothing beyond their ends, whatever is asked for.
    let level = readings("%", &[(0.0, 240.0), (50.0, 103.0), (100.0, 33.0)]);
    let doubt = learn(&level, &wishes(-10.0, 100.0, true)).unwrap_err();
    assert!(doubt.about == "--range" && doubt.expected.contains("nothing beyond"), "{doubt}");
    assert!(learn(&level, &wishes(0.0, 100.0, false)).is_ok());
    let doubt = learn(&rows, &wishes(80.0, 30.0, false)).unwrap_err();
    assert!(doubt.expected.contains("lower end first"), "{doubt}");
}

#[test]
fn readings_that_leave_none_to_check_the_curve_are_a_doubt() {
    let doubtful =
        |places: &[f64]| warned(&learned(&readings("°C", &thermistor(places))), "none is left").is_some();
    assert!(doubtful(&[20.0, 80.0]));
    assert!(!doubtful(&[20.0, 40.0, 60.0, 80.0]));
    let level = |rows: &[(f64, f64)]| warned(&learned(&readings("%", rows)), "in the middle").is_some();
    assert!(level(&[(0.0, 240.0), (100.0, 33.0)]));
    assert!(!level(&[(0.0, 240.0), (50.0, 103.0), (100.0, 33.0)]));
}

// Files.

/// A folder with one file of readings.
struct Shelf {
    folder: TempDir,
    name: &'static str,
}

impl Shelf {
    fn with(name: &'static str, content: impl AsRef<[u8]>) -> Self {
        let folder = TempDir::new().unwrap();
        fs::write(folder.path().join(name), content).unwrap();
        Self { folder, name }
    }

    fn path(&self) -> std::path::PathBuf {
        self.folder.path().join(self.name)
    }

    fn read(&self) -> Result<Readings, brief::Faults> {
        read_file(&self.path(), &Beside::default())
    }

    fn run(&self, flags: &[&str]) -> Run {
        let command = ["sender", self.name];
        finished(program().args(command).args(flags).current_dir(self.folder.path()).output().unwrap())
    }
}

fn table(content: &str) -> Shelf {
    Shelf::with("readings.csv", content)
}

/// Every mistake of a table as a person reads it.
#[track_caller]
fn mistakes(content: &str) -> Vec<String> {
    table(content).read().unwrap_err().0.iter().map(ToString::to_string).collect()
}

#[track_caller]
fn one_mistake(content: &str, parts: &[&str]) {
    let all = mistakes(content);
    assert_eq!(all.len(), 1, "{all:#?}");
    for part in parts {
        assert!(all[0].contains(part), "`{part}` is not in {}", all[0]);
    }
}

fn pairs(readings: &Readings) -> Vec<(f64, f64)> {
    readings.rows().iter().map(|row| (row.value, row.resistance.0)).collect()
}

#[test]
fn one_set_of_readings_in_every_form() {
    let expected = vec![(20.0, 2450.0), (80.5, 300.0)];
    for content in [
        "value °C,resistance Ω\n20,2450\n80.5,300\n",
        "# cold to hot\nvalue [°C];resistance [kΩ]\r\n\r\n20;2.45\r\n80.5;0.3\r\n",
        "Resistance\tValue\n2450 ohm\t20 °C\n300R\t80.5\n",
        "\u{feff}\"value\" , \"resistance\"\n\"20 degC\",\"2k45\"\n 80.5 , 300 Ω \n",
        "value,resistance\n20 °C (68 °F),2450 Ω\n80.5 °C,300 Ω",
        "value °C;resistance Ω\n20;2.45k\n176.9 °F;300",
    ] {
        let readings = table(content).read().unwrap_or_else(|faults| panic!("{content}: {faults}"));
        assert_eq!((readings.unit(), pairs(&readings)), ("°C", expected.clone()), "{content}");
    }
    let tree = "unit: °C\nreadings:\n  - [20, 2450 Ω]\n  - [80.5, 300]\n";
    assert_eq!(pairs(&Shelf::with("readings.yaml", tree).read().unwrap()), expected);
}

#[test]
fn accuracies_come_from_columns_keys_or_flags() {
    let columns = "value °C,resistance Ω,value_accuracy K,resistance accuracy\n20,2450,0.5,1 % + 2 Ω\n80,300,0.25,1 Ω\n";
    let rows = table(columns).read().unwrap();
    let of = |rows: &Readings, i: usize| {
        let row = &rows.rows()[i];
        (row.value_accuracy.unwrap(), row.meter.unwrap().share.0, row.meter.unwrap().fixed.0)
    };
    assert_eq!([of(&rows, 0), of(&rows, 1)], [(0.5, 0.01, 2.0), (0.25, 0.0, 1.0)]);
    let tree = "{ unit: °F, readings: [[68, 2450], [176, 300]], accuracy: { value: 0.5 K, resistance: 1 % + 2 Ω } }\n";
    let rows = Shelf::with("readings.yml", tree).read().unwrap();
    assert_eq!(of(&rows, 1), (0.9, 0.01, 2.0));
    let beside = Beside {
        value_accuracy: Some("0.5 K".to_owned()),
        resistance_accuracy: Some("1 %".to_owned()),
        ..Beside::default()
    };
    let rows = read_file(&table("value °C,resistance\n20,2450\n80,300\n").path(), &beside).unwrap();
    assert_eq!(of(&rows, 0), (0.5, 0.01, 0.0));
    // What is said twice is not chosen from.
    let faults = read_file(&table(columns).path(), &beside).unwrap_err();
    let keys: Vec<&str> = faults.0.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(keys, ["--resistance-accuracy", "--value-accuracy"], "{faults}");
}

/// Field case: a table of temperatures with "123 °C (260 °F)" and "47 °C (100 °F)". By definition 260 °F is 126.7 °C and
/// 100 °F is 37.8 °C.
#[test]
fn values_said_twice_have_to_agree() {
    let all = mistakes("value,resistance\n47 °C (100 °F),300 Ω\n123 °C (260 °F),50 Ω\n");
    assert_eq!(all.len(), 2, "{all:#?}");
    assert!(all[0].contains("csv:2:1: row 1, value:") && all[0].contains("100 °F is 37.78 °C"), "{}", all[0]);
    assert!(all[1].contains("csv:3:1: row 2, value:") && all[1].contains("260 °F is 126.7 °C"), "{}", all[1]);
    let sound = table("value,resistance\n47 °C (117 °F),300 Ω\n127 °C (260 °F),50 Ω\n").read().unwrap();
    assert_eq!(pairs(&sound), [(47.0, 300.0), (127.0, 50.0)]);
}

/// Field cases: decimal comma, rows out of order, a last row that jumps back, °F mixed in.
#[test]
fn mistakes_of_tables_name_their_row() {
    let all = mistakes("value °C;resistance Ω\n20;2450\n40,5;1120\n60;560,5\n70;400\n80;300\n100;400\n");
    assert_eq!(all.len(), 3, "{all:#?}");
    assert!(
        all[0].contains("csv:3:1: row 2, value:") && all[0].contains("a decimal point: `40.5`"),
        "{}",
        all[0]
    );
    assert!(all[1].contains("csv:4:4: row 3, resistance:") && all[1].contains("`560.5`"), "{}", all[1]);
    assert!(all[2].contains("line 7: 400 Ω comes after 300 Ω (line 6)"), "{}", all[2]);
    assert!(all[2].contains("turns back"), "{}", all[2]);

    one_mistake(
        "value °C;resistance Ω\n20;2450\n60;560\n40;1120\n80;300\n",
        &["csv:4:1", "line 4: 40 °C comes after 60 °C (line 3)", "rising order"],
    );
    one_mistake(
        "value °C;resistance Ω\n20;2450\n40;1120\n140;560\n80;300\n",
        &["line 5: 80 °C comes after 140 °C (line 4)", "row 3 (line 4) would fit as 140 °F, which is 60 °C"],
    );
    one_mistake(
        "value °C;resistance Ω\n80;300\n60;560\n20;2450\n",
        &["falling order", "turn the list round"],
    );
    one_mistake(
        "value °C;resistance Ω\n20;2450\n40;1120\n60;1120\n80;300\n",
        &["line 4: 1.12 kΩ comes after 1.12 kΩ (line 3)", "stands still"],
    );
}

#[test]
fn a_torn_number_is_told_from_a_missing_cell() {
    one_mistake("value °C,resistance Ω\n20,5,2450\n80,300\n", &["csv:2:1", "3 cells", "a decimal point"]);
    one_mistake("value °C;resistance Ω\n20\n80;300\n", &["csv:2:1", "1 cell", "`;` between cells"]);
    one_mistake(
        "value °C,resistance Ω\n\"20,5\",2450\n80,300\n",
        &["row 1, value", "a decimal point: `20.5`"],
    );
}

#[test]
fn two_readings_of_one_value_are_made_one_by_the_person() {
    let rows = |second: &str, accuracy: &str| {
        format!(
            "value °C,resistance Ω,resistance accuracy\n20,2450,{accuracy}\n20,{second},{accuracy}\n80,300,{accuracy}\n"
        )
    };
    one_mistake(&rows("2450", "1 %"), &["row 1 (line 2)", "row 2 (line 3)", "leave one out"]);
    one_mistake(&rows("2430", "1 %"), &["agree within their accuracy", "2.44 kΩ"]);
    one_mistake(&rows("2300", "1 %"), &["contradict each other beyond their accuracy"]);
    one_mistake("value °C,resistance Ω\n20,2450\n20,2430\n80,300\n", &["2.44 kΩ", "accuracy of the meter"]);
}

#[test]
fn units_are_never_guessed() {
    one_mistake("value,resistance\n20,2450\n80,300\n", &["csv:1:1", "values without a unit", "--unit"]);
    let bare = table("value,resistance\n20,2450\n80,300\n");
    let beside = Beside { unit: Some("°C".to_owned()), ..Beside::default() };
    assert_eq!(read_file(&bare.path(), &beside).unwrap().unit(), "°C");
    let other = Beside { unit: Some("bar".to_owned()), ..Beside::default() };
    let marked = table("value °C,resistance\n20,2450\n80,300\n");
    assert_eq!(read_file(&marked.path(), &other).unwrap_err().0[0].key, "--unit");

    one_mistake("value °C,resistance\n20,2.45k\n80,300\n", &["row 2, resistance", "`300 Ω` or `300 kΩ`"]);
    one_mistake("value °C,resistance Ω\n20,2450\n2 bar,300\n", &["row 2, value", "2 bar"]);
    one_mistake("value °C,resistance V\n20,2450\n80,300\n", &["csv:1:10", "Ω, kΩ or MΩ"]);
    one_mistake(
        "value °C,resistance Ω,resistance accuracy\n20,2450,1\n80,300,1 %\n",
        &["row 1", "without a unit"],
    );
    let mixed = table("value °C,resistance Ω\n20,2450\n176 °F,300\n").read().unwrap();
    assert!(mixed.remarks.iter().any(|remark| remark.contains("`176 °F` is 80 °C")), "{:?}", mixed.remarks);
    let plain = table("value °C,resistance Ω\n20,2450\n80,300\n").read().unwrap();
    assert_eq!(plain.remarks, Vec::<String>::new());
}

#[test]
fn columns_are_named() {
    one_mistake("20,2450\n80,300\n", &["first row", "names of the columns"]);
    one_mistake("value °C,resistnace\n20,2450\n", &["csv:1:10", "did you mean `resistance`?"]);
    one_mistake("value °C,colour\n20,x\n", &["one of the columns", "such as `temperature °C;resistance Ω`"]);
    one_mistake("value °C,note\n20,x\n", &["no column `resistance`"]);
    for head in ["temperature °C;Resistance", "°C;Ω", "Temperature [°C];ohm", "°C;kΩ"] {
        let ohms = if head.ends_with("kΩ") { "2.45" } else { "2450" };
        let rows = table(&format!("{head};note\n20;{ohms};\"cold; morning\"\n80;0.3;\n")).read().unwrap();
        assert_eq!((rows.unit(), rows.rows()[0].resistance), ("°C", Ohms(2450.0)), "{head}");
    }
    assert_eq!(table("level %;Ω\n0;240\n100;33\n").read().unwrap().unit(), "%");
    one_mistake("value °C,value °F,resistance\n20,68,2450\n", &["a second time"]);
    one_mistake("value °C\n20\n", &["no column `resistance`"]);
}

#[test]
fn mistakes_of_trees_name_their_place() {
    let tree = Shelf::with(
        "r.yaml",
        "unit: °C\nreadings:\n  - [20, 2450]\n  - [30, 10,5 kΩ]\n  - [40, 1120]\nacuracy: {}\n",
    );
    let faults = tree.read().unwrap_err();
    let told: Vec<(Option<usize>, &str)> = faults.0.iter().map(|f| (f.line, f.key.as_str())).collect();
    assert_eq!(told, [(Some(4), "readings[2]"), (Some(6), "acuracy")], "{faults}");
    let tree = Shelf::with("r.yaml", "unit: °C\nreadings: [[20, 2450], [40, 2450], [60, x], [80, 300]]\n");
    let faults = tree.read().unwrap_err();
    let keys: Vec<&str> = faults.0.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(keys, ["readings[2]", "readings[3][2]"], "{faults}");
}

#[test]
fn hostile_files_are_refused_with_words() {
    let long = format!("value °C,resistance\n{}", "20,2450\n".repeat(40_000));
    let many = (0..900).map(|i| format!("{i},{}", 3000 - i)).collect::<Vec<_>>().join("\n");
    let deep = "[".repeat(5000);
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("e.csv", Vec::new()),
        ("e.yaml", Vec::new()),
        ("b.csv", (0..=255).cycle().take(5000).collect()),
        ("n.csv", b"value \xb0C,resistance\n20,3\n".to_vec()),
        ("z.csv", b"value C,resistance\n20\0,3\n".to_vec()),
        ("c.csv", b"# nothing\n".to_vec()),
        ("c.yaml", b"# nothing\n".to_vec()),
        ("l.csv", long.into_bytes()),
        ("m.csv", format!("value °C,resistance Ω\n{many}").into_bytes()),
        (
            "x.csv",
            "value °C,resistance\n20,1e400\n1e400,3\nNaN,2\n30,NaN\n40,inf\n-300,1\n".as_bytes().to_vec(),
        ),
        ("q.csv", "value °C,resistance\n\"20,3\n".as_bytes().to_vec()),
        ("s.csv", ";;;;\n;;;;\n".as_bytes().to_vec()),
        ("o.csv", "value °C,resistance\n20,2450\n".as_bytes().to_vec()),
        ("d.yaml", deep.into_bytes()),
        ("t.yaml", b"just text\n".to_vec()),
        ("r.yaml", b"readings: 5\nunit: [1]\naccuracy: x\n".to_vec()),
        ("f.exe", b"value,resistance\n".to_vec()),
    ];
    for (name, content) in cases {
        let shelf = Shelf::with(name, content);
        let run = shelf.run(&[]);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{name}");
        assert!(run.messages.contains(name) && run.messages.contains("expected"), "{name}: {}", run.messages);
    }
    let missing = Shelf::with("a.csv", "").folder;
    assert!(read_file(&missing.path().join("other.csv"), &Beside::default()).is_err());
}

// The command.

const COOLANT: &str = "value °C;resistance Ω\n20;2450\n40;1120\n60;560\n80;300\n100;174\n120;106\n";

#[test]
fn the_command_says_what_was_learned_and_what_to_do_with_it() {
    let shelf = table(COOLANT);
    let run = shelf.run(&["--value-accuracy", "1K", "--resistance-accuracy", "1% + 1 ohm"]);
    assert_eq!((run.status, run.messages.as_str()), (0, ""));
    assert!(run.results.starts_with("readings.csv: "), "{}", run.results);
    for part in ["The curve", "The readings", "without itself", "95 % band", "sender:\n  unit: °C", "└──"]
    {
        assert!(run.results.contains(part), "{part} is missing in {}", run.results);
    }
    let wide = run.results.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    assert!(!shelf.folder.path().join("out.yaml").exists());
    // The same question gives the same bytes.
    let again = shelf.run(&["--value-accuracy", "1K", "--resistance-accuracy", "1% + 1 ohm"]);
    assert_eq!(again.results, run.results);
}

#[test]
fn json_has_the_same_content() {
    let run =
        table(COOLANT).run(&["--format", "json", "--resistance-accuracy", "1%", "--kind", "steinhart-hart"]);
    let answer = parsed(&run.results);
    assert_eq!((run.status, answer["command"].as_str().unwrap()), (0, "sender"));
    assert_eq!(
        (answer["kind"].as_str(), answer["verdict"].as_str()),
        (Some("steinhart-hart"), Some("learned"))
    );
    assert!(number(&answer["coefficients"]["a"]) > 0.0);
    assert_eq!(answer["readings"].as_array().unwrap().len(), 6);
    let place = &answer["curve"][0];
    assert!(number(&place["band"]["lowest"]) < 20.0 && number(&place["band_ohm"]["highest"]) > 2400.0);
    assert!(answer["sender"].as_str().unwrap().starts_with("unit: °C\nsteinhart_hart:\n  a: "));
    let wrong = table("value,resistance\n").run(&["--format", "json"]);
    assert_eq!((wrong.status, wrong.results.as_str()), (2, ""));
    assert!(parsed(&wrong.messages)["errors"][0]["expected"].is_string());
}

#[test]
fn contradicting_readings_end_with_status_1_and_write_nothing() {
    let row = |(i, (t, r)): (usize, (f64, f64))| format!("{t};{:.1}", if i == 3 { r * 0.8 } else { r });
    let rows: Vec<String> = thermistor(&PLACES).into_iter().enumerate().map(row).collect();
    let shelf = table(&format!("value °C;resistance Ω\n{}\n", rows.join("\n")));
    let flags = ["--value-accuracy", "0.5K", "--resistance-accuracy", "1%", "-o", "out.yaml"];
    let run = shelf.run(&flags);
    assert_eq!(run.status, 1, "{}", run.results);
    assert!(run.results.contains("contradict each other") && run.results.contains("row 4 (line 5)"));
    assert!(run.messages.contains("not written"), "{}", run.messages);
    assert!(!shelf.folder.path().join("out.yaml").exists());
}

#[test]
fn a_sender_file_is_written_whole_and_over_nothing_else() {
    let shelf = table(COOLANT);
    let target = shelf.folder.path().join("coolant.yaml");
    let run = shelf.run(&["-o", "coolant.yaml"]);
    assert_eq!((run.status, run.messages.as_str()), (0, "coolant.yaml: sender written\n"));
    let first = fs::read_to_string(&target).unwrap();
    assert!(first.starts_with(
        "# A sender that ohmwright has learned from readings.csv: 6 readings from 20 °C\n# to 120 °C.\n"
    ));
    assert!(!first.contains("doubts"), "{first}");
    let two = table("value °C;resistance Ω\n20;2450\n80;300\n");
    assert_eq!(two.run(&["-o", "two.yaml"]).status, 0);
    let doubtful = fs::read_to_string(two.folder.path().join("two.yaml")).unwrap();
    assert!(doubtful.contains("\ndoubts:\n  - \"2 readings fix the curve"), "{doubtful}");
    assert!(first.lines().all(|line| !line.starts_with('#') || line.chars().count() <= 80), "{first}");
    // A sender file may be replaced by a sender file.
    assert_eq!(shelf.run(&["-o", "coolant.yaml", "--kind", "beta"]).status, 0);
    assert_ne!(fs::read_to_string(&target).unwrap(), first);
    // Anything else may not.
    fs::write(&target, "unit: °C\npoints: [[0, 1], [1, 2]]\n").unwrap();
    for output in ["coolant.yaml", "readings.csv", "nowhere/out.yaml", "."] {
        let run = shelf.run(&["-o", output]);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{output}");
    }
    assert_eq!(fs::read_to_string(shelf.path()).unwrap(), COOLANT);
}

#[test]
fn flags_are_checked() {
    let shelf = table(COOLANT);
    let faults = |flags: &[&str]| {
        let run = shelf.run(&[flags, &["--format", "json"]].concat());
        assert_eq!(run.status, 2, "{flags:?}");
        parsed(&run.messages)["errors"][0]["key"].as_str().unwrap().to_owned()
    };
    assert_eq!(faults(&["--range", "20..140"]), "--range");
    assert_eq!(faults(&["--range", "100..20"]), "--range");
    assert_eq!(faults(&["--range", "x"]), "--range");
    assert_eq!(faults(&["--kind", "platinum"]), "--kind");
    assert_eq!(faults(&["--value-accuracy", "1 V"]), "--value-accuracy");
    assert_eq!(faults(&["--resistance-accuracy", "1"]), "--resistance-accuracy");
    assert_eq!(shelf.run(&["--range", "-10..140", "--extrapolate"]).status, 0);
}

/// What a brief would make of the file.
fn sender_of_brief(entries: &str) -> Sender {
    // What is doubtful stands in files only.
    let entries = entries.split("doubts:\n").next().unwrap();
    let indented = entries.lines().collect::<Vec<_>>().join("\n      ");
    let brief =
        format!("inputs:\n  x:\n    circuit: pull-up\n    pull_up: 1k\n    sender:\n      {indented}\n");
    let board =
        brief::read_text(brief.as_bytes(), "brief.yaml").unwrap_or_else(|faults| panic!("{brief}\n{faults}"));
    let ohmwright::board::Drive::Sender(sender) = board.inputs[0].drive.clone() else { panic!("no sender") };
    sender
}

/// What is written reads back as the same sender.
#[test]
fn a_brief_reads_what_is_written() {
    let platinum = "value °C;resistance Ω\n0;100.1\n50;119.3\n100;138.7\n150;157.2\n";
    let level = "value %;resistance Ω\n0;240.3\n30;150.1\n50;103\n80;52\n100;33.3\n";
    for (content, flags) in [
        (COOLANT, vec!["--resistance-accuracy", "2%", "--kind", "steinhart-hart"]),
        (COOLANT, vec!["--value-accuracy", "1K", "--kind", "beta", "--range", "0..130", "--extrapolate"]),
        (COOLANT, vec!["--value-accuracy", "1.7K", "--kind", "linear"]),
        (platinum, vec![]),
        (level, vec!["--value-accuracy", "2%", "--kind", "monotone"]),
        (level, vec!["--kind", "linear"]),
    ] {
        let shelf = table(content);
        let run = shelf.run(&[&["-o", "out.yaml"], flags.as_slice()].concat());
        assert_eq!(run.status, 0, "{flags:?} {}", run.messages);
        let written = fs::read_to_string(shelf.folder.path().join("out.yaml")).unwrap();
        let answer = parsed(&shelf.run(&[&["--format", "json"], flags.as_slice()].concat()).results);
        let sender = sender_of_brief(&written);
        assert_eq!(sender.curve.unit(), answer["unit"].as_str().unwrap());
        for place in answer["curve"].as_array().unwrap() {
            let (ohms, expected) = (sender.curve.at(number(&place["value"])).0, number(&place["ohm"]));
            // Points to the last bit but one, as JSON is read; coefficients have twelve digits.
            let is_law = !answer["coefficients"].is_null();
            close(ohms / expected, 1.0, if is_law { 1e-9 } else { 2.5e-16 });
        }
        assert_eq!(sender.tolerance.0, answer["tolerance"].as_f64().unwrap_or(0.0));
        assert_eq!(sender.accuracy.constant, answer["accuracy"].as_f64().unwrap_or(0.0));
    }
}

#[test]
fn a_file_of_readings_stands_for_a_sender() {
    let shelf = table("value °C;resistance Ω;value accuracy\n20;2450;1\n176 °F;300;1\n100;174;1\n");
    let FromFile { sender, doubts, remarks } = sender_from_file(&shelf.path()).unwrap();
    assert_eq!(doubts, Vec::<String>::new());
    let two = sender_from_file(&table("value °C;resistance Ω\n20;2450\n80;300\n").path()).unwrap();
    assert!(two.doubts.iter().any(|doubt| doubt.contains("none is left to check it")), "{:?}", two.doubts);
    assert_eq!((sender.curve.first().0, sender.curve.last().0), (20.0, 100.0));
    assert!(sender.accuracy.constant > 0.9 || sender.tolerance.0 > 0.0);
    assert!(remarks.iter().any(|remark| remark.contains("176 °F")), "{remarks:?}");
    assert!(sender_from_file(&shelf.folder.path().join("none.csv")).is_err());
    let row = |(i, (t, r)): (usize, (f64, f64))| format!("{t};{:.1}", if i == 3 { r * 0.8 } else { r });
    let rows: Vec<String> = thermistor(&PLACES).into_iter().enumerate().map(row).collect();
    let head = "value °C;resistance Ω;value accuracy\n";
    let contradicting = table(&(head.to_owned() + &rows.join(";0.5\n") + ";0.5\n"));
    let faults = sender_from_file(&contradicting.path()).unwrap_err().to_string();
    assert!(faults.contains("contradict") && faults.contains("`ohmwright sender "), "{faults}");
    let absurd = table("value °C;resistance Ω\n20;2450\n80;2400\n");
    let faults = sender_from_file(&absurd.path()).unwrap_err();
    assert!(faults.to_string().contains("absurd"), "{faults}");
}

#[test]
fn the_example_can_be_learned() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/coolant-readings.csv");
    let fit = learned(&read_file(&path, &Beside::default()).unwrap());
    assert!(fit.kind.is_law() && !fit.contradicts && fit.warnings.is_empty(), "{:?}", fit.warnings);
    assert!(matches!(fit.cover, Cover::Tolerance(_) | Cover::Accuracy(_)));
}

// Whatever is given.

/// Values and resistances that make a curve, in steps of any size.
fn any_readings() -> impl Strategy<Value = (Vec<(f64, f64)>, usize)> {
    let step = (-3.0..3.0_f64).prop_map(|power| 10_f64.powf(power));
    let steps = proptest::collection::vec((step.clone(), step), 1..10);
    (steps, 0..4_usize, 200.0..400.0_f64, 0.0..1000.0_f64, any::<bool>()).prop_map(
        |(steps, unit, mut value, mut ohms, falls)| {
            let mut rows = vec![(value, ohms)];
            for (x, r) in steps {
                value += x;
                ohms += r;
                rows.push((value, ohms));
            }
            if falls {
                let top = ohms;
                for row in &mut rows {
                    row.1 = top - row.1;
                }
            }
            (rows, unit)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Points go through every reading; a law is monotone over them; nothing panics.
    #[test]
    fn any_readings_are_learned_or_refused((rows, unit) in any_readings(), known in any::<bool>(), kind in 0..6_usize) {
        let unit = ["K", "°C", "%", "bar"][unit];
        let readings = if known { measured(unit, &rows, 0.5, 0.01, 0.1) } else { readings(unit, &rows) };
        let wishes = Wishes { kind: Kind::ALL.get(kind).copied(), ..Wishes::default() };
        match learn(&readings, &wishes) {
            Ok(fit) => {
                prop_assert_eq!(fit.rows.len(), rows.len());
                for (value, ohms) in rows {
                    let found = fit.curve.at(value).0;
                    prop_assert!(fit.kind.is_law() || (found - ohms).abs() <= 1e-9 * ohms.abs(), "{} {}", found, ohms);
                }
                for place in &fit.places {
                    prop_assert!(place.resistance.0.is_finite());
                    prop_assert!(place.off_by.is_none_or(|off| off >= 0.0), "{:?}", place);
                }
            }
            Err(doubt) => prop_assert!(!doubt.found.is_empty() && !doubt.expected.is_empty()),
        }
    }

    /// A table with a few characters changed, dropped or doubled is read or refused, never more.
    #[test]
    fn a_damaged_table_is_read_or_refused(
        places in proptest::collection::vec((0..120_usize, 0..20_usize), 1..5),
        is_tree in any::<bool>(),
    ) {
        let sound = if is_tree {
            "unit: °C\nreadings: [[20, 2450 Ω], [40, 1120], [60 °C (140 °F), 560]]\naccuracy: { value: 0.5 K }\n"
        } else {
            "value °C;resistance Ω;value accuracy K\n20;2450;0.5\n40;1k12;0.5\n60 °C (140 °F);560;0.5\n80;300;1\n"
        };
        let mut damaged: Vec<char> = sound.chars().collect();
        for (place, change) in places {
            let at = place % damaged.len();
            match "e,;.\n\0\"#-%k([{°9\u{feff}".chars().nth(change) {
                Some(other) => damaged[at] = other,
                None if change % 2 == 0 => { damaged.remove(at); }
                None => damaged.insert(at, damaged[at]),
            }
        }
        let damaged: String = damaged.into_iter().collect();
        let shelf = Shelf::with(if is_tree { "r.yaml" } else { "r.csv" }, &damaged);
        match shelf.read() {
            Ok(readings) => { let _ = learn(&readings, &Wishes::default()); }
            Err(faults) => prop_assert!(!faults.0.is_empty(), "{}", damaged),
        }
    }
}
