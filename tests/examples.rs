//! The examples: one invented scenario, a river launch. Every brief can be designed, and what is written down
//! as fitted is what `design` chooses.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tempfile::TempDir;

use support::program::{Run, finished, number, parsed, program, without_reasons};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

/// Every YAML file of the folder whose name ends in `-fitted.yaml`, or every other one. Tables of readings are no briefs.
fn files(fitted: bool) -> Vec<PathBuf> {
    let paths = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let yaml = paths.filter(|path| path.extension().is_some_and(|extension| extension == "yaml"));
    let mut files: Vec<_> = yaml.filter(|path| is_fitted(path) == fitted).collect();
    files.sort();
    files
}

fn is_fitted(path: &Path) -> bool {
    path.to_str().unwrap().ends_with("-fitted.yaml")
}

/// The brief that a fitted file belongs to.
fn brief_of(fitted: &Path) -> PathBuf {
    PathBuf::from(fitted.to_str().unwrap().replace("-fitted.yaml", ".yaml"))
}

fn run(command: &str, brief: &Path, further: &[&str]) -> Run {
    finished(program().arg(command).arg(brief).args(further).output().unwrap())
}

/// Runs without a word on standard error and with every limit respected.
#[track_caller]
fn quiet(command: &str, brief: &Path, further: &[&str]) -> String {
    let run = run(command, brief, further);
    assert_eq!((run.status, run.messages.as_str()), (0, ""), "{}: {}", brief.display(), run.results);
    run.results
}

fn inputs(answer: &Value) -> impl Iterator<Item = (&String, &Value)> {
    answer["inputs"].as_object().unwrap().iter()
}

/// The part of a text answer that is about one input: from its heading to the next one.
fn section<'a>(text: &'a str, name: &str, circuit: &str) -> &'a str {
    let heading = format!("\n{name}: {circuit}\n══");
    let (_, below) = text.split_once(&heading).unwrap_or_else(|| panic!("{name} is missing in {text}"));
    below.split_once("\n══").map_or(below, |(section, _)| section)
}

/// The row of a table that starts with a word.
fn row<'a>(section: &'a str, start: &str) -> &'a str {
    let starts = |line: &&str| line.strip_prefix(start).is_some_and(|rest| rest.starts_with(' '));
    section.lines().find(starts).unwrap_or_else(|| panic!("no row {start} in {section}"))
}

/// A resistance as a row of a text answer shows it, in ohms.
fn ohms(row: &str) -> f64 {
    let words: Vec<&str> = row.split_whitespace().collect();
    let factor = match words[2] {
        "Ω" => 1.0,
        "kΩ" => 1e3,
        "MΩ" => 1e6,
        unit => panic!("{unit} in {row}"),
    };
    words[1].parse::<f64>().unwrap() * factor
}

#[test]
fn the_folder_holds_what_the_scenario_has() {
    let names = |fitted| -> Vec<String> {
        files(fitted).iter().map(|path| path.file_name().unwrap().to_str().unwrap().to_owned()).collect()
    };
    assert_eq!(
        names(false),
        [
            "aft-board.yaml",
            "engine.yaml",
            "fuel-pull-up.yaml",
            "fuel-senders.yaml",
            "house-bank.yaml",
            "river-launch-calibrated.yaml",
            "river-launch.yaml",
            "saloon-board.yaml",
            "steering.yaml",
            "thermometers.yaml",
        ]
    );
    assert_eq!(names(true), ["river-launch-fitted.yaml"]);
    for path in files(false).iter().chain(&files(true)) {
        let text = fs::read_to_string(path).unwrap();
        assert!(text.starts_with("# Invented"), "{}", path.display());
        assert!(text.lines().all(|line| line.chars().count() <= 110), "{}", path.display());
    }
}

#[test]
fn every_brief_can_be_designed() {
    for brief in files(false) {
        let text = quiet("design", &brief, &[]);
        assert!(text.contains("\nHOLDS: "), "{text}");
        let answer = parsed(&quiet("design", &brief, &["--format", "json"]));
        assert_eq!(answer["verdict"], "holds");
        assert_eq!(answer["command"], "design");
        assert!(text.starts_with(&format!("{}: all limits hold\n", answer["board"].as_str().unwrap())));
        for (name, input) in inputs(&answer) {
            assert_eq!(input["verdict"], "holds", "{name}");
            if let Some(search) = input.get("search") {
                assert_eq!(search["proof"], "complete", "{name}");
            }
        }
    }
}

#[test]
fn text_fits_80_columns() {
    for brief in files(false) {
        let text = quiet("design", &brief, &[]);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{}: {line}", brief.display());
            assert_eq!(line, line.trim_end(), "{}", brief.display());
        }
    }
}

#[test]
fn text_and_json_name_the_same_values() {
    for brief in files(false) {
        let text = quiet("design", &brief, &[]);
        let answer = parsed(&quiet("design", &brief, &["--format", "json"]));
        for (name, input) in inputs(&answer) {
            let section = section(&text, name, input["circuit"].as_str().unwrap());
            same_parts(section, &input["parts"]);
            for (key, words) in
                [("assured_counts", " counts assured"), ("nominal_counts", " with nominal parts")]
            {
                let counts = format!("{:.1}", input["span"][key].as_f64().unwrap());
                let joined = section.replace('\n', " ");
                assert!(joined.contains(&format!("{counts}{words}")), "{name}: {counts}{words} in {section}");
            }
            same_cases(section, &input["cases"]);
            same_limits(section, &input["limits"]);
        }
    }
}

/// Every part with its value; those that are not there have no row, and are named where somebody left them out.
fn same_parts(section: &str, parts: &Value) {
    let table =
        section.split("\n\n").find(|table| table.starts_with("\npart ") || table.starts_with("part "));
    let table = table.unwrap_or_else(|| panic!("no parts in {section}"));
    let rows: Vec<&str> = table.lines().filter_map(|line| line.split_whitespace().next()).collect();
    for (role, part) in parts.as_object().unwrap() {
        if let Some(ohm) = part["ohm"].as_f64() {
            let shown = ohms(row(table, role));
            assert!((shown - ohm).abs() <= 1e-9 * ohm, "{role}: {shown} and {ohm}");
        } else {
            assert!(part.is_null() || part["farad"].is_number(), "{role}: {part}");
            assert_eq!(rows.contains(&role.as_str()), !part.is_null(), "{role} in {table}");
        }
    }
    // The examples leave out nothing but what they do not mention.
    assert!(!section.contains("Left out: "), "{section}");
}

/// Every case with its counts.
fn same_cases(section: &str, cases: &Value) {
    for case in cases.as_array().unwrap() {
        let name = case["case"].as_str().unwrap();
        let count = &case["count"];
        let shown = match (count["lowest"].as_f64(), count["highest"].as_f64()) {
            (Some(lowest), Some(highest)) if lowest == highest => format!("{lowest}"),
            (Some(lowest), Some(highest)) => format!("{lowest}..{highest}"),
            _ if case["floating"] == true => "any: floats".to_owned(),
            _ => "converter off".to_owned(),
        };
        let row = row(section, name);
        assert!(row[name.len()..].trim_start().starts_with(&shown), "{shown} in {row}");
    }
}

/// Every limit with the word of its verdict, whether it binds or is only reported; only parts that bear less than a
/// hundredth of what they may have no row, and the text says how many.
fn same_limits(section: &str, limits: &Value) {
    let mut not_shown = 0;
    for limit in limits.as_array().unwrap() {
        let name = limit["limit"].as_str().unwrap();
        if is_small(limit) {
            not_shown += 1;
            continue;
        }
        let about = limit["part"].as_str().or(limit["side"].as_str());
        let row = row(section, &about.map_or(name.to_owned(), |about| format!("{name}, {about}")));
        assert_eq!(row.contains("FAILS"), limit["holds"] == false, "{row}");
    }
    let told = section.lines().find_map(|line| line.strip_prefix("Not shown: "));
    let told = told.map_or(0, |line| line.split(' ').next().unwrap().parse().unwrap());
    assert_eq!(told, not_shown, "{section}");
}

fn is_small(limit: &Value) -> bool {
    let is_of_parts = limit["limit"] == "dissipation" || limit["limit"] == "part_voltage";
    is_of_parts && limit["allowed"].as_f64().is_some_and(|allowed| number(&limit["worst"]) < 0.01 * allowed)
}

#[test]
fn what_is_fitted_is_what_was_designed() {
    for fitted in files(true) {
        let brief = brief_of(&fitted);
        let folder = TempDir::new().unwrap();
        let written = folder.path().join("fitted.yaml");
        let run = run("design", &brief, &["--output", written.to_str().unwrap()]);
        assert_eq!(run.status, 0);
        assert_eq!(run.messages, format!("{}: fitted values written\n", written.display()));

        let example = fs::read_to_string(&fitted).unwrap();
        let values = example.lines().filter(|line| !line.starts_with('#'));
        assert!(values.eq(fs::read_to_string(&written).unwrap().lines()), "{}", fitted.display());
        check_agrees(&brief, &fitted);
    }
}

/// All briefs, not only those whose fitted values are kept: what `design` writes, `check` reads, and finds
/// the same.
#[test]
fn a_check_of_what_was_designed_finds_the_same() {
    for brief in files(false) {
        let folder = TempDir::new().unwrap();
        let written = folder.path().join("fitted.yaml");
        assert_eq!(run("design", &brief, &["--output", written.to_str().unwrap()]).status, 0);
        check_agrees(&brief, &written);
    }
}

fn check_agrees(brief: &Path, fitted: &Path) {
    let fitted = ["--fitted", fitted.to_str().unwrap()];
    assert!(quiet("check", brief, &fitted).contains("\nHOLDS: "));
    let checked =
        parsed(&quiet("check", brief, &[fitted[0], fitted[1], "--boards", "0", "--format", "json"]));
    let designed = parsed(&quiet("design", brief, &["--format", "json"]));
    assert_eq!(checked["command"], "check");
    for key in ["board", "verdict", "cautions", "remarks"] {
        assert_eq!(checked[key], designed[key], "{key}");
    }
    for (name, input) in inputs(&designed) {
        let again = &checked["inputs"][name];
        for key in [
            "circuit",
            "unit",
            "span",
            "stack_up",
            "limits",
            "checkpoints",
            "cases",
            "alarms",
            "ranking",
            "remarks",
            "cautions",
        ] {
            let [again, input] = [again, input].map(|input| input.get(key).map(without_reasons));
            assert_eq!(again, input, "{name}: {key}");
        }
        for (role, part) in input["parts"].as_object().unwrap() {
            assert_eq!(again["parts"][role]["ohm"], part["ohm"], "{name}: {role}");
            assert_ne!(again["parts"][role]["chosen"], true, "{name}: {role}");
        }
    }
}

/// The batch of the launch: the boards that its remark names are outside, each with the part that the remark names among
/// what explains its counts.
#[test]
fn the_measured_boards_are_judged() {
    let folder = folder();
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (fitted, measured) = (path("river-launch-fitted.yaml"), path("river-launch-measured.csv"));
    let further = ["--fitted", &fitted, "--measured", &measured, "--format", "json"];
    let run = run("check", &folder.join("river-launch.yaml"), &further);
    assert_eq!((run.status, run.messages.as_str()), (1, ""));
    let answer = parsed(&run.results);
    assert_eq!((answer["verdict"].as_str(), answer["check"].as_str()), (Some("fails"), Some("holds")));
    for board in answer["boards"].as_array().unwrap() {
        let suspects = board["suspects"].as_array().unwrap();
        let has = |part: &str, ohm: f64| {
            suspects.iter().any(|suspect| suspect["suspect"] == part && suspect["standard_ohm"] == ohm)
        };
        match board["board"].as_str().unwrap() {
            "3" => assert!(suspects[0]["suspect"] == "pull_up" && has("pull_up", 330.0), "{board}"),
            "5" => assert!(has("bottom", 12e3), "{board}"),
            _ => assert_eq!((board["verdict"].as_str(), suspects.len()), (Some("inside"), 0), "{board}"),
        }
    }
}

/// A board on which nothing is left to be chosen needs no file of fitted values; the others do.
#[test]
fn every_fuel_sender_is_served_and_another_set_of_parts_pays_less_and_less() {
    let brief = folder().join("fuel-senders.yaml");
    let answer = parsed(&quiet("design", &brief, &["--format", "json"]));
    let senders = answer["inputs"]["fuel"]["senders"].as_object().unwrap();
    assert_eq!(senders.len(), 4);
    for (name, sender) in senders {
        let (best, span) = (&sender["own_best"]["assured_counts"], &sender["span"]["assured_counts"]);
        let lost = 1.0 - number(span) / number(best);
        assert!((number(&sender["loss"]) - lost.max(0.0)).abs() < 1e-9, "{name}");
    }
    let rows = answer["variants"].as_array().unwrap();
    let losses: Vec<f64> = rows.iter().map(|row| number(&row["worst_loss"])).collect();
    assert_eq!(rows.len(), 3);
    assert!(losses[0] > losses[1] && losses[1] > losses[2] && losses[0] - losses[1] > losses[1] - losses[2]);
    assert!(rows.iter().all(|row| row["proof"] == "complete"));
}

#[test]
fn only_given_values_are_checked_without_a_fitted_file() {
    for brief in files(false) {
        let run = run("check", &brief, &[]);
        if ["fuel-pull-up.yaml", "river-launch-calibrated.yaml"].iter().any(|given| brief.ends_with(given)) {
            assert_eq!((run.status, run.messages.as_str()), (0, ""));
        } else {
            assert_eq!((run.status, run.results.as_str()), (2, ""), "{}", brief.display());
            assert!(run.messages.contains("a part that is still to be chosen"), "{}", run.messages);
        }
    }
}
