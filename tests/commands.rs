//! The command line from outside: exit statuses, the two output streams, JSON, files, help.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod support;

use std::fs;
use std::process::Stdio;

use serde_json::Value;
use tempfile::TempDir;

use support::program::{finished, parsed, program, run, run_in, without_reasons};

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
    let mut process = program();
    // More than a pipe holds, so that the program still writes when nobody reads any more.
    let names = ["E192"; 8];
    process.arg("series").args(names).args(["--between", "1..10G", "--format", "json"]);
    let whole = process.output().unwrap();
    assert!(whole.stdout.len() > 1 << 17, "{}", whole.stdout.len());
    let mut child = process.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let run = finished(child.wait_with_output().unwrap());
    assert_eq!((run.status, run.messages.as_str()), (0, ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = program().args(["series"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
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
    for command in ["pull-up", "divider", "extend", "level-shift", "burden", "design", "check", "series"] {
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
    for command in ["pull-up", "divider", "extend", "level-shift", "burden", "series"] {
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

/// A flag reaches the key of its name: the brief no longer assumes anything there.
#[test]
fn flags_reach_the_keys_of_a_brief() {
    let pull_up = "pull-up --sender 240..33";
    let divider = "divider --measures 0..4V";
    let level_shift = "level-shift --measures -10..10V";
    let extend = "extend --measures 0..32V --top 22k --bottom 11k";
    for (question, flag, key) in [
        (pull_up, "--accuracy 2", "inputs.input.sender.accuracy"),
        (pull_up, "--line 10", "inputs.input.line"),
        (pull_up, "--when-reversed on", "rails.logic.when_reversed"),
        (pull_up, "--clamp-rail logic", "converter.clamp_rail"),
        (pull_up, "--reference logic", "converter.reference"),
        (pull_up, "--derated-from 60°C", "resistors.derated_from"),
        (pull_up, "--derated-to-zero 125°C", "resistors.derated_to_zero"),
        (pull_up, "--bench-temperature 15..25°C", "bench.temperature"),
        (pull_up, "--decade-box 1%", "bench.decade_box"),
        (divider, "--extension 10k", "inputs.input.extension"),
        (divider, "--scales-with logic", "inputs.input.scales_with"),
        (extend, "--extension 47k", "inputs.input.extension"),
        (extend, "--from supply", "inputs.input.from"),
        (level_shift, "--bias-to logic", "inputs.input.bias_to"),
        ("burden --measures 4..20mA", "--compliance 10V", "inputs.input.compliance"),
        (divider, "--zone 1..3V", "inputs.input.zone"),
    ] {
        let assumes = |question: &str| {
            let run = run(&format!("{question} --format json"));
            assert_eq!(run.messages, "", "{question}");
            let answer = parsed(&run.results);
            answer["assumed"].as_array().unwrap().iter().any(|assumed| assumed["key"] == key)
        };
        // `extend` chooses its extension by itself.
        assert_eq!(assumes(question), (question, key) != (extend, "inputs.input.extension"), "{key}");
        assert!(!assumes(&format!("{question} {flag}")), "{flag}");
    }
}

#[test]
fn a_sender_may_be_given_by_its_points() {
    let of = |sender: &str| {
        let question = format!("pull-up --sender {sender} --pull-up 300 --protection 30k --format json");
        parsed(&run(&question).results)["inputs"]["input"].clone()
    };
    let points = of("0:240,50:103,100:33 --unit %");
    assert_eq!(points["checkpoints"][2]["sender_ohm"], 103.0);
    // Two points are the two ends.
    assert_eq!(of("0:240,100:33 --unit %")["checkpoints"], of("240..33")["checkpoints"]);
    let cold = of("-20:9500,120:100 --unit °C");
    assert_eq!((&cold["unit"], &cold["checkpoints"][0]["sender_ohm"]), (&"°C".into(), &9500.0.into()));
}

#[test]
fn a_voltage_may_mean_something_else() {
    let question = "divider --measures 0.5..4.5V --scales-with logic --top 1k --bottom 100k --limit off \
                    --reads 0.5V:-100,4.5V:100 --unit A --format json";
    let input = parsed(&run(question).results)["inputs"]["input"].clone();
    assert_eq!(input["unit"], "A");
    assert_eq!(input["checkpoints"][0]["value"], -100.0);
    assert_eq!(input["checkpoints"][2]["source_volt"], 2.5);
}

#[test]
fn a_current_may_mean_something_else() {
    let question = "burden --measures 4..20mA --reads 0mA:-2.5,24mA:12.5 --unit bar --burden 100 --limit off \
                    --format json";
    let input = parsed(&run(question).results)["inputs"]["input"].clone();
    assert_eq!(input["unit"], "bar");
    let point = &input["checkpoints"][4];
    assert_eq!((&point["value"], &point["source_ampere"]), (&10.0.into(), &20e-3.into()));
    assert_eq!((&point["source_volt"], &point["sender_ohm"]), (&Value::Null, &Value::Null));
}

/// By hand: 20 mA through 100 Ω and 5 Ω of wire take 2.1 V.
#[test]
fn what_a_transmitter_can_drive_is_a_limit() {
    let with = |compliance: &str| {
        let question = format!(
            "burden --measures 4..20mA --burden 100 --protection 27k --wire 5 --tolerance 0% --tempco 0 --ageing 0% --leakage 0 \
             --format json --compliance {compliance}"
        );
        let run = run(&question);
        let limits = parsed(&run.results)["inputs"]["input"]["limits"].as_array().unwrap().clone();
        let row = limits.into_iter().find(|row| row["limit"] == "compliance").unwrap();
        assert!((row["worst"].as_f64().unwrap() - 2.1).abs() < 1e-12, "{row}");
        (run.status, row["holds"].as_bool().unwrap())
    };
    assert_eq!(with("2.2V"), (0, true));
    assert_eq!(with("2V"), (1, false));
    assert_eq!(with("2V --limit compliance=off"), (0, true));
}

/// A shunt for a large current is a matter of milliohms, in the question, in what is written and in what is read.
#[test]
fn a_burden_may_have_milliohms() {
    let folder = TempDir::new().unwrap();
    let brief = "board: shunt\nresistors: { rating: 3 W, working_voltage: 5 V }\ninputs:\n  load:\n    \
                 circuit: burden\n    measures: 0 A .. 10 A\n    burden: { choose: 10 mΩ .. 20 mΩ }\n    \
                 protection: none\n    survive: [wire open]\n    \
                 limits: { pin_current: off, settling: off }\n";
    fs::write(folder.path().join("shunt.yaml"), brief).unwrap();
    let designed = run_in(folder.path(), "design shunt.yaml --output fitted.yaml");
    assert_eq!(designed.status, 0, "{}", designed.results);
    let fitted = fs::read_to_string(folder.path().join("fitted.yaml")).unwrap();
    // By hand: 10 A through 0.016 Ω is 1.6 W; 0.018 Ω would take all of the 1.8 W that 60 % of 3 W is, and more hot.
    assert!(fitted.contains("burden: 0.016 Ω"), "{fitted}");
    fs::write(folder.path().join("fitted.yaml"), fitted.replace("0.016 Ω", "16 mΩ")).unwrap();
    let checked = run_in(folder.path(), "check shunt.yaml --fitted fitted.yaml");
    assert_eq!((checked.status, checked.messages.as_str()), (0, ""), "{}", checked.results);
}

#[test]
fn what_describes_a_voltage_needs_it() {
    for (flag, needs) in [
        ("--excitation-tolerance 1%", "--excitation"),
        ("--excitation-sink-current 2mA", "--excitation"),
        ("--excitation-least-load 2mA --excitation supply", "--excitation"),
        ("--reference-tolerance 1%", "--reference"),
        ("--reference-tolerance 1% --reference logic", "--reference"),
    ] {
        let run = run(&format!("pull-up --sender 240..33 {flag}"));
        let name = flag.split(' ').next().unwrap();
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{flag}");
        assert!(run.messages.starts_with(&format!("{name}: found ")), "{}", run.messages);
        assert!(run.messages.contains(&format!("expected {needs} with a voltage")), "{}", run.messages);
    }
}

/// A rail that sinks what a chafed wire feeds back needs no caution.
#[test]
fn the_rail_of_the_excitation_is_described_by_its_own_flags() {
    let question = "pull-up --sender 240..33 --rail 3.3V --excitation 5V --pull-up 560 --protection 33k";
    let feeds = |more: &str| {
        let answer = parsed(&run(&format!("{question} {more} --format json")).results);
        answer["cautions"].to_string().contains("back into rail `excitation`")
    };
    assert!(feeds(""));
    assert!(feeds("--sink-current 100mA"));
    assert!(!feeds("--excitation-sink-current 100mA"));
    assert!(!feeds("--excitation-sink-current 50mA --excitation-least-load 50mA"));
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
    let all = run("pull-up --sender 240..33 --limit off");
    assert_eq!(all.status, 0);
    assert!(all.results.starts_with("pull-up: nothing was judged\n"), "{}", all.results);
    assert!(all.results.contains("\nNOT JUDGED: input: all its limits are off.\n"), "{}", all.results);
    assert!(!all.results.contains("HOLDS") && !all.results.contains("limits hold"), "{}", all.results);

    let one = run("pull-up --sender 240..33 --limit pin_current=off --limit settling=off").results;
    assert!(one.starts_with("pull-up: all limits that are on hold\n"), "{one}");
    assert!(one.contains("\nHOLDS: "), "{one}");
    assert!(one.contains("\nNOT JUDGED: input: pin_current, settling (off).\n"), "{one}");

    assert!(!run("pull-up --sender 240..33").results.contains("NOT JUDGED"));
}

#[test]
fn an_input_that_is_not_judged_is_named_beside_one_that_is() {
    let folder = folder_with_brief();
    let brief = BRIEF.replace("extension: choose", "extension: choose\n    limits: off");
    fs::write(folder.path().join("board.yaml"), brief).unwrap();
    let text = run_in(folder.path(), "design board.yaml").results;
    assert!(text.starts_with("test board: all limits that are on hold\n"), "{text}");
    assert!(text.contains("\nNOT JUDGED: battery: 1: all its limits are off.\n"), "{text}");
    assert!(text.contains("\nbattery: 1: divider, nothing was judged\n"), "{text}");
    assert!(text.contains("\ndiesel: pull-up\n"), "{text}");
}

#[test]
fn a_wire_on_the_measured_supply_is_no_alarm() {
    let told = |question: &str, case: &str| {
        let text = run(question).results;
        let row = text.lines().find(|line| line.starts_with(case)).unwrap();
        (row.contains("as normal use"), row.contains(" NO "))
    };
    let supply = "divider --measures 0..32V --from supply";
    assert_eq!(told(supply, "wire to supply"), (true, false));
    assert_eq!(told(supply, "wire open"), (false, true));
    assert_eq!(told(supply, "wire to ground"), (false, true));
    // A sensor whose wire lies on the supply reads wrong, and nobody can tell.
    assert_eq!(told("divider --measures 0..32V", "wire to supply"), (false, true));
}

#[test]
fn only_what_somebody_left_out_is_said_to_be_left_out() {
    assert!(!run("pull-up --sender 240..33").results.contains("Left out"));
    let text = run("pull-up --sender 240..33 --shunt none --capacitor none --limit off").results;
    assert!(text.contains("\nLeft out: shunt, capacitor.\n"), "{text}");
}

#[test]
fn a_capacitor_that_nobody_named_is_assumed() {
    let row = |question: &str| {
        let text = run(question).results;
        text.lines().find(|line| line.starts_with("capacitor")).unwrap().to_owned()
    };
    assert!(row("pull-up --sender 240..33").contains(" assumed "));
    assert!(row("pull-up --sender 240..33 --capacitor 100nF").contains(" given "));
}

#[test]
fn what_parts_hardly_notice_is_counted_and_not_listed() {
    let text = run("divider --measures 0..32V --from supply").results;
    assert!(text.contains("\nNot shown: 2 rows of dissipation and part_voltage, below 1 % of"), "{text}");
    assert!(
        !text.contains("dissipation, protection") && !text.contains("part_voltage, protection"),
        "{text}"
    );
    let json = parsed(&run("divider --measures 0..32V --from supply --format json").results);
    let rows = json["inputs"]["input"]["limits"].as_array().unwrap();
    assert_eq!(rows.iter().filter(|row| row["part"] == "protection").count(), 2);
}

#[test]
fn where_one_sample_takes_too_much_no_other_advice_is_given() {
    let text = run("divider --measures 0..32V --from supply --capacitor 10nF").results;
    assert_eq!(text.matches("one sample takes").count(), 1, "{text}");
    assert!(!text.contains("What may help") && !text.contains("longer time"), "{text}");
}

#[test]
fn every_caution_is_printed_exactly_once() {
    let folder = folder_with_brief();
    let brief = BRIEF.replace(
        "pull_up: choose",
        "pull_up: choose\n    fluid: petrol\n    alarms: { empty: { below: 1 } }",
    );
    fs::write(folder.path().join("board.yaml"), brief).unwrap();
    let answer = parsed(&run_in(folder.path(), "design board.yaml --format json").results);
    let text = run_in(folder.path(), "design board.yaml").results;
    let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let of = |value: &Value| value["cautions"].as_array().unwrap().clone();
    let all = [of(&answer), of(&answer["inputs"]["diesel"]), of(&answer["inputs"]["battery: 1"])].concat();
    assert!(all.len() >= 4, "{all:?}");
    for caution in all {
        assert_eq!(joined.matches(caution.as_str().unwrap()).count(), 1, "{caution}\n{text}");
    }
}

#[test]
fn names_cannot_carry_control_characters() {
    let output = program().args(["pull-up", "--sender", "240..33", "--name", "a\u{1b}[31m"]).output();
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
    let top =
        ["ohmwright", "command", "board", "verdict", "assumed", "cautions", "remarks", "inputs", "rails"];
    assert_eq!(keys(&json, 1), top);
    let input = [
        "circuit",
        "unit",
        "aim",
        "verdict",
        "parts",
        "span",
        "resolution",
        "error",
        "straight_line",
        "limits",
        "working_band",
        "checkpoints",
        "cases",
        "soft_faults",
        "trade",
        "advice",
        "remarks",
        "cautions",
        "search",
        "runners_up",
    ];
    let (_, inputs) = json.split_once("  \"inputs\": {").unwrap();
    let (inputs, _) = inputs.split_once("  \"rails\": [").unwrap();
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
    let check = run_in(folder.path(), "check board.yaml --fitted fitted.yaml --boards 0 --format json");
    assert_eq!((check.status, check.messages.as_str()), (0, ""));
    let (design, check) = (parsed(&design.results), parsed(&check.results));
    assert_eq!(check["command"], "check");
    for input in ["diesel", "battery: 1"] {
        for key in ["span", "limits", "checkpoints", "cases", "stack_up", "ranking"] {
            let [design, check] =
                [&design, &check].map(|answer| without_reasons(&answer["inputs"][input][key]));
            assert_eq!(design, check, "{input} {key}");
        }
    }
}

#[test]
fn check_asks_for_values_that_are_still_to_be_chosen() {
    let folder = folder_with_brief();
    let check = run_in(folder.path(), "check board.yaml");
    assert_eq!((check.status, check.results.as_str()), (2, ""));
    let first = check.messages.lines().next().unwrap();
    assert!(first.starts_with("board.yaml:6:5: inputs.diesel.pull_up: "), "{first}");
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
    for output in ["no-such-folder/fitted.yaml", ".", "board.yaml/fitted.yaml"] {
        let run = run_in(folder.path(), &format!("design board.yaml --output {output}"));
        assert_eq!((run.status, run.results.as_str()), (2, ""));
        assert!(run.messages.starts_with(&format!("{output}: ")), "{}", run.messages);
    }
}

/// A folder in which nobody, not even the superuser, can make a file.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_file_is_told_without_the_name_of_another_one() {
    let folder = folder_with_brief();
    let run = run_in(folder.path(), "design board.yaml --output /proc/fitted.yaml");
    assert_eq!((run.status, run.results.as_str()), (2, ""));
    assert!(run.messages.starts_with("/proc/fitted.yaml: found "), "{}", run.messages);
    assert!(run.messages.ends_with("; expected a file that can be written\n"), "{}", run.messages);
    assert!(!run.messages.contains(".ohmwright"), "{}", run.messages);
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
