//! Senders from files: what `sender` writes is what a brief reads, and what readings give at once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;
use std::path::Path;

use ohmwright::board::{Accuracy, Drive, Sender};
use ohmwright::brief::read_file;
use ohmwright::quantity::Fraction;
use support::program::{parsed, run_in};
use tempfile::TempDir;

/// Invented readings of a thermistor.
const READINGS: &str = "value °C;resistance kΩ;value accuracy;resistance accuracy\n\
                        0;32.6;0.5;1 %\n25;10.02;0.5;1 %\n60;2.49;0.5;1 %\n100;0.679;0.5;1 %\n";

fn brief_with(sender: &str) -> String {
    format!("board: b\ninputs:\n  a:\n    circuit: pull-up\n    pull_up: choose\n    sender: {sender}\n")
}

/// The sender of a brief in a folder.
fn sender(folder: &Path, text: &str) -> Result<(Sender, Vec<String>), String> {
    let path = folder.join("b.yaml");
    fs::write(&path, brief_with(text)).unwrap();
    let board = read_file(&path).map_err(|faults| faults.to_string())?;
    let Drive::Sender(sender) = board.inputs[0].drive.clone() else { panic!("a sender") };
    Ok((sender, board.assumed.iter().map(|assumed| assumed.key.clone()).collect()))
}

fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("readings.csv"), READINGS).unwrap();
    folder
}

#[test]
fn a_written_sender_is_the_one_that_the_readings_give() {
    let folder = folder();
    let run = run_in(folder.path(), "sender readings.csv --output learned.yaml");
    assert_eq!(run.status, 0, "{}", run.messages);
    let (written, _) = sender(folder.path(), "{ file: learned.yaml }").unwrap();
    let (direct, _) = sender(folder.path(), "{ file: readings.csv }").unwrap();
    assert_eq!(written.curve.unit(), "°C");
    assert_eq!((written.curve.first().0, written.curve.last().0), (0.0, 100.0));
    for celsius in [0.0, 10.0, 25.0, 60.0, 99.0, 100.0] {
        let [a, b] = [&written, &direct].map(|sender| sender.curve.at(celsius).0);
        assert!((a - b).abs() <= 1e-9 * b, "{celsius} °C: {a} Ω, {b} Ω");
    }
    assert_eq!((written.tolerance, written.accuracy), (direct.tolerance, direct.accuracy));
    assert!(written.tolerance.0 + written.accuracy.constant > 0.0);
}

#[test]
fn a_file_is_looked_for_beside_its_brief() {
    let folder = folder();
    fs::write(folder.path().join("b.yaml"), brief_with("{ file: readings.csv }")).unwrap();
    let away = TempDir::new().unwrap();
    let brief = folder.path().join("b.yaml");
    let run = run_in(away.path(), &format!("design {} --format json", brief.display()));
    assert!(run.status < 2, "{}", run.messages);
    assert_eq!(parsed(&run.results)["inputs"]["a"]["unit"], "°C");
}

#[test]
fn a_brief_may_say_more_of_the_errors_than_the_file() {
    let folder = folder();
    fs::write(folder.path().join("s.yaml"), "unit: bar\npoints: [[0, 10], [5, 107], [10, 184]]\n").unwrap();
    let (plain, assumed) = sender(folder.path(), "{ file: s.yaml }").unwrap();
    assert_eq!((plain.tolerance, plain.accuracy), (Fraction(0.0), Accuracy::NONE));
    assert!(assumed.contains(&"inputs.a.sender.tolerance".to_owned()), "{assumed:?}");
    let (own, assumed) =
        sender(folder.path(), "{ file: s.yaml, tolerance: 5 %, accuracy: 0.2 bar }").unwrap();
    assert_eq!((own.tolerance, own.accuracy), (Fraction(0.05), Accuracy::constant(0.2)));
    assert!(!assumed.contains(&"inputs.a.sender.tolerance".to_owned()), "{assumed:?}");
}

#[test]
fn mistakes_in_the_file_are_told_with_its_name_and_line() {
    let folder = folder();
    let told = |name: &str, content: &str| {
        fs::write(folder.path().join(name), content).unwrap();
        let message = sender(folder.path(), &format!("{{ file: {name} }}")).unwrap_err();
        message.replace(&format!("{}/", folder.path().display()), "")
    };
    let bend = told("bent.yaml", "unit: bar\npoints: [[0, 10], [5, 107], [10, 90]]\n");
    assert!(bend.starts_with("bent.yaml:2:29: points[3]: found row 3 with 90 Ω behind 107 Ω"), "{bend}");
    let other = told("other.yaml", "file: readings.csv\n");
    assert!(other.starts_with("other.yaml: found `file`, the name of another file"), "{other}");
    let empty = told("empty.yaml", "\n");
    assert!(empty.starts_with("empty.yaml"), "{empty}");
    let torn = told("torn.csv", "value °C;resistance Ω\n20;2450\n30;1,622\n");
    assert!(torn.starts_with("torn.csv:3:"), "{torn}");
    // Both files have mistakes: both are told.
    let brief = brief_with("{ file: bent.yaml }") + "    wire: 0,5\n";
    fs::write(folder.path().join("b.yaml"), brief).unwrap();
    let both = read_file(&folder.path().join("b.yaml")).unwrap_err();
    assert_eq!(both.0.len(), 2, "{both}");
}

#[test]
fn a_one_line_question_may_name_a_file() {
    let folder = folder();
    let run = run_in(folder.path(), "pull-up --sender-file readings.csv --format json");
    assert_eq!(run.status, 0, "{}", run.messages);
    assert_eq!(parsed(&run.results)["inputs"]["input"]["unit"], "°C");
    let missing = run_in(folder.path(), "pull-up --sender-file nowhere.csv");
    assert_eq!(missing.status, 2);
    assert!(
        missing.messages.starts_with("--sender-file: found `nowhere.csv`, a file that"),
        "{}",
        missing.messages
    );
}

#[test]
fn a_brief_may_take_a_part_of_the_file_and_put_it_into_a_tank() {
    let folder = folder();
    let part = sender(folder.path(), "{ file: readings.csv, range: 60 °C .. 90 °C }").unwrap().0;
    assert_eq!((part.curve.first().0, part.curve.last().0), (60.0, 90.0));
    let beyond = sender(folder.path(), "{ file: readings.csv, range: 60 °C .. 130 °C }").unwrap_err();
    assert!(beyond.contains("(outside the range); expected a value inside 0 .. 100 °C"), "{beyond}");
    let level = "unit: \"%\"\npoints: [[0, 240], [100, 33]]\naccuracy: 2\n";
    fs::write(folder.path().join("level.yaml"), level).unwrap();
    let shape = "shape: [[0, 0 L], [50, 20 L], [100, 80 L]]";
    let tank = sender(folder.path(), &format!("{{ file: level.yaml, {shape} }}")).unwrap().0;
    assert_eq!((tank.curve.unit(), tank.curve.last().0), ("L", 80.0));
    // By hand: 2 % of the level is 2.4 L where 50 % of the level are 60 L.
    assert!((tank.accuracy.constant - 2.4).abs() < 1e-9, "{:?}", tank.accuracy);
}

#[test]
fn what_is_doubted_of_a_sender_stands_at_the_head_of_the_answer() {
    let folder = folder();
    let text =
        "unit: bar\npoints: [[0, 10], [10, 184]]\ndoubts: [\"two readings, none to check them with\"]\n";
    fs::write(folder.path().join("s.yaml"), text).unwrap();
    fs::write(folder.path().join("b.yaml"), brief_with("{ file: s.yaml }")).unwrap();
    let run = run_in(folder.path(), "design b.yaml --format json");
    let cautions = parsed(&run.results)["cautions"].to_string();
    assert!(cautions.contains("inputs.a.sender: two readings, none to check them with"), "{cautions}");
}
