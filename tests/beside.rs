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
        inside += usize::from(most.at != first && most.at != last && most.value > 1.0);
    }
    assert!(inside > 10, "{inside}");
}

/// No circuit but a pull-up shares its sender.
#[test]
fn the_plan_of_a_pull_up_alone_has_a_gauge() {
    for plan in ohmwright::circuit::CIRCUITS {
        let has = plan.elements.iter().any(|(of, _)| *of == Of::Gauge);
        assert_eq!(has, plan.circuit == Circuit::PullUp, "{}", plan.name);
    }
}

fn life(asked: &Asked, value: f64) -> [f64; 2] {
    let band = &asked.checkpoint(value)["count"]["life"];
    [number(&band["lowest"]), number(&band["highest"])]
}

/// By hand: 12 V behind 1 kΩ into 20 kΩ and 10 kΩ. Wet, 50 kΩ lie beside the source: 12 V·50/51 behind 1 kΩ·50/51. On the
/// bench and in the firmware the connector is dry.
#[test]
fn a_wet_connector_loads_the_source() {
    let asked = check(
        "circuit: divider; measures: 0 V .. 12 V; signal_resistance: 1k; top: 20k; bottom: 10k; protection: none; \
         wet: { to: ground, resistance: 50 kΩ }",
    );
    let dry = 12.0 * 10.0 / 31.0 * COUNTS;
    let wet = 12.0 * 50.0 / 51.0 * 10.0 / (30.0 + 50.0 / 51.0) * COUNTS;
    assert_same(asked.nominal_count(12.0), dry);
    assert_eq!(life(&asked, 12.0), [wet.floor(), dry.floor()]);
    assert_same(number(&asked.checkpoint(12.0)["count"]["bench"]["lowest"]), dry.floor());
    assert_same(asked.assured_span(), wet);
    // The source gives most when it is wet, and sees the wet connector beside 30 kΩ.
    assert_same(asked.worst("sender_current", ""), 12.0 / (1e3 + beside(50e3, 30e3)));
    assert_same(asked.worst("input_resistance", ""), beside(50e3, 30e3));
    assert_eq!(
        said(&asked, "remarks", "wet"),
        [
            "its connector may be wet: from 50 kΩ to open, to ground; on the bench and in the firmware it is dry"
        ]
    );
}

/// By hand: 300 Ω from 5 V into 240 Ω, and 50 kΩ from 12 V. With the wire open the supply still comes in; a surge of 35 V
/// passes through 50 kΩ.
#[test]
fn a_wet_connector_lets_the_supply_in() {
    let asked = check(
        "circuit: pull-up; sender: 240 .. 33; pull_up: 300; protection: 10k; wet: { to: supply, resistance: 50 kΩ }",
    );
    let node = |sender: f64, supply: f64, wet: f64| {
        (5.0 / 300.0 + supply / wet) / (1.0 / 300.0 + 1.0 / wet + sender.recip())
    };
    let dry = node(240.0, 12.0, f64::INFINITY) * COUNTS;
    let wet = node(240.0, 12.0, 50e3) * COUNTS;
    assert_eq!(life(&asked, 0.0), [dry.floor(), wet.floor()]);
    let open = asked.case("wire open");
    assert_same(number(&open["count"]["lowest"]), 1023.0);
    // Open: 300 Ω beside 50 kΩ, not enough for the clamp at 5.5 V.
    let lifted = node(f64::INFINITY, 12.0, 50e3);
    assert!(lifted < 5.5);
    assert_same(number(&open["pin_current_a"]), 0.0);
    assert_same(number(&open["parts"]["pull_up"]["dissipation_w"]), (lifted - 5.0).powi(2) / 300.0);
    assert!(asked.list("cases").iter().any(|case| case["case"] == "surge"));
    // Off, the rail is at 0 V: 300 Ω beside the sender of 33 Ω take what comes in.
    let off = 12.0 / (50e3 + beside(300.0, 33.0));
    assert_same(number(&asked.input()["supply_current_board_off_a"]), off);
}

/// By hand: of 20 mA a wet connector of 1 kΩ to ground takes one sixth past a burden of 200 Ω. The transmitter drives most
/// against the dry one.
#[test]
fn a_wet_connector_takes_current_from_a_burden() {
    let asked = check(
        "circuit: burden; measures: 4 mA .. 20 mA; compliance: 10 V; burden: 200; protection: none; \
         wet: { to: ground, resistance: 1 kΩ }",
    );
    let (dry, wet) = (0.02 * 200.0 * COUNTS, 0.02 * beside(200.0, 1e3) * COUNTS);
    assert_eq!(life(&asked, 0.02), [wet.floor(), dry.floor()]);
    assert_same(asked.worst("compliance", ""), 4.0);
    assert_same(asked.assured_span(), 0.016 * beside(200.0, 1e3) * COUNTS);
}

/// By hand: a wet connector does not hold a pin that nothing else holds, since it may be dry.
#[test]
fn a_pin_that_only_a_wet_connector_holds_floats() {
    let asked = check(
        "circuit: direct; measures: 0 V .. 5 V; protection: none; wet: { to: ground, resistance: 50 kΩ }",
    );
    assert_eq!(asked.case("wire open")["floating"], true);
}

/// By hand: 12 V over 10 kΩ and 4.7 kΩ would be 3.84 V at the pin, 29 V would be 9.27 V. A clamp of 5.1 V at the node holds
/// that, with the protection of 1 kΩ behind it; the pin's own clamp lets through what 5.1 V less 5.5 V do not drive, or, with
/// the board off, what 5.1 V less 0.5 V drive through 1 kΩ.
#[test]
fn a_clamp_at_the_node_holds_a_chafed_wire() {
    let with = |limits: &str| {
        check(&format!(
            "circuit: divider; measures: 0 V .. 12 V; top: 10k; bottom: 4k7; protection: 1k; limits: {{ {limits} }}; \
             clamp: {{ upper: 5.1 V, tolerance: 0 %, current: 5 mA, leakage: 0 A, at: node }}; survive: [wire to supply]"
        ))
    };
    let contact = 12.0;
    assert_eq!(said(&with(""), "cautions", "zener").len(), 0);
    let asked = with("");
    // The external clamp takes 5 mA and gets nothing; the pin's own takes 1 mA.
    assert_same(number(&asked.case("wire to supply")["pin_current_a"]), 0.0);
    let own: f64 = (5.1 - 0.5) / 1e3;
    let open = contact * 4.7 / 14.7;
    let alone = (open - 0.5) / (1e3 + beside(10e3, 4.7e3));
    assert_same(asked.worst("pin_current", "protection"), own.min(alone));
    let row = asked.row("pin_current", "own upper clamp");
    assert_eq!((row["case"].as_str(), number(&row["allowed"])), (Some("board off"), 1e-3));
    // Its current overrides the converter's; the input's own limit overrides that, too.
    assert_eq!(
        said(&asked, "remarks", "clamp"),
        [
            "an external clamp holds the node in front of the protection below 5.1 V ±0 %; it takes 5 mA and leaks up to 0 A"
        ]
    );
    assert_eq!(with("pin_current: off").row("pin_current", "")["allowed"], Value::Null);
}

/// By hand: 26 V over 10 kΩ and 4.7 kΩ, a clamp of 5.1 V ± 10 % at the node. The wire at 26 V pushes most into the clamp that
/// conducts from 4.59 V: (26 − 4.59)/10 kΩ − 4.59/4.7 kΩ. It is there with the board off, too.
#[test]
fn the_current_into_an_external_clamp() {
    let asked = ask_brief(
        "check",
        &brief(
            "circuit: divider; measures: 0 V .. 8 V; top: 10k; bottom: 4k7; protection: 10k; \
             clamp: { upper: 5.1 V, tolerance: 10 %, current: 1.2 mA, leakage: 0 A, at: node }",
        )
        .replace("highest: 12 V,", "highest: 12 V, contact: 26 V,"),
    );
    let held = 5.1 * 0.9;
    let into = (26.0 - held) / 10e3 - held / 4.7e3;
    for case in ["wire to supply", "board off"] {
        assert_same(number(&asked.case(case)["pin_current_a"]), into);
    }
    let row = asked.row("pin_current", "upper clamp");
    assert_eq!(
        (number(&row["worst"]), number(&row["allowed"]), &row["holds"]),
        (into, 1.2e-3, &Value::Bool(true))
    );
    let count = &asked.case("wire to supply")["count"];
    assert_same(number(&count["lowest"]), (held * COUNTS).floor());
    assert_same(number(&count["highest"]), 1023.0);
}

/// By hand: 1 µA into the pin and 9 µA into the node, both alike. Behind 10 kΩ and 10 kΩ the node moves by 10 µA·5 kΩ, and the
/// pin by another 1 µA·20 kΩ; with the clamp at the pin all 10 µA flow through 20 kΩ as well. While the clamp conducts, at 4 V,
/// the pin is 1 µA·20 kΩ beside it.
#[test]
fn a_clamp_leaks_where_it_is() {
    let with = |place: &str, measured: &str| {
        let input = format!(
            "circuit: divider; measures: 0 V .. {measured}; top: 10k; bottom: 10k; protection: 20k; limits: off; \
             clamp: {{ upper: 4 V, tolerance: 0 %, current: 5 mA, leakage: 9 µA, at: {place} }}"
        );
        ask_brief("check", &brief(&input).replace("leakage: 0 A }", "leakage: 1 µA }"))
    };
    let off = |place: &str| with(place, "4 V").worst("leakage_error", "") / COUNTS;
    assert_same(off("node"), 10e-6 * 5e3 + 1e-6 * 20e3);
    assert_same(off("pin"), 10e-6 * 25e3);
    let [lowest, highest] = life(&with("node", "4 V"), 4.0);
    assert_eq!([lowest, highest], [(1.93 * COUNTS).floor(), (2.07 * COUNTS).floor()]);
    let [lowest, highest] = life(&with("node", "12 V"), 12.0);
    assert_eq!([lowest, highest], [(3.98 * COUNTS).floor(), (4.02 * COUNTS).floor()]);
}

/// Field case: a zener diode of 5.1 V across the lower resistor of a divider that is read up to 5 V bends the reading well
/// below its nominal voltage. One that stays a fifth away does not.
#[test]
fn a_zener_close_to_the_range_bends_the_reading() {
    let with = |measured: f64, upper: f64| {
        check(&format!(
            "circuit: divider; measures: 0 V .. {measured} V; top: 20k; bottom: 10k; protection: 1k; \
             clamp: {{ upper: {upper} V, current: 5 mA, leakage: 0 A, at: node }}"
        ))
    };
    let close = with(15.0, 5.1);
    let said_of = said(&close, "cautions", "zener");
    // 4.845 V at least; four fifths of 95 % of 6.579 V are 5 V.
    let expected = "up to 5 V in normal use on a clamp that may conduct from 4.845 V: a zener diode leaks from some four \
                    fifths of its voltage on, more than `leakage` says, and bends the reading; a clamp of 6.579 V or \
                    more would not";
    assert_eq!(said_of, [expected]);
    assert_eq!(said(&with(15.0, 6.6), "cautions", "zener").len(), 0);
    assert_eq!(said(&with(15.0, 6.5), "cautions", "zener").len(), 1);
    assert_eq!(said(&with(11.6, 5.1), "cautions", "zener").len(), 0);
}

/// By hand: an external clamp of 5.1 V at the pin lies beside the pin's own, which with the board off conducts from 0.5 V:
/// (12 − 0.5) V/10 kΩ − 0.5 V/10 kΩ over the divider, and 1 kΩ of protection behind it.
#[test]
fn a_clamp_at_the_pin_leaves_the_pins_own_to_conduct_first() {
    let with = |place: &str, upper: &str| {
        check(&format!(
            "circuit: divider; measures: 0 V .. 8 V; top: 10k; bottom: 10k; protection: 1k; \
             clamp: {{ upper: {upper}, tolerance: 0 %, current: 5 mA, leakage: 0 A, at: {place} }}"
        ))
    };
    let asked = with("pin", "5.1 V");
    let current = (6.0 - 0.5) / (5e3 + 1e3);
    let expected = format!(
        "board off: the pin's own clamp conducts first, from 500 mV on: up to {:.1} µA",
        current * 1e6
    );
    let said_of = said(&asked, "cautions", "own clamp");
    assert!(said_of[0].starts_with(&expected), "{expected}: {said_of:?}");
    assert_eq!(said(&with("node", "5.1 V"), "cautions", "own clamp").len(), 0);
}
