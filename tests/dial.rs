//! What counts are worth in the unit of the dial, against plain sampling: resolution, greatest error, and what a straight
//! line would show.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::board::{Accuracy, Board, Circuit, Drive, Input, SelfHeating};
use ohmwright::case::Case;
use ohmwright::circuit::{Outlook, Place, Scene, Values, situations_of};
use ohmwright::quantity::{Band, Counts, Ohms, WattsPerKelvin};
use ohmwright::reading::{Firmware, Nominal, greatest_error};
use ohmwright::worst::{Measure, Sense, count_band, worst};
use support::dice::Dice;

const PLACES: u32 = 400;

fn values(zone: Band<f64>) -> impl Iterator<Item = f64> {
    (0..=PLACES).map(move |i| zone.lowest + (zone.highest - zone.lowest) * f64::from(i) / f64::from(PLACES))
}

/// The nominal count at a value, by the situation alone.
fn count(board: &Board, input: &Input, fitted: &Values, value: f64) -> f64 {
    let place = Place::At(value);
    let at = situations_of(board, input, fitted, Case::Normal, Outlook::Nominal, place).swap_remove(0);
    count_band(&at, &at.resistances).unwrap().lowest.0
}

/// A random board whose pin follows its sender on every board: the ground shift does not overpower the excitation.
fn board(dice: &mut Dice) -> Board {
    loop {
        let mut board = dice.board();
        board.converter.bits = [8, 10, 12][dice.below(3)];
        let zone = Band::between(dice.uniform(0.0, 100.0), dice.uniform(0.0, 100.0));
        let input = &mut board.inputs[0];
        let is_curved = input.drive.is_sender() && dice.chance(0.6);
        if is_curved {
            input.drive = dice.curved_sender();
        }
        let (first, last) = input.range();
        let zone = [zone.lowest, zone.highest].map(|share| first + (last - first) * share / 100.0);
        input.zone = dice.chance(0.7).then_some(Band { lowest: zone[0], highest: zone[1] });
        if let Drive::Sender(sender) = &mut input.drive {
            sender.accuracy = Accuracy {
                constant: dice.uniform(0.0, 2.0),
                share: dice.uniform(0.0, 0.02),
                zero: dice.uniform(-50.0, 150.0),
            };
        }
        warm(dice, &mut board);
        // A pull-down at 0 Ω ties the pin to its excitation: there no clamp holds it, and next to it one does.
        let input = &board.inputs[0];
        let reaches_zero =
            Scene::new(&board, input, &Values::given(input)).situations[Scene::NORMAL].resistances[0].lowest
                == Ohms(0.0);
        if input.circuit == Circuit::PullDown && reaches_zero {
            continue;
        }
        let shift = board.inputs[0].ground_shift;
        if shift.lowest.0 > -0.3 && shift.highest.0 < 0.3 {
            return board;
        }
    }
}

/// Lets half of the senders warm themselves by up to some units: more than that, and they run away.
fn warm(dice: &mut Dice, board: &mut Board) {
    let scene = Scene::new(board, &board.inputs[0], &Values::given(&board.inputs[0]));
    let normal = &scene.situations[Scene::NORMAL];
    let power =
        worst(Measure::SenderPower, Sense::AtMost, normal, &normal.resistances).map_or(0.0, |w| w.value);
    let half = dice.chance(0.5);
    if let Drive::Sender(sender) = &mut board.inputs[0].drive {
        let per_kelvin = WattsPerKelvin(power / dice.uniform(0.1, 5.0));
        sender.self_heating = half.then_some(SelfHeating { per_kelvin, units_per_kelvin: 1.0 });
    }
}

#[test]
fn resolution_is_the_least_slope_that_sampling_finds() {
    let mut dice = Dice::new(50);
    let mut compared = 0;
    for round in 0..1500 {
        let board = board(&mut dice);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let scene = Scene::new(&board, input, &fitted);
        let nominal = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
        let zone = input.zone();
        let top = board.converter.highest_count().0;
        let least = nominal.least_slope(zone);
        let step = (zone.highest - zone.lowest) * 1e-4;
        let of = |value: f64| count(&board, input, &fitted, value);
        let slope = |value: f64| {
            let [a, b] = [value - step, value + step]
                .map(|value| count(&board, input, &fitted, value.clamp(zone.lowest, zone.highest)));
            let width = (value + step).min(zone.highest) - (value - step).max(zone.lowest);
            (b - a) / width * input.direction()
        };
        let held = |value: f64| !(0.0..=top).contains(&count(&board, input, &fitted, value));
        let sampled = values(zone)
            .map(|value| if held(value) { 0.0 } else { slope(value).max(0.0) })
            .fold(f64::INFINITY, f64::min);
        let largest = values(zone).map(slope).fold(0.0, f64::max);
        // A count has sixteen digits, however little it moves from step to step.
        let rounding = 1e-15 * values(zone).map(&of).map(f64::abs).fold(0.0, f64::max) / step;
        if held(zone.lowest) || held(zone.highest) {
            assert_eq!(least.value, 0.0, "round {round}");
            continue;
        }
        assert!(
            (least.value - sampled).abs() <= 2e-3 * largest + 1e-9 + rounding,
            "round {round}: {} against {sampled} of up to {largest}",
            least.value
        );
        compared += 1;
    }
    assert!(compared > 500, "{compared}");
}

#[test]
fn no_reading_is_off_by_more_than_the_greatest_error_and_one_is_by_as_much() {
    let mut dice = Dice::new(51);
    let (mut hottest, mut compared) = (0, 0);
    for round in 0..700 {
        let board = board(&mut dice);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let scene = Scene::new(&board, input, &fitted);
        let nominal = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
        let normal = &scene.situations[Scene::NORMAL];
        let zone = input.zone();
        let found = greatest_error(input, &nominal, normal, &normal.resistances, zone);
        if found.value >= input.range().1 - input.range().0 {
            // A ground shift overpowers the excitation on some board: nothing is said of its readings.
            continue;
        }
        let firmware = Firmware::new(&board, input, &fitted);
        let range = input.range().1 - input.range().0;
        let error = |value: f64| {
            let band = firmware.life_band(value).unwrap();
            [band.lowest, band.highest]
                .map(|count| (firmware.reading(truncated(&board, count)) - value).abs())
        };
        let most = |value: f64| error(value).into_iter().fold(0.0, f64::max);
        let sampled = values(zone).map(most).fold(0.0, f64::max);
        assert!(
            sampled <= found.value + 1e-7 * range,
            "round {round}: {sampled} above {} {board:#?}",
            found.value
        );
        let near = [-1e-7, -1e-9, 0.0, 1e-9, 1e-7]
            .map(|off| (found.at + off * range).clamp(zone.lowest, zone.highest));
        let reached = near.into_iter().map(most).fold(0.0, f64::max);
        assert!(
            reached >= found.value - 1e-6 * range,
            "round {round}: {reached} at {} instead of {}, {board:#?}",
            found.at,
            found.value
        );
        hottest += usize::from(matches!(&input.drive, Drive::Sender(s) if s.self_heating.is_some()));
        compared += 1;
    }
    assert!(compared > 300 && hottest > 50, "{compared}, {hottest}");
}

fn truncated(board: &Board, count: Counts) -> Counts {
    board.converter.truncated(count)
}

#[test]
fn a_straight_line_is_off_most_where_sampling_finds_it() {
    let mut dice = Dice::new(52);
    for round in 0..1000 {
        let board = board(&mut dice);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let scene = Scene::new(&board, input, &fitted);
        let nominal = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
        let (first, last) = input.range();
        let [from, to] = [first, last].map(|value| count(&board, input, &fitted, value));
        if (to - from).abs() < 1.0 {
            continue;
        }
        let off = |value: f64| {
            first + (count(&board, input, &fitted, value) - from) / (to - from) * (last - first) - value
        };
        let found = nominal.off_straight_line(Band { lowest: first, highest: last });
        let sampled =
            values(Band { lowest: first, highest: last }).map(|value| off(value).abs()).fold(0.0, f64::max);
        assert!(
            (off(found.at) - found.value).abs() <= 1e-6,
            "round {round} {found:?} {} {from} {to}",
            off(found.at)
        );
        assert!(found.value.abs() >= sampled - 1e-6, "round {round}: {found:?}, {sampled}");
    }
}
