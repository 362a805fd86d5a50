//! The command line from outside: exit statuses, the two output streams, JSON, files, help.

#![allow(clippy::unwrap_used, reason = "helpers of tests may fail loudly")]

use std::fs;
use std::path::Path;
use std::process::{Command as Process, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_ohmwright");

/// Two inputs, one with everything to be chosen.
const BRIEF: &str = "board: test board
inputs:
  diesel:
    circuit: pull-up
    sender: { resistance: 240 Ω .. 33 Ω }
    pull_up: choose
    protection: choose
  \"battery: 1\":
    circuit: divider
    from: supply
    measures: 0 V .. 32 V
    top: 22k
    bottom: 11k
    extension: choose
";

struct Run {
    status: i32,
    results: String,
    messages: String,
}

fn finished(output: Output) -> Run {
    Run {
        status: output.status.code().unwrap(),
        results: String::from_utf8(output.stdout).unwrap(),
        messages: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Runs with arguments that are separated by blanks.
fn run(arguments: &str) -> Run {
    run_in(Path::new("."), arguments)
}

fn run_in(folder: &Path, arguments: &str) -> Run {
    let arguments = arguments.split(' ').filter(|argument| !argument.is_empty());
    finished(Process::new(PROGRAM).args(arguments).current_dir(folder).output().unwrap())
}

fn folder_with_brief() -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("board.yaml"), BRIEF).unwrap();
    folder
}

/// The keys at one depth of indented JSON, in their order.
fn keys(json: &str, depth: usize) -> Vec<String> {
    let start = format!("{}\"", "  ".repeat(depth));
    let line =
        |line: &str| line.strip_prefix(&start).and_then(|rest| rest.split('"').next()).map(str::to_owned);
    json.lines().filter_map(line).collect()
}

fn parsed(json: &str) -> Value {
    serde_json::from_str(json).unwrap()
}

// Exit statuses and streams.

#[test]
fn status_0_when_all_limits_hold() {
    let run = run("pull-up --sender 240..33");
    assert_eq!((run.status, run.messages.as_str()), (0, ""));
    assert!(run.results.starts_with("pull-up: all limits hold\n"), "{}", run.results);
}

#[test]
fn status_1_when_a_limit_does_not_hold() {
    let run = run("pull-up --sender 240..33 --pull-up 10 --protection 10k");
    assert_eq!((run.status, run.messages.as_str()), (1, ""));
    assert!(run.results.contains("\nFAILS: input: pin_current, upper clamp is "), "{}", run.results);
}

#[test]
fn status_1_when_no_choice_exists() {
    let run = run("pull-up --sender 240..33 --limit sender_current=20uA");
    assert_eq!((run.status, run.messages.as_str()), (1, ""));
    assert!(run.results.contains("none respects all limits"), "{}", run.results);
}

#[test]
fn status_2_leaves_standard_output_empty() {
    for arguments in [
        "",
        "pull-up",
        "pul-up",
        "pull-up --sendr 240..33",
        "pull-up --sender 240",
        "pull-up --sender 240..33 --limit settling",
        "pull-up --sender 240..33 --excitation supply --excitation-tolerance 2%",
        "divider --measures 32..0V --format xml",
        "extend --measures 0..32V --top 22k",
        "design",
        "design no-such-file.yaml",
        "check no-such-file.yaml --fitted other.yaml",
        "series E25",
        "series --value 0",
        "series --between 10k..1k",
    ] {
        let run = run(arguments);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{arguments}");
        assert!(!run.messages.is_empty(), "{arguments}");
    }
}

#[test]
fn a_closed_pipe_ends_quietly() {
    let mut process = Process::new(PROGRAM);
    process.args(["pull-up", "--sender", "240..33"]).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = process.spawn().unwrap();
    drop(child.stdout.take());
    let run = finished(child.wait_with_output().unwrap());
    assert_eq!((run.status, run.messages.as_str()), (0, ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = Process::new(PROGRAM).args(["series"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
    let run = finished(output);
    assert_eq!(run.status, 2);
    assert!(run.messages.starts_with("standard output: "), "{}", run.messages);
}

#[test]
fn the_same_question_gives_the_same_bytes() {
    let question = "divider --measures 0..32V --from supply --format json";
    assert_eq!(run(question).results, run(question).results);
}

// Help.

#[test]
fn every_command_has_help_with_an_example() {
    for command in ["pull-up", "divider", "extend", "design", "check", "series"] {
        for help in ["--help", "-h"] {
            let run = run(&format!("{command} {help}"));
            assert_eq!((run.status, run.messages.as_str()), (0, ""));
            assert!(run.results.contains(&format!("Examples:\n  ohmwright {command} ")), "{}", run.results);
        }
    }
}

#[test]
fn the_bare_program_shows_its_commands_and_an_example() {
    let run = run("");
    assert!(run.messages.contains("Usage: ohmwright"), "{}", run.messages);
    assert!(run.messages.contains("Examples:\n  ohmwright pull-up --sender 240..33\n"), "{}", run.messages);
}

#[test]
fn a_question_without_its_flag_says_which_and_gives_an_example() {
    let run = run("pull-up");
    assert!(run.messages.contains("--sender"), "{}", run.messages);
    assert!(run.messages.contains("Examples:\n  ohmwright pull-up --sender 240..33\n"), "{}", run.messages);
}

/// The examples of the help are no decoration: each can be used as it stands.
#[test]
fn the_examples_of_one_line_questions_can_be_asked() {
    for command in ["pull-up", "divider", "extend", "series"] {
        let help = run(&format!("{command} --help")).results;
        let examples: Vec<&str> =
            help.lines().filter_map(|line| line.trim().strip_prefix("ohmwright ")).collect();
        assert!(examples.iter().filter(|example| example.starts_with(command)).count() >= 2, "{help}");
        for example in examples {
            let run = run(example);
            assert_eq!(run.status, 0, "{example}\n{}{}", run.results, run.messages);
        }
    }
}

// Questions.

#[test]
fn mistakes_are_told_by_flag_and_all_at_once() {
    let messages = run("pull-up --sender 240..33 --wire 4,7 --bits ten --reference 1.1A").messages;
    let told: Vec<&str> = messages.lines().filter_map(|line| line.split(": ").next()).collect();
    for flag in ["--wire", "--bits", "--reference"] {
        assert!(told.contains(&flag), "{flag}\n{messages}");
    }
}

#[test]
fn a_near_miss_is_suggested() {
    assert!(run("pull-up --sendr 240..33").messages.contains("'--sender'"));
    assert!(run("pul-up").messages.contains("'pull-up'"));
}

#[test]
fn ranges_may_start_below_zero() {
    let json = run("pull-up --sender 240..33 --ambient -40..85°C --ground-shift -50..50mV --format json");
    assert_eq!(json.status, 0, "{}", json.messages);
    let assumed = parsed(&json.results)["assumed"].to_string();
    assert!(!assumed.contains("ambient") && !assumed.contains("ground_shift"), "{assumed}");
}

#[test]
fn a_voltage_that_excites_becomes_a_rail_of_its_own() {
    let question = "pull-up --sender 240..33 --rail 3.3V --pull-up 560 --protection 33k --format json";
    let ratiometric = parsed(&run(question).results);
    let other = parsed(&run(&format!("{question} --excitation 5V")).results);
    let nominal = |answer: &Value| answer["inputs"]["input"]["span"]["nominal_counts"].as_f64().unwrap();
    // By hand: span = 1024·(5/3.3)·(240/800 − 33/593), and the same without 5/3.3 where the rail excites.
    let of_ratio = 1024.0 * (240.0 / 800.0 - 33.0 / 593.0);
    assert!((nominal(&ratiometric) - of_ratio).abs() < 1e-6, "{}", nominal(&ratiometric));
    assert!((nominal(&other) - of_ratio * 5.0 / 3.3).abs() < 1e-6, "{}", nominal(&other));
}

#[test]
fn a_range_as_a_part_is_what_it_is_chosen_from() {
    let json = parsed(&run("pull-up --sender 240..33 --pull-up 1k..2k2 --format json").results);
    let pull_up = &json["inputs"]["input"]["parts"]["pull_up"];
    assert_eq!(pull_up["chosen"], true);
    let ohm = pull_up["ohm"].as_f64().unwrap();
    assert!((1000.0..=2200.0).contains(&ohm), "{ohm}");
}

#[test]
fn limits_can_be_set_and_switched_off() {
    let rows = |arguments: &str| {
        let json = parsed(&run(&format!("pull-up --sender 240..33 {arguments} --format json")).results);
        let rows = json["inputs"]["input"]["limits"].as_array().unwrap().clone();
        let limited = rows.into_iter().filter(|row| !row["allowed"].is_null());
        limited.map(|row| row["limit"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert!(rows("").iter().any(|limit| limit == "settling"));
    assert!(!rows("--limit settling=off").iter().any(|limit| limit == "settling"));
    assert!(rows("--limit sender-current=20mA").iter().any(|limit| limit == "sender_current"));
    assert_eq!(rows("--limit off"), [""; 0]);
    assert_eq!(rows("--limit off --limit sender_current=20mA"), ["sender_current"]);
}

// The report for people.

#[test]
fn reports_are_80_columns_wide_and_plain() {
    for question in [
        "pull-up --sender 240..33 --surge 35V --reversed 14V",
        "divider --measures 0..32V --from supply --surge 101V --survive surge",
        "extend --measures 0..32V --top 22k --bottom 11k",
        "pull-up --sender 240..33 --pull-up 10 --protection 10k",
        "pull-up --sender 240..33 --limit sender_current=20uA",
        "series E192",
        "series --value 4.8k",
    ] {
        let text = run(question).results;
        assert!(!text.is_empty(), "{question}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{question}\n{line}");
            assert_eq!(line, line.trim_end(), "{question}");
        }
        assert!(!text.contains('\u{1b}') && !text.contains('\u{a0}'), "{question}");
        assert!(text.ends_with('\n') && !text.ends_with("\n\n"), "{question}");
    }
}

#[test]
fn limits_that_are_off_are_no_silent_consent() {
    let text = run("pull-up --sender 240..33 --limit off").results;
    assert!(text.contains("\nNOT JUDGED: input: all its limits are off.\n"), "{text}");
    assert!(!run("pull-up --sender 240..33").results.contains("NOT JUDGED"));
}

#[test]
fn names_cannot_carry_control_characters() {
    let output =
        Process::new(PROGRAM).args(["pull-up", "--sender", "240..33", "--name", "a\u{1b}[31m"]).output();
    let run = finished(output.unwrap());
    assert_eq!((run.status, run.results.as_str()), (2, ""));
}

#[test]
fn a_report_says_what_matters() {
    let text = run("pull-up --sender 240..33 --surge 35V").results;
    for part in [
        "HOLDS",
        "pull_up",
        "protection",
        "counts assured",
        "proven",
        "wire open",
        "runners-up",
        "fuse every",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}

// JSON.

#[test]
fn the_keys_of_an_answer_stand_in_order() {
    let json = run("pull-up --sender 240..33 --format json").results;
    let top = ["ohmwright", "command", "board", "verdict", "assumed", "cautions", "remarks", "inputs"];
    assert_eq!(keys(&json, 1), top);
    let input = [
        "circuit",
        "unit",
        "aim",
        "verdict",
        "parts",
        "span",
        "limits",
        "working_band",
        "checkpoints",
        "cases",
        "remarks",
        "cautions",
        "search",
        "runners_up",
    ];
    let (_, inputs) = json.split_once("  \"inputs\": {").unwrap();
    assert_eq!(keys(inputs, 3), input);
    let parsed = parsed(&json);
    assert_eq!(parsed["command"], "pull-up");
    assert_eq!(parsed["verdict"], "holds");
    assert!(parsed["inputs"]["input"]["parts"]["shunt"].is_null());
    assert_eq!(parsed["inputs"]["input"]["parts"]["capacitor"]["farad"], 1e-7);
}

#[test]
fn text_and_json_tell_the_same_choice() {
    let json = parsed(&run("pull-up --sender 240..33 --format json").results);
    let ohm = json["inputs"]["input"]["parts"]["pull_up"]["ohm"].as_f64().unwrap();
    let text = run("pull-up --sender 240..33").results;
    let row = text.lines().find(|line| line.starts_with("pull_up")).unwrap();
    assert!(row.contains(&format!(" {ohm} Ω ")), "{row}");
}

#[test]
fn mistakes_are_json_on_standard_error_when_json_was_asked() {
    for (arguments, key) in [
        ("pull-up --sender 240..33 --wire x --format json", "--wire"),
        ("pull-up --sendr 240..33 --format json", "--sendr"),
        ("pull-up --format=json", "--sender"),
        ("--format json pull-up --sender 240..33 --limit settling", "--limit"),
        ("--format json", ""),
    ] {
        let run = run(arguments);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{arguments}");
        assert_eq!(keys(&run.messages, 1), ["errors"]);
        assert_eq!(keys(&run.messages, 3), ["file", "line", "column", "key", "found", "expected"]);
        assert_eq!(parsed(&run.messages)["errors"][0]["key"], key, "{arguments}");
    }
}

#[test]
fn mistakes_in_a_brief_name_file_and_line() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("board.yaml"), BRIEF.replace("bottom: 11k", "bottom: 11V")).unwrap();
    let told = run_in(folder.path(), "design board.yaml --format json");
    assert_eq!((told.status, told.results.as_str()), (2, ""));
    let error = &parsed(&told.messages)["errors"][0];
    assert_eq!((&error["file"], &error["line"]), (&Value::from("board.yaml"), &Value::from(13)));
    assert!(run_in(folder.path(), "design board.yaml").messages.starts_with("board.yaml:13:"));
}

// Files.

#[test]
fn fitted_values_go_from_design_to_check() {
    let folder = folder_with_brief();
    let design = run_in(folder.path(), "design board.yaml --output fitted.yaml --format json");
    assert_eq!((design.status, design.messages.as_str()), (0, "fitted.yaml: fitted values written\n"));
    let fitted = fs::read_to_string(folder.path().join("fitted.yaml")).unwrap();
    assert!(
        fitted.starts_with("board: test board\nfitted:\n  diesel:\n    line: none\n    pull_up: "),
        "{fitted}"
    );
    assert!(fitted.contains("\n  \"battery: 1\":\n"), "{fitted}");
    let check = run_in(folder.path(), "check board.yaml --fitted fitted.yaml --format json");
    assert_eq!((check.status, check.messages.as_str()), (0, ""));
    let (design, check) = (parsed(&design.results), parsed(&check.results));
    assert_eq!(check["command"], "check");
    for input in ["diesel", "battery: 1"] {
        for key in ["span", "limits", "checkpoints", "cases"] {
            assert_eq!(design["inputs"][input][key], check["inputs"][input][key], "{input} {key}");
        }
    }
}

#[test]
fn check_asks_for_values_that_are_still_to_be_chosen() {
    let folder = folder_with_brief();
    let check = run_in(folder.path(), "check board.yaml");
    assert_eq!((check.status, check.results.as_str()), (2, ""));
    let first = check.messages.lines().next().unwrap();
    assert!(first.starts_with("board.yaml: inputs.diesel.pull_up: "), "{first}");
    assert!(first.contains("`design`") && first.contains("--fitted"), "{first}");
}

#[test]
fn an_older_fitted_file_is_replaced() {
    let folder = folder_with_brief();
    let old = "# old\nboard: test board\nfitted:\n  diesel: { pull_up: 1 Ω }\n";
    fs::write(folder.path().join("fitted.yaml"), old).unwrap();
    assert_eq!(run_in(folder.path(), "design board.yaml -o fitted.yaml").status, 0);
    let new = fs::read_to_string(folder.path().join("fitted.yaml")).unwrap();
    assert!(new.contains("battery: 1") && !new.contains("old"), "{new}");
}

#[test]
fn a_brief_is_never_written_over() {
    let folder = folder_with_brief();
    let path = folder.path().join("board.yaml");
    fs::hard_link(&path, folder.path().join("hard.yaml")).unwrap();
    fs::create_dir(folder.path().join("sub")).unwrap();
    let mut outputs = vec!["board.yaml", "./sub/../board.yaml", "hard.yaml"];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("board.yaml", folder.path().join("link.yaml")).unwrap();
        outputs.push("link.yaml");
    }
    for output in outputs {
        let run = run_in(folder.path(), &format!("design board.yaml --output {output}"));
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{output}");
        assert!(run.messages.starts_with(&format!("{output}: found ")), "{}", run.messages);
        assert_eq!(fs::read_to_string(&path).unwrap(), BRIEF, "{output}");
    }
}

#[test]
fn nothing_but_fitted_values_is_written_over() {
    let folder = folder_with_brief();
    for content in ["notes\n", "", "board: test board\nfitted:\n  diesel: {}\nmore: 1\n", "\u{0}"] {
        let path = folder.path().join("notes.txt");
        fs::write(&path, content).unwrap();
        let run = run_in(folder.path(), "design board.yaml --output notes.txt");
        assert_eq!((run.status, run.results.as_str()), (2, ""));
        assert!(run.messages.contains("not written over"), "{}", run.messages);
        assert_eq!(fs::read_to_string(&path).unwrap(), content);
    }
}

#[test]
fn an_output_that_cannot_be_written_is_named() {
    let folder = folder_with_brief();
    for output in ["no-such-folder/fitted.yaml", "."] {
        let run = run_in(folder.path(), &format!("design board.yaml --output {output}"));
        assert_eq!((run.status, run.results.as_str()), (2, ""));
        assert!(run.messages.starts_with(&format!("{output}: ")), "{}", run.messages);
    }
}

#[test]
fn without_a_choice_nothing_is_written() {
    let folder = folder_with_brief();
    let brief = BRIEF.replace("pull_up: choose", "pull_up: choose\n    limits: { sender_current: 1 µA }");
    fs::write(folder.path().join("board.yaml"), brief).unwrap();
    let run = run_in(folder.path(), "design board.yaml --output fitted.yaml");
    assert_eq!(run.status, 1);
    assert_eq!(run.messages, "fitted.yaml: not written, since no choice exists\n");
    assert!(run.results.contains("IMPOSSIBLE: diesel"), "{}", run.results);
    let names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names, ["board.yaml"]);
}

// Series.

#[test]
fn a_series_is_listed() {
    let text = run("series E12").results;
    // IEC 60063, E12.
    assert!(text.contains("\n1.0 1.2 1.5 1.8 2.2 2.7 3.3 3.9 4.7 5.6 6.8 8.2\n"), "{text}");
    let json = parsed(&run("series E3 E96 --format json").results);
    assert_eq!(json["series"][0]["decade"], serde_json::json!([1.0, 2.2, 4.7]));
    assert_eq!(json["series"][1]["decade"].as_array().unwrap().len(), 96);
}

#[test]
fn values_between_two_ends_are_listed() {
    let json = parsed(&run("series E6 --between 1k..10k --format json").results);
    let values = serde_json::json!([1000.0, 1500.0, 2200.0, 3300.0, 4700.0, 6800.0, 10000.0]);
    assert_eq!(json["series"][0]["values_ohm"], values);
}

#[test]
fn neighbours_come_with_their_deviation() {
    // By hand: 5.1/4.8 − 1 = 6.25 %, 4.7/4.8 − 1 = −2.0833 %.
    let json = run("series E24 --value 4.8k --format json").results;
    assert_eq!(keys(&json, 1), ["ohmwright", "command", "value_ohm", "series"]);
    let row = &parsed(&json)["series"][0];
    assert_eq!((&row["below"]["ohm"], &row["above"]["ohm"]), (&Value::from(4700.0), &Value::from(5100.0)));
    assert!(row["equal"].is_null());
    assert!((row["above"]["deviation"].as_f64().unwrap() - 0.0625).abs() < 1e-12);
    let text = run("series E24 --value 4.8k").results;
    assert!(text.contains("4.7 kΩ (-2.08 %)") && text.contains("5.1 kΩ (+6.25 %)"), "{text}");
    let exact = parsed(&run("series E24 --value 4k7 --format json").results);
    assert_eq!(exact["series"][0]["equal"]["ohm"], 4700.0);
}
