//! Advice where resistors alone do not do: each piece comes with its cause, and not without it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use support::program::{ask, number, run};

/// The advice for a one-line question.
fn advice(question: &str) -> Vec<String> {
    let asked = ask(question);
    assert_ne!(asked.status, 2, "{question}: {}", asked.answer);
    let advice =
        asked.input().get("advice").and_then(|advice| advice.as_array().cloned()).unwrap_or_default();
    advice.iter().map(|text| text.as_str().unwrap().to_owned()).collect()
}

/// Exactly one piece of advice says it.
fn comes(question: &str, words: &str) {
    let found = advice(question);
    assert_eq!(found.iter().filter(|text| text.contains(words)).count(), 1, "{question}: {found:#?}");
}

fn does_not_come(question: &str, words: &str) {
    let found = advice(question);
    assert!(!found.iter().any(|text| text.contains(words)), "{question}: {found:#?}");
}

/// By hand: from 110 Ω to 100 Ω the pin moves by at most 1024 / 4 · ln 1.1 = 24 counts, so that it takes about 1.7 times
/// as much, which the next finer converter gives.
#[test]
fn a_span_of_a_few_counts_is_to_be_amplified() {
    let few = "pull-up --sender 110..100 --size 2512";
    let span = ask(few).assured_span();
    assert!(span > 20.0 && span < 24.4, "{span}");
    comes(few, "amplify the voltage at the pin 1.");
    comes(few, "or take a converter of 11 bits");
    does_not_come("pull-up --sender 110..100 --size 2512 --bits 16", "amplify");
    does_not_come("pull-up --sender 240..33", "amplify");
}

#[test]
fn an_excitation_above_the_reference_is_named_only_where_the_range_is_in_the_way() {
    let words = "excite from the reference (`excitation: logic`)";
    comes("pull-up --sender 240..33 --excitation 12V --limit dissipation=off", words);
    comes("pull-up --sender 240..33 --excitation 12V --pull-up 100 --protection 47k", words);
    // Dissipation keeps the pull-up so large that the pin stays low anyway.
    does_not_come("pull-up --sender 240..33 --excitation 5V --rail 3.3V", words);
    does_not_come("pull-up --sender 240..33 --limit dissipation=off", words);
    comes(
        "pull-up --sender 240..33 --excitation 5V --reference 1.1V",
        "measure against the rail that excites it",
    );
}

#[test]
fn a_dissipation_in_the_way_names_the_size_that_would_do() {
    comes("pull-up --sender 240..33", "a 1210 for pull_up would let it be 91 Ω");
    does_not_come("pull-up --sender 240..33 --size 1210", "for pull_up");
    // Nothing fits: 47 Ω to 100 Ω are too small for an 0805, and 100 Ω too small for a 1206.
    let small = "pull-up --sender 240..33 --pull-up 47..100";
    comes(small, "a 1210 for pull_up would do");
    assert_eq!(ask(&format!("{small} --size 1206")).status, 1);
    assert_eq!(ask(&format!("{small} --size 1210")).status, 0);
}

#[test]
fn a_case_that_cannot_be_told_apart_says_what_would_help() {
    let short = "wire to ground cannot be told from normal use";
    comes("pull-up --sender 240..0", short);
    does_not_come("pull-up --sender 240..33", "cannot be told");
    comes("divider --measures 0..5V", "wire open cannot be told from normal use");
    comes("divider --measures 0..5V", "wire to ground cannot be told from normal use");
    comes("divider --measures 0.5..4.5V", "a smaller bottom");
    does_not_come("divider --measures 0.5..4.5V --top 1k --bottom 10k", "cannot be told");
    // What reads full scale because the range is cut off has another reason.
    does_not_come(
        "pull-up --sender 240..33 --excitation 12V --pull-up 100 --protection 47k",
        "cannot be told",
    );
}

#[test]
fn what_does_not_settle_wants_a_capacitor() {
    let words = "put one at the pin (`capacitor: 100 nF`)";
    comes("pull-up --sender 240..33 --capacitor none", words);
    does_not_come("pull-up --sender 240..33", words);
    does_not_come("pull-up --sender 240..33 --capacitor none --protection 1k --limit pin_current=off", words);
    comes("pull-up --sender 100k..10k --capacitor 1nF --protection 100k --pull-up 47k", "sample less often");
}

#[test]
fn a_sender_that_warms_itself_wants_less_current() {
    let sender = "pull-up --ntc 10k --beta 3950 --range 0..50°C --self-heating 0.5mW/K";
    comes(&format!("{sender} --pull-up 2k2"), "its own current warms the sender");
    does_not_come(&format!("{sender} --pull-up 47k"), "warms the sender");
    does_not_come(&format!("{} --pull-up 2k2", sender.replace("0.5mW/K", "8mW/K")), "warms the sender");
}

/// The table of the trade: the choice once, the free optimum in it, the current falling along the values.
#[test]
fn the_trade_shows_the_choice_and_what_is_best_without_limits() {
    let asked = ask("pull-up --sender 240..33");
    let rows = asked.list("trade");
    assert!((7..=9).contains(&rows.len()), "{rows:#?}");
    let chosen: Vec<_> = rows.iter().filter(|row| row["chosen"] == true).collect();
    assert_eq!(chosen.len(), 1);
    assert_eq!(number(&chosen[0]["assured_counts"]), asked.assured_span());
    assert_eq!(number(&chosen[0]["sender_current_a"]), asked.worst("sender_current", ""));
    let ohms = |row: &serde_json::Value| number(&row["parts"]["pull_up"]["ohm"]);
    assert_eq!(ohms(chosen[0]), 300.0);
    let best = rows
        .iter()
        .max_by(|a, b| number(&a["assured_counts"]).total_cmp(&number(&b["assured_counts"])))
        .unwrap();
    assert_eq!((ohms(best), best["holds"] == true), (91.0, false));
    assert_eq!(best["fails"][0], "dissipation of pull_up");
    for pair in rows.windows(2) {
        assert!(ohms(&pair[0]) < ohms(&pair[1]));
        assert!(number(&pair[0]["sender_current_a"]) > number(&pair[1]["sender_current_a"]));
    }
    // Each row is what a search with that value given finds.
    for row in rows.iter().filter(|row| row["holds"] == true) {
        let given = ask(&format!("pull-up --sender 240..33 --pull-up {}", ohms(row)));
        assert_eq!(given.assured_span(), number(&row["assured_counts"]));
        assert_eq!(given.ohms("protection"), number(&row["parts"]["protection"]["ohm"]));
    }
    let text = run("pull-up --sender 240..33").results;
    assert!(text.contains("  300 Ω           347.9        15.66 mA  hold: the choice\n"), "{text}");
    assert!(ask("divider --measures 0..32V").input().get("trade").is_none());
}

/// Field case: a resistor on the wire side of the pull-up adds to the sender, one on the pin side does not. By hand: 1 kΩ in
/// front of 240..33 Ω with 330 Ω to 5 V leaves 0.805 V..0.758 V out of 2.11 V..0.45 V.
#[test]
fn a_protection_on_the_wire_side_is_to_be_moved() {
    let words = "line adds to the sender: 1 kΩ in front of the pin (`protection`)";
    comes("pull-up --sender 240..33 --pull-up 330 --line 1k --protection 30k", words);
    does_not_come("pull-up --sender 240..33 --pull-up 330 --line 1 --protection 30k", "line adds");
    does_not_come("pull-up --sender 240..33 --pull-up 330 --protection 30k", "line adds");
}

#[test]
fn an_open_wire_and_one_on_the_supply_are_kept_apart_by_a_divider() {
    let words = "an open wire and one on the supply both read full scale";
    comes("pull-up --sender 240..33", words);
    does_not_come("pull-up --sender 240..33 --pull-up 330 --top 10k --bottom 22k --protection 30k", words);
}

/// A voltage of either sign: a wire that is open or on ground reads inside the range, so that no sensor that starts above 0 V
/// would help.
#[test]
fn a_voltage_of_either_sign_hides_a_broken_wire() {
    let shift = "level-shift --measures -4..4V --top 10k --bias 10k --bottom 10k --protection 10k";
    let words = "wire to ground cannot be told from normal use";
    comes(shift, words);
    let helps = advice(shift)
        .iter()
        .filter(|text| text.contains("only a sensor that tells its own faults would"))
        .count();
    assert!(helps >= 1, "{:#?}", advice(shift));
    does_not_come(shift, "starts above 0 V");
    comes(
        "divider --measures 0..10V --top 10k --bottom 8.2k --protection 10k",
        "wire to ground cannot be told from normal use",
    );
}
