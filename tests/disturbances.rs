//! What a supply and a wire do to an input: levels of standards and hand calculations.
//!
//! Nothing drifts, leaks or deviates here, so that every expected number is a plain formula that stands beside it. The
//! pin conducts at 5.5 V: a rail of 5 V and a clamp of 0.5 V.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use serde_json::Value;

use support::program::{Asked, ask_brief, number};

/// What makes everything exact.
const IDEAL: &str = "\
ambient: { lowest: 25 °C, highest: 70 °C }
rails: { logic: { voltage: 5 V, tolerance: 0 % }, sensors: { voltage: 3 V, tolerance: 0 % } }
converter: { bits: 10, offset: 0, gain: 0 %, inl: 0, leakage: 0 A, clamp: 0.5 V, pin_current: 1 mA, reference: logic }
";

const RESISTORS: &str = "tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 %, rating: 125 mW, working_voltage: 150 V, \
                         derate_to: 100 %";

/// Checks one input on an ideal board.
fn check_on(supply: &str, more_of_resistors: &str, input: &str) -> Asked {
    let resistors = format!("resistors: {{ {RESISTORS}{more_of_resistors} }}");
    ask_brief("check", &format!("{IDEAL}supply: {{ {supply} }}\n{resistors}\ninputs:\n  a: {{ {input} }}\n"))
}

fn check(supply: &str, input: &str) -> Asked {
    check_on(supply, "", input)
}

/// A supply straight on the pin.
fn on_the_supply(protection: &str) -> String {
    format!("circuit: direct, from: supply, measures: 0 V .. 4 V, protection: {protection}, survive: [surge]")
}

/// The same to a part in 1e9.
#[track_caller]
fn assert_same(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs(), "found {found}, by hand {expected}");
}

fn part<'a>(asked: &'a Asked, case: &str, role: &str) -> &'a Value {
    &asked.case(case)["parts"][role]
}

fn pin_current(asked: &Asked, case: &str) -> f64 {
    number(&asked.case(case)["pin_current_a"])
}

/// Field case: 16 V over 10 kΩ into a pin that conducts at 5.5 V makes 1.05 mA and 11 mW, 24 V 1.85 mA, 35 V 2.95 mA; 101
/// V, the load dump of ISO 16750-2 without suppression, 9.55 mA and 0.91 W.
#[test]
fn surges_over_ten_kiloohms() {
    for (volts, milliamperes) in [("16 V", 1.05), ("24 V", 1.85), ("35 V", 2.95), ("101 V", 9.55)] {
        let asked = check(&format!("surge: {volts}"), &on_the_supply("10k"));
        assert_same(pin_current(&asked, "surge"), milliamperes * 1e-3);
    }
    let asked = check("surge: 16 V", &on_the_supply("10k"));
    assert_same(asked.watts("surge", "protection"), 11.025e-3);
    let asked = check("surge: ISO 16750-2 12 V load dump A", &on_the_supply("10k"));
    assert_same(pin_current(&asked, "surge"), 9.55e-3);
    assert_same(asked.watts("surge", "protection"), 0.912_025);
    // For 400 ms.
    assert_same(number(&part(&asked, "surge", "protection")["energy_j"]), 0.364_81);
    assert!(!asked.holds("pin_current", ""));
}

/// The same: 1 mA out of 101 V wants 95.5 kΩ.
#[test]
fn a_load_dump_wants_95_kiloohms() {
    let holds = |ohms: &str| {
        let asked = check("surge: ISO 16750-2 12 V load dump A", &on_the_supply(ohms));
        asked.holds("pin_current", "")
    };
    assert!(holds("95.5k"));
    assert!(!holds("95.4k"));
}

/// ISO 7637-2 pulse 1, 12 V: −150 V out of a pin that conducts at −0.5 V. By hand: 149.5 V over 10 kΩ.
#[test]
fn a_pulse_below_zero_comes_out_of_the_pin() {
    let asked = check("surge: ISO 7637-2 12 V pulse 1", &on_the_supply("10k"));
    assert_same(pin_current(&asked, "surge"), 14.95e-3);
    assert_eq!(asked.row("pin_current", "")["side"], "lower clamp");
    assert_eq!(asked.case("surge")["count"]["highest"], 0.0);
}

/// Of several surges the worst counts; the energy of each is that of its own time, and not known if one time is not.
#[test]
fn several_surges_are_one_row() {
    let asked = check("surge: [35 V, 58 V], surge_time: 1 s", &on_the_supply("10k"));
    assert_same(pin_current(&asked, "surge"), 5.25e-3);
    let both = "surge: [ISO 7637-2 12 V pulse 2a, ISO 16750-2 12 V load dump B]";
    let asked = check(both, &on_the_supply("10k"));
    // By hand: 120 V over 10 kΩ for 50 µs, and 29.5 V for 400 ms.
    assert_same(asked.watts("surge", "protection"), 1.44);
    assert_same(number(&part(&asked, "surge", "protection")["energy_j"]), 0.087_025 * 0.4);
    let asked = check("surge: [35 V, ISO 16750-2 12 V load dump B]", &on_the_supply("10k"));
    assert!(part(&asked, "surge", "protection")["energy_j"].is_null());
}

/// A pulse of 150 ns is no hazard of direct current, a load dump of 400 ms is, and so is a jump start.
#[test]
fn short_pulses_are_no_shock_hazard() {
    let cautions = |supply: &str| {
        let asked =
            check(&format!("highest: 16 V, {supply}"), &on_the_supply("10k").replace("[surge]", "[]"));
        let cautions = asked.answer["cautions"].as_array().unwrap().clone();
        cautions.iter().filter(|caution| caution.as_str().unwrap().contains("shock hazard")).count()
    };
    assert_eq!(cautions("surge: ISO 7637-2 24 V pulse 3b"), 0);
    assert_eq!(cautions("surge: ISO 16750-2 12 V load dump A"), 1);
    assert_eq!(cautions("jump_start: 24 V"), 0);
    assert_eq!(cautions("jump_start: 48 V"), 1);
}

const SUPPLY_DIVIDER: &str = "circuit: divider, from: supply, measures: 0 V .. 15 V, top: 22k, bottom: 11k, \
                              protection: 1k, survive: [jump start, cranking]";

/// By hand: a third of 24 V is 8 V behind 22 kΩ | 11 kΩ; into 5.5 V over that and 1 kΩ. A third of 6 V is 2 V of 5 V.
#[test]
fn jump_start_and_cranking_of_a_measured_supply() {
    let asked = check("jump_start: ISO 16750-2, cranking: ISO 16750-2", SUPPLY_DIVIDER);
    assert_same(pin_current(&asked, "jump start"), 2.5 / (22e3 / 3.0 + 1e3));
    // For 60 s: what is left for `top` is 24 V less the node, which its pin holds.
    let current = 2.5 / (22e3 / 3.0 + 1e3);
    let top = 24.0 - (5.5 + current * 1e3);
    assert_same(asked.watts("jump start", "top"), top * top / 22e3);
    assert_same(number(&part(&asked, "jump start", "top")["energy_j"]), 60.0 * top * top / 22e3);
    let cranking = asked.case("cranking");
    assert_eq!((number(&cranking["count"]["lowest"]), number(&cranking["count"]["highest"])), (409.0, 409.0));
    assert_same(asked.watts("cranking", "top"), 16.0 / 22e3);
    assert!(part(&asked, "cranking", "top")["energy_j"].is_null());
}

/// A sender that the supply excites sees it, too; one on a rail does not.
#[test]
fn only_what_is_tied_to_the_supply_sees_it() {
    let cases = |excitation: &str| {
        let input = format!(
            "circuit: pull-up, sender: 100 .. 0, pull_up: 1k, protection: 10k, excitation: {excitation}"
        );
        let asked = check("surge: 35 V, jump_start: 24 V, cranking: 6 V", &input);
        let names = asked.list("cases").iter().map(|case| case["case"].as_str().unwrap().to_owned());
        names.collect::<Vec<_>>()
    };
    let always = ["wire open", "wire to ground", "wire to supply"];
    assert_eq!(cases("logic"), [&always[..], &["board off", "ground lost", "wire to rail"]].concat());
    let tied = ["surge", "board off", "ground lost", "jump start", "cranking", "wire to rail"];
    assert_eq!(cases("supply"), [&always[..], &tied].concat());
}

fn burden(wire: &str, fed_by: &str) -> String {
    format!(
        "circuit: burden, measures: 4 mA .. 20 mA, burden: 250, protection: 10k, wire: {wire}, loop: {fed_by}, \
         survive: [transmitter short]"
    )
}

/// Common practice: 20 mA in 250 Ω are 5 V. By hand: on 24 V the burden takes 96 mA and 2.304 W, and 18.5 V stand over
/// the protection.
#[test]
fn a_transmitter_that_fails_to_its_loop_supply() {
    let asked = check("highest: 16 V", &burden("0 Ω", "{ voltage: 24 V, tolerance: 0 % }"));
    assert_same(number(&asked.checkpoint(0.02)["source_ampere"]) * 250.0, 5.0);
    assert_same(pin_current(&asked, "transmitter short"), 1.85e-3);
    assert_same(asked.watts("transmitter short", "burden"), 2.304);
    assert_eq!(asked.case("transmitter short")["count"]["lowest"], 1023.0);
    // Through 10 Ω of wire the node sees 24 V·250/260 behind 250 Ω | 10 Ω.
    let asked = check("highest: 16 V", &burden("10 Ω", "{ voltage: 24 V, tolerance: 0 % }"));
    let (node, behind) = (24.0 * 250.0 / 260.0, 2500.0 / 260.0);
    assert_same(pin_current(&asked, "transmitter short"), (node - 5.5) / (behind + 10e3));
    // 5 % more.
    let asked = check("highest: 16 V", &burden("0 Ω", "{ voltage: 24 V, tolerance: 5 % }"));
    assert_same(pin_current(&asked, "transmitter short"), 1.97e-3);
}

/// By hand: on a rail of 3 V the pin shows 614 of 1024 counts; on the supply its swing, whose highest counts for the pin.
#[test]
fn a_loop_may_be_fed_by_a_rail_or_the_supply() {
    let asked = check("highest: 16 V", &burden("0 Ω", "sensors"));
    let count = &asked.case("transmitter short")["count"];
    assert_eq!((number(&count["lowest"]), number(&count["highest"])), (614.0, 614.0));
    let asked = check("highest: 16 V", &burden("0 Ω", "supply"));
    assert_same(pin_current(&asked, "transmitter short"), 1.05e-3);
}

/// By hand: 3 V of 5 V and 5 V of 5 V; a rail of 17 V pushes 11.5 V over 10 kΩ into the pin.
#[test]
fn a_wire_on_any_rail() {
    let input = "circuit: pull-up, sender: 100 .. 0, pull_up: 1k, protection: 10k";
    let asked = check("highest: 16 V", input);
    let case = asked.case("wire to rail");
    assert_eq!((number(&case["count"]["lowest"]), number(&case["count"]["highest"])), (614.0, 1023.0));
    assert_eq!(pin_current(&asked, "wire to rail"), 0.0);
    assert_same(asked.watts("wire to rail", "pull_up"), 4e-3);
    let brief = format!(
        "{}supply: {{ contact: 5 V, highest: 9 V, usual: 9 V }}\nresistors: {{ {RESISTORS} }}\ninputs:\n  a: {{ {input} }}\n",
        IDEAL.replace("voltage: 3 V", "voltage: 17 V")
    );
    let asked = ask_brief("check", &brief);
    assert_same(pin_current(&asked, "wire to rail"), 1.15e-3);
    // The pin is judged by it.
    assert_eq!(asked.row("pin_current", "")["case"], "wire to rail");
}

/// Data sheets of chip resistors: the rated voltage is √(P·R) or the highest working voltage, whichever is less; 0.1 W and
/// 1 kΩ are 10 V. 100 kΩ of the same size are held by its 75 V, at which they dissipate 56 mW (by hand).
#[test]
fn rated_voltage() {
    let holds = |volts: &str, ohms: &str| {
        let brief = format!(
            "rails: {{ logic: {{ voltage: 5 V }}, e: {{ voltage: {volts}, tolerance: 0 % }} }}\n\
             resistors: {{ {} }}\nlimits: {{ pin_current: off, converter_range: off, settling: off }}\n\
             inputs: {{ a: {{ circuit: pull-up, excitation: e, sender: 0 Ω .. 100 Ω, pull_up: {ohms}, protection: 10k }} }}\n",
            RESISTORS.replace("125 mW", "100 mW").replace("150 V", "75 V"),
        );
        let asked = ask_brief("check", &brief);
        (asked.holds("dissipation", "pull_up"), asked.holds("part_voltage", "pull_up"))
    };
    assert_eq!(holds("10 V", "1k"), (true, true));
    assert_eq!(holds("10.1 V", "1k"), (false, true));
    assert_eq!(holds("75 V", "100k"), (true, true));
    assert_eq!(holds("75.1 V", "100k"), (true, false));
}

/// Data sheets of chip resistors: a short-time overload of 2.5 times the rated voltage for 5 s, which is 6.25 times 125 mW,
/// or the maximum overload voltage of 300 V.
const MOMENTARY: &str = ", momentary: { power: 0.78125 W, voltage: 300 V, time: 5 s }";

/// What a part may bear in a surge of 50 V for that long: of dissipation and part_voltage the bound, and what it goes by.
fn borne(surge: &str, momentary: &str, ambient: &str) -> [(f64, Option<String>); 2] {
    let brief = format!(
        "{}supply: {{ {surge} }}\nresistors: {{ {RESISTORS}{momentary} }}\ninputs:\n  a: {{ {} }}\n",
        IDEAL.replace("70 °C", ambient),
        // In normal use next to nothing.
        on_the_supply("10k").replace("direct", "direct, limits: { pin_current: off }")
    );
    let asked = ask_brief("check", &brief);
    ["dissipation", "part_voltage"].map(|limit| {
        let row = asked.row(limit, "protection");
        assert_eq!(row["case"], "surge");
        (number(&row["allowed"]), row["side"].as_str().map(str::to_owned))
    })
}

#[test]
fn a_short_surge_is_judged_by_what_a_part_stands_for_a_while() {
    let momentary = || Some("momentary".to_owned());
    let steady = [(0.125, None), (150.0, None)];
    assert_eq!(
        borne("surge: 50 V, surge_time: 400 ms", MOMENTARY, "70 °C"),
        [(0.781_25, momentary()), (300.0, momentary())]
    );
    // As long as its time, too, but not longer, and not if one of the two times is not known.
    assert_eq!(borne("surge: 50 V, surge_time: 5 s", MOMENTARY, "70 °C")[0].1, momentary());
    assert_eq!(borne("surge: 50 V, surge_time: 5.1 s", MOMENTARY, "70 °C"), steady);
    assert_eq!(borne("surge: 50 V", MOMENTARY, "70 °C"), steady);
    assert_eq!(borne("surge: 50 V, surge_time: 400 ms", "", "70 °C"), steady);
    // Half way between 70 °C and 155 °C half of the power is left; voltages are not derated.
    let [(power, _), (voltage, _)] = borne("surge: 50 V, surge_time: 400 ms", MOMENTARY, "112.5 °C");
    assert_same(power, 0.390_625);
    assert_same(voltage, 300.0);
}

/// 44.5 V over 10 kΩ are 198 mW: too much for good, not for 400 ms.
#[test]
fn a_part_that_lives_through_a_short_surge_is_not_remarked() {
    let remarks = |surge: &str| {
        let input = on_the_supply("10k").replace("[surge]", "[]");
        let asked = check_on(surge, MOMENTARY, &input);
        let remarks = asked.list("remarks").iter();
        remarks.filter(|remark| remark.as_str().unwrap().starts_with("surge:")).count()
    };
    assert_eq!(remarks("surge: 50 V"), 1);
    assert_eq!(remarks("surge: 50 V, surge_time: 400 ms"), 0);
}

/// The search judges by the same bounds: 400 ms of 50 V may go through 2.6 kΩ and more (by hand: 44.5²/0.78125 = 2534.7),
/// for good through 15.9 kΩ and more (15842).
#[test]
fn the_smallest_part_that_lives_through_a_surge() {
    let chosen = |surge: &str| {
        let input = on_the_supply("choose").replace("direct", "direct, limits: { pin_current: off }");
        let resistors = format!("resistors: {{ {RESISTORS}{MOMENTARY}, series: E96 }}");
        let brief = format!("{IDEAL}supply: {{ {surge} }}\n{resistors}\ninputs:\n  a: {{ {input} }}\n");
        ask_brief("design", &brief).ohms("protection")
    };
    assert_eq!(chosen("surge: 50 V, surge_time: 400 ms"), 2550.0);
    assert_eq!(chosen("surge: 50 V"), 16_200.0);
}

fn reading(asked: &Asked, fault: &str, value: f64) -> f64 {
    let row = asked.list("soft_faults").iter().find(|row| row["fault"] == fault).unwrap();
    let readings = row["readings"].as_array().unwrap();
    number(&readings.iter().find(|reading| reading["value"].as_f64() == Some(value)).unwrap()["reading"])
}

/// By hand, 0 Ω .. 200 Ω for 0 .. 100 % below 100 Ω: a contact of 20 Ω makes 60 % of 50 %, one of 5 Ω 52.5 %; 10 kΩ beside
/// 100 Ω are 99.01 Ω, 49.5 %. At 16 bits truncation is not worth a hundredth.
#[test]
fn soft_faults_of_a_sender() {
    let input =
        "circuit: pull-up, sender: 0 Ω .. 200 Ω, pull_up: 100, protection: 10k, checkpoints: [0, 50, 100]";
    let brief = format!(
        "{}resistors: {{ {RESISTORS} }}\ninputs:\n  a: {{ {input} }}\n",
        IDEAL.replace("bits: 10", "bits: 16")
    );
    let asked = ask_brief("check", &brief);
    let close = |fault: &str, value: f64, expected: f64| {
        let found = reading(&asked, fault, value);
        assert!((found - expected).abs() < 0.01, "{fault} at {value}: {found}, by hand {expected}");
    };
    close("20 Ω in series", 50.0, 60.0);
    close("5 Ω in series", 50.0, 52.5);
    close("20 Ω in series", 0.0, 10.0);
    close("10 kΩ across", 50.0, 100.0 * 10e3 / 10.1e3 / 2.0);
    close("10 kΩ across", 100.0, 200.0 * 10e3 / 10.2e3 / 2.0);
    // A reading ends where the range ends.
    close("20 Ω in series", 100.0, 100.0);
}

/// The same by hand: below its sender a pull-down falls with it, and moisture lies beside the sender, not beside the
/// pull-down.
#[test]
fn soft_faults_above_a_pull_down() {
    let input =
        "circuit: pull-down, sender: 0 Ω .. 200 Ω, pull_down: 100, protection: 10k, checkpoints: [50]";
    let brief = format!(
        "{}resistors: {{ {RESISTORS} }}\ninputs:\n  a: {{ {input} }}\n",
        IDEAL.replace("bits: 10", "bits: 16")
    );
    let asked = ask_brief("check", &brief);
    for (fault, expected) in [("20 Ω in series", 60.0), ("10 kΩ across", 50.0 * 10e3 / 10.1e3)] {
        let found = reading(&asked, fault, 50.0);
        assert!((found - expected).abs() < 0.01, "{fault}: {found}, by hand {expected}");
    }
}

/// By hand: 10 V behind 1 kΩ, over 19 kΩ and 20 kΩ; moisture of 10 kΩ makes of 10 V behind 1 kΩ 9.0909 V behind 909 Ω. What
/// feeds the divider without resistance stays where it is.
#[test]
fn soft_faults_of_a_voltage() {
    let asked = |resistance: &str| {
        let input = format!(
            "circuit: divider, measures: 0 V .. 10 V, signal_resistance: {resistance}, top: 19k, bottom: 20k, \
             protection: 1k, checkpoints: [0, 8]"
        );
        let brief = format!(
            "{}resistors: {{ {RESISTORS} }}\ninputs:\n  a: {{ {input} }}\n",
            IDEAL.replace("bits: 10", "bits: 16")
        );
        ask_brief("check", &brief)
    };
    let node = 8.0 * 10.0 / 11.0 * 20e3 / (10e3 / 11.0 + 39e3);
    let found = reading(&asked("1 kΩ"), "10 kΩ across", 8.0);
    assert!((found - node / 0.5).abs() < 1e-3, "{found}, by hand {}", node / 0.5);
    let found = reading(&asked("0 Ω"), "10 kΩ across", 8.0);
    assert!((found - 8.0).abs() < 1e-3, "{found}");
    let found = reading(&asked("0 Ω"), "20 Ω in series", 8.0);
    let by_hand = 8.0 * 39e3 / 39.02e3;
    assert!((found - by_hand).abs() < 1e-3, "{found}, by hand {by_hand}");
}

/// A transmitter drives its current through any contact: nothing is said.
#[test]
fn a_transmitter_has_no_soft_faults() {
    let asked = check("highest: 16 V", &burden("0 Ω", "supply"));
    assert!(asked.input()["soft_faults"].is_null());
}
