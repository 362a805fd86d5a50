//! One board for many senders: what the brief says of them.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used, reason = "helpers of tests end a test")]

use ohmwright::board::{Board, Drive, Input};
use ohmwright::brief::read_text;

fn board(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

/// The resistance of a plain input at an end of its range.
fn ends(input: &Input) -> [f64; 2] {
    let Drive::Sender(sender) = &input.drive else { panic!("no sender") };
    [sender.curve.first().1.0, sender.curve.last().1.0]
}

#[test]
fn a_plain_input_is_its_own_only_view() {
    let board = board("inputs: { fuel: { circuit: pull-up, sender: 240..33, pull_up: choose } }");
    let input = &board.inputs[0];
    assert!(input.senders.is_empty());
    assert_eq!(input.variants, 1);
    let views = input.views();
    assert_eq!(views.len(), 1);
    assert_eq!(ends(&views[0]), [240.0, 33.0]);
    assert_eq!(views[0].checkpoints, input.checkpoints);
}

#[test]
fn each_sender_of_a_brief_makes_a_plain_input() {
    let board = board(
        "inputs:\n  fuel:\n    circuit: pull-up\n    pull_up: choose\n    zone: 0 .. 25\n    variants: 2\n    senders:\n      \
         american: 240..33\n      european: { resistance: 10..180, tolerance: 3 % }\n",
    );
    let input = &board.inputs[0];
    assert_eq!(input.variants, 2);
    let names: Vec<&str> = input.senders.iter().map(|sender| sender.name.as_str()).collect();
    assert_eq!(names, ["american", "european"], "the order of the brief is kept");
    assert_eq!(ends(input), [240.0, 33.0], "the first sender stands for all");
    let views = input.views();
    assert_eq!(views.iter().map(ends).collect::<Vec<_>>(), [[240.0, 33.0], [10.0, 180.0]]);
    for view in &views {
        assert!(view.senders.is_empty());
        assert_eq!((view.name.as_str(), view.variants), ("fuel", 1));
        assert_eq!(view.zone, input.zone);
        assert_eq!(view.parts.len(), input.parts.len());
        assert_eq!(view.checkpoints, [0.0, 25.0, 50.0, 75.0, 100.0]);
    }
    let assumed: Vec<&str> = board.assumed.iter().map(|assumed| assumed.key.as_str()).collect();
    assert!(assumed.contains(&"inputs.fuel.senders.american.tolerance"));
    assert!(!assumed.contains(&"inputs.fuel.senders.european.tolerance"));
}

#[test]
fn senders_of_different_ranges_have_their_own_usual_checkpoints() {
    let board = board(
        "inputs:\n  coolant:\n    circuit: pull-up\n    pull_up: choose\n    alarms: { hot: { above: 95 } }\n    senders:\n      \
         one: { unit: °C, points: [[0, 900], [100, 40]] }\n      two: { unit: °C, points: [[20, 700], [180, 20]] }\n",
    );
    let input = &board.inputs[0];
    let views = input.views();
    assert_eq!(views[0].checkpoints, [0.0, 25.0, 50.0, 75.0, 100.0]);
    assert_eq!(views[1].checkpoints, [20.0, 60.0, 100.0, 140.0, 180.0]);
    assert_eq!(input.checkpoints, views[0].checkpoints);
    // The alarm must have come where all senders still read, and be off where all do.
    assert_eq!((input.alarms[0].certain_at, input.alarms[0].quiet_at), (100.0, 20.0));
}

#[test]
fn given_checkpoints_are_those_of_every_sender() {
    let board = board(
        "inputs: { fuel: { circuit: pull-down, pull_down: 100, senders: { a: 240..33, b: 10..180 }, checkpoints: [50, 10] } }",
    );
    for view in board.inputs[0].views() {
        assert_eq!(view.checkpoints, [10.0, 50.0]);
    }
}
