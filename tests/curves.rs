//! Curves: published values of thermistors and platinum, and what has to hold for every curve.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::board::Accuracy;
use ohmwright::curve::{Affine, Beta, Curve, CurveError, Law, Platinum, SteinhartHart};
use ohmwright::quantity::{Band, Celsius, Ohms, Volts};
use support::dice::Dice;

fn band(lowest: f64, highest: f64) -> Band<f64> {
    Band { lowest, highest }
}

fn celsius(law: impl Into<Law>, lowest: f64, highest: f64) -> Curve<Ohms> {
    Curve::of_law("°C", Affine::CELSIUS, law, band(lowest, highest)).unwrap()
}

#[track_caller]
fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "found {found}, wanted {wanted} ± {tolerance}");
}

/// Both ways: the resistance at a temperature, and the temperature of that resistance.
#[track_caller]
fn holds(curve: &Curve<Ohms>, t: f64, ohms: f64, tolerance: f64) {
    near(curve.at(t).0, ohms, tolerance);
    near(curve.value_beyond(Ohms(ohms)), t, tolerance / curve.slopes(t)[0].abs() * 1.01);
}

// Platinum.

/// Pt100 as printed in public copies of the table of IEC 60751; 850 °C from memory.
const PT100: [(f64, f64); 10] = [
    (-200.0, 18.52),
    (-100.0, 60.26),
    (-50.0, 80.31),
    (0.0, 100.00),
    (50.0, 119.40),
    (100.0, 138.51),
    (200.0, 175.86),
    (300.0, 212.05),
    (500.0, 280.98),
    (850.0, 390.48),
];

/// Half a unit of the last digit of a number with so many decimals, and its rounding.
fn half_a_digit(decimals: i32) -> f64 {
    0.5 * 10_f64.powi(-decimals) * (1.0 + 1e-9)
}

#[test]
fn platinum_gives_the_table_of_its_standard() {
    let hundred = celsius(Platinum { r0: Ohms(100.0) }, -200.0, 850.0);
    let thousand = celsius(Platinum { r0: Ohms(1000.0) }, -200.0, 850.0);
    for (t, ohms) in PT100 {
        holds(&hundred, t, ohms, half_a_digit(2));
        near(thousand.at(t).0, 10.0 * hundred.at(t).0, 1e-9);
    }
    // −160 °C is 35.54 Ω; one public copy misprints it as 35.34.
    holds(&hundred, -160.0, 35.54, half_a_digit(2));
    // By hand: 100·(1 − 200·A + 200²·B + C·300·200³).
    holds(&hundred, -200.0, 18.520_08, 1e-9);
    assert_eq!(hundred.at(0.0), Ohms(100.0));
    assert_eq!(hundred.describe(), "platinum 100 Ω");
}

#[test]
fn classes_of_platinum_give_the_printed_tolerances() {
    // IEC 60751, Pt100, as printed in a public table: °C and Ω for class A, then for class B.
    let printed = [
        (-200.0, 0.55, 0.24, 1.3, 0.56),
        (-100.0, 0.35, 0.14, 0.8, 0.32),
        (0.0, 0.15, 0.06, 0.3, 0.12),
        (100.0, 0.35, 0.13, 0.8, 0.30),
        (200.0, 0.55, 0.20, 1.3, 0.48),
        (300.0, 0.75, 0.27, 1.8, 0.64),
    ];
    let curve = celsius(Platinum { r0: Ohms(100.0) }, -200.0, 850.0);
    let a = Accuracy { constant: 0.15, share: 0.002, zero: 0.0 };
    let b = Accuracy { constant: 0.3, share: 0.005, zero: 0.0 };
    for (t, a_celsius, a_ohms, b_celsius, b_ohms) in printed {
        near(a.at(t), a_celsius, 1e-12);
        near(b.at(t), b_celsius, 1e-12);
        let slope = curve.slopes(t)[0];
        near(a.at(t) * slope, a_ohms, half_a_digit(2));
        near(b.at(t) * slope, b_ohms, half_a_digit(2));
    }
}

#[test]
fn platinum_is_served_where_its_standard_holds() {
    let made = |lowest, highest| {
        Curve::of_law("°C", Affine::CELSIUS, Platinum { r0: Ohms(100.0) }, band(lowest, highest)).map(|_| ())
    };
    assert_eq!(made(-200.0, 850.0), Ok(()));
    assert_eq!(made(-200.1, 0.0), Err(CurveError::OutsideStandard));
    assert_eq!(made(0.0, 850.1), Err(CurveError::OutsideStandard));
    assert_eq!(made(-273.15, 0.0), Err(CurveError::BelowAbsoluteZero));
    assert_eq!(made(10.0, 10.0), Err(CurveError::EmptyRange));
    assert_eq!(made(20.0, 10.0), Err(CurveError::EmptyRange));
    assert_eq!(made(f64::NAN, 10.0), Err(CurveError::EmptyRange));
}

// Thermistors.

#[test]
fn steinhart_hart_gives_a_published_inverse() {
    // Public header typical.hpp, Matthew Knight, 2019.
    let printed = [
        (-10.0, 17_000.007_273_577_237),
        (0.0, 10_030.217_595_116_217),
        (10.0, 6_110.382_218_893_218),
        (20.0, 3_833.327_592_745_837_6),
        (30.0, 2_470.600_112_646_052),
    ];
    let curve = celsius(SteinhartHart { a: 1.40e-3, b: 2.37e-4, c: 9.90e-8 }, -40.0, 125.0);
    for (t, ohms) in printed {
        near(curve.at(t).0 / ohms, 1.0, 1e-10);
        near(curve.value_of(Ohms(ohms)), t, 1e-10);
    }
}

#[test]
fn steinhart_hart_gives_published_temperatures() {
    // A public worksheet for the curve ACI 10K-CP: coefficients, and what they leave at three points.
    let curve =
        celsius(SteinhartHart { a: 0.001_121_267_2, b: 2.353_484_9e-4, c: 8.380_240_5e-8 }, -50.0, 125.0);
    for (ohms, t) in [(336_450.0, -40.0000), (32_650.0, -0.0362), (12_492.0, 19.9667)] {
        near(curve.value_of(Ohms(ohms)), t, 1.01e-4);
    }
}

/// The coefficients through three points of kelvin and ohms, by elimination.
fn fit(points: [(f64, f64); 3]) -> SteinhartHart {
    let [(l1, y1), (l2, y2), (l3, y3)] = points.map(|(kelvin, ohms)| (ohms.ln(), 1.0 / kelvin));
    let (g2, g3) = ((y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1));
    let c = (g3 - g2) / (l3 - l2) / (l1 + l2 + l3);
    let b = g2 - c * (l1 * l1 + l1 * l2 + l2 * l2);
    SteinhartHart { a: y1 - (b + l1 * l1 * c) * l1, b, c }
}

#[test]
fn a_law_through_three_published_points_meets_the_others() {
    // Published example of a public project (steinhart-hart, keidyz): 7000 Ω is 307.9031 K.
    let law = fit([(248.15, 87_041.0), (273.15, 27_326.0), (298.15, 10_000.0)]);
    near(celsius(law, -30.0, 60.0).value_of(Ohms(7000.0)) + 273.15, 307.9031, half_a_digit(4) + 5e-5);
    // Manual of a probe with a thermistor 10K3MCD1: every second row fits, the rows between are met.
    let law = fit([(233.15, 336_103.2), (253.15, 97_006.9), (273.15, 32_650.9)]);
    let curve = celsius(law, -40.0, 5.0);
    for (t, ohms) in [(-30.0, 176_804.8), (-10.0, 55_303.9), (1.0, 31_030.8)] {
        near(curve.at(t).0, ohms, 0.15);
    }
    // Thermometrics, Sensor Temperature Resistance Curves, 2014, material type 1: R(t)/R(25 °C).
    let law = fit([(273.15, 32_640.0), (298.15, 10_000.0), (373.15, 678.1)]);
    let curve = celsius(law, 0.0, 125.0);
    for (t, ratio) in
        [(10.0, 1.990), (20.0, 1.249), (30.0, 0.8056), (50.0, 0.3601), (70.0, 0.1751), (90.0, 0.091_55)]
    {
        near(curve.value_of(Ohms(ratio * 1e4)), t, 0.02);
    }
}

#[test]
fn beta_gives_a_published_table() {
    // Zephyr project, device-tree table for R25 = 10 kΩ, beta 3974 K; whole ohms, truncated.
    let printed = [
        (-25.0, 146_676.0),
        (-15.0, 78_875.0),
        (-5.0, 44_424.0),
        (5.0, 26_075.0),
        (15.0, 15_881.0),
        (25.0, 10_000.0),
        (35.0, 6_488.0),
        (45.0, 4_326.0),
        (55.0, 2_956.0),
        (65.0, 2_066.0),
        (75.0, 1_474.0),
        (85.0, 1_072.0),
        (95.0, 793.0),
        (105.0, 596.0),
        (115.0, 454.0),
        (125.0, 351.0),
    ];
    let curve = celsius(Beta { t0: Celsius(25.0), r0: Ohms(10_000.0), beta: 3974.0 }, -40.0, 125.0);
    for (t, ohms) in printed {
        assert_eq!(curve.at(t).0.floor(), ohms, "{t} °C");
        near(curve.value_of(curve.at(t)), t, 1e-11);
    }
}

#[test]
fn beta_gives_published_ratios() {
    // Thermometrics, Sensor Temperature Resistance Curves, 2014, material type 1: beta between two temperatures, and
    // the ratio of the resistances there.
    for (from, to, beta, ratio) in [
        (0.0, 50.0, 3892.0, 9.07),
        (25.0, 50.0, 3937.0, 2.78),
        (25.0, 85.0, 3977.0, 9.35),
        (25.0, 100.0, 3992.0, 14.75),
        (25.0, 125.0, 4013.0, 29.39),
    ] {
        let curve = celsius(Beta { t0: Celsius(from), r0: Ohms(1e4), beta }, -40.0, 155.0);
        // Beta is rounded, too, to whole kelvins.
        let exponent = 1.0 / (from + 273.15) - 1.0 / (to + 273.15);
        let rounding = half_a_digit(2) + 0.5 * exponent * ratio;
        near(1e4 / curve.at(to).0, ratio, rounding);
    }
}

#[test]
fn beta_gives_values_calculated_by_hand() {
    let table = [
        (
            3950.0,
            vec![(-20.0, 105_384.69), (0.0, 33_620.60), (50.0, 3588.18), (80.0, 1270.32), (120.0, 407.09)],
        ),
        (3435.0, vec![(0.0, 28_704.29), (50.0, 4101.19), (100.0, 987.04)]),
    ];
    for (beta, rows) in table {
        let curve = celsius(Beta { t0: Celsius(25.0), r0: Ohms(10_000.0), beta }, -40.0, 125.0);
        assert_eq!(curve.at(25.0), Ohms(10_000.0));
        assert_eq!(curve.describe(), format!("Beta {beta} K"));
        for (t, ohms) in rows {
            holds(&curve, t, ohms, half_a_digit(2));
        }
    }
}

#[test]
fn a_temperature_coefficient_is_a_beta() {
    // EPCOS, Standardized R/T characteristics: curve 1006, 4.7 kΩ, 4.4 %/K and ratio 2.2739 at 5 °C give 9.7932 kΩ at
    // 7 °C; a coefficient of alpha at T is a beta of alpha·T².
    let r5 = 4_700.0 * 2.2739;
    let curve = celsius(Beta { t0: Celsius(5.0), r0: Ohms(r5), beta: 0.044 * 278.15 * 278.15 }, 0.0, 50.0);
    near(r5, 10_687.3, 0.05);
    near(curve.at(7.0).0, 9_793.2, 0.05);
}

#[test]
fn a_law_without_its_third_coefficient_is_a_beta() {
    // 1/T = a + b·ln R is the beta 1/b.
    let (beta, t0, r0) = (3950.0, 298.15, 10_000.0_f64);
    let (a, b) = (1.0 / t0 - r0.ln() / beta, 1.0 / beta);
    let plain = celsius(Beta { t0: Celsius(25.0), r0: Ohms(r0), beta }, -40.0, 125.0);
    for c in [0.0, 1e-30, -1e-30, 1e-18, -1e-18] {
        let curve = celsius(SteinhartHart { a, b, c }, -40.0, 125.0);
        for t in [-40.0, -7.0, 25.0, 60.0, 125.0] {
            near(curve.at(t).0 / plain.at(t).0, 1.0, 1e-10);
        }
    }
}

#[test]
fn laws_that_give_no_falling_resistance_are_refused() {
    let made = |law: Law, lowest, highest| {
        Curve::of_law("°C", Affine::CELSIUS, law, band(lowest, highest)).map(|_| ()).unwrap_err()
    };
    let set = |a, b, c| Law::from(SteinhartHart { a, b, c });
    assert_eq!(made(set(1.4e-3, 2.37e-4, 9.9e-8), -280.0, 100.0), CurveError::BelowAbsoluteZero);
    assert_eq!(made(set(1.4e-3, -2.37e-4, 9.9e-8), 0.0, 100.0), CurveError::NoLaw);
    assert_eq!(made(set(1.4e-3, f64::NAN, 9.9e-8), 0.0, 100.0), CurveError::NoLaw);
    // With c = −1e-6 the law turns back at ln R = √(b/(3·1e-6)) = 8.9: below 1/(1.4e-3 + 8.9·(2.37e-4 − 7.9e-5)) = 357 K.
    assert_eq!(made(set(1.4e-3, 2.37e-4, -1e-6), 0.0, 100.0), CurveError::NotFalling);
    let warm = Curve::of_law("°C", Affine::CELSIUS, set(1.4e-3, 2.37e-4, -1e-6), band(90.0, 150.0));
    assert!(warm.is_ok());
    let beta = |t0, r0, beta| Law::from(Beta { t0: Celsius(t0), r0: Ohms(r0), beta });
    assert_eq!(made(beta(25.0, 1e4, 3950.0), -300.0, 0.0), CurveError::BelowAbsoluteZero);
    assert_eq!(made(beta(25.0, 0.0, 3950.0), 0.0, 10.0), CurveError::NoLaw);
    assert_eq!(made(beta(25.0, 1e4, -3950.0), 0.0, 10.0), CurveError::NoLaw);
    assert_eq!(made(beta(-300.0, 1e4, 3950.0), 0.0, 10.0), CurveError::NoLaw);
    assert_eq!(made(beta(25.0, 1e4, 3950.0), -270.0, 0.0), CurveError::NotFalling);
    assert_eq!(made(Platinum { r0: Ohms(f64::INFINITY) }.into(), 0.0, 10.0), CurveError::NoLaw);
}

// Dials and tanks.

#[test]
fn dials_in_fahrenheit_and_kelvin_show_the_same_law() {
    let law = Beta { t0: Celsius(25.0), r0: Ohms(10_000.0), beta: 3950.0 };
    let plain = celsius(law, -20.0, 120.0);
    let fahrenheit = Curve::of_law("°F", Affine::FAHRENHEIT, law, band(-4.0, 248.0)).unwrap();
    let kelvin = Curve::of_law("K", Affine::KELVIN, law, band(253.15, 393.15)).unwrap();
    for t in [-20.0, 0.0, 25.0, 80.0, 120.0] {
        near(fahrenheit.at(t * 1.8 + 32.0).0 / plain.at(t).0, 1.0, 1e-12);
        near(kelvin.at(t + 273.15).0 / plain.at(t).0, 1.0, 1e-12);
        near(fahrenheit.slopes(t * 1.8 + 32.0)[0] * 1.8 / plain.slopes(t)[0], 1.0, 1e-12);
    }
    assert_eq!((fahrenheit.unit(), fahrenheit.knots()), ("°F", vec![-4.0, 248.0]));
}

#[test]
fn the_shape_of_a_tank_turns_level_into_volume() {
    // By hand: a wedge of 20 L up to half its height, a box of 60 L above; a straight sender of 10 .. 110 Ω.
    let sender = Curve::new("%", vec![(0.0, Ohms(10.0)), (100.0, Ohms(110.0))]).unwrap();
    let rows = [(0.0, 0.0), (50.0, 20.0), (100.0, 80.0)];
    let tank = sender.clone().through_shape("L", &rows).unwrap();
    assert_eq!(tank.points(), [(0.0, Ohms(10.0)), (20.0, Ohms(60.0)), (80.0, Ohms(110.0))]);
    assert_eq!(tank.unit(), "L");
    assert_eq!(tank.describe(), "straight between 2 points, through a tank shape");
    assert_eq!(tank.at(10.0), Ohms(35.0));
    assert_eq!(tank.value_of(Ohms(85.0)), 50.0);
    // 100 Ω over 100 %: 1 Ω/%; 2.5 %/L below and 5/6 %/L above half its height.
    let [below, above] = tank.slopes(20.0);
    near(below, 2.5, 1e-12);
    near(above, 5.0 / 6.0, 1e-12);
    // A shape that is wider than the sender is cut: from −50 to 0 % there were another 10 L.
    let wider = [(-50.0, -10.0), (0.0, 0.0), (50.0, 20.0), (150.0, 140.0)];
    assert_eq!(sender.clone().through_shape("L", &wider).unwrap().points(), tank.points());
    let refused = |rows: &[(f64, f64)]| sender.clone().through_shape("L", rows).unwrap_err();
    assert_eq!(refused(&rows[..1]), CurveError::ShapeTooFew);
    assert_eq!(refused(&rows[..2]), CurveError::ShapeTooShort);
    assert_eq!(refused(&rows[1..]), CurveError::ShapeTooShort);
    assert_eq!(refused(&[(0.0, 0.0), (50.0, 20.0), (50.0, 30.0)]), CurveError::ShapeDoesNotRise(2));
    assert_eq!(refused(&[(0.0, 0.0), (50.0, 20.0), (100.0, 20.0)]), CurveError::ShapeDoesNotRise(2));
    assert_eq!(refused(&[(0.0, 0.0), (f64::NAN, 20.0), (100.0, 30.0)]), CurveError::ShapeDoesNotRise(1));
}

#[test]
fn a_part_of_a_curve_is_the_same_curve() {
    let mut dice = Dice::new(11);
    for _ in 0..2_000 {
        let curve = any_curve(&mut dice);
        let [a, b] = [0.0, 1.0].map(|start: f64| within(&curve, start.midpoint(dice.uniform(0.0, 1.0))));
        if b - a < 1e-6 * width(&curve) {
            continue;
        }
        let part = curve.part(a, b).unwrap();
        assert_eq!((part.first().0, part.last().0), (a, b));
        for share in [0.0, 0.1, 0.5, 0.9, 1.0] {
            let x = a + (b - a) * share;
            near(part.at(x).0, curve.at(x).0, 1e-9 * spread(&curve));
        }
        assert!(curve.part(b, a).is_none() && curve.part(a, a).is_none());
        assert!(curve.part(a - width(&curve), b).is_none() && curve.part(a, f64::NAN).is_none());
    }
}

// What holds for every curve.

fn within(curve: &Curve<Ohms>, share: f64) -> f64 {
    curve.first().0 + share * width(curve)
}

fn width(curve: &Curve<Ohms>) -> f64 {
    curve.last().0 - curve.first().0
}

fn spread(curve: &Curve<Ohms>) -> f64 {
    (curve.last().1 - curve.first().1).abs().0
}

/// So many points, rising in both columns; their steps differ by at most a factor of 30.
fn any_points(dice: &mut Dice, count: usize, first: f64) -> Vec<(f64, f64)> {
    let mut point = (dice.uniform(-50.0, 50.0), first);
    let mut points = vec![point];
    for _ in 1..count {
        point = (point.0 + dice.uniform(1.0, 30.0), point.1 + dice.uniform(3.0, 90.0));
        points.push(point);
    }
    points
}

fn ohms(points: &[(f64, f64)]) -> Vec<(f64, Ohms)> {
    points.iter().map(|&(x, y)| (x, Ohms(y))).collect()
}

/// Rising or falling through random points.
fn any_sender(dice: &mut Dice) -> Vec<(f64, Ohms)> {
    let count = 2 + dice.below(6);
    let first = if dice.chance(0.2) { 0.0 } else { dice.uniform(0.0, 500.0) };
    let mut points = any_points(dice, count, first);
    if dice.chance(0.5) {
        let resistances: Vec<f64> = points.iter().rev().map(|point| point.1).collect();
        points.iter_mut().zip(resistances).for_each(|(point, y)| point.1 = y);
    }
    ohms(&points)
}

fn any_law(dice: &mut Dice) -> Law {
    match dice.below(4) {
        0 => Beta {
            t0: Celsius(dice.uniform(0.0, 100.0)),
            r0: Ohms(10_f64.powf(dice.uniform(1.0, 6.0))),
            beta: dice.uniform(1_500.0, 6_000.0),
        }
        .into(),
        1 => Platinum { r0: Ohms(dice.uniform(10.0, 2_000.0)) }.into(),
        _ => {
            let c = if dice.chance(0.2) { 0.0 } else { dice.uniform(-3e-7, 6e-7) };
            SteinhartHart { a: dice.uniform(6e-4, 1.6e-3), b: dice.uniform(1.5e-4, 3.5e-4), c }.into()
        }
    }
}

fn over_temperature(dice: &mut Dice) -> Curve<Ohms> {
    loop {
        let law = any_law(dice);
        let (lowest, highest) =
            if matches!(law, Law::Platinum(_)) { (-200.0, 850.0) } else { (-60.0, 250.0) };
        let (dial, name) =
            [(Affine::CELSIUS, "°C"), (Affine::FAHRENHEIT, "°F"), (Affine::KELVIN, "K")][dice.below(3)];
        let shown = |celsius: f64| (celsius - dial.offset) / dial.factor;
        let from = dice.uniform(lowest, highest - 20.0);
        // Inside by a hair, so that rounding leaves the standard's range nowhere.
        let to = dice.uniform(from + 20.0, highest) - 1e-9;
        if let Ok(curve) = Curve::of_law(name, dial, law, band(shown(from + 1e-9), shown(to))) {
            return curve;
        }
    }
}

/// A curve of any kind, on any dial, half of them through the shape of a tank.
fn any_curve(dice: &mut Dice) -> Curve<Ohms> {
    let curve = match dice.below(4) {
        0 => Curve::new("%", any_sender(dice)).unwrap(),
        1 => Curve::monotone("%", any_sender(dice)).unwrap(),
        _ => over_temperature(dice),
    };
    if dice.chance(0.5) {
        return curve;
    }
    let count = 2 + dice.below(5);
    let rows = any_points(dice, count, 5.0);
    let (l0, l1) = (rows[0].0, rows[count - 1].0);
    let level = |x: f64| within(&curve, (x - l0) / (l1 - l0));
    let mut rows: Vec<(f64, f64)> = rows.iter().map(|&(x, volume)| (level(x), volume)).collect();
    if let Some(row) = rows.last_mut() {
        row.0 = row.0.max(curve.last().0);
    }
    curve.through_shape("L", &rows).unwrap()
}

#[test]
fn a_quantity_leads_back_to_its_value() {
    let mut dice = Dice::new(1);
    for _ in 0..20_000 {
        let curve = any_curve(&mut dice);
        // A little beyond the ends, too.
        let x = within(&curve, dice.uniform(-0.02, 1.02));
        near(curve.value_beyond(curve.at(x)), x, 1e-9 * width(&curve));
        let held = curve.value_of(curve.at(x));
        near(held, x.max(curve.first().0).min(curve.last().0), 1e-9 * width(&curve));
        for (end, ohms) in [curve.first(), curve.last()] {
            assert_eq!((curve.at(end), curve.value_of(ohms)), (ohms, end));
        }
    }
}

#[test]
fn every_curve_rises_or_falls_all_the_way() {
    let mut dice = Dice::new(2);
    for _ in 0..2_000 {
        let curve = any_curve(&mut dice);
        let sign = (curve.last().1 - curve.first().1).0.signum();
        let samples: Vec<f64> = (0..=200).map(|i| curve.at(within(&curve, f64::from(i) / 200.0)).0).collect();
        assert!(samples.windows(2).all(|pair| (pair[1] - pair[0]) * sign > 0.0), "{curve:?}");
    }
}

#[test]
fn a_cubic_stays_between_its_points() {
    let mut dice = Dice::new(3);
    for _ in 0..3_000 {
        let points = any_sender(&mut dice);
        let curve = Curve::monotone("%", points.clone()).unwrap();
        assert_eq!(curve.points(), points);
        for pair in points.windows(2) {
            let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
            let stretch = Band::between(y0, y1);
            for i in 0..=50 {
                let y = curve.at(x0 + (x1 - x0) * f64::from(i) / 50.0);
                let slack = Ohms(1e-12) * (1.0 + stretch.highest.0);
                assert!(stretch.lowest - slack <= y && y <= stretch.highest + slack, "{curve:?}");
            }
        }
        // Smooth at every point.
        for knot in curve.knots() {
            let [below, above] = curve.slopes(knot);
            near(below, above, 1e-9 * below.abs());
        }
    }
}

#[test]
fn a_cubic_through_points_on_a_line_is_that_line() {
    let curve = Curve::monotone("V", vec![(0.0, Volts(1.0)), (1.0, Volts(3.0)), (4.0, Volts(9.0))]).unwrap();
    for x in [-1.0, 0.0, 0.3, 1.0, 2.5, 4.0, 6.0] {
        near(curve.at(x).0, 1.0 + 2.0 * x, 1e-12);
    }
    // By hand, Steffen (1990): points (0, 0), (1, 1), (2, 4) have the secants 1 and 3 and, at (1, 1), the slope
    // min(2·1, 2·3, 2) = 2; at (0, 0) the parabola has the slope 0, which is held to a tenth of the secant.
    let bend = Curve::monotone("V", vec![(0.0, Volts(0.0)), (1.0, Volts(1.0)), (2.0, Volts(4.0))]).unwrap();
    assert_eq!(bend.slopes(1.0), [2.0, 2.0]);
    near(bend.slopes(0.0)[1], 0.1, 1e-15);
    near(bend.slopes(2.0)[0], 4.0, 1e-15);
    near(bend.at(-2.0).0, -0.2, 1e-15);
    near(bend.at(2.5).0, 6.0, 1e-15);
    assert_eq!(bend.describe(), "cubic through 3 points");
    // The parabola through (0, 0), (1, 1), (2, 11) has the slope 5.5 at (1, 1), which is held to twice the secant 1.
    let sharp = Curve::monotone("V", vec![(0.0, Volts(0.0)), (1.0, Volts(1.0)), (2.0, Volts(11.0))]).unwrap();
    assert_eq!(sharp.slopes(1.0), [2.0, 2.0]);
    // Stretches of unequal width: (0, 0), (1, 1), (3, 5) lie on the parabola (2·x + x²)/3.
    let wide = Curve::monotone("V", vec![(0.0, Volts(0.0)), (1.0, Volts(1.0)), (3.0, Volts(5.0))]).unwrap();
    for x in [0.0, 0.4, 1.0, 1.7, 2.9, 3.0] {
        near(wide.at(x).0, (2.0 * x + x * x) / 3.0, 1e-12);
    }
}

#[test]
fn slopes_agree_with_differences() {
    let mut dice = Dice::new(4);
    for _ in 0..5_000 {
        let curve = any_curve(&mut dice);
        let h = 1e-5 * width(&curve);
        let difference = |a: f64, b: f64| (curve.at(b).0 - curve.at(a).0) / (b - a);
        let x = within(&curve, dice.uniform(0.01, 0.99));
        let steepest = curve.slopes(x)[0].abs().max(1e-6 * spread(&curve) / width(&curve));
        if curve.knots().iter().all(|knot| (knot - x).abs() > 2.0 * h) {
            let [below, above] = curve.slopes(x);
            assert_eq!(below, above);
            near(difference(x - h, x + h), below, 1e-5 * steepest);
        }
        // At a knot from one side, to the second order.
        let (knots, h) = (curve.knots(), 1e-6 * width(&curve));
        let one_sided = |x: f64, h: f64| {
            let [q0, q1, q2] = [0.0, 1.0, 2.0].map(|steps| curve.at(x + steps * h).0);
            (4.0 * q1 - 3.0 * q0 - q2) / (2.0 * h)
        };
        for pair in knots.windows(2).filter(|pair| pair[1] - pair[0] > 3.0 * h) {
            for (x, h, slope) in
                [(pair[0], h, curve.slopes(pair[0])[1]), (pair[1], -h, curve.slopes(pair[1])[0])]
            {
                // Near the turn of a law the slope itself has no bounded derivative.
                let bend = (curve.slopes(x + h)[0] - slope).abs();
                near(one_sided(x, h), slope, 1e-5 * slope.abs() + 0.1 * bend);
            }
        }
    }
}

/// |q′/(d0 + d1·q)²|, from below and from above.
fn weights(curve: &Curve<Ohms>, x: f64, d0: f64, d1: f64) -> [f64; 2] {
    curve.slopes(x).map(|slope| (slope / (d0 + d1 * curve.at(x).0).powi(2)).abs())
}

#[test]
fn slopes_of_a_reading_are_extreme_at_known_places() {
    let mut dice = Dice::new(5);
    let mut inside = 0;
    for round in 0..4_000 {
        let curve = any_curve(&mut dice);
        let middle = curve.at(within(&curve, dice.uniform(0.0, 1.0))).0;
        let (d0, d1) = match round % 8 {
            0 => (1.0, 0.0),
            1 => (0.0, 1.0),
            _ => (middle * 10_f64.powf(dice.uniform(-1.5, 1.5)), 1.0),
        };
        let zone = band(within(&curve, dice.uniform(0.0, 0.4)), within(&curve, dice.uniform(0.6, 1.0)));
        let places = curve.stationary_slopes(zone, d0, d1);
        assert!(places.iter().all(|x| zone.lowest < *x && *x < zone.highest), "{places:?}");
        assert!(places.iter().all(|x| !curve.knots().contains(x)));
        inside += usize::from(!places.is_empty());
        let knots = curve.knots().into_iter().filter(|knot| zone.lowest < *knot && *knot < zone.highest);
        let both = knots.chain(places.iter().copied()).flat_map(|x| weights(&curve, x, d0, d1));
        // At an end of the zone only the side inside counts.
        let ends = [weights(&curve, zone.lowest, d0, d1)[1], weights(&curve, zone.highest, d0, d1)[0]];
        let known: Vec<f64> = both.chain(ends).collect();
        let least = known.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = known.iter().copied().fold(0.0, f64::max);
        for i in 0..=500 {
            let x = zone.lowest + (zone.highest - zone.lowest) * f64::from(i) / 500.0;
            let x = x.min(zone.highest);
            for weight in weights(&curve, x, d0, d1) {
                let fits = least * (1.0 - 1e-7) <= weight && weight <= greatest * (1.0 + 1e-7);
                assert!(
                    fits || x == zone.lowest || x == zone.highest,
                    "{weight} at {x}, {places:?}, {curve:?}"
                );
            }
        }
    }
    assert!(inside > 500, "{inside}");
}

#[test]
fn a_thermistor_with_a_pull_up_is_steepest_where_theory_has_it() {
    // By hand: the count R/(P + R) of a thermistor turns where (R − P)/(R + P) = 2·T/beta. At 25 °C and beta 3950 K
    // that is 0.150962, so that P = R·(1 − 0.150962)/(1 + 0.150962).
    let curve = celsius(Beta { t0: Celsius(25.0), r0: Ohms(10_000.0), beta: 3950.0 }, -40.0, 125.0);
    let g = 2.0 * 298.15 / 3950.0;
    let pull_up = 10_000.0 * (1.0 - g) / (1.0 + g);
    let places = curve.stationary_slopes(band(-40.0, 125.0), pull_up, 1.0);
    assert_eq!(places.len(), 1);
    near(places[0], 25.0, 1e-9);
    assert!(curve.stationary_slopes(band(30.0, 125.0), pull_up, 1.0).is_empty());
    assert!(curve.stationary_slopes(band(-40.0, 125.0), 0.0, 0.0).is_empty());
}

#[test]
fn no_numbers_make_a_curve_panic() {
    let odd = [
        0.0,
        -0.0,
        1.0,
        -1.0,
        50.0,
        1e-320,
        5e-324,
        1e-70,
        1e-16,
        1.0 + f64::EPSILON,
        1e15,
        1e60,
        -1e60,
        1e300,
        f64::MAX,
        f64::MIN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NAN,
        273.15,
        -273.15,
        1e-7,
        2e-4,
    ];
    let mut dice = Dice::new(6);
    let (mut made, mut refused) = (0, 0);
    for round in 0..60_000 {
        let mut any =
            || if dice.chance(0.3) { dice.uniform(-100.0, 1e3) } else { odd[dice.below(odd.len())] };
        let curve = match round % 5 {
            0 => Curve::new("x", ohms(&[(any(), any()), (any(), any())])),
            1 => Curve::monotone("x", ohms(&[(any(), any()), (any(), any()), (any(), any())])),
            2 => {
                let law = Beta { t0: Celsius(any()), r0: Ohms(any()), beta: any() };
                Curve::of_law("x", Affine { offset: any(), factor: any() }, law, band(any(), any()))
            }
            3 => {
                let law = SteinhartHart { a: any(), b: any(), c: any() };
                Curve::of_law("x", Affine::CELSIUS, law, band(any(), any()))
            }
            _ => Curve::of_law("x", Affine::CELSIUS, Platinum { r0: Ohms(any()) }, band(any(), any())),
        };
        let shape = [(any(), any()), (any(), any()), (any(), any())];
        let curve =
            curve.and_then(|curve| if round % 2 == 0 { curve.through_shape("y", &shape) } else { Ok(curve) });
        let Ok(curve) = curve else {
            refused += 1;
            continue;
        };
        made += 1;
        for _ in 0..20 {
            let (x, y) = (any(), any());
            let ohms = curve.at(x);
            assert!(ohms.0.is_finite() || x.abs() > 1e9 || !x.is_finite(), "{ohms:?} at {x}: {curve:?}");
            if y.is_finite() {
                assert!(!curve.value_beyond(Ohms(y)).is_nan(), "{y}: {curve:?}");
                assert!(curve.value_of(Ohms(y)).is_finite(), "{y}: {curve:?}");
            }
            let _ = (curve.slopes(x), curve.part(x, y), curve.value_of(Ohms(y)), curve.describe());
            let _ = curve.stationary_slopes(band(x, y), any().abs(), any().abs());
        }
    }
    assert!(made > 1_000 && refused > 1_000, "{made} {refused}");
}

#[test]
fn points_that_are_no_curve_are_told_which() {
    let made = |points: &[(f64, f64)]| Curve::new("%", ohms(points)).unwrap_err();
    assert_eq!(made(&[]), CurveError::TooFew);
    assert_eq!(made(&[(0.0, 1.0)]), CurveError::TooFew);
    assert_eq!(made(&[(0.0, 1.0), (0.0, 2.0)]), CurveError::ValueDoesNotRise(1));
    assert_eq!(made(&[(0.0, 1.0), (1.0, 2.0), (2.0, 2.0)]), CurveError::Folded(2));
    assert_eq!(made(&[(0.0, 1.0), (1.0, 2.0), (2.0, 1.5)]), CurveError::Folded(2));
    assert_eq!(made(&[(0.0, 1.0), (1.0, f64::NAN)]), CurveError::Unusable(1));
    assert_eq!(made(&[(0.0, 1.0), (1e61, 3.0)]), CurveError::Unusable(1));
}

/// A row of a tank shape beside a knot by rounding is that knot: a sliver between them would have a slope of its own.
#[test]
fn a_shape_leaves_no_slivers() {
    let points = vec![(0.0, Ohms(1000.0)), (0.3, Ohms(400.0)), (1.0, Ohms(100.0))];
    let beside = 0.1 + 0.2;
    assert_ne!(beside, 0.3);
    let rows = [(0.0, 0.0), (beside, 40.0), (1.0, 100.0)];
    let curve = Curve::new("%", points).unwrap().through_shape("L", &rows).unwrap();
    assert_eq!(curve.knots(), [0.0, 40.0, 100.0]);
    assert!((curve.at(40.0).0 - 400.0).abs() < 1e-9);
}
