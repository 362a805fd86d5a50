//! What stays connected beside the parts of an input: old gauges, wet connectors, external clamps.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::board::{Board, Choice, Circuit, Role};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Of, Scene, Values};
use ohmwright::quantity::{Band, Ohms};
use ohmwright::reading::Nominal;
use serde_json::Value;
use support::dice::Dice;
use support::program::{Asked, ask_brief, number};

/// A board on which nothing deviates: 12 V, which reverses to 14 V, and a rail of 5 V that is the reference of 10 bits.
const IDEAL: &str = "supply: { lowest: 12 V, usual: 12 V, highest: 12 V, surge: 35 V, reversed: 14 V }\n\
                     ambient: { lowest: 25 °C, highest: 25 °C }\n\
                     rails: { logic: { voltage: 5 V, tolerance: 0 % } }\n\
                     converter: { offset: 0 counts, gain: 0 %, inl: 0 counts, leakage: 0 A }\n\
                     resistors: { tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }\n";

/// Counts for each volt.
const COUNTS: f64 = 1024.0 / 5.0;

fn brief(input: &str) -> String {
    let lines: Vec<String> = input.split("; ").map(|line| format!("    {line}\n")).collect();
    format!("{IDEAL}inputs:\n  one:\n{}", lines.concat())
}

fn check(input: &str) -> Asked {
    let asked = ask_brief("check", &brief(input));
    assert_ne!(asked.status, 2, "{}", asked.answer);
    asked
}

fn board(input: &str) -> Board {
    let text = brief(input);
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}"))
}

fn beside(a: f64, b: f64) -> f64 {
    a * b / (a + b)
}

#[track_caller]
fn assert_same(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1e-3), "{found} for {expected}");
}

/// The sentences of a list that hold a word.
fn said<'a>(asked: &'a Asked, list: &str, word: &str) -> Vec<&'a str> {
    asked.list(list).iter().filter_map(Value::as_str).filter(|sentence| sentence.contains(word)).collect()
}

const ALONE: &str = "circuit: pull-up; sender: 240 .. 33; pull_up: none; top: 20k; bottom: 10k; protection: none; \
                     gauge: { resistance: 150 Ω, from: supply }";

/// By hand: the old gauge alone feeds the sender from 12 V; a divider of three behind it. With the wire open the gauge and
/// the divider are left.
#[test]
fn a_gauge_alone_excites_the_sender() {
    let asked = check(ALONE);
    let pin = |sender: f64| {
        let below = beside(sender, 30e3);
        12.0 * below / (150.0 + below) / 3.0
    };
    assert_same(asked.nominal_count(0.0), pin(240.0) * COUNTS);
    assert_same(asked.nominal_count(100.0), pin(33.0) * COUNTS);
    assert_same(asked.assured_span(), (pin(240.0) - pin(33.0)) * COUNTS);
    let open = 12.0 * 30e3 / 30_150.0 / 3.0 * COUNTS;
    assert_same(number(&asked.case("wire open")["count"]["lowest"]), open.floor());
    assert_same(number(&asked.case("wire to ground")["count"]["highest"]), 0.0);
    assert_eq!(
        said(&asked, "remarks", "gauge"),
        ["the old gauge stays connected: 150 Ω ±0 % from the vehicle's supply to the node"]
    );
}

/// By hand: the gauge ties the input to the supply. A surge of 35 V and a supply at −14 V reach the pin through 150 Ω; with
/// the board off the gauge goes on to draw.
#[test]
fn a_gauge_ties_the_input_to_the_supply() {
    let asked = check(ALONE);
    // The full sender lets the most through: 12 V over 150 Ω and 33 Ω beside 30 kΩ.
    let drawn = 12.0 / (150.0 + beside(33.0, 30e3));
    assert_same(asked.worst("supply_current", ""), drawn);
    // With the board off the pin is held at 0.5 V.
    let node = (12.0 / 150.0 + 0.5 / 20e3) / (1.0 / 150.0 + 1.0 / 33.0 + 1.0 / 20e3);
    assert_same(number(&asked.input()["supply_current_board_off_a"]), (12.0 - node) / 150.0);
    // Towards the pin: the empty sender beside the gauge, 20 kΩ, and 10 kΩ beside that.
    let node = |supply: f64| supply * 240.0 / 390.0;
    let behind = beside(240.0, 150.0) + 20e3;
    let into = |supply: f64, held: f64| (node(supply) - held) / behind - held / 10e3;
    assert_same(number(&asked.case("surge")["pin_current_a"]), into(35.0, 5.5));
    assert_same(number(&asked.case("reversed supply")["pin_current_a"]), -into(-14.0, -0.5));
}

/// By hand: a gauge of 1 kΩ that a stabiliser of 10 V feeds now and then, beside 470 Ω to 5 V. The counts of both states are
/// the ends of the band, and the table is that of the closed contact.
#[test]
fn a_pulsing_stabiliser_moves_the_reading() {
    let asked = check(
        "circuit: pull-up; sender: 240 .. 33; pull_up: 470; protection: none; \
         gauge: { resistance: 1k, from: { voltage: 10 V, tolerance: 0 %, pulsed: yes } }",
    );
    let closed = |s: f64| (5.0 / 470.0 + 10.0 / 1e3) / (1.0 / 470.0 + 1.0 / 1e3 + 1.0 / s) * COUNTS;
    let open = |s: f64| 5.0 * s / (s + 470.0) * COUNTS;
    for (value, sender) in [(0.0, 240.0), (100.0, 33.0)] {
        let count = &asked.checkpoint(value)["count"];
        assert_same(number(&count["nominal"]), closed(sender));
        assert_same(number(&count["life"]["lowest"]), open(sender).floor());
        assert_same(number(&count["life"]["highest"]), closed(sender).floor());
        // The decade box in place of the sender is good to 0.1 %.
        assert_same(number(&count["bench"]["lowest"]), open(sender * 0.999).floor());
    }
    assert_same(asked.assured_span(), (open(240.0) - open(33.0)).min(closed(240.0) - closed(33.0)));
    let moved = closed(240.0) - open(240.0);
    let expected = format!("by up to {moved:.1} counts between closed and open contact, most at 0 %");
    assert!(said(&asked, "remarks", "pulses")[0].contains(&expected), "{expected}: {}", asked.answer);
    // It is no supply: what surges does not pass it. It hangs on the vehicle, so that it drains it.
    assert!(asked.list("cases").iter().all(|case| case["case"] != "surge"));
    let drain = (10.0 - 0.0) / 1e3;
    assert!(number(&asked.input()["supply_current_board_off_a"]) <= drain);
    assert!(number(&asked.input()["supply_current_board_off_a"]) > 0.9 * drain);
}

/// By hand: with its contact open nothing but a gauge leaves the pin floating when the wire is open.
#[test]
fn a_pulsed_gauge_alone_lets_the_pin_float() {
    let input = |pulsed: &str| {
        format!(
            "circuit: pull-up; sender: 240 .. 33; pull_up: none; protection: none; \
             gauge: {{ resistance: 1k, from: {{ voltage: 4 V, pulsed: {pulsed} }} }}"
        )
    };
    assert_eq!(check(&input("yes")).case("wire open")["floating"], true);
    assert_eq!(check(&input("no")).case("wire open")["floating"], false);
}

/// A gauge lifts nothing where the sender is 0 Ω: there the bottom of the range starts at 0 V, whatever leaks.
#[test]
fn a_gauge_keeps_the_bottom_at_zero() {
    let asked = check(
        "circuit: pull-up; sender: 0 .. 180; pull_up: none; protection: 10k; \
         gauge: { resistance: 1k, from: logic }; ground_shift: 50 mV",
    );
    assert_same(asked.worst("converter_range", "bottom"), 0.0);
}

#[test]
fn beside_a_gauge_the_pull_up_may_be_left_out() {
    let board = board(ALONE);
    let pull_up = board.inputs[0].parts.iter().find(|part| part.role == Role::PullUp).unwrap();
    assert!(matches!(pull_up.choice, Choice::Absent));
}

/// The most by which a pulse moves the count is found and not sampled.
#[test]
fn no_place_of_the_range_moves_more_than_the_most() {
    let mut dice = Dice::new(70);
    let (mut tried, mut inside) = (0, 0);
    while tried < 300 {
        dice.decades = (1.0, 4.0);
        let board = dice.board();
        let input = &board.inputs[0];
        let scene = Scene::new(&board, input, &Values::given(input));
        let Some(place) = scene.nominal.place_of(Of::Gauge) else { continue };
        tried += 1;
        let mut open = scene.nominal.resistances.clone();
        open[place] = Band::exactly(Ohms(f64::INFINITY));
        let [closed, open] =
            [&scene.nominal.resistances, &open].map(|bands| Nominal::new(input, &scene.nominal, bands));
        let top = board.converter.highest_count().0;
        let apart = |at: f64| {
            let [a, b] = [&closed, &open].map(|board| board.count(at).0.clamp(0.0, top));
            (a - b).abs()
        };
        let most = closed.farthest_from(&open);
        let slack = 1e-9 * top;
        assert!((apart(most.at) - most.value).abs() <= slack);
        let (first, last) = input.range();
        let sampled = (0..=20_000).map(|i| apart(first + (last - first) * f64::from(i) / 20_000.0));
        let sampled = sampled.fold(0.0, f64::max);
        assert!(most.value >= sampled - slack, "{most:?}, {sampled}");
        // The curve is straight and the count bends little between two of so many places.
        assert!(most.value <= sampled + 2e-3 * top, "{most:?}, {sampled}");
        inside += usize::from(most.at != first && most.at != last && most.value > 1.0);
    }
    assert!(inside > 20, "{inside}");
}

/// No circuit but a pull-up shares its sender.
#[test]
fn the_plan_of_a_pull_up_alone_has_a_gauge() {
    for plan in ohmwright::circuit::CIRCUITS {
        let has = plan.elements.iter().any(|(of, _)| *of == Of::Gauge);
        assert_eq!(has, plan.circuit == Circuit::PullUp, "{}", plan.name);
    }
}
