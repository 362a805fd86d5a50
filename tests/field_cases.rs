//! Field cases: problems that people brought to public threads, each asked through the command line.
//!
//! The expected numbers are field cases, recomputed by closed form; they are compared with all the digits
//! that they are given with. Parts are ideal unless a case says otherwise.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use support::program::{Asked, ask, ask_brief, ask_ideal, number};

/// A sender that is fed by 5 V, exactly, beside a converter of 3.3 V.
const FED_BY_5_V: &str = "--rail 3.3V --excitation 5V --excitation-tolerance 0%";

fn check(brief: &str) -> Asked {
    ask_brief("check", brief)
}

/// A number rounds to the digits that the case gives.
#[track_caller]
fn assert_rounds_to(found: f64, expected: &str) {
    let decimals = expected.split_once('.').map_or(0, |(_, digits)| digits.len());
    assert_eq!(format!("{found:.decimals$}"), expected, "{found}");
}

/// Field case: a fuel sender of 303..35 Ω, for which somebody advised 1 kΩ; span and current belong together.
#[test]
fn more_span_costs_more_current() {
    let with = |pull_up: u32| {
        ask_ideal(&format!("pull-up --sender 303..35 --pull-up {pull_up} --protection none --limit off"))
    };
    for (pull_up, volts, milliamperes) in
        [(103, "2.463", "36"), (150, "2.398", "27"), (330, "1.914", "13.7"), (1000, "0.994", "4.8")]
    {
        let asked = with(pull_up);
        assert_rounds_to(asked.nominal_span() * 5.0 / 1024.0, volts);
        assert_rounds_to(asked.worst("sender_current", "") * 1e3, milliamperes);
    }
    assert!(with(103).nominal_span() > with(102).nominal_span());
    assert!(with(103).nominal_span() > with(104).nominal_span());
}

/// Field case: the same sender with 100 Ω from 5 V is too much for a bare pin of 3.3 V.
#[test]
fn a_pull_up_to_5_v_overdrives_a_3_3_v_pin() {
    let asked = ask_ideal(&format!("pull-up --sender 303..35 --pull-up 100 --protection none {FED_BY_5_V}"));
    assert_eq!(asked.status, 1);
    assert!(!asked.holds("converter_range", "top"));
    assert_rounds_to(asked.worst("converter_range", "top") * 3.3 / 1024.0, "3.76");
}

/// Field case: a sender straight on the pin; a resistance makes no voltage.
#[test]
fn a_sender_straight_on_the_pin_is_refused() {
    let direct = "board: bench\ninputs: { fuel: { circuit: direct, sender: 240 .. 33 } }\n";
    let without = "board: bench\ninputs: { fuel: { circuit: pull-up, sender: 240 .. 33, pull_up: none } }\n";
    for (brief, key) in [(direct, "inputs.fuel.sender"), (without, "inputs.fuel.pull_up")] {
        let asked = check(brief);
        assert_eq!(asked.status, 2);
        let error = &asked.answer["errors"][0];
        assert_eq!(error["key"], key);
        let expected = error["expected"].as_str().unwrap();
        for words in
            ["a resistance makes no voltage", "0 V while the sender is connected", "floats when it is open"]
        {
            assert!(expected.contains(words), "{expected}");
        }
    }
}

/// Field case: 0..180 Ω with 1 kΩ to 5 V uses a quarter of a 3.3 V converter; less than 92.7 Ω is too much
/// for it.
#[test]
fn a_3_3_v_converter_behind_a_sender_that_5_v_feeds() {
    let with = |pull_up: &str, bits: u32| {
        ask_ideal(&format!(
            "pull-up --sender 0..180 --pull-up {pull_up} --protection none --bits {bits} {FED_BY_5_V} \
             --limit settling=off"
        ))
    };
    assert_rounds_to(with("1k", 12).nominal_count(100.0) / 4096.0 * 3300.0, "763");
    // The highest count is one below full scale, which 24 bits make small beside the digits of the case.
    assert!(!with("92.7", 24).holds("converter_range", "top"));
    assert!(with("92.8", 24).holds("converter_range", "top"));
    // With the wire open all of 5 V stands behind the pull-up and drives the clamp, half a volt above 3.3 V.
    let asked = with("92.7", 12);
    let open = asked.case("wire open");
    assert_eq!(open["count"]["lowest"], 4095.0);
    assert_rounds_to(number(&open["pin_current_a"]) * 92.7 + 3.3 + 0.5, "5.000");
}

/// Field case: the same sender fed from the reference itself, with as much resistance as it has.
#[test]
fn a_sender_that_the_reference_feeds() {
    let asked = ask_ideal(
        "pull-up --sender 0..180 --pull-up 180 --protection none --bits 12 --rail 3.3V --limit off",
    );
    assert_rounds_to(asked.nominal_count(100.0) / 4096.0 * 3.3, "1.65");
    assert_eq!(asked.case("wire open")["pin_current_a"], 0.0);
}

/// Field case: a pull-up that was sized for full scale alone, 46 Ω from 5 V for a tank of 0..90 Ω.
#[test]
fn a_pull_up_that_only_fits_full_scale() {
    // The wire goes straight to the pin, or with protection: what the pull-up takes is the same.
    for protection in ["none", "10k"] {
        let asked = ask_ideal(&format!(
            "pull-up --sender 0..90 --pull-up 46 --protection {protection} --supply 9..14.4V --contact 14.4V \
             {FED_BY_5_V}"
        ));
        assert_eq!(asked.status, 1);
        assert!(!asked.holds("converter_range", "top"));
        assert_rounds_to(asked.worst("converter_range", "top") * 3.3 / 1024.0, "3.309");
        assert!(!asked.holds("dissipation", "pull_up"));
        assert_rounds_to(asked.worst("dissipation", "pull_up"), "0.543");
        assert_eq!(asked.row("dissipation", "pull_up")["at"], 0.0);
        let chafed = &asked.case("wire to supply")["parts"]["pull_up"];
        assert_rounds_to(number(&chafed["dissipation_w"]), "1.92");
        let share = asked.nominal_count(50.0) / asked.nominal_count(100.0);
        assert_rounds_to(share * 100.0, "74.7");
    }
}

/// Field case: a sender with 240 Ω at full, the reverse of the usual; the brief says which end is which.
#[test]
fn the_direction_of_a_sender_is_never_inferred() {
    let with = |pull_up: &str| {
        ask_ideal(&format!(
            "pull-up --sender 33..240 --pull-up {pull_up} --protection none --bits 24 {FED_BY_5_V} \
             --limit settling=off"
        ))
    };
    let asked = with("100");
    assert_eq!(asked.checkpoint(0.0)["sender_ohm"], 33.0);
    assert_eq!(asked.checkpoint(100.0)["sender_ohm"], 240.0);
    assert_rounds_to(asked.worst("converter_range", "top") * 3.3 / f64::from(1 << 24), "3.53");
    assert_eq!(asked.row("converter_range", "top")["at"], 100.0);
    assert!(!asked.holds("converter_range", "top"));
    assert!(!with("123.6").holds("converter_range", "top"));
    assert!(with("123.7").holds("converter_range", "top"));
}

/// Field case: a sender of only 7.4..75.9 Ω on 12 bits.
#[test]
fn a_low_sender_trades_span_for_current() {
    let with = |words: &str| {
        ask_ideal(&format!("pull-up --sender 7.4..75.9 --protection none --bits 12 --limit off {words}"))
    };
    assert_rounds_to(with("--pull-up 1800").nominal_span(), "149");
    assert_rounds_to(with("--pull-up 1k").nominal_span(), "259");
    for (series, ohms, counts) in [("E24", 270.0, "790"), ("E96", 243.0, "854")] {
        let asked = with(&format!("--series {series} --limit sender_current=20mA"));
        assert_eq!((asked.status, asked.ohms("pull_up")), (0, ohms));
        assert_rounds_to(asked.nominal_span(), counts);
    }
    let free = with("--series E96");
    assert_eq!(free.ohms("pull_up"), 23.7);
    assert_rounds_to(free.nominal_span(), "2147");
    assert_rounds_to(free.worst("sender_current", "") * 1e3, "161");
}

/// Field case: 15 kΩ in front of the pin against 20 V on the wire, and against −15 V.
#[test]
fn protection_limits_the_current_into_both_clamps() {
    let asked = ask_ideal(
        "pull-up --sender 240..33 --pull-up 300 --protection 15k --supply 9..20V --contact 20V --limit off",
    );
    assert_rounds_to(number(&asked.case("wire to supply")["pin_current_a"]) * 1e3, "0.97");

    let asked = check(&behind_protection("15k", "reversed: 15 V"));
    assert_rounds_to(number(&asked.case("reversed supply")["pin_current_a"]) * 1e3, "1.0");
}

/// Field case: what protects the pin makes its leakage an error, 3.1 counts with 15 kΩ and 9.6 counts with 47
/// kΩ.
#[test]
fn protection_makes_leakage_an_error() {
    for (protection, counts) in [("15k", "3.1"), ("47k", "9.6")] {
        let asked = check(&behind_protection(protection, "surge: 35 V"));
        assert_rounds_to(asked.worst("leakage_error", ""), counts);
    }
}

/// A supply straight on a pin of 5 V and 10 bits, behind nothing but the protection, which 1 µA leaks
/// through.
fn behind_protection(protection: &str, supply: &str) -> String {
    format!(
        "board: bench
supply: {{ {supply} }}
rails: {{ logic: {{ voltage: 5 V, tolerance: 0 % }} }}
converter: {{ bits: 10, leakage: 1 µA, gain: 0 %, offset: 0 counts, inl: 0 counts }}
resistors: {{ tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }}
limits: off
inputs:
  ignition: {{ circuit: direct, from: supply, measures: 0 V .. 5 V, protection: {protection} }}
"
    )
}

/// Field case: a sender of 0..200 Ω fed from the vehicle, designed for 12 V or 24 V, on charge.
#[test]
fn a_sender_that_the_vehicle_feeds_follows_its_swing() {
    for (pull_up, usual, charging, watts, shown_ohms) in
        [("200", 12.0, 14.4, "1.04", "133"), ("600", 24.0, 28.8, "1.38", "124")]
    {
        let asked = ask_ideal(&format!(
            "pull-up --sender 0..200 --pull-up {pull_up} --protection none --excitation supply --rail 6V --bits 24 \
             --supply {usual}..{charging}V --usual {usual}V --limit settling=off"
        ));
        assert_eq!(asked.status, 1);
        assert!(!asked.holds("converter_range", "top"));
        assert_rounds_to(asked.worst("converter_range", "top") * 6.0 / f64::from(1 << 24), "7.2");
        assert_rounds_to(asked.worst("dissipation", "pull_up"), watts);
        assert_eq!(asked.row("dissipation", "pull_up")["at"], 0.0);
        // A true 100 Ω, half of the range.
        let per_cent = number(&asked.checkpoint(50.0)["reading"]["life"]["highest"]);
        assert_rounds_to(per_cent * 2.0, shown_ohms);
    }
}

/// Field case: a cold thermistor behind 2.49 kΩ to 5 V is clipped by a 3.3 V converter; a divider behind it
/// helps.
#[test]
fn a_cold_thermistor_is_clipped() {
    let with = |cold: &str, behind: &str| {
        ask_ideal(&format!(
            "pull-up --sender {cold}..100 --pull-up 2.49k --protection none --bits 24 {FED_BY_5_V} {behind} \
             --limit settling=off"
        ))
    };
    let volts = |asked: &Asked| asked.worst("converter_range", "top") * 3.3 / f64::from(1 << 24);
    for (cold, bare, divided) in [("5.9k", "3.52", "1.62"), ("9.5k", "3.96", "1.80")] {
        let asked = with(cold, "");
        assert!(!asked.holds("converter_range", "top"));
        assert_rounds_to(volts(&asked), bare);
        let asked = with(cold, "--top 10k --bottom 10k");
        assert!(asked.holds("converter_range", "top"));
        assert_rounds_to(volts(&asked), divided);
    }
    assert!(with("4833", "").holds("converter_range", "top"));
    assert!(!with("4834", "").holds("converter_range", "top"));
}

/// Field case: 50.4 V on 150k/10k fits 3.3 V, on 100k/10k it does not.
#[test]
fn a_divider_for_a_traction_battery() {
    let with = |words: &str| {
        ask_ideal(&format!(
            "divider --measures 0..50.4V --bottom 10k --protection none --rail 3.3V --bits 24 {words} \
             --limit settling=off --limit pin_current=off"
        ))
    };
    for (top, volts, holds) in [("150k", "3.15", true), ("100k", "4.58", false)] {
        let asked = with(&format!("--top {top}"));
        assert_rounds_to(asked.worst("converter_range", "top") * 3.3 / f64::from(1 << 24), volts);
        assert_eq!(asked.holds("converter_range", "top"), holds);
    }
    // For at most 3.2 V.
    assert_eq!(with("--top 147.5k --usable 0..3.2V").status, 0);
    assert_eq!(with("--top 147.4k --usable 0..3.2V").status, 1);
    assert_eq!(with("--top choose --series E96 --usable 0..3.2V").ohms("top"), 150e3);
}

/// Field case: 16.8 V on 9k/2.2k with parts of 5 % on a pin of 3.3 V fits nominally, and only so.
#[test]
fn a_divider_that_only_fits_nominally() {
    let exact = "--tempco 0 --ageing 0% --rail-tolerance 0% --gain 0% --offset 0 --inl 0 --leakage 0";
    let with = |measures: &str| {
        ask(&format!(
            "divider --measures {measures} --top 9k --bottom 2.2k --tolerance 5% --protection none --rail 3.3V --bits 24 \
             {exact} --limit settling=off"
        ))
    };
    let asked = with("0..16.8V");
    assert_eq!(asked.status, 1);
    let full_scale = f64::from(1 << 24);
    assert_rounds_to(asked.nominal_count(16.8) * 3.3 / full_scale, "3.30");
    assert!(!asked.holds("converter_range", "top"));
    assert_rounds_to(asked.worst("converter_range", "top") * 3.3 / full_scale, "3.57");
    let lowest = number(&asked.checkpoint(16.8)["count"]["life"]["lowest"]);
    assert_rounds_to(lowest * 3.3 / full_scale, "3.04");
}

/// Field case: a divider of 1 kΩ in total on 65 V; power and working voltage come first.
#[test]
fn a_divider_that_burns() {
    let watts = |top: &str, bottom: &str| {
        let asked = ask_ideal(&format!(
            "divider --measures 0..65V --top {top} --bottom {bottom} --protection none --limit settling=off"
        ));
        let sum = asked.worst("dissipation", "top") + asked.worst("dissipation", "bottom");
        (asked, sum)
    };
    let (asked, sum) = watts("950", "50");
    assert_rounds_to(sum, "4.2");
    assert!(!asked.holds("dissipation", "top") && !asked.holds("dissipation", "bottom"));
    assert_rounds_to(watts("31.8k", "2k").1 * 1e3, "125.0");

    let small = |size: &str| {
        ask_ideal(&format!(
            "divider --measures 0..65V --top 950k --bottom 50k --protection none --size {size}"
        ))
    };
    assert!(!small("0402").holds("part_voltage", "top"));
    assert!(small("0805").holds("part_voltage", "top"));
}

/// Field case: 2M/110k on a node that the board already loads with 220k + 100k to ground.
#[test]
fn what_already_hangs_on_the_node_is_part_of_the_circuit() {
    let with = |existing: &str| {
        let question = "divider --measures 0..60V --top 2M --bottom 110k --between 10..10M --protection none --limit off";
        ask_ideal(&format!("{question} {existing}")).nominal_count(60.0) * 5.0 / 1024.0
    };
    let (bare, loaded) = (with(""), with("--existing 320k --existing-tolerance 0%"));
    assert_rounds_to(bare, "3.13");
    assert_rounds_to(loaded, "2.36");
    assert_rounds_to((1.0 - loaded / bare) * 100.0, "24.6");
}

/// Field case: an input of 10k/6.8k that is fed from 1 kΩ reads low.
#[test]
fn the_resistance_of_the_source_is_part_of_the_divider() {
    let with = |ohms: &str| {
        let question = "divider --measures 0..12V --top 10k --bottom 6.8k --protection none --limit off";
        ask_ideal(&format!("{question} --signal-resistance {ohms}")).nominal_count(12.0)
    };
    let (bare, fed) = (with("0"), with("1k"));
    assert_rounds_to((1.0 - fed / bare) * 100.0, "5.6");
    assert!((bare / fed - 17.8 / 16.8).abs() < 1e-12);
}

/// Field case: a divider of 1M/1M for 3.6 V on a reference of 2.56 V, and 1 µA of leakage.
#[test]
fn leakage_through_a_high_divider() {
    let with = |ohms: &str| {
        ask(&format!(
            "divider --measures 0..3.6V --top {ohms} --bottom {ohms} --protection none --reference 2.56V \
             --reference-tolerance 0% --tolerance 0% --tempco 0 --ageing 0% --rail-tolerance 0% --gain 0% --offset 0 \
             --inl 0 --leakage 1µA --limit off --limit leakage_error=1"
        ))
    };
    let asked = with("1M");
    assert_rounds_to(asked.worst("source_resistance", "") * 1e-6, "0.5");
    assert_rounds_to(asked.worst("leakage_error", ""), "200");
    assert!(!asked.holds("leakage_error", ""));
    // One count: a source of at most 2.5 kΩ.
    assert_eq!(with("5k").status, 0);
    assert_eq!(with("5.01k").status, 1);
}

/// Field case: a resistor on the wire side of the pull-up adds to the sender, one on the pin side does not.
#[test]
fn line_and_protection_are_two_circuits() {
    let with = |part: &str| {
        let none = if part == "line" { "--protection none" } else { "" };
        ask_ideal(&format!("pull-up --sender 100..10 --pull-up 100 --{part} 1k {none} --limit off"))
    };
    let (line, protection) = (with("line"), with("protection"));
    assert!((line.nominal_count(0.0) - 1024.0 * 1100.0 / 1200.0).abs() < 1e-9);
    assert!((protection.nominal_count(0.0) - 1024.0 * 100.0 / 200.0).abs() < 1e-9);
    // The current through the sender at its 10 Ω: only one of the two stands in its way.
    assert!((line.worst("sender_current", "") - 5.0 / 1110.0).abs() < 1e-15);
    assert!((protection.worst("sender_current", "") - 5.0 / 110.0).abs() < 1e-15);
    // A chafed wire at 25 V reaches the pin, held at 5.5 V, through one of them; behind `line` the pull-up,
    // at 5 V, takes its share of what comes.
    let chafed = |asked: &Asked| number(&asked.case("wire to supply")["pin_current_a"]);
    assert!((chafed(&protection) - 19.5 / 1000.0).abs() < 1e-12);
    assert!((chafed(&line) - (19.5 / 1000.0 - 0.5 / 100.0)).abs() < 1e-12);
}

/// Field case: an oil pressure sender of 10/107/184 Ω at 0/5/10 bar, read as a straight line between its ends.
#[test]
fn a_straight_line_reads_half_the_oil_pressure_far_too_high() {
    let asked = ask_ideal(
        "pull-up --sender 0:10,5:107,10:184 --unit bar --pull-up 200 --protection none --limit off --checkpoints 0,5,10",
    );
    for (bar, volts) in [(0.0, "0.238"), (5.0, "1.743"), (10.0, "2.396")] {
        assert_rounds_to(asked.nominal_count(bar) * 5.0 / 1024.0, volts);
    }
    let [empty, half, full] = [0.0, 5.0, 10.0].map(|bar| asked.nominal_count(bar));
    assert_rounds_to((half - empty) / (full - empty) * 10.0, "6.97");
    // A little below 5 bar the line is off by still more.
    let line = &asked.input()["straight_line"];
    assert!((4.0..5.0).contains(&number(&line["at"])) && number(&line["off"]) > 1.97);
}

/// A question about a thermistor of 100 kΩ and 3950 K that is to be read from 95 °C to 120 °C.
fn thermistor(flags: &str) -> Asked {
    let mut arguments: Vec<&str> =
        "pull-up --ntc 100k --beta 3950 --range 20°C..130°C --protection none --limit off \
                                    --checkpoints 95,120"
            .split_whitespace()
            .collect();
    arguments.extend(["--zone", "95..120"]);
    arguments.extend(flags.split_whitespace());
    ask_ideal(&arguments.join(" "))
}

/// Field case: which pull-up for a thermistor of 100 kΩ between 95 °C and 120 °C? Not one of its 25 °C value.
#[test]
fn a_zone_decides_and_not_the_resistance_at_25_degrees() {
    for (pull_up, at_95, at_120) in
        [("100k", "2.06", "0.98"), ("10k", "7.37", "5.38"), ("4.7k", "6.94", "6.50"), ("1k", "2.93", "4.14")]
    {
        let asked = thermistor(&format!("--pull-up {pull_up}"));
        // The case counts 1023 steps from end to end; a converter of 10 bits has 1024.
        let steps = |celsius| number(&asked.checkpoint(celsius)["counts_per_unit"]) * 1023.0 / 1024.0;
        assert_rounds_to(steps(95.0), at_95);
        assert_rounds_to(steps(120.0), at_120);
    }
    // The best of E24 is the one whose worse end is best; by the table it lies between 1 kΩ and 10 kΩ.
    let best = thermistor("--aim resolution");
    let least = |asked: &Asked| number(&asked.input()["resolution"]["least_counts_per_unit"]);
    let others =
        ["3.9k", "4.3k", "4.7k", "5.1k", "5.6k", "10k"].map(|r| thermistor(&format!("--pull-up {r}")));
    let most = others.iter().map(least).fold(0.0, f64::max);
    assert!(least(&best) >= most, "{} below {most}", least(&best));
    assert!(least(&best) > 6.5 && (1e3..1e4).contains(&best.ohms("pull_up")));
}

/// Field case: a platinum sensor of 100 Ω behind 4.7 kΩ gives 31.9 counts for 100 K, and the best resistor heats it: both
/// are said. One that is read well and hardly warmed is left in peace.
#[test]
fn resistors_alone_will_not_read_platinum() {
    let platinum = |flags: &str| {
        ask_ideal(&format!(
            "pull-up --platinum 100 --range 0..100°C --bits 12 --capacitor 1uF --protection none {flags}"
        ))
    };
    let remarks = |asked: &Asked| asked.input()["remarks"].to_string();
    let weak = ask(
        "pull-up --platinum 100 --range 0..100°C --bits 12 --capacitor 1uF --protection none --pull-up 4.7k",
    );
    assert_rounds_to(weak.nominal_span(), "31.9");
    let advice = weak.input()["advice"].to_string();
    assert!(advice.contains("amplify the voltage at the pin"), "{advice}");
    let hot = platinum("--pull-up 120 --limit off");
    assert!(hot.worst("sender_current", "") > 0.0225);
    assert!(remarks(&hot).contains("`self_heating` is not given"), "{}", remarks(&hot));
    let told = platinum("--pull-up 120 --limit off --self-heating 4mW/K");
    assert!(!remarks(&told).contains("self_heating"), "{}", remarks(&told));
    let good = ask_ideal(
        "pull-up --ntc 10k --beta 3950 --range 0..100°C --zone 20..60°C --pull-up 10k --protection none",
    );
    assert!(
        !remarks(&good).contains("resistors alone") && !remarks(&good).contains("self_heating"),
        "{}",
        remarks(&good)
    );
}

/// What brings ±`volts` into 0.05..3.25 V of a 3.3 V converter of 12 bits with values from 1 kΩ to 91 kΩ.
fn level_shift(volts: u32, more: &str) -> Asked {
    ask_ideal(&format!(
        "level-shift --measures -{volts}..{volts}V --rail 3.3V --bits 12 --usable 0.05..3.25V --between 1k..91k \
         --protection none --limit settling=off --limit dissipation=off --limit pin_current=off \
         --limit source_resistance=10k {more}"
    ))
}

/// Field case: ±5, ±10 and ±12 V into a converter of 3.3 V with three resistors, at least 10 kΩ to the input.
#[test]
fn a_voltage_of_either_sign_is_lifted() {
    for (volts, parts, lowest, highest) in [
        (5, [13e3, 8.2e3, 22e3], "0.073", "3.221"),
        (10, [47e3, 15e3, 22e3], "0.054", "3.244"),
        (12, [68e3, 18e3, 24e3], "0.061", "3.215"),
    ] {
        let asked = level_shift(volts, "--top 10k..91k");
        assert_eq!(["top", "bias", "bottom"].map(|part| asked.ohms(part)), parts);
        assert_eq!(asked.input()["search"]["proof"], "complete");
        let end = f64::from(volts);
        let pin = |at: f64| asked.nominal_count(at) * 3.3 / 4096.0;
        assert_rounds_to(pin(-end), lowest);
        assert_rounds_to(pin(end), highest);
    }
}

/// Field case: the same where what the source sees has to be at least 10 kΩ.
#[test]
fn a_level_shift_that_does_not_load_its_source() {
    for (volts, parts, span) in [(5, [7.5e3, 4.7e3, 13e3], "3.1519"), (12, [9.1e3, 2.4e3, 3.3e3], "3.1791")] {
        let asked = level_shift(volts, "--limit input_resistance=10k");
        assert_eq!(["top", "bias", "bottom"].map(|part| asked.ohms(part)), parts);
        assert_rounds_to(asked.assured_span() * 3.3 / 4096.0, span);
    }
}

/// Field case: a divider of 100 kΩ and 100 kΩ with parts of 5 % is off by −5.0..+5.0 %, not by 10 and not by 2.5.
#[test]
fn an_equal_divider_is_off_by_the_tolerance_of_its_parts() {
    let brief = "board: bench\nambient: { lowest: 25 °C, highest: 25 °C }\nrails: { logic: { voltage: 10 V, tolerance: 0 % } }\n\
                 converter: { bits: 16, offset: 0 counts, gain: 0 %, inl: 0 counts, leakage: 0 A }\nresistors: { tolerance: \
                 5 %, ageing: 0 % }\ninputs:\n  a:\n    circuit: divider\n    measures: 0 V .. 16 V\n    top: 100k\n    bottom: \
                 100k\n    protection: none\n    checkpoints: [10]\n    limits: off\n";
    let asked = ask_brief("check", brief);
    let life = &asked.input()["checkpoints"][0]["reading"]["life"];
    assert_rounds_to(number(&life["lowest"]), "9.50");
    assert_rounds_to(number(&life["highest"]), "10.50");
}
