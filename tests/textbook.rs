//! Values from data sheets and textbooks, and small circuits by hand.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use ohmwright::board::{Board, Circuit, Drive, LoopSupply, RailId, Role, Sampling, Signal, Transmitter};
use ohmwright::case::Case;
use ohmwright::circuit::{Of, Place, Situation};
use ohmwright::curve::Curve;
use ohmwright::quantity::{Amperes, Band, Celsius, Counts, Farads, Fraction, Ohms, Seconds, Volts, Watts};
use ohmwright::worst::{
    Corner, Ends, Measure, Sense, count_band, least_span, nominal_span, pin_band, span_at, worst,
};
use support::program::{Asked, ask_ideal, number};
use support::{at_shares, both_ends, ideal_board, input, life, normal_use, part, rail, sender, signal};

#[track_caller]
fn assert_close(found: f64, expected: f64, slack: f64) {
    assert!((found - expected).abs() <= slack, "found {found}, expected {expected}");
}

fn divider(signal: Signal, top: (f64, f64), bottom: (f64, f64)) -> Board {
    let parts = vec![part(Role::Top, top.0, top.1), part(Role::Bottom, bottom.0, bottom.1)];
    ideal_board(input(Circuit::Divider, Drive::Signal(signal), parts))
}

fn pull_up(first: f64, last: f64, ohms: f64, tolerance: f64) -> Board {
    let parts = vec![part(Role::PullUp, ohms, tolerance)];
    ideal_board(input(Circuit::PullUp, sender(first, last), parts))
}

/// The band of the pin with this voltage at the divider.
fn divided(volts: f64, top: f64, bottom: f64, tolerance: f64) -> (f64, f64) {
    let board = divider(signal(0.0, volts), (top, tolerance), (bottom, tolerance));
    let situation = life(&board, Case::Normal, Place::At(volts)).swap_remove(0);
    let band = pin_band(&situation, &situation.resistances).unwrap();
    (band.lowest.0, band.highest.0)
}

/// The worst value of what is measured at a part.
fn worst_of(board: &Board, case: Case, role: Role, measure: fn(usize) -> Measure) -> f64 {
    let situation = life(board, case, Place::Range).swap_remove(0);
    let place = situation.place_of(Of::Part(role)).unwrap();
    worst(measure(place), Sense::AtMost, &situation, &situation.resistances).unwrap().value
}

/// Circuit theory textbooks: with k = bottom/(top + bottom) and both parts within t, (Vmax − V)/V is
/// 2t(1 − k)/(1 + t(2k − 1)), and for (Vmin − V)/V the sign of t is turned. The digits are by hand.
#[test]
fn divider_of_parts_with_a_tolerance() {
    for (top, bottom, t, low, high, digits) in [
        (20e3, 10e3, 0.01, -1.328_90e-2, 1.337_79e-2, 5e-8),
        (82e3, 15e3, 0.01, -1.679_12e-2, 1.702_48e-2, 5e-8),
        (49.9e3, 10e3, 0.001, -1.665_00e-3, 1.667_22e-3, 5e-9),
        (100e3, 100e3, 0.05, -5.0e-2, 5.0e-2, 1e-15),
    ] {
        let k = bottom / (top + bottom);
        let (lowest, highest) = divided(6.0, top, bottom, t);
        let (down, up) = (lowest / (6.0 * k) - 1.0, highest / (6.0 * k) - 1.0);
        assert_close(down, low, digits);
        assert_close(up, high, digits);
        assert_close(up, 2.0 * t * (1.0 - k) / (1.0 + t * (2.0 * k - 1.0)), 1e-14);
        assert_close(down, -2.0 * t * (1.0 - k) / (1.0 - t * (2.0 * k - 1.0)), 1e-14);
    }
}

/// By hand: 30·15·0.99/(15·0.99 + 82·1.01) and the other way round.
#[test]
fn divider_for_30_v() {
    let (lowest, highest) = divided(30.0, 82e3, 15e3, 0.01);
    assert_close(lowest, 4.561_278, 5e-7);
    assert_close(highest, 4.718_156, 5e-7);
}

/// Course notes on the resistive sensor (embedded-systems-design.github.io): the span is largest at √(Rmin·Rmax). The
/// spans, of 5 V, are by hand.
#[test]
fn pull_up_for_the_largest_span() {
    let span = |first, last, ohms| {
        let board = pull_up(first, last, ohms, 0.0);
        let [first, last] = both_ends(&board);
        let span = nominal_span(&first, &last);
        let least = least_span(&first, &last, [&first.resistances, &last.resistances], 1.0);
        assert_eq!(least.span, span, "without errors the least span is the span");
        span / board.converter.full_scale() * 5.0
    };
    for (first, last, ohms, volts) in [
        (33.0, 240.0, 88.7, 2.294_952),
        (10.0, 180.0, 42.2, 3.092_551),
        (10.0, 73.0, 26.7, 2.298_585),
        (10.0, 73.0, 27.0, 2.298_649),
    ] {
        assert_close(span(first, last, ohms), volts, 5e-7);
    }
    let best = (33.0_f64 * 240.0).sqrt();
    assert_close(best, 88.994, 5e-4);
    // At the largest span the slope is 0: on both sides there is less.
    assert!(span(33.0, 240.0, best) > span(33.0, 240.0, best * 1.001));
    assert!(span(33.0, 240.0, best) > span(33.0, 240.0, best / 1.001));
}

/// By hand: a pull-up of 88.7 Ω ± 5 % spans 2.293607 V and 2.294021 V at its limits and 2.294957 V at √(33·240) Ω
/// between them. The least span is at a corner, the greatest is not.
#[test]
fn greatest_span_between_the_corners() {
    let board = pull_up(33.0, 240.0, 88.7, 0.05);
    let [first, last] = both_ends(&board);
    let volts = |counts: Counts| counts / board.converter.full_scale() * 5.0;
    let least = least_span(&first, &last, [&first.resistances, &last.resistances], 1.0);
    assert_close(volts(least.span), 2.293_607, 5e-7);
    let at = |ohms: f64| {
        let share = (ohms - 88.7 * 0.95) / (88.7 * 0.1);
        let ends = [&first, &last].map(|end| at_shares(end, &[0.0; 8], &[0.0, share]));
        let [a, b] = [&ends[0], &ends[1]].map(|end| Corner::at(end, &end.resistances, Ends::default()));
        volts(span_at(&a, &b, Amperes(0.0), Fraction(0.0)))
    };
    assert_close(at(88.7 * 1.05), 2.294_021, 5e-7);
    assert_close(at((33.0_f64 * 240.0).sqrt()), 2.294_957, 5e-7);
}

/// By hand: 9 V and 9.2 V at 10 kΩ over 10 kΩ, 1 % each, read 4.5 V and 4.6 V. Where the converter ends at 4.55 V, a
/// board with a lower part of 10.1 kΩ holds both: 9·0.505 V is 4.545 V, one with 10.2 kΩ holds none of them apart.
#[test]
fn span_beyond_the_converter_is_none() {
    let span = |reference: f64| {
        let mut board = divider(signal(9.0, 9.2), (10e3, 0.01), (10e3, 0.01));
        board.converter.reference =
            ohmwright::board::Reference::Own { voltage: Volts(reference), tolerance: Fraction(0.0) };
        let [first, last] = both_ends(&board);
        least_span(&first, &last, [&first.resistances, &last.resistances], 1.0).span.0
    };
    // Both shares run from 0.495 to 0.505; the least span is at the smallest while nothing is held.
    assert_close(span(5.0), 1024.0 * 0.2 * 0.495 / 5.0, 1e-12);
    // At a share of 0.505 the first end reads 4.545 V, the last is held at 1023/1024 of 4.6 V.
    assert_close(span(4.6), 1023.0 - 1024.0 * 9.0 * 0.505 / 4.6, 1e-12);
    // At a share of 0.505 both are held.
    assert_eq!(span(4.5), 0.0);
}

/// By hand: 4 V behind 100 Ω into 50 Ω .. 150 Ω gives most at 100 Ω: 4²/(4·100) W.
#[test]
fn dissipation_at_the_matching_point() {
    let board = divider(signal(0.0, 4.0), (100.0, 0.0), (100.0, 0.5));
    assert_close(worst_of(&board, Case::Normal, Role::Bottom, Measure::Power), 0.04, 1e-16);
    // The upper part has no tolerance; it gets most from the smallest lower part: 4²·100/150².
    assert_close(worst_of(&board, Case::Normal, Role::Top, Measure::Power), 1600.0 / 22_500.0, 1e-16);
}

/// By hand: 10 V over 1 kΩ into 500 Ω .. 4 kΩ; from 1222 Ω on the clamp holds 5.5 V. The peak of 10²/(4·1000) W comes
/// before.
#[test]
fn dissipation_peaks_before_the_clamp_conducts() {
    let board = divider(signal(0.0, 10.0), (1e3, 0.0), (2_250.0, 1_750.0 / 2_250.0));
    assert_close(worst_of(&board, Case::Normal, Role::Bottom, Measure::Power), 0.025, 1e-15);
}

/// By hand: 20 V over 1 kΩ into 200 Ω .. 1 kΩ; from 5500/14.5 Ω on the clamp holds 5.5 V. Up to there the dissipation
/// rises, from there it falls: the peak is where the clamp starts to conduct.
#[test]
fn dissipation_peaks_where_the_clamp_starts_to_conduct() {
    let board = divider(signal(0.0, 20.0), (1e3, 0.0), (600.0, 400.0 / 600.0));
    let peak = 5.5 * 5.5 / (5_500.0 / 14.5);
    assert_close(worst_of(&board, Case::Normal, Role::Bottom, Measure::Power), peak, 1e-15);
}

/// By hand: the leakage of 1 µA lifts the middle of 100 kΩ and 100 kΩ by 50 mV, but no higher than the clamp: 5.5 V.
#[test]
fn leakage_does_not_lift_the_pin_over_its_clamp() {
    let mut board = divider(signal(10.9, 11.1), (100e3, 0.0), (100e3, 0.0));
    board.converter.leakage = Amperes(1e-6);
    assert_close(worst_of(&board, Case::Normal, Role::Bottom, Measure::Voltage), 5.5, 1e-14);
    let situation = life(&board, Case::Normal, Place::Exactly(11.0)).swap_remove(0);
    let corner = Corner::at(&situation, &situation.resistances, Ends::default());
    let bottom = situation.place_of(Of::Part(Role::Bottom)).unwrap();
    assert_close(Measure::Voltage(bottom).at(&corner, Sense::AtMost), 5.5, 1e-14);
    // A leakage out of the pin takes it out of the clamp again.
    assert_close(corner.pin_voltage(Amperes(-1e-6)).0, 5.45, 1e-14);
}

/// By hand: −10 V to 10 V passes through 0 V, where nothing flows.
#[test]
fn current_that_turns_round_is_none_at_least() {
    let situation = normal_use(&divider(signal(-10.0, 10.0), (10e3, 0.0), (10e3, 0.0)));
    let least = worst(Measure::FarCurrent, Sense::AtLeast, &situation, &situation.resistances).unwrap();
    assert_eq!(least.value, 0.0);
    // The same with a ground that moves: 0 V .. 10 V at −50 mV .. 50 mV.
    let mut board = divider(signal(0.0, 10.0), (10e3, 0.0), (10e3, 0.0));
    board.inputs[0].ground_shift = Band { lowest: Volts(-0.05), highest: Volts(0.05) };
    let situation = normal_use(&board);
    let least = worst(Measure::FarCurrent, Sense::AtLeast, &situation, &situation.resistances).unwrap();
    assert_eq!(least.value, 0.0);
}

/// By hand: without protection no clamp holds a wire that lies on 32 V: 27 V across the pull-up, and no limit to what
/// flows into the pin.
#[test]
fn no_clamp_holds_a_stiff_wire() {
    let board = pull_up(0.0, 190.0, 1e3, 0.0);
    assert_close(worst_of(&board, Case::WireToSupply, Role::PullUp, Measure::Voltage), 27.0, 1e-14);
    assert_close(worst_of(&board, Case::WireToSupply, Role::PullUp, Measure::Power), 0.729, 1e-15);
    assert_eq!(worst_of(&board, Case::WireToSupply, Role::PullUp, |_| Measure::UpperClamp), f64::INFINITY);
}

/// Field case, by hand: 16 V, 24 V and 35 V over 10 kΩ into a pin that conducts at 5.5 V.
#[test]
fn current_into_the_clamp() {
    for (contact, milliamperes) in [(16.0, 1.05), (24.0, 1.85), (35.0, 2.95), (101.0, 9.55)] {
        let mut board = pull_up(33.0, 240.0, 1e3, 0.0);
        board.inputs[0].parts.push(part(Role::Protection, 10e3, 0.0));
        board.supply.contact = Volts(contact);
        let current = worst_of(&board, Case::WireToSupply, Role::Protection, |_| Measure::UpperClamp);
        assert_close(current, milliamperes * 1e-3, 1e-16);
    }
}

/// By hand: 1 µA through 10 kΩ is 10 mV, 2.05 counts of 5 V at 10 bits.
#[test]
fn leakage_in_counts() {
    let parts = vec![part(Role::Protection, 10e3, 0.0)];
    let mut board = ideal_board(input(Circuit::Direct, Drive::Signal(signal(0.0, 5.0)), parts));
    board.converter.leakage = Amperes(1e-6);
    let situation = normal_use(&board);
    let error = worst(Measure::LeakageError, Sense::AtMost, &situation, &situation.resistances).unwrap();
    assert_close(error.value, 2.048, 1e-14);
    let band = pin_band(&situation, &situation.resistances).unwrap();
    assert_close(band.lowest.0, -0.01, 1e-16);
    assert_close(band.highest.0, 5.01, 1e-14);
}

/// Data sheet of the PIC18CXX2 (DS39026D, page 169): 120 pF, 1 kΩ + 7 kΩ + 2.5 kΩ, 10 bits: 9.61 µs. It settles to
/// half a count of the highest, ln(2^11 − 1); here half a count of full scale is ln(2^11): longer by R·C·ln(2048/2047).
#[test]
fn settling_to_half_a_count() {
    let sampling = Sampling {
        capacitor: Farads(120e-12),
        resistance: Ohms(8e3),
        time: Seconds(12e-6),
        period: Seconds(10e-3),
        settles_to: Counts(0.5),
    };
    let time = |settles_to| sampling.settling_time(Ohms(2.5e3), Counts(1024.0), settles_to).0;
    assert_close(time(Counts(1024.0 / 2047.0)), 9.61e-6, 0.005e-6);
    let longer = 10.5e3 * 120e-12 * (2048.0_f64 / 2047.0).ln();
    assert_close(time(Counts(0.5)) - time(Counts(1024.0 / 2047.0)), longer, 1e-18);
    assert_close(longer, 0.000_615e-6, 0.000_000_5e-6);
}

/// Data sheet of a 32-bit family (Doc ID 15060): 14 MHz, 8 pF, 1 kΩ, 12 bits, a quarter of a count.
#[test]
fn settling_to_a_quarter_of_a_count() {
    let sampling = Sampling {
        capacitor: Farads(8e-12),
        resistance: Ohms(1e3),
        time: Seconds(1e-6),
        period: Seconds(10e-3),
        settles_to: Counts(0.25),
    };
    for (cycles, kiloohms, printed_to) in [
        (1.5, 0.4, 0.1),
        (7.5, 5.9, 0.1),
        (13.5, 11.4, 0.1),
        (28.5, 25.2, 0.1),
        (41.5, 37.2, 0.1),
        (55.5, 50.0, 1.0),
    ] {
        let time =
            |kiloohms: f64| sampling.settling_time(Ohms(kiloohms * 1e3), Counts(4096.0), Counts(0.25)).0;
        let there_is = cycles / 14e6;
        assert!(time(kiloohms - printed_to / 2.0) < there_is && there_is < time(kiloohms + printed_to / 2.0));
    }
}

/// By hand: one sample of 1 pF takes a hundredth of 1024 counts out of 99 pF; with a period of τ·ln 2 half of what is
/// missing comes back in between: 10.24 counts and the sum of its halves, once more 10.24.
#[test]
fn missing_with_a_capacitor() {
    let sampling = Sampling {
        capacitor: Farads(1e-12),
        resistance: Ohms(0.0),
        time: Seconds(1e-6),
        period: Seconds(1e4 * 100e-12 * std::f64::consts::LN_2),
        settles_to: Counts(0.5),
    };
    assert_close(sampling.missing(Ohms(1e4), Counts(1024.0), Farads(99e-12)).0, 20.48, 1e-13);
    assert_close(sampling.missing(Ohms(0.0), Counts(1024.0), Farads(99e-12)).0, 10.24, 1e-14);
}

/// Derating figure of the RC0402 family of data sheets: all up to 70 °C, nothing at 155 °C. The values are by hand.
#[test]
fn derating() {
    for (watts, celsius, milliwatts) in [
        (0.1, 70.0, 100.0),
        (0.1, 100.0, 64.7),
        (0.1, 125.0, 35.3),
        (0.25, 100.0, 161.8),
        (0.25, 125.0, 88.2),
        (0.25, 155.0, 0.0),
        (0.25, 180.0, 0.0),
        (0.25, -20.0, 250.0),
    ] {
        let grade = ohmwright::board::Grade { rating: Watts(watts), ..support::grade(0.01) };
        assert_close(grade.derated(Celsius(celsius)).0 * 1e3, milliwatts, 0.05);
    }
}

/// Textbook on sensors, equation 2.38 ("force the curve to have an inflection point just in the center of the measurement
/// range"): R = RT·(B − 2T)/(B + 2T), for the resistor in series with a thermistor as for the one beside it. Values by
/// that formula: 3950 K at 80 °C, 1270.32 Ω there, 884.94 Ω; 4000 K and 25 kΩ at 25 °C, 18.513 kΩ, where the same text
/// takes 18.5 kΩ.
#[test]
fn the_resistor_that_straightens_a_thermistor() {
    let bend = |asked: &Asked| number(&asked.input()["straight_line"]["bend_per_unit"]);
    let first =
        "pull-up --ntc 10k --beta 3950 --range 60°C..100°C --protection none --limit off --aim straight";
    let second =
        "pull-up --ntc 25k --beta 4000 --range 15°C..35°C --protection none --limit off --aim straight";
    for (question, exact, below, above, chosen) in [
        (first, 884.94, 866.0, 887.0, 887.0),
        // Its neighbours are 18.2 kΩ and 18.7 kΩ in E96, 18.4 kΩ and 18.7 kΩ in E192.
        (second, 18_513.0, 18_200.0, 18_700.0, 18_700.0),
    ] {
        let at = |ohms: f64| bend(&ask_ideal(&format!("{question} --pull-up {ohms}")));
        assert!(at(exact) < 2e-6, "{}", at(exact));
        assert!(at(below) > 100.0 * at(exact) && at(above) > 10.0 * at(exact));
        assert_eq!(ask_ideal(&format!("{question} --series E96")).ohms("pull_up"), chosen);
    }
    assert_eq!(ask_ideal(&format!("{second} --series E192")).ohms("pull_up"), 18_400.0);
    // Beside the thermistor: a pull-up so large that it is a current source leaves the same value to the shunt.
    let shunt = ask_ideal(&format!("{first} --pull-up 1M --shunt choose --series E96"));
    assert_eq!(shunt.ohms("shunt"), 887.0);
}

/// The corners of three resistors on one node are the worst case (vertex property of linear networks, X. Huang, W. Bryant,
/// J. D. Tygar, IEEE Trans. CAS-I 41(11), 1994, 686-698; numbers by hand): -10 V over 20 kΩ, +5 V over 10 kΩ and 15 kΩ to
/// ground, all ±5 %.
#[test]
fn corners_of_a_level_shift() {
    let parts =
        vec![part(Role::Top, 20e3, 0.05), part(Role::Bias, 10e3, 0.05), part(Role::Bottom, 15e3, 0.05)];
    let board = ideal_board(input(Circuit::LevelShift, Drive::Signal(signal(-10.0, 10.0)), parts));
    let [first, _] = both_ends(&board);
    let band = pin_band(&first, &first.resistances).unwrap();
    assert_close(band.lowest.0, -0.237_154, 5e-7);
    assert_close(band.highest.0, 0.231_660, 5e-7);
}

/// 4..20 mA into 250 Ω makes 1..5 V and 0.1 W (common practice; the power is by hand); on a converter of 3.3 V that has to
/// show 21 mA, the upper fault level of NAMUR NE 43, a burden may have 157.1 Ω (by hand).
#[test]
fn burden_of_a_transmitter() {
    let with = |highest: f64, ohms: f64| {
        let points = vec![(0.0, Amperes(4e-3)), (10.0, Amperes(highest))];
        let curve = Curve::new("bar", points).unwrap();
        let drive = Drive::Current(Transmitter { curve, compliance: None, loop_supply: LoopSupply::Supply });
        let mut board = ideal_board(input(Circuit::Burden, drive, vec![part(Role::Burden, ohms, 0.0)]));
        board.converter.bits = 16;
        board
    };
    let board = with(20e-3, 250.0);
    let [first, last] = both_ends(&board);
    let pin = |situation: &Situation| pin_band(situation, &situation.resistances).unwrap().highest.0;
    assert_close(pin(&first), 1.0, 1e-12);
    assert_close(pin(&last), 5.0, 1e-12);
    assert_close(worst_of(&board, Case::Normal, Role::Burden, Measure::Power), 0.1, 1e-12);
    for (ohms, fits) in [(157.1, true), (157.2, false)] {
        let mut board = with(21e-3, ohms);
        board.rails[0].voltage = Volts(3.3);
        let normal = normal_use(&board);
        let top = worst(Measure::TopCount, Sense::AtMost, &normal, &normal.resistances).unwrap();
        assert_eq!(Sense::AtMost.holds(top.value, board.converter.highest_count().0), fits, "{ohms}");
    }
}

/// A wire that is open leaves no current, one on ground takes it, one on the supply puts all of the supply on the burden.
#[test]
fn wire_of_a_transmitter() {
    let curve = Curve::new("A", vec![(4e-3, Amperes(4e-3)), (20e-3, Amperes(20e-3))]).unwrap();
    let drive = Drive::Current(Transmitter { curve, compliance: None, loop_supply: LoopSupply::Supply });
    let mut board = ideal_board(input(Circuit::Burden, drive, vec![part(Role::Burden, 200.0, 0.0)]));
    board.inputs[0].wire = Band { lowest: Ohms(0.0), highest: Ohms(30.0) };
    let volts = |case| worst_of(&board, case, Role::Burden, Measure::Voltage);
    assert_eq!([Case::WireOpen, Case::WireToGround, Case::WireToSupply].map(volts), [0.0, 0.0, 32.0]);
    // By hand: 20 mA through 200 Ω and 30 Ω of wire.
    let normal = normal_use(&board);
    let driven = worst(Measure::FarVoltage, Sense::AtMost, &normal, &normal.resistances).unwrap();
    assert_close(driven.value, 4.6, 1e-12);
    assert_close(worst_of(&board, Case::Normal, Role::Burden, Measure::Voltage), 4.0, 1e-12);
}

/// A sender between its excitation and 200 Ω to ground: the pin falls with its resistance. By hand: 5 V·200/(200 + 33) at
/// its lowest end, 5 V·200/(200 + 240) at its highest, and on a wire that is open 0 V, on one that lies on the supply the
/// supply.
#[test]
fn pull_down_below_a_sender() {
    let parts = vec![part(Role::PullDown, 200.0, 0.0), part(Role::Protection, 30e3, 0.0)];
    let board = ideal_board(input(Circuit::PullDown, sender(240.0, 33.0), parts));
    let [first, last] = both_ends(&board);
    let pin = |situation: &Situation| pin_band(situation, &situation.resistances).unwrap().highest.0;
    assert_close(pin(&first), 5.0 * 200.0 / 440.0, 1e-12);
    assert_close(pin(&last), 5.0 * 200.0 / 233.0, 1e-12);
    assert_eq!(board.inputs[0].direction().signum(), 1.0);
    let span = least_span(&first, &last, [&first.resistances, &last.resistances], 1.0).span.0;
    assert_close(span, 1024.0 * (200.0 / 233.0 - 200.0 / 440.0), 1e-9);
    let case = |case| pin(&life(&board, case, Place::Range)[0]);
    assert_eq!([case(Case::WireOpen), case(Case::WireToGround), case(Case::WireToSupply)], [0.0, 0.0, 5.5]);
    let normal = normal_use(&board);
    let at_most = |measure| worst(measure, Sense::AtMost, &normal, &normal.resistances).unwrap().value;
    assert_close(at_most(Measure::FarCurrent), 5.0 / 233.0, 1e-12);
    assert_close(at_most(Measure::SupplyCurrent), 5.0 / 233.0, 1e-12);
    // The sender matches its pull-down at 200 Ω, inside its range.
    assert_close(at_most(Measure::SenderPower), 25.0 / 800.0, 1e-12);
    let moved = worst_of(&board, Case::Normal, Role::PullDown, Measure::Voltage);
    assert_close(moved, 5.0 * 200.0 / 233.0, 1e-12);
}

/// A rail of 12 V ± 10 % lifts the pin and is the reference, the clamp leads to 3.3 V: -12.4 V over 10 kΩ and the rail over
/// 5 kΩ. By hand, without the 1 MΩ: the pin is (2·rail - 12.4)/3, which meets the clamp at 3.8 V with the rail at 11.9 V, and
/// there the count is 1024·3.8/11.9, more than at either end of the rail.
#[test]
fn count_peaks_where_the_clamp_starts_to_conduct() {
    let parts = vec![
        part(Role::Top, 10e3, 0.0),
        part(Role::Bias, 5e3, 0.0),
        part(Role::Bottom, 1e9, 0.0),
        part(Role::Protection, 1e3, 0.0),
    ];
    let drive = Drive::Signal(signal(-12.5, -12.4));
    let mut board = ideal_board(input(Circuit::LevelShift, drive, parts));
    board.rails = vec![rail("sensors", 12.0, 0.1), rail("logic", 3.3, 0.0)];
    board.converter.clamp_rail = RailId(1);
    let normal = normal_use(&board);
    let highest = count_band(&normal, &normal.resistances).unwrap().highest;
    assert_close(highest.0, 1024.0 * 3.8 / 11.9, 0.01);
    let rails: Vec<f64> = (0..=100).map(|i| f64::from(i) / 100.0).collect();
    let sampled = rails.iter().map(|&share| {
        let volts = vec![share; normal.sources.len()];
        let one = at_shares(&normal, &volts, &vec![0.0; normal.elements.len()]);
        count_band(&one, &one.resistances).unwrap().highest.0
    });
    assert!(sampled.fold(0.0, f64::max) <= highest.0 + 1e-9);
}
