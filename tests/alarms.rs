//! Where alarms come.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

use ohmwright::answer::{AlarmRow, InputAnswer};
use ohmwright::board::{Board, Choice};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Outlook, Place, Values, situations_of};
use ohmwright::examine::answer;
use ohmwright::quantity::{Band, Counts};
use ohmwright::worst::count_band;

fn examined(text: &str) -> (Board, InputAnswer) {
    let board = read_text(text.as_bytes(), "alarms.yaml").unwrap();
    let input = answer(&board, "check").inputs.0.swap_remove(0).1;
    (board, input)
}

fn alarm<'a>(input: &'a InputAnswer, name: &str) -> &'a AlarmRow {
    input.alarms.iter().find(|alarm| alarm.alarm == name).expect("an alarm of this name")
}

/// A tank that reads 240 Ω to 33 Ω: counts fall as it fills.
const TANK: &str = "inputs:\n  tank:\n    circuit: pull-up\n    sender: { resistance: 240 .. 33, tolerance: 3 % }\n    \
                    pull_up: 300\n    protection: 27k\n    ";

/// The truncated counts of all boards at one value.
fn life(board: &Board, value: f64) -> Band<Counts> {
    let input = &board.inputs[0];
    let values = Values::given(input);
    let normal = ohmwright::case::Case::Normal;
    let place = Place::At(value);
    let situation = situations_of(board, input, &values, normal, Outlook::Life, place).swap_remove(0);
    board.converter.truncated_band(count_band(&situation, &situation.resistances).unwrap())
}

/// Just outside the band every board has the alarm on, or none has; just inside it is some and some.
#[test]
fn the_band_ends_where_boards_part() {
    let (board, input) =
        examined(&format!("{TANK}alarms: {{ low: {{ below: 30 }}, high: {{ above: 70 }} }}\n"));
    assert!(matches!(board.inputs[0].parts[1].choice, Choice::Fixed(_)));
    let near = 1e-6;
    let low = alarm(&input, "low");
    let (count, comes) = (Counts(low.count.unwrap()), low.comes.unwrap());
    let (lowest, highest) = (comes.lowest.unwrap(), comes.highest.unwrap());
    // Low levels are high counts here: on from `count` upwards.
    assert!(lowest < 30.0 && 30.0 < highest, "{lowest} .. {highest}");
    assert!(life(&board, lowest - near).lowest >= count, "all on below the band");
    assert!(life(&board, lowest + near).lowest < count, "not all on inside");
    assert!(life(&board, highest - near).highest >= count, "some on inside");
    assert!(life(&board, highest + near).highest < count, "none on above the band");
    let high = alarm(&input, "high");
    let (count, comes) = (Counts(high.count.unwrap()), high.comes.unwrap());
    let (lowest, highest) = (comes.lowest.unwrap(), comes.highest.unwrap());
    assert!(life(&board, lowest - near).lowest > count, "none on below the band");
    assert!(life(&board, lowest + near).lowest <= count, "some on inside");
    assert!(life(&board, highest - near).highest > count, "not all on inside");
    assert!(life(&board, highest + near).highest <= count, "all on above the band");
}

/// 0 V to 10 V on 22k/15k: count 0 stands for half a count, 0.5/1024·5 V·37/15 = 6.0 mV, and reads that.
#[test]
fn thresholds_beyond_the_counts_are_told() {
    let text = "inputs:\n  v: { circuit: divider, measures: 0 V .. 10 V, top: 22k, bottom: 15k, protection: 30k,\n       \
                alarms: { lift: { above: 0.005 }, low: { below: 0.005 }, full: { above: 10 }, half: { above: 5 } } }\n";
    let (_, input) = examined(text);
    for (name, told) in [
        ("lift", "alarm lift: it is always on: every count reads beyond its threshold"),
        ("low", "alarm low: it never comes: no count reads beyond its threshold"),
        ("full", "alarm full: it never comes: no count reads beyond its threshold"),
    ] {
        let row = alarm(&input, name);
        assert_eq!((row.count, row.comes), (None, None), "{name}");
        assert!(input.cautions.iter().any(|caution| caution == told), "{name}: {:?}", input.cautions);
    }
    // By hand: the first count that reads above 5 V is n with (n + 0.5)/1024·5·37/15 > 5: n = 415.
    assert_eq!(alarm(&input, "half").count, Some(415.0));
    assert!(!input.cautions.iter().any(|caution| caution.contains("half")));
}

/// Half a count above empty, some board never gets there.
#[test]
fn an_alarm_that_some_board_never_gives_has_no_such_end() {
    let (_, input) = examined(&format!("{TANK}alarms: {{ empty: {{ below: 1 }} }}\n"));
    let comes = alarm(&input, "empty").comes.unwrap();
    assert_eq!(comes.lowest, None);
    assert!(comes.highest.is_some_and(|highest| highest > 1.0));
    assert!(input.cautions.iter().any(|caution| caution.starts_with("alarm empty: on the worst board")));
}
