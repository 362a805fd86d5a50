//! Facts of the trade as check values: common practice, no published source.
//!
//! Coolant is normally at 195..220 °F (90.6..104.4 °C), oil pressure at 25..65 psi (1.72..4.48 bar); a 12 V system has
//! 12.4..12.8 V at rest and 13..14.7 V running; a supply swings from 9 V to 25 V.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use support::program::{Asked, ask, ask_brief, number};

/// A number rounds to the digits that the fact gives.
#[track_caller]
fn assert_rounds_to(found: f64, expected: &str) {
    let decimals = expected.split_once('.').map_or(0, |(_, digits)| digits.len());
    assert_eq!(format!("{found:.decimals$}"), expected, "{found}");
}

fn zone(asked: &Asked) -> [f64; 2] {
    ["from", "to"].map(|end| number(&asked.input()["resolution"][end]))
}

fn coolant(zone: &str, hot: &str) -> Asked {
    ask_brief(
        "design",
        &format!(
            "board: engine\ninputs:\n  coolant:\n    circuit: pull-up\n    pull_up: choose\n    aim: resolution\n    \
             sender: {{ ntc: {{ resistance: 2 kΩ, beta: 3600 K }}, range: 20 °C .. 125 °C }}\n    \
             zone: {zone}\n    alarms: {{ hot: {{ above: {hot} }} }}\n"
        ),
    )
}

#[test]
fn normal_coolant_is_the_same_zone_in_either_unit() {
    let fahrenheit = coolant("195 °F .. 220 °F", "220 °F");
    let [from, to] = zone(&fahrenheit);
    assert_rounds_to(from, "90.6");
    assert_rounds_to(to, "104.4");
    let celsius = coolant("90.5555555556 .. 104.4444444444", "104.4444444444");
    assert_eq!(fahrenheit.ohms("pull_up"), celsius.ohms("pull_up"));
    // The alarm comes on every board, and not before normal coolant is left by far.
    let comes = &fahrenheit.list("alarms")[0]["comes"];
    let (lowest, highest) = (number(&comes["lowest"]), number(&comes["highest"]));
    assert!(lowest < 104.4 && 104.4 < highest && lowest > 95.0 && highest < 115.0, "{comes}");
}

#[test]
fn normal_oil_pressure_is_a_zone_in_bar() {
    let points = "pull-up --sender 0:10,5:107,10:184 --unit bar --aim error --sender-tolerance 2%";
    let mut arguments: Vec<&str> = points.split(' ').collect();
    arguments.extend(["--zone", "25psi..65psi"]);
    let asked = ask(&arguments.join(" "));
    let [from, to] = zone(&asked);
    assert_rounds_to(from, "1.72");
    assert_rounds_to(to, "4.48");
    let error = &asked.input()["error"];
    let at = number(&error["at"]);
    assert!((1.72..=4.49).contains(&at) && number(&error["greatest"]) > 0.0, "{error}");
}

/// A battery low at rest and one that is overcharged are told from a healthy one, with good parts and a good reference.
#[test]
fn alarms_of_a_12_v_system_come_where_they_must() {
    let brief = "board: launch\nrails: { logic: { voltage: 5 V, tolerance: 0.5 % } }\nconverter: { bits: 12, gain: 0.1 % }\n\
                 resistors: { tolerance: 0.1 %, tempco: 25 ppm/K, ageing: 0.1 %, series: E96 }\ninputs:\n  battery:\n    \
                 circuit: divider\n    from: supply\n    measures: 0 V .. 20 V\n    top: choose\n    bottom: choose\n    \
                 capacitor: 1 µF\n    zone: 12.4 V .. 14.7 V\n    \
                 alarms: { flat: { below: 12.1 }, overcharged: { above: 15 } }\n";
    let asked = ask_brief("design", brief);
    assert_eq!(asked.status, 0);
    for (i, normal) in [(0, 12.4), (1, 14.7)] {
        let comes = &asked.list("alarms")[i]["comes"];
        let (lowest, highest) = (number(&comes["lowest"]), number(&comes["highest"]));
        assert!(highest - lowest < 0.6, "{comes}");
        assert!(if i == 0 { highest < normal } else { lowest > normal }, "{comes}");
    }
}

#[test]
fn a_supply_swings_from_9_v_to_25_v_unless_a_brief_knows_better() {
    let asked = ask("pull-up --sender 240..33");
    let assumed = asked.answer["assumed"].as_array().unwrap();
    for (key, value) in [("supply.lowest", "9 V"), ("supply.highest", "25 V"), ("supply.usual", "13.2 V")] {
        let found = assumed.iter().find(|assumed| assumed["key"] == key).unwrap();
        assert_eq!(found["value"], value);
    }
}
