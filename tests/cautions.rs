//! What may hurt somebody or something: each caution comes where its cause is there, and does not come without.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use support::program::ask_brief;

/// The cautions of the board and of its input, each on its own line.
fn cautions(brief: &str) -> String {
    let asked = ask_brief("check", brief);
    assert_ne!(asked.status, 2, "{}", asked.answer);
    let texts = |of: &serde_json::Value| {
        of.as_array().unwrap().iter().map(|text| text.as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    [texts(&asked.answer["cautions"]), texts(&asked.input()["cautions"])].concat().join("\n")
}

/// A pull-up that nothing can be said against, with other lines of the board and of the input.
fn pull_up(board: &str, input: &str) -> String {
    format!(
        "board: bench\n{board}\ninputs:\n  a:\n    circuit: pull-up\n    sender: 240 Ω .. 33 Ω\n    pull_up: 1k\n    {input}\n"
    )
}

fn divider(measures: &str) -> String {
    format!(
        "board: bench\nsupply: {{ highest: 16 V, surge: 29 V }}\ninputs:\n  a:\n    circuit: divider\n    measures: \
         {measures}\n    top: 390k\n    bottom: 10k\n    protection: none\n"
    )
}

/// Checks that a text comes from one brief and not from the other.
#[track_caller]
fn comes(text: &str, from: &str, not_from: &str) {
    let (found, other) = (cautions(from), cautions(not_from));
    assert!(found.contains(text), "missing: {text}\n{found}");
    assert!(!other.contains(text), "without cause: {text}\n{other}");
}

/// 60 V DC dry and 30 V DC wet: IEC 61140 and IEC 60364-4-41, figures from memory; 50 V d.c.: scope of ISO 10133 and ISO
/// 13297.
#[test]
fn voltages_that_shock() {
    let wet = "above 30 V DC there is a shock hazard in wet places";
    comes(wet, &divider("0 V .. 31 V"), &divider("0 V .. 30 V"));
    comes("rules for small craft end at 50 V DC", &divider("0 V .. 51 V"), &divider("0 V .. 50 V"));
    comes("above 60 V DC there is a shock hazard", &divider("0 V .. 61 V"), &divider("0 V .. 60 V"));
    comes(wet, &divider("-31 V .. 0 V"), &divider("-30 V .. 0 V"));
    // What a wire may touch, and a surge.
    let supply = |keys: &str| pull_up(&format!("supply: {{ {keys} }}"), "protection: 100k");
    comes(wet, &supply("contact: 31 V, surge: 29 V"), &supply("contact: 30 V, surge: 29 V"));
    comes(wet, &supply("surge: 31 V"), &supply("surge: 30 V"));
}

#[test]
fn a_surge_that_is_not_given() {
    let given = pull_up("supply: { surge: 29 V }", "protection: 100k");
    comes("surge not examined", &pull_up("", "protection: 100k"), &given);
}

/// 10 mA and 25 mW: figures from memory, not limits of a standard. By hand: 5.1 V over at least 33 Ω and 1 kΩ are 5 mA, over
/// 33 Ω and 300 Ω 15.7 mA.
#[test]
fn current_in_a_petrol_sender() {
    let with = |fluid: &str, pull_up_ohms: &str| {
        pull_up("", &format!("fluid: {fluid}\n    protection: 100k")).replace("1k", pull_up_ohms)
    };
    let text = "in a petrol sender: keep below 10 mA and 25 mW";
    comes(text, &with("petrol", "300"), &with("petrol", "1k"));
    comes(text, &with("petrol", "300"), &with("diesel", "300"));
}

/// By hand: 25 V on 33 Ω are 18.94 W.
#[test]
fn a_chafed_wire_into_a_tank() {
    let with = |fluid: &str| pull_up("", &format!("fluid: {fluid}\n    protection: 100k"));
    let text =
        "a wire that chafes through to the supply puts 18.94 W into the sender in its tank (25 V on 33 Ω)";
    comes(text, &with("petrol"), &with("water"));
    comes(text, &with("diesel"), &with("oil"));
    comes("rules for ignition protection", &with("petrol"), &with("diesel"));
    let to_nothing = with("petrol").replace("240 Ω .. 33 Ω", "0 Ω .. 190 Ω");
    comes("feeds its short-circuit current into the sender", &to_nothing, &with("petrol"));
}

/// By hand: 100 nF at 25 V hold 31.25 µJ.
#[test]
fn a_capacitor_on_the_side_of_a_sender_in_fuel() {
    let with = |fluid: &str, protection: &str| {
        pull_up("", &format!("fluid: {fluid}\n    limits: off\n    protection: {protection}"))
    };
    let text = "no resistor stands between 100 nF at the pin and the sender in fuel: at 25 V it would discharge 31.2 µJ";
    comes(text, &with("petrol", "none"), &with("petrol", "1k"));
    comes(text, &with("diesel", "none"), &with("water", "none"));
    comes(text, &with("petrol", "none"), &with("petrol", "none\n    capacitor: none"));
}

#[test]
fn a_rail_that_is_lifted() {
    let board = |takes: &str| {
        pull_up(
            &format!("rails: {{ logic: {{ voltage: 5 V, tolerance: 2 %, least_load: {takes} }} }}"),
            "protection: 100k",
        )
    };
    comes("the rail may be lifted to", &board("10 mA"), &board("40 mA"));
}

/// A clamp that conducts in normal use: 16 V on 10k/10k are 8 V on a pin of 5 V.
#[test]
fn a_clamp_that_conducts_in_normal_use() {
    let with = |bottom: &str| divider("0 V .. 16 V").replace("390k", "10k").replace("bottom: 10k", bottom);
    comes("a clamp of the pin conducts in normal use", &with("bottom: 10k"), &with("bottom: 3k3"));
}

/// Every report says once that it is a calculation, that wires want fuses, and that an instrument is no safety device.
#[test]
fn what_every_report_says() {
    let run = support::program::run("pull-up --sender 240..33");
    let text = run.results.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "This is a calculation and no certificate.",
        "Follow the local codes for the vehicle or vessel, have licensed people do licensed work",
        "fuse every wire from a battery at its source: battery currents burn.",
        "An instrument built this way is an aid and no safety device",
        "Resistors near their rating exceed 100 °C.",
    ] {
        assert_eq!(text.matches(part).count(), 1, "{part}");
    }
}
