//! Answers worked by hand: every expected number comes from a plain formula that stands here, none from the
//! program.
//!
//! Symbols: R the pull-up, P the protection, S the sender, I the leakage of the pin, V a rail that is
//! excitation and reference at once. `a | b` below is `beside(a, b)`: two resistors in parallel.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use serde_json::Value;

use support::program::{Asked, ask, ask_brief, ask_ideal, number};

const EXAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/river-launch.yaml");

/// The upper limit of a part over its value: tolerance 1 %, ageing 1 %, 100 ppm/K over 45 K, the larger
/// distance of 25 °C from −20 .. 70 °C (for the river launch from −10 .. 70 °C, which is 45 K as well).
const HIGH: f64 = 1.01 * 1.01 * (1.0 + 100e-6 * 45.0);
/// The lower limit over the value: 0.97568955.
const LOW: f64 = 0.99 * 0.99 * (1.0 - 100e-6 * 45.0);
/// The rail of 5 V ± 2 % at its ends.
const V_LOW: f64 = 4.9;
const V_HIGH: f64 = 5.1;
/// Leakage of the pin.
const I: f64 = 1e-6;
/// Gain error of the converter.
const GAIN: f64 = 0.005;
/// Offset and nonlinearity, which stand beside each other at worst: 2 + 1 counts.
const ADDED: f64 = 3.0;
/// 2^10.
const FULL: f64 = 1024.0;

fn beside(a: f64, b: f64) -> f64 {
    a * b / (a + b)
}

/// The same to a part in 1e9.
#[track_caller]
fn assert_same(found: f64, expected: f64) {
    let is_near = (found - expected).abs() <= 1e-9 * expected.abs();
    assert!(is_near, "found {found}, by hand {expected}");
}

/// The river launch with some of its text changed.
fn launch_with(changes: &[(&str, &str)], input: &str) -> Asked {
    let mut brief = std::fs::read_to_string(EXAMPLE).unwrap();
    for (from, to) in changes {
        assert!(brief.contains(from), "{from}");
        brief = brief.replace(from, to);
    }
    ask_brief("design", &brief).about(input)
}

// The bare question: a sender of 240 Ω (empty) .. 33 Ω (full), everything else as assumed.

const BARE: &str = "pull-up --sender 240..33";
const EMPTY: f64 = 240.0;
const FULL_TANK: f64 = 33.0;
const R: f64 = 300.0;
const P: f64 = 27e3;

/// The node between pull-up and sender with a current pushed into it: the sum of (V − v)/R, −v/S and I is 0.
fn node(v: f64, pull_up: f64, sender: f64, pushed: f64) -> f64 {
    (v / pull_up + pushed) * beside(pull_up, sender)
}

/// The dissipation of the pull-up. With the sender at 33 Ω a smaller pull-up takes more, since it is larger
/// than what drives it, so it is worst at its lower limit; the leakage that pulls the node down adds to it.
fn pull_up_watts(pull_up: f64, sender: f64) -> f64 {
    let r = pull_up * LOW;
    let across = V_HIGH - node(V_HIGH, r, sender, -I);
    across * across / r
}

/// The pull-up. The span S/(S + R) of 240 against 33 Ω is greatest at R = √(240·33) = 89 Ω and falls beyond,
/// so the smallest value that is allowed is best. An 0805 stands 125 mW, of which 60 %, 75 mW, are used: 270
/// Ω takes 78.0 mW, 300 Ω takes 71.8 mW.
///
/// The protection. Span does not depend on it, so the smallest value that is allowed is best. With the board
/// off its clamp conducts from 0.5 V, and the chafed wire is at 25 V: 24 kΩ lets 24.5 V/(24 kΩ·0.97569) =
/// 1.046 mA through, 27 kΩ 0.930 mA of the allowed 1 mA.
#[test]
fn the_bare_question_is_answered_by_300_ohms_and_27_kilohms() {
    let answer = ask(BARE);
    assert_eq!(answer.status, 0);
    assert_eq!((answer.ohms("pull_up"), answer.ohms("protection")), (R, P));

    let smaller = ask(&format!("{BARE} --pull-up 270 --protection 27k"));
    assert!(!smaller.holds("dissipation", "pull_up"));
    assert_same(smaller.worst("dissipation", "pull_up"), pull_up_watts(270.0, FULL_TANK));
    assert_same(answer.worst("dissipation", "pull_up"), pull_up_watts(R, FULL_TANK));
    assert!((pull_up_watts(270.0, FULL_TANK) * 1e3 - 77.98).abs() < 0.005);

    let smaller = ask(&format!("{BARE} --pull-up 300 --protection 24k"));
    assert!(!smaller.holds("pin_current", ""));
    assert_same(smaller.worst("pin_current", ""), 24.5 / (24e3 * LOW));
    assert_same(answer.worst("pin_current", ""), 24.5 / (P * LOW));
    assert_eq!(answer.row("pin_current", "")["case"], "board off");
}

/// Both ends are of the same board: R, P, V, gain and leakage are alike. The leakage adds I·(R | S + P)/V to
/// the share of either end, of which P cancels; it is worst when it is drawn out of the pin and V is low.
/// What R does is not to be seen at a glance: both its limits are tried.
#[test]
fn spans_of_the_bare_question() {
    let answer = ask(BARE);
    let share = |r: f64, s: f64| s / (s + r);
    assert_same(answer.nominal_span(), FULL * (share(R, EMPTY) - share(R, FULL_TANK)));
    let span = |r: f64| {
        let leaked = I / V_LOW * (beside(r, EMPTY) - beside(r, FULL_TANK));
        FULL * (1.0 - GAIN) * (share(r, EMPTY) - share(r, FULL_TANK) - leaked)
    };
    assert_same(answer.assured_span(), span(R * LOW).min(span(R * HIGH)));
}

/// Top: 240 Ω, R low, P high, leakage into the node, V low (which makes the leakage count most), gain, offset
/// and nonlinearity up. Bottom: 33 Ω, R high, leakage out of the node; offset and the rest belong to the
/// count and do not move the pin.
#[test]
fn the_converter_range_of_the_bare_question() {
    let answer = ask(BARE);
    let (r, p) = (R * LOW, P * HIGH);
    let top = EMPTY / (EMPTY + r) + I * (beside(r, EMPTY) + p) / V_LOW;
    assert_same(answer.worst("converter_range", "top"), FULL * (1.0 + GAIN) * top + ADDED);
    let r = R * HIGH;
    let bottom = FULL_TANK / (FULL_TANK + r) - I * (beside(r, FULL_TANK) + p) / V_LOW;
    assert_same(answer.worst("converter_range", "bottom"), bottom);
}

/// Nothing but the leakage flows through the protection. With the wire at ground all of the rail is across
/// the pull-up; nothing of the leakage reaches it, the short takes it.
#[test]
fn what_the_parts_of_the_bare_question_bear() {
    let answer = ask(BARE);
    assert_same(answer.worst("dissipation", "protection"), I * I * P * HIGH);
    assert_same(answer.worst("part_voltage", "protection"), I * P * HIGH);
    assert_same(answer.worst("part_voltage", "pull_up"), V_HIGH);
    assert_same(answer.watts("wire to ground", "pull_up"), V_HIGH * V_HIGH / (R * LOW));
    // The wire at 25 V against the rail at its lowest; with the board off the rail is at 0 V.
    assert_same(answer.watts("wire to supply", "pull_up"), (25.0 - V_LOW).powi(2) / (R * LOW));
    assert_same(answer.watts("board off", "pull_up"), 25.0 * 25.0 / (R * LOW));
}

/// Source resistance: 240 Ω | R + P, both high. Leakage moves the pin by I times as much. Settling: each
/// sample takes q = 1024·Cs/(C + Cs) out of 100 nF, of which e = exp(−10 ms/(Rs·(C + Cs))) is still missing
/// at the next sample, and so on: q·e/(1 − e) + q.
#[test]
fn source_leakage_and_settling_of_the_bare_question() {
    let answer = ask(BARE);
    let source = beside(EMPTY, R * HIGH) + P * HIGH;
    assert_same(answer.worst("source_resistance", ""), source);
    assert_same(answer.worst("leakage_error", ""), FULL * (1.0 + GAIN) * I * source / V_LOW);
    let (cs, both) = (14e-12, 100e-9 + 14e-12);
    let q = FULL * cs / both;
    let e = (-10e-3 / (source * both)).exp();
    assert_same(answer.worst("settling", ""), q * e / (1.0 - e) + q);
}

/// The sender carries most at 33 Ω with R low, V high and the leakage into the node, least at 240 Ω with all
/// of them the other way round. The rail delivers what flows through R, most with the leakage out of the
/// node. The sender sees R alone, since nothing flows into the pin.
#[test]
fn currents_of_the_bare_question() {
    let answer = ask(BARE);
    let r = R * LOW;
    assert_same(answer.worst("sender_current", ""), node(V_HIGH, r, FULL_TANK, I) / FULL_TANK);
    assert_same(answer.worst("wetting_current", ""), node(V_LOW, R * HIGH, EMPTY, -I) / EMPTY);
    assert_same(answer.worst("supply_current", ""), (V_HIGH - node(V_HIGH, r, FULL_TANK, -I)) / r);
    assert_same(answer.worst("input_resistance", ""), r);
}

/// The band of truncated counts for a sender of `s` with a pull-up between `low` and `high` and a protection
/// of at most `p`: highest with everything up, lowest with everything down.
fn count_band(s: (f64, f64), r: (f64, f64), p: f64) -> (f64, f64) {
    let leaked = |r: f64, s: f64| I * (beside(r, s) + p) / V_LOW;
    let low = s.0 / (s.0 + r.1) - leaked(r.1, s.0);
    let high = s.1 / (s.1 + r.0) + leaked(r.0, s.1);
    ((FULL * (1.0 - GAIN) * low - ADDED).floor(), (FULL * (1.0 + GAIN) * high + ADDED).floor())
}

/// What the firmware shows for a truncated count: it takes the middle of the step, n + 0.5, for the share
/// S/(S + R), and finds the sender on the straight line from 240 Ω at 0 % to 33 Ω at 100 %.
fn shown(count: f64) -> f64 {
    let share = (count + 0.5) / FULL;
    let sender = R * share / (1.0 - share);
    ((EMPTY - sender) / (EMPTY - FULL_TANK) * 100.0).clamp(0.0, 100.0)
}

/// Over life every part is anywhere between its limits, and the sender is true. On the bench parts have their
/// tolerance and 100 ppm/K over 5 K (20 .. 30 °C) alone, and the sender is a decade box of 0.1 %.
#[test]
fn checkpoints_of_the_bare_question() {
    let answer = ask(BARE);
    let (bench_low, bench_high) = (0.99 * (1.0 - 5e-4), 1.01 * (1.0 + 5e-4));
    let points = answer.list("checkpoints");
    assert_eq!(points.len(), 5);
    for (point, per_cent) in points.iter().zip([0.0, 25.0, 50.0, 75.0, 100.0]) {
        let s = EMPTY + (FULL_TANK - EMPTY) * per_cent / 100.0;
        assert_same(number(&point["value"]), per_cent);
        assert_same(number(&point["sender_ohm"]), s);
        let nominal = FULL * s / (s + R);
        assert_same(number(&point["count"]["nominal"]), nominal);
        assert_same(number(&point["reading"]["nominal"]), shown(nominal.floor()));
        let life = count_band((s, s), (R * LOW, R * HIGH), P * HIGH);
        let bench = count_band((s * 0.999, s * 1.001), (R * bench_low, R * bench_high), P * bench_high);
        for (outlook, (low, high)) in [("life", life), ("bench", bench)] {
            let count = &point["count"][outlook];
            assert_eq!((number(&count["lowest"]), number(&count["highest"])), (low, high), "{per_cent} %");
            // The reading falls as the count rises.
            let reading = &point["reading"][outlook];
            assert_same(number(&reading["lowest"]), shown(high));
            assert_same(number(&reading["highest"]), shown(low));
        }
    }
}

/// The working band runs from the lowest count at 33 Ω to the highest at 240 Ω.
/// Open: the pin is at V, less what the leakage takes on its way through R and P, and with it at 1023 counts.
/// To ground: the pin is at 0 V, but for the leakage through P. To supply: 1023 counts.
/// Gaps are between the nearest edges, thresholds in their middle.
#[test]
fn counts_of_the_cases_of_the_bare_question() {
    let answer = ask(BARE);
    let parts = (R * LOW, R * HIGH);
    let lowest = count_band((FULL_TANK, FULL_TANK), parts, P * HIGH).0;
    let highest = count_band((EMPTY, EMPTY), parts, P * HIGH).1;
    let open = (FULL * (1.0 - GAIN) * (1.0 - I * (R + P) * HIGH / V_LOW) - ADDED).floor();
    let grounded = (FULL * (1.0 + GAIN) * I * P * HIGH / V_LOW + ADDED).floor();
    let cases = [
        ("wire open", (open, 1023.0), open - highest, f64::midpoint(open, highest)),
        ("wire to ground", (0.0, grounded), lowest - grounded, f64::midpoint(lowest, grounded)),
        ("wire to supply", (1023.0, 1023.0), 1023.0 - highest, f64::midpoint(1023.0, highest)),
    ];
    for (name, counts, gap, threshold) in cases {
        let case = answer.case(name);
        let found = (number(&case["count"]["lowest"]), number(&case["count"]["highest"]));
        assert_eq!(found, counts, "{name}");
        assert_eq!(number(&case["gap_counts"]), gap, "{name}");
        assert_eq!(number(&case["threshold"]), threshold, "{name}");
        assert_eq!(case["distinguishable"], true);
    }
    for name in ["board off", "ground lost"] {
        assert!(answer.case(name)["count"].is_null());
    }
}

/// To supply: from 25 V through P low into the clamp, 0.5 V above the lowest rail. Board off: into 0.5 V.
/// Ground lost: remote ground is at −25 V and draws out of the lower clamp at −0.5 V, through P and what
/// stands behind it: the pull-up to 0 V and the sender, which is at its 33 Ω when it is worst. The pull-up is
/// then at Vn = (−25/33 − 0.5/P)·(R | 33 | P), with R low and P high.
#[test]
fn currents_of_the_cases_of_the_bare_question() {
    let answer = ask(BARE);
    let current = |name: &str| number(&answer.case(name)["pin_current_a"]);
    assert_eq!(current("wire open"), 0.0);
    assert_eq!(current("wire to ground"), 0.0);
    assert_same(current("wire to supply"), (25.0 - V_LOW - 0.5) / (P * LOW));
    assert_same(current("board off"), 24.5 / (P * LOW));
    let lost = |r: f64| {
        let emf = 25.0 * r / (r + FULL_TANK);
        (emf - 0.5) / (beside(r, FULL_TANK) + P * LOW)
    };
    assert_same(current("ground lost"), lost(R * LOW).max(lost(R * HIGH)));
    let (r, p) = (R * LOW, P * HIGH);
    let across = (25.0 / FULL_TANK + 0.5 / p) * beside(beside(r, FULL_TANK), p);
    assert_same(answer.watts("ground lost", "pull_up"), across * across / r);
}

// Other one-line questions.

/// Ideal parts and 10 mA at 0 Ω: 5 V/10 mA = 500 Ω. Of the neighbours in E96, 499 Ω passes 10.02 mA, 511 Ω
/// 9.78 mA; for a sender that ends at 0 Ω more than its 240 Ω of pull-up only loses span.
///
/// With the parts and the rail as assumed the leakage comes on top, since the node is at ground:
/// 5.1 V/(R·0.97569) + 1 µA. 511 Ω passes 10.23 mA, 523 Ω 9.995 mA.
#[test]
fn a_current_limit_chooses_the_pull_up() {
    let question = "pull-up --sender 0..240 --limit sender_current=10mA --series E96";
    let ideal = ask_ideal(question);
    assert_eq!(ideal.ohms("pull_up"), 511.0);
    assert_same(ideal.worst("sender_current", ""), 5.0 / 511.0);
    let smaller = ask_ideal(&format!("{question} --pull-up 499 --protection 30k"));
    assert!(!smaller.holds("sender_current", ""));
    assert_same(smaller.worst("sender_current", ""), 5.0 / 499.0);

    let real = ask(question);
    let current = |r: f64| V_HIGH / (r * LOW) + I;
    assert_eq!(real.ohms("pull_up"), 523.0);
    assert_same(real.worst("sender_current", ""), current(523.0));
    let smaller = ask(&format!("{question} --pull-up 511 --protection 30k"));
    assert!(!smaller.holds("sender_current", ""));
    assert_same(smaller.worst("sender_current", ""), current(511.0));
}

/// Ideal parts and no limit but the range of the converter. The span is greatest at √(240·33) = 88.99 Ω, and
/// falls evenly on both sides on a logarithmic scale: 91 Ω is nearer than 82 Ω in E24, 88.7 Ω nearer than
/// 90.9 Ω in E96. With 88.7 Ω it is 5 V·(240/328.7 − 33/121.7) = 2.294952 V.
#[test]
fn the_free_optimum_is_the_geometric_mean() {
    let off = "--limit pin_current=off --limit dissipation=off --limit part_voltage=off --limit settling=off";
    for (series, ohms) in [("E24", 91.0), ("E96", 88.7)] {
        let answer =
            ask_ideal(&format!("pull-up --sender 240..33 --protection none --series {series} {off}"));
        assert_eq!(answer.ohms("pull_up"), ohms);
        let volts = 5.0 * (240.0 / (240.0 + ohms) - 33.0 / (33.0 + ohms));
        assert_same(answer.nominal_span() * 5.0 / 1024.0, volts);
        assert_same(answer.assured_span(), answer.nominal_span());
    }
    let answer = ask_ideal(&format!("pull-up --sender 240..33 --pull-up 88.7 --protection none {off}"));
    assert!((answer.nominal_span() * 5.0 / 1024.0 - 2.294_952).abs() < 5e-7);
}

/// 82k/15k at 30 V, parts of 1 % and nothing else: 30 V·14.85/(14.85 + 82.82) = 4.561278 V at least,
/// 30 V·15.15/(15.15 + 81.18) = 4.718156 V at most. The least is the bottom of a range that starts at 30 V.
#[test]
fn the_corners_of_a_divider() {
    let exact = "--tempco 0 --ageing 0% --rail-tolerance 0% --gain 0% --offset 0 --inl 0 --leakage 0";
    let with = |measures: &str| {
        ask(&format!(
            "divider --measures {measures} --top 82k --bottom 15k --protection none --limit off {exact}"
        ))
    };
    let highest = with("0..30V").worst("converter_range", "top") * 5.0 / FULL;
    let lowest = with("30..31V").worst("converter_range", "bottom") * 5.0;
    assert_same(lowest, 30.0 * 14.85 / (14.85 + 82.82));
    assert_same(highest, 30.0 * 15.15 / (15.15 + 81.18));
    assert!((lowest - 4.561_278).abs() < 5e-7 && (highest - 4.718_156).abs() < 5e-7);
}

/// Leakage may draw the pin below 0 V at an end of 0 Ω, and offset and nonlinearity the count: that hides the
/// lowest counts and excludes nothing. At worst the count is 1024·1.005·(−1 µA·P/4.9 V) − 3, with P high.
#[test]
fn a_range_that_starts_at_0_hides_its_lowest_counts() {
    let answer = ask("pull-up --sender 0..240");
    assert_eq!(answer.status, 0);
    assert_eq!(answer.worst("converter_range", "bottom"), 0.0);
    let remarks = answer.list("remarks");
    let remark =
        remarks.iter().filter_map(Value::as_str).find(|text| text.starts_with("the lowest ")).unwrap();
    let lowest = count_before_truncation(answer.ohms("protection"));
    assert!(lowest < -8.0, "{lowest}");
    assert!(remark.contains(&format!("down to {lowest:.1})")), "{remark}");
    let hidden = (-lowest).ceil();
    assert!(remark.starts_with(&format!("the lowest {hidden:.0} counts read 0")), "{remark}");
}

fn count_before_truncation(protection: f64) -> f64 {
    FULL * (1.0 + GAIN) * (-I * protection * HIGH / V_LOW) - ADDED
}

// The river launch.

/// House battery: 22k/11k behind an extension E reads 32 V. At the top the divider is 32 V·b/(b + t + E) with
/// b high, t and E low; the leakage adds I·(b | (t + E) + P); V low; the count ends 1024·1.005 times as high,
/// 3 counts on top. 39 kΩ comes to more than 1023, 43 kΩ stays below.
#[test]
fn the_house_battery_needs_43_kilohms() {
    let (bottom, above) = (11e3 * HIGH, |extension: f64| (22e3 + extension) * LOW);
    let top_count = |extension: f64, protection: f64| {
        let a = above(extension);
        let share = 32.0 * bottom / (bottom + a) / V_LOW;
        let leaked = I * (beside(bottom, a) + protection * HIGH) / V_LOW;
        FULL * (1.0 + GAIN) * (share + leaked) + ADDED
    };
    let answer = launch_with(&[], "house battery");
    assert_eq!(answer.status, 0);
    assert_eq!(answer.ohms("extension"), 43e3);
    assert_same(answer.worst("converter_range", "top"), top_count(43e3, answer.ohms("protection")));
    let smaller =
        launch_with(&[("extension: choose", "extension: 39k\n    protection: 10")], "house battery");
    assert!(!smaller.holds("converter_range", "top"));
    assert_same(smaller.worst("converter_range", "top"), top_count(39e3, 10.0));
    assert!(top_count(43e3, 10.0) < 1023.0 && top_count(39e3, 10.0) > 1023.0);

    // Nominal: 32 V·11/(11 + 22 + 43) of 5 V. Assured: the same board at 0 V and at 32 V has the same
    // leakage, which cancels; but at 0 V the count may not fall below 0, so the leakage that draws the pin
    // down takes its counts from the upper end alone.
    assert_same(answer.nominal_span(), FULL * 32.0 * 11.0 / 76.0 / 5.0);
    let (b, a) = (11e3 * LOW, (22e3 + 43e3) * HIGH);
    let v = V_HIGH;
    let share = 32.0 * b / (b + a) / v;
    let source = |v: f64| I * (beside(b, a) + answer.ohms("protection") * HIGH) / v;
    assert_same(answer.assured_span(), FULL * (1.0 - GAIN) * (share - source(v)));

    // The largest current goes through all three at their lower limits, and the leakage out of the pin adds
    // its share.
    let chain = (22e3 + 43e3 + 11e3) * LOW;
    assert_same(answer.worst("input_resistance", ""), chain);
    let pulled = I * 11e3 * LOW / chain;
    assert_same(answer.worst("supply_current", ""), 32.0 / chain + pulled);
}

/// Diesel: 240/103/33 Ω ± 3 %, the wire at 29 V. 27 kΩ lets 28.5 V/(27 kΩ·0.97569) = 1.082 mA through with
/// the board off, 30 kΩ 0.974 mA. The pull-up is worst with the sender at 33 Ω·0.97: 270 Ω takes 78.5 mW, 300
/// Ω 72.2 mW of 75 mW.
#[test]
fn the_diesel_input_needs_300_ohms_and_30_kilohms() {
    let answer = launch_with(&[], "diesel");
    assert_eq!(answer.status, 0);
    assert_eq!((answer.ohms("pull_up"), answer.ohms("protection")), (300.0, 30e3));
    assert_same(answer.worst("pin_current", ""), 28.5 / (30e3 * LOW));
    assert_same(answer.worst("dissipation", "pull_up"), pull_up_watts(300.0, 33.0 * 0.97));

    let smaller =
        launch_with(&[("pull_up: choose", "pull_up: 300"), ("{ choose: 1k .. 47k }", "27k")], "diesel");
    assert!(!smaller.holds("pin_current", ""));
    assert_same(smaller.worst("pin_current", ""), 28.5 / (27e3 * LOW));
    let smaller =
        launch_with(&[("pull_up: choose", "pull_up: 270"), ("{ choose: 1k .. 47k }", "30k")], "diesel");
    assert!(!smaller.holds("dissipation", "pull_up"));
    assert_same(smaller.worst("dissipation", "pull_up"), pull_up_watts(270.0, 33.0 * 0.97));

    // The sender's own tolerance moves the counts, but is no part of the span.
    let (r, p) = (300.0 * LOW, 30e3 * HIGH);
    let s = 240.0 * 1.03;
    let top = s / (s + r) + I * (beside(r, s) + p) / V_LOW;
    assert_same(answer.worst("converter_range", "top"), FULL * (1.0 + GAIN) * top + ADDED);
    assert_same(answer.nominal_span(), FULL * (240.0 / 540.0 - 33.0 / 333.0));
    assert_same(answer.assured_span(), ask(BARE).assured_span());
}

/// The alarm at 12.5 % of the straight line from 240 Ω at 0 % to 103 Ω at 50 %: 205.75 Ω, and
/// 1024·205.75/505.75 = 416.6 counts. Counts rise as the tank empties, and a count n is read at n + 0.5: the
/// first one beyond is 417, and it goes at 14.5 %: 200.27 Ω, 409.9 counts, of which 409 is the first not beyond. At 9 %:
/// 215.34 Ω, 427.9 counts; 428 is the first one beyond, 427 the last one back.
#[test]
fn alarms_of_the_diesel_input() {
    let answer = launch_with(&[], "diesel");
    let alarms = answer.list("alarms");
    let threshold = |at: f64| {
        let s = 240.0 + (103.0 - 240.0) * at / 50.0;
        FULL * s / (s + 300.0)
    };
    let by_hand = [("low", [12.5, 417.0, 14.5, 409.0]), ("empty", [9.0, 428.0, 9.0, 427.0])];
    assert_eq!(alarms.len(), by_hand.len());
    for (alarm, (name, numbers)) in alarms.iter().zip(by_hand) {
        let [at, count, goes_at, goes_count] = numbers;
        assert!(count + 0.5 > threshold(at) && count - 0.5 < threshold(at));
        assert!(goes_count + 0.5 < threshold(goes_at) && goes_count + 1.5 > threshold(goes_at));
        assert_eq!(alarm["alarm"], name);
        assert_eq!(["at", "count", "goes_at", "goes_count"].map(|key| number(&alarm[key])), numbers);
    }
}

/// By hand: 100 Ω at 0 °C and 1 Ω/K more, 100 Ω to 5 V, 10 mW/K. Warmed by T it has R = 100 + T and takes in
/// (5/(200 + T))²·(100 + T) W, which is 10 mW·T at T = 6.244 K: (5/206.244)²·106.244 = 62.44 mW.
#[test]
fn a_sender_settles_where_it_gives_off_what_it_takes_in() {
    let question = "pull-up --sender 0:100,100:200 --unit °C --pull-up 100 --protection none --limit off --bits 16 \
                    --checkpoints 0,50 --self-heating 10mW/K";
    let asked = ask_ideal(question);
    let reading = &asked.checkpoint(0.0)["reading"];
    assert!((number(&reading["life"]["highest"]) - 6.244).abs() < 7e-3, "{reading}");
    // One count is 6 mK here. On the bench a decade box stands in, which nothing warms.
    assert!(number(&reading["bench"]["highest"]) < 0.35, "{reading}");
    // At the lower end the warmth is greatest: (5/200)²·100 = 62.5 mW falls from there on.
    let error = &asked.input()["error"];
    assert!((number(&error["greatest"]) - 6.244).abs() < 1e-2 && number(&error["at"]) < 1.0, "{error}");
    // The limit of the power knows nothing of warmth.
    assert!((asked.worst("sender_power", "") - 62.5e-3).abs() < 1e-9);
}

/// By hand: 32 V on the wire and 33 Ω of sender to a rail of 4.9 V are 27.1 V over 33 Ω, and 32 V less 5.4 V over 100 kΩ
/// go through the clamp: 821.48 mA. With 5 mA of load the rail rises to 32 V less 33 Ω · 5 mA (nearly: the clamp takes
/// nothing there). A level shift feeds what its bias lets through: (32 V − 4.9 V)/10 kΩ at its node, which stands at what
/// 10 kΩ, 10 kΩ and 10 kΩ make of 32 V and 4.9 V, 12.3 V: 740 µA, and (12.3 V − 5.4 V)/(3.333 kΩ + 100 kΩ) into the clamp.
#[test]
fn what_a_chafed_wire_feeds_back_into_a_rail() {
    let supply = "supply: { contact: 32 V }\nresistors: { tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }\n";
    let head = format!("board: bench\n{supply}inputs:\n  a:\n    protection: 100k\n    limits: off\n");
    let cautions = |keys: &str| ask_brief("check", &format!("{head}{keys}")).answer["cautions"].to_string();
    let hanging = cautions("    circuit: pull-down\n    sender: 240..33\n    pull_down: 200\n");
    let text = "with the wire of `a` on the supply (32 V) 821.5 mA flow back into rail `logic`, which takes 0 A \
                (`sink_current` and `least_load` are 0); the rail may be lifted to 32 V";
    assert!(hanging.contains(text), "{hanging}");
    let shifted = cautions(
        "    circuit: level-shift\n    measures: -5..5\n    top: 10k\n    bias: 10k\n    bottom: 10k\n",
    );
    assert!(shifted.contains("(32 V) 7"), "{shifted}");
    // Fed by the supply itself nothing is lifted.
    let tied =
        cautions("    circuit: pull-down\n    excitation: supply\n    sender: 240..33\n    pull_down: 200\n");
    assert!(tied.contains("(32 V) 266 µA flow back"), "{tied}");
}

/// By hand: with the board off two supplies of 16 V drive (16 V − 0.5 V)/10 kΩ = 1.55 mA each through the clamps into the
/// rail. Of 3.1 mA it takes 2: it rises to 16 V − 0.5 V − 1 mA · 10 kΩ = 5.5 V. In normal use it stands at 5 V already, and
/// 1.05 mA come from each. What one input feeds back alone respects a limit of 2 mA.
#[test]
fn what_all_inputs_together_feed_back_into_a_rail() {
    let one = |name: &str| {
        format!(
            "  {name}:\n    circuit: direct\n    from: supply\n    measures: 0 V .. 16 V\n    protection: 10k\n    \
             limits: {{ converter_range: off, pin_current: off, rail_backfeed: on }}\n"
        )
    };
    let brief = format!(
        "board: bench\nsupply: {{ highest: 16 V }}\nrails: {{ logic: {{ voltage: 5 V, tolerance: 0 %, least_load: 2 mA \
         }} }}\nresistors: {{ tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }}\ninputs:\n{}{}",
        one("a"),
        one("b")
    );
    let asked = ask_brief("check", &brief);
    assert_eq!(asked.answer["verdict"], "fails");
    for input in ["a", "b"] {
        assert_eq!(asked.answer["inputs"][input]["verdict"], "holds");
    }
    let rows = asked.answer["rails"].as_array().unwrap();
    let row = |event: &str| rows.iter().find(|row| row["event"] == event).unwrap();
    for (event, fed, lifted) in [("normal", 2.1e-3, 5.5), ("board off", 3.1e-3, 5.5)] {
        let row = row(event);
        assert!((number(&row["fed_back_a"]) - fed).abs() < 1e-12, "{row}");
        assert!((number(&row["lifted_to_v"]) - lifted).abs() < 1e-3, "{row}");
        assert_eq!((&row["rail"], &row["holds"]), (&"logic".into(), &false.into()));
        assert_eq!(row["by"].as_array().unwrap().len(), 2);
    }
    let head = asked.answer["cautions"][0].as_str().unwrap();
    assert!(head.starts_with("in normal use 2.1 mA flow back into rail `logic`, which takes 2 mA"), "{head}");
}

/// The limit is the least of the gaps of the wire's faults.
#[test]
fn the_gap_of_the_faults_of_a_wire() {
    let brief = "board: bench\ninputs:\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: 300\n    \
                 protection: 27k\n    limits: { fault_gap: 1000 counts }\n";
    let asked = ask_brief("check", brief);
    let cases = asked.input()["cases"].as_array().unwrap();
    let wire = |case: &&serde_json::Value| case["case"].as_str().unwrap().starts_with("wire ");
    let gaps = cases.iter().filter(wire).map(|case| number(&case["gap_counts"]));
    let least = gaps.fold(f64::INFINITY, f64::min);
    assert!(least > 0.0 && (asked.worst("fault_gap", "") - least).abs() < 1e-12);
    assert_eq!(asked.input()["verdict"], "fails");
    let text = asked.input()["limits"].as_array().unwrap().iter().find(|row| row["limit"] == "fault_gap");
    assert_eq!(text.unwrap()["holds"], false);
}

/// By hand: at 10 bits one sample takes 1024·14 pF/(C + 14 pF) counts, at most half a count from 28.66 nF: 33 nF of E6. What
/// comes back through 27 kΩ in 10 ms is all but nothing of it: 0.434 counts. A filter time of 5 ms over at least 27 kΩ wants
/// 185 nF: 220 nF; the 120 Ω that pull-up and sender add change neither.
#[test]
fn a_capacitor_is_the_smallest_with_which_the_limits_hold() {
    let choose = |more: &str| {
        let brief = format!(
            "board: bench\nresistors: {{ tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }}\ninputs:\n  a:\n    circuit: \
             pull-up\n    sender: 240..33\n    pull_up: 300\n    protection: 27k\n{more}"
        );
        let asked = ask_brief("design", &brief);
        let capacitor = &asked.input()["parts"]["capacitor"];
        assert_eq!(capacitor["chosen"], true, "{}", asked.answer);
        (number(&capacitor["farad"]), asked.worst("settling", ""), asked.status)
    };
    let (farads, missing, status) = choose("    capacitor: choose\n");
    assert_eq!((farads, status), (33e-9, 0));
    assert!((missing - 1024.0 * 14.0 / 33014.0).abs() < 1e-4, "{missing}");
    let (farads, _, status) = choose("    capacitor: choose\n    limits: { filter_time: 5 ms }\n");
    assert_eq!((farads, status), (220e-9, 0));
    let (farads, ..) =
        choose("    capacitor: { choose: 1 nF .. 1 uF, series: E12 }\n    limits: { filter_time: 5 ms }\n");
    assert_eq!(farads, 220e-9);
    let (farads, ..) =
        choose("    capacitor: { choose: 1 nF .. 1 uF, series: E12 }\n    limits: { filter_time: 4 ms }\n");
    assert_eq!(farads, 150e-9);
    // None is large enough: the largest, and the verdict.
    let (farads, _, status) = choose("    capacitor: { choose: 1 nF .. 22 nF }\n");
    assert_eq!((farads, status), (22e-9, 1));
}

/// Resistors and capacitor together are the best of both: with each capacitor of the list given, no choice is better, and with
/// none that is smaller the choice holds.
#[test]
fn resistors_and_capacitor_are_chosen_together() {
    let brief = |capacitor: &str, protection: &str| {
        format!(
            "board: bench\nconverter: {{ sampling: {{ period: 1 ms }} }}\ninputs:\n  a:\n    circuit: pull-up\n    \
             sender: 240..33\n    pull_up: choose\n    protection: {protection}\n    capacitor: {capacitor}\n    limits: \
             {{ filter_time: 8 ms }}\n"
        )
    };
    let both = ask_brief("design", &brief("{ choose: 100 nF .. 1 uF }", "choose"));
    assert_eq!(both.status, 0, "{}", both.answer);
    let farads = number(&both.input()["parts"]["capacitor"]["farad"]);
    let span = number(&both.input()["span"]["assured_counts"]);
    for (text, value) in [
        ("100 nF", 1e-7),
        ("150 nF", 1.5e-7),
        ("220 nF", 2.2e-7),
        ("330 nF", 3.3e-7),
        ("470 nF", 4.7e-7),
        ("680 nF", 6.8e-7),
        ("1 uF", 1e-6),
    ] {
        let given = ask_brief("design", &brief(text, "choose"));
        if given.status == 0 {
            assert!(number(&given.input()["span"]["assured_counts"]) <= span + 1e-9, "{text}");
        }
        let protection = number(&both.input()["parts"]["protection"]["ohm"]).to_string();
        let kept = ask_brief("design", &brief(text, &protection));
        assert_eq!(kept.status == 0, value >= farads, "{text} beside {farads}");
    }
}

/// Lines of a board with ideal parts and these inputs.
fn ideal_board(head: &str, inputs: &str) -> String {
    format!(
        "board: bench\n{head}\nresistors: {{ tolerance: 0 %, tempco: 0 ppm/K, ageing: 0 % }}\ninputs:\n{inputs}"
    )
}

/// The voltage to which a rail may rise in an event.
fn lifted(asked: &Asked, rail: &str, event: &str) -> f64 {
    let rows = asked.answer["rails"].as_array().unwrap();
    let row = rows.iter().find(|row| row["rail"] == rail && row["event"] == event);
    number(&row.unwrap_or_else(|| panic!("{event}: {}", asked.answer["rails"]))["lifted_to_v"])
}

/// By hand: 29 V on the wire over 1 kΩ, and less 0.5 V of clamp over 10 kΩ, feed a rail that takes 5 mA: 31.85 V − 1.1 U =
/// 5 V, U = 24.409 V. The burden beside it stands at 2.4 V and lifts nothing.
#[test]
fn a_burden_lifts_no_rail_above_its_own_node() {
    let brief = ideal_board(
        "supply: { highest: 15 V, contact: 29 V }\nrails: { logic: { voltage: 5 V, tolerance: 0 %, least_load: 5 mA } }",
        "  a: { circuit: pull-up, sender: 240..33, pull_up: 1k, protection: 10k }\n  h: { circuit: burden, measures: 4 mA \
         .. 20 mA, compliance: 10 V, burden: 120, protection: 10k }\n",
    );
    let asked = ask_brief("check", &brief);
    for event in ["wire to supply", "board off"] {
        let volts = lifted(&asked, "logic", event);
        // The leakage of 1 µA pushes the pin of the clamp by no more than 10 mV, and a clamped pin leaks nothing.
        assert!((volts - 26.85 / 1.1).abs() < 2e-3, "{event}: {volts}");
    }
}

/// By hand: with the board off nothing holds a second rail of 12 V on the same node. 29 V come over 1 kΩ and 110 Ω into the
/// one and over 1 kΩ and 1 kΩ into the other; neither takes anything, so both rise to the node, from which 43 kΩ lead to
/// ground: 29 V · 43/44 = 28.341 V, and the clamp adds nothing there.
#[test]
fn rails_that_nothing_holds_rise_together() {
    let brief = ideal_board(
        "supply: { highest: 15 V, contact: 29 V }\nrails: { logic: { voltage: 5 V, tolerance: 0 % }, aux: { voltage: 12 V, \
         tolerance: 0 % } }",
        "  t: { circuit: pull-up, excitation: aux, line: 1k, sender: 240..33, pull_up: 1k, protection: 100k, top: 33k, \
         bottom: 10k, gauge: { resistance: 110 Ω, tolerance: 0 %, from: logic } }\n",
    );
    let asked = ask_brief("check", &brief);
    for rail in ["logic", "aux"] {
        let volts = lifted(&asked, rail, "board off");
        assert!((volts - 29.0 * 43.0 / 44.0).abs() < 0.03, "{rail}: {volts}");
    }
    let cautions = asked.answer["cautions"].to_string();
    assert!(
        cautions.contains("in normal use") && cautions.contains("no count here holds then"),
        "{cautions}"
    );
}

/// By hand: a loop of 60 V on the clamp of a pin of 5.5 V behind 1 kΩ: 54.5 mA, and the rail that takes 5 mA rises to
/// 60 V − 0.5 V − 5 V = 54.5 V. The loop is above 30 V DC.
#[test]
fn a_transmitter_that_fails_lifts_a_rail() {
    let brief = ideal_board(
        "supply: { highest: 15 V, contact: 16 V, surge: 16 V }\nrails: { logic: { voltage: 5 V, tolerance: 0 %, least_load: 5 mA } }",
        "  h: { circuit: burden, measures: 4 mA .. 20 mA, compliance: 10 V, burden: 120, protection: 1k, loop: { voltage: 60 V, \
         tolerance: 0 % } }\n",
    );
    let asked = ask_brief("check", &brief);
    assert!((lifted(&asked, "logic", "transmitter short") - 54.5).abs() < 2e-3);
    let cautions = asked.answer["cautions"].to_string();
    assert!(
        cautions.contains("with the transmitter of `h` shorted to its loop supply 54.5 mA flow back"),
        "{cautions}"
    );
    assert!(cautions.contains("up to 60 V on this board"), "{cautions}");
}

/// A case that an input does not have is not swallowed; a reversed supply reaches a gauge through its stabiliser.
#[test]
fn cases_to_be_survived_are_there_or_said_not_to_be() {
    let brief = |more: &str| {
        ideal_board(
            "supply: { reversed: 14 V }",
            &format!(
                "  a: {{ circuit: pull-up, sender: 240..33, pull_up: 1k, protection: 30k, survive: [reversed supply]{more} }}\n"
            ),
        )
    };
    let remark = "`survive` names `reversed supply`, a case that this input does not have";
    let remarks = |more: &str| ask_brief("check", &brief(more)).input()["remarks"].to_string();
    assert!(remarks("").contains(remark));
    let gauge = ", gauge: { resistance: 150 Ω, from: { voltage: 10 V } }";
    assert!(!remarks(gauge).contains(remark));
    let asked = ask_brief("check", &brief(gauge));
    let cases = asked.input()["cases"].as_array().unwrap();
    assert!(
        cases.iter().any(|case| case["case"] == "reversed supply" && number(&case["pin_current_a"]) > 0.0)
    );
}
