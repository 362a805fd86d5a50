//! Wrong briefs: what is said about each, word for word, and that nothing makes the reader panic or wait.
#![allow(clippy::panic, reason = "helpers of tests end a test by a panic")]

use std::time::{Duration, Instant};

use ohmwright::board::Board;
use ohmwright::brief::{Faults, Node, read_question, read_text};
use proptest::prelude::*;

/// What stands in front of a snippet; snippets of inputs are indented.
#[derive(Clone, Copy)]
enum Head {
    Whole,
    Board(&'static str),
    Input(&'static str),
}

const WHOLE: Head = Head::Whole;
const BOARD: Head = Head::Board("inputs: { a: { circuit: direct, measures: 0..5 } }\n");
const INPUT: Head = Head::Board("inputs:\n  a:\n");
const PULL_UP: Head =
    Head::Input("inputs:\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n");
const PULL_DOWN: Head = Head::Input("inputs:\n  a:\n    circuit: pull-down\n    sender: 240..33\n");
const SENDER: Head = Head::Input("inputs:\n  a:\n    circuit: pull-up\n    pull_up: choose\n");
const UNFED: Head = Head::Input("inputs:\n  a:\n    circuit: pull-up\n    sender: 240..33\n");
const FED: Head = Head::Input(
    "inputs:\n  battery: { circuit: divider, from: supply, measures: 0 V .. 25 V, top: choose, bottom: choose }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
);
const DIVIDER: Head = Head::Input(
    "inputs:\n  a:\n    circuit: divider\n    measures: 0 V .. 32 V\n    top: 22k\n    bottom: 11k\n",
);
const LEVEL_SHIFT: Head = Head::Input(
    "inputs:\n  a:\n    circuit: level-shift\n    measures: -5 V .. 5 V\n    top: 13k\n    bottom: 22k\n",
);
const BURDEN: Head = Head::Input("inputs:\n  a:\n    circuit: burden\n    measures: 4 mA .. 20 mA\n");
const VOLTAGE: Head = Head::Input("inputs:\n  a:\n    circuit: direct\n    measures: 0..5\n");

impl Head {
    fn before(self, snippet: &str) -> String {
        match self {
            Self::Whole => snippet.to_owned(),
            Self::Board(head) => format!("{head}{snippet}\n"),
            Self::Input(head) => {
                let lines: Vec<String> = snippet.lines().map(|line| format!("    {line}\n")).collect();
                format!("{head}{}", lines.concat())
            }
        }
    }
}

/// Head, snippet, and every message about it, one a line.
type Wrong = (Head, &'static str, &'static str);

fn read(text: &str) -> Result<Board, Faults> {
    read_text(text.as_bytes(), "b.yaml")
}

/// The messages without the lines of the file below them.
fn heads(faults: &Faults) -> String {
    let heads = faults.0.iter().map(|fault| {
        let mut fault = fault.clone();
        fault.source_line = None;
        fault.to_string()
    });
    heads.collect::<Vec<_>>().join("\n")
}

#[track_caller]
fn says(table: &[Wrong]) {
    for (head, snippet, expected) in table {
        let text = head.before(snippet);
        match read(&text) {
            Ok(_) => panic!("accepted:\n{text}"),
            Err(faults) => assert_eq!(&heads(&faults), expected, "about:\n{text}"),
        }
    }
}

const QUANTITIES: &[Wrong] = &[
    (
        PULL_UP,
        "wire: 0,5 Ω",
        "b.yaml:6:11: inputs.a.wire: found `0,5 Ω` (a decimal comma); expected a decimal point: `0.5 Ω`",
    ),
    (
        PULL_UP,
        "shunt: { value: 4,7 k }",
        "b.yaml:6:23: inputs.a.shunt.7 k: found `7 k`; expected a decimal point, since a comma separates entries: value: 4.7 k",
    ),
    (
        SENDER,
        "sender: { unit: \"%\", points: [[0, 240,5 Ω], [100, 33]] }",
        "b.yaml:5:35: inputs.a.sender.points[1]: found 3 entries (a decimal comma?); expected two; a comma separates them, so a decimal point belongs in `0.240` or `240.5 Ω`",
    ),
    (
        PULL_UP,
        "ground_shift: [0, 0,5 V]",
        "b.yaml:6:19: inputs.a.ground_shift: found 3 entries (a decimal comma?); expected two; a comma separates them, so a decimal point belongs in `0.0` or `0.5 V`",
    ),
    (
        PULL_UP,
        "existing: {to_ground:320k, tolerance: 5 %}",
        "b.yaml:6:16: inputs.a.existing.to_ground:320k: found `to_ground:320k`; expected a blank after the colon: to_ground: 320k",
    ),
    (
        INPUT,
        "    circuit: pull-up\n    pull_up:150\n    sender: 240..33",
        "b.yaml:4:5: found `pull_up:150`; expected a blank after the colon: pull_up: 150",
    ),
    (BOARD, "board:x", "b.yaml:2:1: found `board:x`; expected a blank after the colon: board: x"),
    (
        PULL_UP,
        "wire:",
        "b.yaml:6:5: inputs.a.wire: found nothing; expected a resistance such as 0.5 Ω or 50 mΩ",
    ),
    (
        PULL_UP,
        "shunt: 0x10",
        "b.yaml:6:12: inputs.a.shunt: found `0x10` (a hexadecimal number); expected a resistance such as 4.7 kΩ or 4k7, in decimal digits",
    ),
    (
        PULL_UP,
        "shunt: 4k7k",
        "b.yaml:6:12: inputs.a.shunt: found `4k7k` (`k` is a letter too many); expected one letter, such as `4k7`; a tolerance stands on its own",
    ),
    (
        PULL_UP,
        "shunt: 47KK",
        "b.yaml:6:12: inputs.a.shunt: found `47KK` (`K` is a letter too many); expected one letter, such as `47K`; a tolerance stands on its own",
    ),
    (
        PULL_UP,
        "shunt: 1 000",
        "b.yaml:6:12: inputs.a.shunt: found `1 000` (a blank inside the number); expected the number in one piece: `1000`",
    ),
    (
        PULL_UP,
        "shunt: .nan",
        "b.yaml:6:12: inputs.a.shunt: found `.nan` (not a finite number); expected a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        PULL_UP,
        "shunt: .inf",
        "b.yaml:6:12: inputs.a.shunt: found `.inf` (not a finite number); expected a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        PULL_UP,
        "shunt: 1e400",
        "b.yaml:6:12: inputs.a.shunt: found `1e400` (too large a number); expected a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        PULL_UP,
        "shunt: -5 Ω",
        "b.yaml:6:12: inputs.a.shunt: found `-5 Ω` (negative); expected a resistance such as 4.7 kΩ or 4k7, not below 0",
    ),
    (
        PULL_UP,
        "shunt: 5 mΩ",
        "b.yaml:6:12: inputs.a.shunt: found `5 mΩ` (m is milli, M is mega); expected `5 MΩ` for mega or `0.005 Ω` for milli, whichever is meant",
    ),
    (
        PULL_UP,
        "shunt: 5 V",
        "b.yaml:6:12: inputs.a.shunt: found `5 V` (a voltage); expected a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        BOARD,
        "ambient: { lowest: -20, highest: 70 °C }",
        "b.yaml:2:20: ambient.lowest: found `-20` (a temperature needs its unit); expected `-20 °C`, `-20 °F` or `-20 K`",
    ),
    (
        BOARD,
        "supply: { contact: 50 kV }",
        "b.yaml:2:20: supply.contact: found `50 kV`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        PULL_UP,
        "shunt: 5 GΩ",
        "b.yaml:6:12: inputs.a.shunt: found `5 GΩ`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
    (
        BOARD,
        "resistors: { tolerance: 1 }",
        "b.yaml:2:25: resistors.tolerance: found `1` (a share needs its unit); expected `100 %` or `1 %`, whichever is meant",
    ),
];

const YAML: &[Wrong] = &[
    (
        WHOLE,
        "board: &a x\n",
        "b.yaml:1:8: found `&a` (an anchor); expected the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with such a sign belongs in quotes)",
    ),
    (
        WHOLE,
        "inputs: *a\n",
        "b.yaml:1:9: found `*a` (an alias); expected the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with such a sign belongs in quotes)",
    ),
    (
        WHOLE,
        "board: !!str x\n",
        "b.yaml:1:8: found `!!str` (a tag); expected the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with such a sign belongs in quotes)",
    ),
    (
        WHOLE,
        "board: |\n  x\n",
        "b.yaml:1:8: found `|` (a block scalar); expected the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with such a sign belongs in quotes)",
    ),
    (
        WHOLE,
        "board: >-\n  x\n",
        "b.yaml:1:8: found `>-` (a block scalar); expected the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with such a sign belongs in quotes)",
    ),
    (WHOLE, "inputs:\n  <<: { a: 1 }\n", "b.yaml:2:3: found a merge key `<<`; expected the keys themselves"),
    (
        SENDER,
        "sender: { unit: %, points: [[0, 240], [100, 33]] }",
        "b.yaml:5:21: found a bare `%`; expected it in quotes: \"%\"",
    ),
    (WHOLE, "board: @x\n", "b.yaml:1:8: found a bare `@`; expected it in quotes: \"@x\""),
    (WHOLE, "? a\n: b\n", "b.yaml:1:1: found `?`; expected a plain key, a colon and a value"),
    (WHOLE, "{ [a]: b }\n", "b.yaml:1:3: found a list or a map as a key; expected plain text as a key"),
    (
        WHOLE,
        "board: \"x\n",
        "b.yaml:1:8: found a quotation mark that is not closed on its line; expected quotation marks in pairs",
    ),
    (
        WHOLE,
        "inputs: { a: { circuit: direct }\n",
        "b.yaml:1:9: found `{` that is never closed; expected brackets in pairs",
    ),
    (WHOLE, "inputs: [a }\n", "b.yaml:1:12: found `}` for the `[` of line 1; expected `]`"),
    (WHOLE, "inputs:\n\ta: x\n", "b.yaml:2:1: found a tab; expected spaces as indentation"),
    (
        WHOLE,
        "board: x\n---\nboard: y\n",
        "b.yaml:2:1: found a second document; expected one brief in one file",
    ),
    (WHOLE, "board: x\u{7}y\n", "b.yaml:1:9: found the control character U+0007; expected plain text"),
    (WHOLE, "board: \"x\\0y\"\n", "b.yaml:1:8: found a control character in quotes; expected plain text"),
    (
        WHOLE,
        "supply: { lowest: 9 V\n  usual: 12 V }\n",
        "b.yaml:2:3: found text inside brackets that goes on in the next line; expected a comma before it, or the text on one line",
    ),
    (
        WHOLE,
        "board: a: b\n",
        "b.yaml:1:9: found text that is not YAML; expected lines of `key: value` (mapping values are not allowed in this context)",
    ),
    (
        WHOLE,
        "# only a comment\n",
        "b.yaml: found nothing but blanks and comments; expected a brief, which begins with `board: NAME`",
    ),
    (WHOLE, "board\n", "b.yaml:1:1: found `board`; expected a brief, which begins with `board: NAME`"),
];

const KEYS: &[Wrong] = &[
    (
        BOARD,
        "colour: red",
        "b.yaml:2:1: colour: found `colour`; expected one of the keys board, supply, ambient, rails, converter, resistors, limits, bench or inputs",
    ),
    (
        PULL_UP,
        "protecton: 27k",
        "b.yaml:6:5: inputs.a.protecton: found `protecton`; expected a key known here; did you mean `protection`?",
    ),
    (
        UNFED,
        "pul_up: choose",
        "b.yaml:5:5: inputs.a.pul_up: found `pul_up`; expected a key known here; did you mean `pull_up`?",
    ),
    (
        PULL_UP,
        "wire: 1 Ω\nwire: 2 Ω",
        "b.yaml:7:5: inputs.a.wire: found `wire` a second time; expected each key once",
    ),
    (
        WHOLE,
        "inputs:\n  a: { circuit: direct, measures: 0..5 }\n  a: { circuit: direct, measures: 0..5 }\n",
        "b.yaml:3:3: inputs.a: found `a` a second time; expected each name once",
    ),
    (
        WHOLE,
        "inputs:\n  \" a\": { circuit: direct, measures: 0..5 }\n",
        "b.yaml:2:3: inputs. a: found ` a`; expected a name without blanks at its ends",
    ),
    (
        PULL_UP,
        "wire: { at: 1 }",
        "b.yaml:6:11: inputs.a.wire: found a map; expected a resistance such as 0.5 Ω or 50 mΩ",
    ),
    (
        PULL_UP,
        "existing: 320k",
        "b.yaml:6:15: inputs.a.existing: found `320k`; expected a map such as { to_ground: 320 kΩ, tolerance: 5 % }",
    ),
    (
        PULL_UP,
        "survive: wire open",
        "b.yaml:6:14: inputs.a.survive: found `wire open`; expected a list such as [wire open, wire to supply]",
    ),
    (
        WHOLE,
        "board: x\n",
        "b.yaml: inputs: found nothing; expected at least one input, such as inputs: { diesel: { circuit: pull-up, … } }",
    ),
    (
        WHOLE,
        "inputs: {}\n",
        "b.yaml:1:9: inputs: found no input; expected at least one input, such as inputs: { diesel: { circuit: pull-up, … } }",
    ),
];

const BOARDS: &[Wrong] = &[
    (
        BOARD,
        "supply: { usual: 12 V, lowest: 13 V }",
        "b.yaml:2:1: supply: found lowest 13 V, usual 12 V, highest 25 V; expected lowest, usual and highest in rising order (left out, lowest is 9 V and highest 25 V)",
    ),
    (
        BOARD,
        "supply: { reversed: -14 V }",
        "b.yaml:2:21: supply.reversed: found `-14 V` (negative); expected the magnitude: 14 V",
    ),
    (
        BOARD,
        "supply: { surge_time: 400 ms }",
        "b.yaml:2:11: supply.surge_time: found a surge_time without a surge; expected the voltage of the surge beside it, such as surge: 35 V",
    ),
    (
        BOARD,
        "supply: { surge: ISO 16750-2 12 V load dump C }",
        "b.yaml:2:18: supply.surge: found `ISO 16750-2 12 V load dump C`; expected a voltage such as 35 V, or a level: ISO 16750-2 12 V load dump A, ISO 16750-2 12 V load dump B, ISO 16750-2 24 V load dump A, ISO 16750-2 24 V load dump B, ISO 7637-2 12 V pulse 1, ISO 7637-2 12 V pulse 2a, ISO 7637-2 12 V pulse 2b, ISO 7637-2 12 V pulse 3a, ISO 7637-2 12 V pulse 3b, ISO 7637-2 24 V pulse 1, ISO 7637-2 24 V pulse 2a, ISO 7637-2 24 V pulse 2b, ISO 7637-2 24 V pulse 3a, ISO 7637-2 24 V pulse 3b; did you mean `ISO 16750-2 12 V load dump A`?",
    ),
    (
        BOARD,
        "supply: { surge: 35 W }",
        "b.yaml:2:18: supply.surge: found `35 W` (a power); expected a voltage such as 3.3 V",
    ),
    (
        BOARD,
        "supply: { surge: [] }",
        "b.yaml:2:18: supply.surge: found an empty list; expected at least one surge, or none",
    ),
    (
        BOARD,
        "supply: { surge: { voltage: 35 V } }",
        "b.yaml:2:18: supply.surge: found a map; expected a voltage such as 35 V, the name of a level, or a list of such",
    ),
    (
        BOARD,
        "supply: { surge: [35 V, 58 V, 35 V] }",
        "b.yaml:2:31: supply.surge[3]: found `35 V` a second time; expected each surge once",
    ),
    (
        BOARD,
        "supply: { surge: [35 V, none] }",
        "b.yaml:2:25: supply.surge[2]: found `none`; expected a voltage such as 35 V, or a level: ISO 16750-2 12 V load dump A, ISO 16750-2 12 V load dump B, ISO 16750-2 24 V load dump A, ISO 16750-2 24 V load dump B, ISO 7637-2 12 V pulse 1, ISO 7637-2 12 V pulse 2a, ISO 7637-2 12 V pulse 2b, ISO 7637-2 12 V pulse 3a, ISO 7637-2 12 V pulse 3b, ISO 7637-2 24 V pulse 1, ISO 7637-2 24 V pulse 2a, ISO 7637-2 24 V pulse 2b, ISO 7637-2 24 V pulse 3a, ISO 7637-2 24 V pulse 3b",
    ),
    (
        BOARD,
        "supply: { surge: -150 V }",
        "b.yaml:2:18: supply.surge: found `-150 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        BOARD,
        "supply: { surge: ISO 16750-2 12 V load dump A, surge_time: 400 ms }",
        "b.yaml:2:18: supply.surge: found `ISO 16750-2 12 V load dump A`; expected a voltage beside surge_time; a level has a time of its own",
    ),
    (
        BOARD,
        "supply: { surge: none, surge_time: 400 ms }",
        "b.yaml:2:24: supply.surge_time: found a surge_time without a surge; expected the voltage of the surge beside it, such as surge: 35 V",
    ),
    (
        BOARD,
        "supply: { jump_start: ISO 16750 }",
        "b.yaml:2:23: supply.jump_start: found `ISO 16750`; expected a voltage such as 3.3 V, ISO 16750-2 or none; did you mean `ISO 16750-2`?",
    ),
    (
        BOARD,
        "supply: { jump_start: -24 V }",
        "b.yaml:2:23: supply.jump_start: found `-24 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        BOARD,
        "supply: { cranking: 0 V }",
        "b.yaml:2:21: supply.cranking: found `0 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        BOARD,
        "resistors: { momentary: { power: 100 mW, voltage: 300 V, time: 5 s } }",
        "b.yaml:2:1: resistors: found momentary 100 mW, 300 V below 125 mW, 150 V; expected a momentary power and voltage not below rating and working voltage",
    ),
    (
        BOARD,
        "resistors: { momentary: 0.78 W }",
        "b.yaml:2:25: resistors.momentary: found `0.78 W`; expected off, or a map such as { power: 0.78 W, voltage: 300 V, time: 5 s }",
    ),
    (
        BOARD,
        "resistors: { momentary: { power: 0.78 W, voltage: 300 V } }",
        "b.yaml:2:14: resistors.momentary.time: found nothing; expected for how long, such as time: 5 s",
    ),
    (
        BOARD,
        "resistors: { momentary: { power: 0.78 W, volts: 300 V, time: 0 s } }",
        "b.yaml:2:14: resistors.momentary.voltage: found nothing; expected the voltage that it stands for that long, such as voltage: 300 V\nb.yaml:2:42: resistors.momentary.volts: found `volts`; expected one of the keys power, voltage or time\nb.yaml:2:62: resistors.momentary.time: found `0 s`; expected a time above 0 s, up to 1000000 s",
    ),
    (
        BOARD,
        "ambient: { lowest: 80 °C }",
        "b.yaml:2:1: ambient: found lowest 80 °C, highest 70 °C; expected the lowest temperature not above the highest",
    ),
    (
        BOARD,
        "rails: { supply: { voltage: 5 V } }",
        "b.yaml:2:10: rails.supply: found a rail called `supply`; expected another name: `supply` is what feeds the board",
    ),
    (
        BOARD,
        "rails: {}",
        "b.yaml:2:8: rails: found no rail; expected at least one: a map such as { logic: { voltage: 5 V, tolerance: 2 % } }",
    ),
    (
        BOARD,
        "rails: { logic: { when_reversed: maybe } }",
        "b.yaml:2:34: rails.logic.when_reversed: found `maybe`; expected on or off",
    ),
    (
        BOARD,
        "converter: { bits: 32 }",
        "b.yaml:2:20: converter.bits: found `32`; expected a whole number of bits from 1 to 24",
    ),
    (
        BOARD,
        "converter: { bits: 10.5 }",
        "b.yaml:2:20: converter.bits: found `10.5`; expected a whole number of bits from 1 to 24",
    ),
    (
        BOARD,
        "rails: { analogue: { voltage: 5 V } }\nconverter: { reference: analog }",
        "b.yaml:3:25: converter.reference: found `analog`; expected a rail of the board: analogue; did you mean `analogue`?",
    ),
    (
        BOARD,
        "converter: { reference: { tolerance: 9 % } }",
        "b.yaml:2:14: converter.reference.voltage: found nothing; expected the voltage of the reference, such as 1.1 V",
    ),
    (
        BOARD,
        "converter: { usable: 0.15 V .. 6 V }",
        "b.yaml:2:22: converter.usable: found `0.15 V .. 6 V`; expected a part of 0 V .. 5 V, which is full scale",
    ),
    (
        BOARD,
        "converter: { usable: 2.45 V .. 0.15 V }",
        "b.yaml:2:22: converter.usable: found `2.45 V .. 0.15 V` (reversed); expected the lower end first: 150 mV .. 2.45 V",
    ),
    (
        BOARD,
        "converter: { headroom: 60 % }",
        "b.yaml:2:24: converter.headroom: found `60 %`; expected a share from 0 % to less than 50 %",
    ),
    (
        BOARD,
        "converter: { sampling: { time: 12 ms, period: 10 ms } }",
        "b.yaml:2:14: converter.sampling: found time 12 ms, period 10 ms; expected a period, from one sample to the next, not shorter than the time of sampling",
    ),
    (
        BOARD,
        "converter: { sampling: { time: 0 s } }",
        "b.yaml:2:32: converter.sampling.time: found `0 s`; expected a time above 0 s, up to 1000000 s",
    ),
    (
        BOARD,
        "resistors: { series: E25 }",
        "b.yaml:2:22: resistors.series: found `E25`; expected E3, E6, E12, E24, E48, E96 or E192; E24 is the nearest",
    ),
    (
        BOARD,
        "resistors: { series: [] }",
        "b.yaml:2:22: resistors.series: found an empty list; expected a series such as E24, or a list such as [E96, E24]",
    ),
    (
        BOARD,
        "resistors: { between: 1 MΩ .. 10 Ω }",
        "b.yaml:2:23: resistors.between: found `1 MΩ .. 10 Ω` (reversed); expected the lower end first: 10 Ω .. 1 MΩ",
    ),
    (
        BOARD,
        "resistors: { size: 805 }",
        "b.yaml:2:20: resistors.size: found `805`; expected a size: 0201, 0402, 0603, 0805, 1206, 1210, 2010 or 2512; did you mean `0805`?",
    ),
    (
        BOARD,
        "resistors: { tolerance: 100 % }",
        "b.yaml:2:25: resistors.tolerance: found `100 %`; expected a share from 0 % to less than 100 %",
    ),
    (
        BOARD,
        "ambient: { lowest: -100 °C }\nresistors: { tempco: 8000 ppm/K }",
        "b.yaml:3:1: resistors: found tempco 8000 ppm/K over 125 K from 25 °C; expected a tempco that leaves something of the part over the whole of ambient",
    ),
    (
        BOARD,
        "resistors: { derated_from: 155 °C, derated_to_zero: 70 °C }",
        "b.yaml:2:1: resistors: found derated_from 155 °C, derated_to_zero 70 °C; expected derated_from below derated_to_zero",
    ),
];

const GRADES: &[Wrong] = &[
    (
        BOARD,
        "resistors: { grades: 1 % }",
        "b.yaml:2:22: resistors.grades: found `1 %`; expected a list such as [{ tolerance: 1 %, tempco: 100 ppm/K, ageing: 1 %, price: 0.01 }]",
    ),
    (
        BOARD,
        "resistors: { grades: [] }",
        "b.yaml:2:22: resistors.grades: found an empty list; expected a list such as [{ tolerance: 1 %, tempco: 100 ppm/K, ageing: 1 %, price: 0.01 }]",
    ),
    (
        BOARD,
        "resistors: { grades: [5 %] }",
        "b.yaml:2:23: resistors.grades[1]: found `5 %`; expected a map such as { tolerance: 1 %, price: 0.01 }",
    ),
    (
        BOARD,
        "resistors: { grades: [{ price: 0.01 }] }",
        "b.yaml:2:23: resistors.grades[1].tolerance: found nothing; expected the tolerance of the grade, such as tolerance: 1 %",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 1 %, tempco: 100 ppm/K }] }",
        "b.yaml:2:23: resistors.grades[1].price: found nothing; expected what one part costs: a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 100 %, tempco: -1 ppm/K, ageing: 1, price: 0.01 }] }",
        "b.yaml:2:36: resistors.grades[1].tolerance: found `100 %`; expected a share from 0 % to less than 100 %\nb.yaml:2:51: resistors.grades[1].tempco: found `-1 ppm/K`; expected a change with temperature from 0 ppm/K up to 10000 ppm/K, meant in either direction\nb.yaml:2:69: resistors.grades[1].ageing: found `1` (a share needs its unit); expected `100 %` or `1 %`, whichever is meant",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 1 %, price: 0,01 }] }",
        "b.yaml:2:50: resistors.grades[1].01: found `01`; expected a decimal point, since a comma separates entries: price: 0.01",
    ),
    (
        BOARD,
        "resistors:\n  grades:\n    - tolerance: 1 %\n      price: 0,01",
        "b.yaml:5:14: resistors.grades[1].price: found `0,01`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 1 %, price: -0.01 }, { tolerance: 2 %, price: 1 EUR }, { tolerance: 3 %, price: 0.00001 }, { tolerance: 4 %, price: 1001 }, { tolerance: 5 %, price: 1e-2 }, { tolerance: 6 %, price: . }, { tolerance: 7 %, price: 1.2.3 }] }",
        "b.yaml:2:48: resistors.grades[1].price: found `-0.01`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:82: resistors.grades[2].price: found `1 EUR`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:116: resistors.grades[3].price: found `0.00001`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:152: resistors.grades[4].price: found `1001`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:185: resistors.grades[5].price: found `1e-2`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:218: resistors.grades[6].price: found `.`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency\nb.yaml:2:248: resistors.grades[7].price: found `1.2.3`; expected a plain number from 0 to 1000 with at most four decimals, such as 0.012, in whatever currency",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 1 %, price: 0.01, prize: 1 }] }",
        "b.yaml:2:54: resistors.grades[1].prize: found `prize`; expected a key known here; did you mean `price`?",
    ),
    (
        BOARD,
        "resistors: { grades: [{ tolerance: 1 %, price: 0.01 }, { tolerance: 0.1 %, price: 0.1 }, { tolerance: 1 %, tempco: 100 ppm/K, price: 0.02 }] }",
        "b.yaml:2:90: resistors.grades[3]: found the grade of entry 1 once more; expected each grade once, with one price",
    ),
    (
        BOARD,
        "ambient: { lowest: -100 °C }\nresistors: { grades: [{ tolerance: 1 %, tempco: 8000 ppm/K, price: 0.01 }] }",
        "b.yaml:3:23: resistors.grades[1]: found tempco 8000 ppm/K over 125 K from 25 °C; expected a tempco that leaves something of the part over the whole of ambient",
    ),
    (
        BOARD,
        "resistors: { grade: [] }",
        "b.yaml:2:14: resistors.grade: found `grade`; expected a key known here; did you mean `grades`?",
    ),
];

const CIRCUITS: &[Wrong] = &[
    (
        INPUT,
        "    measures: 0..5\n    wire: x",
        "b.yaml:2:3: inputs.a.circuit: found nothing; expected pull-up (a sender to ground), pull-down (a sender to its excitation), divider (a voltage), level-shift (a voltage of either sign), burden (a current) or direct (a voltage on the pin)\nb.yaml:4:11: inputs.a.wire: found `x` (no number); expected a resistance such as 0.5 Ω or 50 mΩ",
    ),
    (
        WHOLE,
        "inputs: { a: { circuit: pullup, sender: 240..33, pull_up: choose } }\n",
        "b.yaml:1:25: inputs.a.circuit: found `pullup`; expected pull-up (a sender to ground), pull-down (a sender to its excitation), divider (a voltage), level-shift (a voltage of either sign), burden (a current) or direct (a voltage on the pin); did you mean `pull-up`?",
    ),
    (
        PULL_DOWN,
        "measures: 0..5",
        "b.yaml:2:3: inputs.a.pull_down: found nothing; expected a pull-down, such as pull_down: choose; a resistance makes no voltage, so without it the pin stays at the excitation while the sender is connected and floats when it is open\nb.yaml:5:5: inputs.a.measures: found `measures`; expected it left out, or circuit: divider: a pull-down reads a sender, no voltage",
    ),
    (
        PULL_DOWN,
        "pull_down: none",
        "b.yaml:5:16: inputs.a.pull_down: found `none`; expected a pull-down, such as pull_down: choose; a resistance makes no voltage, so without it the pin stays at the excitation while the sender is connected and floats when it is open",
    ),
    (
        PULL_DOWN,
        "pull_down: 0\nshunt: 1k",
        "b.yaml:5:16: inputs.a.pull_down: found `0`; expected a resistance above 0 Ω, up to 1 GΩ\nb.yaml:6:5: inputs.a.shunt: found `shunt`; expected a part of this circuit: line, pull_down or protection",
    ),
    (
        PULL_DOWN,
        "pull_down: 150\nexcitation: supplies",
        "b.yaml:6:17: inputs.a.excitation: found `supplies`; expected what excites the sender: logic or supply",
    ),
    (
        PULL_UP,
        "pull_down: 150",
        "b.yaml:6:5: inputs.a.pull_down: found `pull_down`; expected a part of this circuit: line, pull_up, shunt, top, bottom or protection",
    ),
    (
        INPUT,
        "    circuit: pull-down\n    pull_down: 150",
        "b.yaml:2:3: inputs.a.sender: found nothing; expected the sender, such as sender: { resistance: 240 Ω .. 33 Ω }",
    ),
    (
        LEVEL_SHIFT,
        "bias_to: logic",
        "b.yaml:2:3: inputs.a.bias: found nothing; expected the part to the rail, such as bias: 8k2 or bias: choose; without it nothing lifts the voltage above ground",
    ),
    (
        LEVEL_SHIFT,
        "bias: none",
        "b.yaml:7:11: inputs.a.bias: found `none`; expected the part to the rail, such as bias: 8k2 or bias: choose; without it nothing lifts the voltage above ground",
    ),
    (
        LEVEL_SHIFT,
        "bias: 0",
        "b.yaml:7:11: inputs.a.bias: found `0`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
    (
        LEVEL_SHIFT,
        "bias: { choose: 1k..10k, or_none: on }",
        "b.yaml:7:39: inputs.a.bias.or_none: found `on`; expected the part to the rail, such as bias: 8k2 or bias: choose; without it nothing lifts the voltage above ground",
    ),
    (
        LEVEL_SHIFT,
        "bias: 8k2\nbias_to: logics",
        "b.yaml:8:14: inputs.a.bias_to: found `logics`; expected a rail of the board: logic; did you mean `logic`?",
    ),
    (
        LEVEL_SHIFT,
        "bias: 8k2\nexcitation: logic\nextension: 1k",
        "b.yaml:8:5: inputs.a.excitation: found `excitation`; expected it left out: nothing is excited here, a voltage comes by itself\nb.yaml:9:5: inputs.a.extension: found `extension`; expected a part of this circuit: top, bias, bottom or protection",
    ),
    (
        INPUT,
        "    circuit: level-shift\n    measures: -5..5\n    bias: 8k2",
        "b.yaml:2:3: inputs.a.top: found nothing; expected the part to the source, such as top: 13k or top: choose; without it the node is tied to the measured voltage\nb.yaml:2:3: inputs.a.bottom: found nothing; expected the part to ground, such as bottom: 22k or bottom: choose; circuit: divider is the one that lifts nothing",
    ),
    (
        DIVIDER,
        "bias: 8k2\nbias_to: logic",
        "b.yaml:7:5: inputs.a.bias: found `bias`; expected a part of this circuit: extension, top, bottom or protection\nb.yaml:8:5: inputs.a.bias_to: found `bias_to`; expected it left out: only circuit: level-shift has a part to a rail",
    ),
    (
        BURDEN,
        "wire: 2",
        "b.yaml:2:3: inputs.a.burden: found nothing; expected the burden, such as burden: 150 Ω or burden: choose; without it the current makes no voltage",
    ),
    (
        BURDEN,
        "burden: 150\nfrom: supply\nsignal_resistance: 1",
        "b.yaml:6:5: inputs.a.from: found `from`; expected it left out: a transmitter drives its current whatever the voltage\nb.yaml:7:5: inputs.a.signal_resistance: found `signal_resistance`; expected it left out: a transmitter drives its current whatever the voltage",
    ),
    (
        BURDEN,
        "burden: 150\ncompliance: 10 mA",
        "b.yaml:6:17: inputs.a.compliance: found `10 mA` (a current); expected a voltage such as 3.3 V",
    ),
    (
        BURDEN,
        "burden: 150 mΩ .. 2 Ω",
        "b.yaml:5:13: inputs.a.burden: found `150 mΩ .. 2 Ω` (a range); expected one value, or { choose: 150 mΩ .. 2 Ω }",
    ),
    (
        BURDEN,
        "burden: 150\nprotection: 150 mΩ",
        "b.yaml:6:17: inputs.a.protection: found `150 mΩ` (m is milli, M is mega); expected `150 MΩ` for mega or `0.150 Ω` for milli, whichever is meant",
    ),
    (
        BURDEN,
        "burden: 150\nlimits: { compliance: 10 }\nunit: bar",
        "b.yaml:7:5: inputs.a.unit: found `bar` without reads; expected what the current means in this unit, such as reads: [[4 mA, 0], [20 mA, 10]]",
    ),
    (
        INPUT,
        "    circuit: burden\n    measures: 0 V .. 5 V\n    burden: 150",
        "b.yaml:4:15: inputs.a.measures: found `0 V` (a voltage); expected a current such as 20 mA",
    ),
    (
        INPUT,
        "    circuit: burden\n    measures: -20 mA .. 20 mA\n    burden: 150",
        "b.yaml:4:15: inputs.a.measures: found `-20 mA .. 20 mA`; expected a current from 0 A up to 1 kA",
    ),
    (
        INPUT,
        "    circuit: burden\n    burden: 150\n    reads: [[4 mA, 0], [4 mA, 10]]\n    unit: bar",
        "b.yaml:5:24: inputs.a.reads[2]: found row 2 with 4 mA behind 4 mA; expected a curve that rises or falls all the way: one that turns back or stands still has no inverse",
    ),
    (
        INPUT,
        "    circuit: burden\n    burden: 150",
        "b.yaml:2:3: inputs.a.measures: found nothing; expected the currents to be measured, such as measures: 4 mA .. 20 mA",
    ),
    (
        VOLTAGE,
        "compliance: 10 V",
        "b.yaml:5:5: inputs.a.compliance: found `compliance`; expected it left out: only the transmitter of circuit: burden has one",
    ),
    (
        INPUT,
        "    circuit: direct\n    sender: 240..33",
        "b.yaml:4:5: inputs.a.sender: found a sender on a circuit for voltages; expected circuit: pull-up with pull_up: choose; a resistance makes no voltage, so here the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        INPUT,
        "    circuit: divider\n    top: 1k\n    bottom: 1k\n    sender: 240..33",
        "b.yaml:6:5: inputs.a.sender: found a sender on a circuit for voltages; expected circuit: pull-up with pull_up: choose; a resistance makes no voltage, so here the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        INPUT,
        "    circuit: pull-up\n    sender: 240..33",
        "b.yaml:2:3: inputs.a.pull_up: found nothing; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        UNFED,
        "pull_up: none",
        "b.yaml:5:14: inputs.a.pull_up: found `none`; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        INPUT,
        "    circuit: pull-up\n    pull_up: choose",
        "b.yaml:2:3: inputs.a.sender: found nothing; expected the sender, such as sender: { resistance: 240 Ω .. 33 Ω }",
    ),
    (
        INPUT,
        "    circuit: divider\n    measures: 0..32\n    top: 22k",
        "b.yaml:2:3: inputs.a.bottom: found nothing; expected the lower part, such as bottom: 11k or bottom: choose; without it nothing is divided",
    ),
    (
        INPUT,
        "    circuit: divider\n    measures: 0..32\n    bottom: 22k",
        "b.yaml:2:3: inputs.a.top: found nothing; expected the upper part, such as top: 22k or top: choose; without it the pin is tied to the measured voltage",
    ),
    (
        PULL_UP,
        "measures: 0..5",
        "b.yaml:6:5: inputs.a.measures: found `measures`; expected it left out, or circuit: divider: a pull-up reads a sender, no voltage",
    ),
    (
        DIVIDER,
        "excitation: logic",
        "b.yaml:7:5: inputs.a.excitation: found `excitation`; expected it left out: nothing is excited here, a voltage comes by itself",
    ),
    (
        DIVIDER,
        "shunt: 1k",
        "b.yaml:7:5: inputs.a.shunt: found `shunt`; expected a part of this circuit: extension, top, bottom or protection",
    ),
    (
        INPUT,
        "    circuit: direct\n    fluid: other",
        "b.yaml:2:3: inputs.a.measures: found nothing; expected the voltages to be measured, such as measures: 0 V .. 32 V",
    ),
    (
        BURDEN,
        "burden: 150 Ω\nloop: logics",
        "b.yaml:6:11: inputs.a.loop: found `logics`; expected what feeds the loop, a map such as { voltage: 24 V, tolerance: 5 % } or one of: logic or supply; did you mean `logic`?",
    ),
    (
        BURDEN,
        "burden: 150 Ω\nloop: 24 V",
        "b.yaml:6:11: inputs.a.loop: found `24 V`; expected what feeds the loop, a map such as { voltage: 24 V, tolerance: 5 % } or one of: logic or supply",
    ),
    (
        BURDEN,
        "burden: 150 Ω\nloop: { voltage: 24 V }",
        "b.yaml:6:5: inputs.a.loop.tolerance: found nothing; expected how far it may be off, such as tolerance: 5 %",
    ),
    (
        PULL_UP,
        "loop: supply",
        "b.yaml:6:5: inputs.a.loop: found `loop`; expected it left out: only the transmitter of circuit: burden has one",
    ),
];

const PARTS: &[Wrong] = &[
    (
        PULL_UP,
        "top: 10k",
        "b.yaml:2:3: inputs.a.bottom: found nothing; expected bottom beside top: behind a pull-up they make a divider together",
    ),
    (
        PULL_UP,
        "shunt: 0 Ω",
        "b.yaml:6:12: inputs.a.shunt: found `0 Ω`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
    (
        PULL_UP,
        "shunt: 1k..47k",
        "b.yaml:6:12: inputs.a.shunt: found `1k..47k` (a range); expected one value, or { choose: 1k..47k }",
    ),
    (
        PULL_UP,
        "protection: chose",
        "b.yaml:6:17: inputs.a.protection: found `chose`; expected choose, none or a resistance such as 150 Ω; did you mean `choose`?",
    ),
    (
        PULL_UP,
        "protection: { choose: true }",
        "b.yaml:6:27: inputs.a.protection.choose: found `true` (not a range); expected two ends with .. between them, each a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        PULL_UP,
        "protection: { choose: 101 .. 109 }",
        "b.yaml:6:27: inputs.a.protection.choose: found 101 Ω .. 109 Ω with no value of E24 in it; expected a range with a value in it; the nearest are 100 Ω and 110 Ω",
    ),
    (
        PULL_UP,
        "protection: { value: 150, choose: 1k..2k }",
        "b.yaml:6:31: inputs.a.protection.choose: found `choose`; expected either a value or a choice, not both",
    ),
    (
        PULL_UP,
        "protection: { tolerance: 5 % }",
        "b.yaml:6:5: inputs.a.protection: found neither `value` nor `choose`; expected a value such as value: 150 Ω, or a choice such as choose: 47..2k2",
    ),
    (
        PULL_UP,
        "protection: { choose: 1k..2k, between: 1k..2k }",
        "b.yaml:6:35: inputs.a.protection.between: found a second range; expected the range once, behind choose",
    ),
    (
        UNFED,
        "pull_up: { choose: 100..1k, or_none: true }",
        "b.yaml:5:42: inputs.a.pull_up.or_none: found `true`; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        PULL_UP,
        "top: { choose: 1k..2k, or_none: true }\nbottom: 1k",
        "b.yaml:6:37: inputs.a.top.or_none: found `true`; expected off: top and bottom behind a pull-up are left out together or not at all",
    ),
    (
        PULL_UP,
        "protection: { value: 1k, tracks: [A, B] }",
        "b.yaml:6:38: inputs.a.protection.tracks: found a list; expected the name of a group, such as tracks: network",
    ),
    (
        PULL_UP,
        "protection: { value: 1k, tracks: }",
        "b.yaml:6:30: inputs.a.protection.tracks: found nothing; expected the name of a group, such as tracks: network",
    ),
    (
        PULL_UP,
        "protection: { value: 1k, track: A }",
        "b.yaml:6:30: inputs.a.protection.track: found `track`; expected a key known here; did you mean `tracks`?",
    ),
    (
        PULL_UP,
        "shunt: { value: 1k, tracks: A }\nprotection: { value: 1k, tolerance: 5 %, tracks: A }",
        "b.yaml:7:54: inputs.a.protection.tracks: found `A` with tolerance 5 %; expected tolerance 1 %, as inputs.a.shunt in the same group has: parts that track each other share tolerance, tempco and ageing",
    ),
    (
        PULL_UP,
        "shunt: { value: 1k, tempco: 50 ppm/K, tracks: A }\nprotection: { value: 1k, tracks: A }",
        "b.yaml:7:38: inputs.a.protection.tracks: found `A` with tempco 100 ppm/K; expected tempco 50 ppm/K, as inputs.a.shunt in the same group has: parts that track each other share tolerance, tempco and ageing",
    ),
    (
        PULL_UP,
        "shunt: { value: 1k, ageing: 2 %, tracks: A }\nprotection: { choose: 1k .. 2k, tracks: A }",
        "b.yaml:7:45: inputs.a.protection.tracks: found `A` with ageing 1 %; expected ageing 2 %, as inputs.a.shunt in the same group has: parts that track each other share tolerance, tempco and ageing",
    ),
    (
        PULL_UP,
        "protection: { choose: 0..100 }",
        "b.yaml:6:27: inputs.a.protection.choose: found `0..100`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
];

const SENDERS: &[Wrong] = &[
    (
        SENDER,
        "sender: 240..240",
        "b.yaml:5:13: inputs.a.sender: found `240..240` (both ends alike); expected two different resistances",
    ),
    (
        SENDER,
        "sender: { tolerance: 3 % }",
        "b.yaml:5:5: inputs.a.sender.resistance: found nothing; expected a sender such as 240 Ω .. 33 Ω, { resistance: 240 Ω .. 33 Ω } or { unit: \"%\", points: [[0, 240], [100, 33]] }",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, points: [[0, 240], [100, 33]] }",
        "b.yaml:5:36: inputs.a.sender.points: found points beside resistance; expected one of the two",
    ),
    (
        SENDER,
        "sender: { points: [[0, 240], [100, 33]] }",
        "b.yaml:5:15: inputs.a.sender.points: found values without a unit; expected the unit beside the points, such as unit: °C (in quotes where it is a sign: unit: \"%\")",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [40, 138], [20, 209], [55, 35]] }",
        "b.yaml:5:54: inputs.a.sender.points[3]: found row 3 with 20 L behind 40 L; expected rows in rising order of their values, each value once",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [20, 209], [20, 138]] }",
        "b.yaml:5:54: inputs.a.sender.points[3]: found row 3 with 20 L behind 20 L; expected rows in rising order of their values, each value once",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [20, 209], [55, 230]] }",
        "b.yaml:5:54: inputs.a.sender.points[3]: found row 3 with 230 Ω behind 209 Ω; expected a curve that rises or falls all the way: one that turns back or stands still has no inverse",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303]] }",
        "b.yaml:5:32: inputs.a.sender.points: found 1 row; expected at least two rows",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [20]] }",
        "b.yaml:5:43: inputs.a.sender.points[2]: found 1 entry; expected a row of two: [value, resistance]",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0 L, 303], [20 %, 209]] }",
        "b.yaml:5:46: inputs.a.sender.points[2][1]: found `20 %`; expected a number in L such as `12.5 L`",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[empty, 303], [20, 209]] }",
        "b.yaml:5:34: inputs.a.sender.points[1][1]: found `empty`; expected a number in L such as `12.5 L`",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, accuracy: -1 % }",
        "b.yaml:5:46: inputs.a.sender.accuracy: found `-1 %`; expected a distance in %, not below 0",
    ),
];

const MANY: Head = Head::Input(
    "inputs:\n  a:\n    circuit: pull-up\n    pull_up: choose\n    senders: { one: 240..33, two: 10..180 }\n",
);
const WARM: Head = Head::Input(
    "inputs:\n  a:\n    circuit: pull-up\n    pull_up: choose\n    senders: { cold: { unit: °C, points: [[-20, 900], [100, 40]] }, hot: { unit: °C, points: [[0, 700], [150, 20]] } }\n",
);

const SEVERAL_SENDERS: &[Wrong] = &[
    (
        SENDER,
        "sender: 240..33\nsenders: { one: 240..33 }",
        "b.yaml:5:5: inputs.a.sender: found sender beside senders; expected one of the two",
    ),
    (
        SENDER,
        "senders: 240..33",
        "b.yaml:5:14: inputs.a.senders: found `240..33`; expected a map of senders, such as senders: { european: 10..180, american: 240..33 }",
    ),
    (
        SENDER,
        "senders: [240..33, 10..180]",
        "b.yaml:5:14: inputs.a.senders: found a list; expected a map of senders, such as senders: { european: 10..180, american: 240..33 }",
    ),
    (
        SENDER,
        "senders: {}",
        "b.yaml:5:14: inputs.a.senders: found no sender; expected a map of senders, such as senders: { european: 10..180, american: 240..33 }",
    ),
    (
        SENDER,
        "senders:",
        "b.yaml:5:5: inputs.a.senders: found nothing; expected a map of senders, such as senders: { european: 10..180, american: 240..33 }",
    ),
    (
        SENDER,
        "senders: { one: 240..33, two: }",
        "b.yaml:5:30: inputs.a.senders.two: found nothing; expected a sender such as 240 Ω .. 33 Ω, { resistance: 240 Ω .. 33 Ω } or { unit: \"%\", points: [[0, 240], [100, 33]] }",
    ),
    (
        SENDER,
        "senders: { one: 240..33, one: 10..180 }",
        "b.yaml:5:30: inputs.a.senders.one: found `one` a second time; expected each name once",
    ),
    (
        SENDER,
        "senders: { one: 240..33, two: 10..180 Hz }",
        "b.yaml:5:35: inputs.a.senders.two: found `10 Hz` (`Hz` is no unit of a resistance); expected a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        SENDER,
        "senders: { one: 240..33, two: { resistence: 10..180 } }",
        "b.yaml:5:37: inputs.a.senders.two.resistence: found `resistence`; expected a key known here; did you mean `resistance`?",
    ),
    (
        SENDER,
        "sender: 240..33\nvariants: 2",
        "b.yaml:6:5: inputs.a.variants: found `variants`; expected it left out, or senders: { … } in place of sender: several sets of parts are for several senders",
    ),
    (
        MANY,
        "variants: 3",
        "b.yaml:6:15: inputs.a.variants: found `3`; expected a whole number of sets of parts from 1 to 2, one for each sender at most",
    ),
    (
        MANY,
        "variants: 0",
        "b.yaml:6:15: inputs.a.variants: found `0`; expected a whole number of sets of parts from 1 to 2, one for each sender at most",
    ),
    (
        MANY,
        "variants: two",
        "b.yaml:6:15: inputs.a.variants: found `two`; expected a whole number of sets of parts from 1 to 2, one for each sender at most",
    ),
    (
        SENDER,
        "senders: { one: 240..33 }\nvariants: 2",
        "b.yaml:6:15: inputs.a.variants: found `2`; expected 1, since there is one sender",
    ),
    (
        SENDER,
        "senders: { a: 1..2, b: 1..2, c: 1..2, d: 1..2, e: 1..2, f: 1..2, g: 1..2, h: 1..2, i: 1..2, j: 1..2, k: 1..2, l: 1..2, m: 1..2 }",
        "b.yaml:5:5: inputs.a.senders: found 13 senders; expected at most 12",
    ),
    (
        SENDER,
        "senders: { one: 240..33, two: { unit: °C, points: [[0, 700], [150, 20]] }, three: { unit: bar, points: [[0, 10], [5, 180]] } }",
        "b.yaml:5:30: inputs.a.senders.two: found a sender that reads °C; expected %, as `one` reads: zone, alarms and checkpoints of the input are in one unit\nb.yaml:5:80: inputs.a.senders.three: found a sender that reads bar; expected %, as `one` reads: zone, alarms and checkpoints of the input are in one unit",
    ),
    (
        SENDER,
        "senders: { one: { unit: °C, points: [[0, 700], [50, 200]] }, two: { unit: °C, points: [[60, 180], [150, 20]] } }",
        "b.yaml:5:66: inputs.a.senders.two: found a sender that reads 60 .. 150 °C; expected a range that shares a part with those before it: zone and alarms lie in all of them",
    ),
    (
        WARM,
        "zone: -10 °C .. 90 °C",
        "b.yaml:6:11: inputs.a.zone: found `-10 °C .. 90 °C` (outside the range); expected a value inside 0 .. 150 °C, the range of sender `hot`",
    ),
    (
        WARM,
        "zone: 50 °C .. 120 °C",
        "b.yaml:6:11: inputs.a.zone: found `50 °C .. 120 °C` (outside the range); expected a value inside -20 .. 100 °C, the range of sender `cold`",
    ),
    (
        WARM,
        "alarms: { hot: { above: 110 } }",
        "b.yaml:6:29: inputs.a.alarms.hot.above: found `110` (outside the range); expected a value inside -20 .. 100 °C, the range of sender `cold`",
    ),
    (
        WARM,
        "alarms: { cold: { below: 95, hysteresis: 10 } }",
        "b.yaml:6:46: inputs.a.alarms.cold.hysteresis: found an alarm that goes only at 105; expected a return inside -20 .. 100 °C, the range of sender `cold`",
    ),
    (
        WARM,
        "checkpoints: [0, 50, 150]",
        "b.yaml:6:26: inputs.a.checkpoints[3]: found `150` (outside the range); expected a value inside -20 .. 100 °C, the range of sender `cold`",
    ),
    (
        SENDER,
        "senders: { one: { unit: °C, ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: 0 °C .. 100 °C }, two: { unit: °C, points: [[0, 700], [150, 20]] } }\naim: straight",
        "b.yaml:6:10: inputs.a.aim: found `straight` for a curve of straight lines (sender `two`); expected a curved sender (ntc, steinhart_hart, platinum or interpolation: monotone) for this aim, or another one: between straight lines nothing bends but at their ends",
    ),
    (
        DIVIDER,
        "senders: { one: 240..33 }",
        "b.yaml:7:5: inputs.a.senders: found a sender on a circuit for voltages; expected circuit: pull-up with pull_up: choose; a resistance makes no voltage, so here the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        VOLTAGE,
        "variants: 2",
        "b.yaml:5:5: inputs.a.variants: found `variants`; expected it left out: only where there are several senders can there be several sets of parts",
    ),
];

#[test]
fn several_senders_share_a_unit_and_a_part_of_their_ranges() {
    says(SEVERAL_SENDERS);
}

const LAWS_AND_SHAPES: &[Wrong] = &[
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [20, 209]], interpolation: spline }",
        "b.yaml:5:70: inputs.a.sender.interpolation: found `spline`; expected linear or monotone",
    ),
    (
        SENDER,
        "sender: { file: readings.csv }",
        "b.yaml:5:21: inputs.a.sender.file: found `readings.csv`, a file that cannot be read (No such file or directory (os error 2)); expected a file with a sender or its readings; its name is seen from the folder of the brief",
    ),
    (
        SENDER,
        "sender: { file: readings.csv, points: [[0, 1], [1, 2]], unit: °C }",
        "b.yaml:5:15: inputs.a.sender.file: found file beside points; expected one of the two",
    ),
    (
        SENDER,
        "sender: { file: [a, b], range: 0..10, class: A }",
        "b.yaml:5:21: inputs.a.sender.file: found a list; expected the name of a file, such as coolant.yaml or readings.csv\nb.yaml:5:43: inputs.a.sender.class: found `class`; expected it left out: the file says what the curve is",
    ),
    (
        SENDER,
        "sender: { unit: L, resistance: 240..33 }",
        "b.yaml:5:21: inputs.a.sender.unit: found `L`; expected unit: \"%\" or none, or points instead of resistance; a shape beside it would say what the travel means",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, platinum: 100, range: 0 °C .. 100 °C }",
        "b.yaml:5:53: inputs.a.sender.platinum: found platinum beside ntc; expected one of the two",
    ),
    (
        SENDER,
        "sender: { file: a.csv, resistance: 240..33 }",
        "b.yaml:5:15: inputs.a.sender.file: found file beside resistance; expected one of the two",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K } }",
        "b.yaml:5:5: inputs.a.sender.range: found nothing; expected the temperatures over which it is read, such as range: -20 °C .. 120 °C; nothing beyond what is known of a sender is assumed",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: 120 °C .. -20 °C }",
        "b.yaml:5:75: inputs.a.sender.range: found `120 °C .. -20 °C` (reversed); expected the lower end first and a higher one behind it",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: 20 °C .. 20 °C }",
        "b.yaml:5:75: inputs.a.sender.range: found `20 °C .. 20 °C` (empty); expected the lower end first and a higher one behind it",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: -20 .. 120 }",
        "b.yaml:5:75: inputs.a.sender.range: found `-20` (a temperature needs its unit); expected `-20 °C`, `-20 °F` or `-20 K`",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: -300 °C .. 120 °C }",
        "b.yaml:5:75: inputs.a.sender.range: found `-300 °C .. 120 °C` (below absolute zero); expected temperatures above -273.15 °C",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }, range: -270 °C .. 120 °C }",
        "b.yaml:5:75: inputs.a.sender.range: found `-270 °C .. 120 °C` (beyond what the law is good for); expected the temperatures for which the sender is made",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10 kΩ, beta: 395 K }, range: -20 °C .. 120 °C }",
        "b.yaml:5:47: inputs.a.sender.ntc.beta: found `395 K`; expected a beta from 1000 K to 10000 K, such as 3950 K",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10 kΩ, beta: 3950 °C }, range: -20 °C .. 120 °C }",
        "b.yaml:5:47: inputs.a.sender.ntc.beta: found `3950 °C`; expected a beta from 1000 K to 10000 K, such as 3950 K",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10 kΩ }, range: -20 °C .. 120 °C }",
        "b.yaml:5:13: inputs.a.sender.ntc.beta: found nothing; expected how steep it is, such as beta: 3950 K",
    ),
    (
        SENDER,
        "sender: { ntc: { at: 25, resistance: 10 kΩ, beta: 3950 }, range: -20 °C .. 120 °C }",
        "b.yaml:5:26: inputs.a.sender.ntc.at: found `25` (a temperature needs its unit); expected `25 °C`, `25 °F` or `25 K`",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 0.1, beta: 3950 }, range: -20 °C .. 120 °C }",
        "b.yaml:5:15: inputs.a.sender.ntc: found a sender with 0.1 Ω at 25 °C; expected one between 1 Ω and 100 MΩ there, such as ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K } or steinhart_hart: { a: 1.13e-3, b: 2.34e-4, c: 8.8e-8 }",
    ),
    (
        SENDER,
        "sender: { ntc: 10 kΩ, range: -20 °C .. 120 °C }",
        "b.yaml:5:20: inputs.a.sender.ntc: found `10 kΩ`; expected a map such as { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, range: -20 °C .. 120 °C, unit: bar }",
        "b.yaml:5:84: inputs.a.sender.unit: found `bar`; expected a unit of temperature: °C, °F or K",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, range: -20 °C .. 120 °C, class: B }",
        "b.yaml:5:78: inputs.a.sender.class: found `class`; expected it left out: only platinum comes in classes",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, range: -20 °C .. 120 °C, interpolation: linear, shape: [[0, 0], [1, 1]] }",
        "b.yaml:5:78: inputs.a.sender.interpolation: found `interpolation`; expected it left out: ntc has no points to go between\n\
         b.yaml:5:101: inputs.a.sender.shape: found `shape`; expected it left out: ntc reads a temperature, and a shape turns levels into volumes",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, range: -20 °C .. 120 °C, self_heating: 2 }",
        "b.yaml:5:92: inputs.a.sender.self_heating: found `2`; expected a dissipation for each kelvin above 0 W/K, up to 1 W/K, such as 2 mW/K",
    ),
    (
        SENDER,
        "sender: { ntc: { resistance: 10k, beta: 3950 }, range: -20 °C .. 120 °C, self_heating: 2 mW }",
        "b.yaml:5:92: inputs.a.sender.self_heating: found `2 mW` (a power); expected a dissipation for each kelvin such as 2 mW/K",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: 1.13e-3, b: 2.34e-4 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:13: inputs.a.sender.steinhart_hart.c: found nothing; expected a coefficient: a number between -0.01 and 0.01, such as 8.8e-8",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: 1.13e-3, b: -2.34e-4, c: 8.8e-8 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:48: inputs.a.sender.steinhart_hart.b: found `-2.34e-4`; expected a number above 0, up to 0.1, such as 2.34e-4",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: 1.13, b: 2.34e-4, c: 8.8e-8 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:36: inputs.a.sender.steinhart_hart.a: found `1.13`; expected a number between -0.1 and 0.1, such as 1.13e-3",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: \"1,13e-3\", b: 2.34e-4, c: 8.8e-8 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:36: inputs.a.sender.steinhart_hart.a: found `1,13e-3` (a decimal comma); expected a decimal point: `1.13e-3`",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: 1.4e-3, b: 2.37e-4, c: -1e-6 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:15: inputs.a.sender.steinhart_hart: found coefficients whose resistance does not fall all over the range; expected those of 1/T = a + b·ln R + c·(ln R)³ in ohms and kelvin, or the range over which they were fitted",
    ),
    (
        SENDER,
        "sender: { steinhart_hart: { a: 1.13e-4, b: 2.34e-5, c: 8.8e-8 }, range: 0 °C .. 100 °C }",
        "b.yaml:5:15: inputs.a.sender.steinhart_hart: found a sender with 19729 GΩ at 25 °C; expected one between 1 Ω and 100 MΩ there, such as ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K } or steinhart_hart: { a: 1.13e-3, b: 2.34e-4, c: 8.8e-8 }",
    ),
    (
        SENDER,
        "sender: { platinum: 1000 Ω, class: D, range: 0 °C .. 100 °C }",
        "b.yaml:5:40: inputs.a.sender.class: found `D`; expected AA, A, B, C or none; did you mean `A`?",
    ),
    (
        SENDER,
        "sender: { platinum: 1000 Ω, class: B, accuracy: 1, range: 0 °C .. 100 °C }",
        "b.yaml:5:43: inputs.a.sender.accuracy: found accuracy beside class; expected one of the two",
    ),
    (
        SENDER,
        "sender: { platinum: 1000 Ω, class: B, range: -250 °C .. 100 °C }",
        "b.yaml:5:50: inputs.a.sender.range: found `-250 °C .. 100 °C` (outside the standard); expected a range within -200 °C .. 850 °C, for which IEC 60751 defines platinum",
    ),
    (
        SENDER,
        "sender: { platinum: 1000 Ω, class: B, range: 0 °C .. 900 °C }",
        "b.yaml:5:50: inputs.a.sender.range: found `0 °C .. 900 °C` (outside the standard); expected a range within -200 °C .. 850 °C, for which IEC 60751 defines platinum",
    ),
    (
        SENDER,
        "sender: { platinum: 1 MΩ, class: B, range: 0 °C .. 100 °C }",
        "b.yaml:5:25: inputs.a.sender.platinum: found `1 MΩ`; expected its resistance at 0 °C, from 1 Ω to 100 kΩ: 100 Ω or 1000 Ω as a rule",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, range: 0 .. 100 }",
        "b.yaml:5:36: inputs.a.sender.range: found `range`; expected it left out: the range is that of resistance",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, class: B }",
        "b.yaml:5:36: inputs.a.sender.class: found `class`; expected it left out: only platinum comes in classes",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, unit: L, shape: [[0, 0], [50, 20], [90, 50]] }",
        "b.yaml:5:52: inputs.a.sender.shape: found rows from 0 % to 90 %; expected rows that cover all levels of the sender: 0 .. 100 %",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, unit: L, shape: [[0, 0], [50, 20], [100, 15]] }",
        "b.yaml:5:71: inputs.a.sender.shape[3]: found row 3 with 100 % and 15 L behind 50 % and 20 L; expected rows in which level and volume both rise",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, unit: L, shape: [[0, 0]] }",
        "b.yaml:5:52: inputs.a.sender.shape: found 1 row; expected at least two rows",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, shape: [[0, 0 L], [50, 20 gal], [100, 40 L]] }",
        "b.yaml:5:59: inputs.a.sender.shape[2][2]: found `20 gal` (two gallons exist); expected `20 US gal` (3.785 L each) or `20 imp gal` (4.546 L each), whichever is meant",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, shape: [[0, 0 L], [50, 20 bar], [100, 40 L]] }",
        "b.yaml:5:59: inputs.a.sender.shape[2][2]: found `20 bar`; expected a number in L such as `12.5 L`",
    ),
    (
        SENDER,
        "sender: { resistance: 240..33, shape: 20 L }",
        "b.yaml:5:43: inputs.a.sender.shape: found `20 L`; expected rows of level and volume such as [[0, 0 L], [50, 20 L], [100, 55 L]]",
    ),
    (
        SENDER,
        "sender: { points: [[\"47 °C (100 °F)\", 2 kΩ], [\"123 °C (260 °F)\", 200 Ω]] }",
        "b.yaml:5:25: inputs.a.sender.points[1][1]: found `47 °C (100 °F)` (100 °F is 37.78 °C); expected one of the two, or two that agree: 47 °C is 116.6 °F\n\
         b.yaml:5:51: inputs.a.sender.points[2][1]: found `123 °C (260 °F)` (260 °F is 126.7 °C); expected one of the two, or two that agree: 123 °C is 253.4 °F",
    ),
    (
        SENDER,
        "sender: { points: [[0 °C, 2 kΩ], [2 bar, 200 Ω]] }",
        "b.yaml:5:39: inputs.a.sender.points[2][1]: found `2 bar`; expected a number in °C such as `12.5 °C`",
    ),
    (
        SENDER,
        "sender: { unit: L, points: [[0, 303], [10 gal, 35]] }",
        "b.yaml:5:44: inputs.a.sender.points[2][1]: found `10 gal` (two gallons exist); expected `10 US gal` (3.785 L each) or `10 imp gal` (4.546 L each), whichever is meant",
    ),
    (
        SENDER,
        "sender: { unit: gal, points: [[0, 303], [20 L, 35]] }",
        "b.yaml:5:46: inputs.a.sender.points[2][1]: found `20 L`; expected a number in gal such as `12.5 gal`; litres are converted into US gal or imp gal, since two gallons exist",
    ),
    (
        SENDER,
        "sender: { clas: B, platinum: 100, range: 0 °C .. 100 °C }",
        "b.yaml:5:15: inputs.a.sender.clas: found `clas`; expected a key known here; did you mean `class`?",
    ),
    (
        SENDER,
        "sender: { unit: °F, ntc: { resistance: 10k, beta: 3950 }, range: 100 .. bar }",
        "b.yaml:5:70: inputs.a.sender.range: found `bar`; expected a number in °F such as `12.5 °F`",
    ),
];

const SIGNALS: &[Wrong] = &[
    (
        INPUT,
        "    circuit: direct\n    measures: 5 V .. 0 V",
        "b.yaml:4:15: inputs.a.measures: found `5 V .. 0 V` (reversed); expected the lower end first: 0 V .. 5 V",
    ),
    (
        INPUT,
        "    circuit: direct\n    measures: 5 V .. 5 V",
        "b.yaml:4:15: inputs.a.measures: found `5 V .. 5 V` (empty); expected two different ends",
    ),
    (
        VOLTAGE,
        "unit: A",
        "b.yaml:5:5: inputs.a.unit: found `A` without reads; expected what the voltage means in this unit, such as reads: [[0.5 V, -100], [4.5 V, 100]]",
    ),
    (
        INPUT,
        "    circuit: direct\n    reads: [[0.5 V, -100], [4.5 V, 100]]",
        "b.yaml:4:5: inputs.a.reads: found values without a unit; expected the unit of the values beside reads, such as unit: A",
    ),
    (
        VOLTAGE,
        "unit: A\nreads: [[0.5 V, -100], [4.5 V, 100]]",
        "b.yaml:4:15: inputs.a.measures: found `0 V .. 5 V` (beyond reads); expected a part of what reads covers: 500 mV .. 4.5 V",
    ),
    (
        INPUT,
        "    circuit: direct\n    unit: A\n    reads: [[0.5 V, -100], [4.5 V, 0], [2 V, 100]]",
        "b.yaml:5:40: inputs.a.reads[3]: found row 3 with 2 V behind 4.5 V; expected a curve that rises or falls all the way: one that turns back or stands still has no inverse",
    ),
    (
        VOLTAGE,
        "from: suply",
        "b.yaml:5:11: inputs.a.from: found `suply`; expected supply or sensor; did you mean `supply`?",
    ),
    (
        VOLTAGE,
        "from: supply\nscales_with: logic",
        "b.yaml:6:5: inputs.a.scales_with: found scales_with beside from: supply; expected one of the two: a supply is no sensor fed by a rail",
    ),
];

const INPUTS: &[Wrong] = &[
    (
        PULL_UP,
        "survive: [jump start, cranking, wire to rail, transmitter short]",
        "b.yaml:6:15: inputs.a.survive[1]: found `jump start`; expected its voltage in the supply, such as jump_start: 24 V\nb.yaml:6:27: inputs.a.survive[2]: found `cranking`; expected its voltage in the supply, such as cranking: 6 V",
    ),
    (
        PULL_UP,
        "wire: 2 Ω .. 0 Ω",
        "b.yaml:6:11: inputs.a.wire: found `2 Ω .. 0 Ω` (reversed); expected the lower end first: 0 Ω .. 2 Ω",
    ),
    (
        PULL_UP,
        "ground_shift: -50 mV",
        "b.yaml:6:19: inputs.a.ground_shift: found `-50 mV` (negative); expected 50 mV for either direction, or a range such as -50 mV .. 0 V",
    ),
    (
        PULL_UP,
        "fluid: gasoline",
        "b.yaml:6:12: inputs.a.fluid: found `gasoline`; expected petrol, diesel, oil, water or other",
    ),
    (
        PULL_UP,
        "capacitor: 0 nF",
        "b.yaml:6:16: inputs.a.capacitor: found `0 nF`; expected a capacitance above 0 F, up to 1 F",
    ),
    (
        PULL_UP,
        "capacitor: choose\nlimits: { settling: off }",
        "b.yaml:6:16: inputs.a.capacitor: found a choice with settling off; expected a value, or a limit to choose it by: settling, or filter_time",
    ),
    (
        PULL_UP,
        "capacitor: chose",
        "b.yaml:6:16: inputs.a.capacitor: found `chose`; expected choose, none, a capacitance such as 100 nF, or a map such as { choose: 1 nF .. 1 µF, series: E6 }; did you mean `choose`?",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150, from: 10 V }",
        "b.yaml:6:37: inputs.a.gauge.from: found `10 V`; expected supply, a rail, or, for a stabiliser, a map such as { voltage: 10 V, tolerance: 5 % }",
    ),
    (
        PULL_UP,
        "capacitor: { choose: 1.1 nF .. 1.4 nF }",
        "b.yaml:6:26: inputs.a.capacitor.choose: found 1.1 nF .. 1.4 nF with no standard value in it; expected a range with a value of the series in it, such as 1 nF .. 1 µF",
    ),
    (
        PULL_UP,
        "capacitor: { series: E12 }",
        "b.yaml:6:5: inputs.a.capacitor.choose: found nothing; expected the values to choose from, such as choose: 1 nF .. 1 µF",
    ),
    (
        PULL_UP,
        "zone: 80 .. 120",
        "b.yaml:6:11: inputs.a.zone: found `80 .. 120` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "zone: 80 .. 20",
        "b.yaml:6:11: inputs.a.zone: found `80 .. 20` (reversed); expected the lower end first and a higher one behind it",
    ),
    (
        PULL_UP,
        "checkpoints: [0, 150]",
        "b.yaml:6:22: inputs.a.checkpoints[2]: found `150` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "checkpoints: []",
        "b.yaml:6:18: inputs.a.checkpoints: found an empty list; expected at least one checkpoint, or the key left out",
    ),
    (
        PULL_UP,
        "aim: resolutoin",
        "b.yaml:6:10: inputs.a.aim: found `resolutoin`; expected span, resolution, error or straight; did you mean `resolution`?",
    ),
    (
        PULL_UP,
        "aim: straight",
        "b.yaml:6:10: inputs.a.aim: found `straight` for a curve of straight lines; expected a curved sender (ntc, steinhart_hart, platinum or interpolation: monotone) for this aim, or another one: between straight lines nothing bends but at their ends",
    ),
    (
        PULL_UP,
        "limits: { error: 0 }",
        "b.yaml:6:22: inputs.a.limits.error: found `0`; expected a distance above 0: no reading is without error",
    ),
    (
        PULL_UP,
        "limits: { error: 2 bar }",
        "b.yaml:6:22: inputs.a.limits.error: found `2 bar`; expected a number in % such as `12.5 %`",
    ),
    (
        PULL_UP,
        "limits: { error: -1 }",
        "b.yaml:6:22: inputs.a.limits.error: found `-1`; expected a distance in %, not below 0",
    ),
    (
        PULL_UP,
        "limits: { sender_power: on }",
        "b.yaml:6:29: inputs.a.limits.sender_power: found `on`; expected off, or a power such as 125 mW: this limit has no usual value",
    ),
    (
        VOLTAGE,
        "shape: [[0, 0 L], [100, 55 L]]",
        "b.yaml:5:5: inputs.a.shape: found a shape without reads; expected reads beside it, which says what level is meant",
    ),
    (
        WHOLE,
        "inputs: { a: { circuit: direct, reads: [[0.5 V, 0], [4.5 V, 100]], unit: \"%\", shape: [[0, 0 L], [50, 55 L]] } }",
        "b.yaml:1:86: inputs.a.shape: found rows from 0 % to 50 %; expected rows that cover all levels of the sender: 0 .. 100 %",
    ),
    (
        BOARD,
        "limits: { error: 2 }",
        "b.yaml:2:11: limits.error: found `error`; expected it beside an input: its bound is in the unit of that input",
    ),
    (
        PULL_UP,
        "calibration: both",
        "b.yaml:6:18: inputs.a.calibration: found `both`; expected none, or a map with one or two points such as { at: [0, 100], accuracy: 0.5 % }",
    ),
    (
        PULL_UP,
        "calibration: [0, 100]",
        "b.yaml:6:18: inputs.a.calibration: found a list; expected none, or a map with one or two points such as { at: [0, 100], accuracy: 0.5 % }",
    ),
    (
        PULL_UP,
        "calibration:",
        "b.yaml:6:5: inputs.a.calibration: found nothing; expected none, or a map with one or two points such as { at: [0, 100], accuracy: 0.5 % }",
    ),
    (
        PULL_UP,
        "calibration: {}",
        "b.yaml:6:5: inputs.a.calibration.at: found nothing; expected one point or two in the unit of the input, such as at: [0, 100]",
    ),
    (
        PULL_UP,
        "calibration: { at: [] }",
        "b.yaml:6:24: inputs.a.calibration.at: found an empty list; expected one point or two in the unit of the input, such as at: [0, 100]",
    ),
    (
        PULL_UP,
        "calibration: { at: [0, 50, 100] }",
        "b.yaml:6:24: inputs.a.calibration.at: found more than two points; expected one point or two in the unit of the input, such as at: [0, 100]",
    ),
    (
        PULL_UP,
        "calibration: { at: [50, 50] }",
        "b.yaml:6:24: inputs.a.calibration.at: found the same point twice; expected two different points, or one of them alone",
    ),
    (
        PULL_UP,
        "calibration: { at: [0, 150] }",
        "b.yaml:6:28: inputs.a.calibration.at[2]: found `150` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "calibration: { at: 2 V }",
        "b.yaml:6:24: inputs.a.calibration.at: found `2 V`; expected a number in % such as `12.5 %`",
    ),
    (
        PULL_UP,
        "calibration: { at: 50, accuracy: 120 % }",
        "b.yaml:6:38: inputs.a.calibration.accuracy: found `120 %`; expected a share from 0 % to less than 100 %",
    ),
    (
        PULL_UP,
        "calibration: { at: 50, accurracy: 1 % }",
        "b.yaml:6:28: inputs.a.calibration.accurracy: found `accurracy`; expected a key known here; did you mean `accuracy`?",
    ),
    (
        PULL_UP,
        "calibration: { at: [0, 100] }\naim: error",
        "b.yaml:6:5: inputs.a.calibration: found `calibration` beside aim: error, with parts still to be chosen; expected give the parts of the input first, or leave one of the two out: the search has no bound for the error of a calibrated reading",
    ),
    (
        PULL_UP,
        "calibration: { at: [0, 100] }\nlimits: { error: 3 }",
        "b.yaml:6:5: inputs.a.calibration: found `calibration` beside limits: error, with parts still to be chosen; expected give the parts of the input first, or leave one of the two out: the search has no bound for the error of a calibrated reading",
    ),
    (
        FED,
        "corrected_by: battery\ncalibration: { at: [0, 100] }",
        "b.yaml:9:5: inputs.a.calibration: found `calibration` beside `corrected_by`; expected one of the two left out: a reading is either calibrated or divided by the supply",
    ),
    (
        PULL_UP,
        "survive: [wire opened]",
        "b.yaml:6:15: inputs.a.survive[1]: found `wire opened`; expected a case: wire open, wire to ground, wire to supply, surge, reversed supply, board off, ground lost, jump start, cranking, transmitter short or wire to rail; did you mean `wire open`?",
    ),
    (
        PULL_UP,
        "survive: [normal]",
        "b.yaml:6:15: inputs.a.survive[1]: found `normal`; expected a case: wire open, wire to ground, wire to supply, surge, reversed supply, board off, ground lost, jump start, cranking, transmitter short or wire to rail",
    ),
    (
        PULL_UP,
        "survive: [board off, board off]",
        "b.yaml:6:26: inputs.a.survive[2]: found `board off` a second time; expected each case once",
    ),
    (
        PULL_UP,
        "survive: [surge]",
        "b.yaml:6:15: inputs.a.survive[1]: found `surge`; expected its voltage in the supply, such as surge: 35 V",
    ),
    (
        PULL_UP,
        "survive: [reversed supply]",
        "b.yaml:6:15: inputs.a.survive[1]: found `reversed supply`; expected its voltage in the supply, such as reversed: 14 V",
    ),
    (
        PULL_UP,
        "existing: { tolerance: 5 % }",
        "b.yaml:6:5: inputs.a.existing.to_ground: found nothing; expected the resistance from the node to ground, such as to_ground: 320 kΩ",
    ),
];

const BESIDE: &[Wrong] = &[
    (
        PULL_UP,
        "gauge: 150 Ω",
        "b.yaml:6:12: inputs.a.gauge: found `150 Ω`; expected a map such as { resistance: 150 Ω, from: supply }",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω }",
        "b.yaml:6:5: inputs.a.gauge.from: found nothing; expected what feeds the gauge: from: supply, a rail, or a stabiliser such as { voltage: 10 V, tolerance: 5 % }",
    ),
    (
        PULL_UP,
        "gauge: { from: supply }",
        "b.yaml:6:5: inputs.a.gauge.resistance: found nothing; expected the resistance of the gauge, such as resistance: 150 Ω",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 0 Ω, from: supply }",
        "b.yaml:6:26: inputs.a.gauge.resistance: found `0 Ω`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: suply }",
        "b.yaml:6:39: inputs.a.gauge.from: found `suply`; expected what feeds the gauge: logic or supply; did you mean `supply`?",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: supply, tolerance: 100 % }",
        "b.yaml:6:58: inputs.a.gauge.tolerance: found `100 %`; expected a share from 0 % to less than 100 %",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: supply, pulsed: yes }",
        "b.yaml:6:47: inputs.a.gauge.pulsed: found `pulsed`; expected one of the keys resistance, tolerance or from",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: [10 V, 12 V] }",
        "b.yaml:6:39: inputs.a.gauge.from: found a list; expected supply, a rail, or a stabiliser such as { voltage: 10 V, tolerance: 5 %, pulsed: true }",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: { tolerance: 5 % } }",
        "b.yaml:6:33: inputs.a.gauge.from.voltage: found nothing; expected the voltage of the stabiliser, such as voltage: 10 V",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: { voltage: -10 V } }",
        "b.yaml:6:50: inputs.a.gauge.from.voltage: found `-10 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: { voltage: 10 V, pulsed: sometimes } }",
        "b.yaml:6:64: inputs.a.gauge.from.pulsed: found `sometimes`; expected on or off",
    ),
    (
        PULL_UP,
        "gauge: { resistance: 150 Ω, from: { voltage: 10 V, tolerence: 5 % } }",
        "b.yaml:6:56: inputs.a.gauge.from.tolerence: found `tolerence`; expected a key known here; did you mean `tolerance`?",
    ),
    (
        DIVIDER,
        "gauge: { resistance: 150 Ω, from: supply }",
        "b.yaml:7:5: inputs.a.gauge: found `gauge`; expected it left out: only circuit: pull-up shares its sender with a gauge",
    ),
    (
        PULL_DOWN,
        "pull_down: choose\ngauge: { resistance: 150 Ω, from: supply }",
        "b.yaml:6:5: inputs.a.gauge: found `gauge`; expected it left out: only circuit: pull-up shares its sender with a gauge",
    ),
    (
        UNFED,
        "pull_up: none\ngauge: none",
        "b.yaml:5:14: inputs.a.pull_up: found `none`; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        UNFED,
        "gauge: { resistance: 150 Ω, from: supply }",
        "b.yaml:2:3: inputs.a.pull_up: found nothing; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
    (
        UNFED,
        "pull_up: { choose: 47..1k, or_none: yes }\ngauge: { resistance: 150 Ω, from: supply }",
        "b.yaml:5:41: inputs.a.pull_up.or_none: found `yes`; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open",
    ),
];

const WET: &[Wrong] = &[
    (
        PULL_UP,
        "wet: 50 kΩ",
        "b.yaml:6:10: inputs.a.wet: found `50 kΩ`; expected a map such as { to: ground, resistance: 50 kΩ }",
    ),
    (
        PULL_UP,
        "wet: { to: ground }",
        "b.yaml:6:5: inputs.a.wet.resistance: found nothing; expected the least resistance of the wet connector, such as resistance: 50 kΩ",
    ),
    (
        PULL_UP,
        "wet: { resistance: 50 kΩ }",
        "b.yaml:6:5: inputs.a.wet.to: found nothing; expected what the wire leaks to: to: ground or to: supply",
    ),
    (
        PULL_UP,
        "wet: { to: logic, resistance: 50 kΩ }",
        "b.yaml:6:16: inputs.a.wet.to: found `logic`; expected ground or supply",
    ),
    (
        PULL_UP,
        "wet: { to: suply, resistance: 50 kΩ }",
        "b.yaml:6:16: inputs.a.wet.to: found `suply`; expected ground or supply; did you mean `supply`?",
    ),
    (
        DIVIDER,
        "wet: { to: supply, resistance: 0 Ω }",
        "b.yaml:7:36: inputs.a.wet.resistance: found `0 Ω`; expected a resistance above 0 Ω, up to 1 GΩ",
    ),
    (
        DIVIDER,
        "wet: { to: supply, resistance: 50k .. 100k }",
        "b.yaml:7:36: inputs.a.wet.resistance: found `50k .. 100k` (a range); expected one value: a resistance such as 4.7 kΩ or 4k7",
    ),
    (
        DIVIDER,
        "wet: { to: supply, resistance: 50k, tolerance: 5 % }",
        "b.yaml:7:41: inputs.a.wet.tolerance: found `tolerance`; expected one of the keys to or resistance",
    ),
];

const CLAMPS: &[Wrong] = &[
    (
        DIVIDER,
        "clamp: 5.1 V",
        "b.yaml:7:12: inputs.a.clamp: found `5.1 V`; expected a map such as { upper: 5.1 V, current: 5 mA, leakage: 50 µA, at: node }",
    ),
    (
        DIVIDER,
        "clamp: { current: 5 mA, leakage: 50 µA, at: node }",
        "b.yaml:7:5: inputs.a.clamp.upper: found nothing; expected the voltage from which the clamp conducts, such as upper: 5.1 V",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, leakage: 50 µA, at: node }",
        "b.yaml:7:5: inputs.a.clamp.current: found nothing; expected the current that the clamp survives, such as current: 5 mA",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 5 mA, at: node }",
        "b.yaml:7:5: inputs.a.clamp.leakage: found nothing; expected what the clamp leaks below its voltage, from its data sheet, such as leakage: 50 µA",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 5 mA, leakage: 50 µA }",
        "b.yaml:7:5: inputs.a.clamp.at: found nothing; expected where the clamp is: at: node (in front of protection) or at: pin",
    ),
    (
        DIVIDER,
        "clamp: { upper: 0 V, current: 5 mA, leakage: 50 µA, at: node }",
        "b.yaml:7:21: inputs.a.clamp.upper: found `0 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 0 mA, leakage: 50 µA, at: node }",
        "b.yaml:7:37: inputs.a.clamp.current: found `0 mA`; expected a current above 0 A, up to 1 kA",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 5 mA, leakage: -50 µA, at: node }",
        "b.yaml:7:52: inputs.a.clamp.leakage: found `-50 µA`; expected a current from 0 A up to 1 kA",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 5 mA, leakage: 50 µA, at: wire }",
        "b.yaml:7:63: inputs.a.clamp.at: found `wire`; expected node or pin",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, current: 5 mA, leakage: 50 µA, at: node, tolerance: 100 % }",
        "b.yaml:7:80: inputs.a.clamp.tolerance: found `100 %`; expected a share from 0 % to less than 100 %",
    ),
    (
        DIVIDER,
        "clamp: { upper: 5.1 V, lower: -0.7 V, current: 5 mA, leakage: 50 µA, at: node }",
        "b.yaml:7:28: inputs.a.clamp.lower: found `lower`; expected one of the keys upper, tolerance, current, leakage or at",
    ),
];

const LIMITS: &[Wrong] = &[
    (
        PULL_UP,
        "limits: { sender_curent: 20 mA }",
        "b.yaml:6:15: inputs.a.limits.sender_curent: found `sender_curent`; expected a key known here; did you mean `sender_current`?",
    ),
    (
        PULL_UP,
        "limits: { sender_current: 20 V }",
        "b.yaml:6:31: inputs.a.limits.sender_current: found `20 V` (a voltage); expected a current such as 20 mA",
    ),
    (
        PULL_UP,
        "limits: { sender_current: on }",
        "b.yaml:6:31: inputs.a.limits.sender_current: found `on`; expected off, or a current such as 20 mA: this limit has no usual value",
    ),
    (
        PULL_UP,
        "limits: { rail_backfeed: 1 mm }",
        "b.yaml:6:30: inputs.a.limits.rail_backfeed: found `1 mm` (`mm` is no unit of a current); expected a current such as 20 mA",
    ),
    (
        PULL_UP,
        "limits: { fault_gap: on }",
        "b.yaml:6:26: inputs.a.limits.fault_gap: found `on`; expected off, or a number of counts such as 2 counts: this limit has no usual value",
    ),
    (
        PULL_UP,
        "limits: { converter_range: 5 V }",
        "b.yaml:6:32: inputs.a.limits.converter_range: found `5 V`; expected on or off",
    ),
    (
        PULL_UP,
        "limits: no",
        "b.yaml:6:13: inputs.a.limits: found `no`; expected off, or a map such as { sender_current: 20 mA, dissipation: off }",
    ),
];

const ALARMS: &[Wrong] = &[
    (
        PULL_UP,
        "alarms: { low: { below: 120 } }",
        "b.yaml:6:29: inputs.a.alarms.low.below: found `120` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "alarms: { low: { hysteresis: 2 } }",
        "b.yaml:6:15: inputs.a.alarms.low.below: found nothing; expected the threshold: below: VALUE or above: VALUE",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 10, above: 20 } }",
        "b.yaml:6:33: inputs.a.alarms.low.above: found both below and above; expected one of the two; a second alarm for the other side",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 99, hysteresis: 2 } }",
        "b.yaml:6:45: inputs.a.alarms.low.hysteresis: found an alarm that goes only at 101; expected a return inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, hysteresis: -2 } }",
        "b.yaml:6:45: inputs.a.alarms.low.hysteresis: found `-2`; expected a distance in %, not below 0",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, certain_at: 50 } }",
        "b.yaml:6:45: inputs.a.alarms.low.certain_at: found 50 % (where the reading is not below the threshold); expected a value below 50 %, where the alarm must have come",
    ),
    (
        PULL_UP,
        "alarms: { high: { above: 50, certain_at: 40 } }",
        "b.yaml:6:46: inputs.a.alarms.high.certain_at: found 40 % (where the reading is not above the threshold); expected a value above 50 %, where the alarm must have come",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, hysteresis: 2.2, quiet_at: 52 } }",
        "b.yaml:6:60: inputs.a.alarms.low.quiet_at: found 52 % (where the alarm, once on, stays on); expected 52.2 % or more: threshold and hysteresis",
    ),
    (
        PULL_UP,
        "alarms: { high: { above: 50, hysteresis: 2, quiet_at: 49 } }",
        "b.yaml:6:59: inputs.a.alarms.high.quiet_at: found 49 % (where the alarm, once on, stays on); expected 48 % or less: threshold and hysteresis",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, quiet_at: 101 } }",
        "b.yaml:6:43: inputs.a.alarms.low.quiet_at: found `101` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, certain_at: -1 } }",
        "b.yaml:6:45: inputs.a.alarms.low.certain_at: found `-1` (outside the range); expected a value inside 0 .. 100 %",
    ),
    (
        PULL_UP,
        "alarms: { low: { below: 50, certain_at: 2,5 } }",
        "b.yaml:6:47: inputs.a.alarms.low.5: found `5`; expected a decimal point, since a comma separates entries: certain_at: 2.5",
    ),
    (
        PULL_UP,
        "alarms: { low: { bellow: 12.5 } }",
        "b.yaml:6:22: inputs.a.alarms.low.bellow: found `bellow`; expected a key known here; did you mean `below`?",
    ),
    (
        PULL_UP,
        "excitation: suply",
        "b.yaml:6:17: inputs.a.excitation: found `suply`; expected what excites the sender: logic or supply; did you mean `supply`?",
    ),
];

const FURTHER: &[Wrong] = &[
    (
        PULL_UP,
        "wire: { at: 1 }",
        "b.yaml:6:11: inputs.a.wire: found a map; expected a resistance such as 0.5 Ω or 50 mΩ",
    ),
    (
        DIVIDER,
        "wire: 0 .. 5 GΩ",
        "b.yaml:7:11: inputs.a.wire: found `0 .. 5 GΩ`; expected a resistance from 0 Ω up to 1 GΩ",
    ),
    (
        WHOLE,
        "inputs:\n  [a]: b\n",
        "b.yaml:2:3: found a list or a map as a key; expected plain text as a key",
    ),
    (BOARD, "%YAML 1.2", "b.yaml:2:1: found a bare `%`; expected it in quotes: \"%YAML\""),
    (
        WHOLE,
        "board: x\n...\nboard: y\n",
        "b.yaml:3:1: found a second document; expected one brief in one file",
    ),
    (
        WHOLE,
        "inputs: { a: {circuit:direct, measures:0..5} }\n",
        "b.yaml:1:15: inputs.a.circuit:direct: found `circuit:direct`; expected a blank after the colon: circuit: direct\nb.yaml:1:31: inputs.a.measures:0..5: found `measures:0..5`; expected a blank after the colon: measures: 0..5",
    ),
    (BOARD, "board: [x]", "b.yaml:2:8: board: found a list; expected the name of the board"),
    (
        BOARD,
        "supply: 12 V",
        "b.yaml:2:9: supply: found `12 V`; expected a map such as { lowest: 9 V, usual: 13.2 V, highest: 25 V }",
    ),
    (
        BOARD,
        "supply: { lowest: 0 V }",
        "b.yaml:2:19: supply.lowest: found `0 V`; expected a voltage above 0 V, up to 10 kV",
    ),
    (
        BOARD,
        "converter: { reference: [logic] }",
        "b.yaml:2:25: converter.reference: found a list; expected a rail, or a reference of its own such as { voltage: 1.1 V, tolerance: 9 % }",
    ),
    (
        BOARD,
        "converter: { pin_current: 0 mA }",
        "b.yaml:2:27: converter.pin_current: found `0 mA`; expected a current above 0 A, up to 1 kA",
    ),
    (
        BOARD,
        "limits: { pin_current: 1 V }",
        "b.yaml:2:24: limits.pin_current: found `1 V` (a voltage); expected a current such as 20 mA",
    ),
    (
        BOARD,
        "bench: { temperature: 30 °C .. 20 °C }",
        "b.yaml:2:23: bench.temperature: found `30 °C .. 20 °C` (reversed); expected the lower end first: 20 °C .. 30 °C",
    ),
    (
        BOARD,
        "resistors: { tracks: network }",
        "b.yaml:2:14: resistors.tracks: found `tracks`; expected it at the parts of one network, such as top: { value: 100k, tracks: network }",
    ),
    (
        BOARD,
        "resistors: { stock: parts.csv }",
        "b.yaml:2:21: resistors.stock: found `parts.csv`, a file that cannot be read (No such file or directory (os error 2)); expected a stock file: a table with a column `value`; its name is seen from the folder of the brief",
    ),
    (
        BOARD,
        "resistors: { stock: [a.csv, b.csv] }",
        "b.yaml:2:21: resistors.stock: found a list; expected a stock file: a table with a column `value`; its name is seen from the folder of the brief",
    ),
    (
        BOARD,
        "resistors: { stock: examples/launch-stock.csv, series: E25 }",
        "b.yaml:2:14: resistors.stock: found `stock` beside `series`; expected one of the two: a stock file has its own values\nb.yaml:2:56: resistors.series: found `E25`; expected E3, E6, E12, E24, E48, E96 or E192; E24 is the nearest",
    ),
    (
        BOARD,
        "stock: parts.csv",
        "b.yaml:2:1: stock: found `stock`; expected it below resistors, or at a part: resistors: { stock: FILE.csv }",
    ),
    (
        PULL_UP,
        "stock: parts.csv",
        "b.yaml:6:5: inputs.a.stock: found `stock`; expected it below resistors, or at a part, such as pull_up: { stock: FILE.csv }",
    ),
    (
        PULL_UP,
        "protection: { value: 1k, stock: examples/launch-stock.csv }",
        "b.yaml:6:30: inputs.a.protection.stock: found `stock`; expected either a value or a choice, not both",
    ),
    (
        PULL_UP,
        "protection: { choose: 1k .. 2k, stock: examples/launch-stock.csv, series: E24 }",
        "b.yaml:6:37: inputs.a.protection.stock: found `stock` beside `series`; expected one of the two: a stock file has its own values",
    ),
    (
        PULL_UP,
        "protection: { stoc: examples/launch-stock.csv }",
        "b.yaml:6:5: inputs.a.protection: found neither `value` nor `choose`; expected a value such as value: 150 Ω, or a choice such as choose: 47..2k2\nb.yaml:6:19: inputs.a.protection.stoc: found `stoc`; expected a key known here; did you mean `stock`?",
    ),
    (
        PULL_UP,
        "protection: { choose: 5 Ω .. 8 Ω, stock: examples/launch-stock.csv }",
        "b.yaml:6:27: inputs.a.protection.choose: found 5 Ω .. 8 Ω with no value of examples/launch-stock.csv in it; expected a range with a value in it; the nearest is 10 Ω",
    ),
    (
        PULL_UP,
        "protection: { stock: examples/launch-stock.csv, tolerance: 0.01 % }",
        "b.yaml:6:26: inputs.a.protection.stock: found no row of examples/launch-stock.csv that serves (18 rows have a value in the range); expected a row at least as good as the part: ±0.01 %, 100 ppm/K, 125 mW and 150 V; the nearest is line 12: 2.2 kΩ, ±0.1 %, 25 ppm/K, 0805 (125 mW, 150 V)",
    ),
    (
        PULL_UP,
        "excitation: logik",
        "b.yaml:6:17: inputs.a.excitation: found `logik`; expected what excites the sender: logic or supply; did you mean `logic`?",
    ),
    (
        DIVIDER,
        "scales_with: logic",
        "b.yaml:7:5: inputs.a.scales_with: found a sensor fed by `logic` that gives 0 V .. 32 V; expected voltages inside those of the rail: 0 V .. 5 V",
    ),
    (
        VOLTAGE,
        "scales_with: logik",
        "b.yaml:5:18: inputs.a.scales_with: found `logik`; expected a rail of the board: logic; did you mean `logic`?",
    ),
    (
        INPUT,
        "    circuit: direct\n    unit: bar\n    reads: [[0.5 V, 0], [4.5 V, 10 bar]]\n    alarms: { low: { below: 2 °C } }",
        "b.yaml:6:29: inputs.a.alarms.low.below: found `2 °C`; expected a number in bar such as `12.5 bar`",
    ),
    (
        SENDER,
        "sender: { unit: °C, points: [[0, 3 kΩ], [120 °C, 100 Ω]] }\nzone: 200 .. 300 °F",
        "b.yaml:6:11: inputs.a.zone: found `200 .. 300 °F` (outside the range); expected a value inside 0 .. 120 °C",
    ),
    (
        SENDER,
        "sender: { unit: °C, points: [[20 °C, 3 kΩ], [47 °C, 1 kΩ], [100 °F, 500 Ω]] }",
        "b.yaml:5:64: inputs.a.sender.points[3]: found row 3 with 37.7778 °C behind 47 °C; expected rows in rising order of their values, each value once",
    ),
];

#[test]
fn quantities_are_never_guessed() {
    says(QUANTITIES);
}

#[test]
fn yaml_that_a_brief_does_not_need_is_refused() {
    says(YAML);
}

#[test]
fn keys_are_known_once_and_of_the_right_kind() {
    says(KEYS);
}

#[test]
fn grades_have_a_price_and_stand_once() {
    says(GRADES);
}

#[test]
fn sections_of_the_board_are_sound() {
    says(BOARDS);
}

#[test]
fn circuits_have_what_they_need_and_nothing_else() {
    says(CIRCUITS);
}

#[test]
fn parts_are_given_chosen_or_left_out() {
    says(PARTS);
}

#[test]
fn senders_have_a_curve_with_an_inverse() {
    says(SENDERS);
}

#[test]
fn laws_and_shapes_fit_their_sender() {
    says(LAWS_AND_SHAPES);
}

#[test]
fn measured_voltages_have_a_meaning() {
    says(SIGNALS);
}

#[test]
fn the_rest_of_an_input_is_sound() {
    says(INPUTS);
}

#[test]
fn what_stays_connected_is_described_in_full() {
    says(BESIDE);
    says(WET);
    says(CLAMPS);
}

#[test]
fn limits_are_known_and_of_their_kind() {
    says(LIMITS);
}

#[test]
fn alarms_lie_inside_the_range_and_go_again() {
    says(ALARMS);
}

#[test]
fn further_mistakes() {
    says(FURTHER);
}

#[test]
fn bytes_that_are_no_text_have_a_place() {
    let faults = read_text(b"board: x\nrails: \xff\n", "b.yaml").unwrap_err();
    let expected = "b.yaml:2:8: found a byte that is not UTF-8 (0xFF); expected a file saved as UTF-8";
    assert_eq!(heads(&faults), expected);
    let faults = read_text(b"board: x\0\n", "b.yaml").unwrap_err();
    assert_eq!(heads(&faults), "b.yaml:1:9: found the control character U+0000; expected plain text");
}

#[test]
fn a_file_that_is_not_there_says_so() {
    let faults = ohmwright::brief::read_file(std::path::Path::new("no/such.yaml")).unwrap_err();
    let expected = "no/such.yaml: found a file that cannot be read (No such file or directory (os error 2)); \
                    expected a file with a brief";
    assert_eq!(faults.to_string(), expected);
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_do_no_harm() {
    let text = "\u{feff}inputs:\r\n  a: { circuit: direct, measures: 0..5, wire: x }\r\n";
    let faults = read(text).unwrap_err();
    let expected = "b.yaml:2:47: inputs.a.wire: found `x` (no number); expected a resistance such as 0.5 Ω or 50 mΩ\n      \
                    a: { circuit: direct, measures: 0..5, wire: x }\n                                                  ^";
    assert_eq!(faults.to_string(), expected);
}

#[test]
fn independent_mistakes_come_at_once_in_the_order_of_the_file() {
    let text = "board: x
supply: { lowest: 9 V, usual: 13,2 V }
rails:
  logic: { voltage: 5 V, toleranse: 2 % }
converter: { bits: 99 }
inputs:
  diesel:
    circuit: pull-up
    sender: { unit: L, points: [[0, 303], [20, 209], [20, 138]] }
    pull_up: 4k7k
    wire: 1 Ω
    wire: 2 Ω
  battery:
    circuit: divider
    measures: 0 V .. 32 V
    top: 22k
    survive: [surge]
";
    let expected = "b.yaml:2:34: supply.2 V: found `2 V`; expected a decimal point, since a comma separates entries: usual: 13.2 V
b.yaml:4:26: rails.logic.toleranse: found `toleranse`; expected a key known here; did you mean `tolerance`?
b.yaml:5:20: converter.bits: found `99`; expected a whole number of bits from 1 to 24
b.yaml:9:54: inputs.diesel.sender.points[3]: found row 3 with 20 L behind 20 L; expected rows in rising order of their values, each value once
b.yaml:10:14: inputs.diesel.pull_up: found `4k7k` (`k` is a letter too many); expected one letter, such as `4k7`; a tolerance stands on its own
b.yaml:12:5: inputs.diesel.wire: found `wire` a second time; expected each key once
b.yaml:13:3: inputs.battery.bottom: found nothing; expected the lower part, such as bottom: 11k or bottom: choose; without it nothing is divided
b.yaml:17:15: inputs.battery.survive[1]: found `surge`; expected its voltage in the supply, such as surge: 35 V";
    assert_eq!(heads(&read(text).unwrap_err()), expected);
}

#[test]
fn errors_for_programs_have_their_keys_in_order() {
    let faults = read("inputs: { a: { circuit: direct, measures: 0..5, wire: 4,7 } }\n").unwrap_err();
    let json = serde_json::to_string(&faults.0[0]).unwrap();
    let expected = r#"{"file":"b.yaml","line":1,"column":57,"key":"inputs.a.7","found":"`7`","expected":"a decimal point, since a comma separates entries: wire: 4.7"}"#;
    assert_eq!(json, expected);
}

#[test]
fn a_question_names_its_flags() {
    let mut tree = Node::map();
    tree.put(&["inputs", "pull-up", "circuit"], Node::text("pull-up"));
    tree.put(&["inputs", "pull-up", "sender"], Node::text("240;33"));
    tree.put(&["inputs", "pull-up", "limits", "sender_current"], Node::text("20 V"));
    tree.put(&["supply", "contact"], Node::text("29 A"));
    let flag = |path: &[&str], flag: &str| {
        (path.iter().map(|step| (*step).to_owned()).collect::<Vec<_>>(), flag.to_owned())
    };
    let flags = [
        flag(&["inputs", "pull-up", "sender"], "--sender"),
        flag(&["inputs", "pull-up", "pull_up"], "--pull-up"),
        flag(&["inputs", "pull-up", "limits"], "--limit"),
    ];
    let faults = read_question(&tree, &flags).unwrap_err();
    let expected = "supply.contact: found `29 A` (a current); expected a voltage such as 3.3 V
--sender: found `240;33` (not a range); expected two ends with .. between them, each a resistance such as 4.7 kΩ or 4k7
--limit: found `20 V` (a voltage); expected a current such as 20 mA
--pull-up: found nothing; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open";
    assert_eq!(faults.to_string(), expected);
}

#[test]
fn very_many_mistakes_are_counted() {
    let keys = lines(5000, |i| format!("k{i}: 1\n"));
    let faults = read(&keys).unwrap_err();
    assert_eq!(faults.0.len(), 51);
    // 5000 unknown keys and the inputs that are missing; fifty are listed.
    assert_eq!(faults.0[50].found, "4951 more mistakes");
}

fn lines(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).map(line).collect::<Vec<_>>().concat()
}

/// Refused or read, but at once: an answer takes no longer than a glance even on a slow machine.
#[track_caller]
fn quick(text: &str) -> Result<Board, Faults> {
    let start = Instant::now();
    let answer = read(text);
    let took = start.elapsed();
    assert!(took < Duration::from_secs(10), "took {took:?}");
    answer
}

#[test]
fn hostile_files_are_refused_at_once() {
    let laughs = "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n";
    assert_eq!(quick(laughs).unwrap_err().0[0].line, Some(1));
    let self_alias = "a: &a [*a]\n";
    assert!(quick(self_alias).is_err());
    let hidden = "{a: x\n \" , b: &a \"c\" }\n";
    assert_eq!(quick(hidden).unwrap_err().0[0].line, Some(2));
    let long_alias = format!("a: &a \"{}\"\nb: [{}]\n", "x".repeat(100_000), "*a, ".repeat(20_000));
    assert!(quick(&long_alias).is_err());
    for (open, close) in [("{a: ", "}"), ("[", "]"), ("[{a: ", "}]")] {
        let nested = format!("{}x{}", open.repeat(30_000), close.repeat(30_000));
        let fault = quick(&nested).unwrap_err().0.remove(0);
        assert_eq!(fault.found, "more than 64 levels");
        let open = open.repeat(200);
        assert!(quick(&open).is_err());
    }
    let deep = lines(100, |i| format!("{}a:\n", " ".repeat(i)));
    assert_eq!(quick(&deep).unwrap_err().0[0].found, "more than 64 levels");
    let dashes = "- ".repeat(50_000);
    assert_eq!(quick(&dashes).unwrap_err().0[0].found, "more than 64 levels");
    let large = "board: x\n# ".to_owned() + &"x".repeat(300_000);
    assert_eq!(
        heads(&quick(&large).unwrap_err()),
        "b.yaml: found more than 256 KiB; expected a brief of a few kilobytes"
    );
}

#[test]
fn full_files_of_mistakes_are_answered_at_once() {
    let unknown = lines(20_000, |i| format!("key{i}: 1\n"));
    let repeated = "board: x\n".repeat(25_000);
    let rows = format!(
        "inputs: {{ a: {{ circuit: pull-up, pull_up: choose, sender: {{ unit: L, points: [{}] }} }} }}\n",
        "[x, y], ".repeat(25_000)
    );
    let rails = lines(6_000, |i| format!("  r{i}: {{ voltage: x }}\n"));
    let inputs = lines(6_000, |i| format!("  i{i}: {{ circuit: pull-up }}\n"));
    let long = format!("{}: 1\n", "x".repeat(200_000));
    let digits = format!("supply: {{ lowest: {} }}\n", "9".repeat(200_000));
    for text in
        [unknown, repeated, rows, format!("rails:\n{rails}"), format!("inputs:\n{inputs}"), long, digits]
    {
        let faults = quick(&text).unwrap_err();
        let printed = faults.to_string();
        assert!(printed.chars().count() < 51 * 400, "{printed}");
    }
}

const GOOD: &str = include_str!("../examples/river-launch.yaml");

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_text(&bytes, "b.yaml").map_err(|faults| faults.to_string());
    }

    #[test]
    fn random_signs_never_panic(text in "[a-c:,\\-&*!|>%@`'\"#{}\\[\\] \t\r\n?<.0-9Ωµ]{0,200}") {
        let _ = read(&text).map_err(|faults| faults.to_string());
    }

    /// Some characters of a good brief replaced, put in or taken out.
    #[test]
    fn a_mutated_brief_never_panics(
        edits in proptest::collection::vec((any::<prop::sample::Index>(), 0..3_u8, "[ -~Ωµ°\n]"), 1..6)
    ) {
        let mut text: Vec<char> = GOOD.chars().collect();
        for (at, kind, sign) in edits {
            let at = at.index(text.len());
            let sign = sign.chars().next().unwrap_or('x');
            match kind {
                0 => text[at] = sign,
                1 => text.insert(at, sign),
                _ => { text.remove(at); }
            }
        }
        let text: String = text.into_iter().collect();
        if let Err(faults) = read(&text) {
            prop_assert!(!faults.0.is_empty());
            for fault in &faults.0 {
                let lines = text.split('\n').count();
                prop_assert!(fault.line.is_none_or(|line| line <= lines), "{fault}");
                prop_assert!(!fault.found.is_empty() && !fault.expected.is_empty());
            }
        }
    }

    /// Words of a brief in any order and nesting.
    #[test]
    fn scrambled_lines_never_panic(order in proptest::collection::vec(any::<prop::sample::Index>(), 0..30)) {
        let lines: Vec<&str> = GOOD.lines().collect();
        let text: Vec<&str> = order.iter().map(|at| lines[at.index(lines.len())]).collect();
        let text = text.join("\n");
        let _ = read(&text).map_err(|faults| faults.to_string());
    }
}

const CORRECTED: &[Wrong] = &[
    (
        PULL_UP,
        "corrected_by: b",
        "b.yaml:6:19: inputs.a.corrected_by: found `b`; expected another input, which measures the supply; this one is alone",
    ),
    (
        FED,
        "corrected_by: a",
        "b.yaml:8:19: inputs.a.corrected_by: found `a` (this input itself); expected another input, which measures the supply",
    ),
    (
        FED,
        "corrected_by: batery",
        "b.yaml:8:19: inputs.a.corrected_by: found `batery`; expected another input: battery; did you mean `battery`?",
    ),
    (
        FED,
        "corrected_by: [battery]",
        "b.yaml:8:19: inputs.a.corrected_by: found a list; expected the name of the input that measures the supply",
    ),
    (
        FED,
        "corrected_by: battery\naim: error",
        "b.yaml:8:19: inputs.a.corrected_by: found `battery` beside aim: error, with parts still to be chosen; expected give the parts of battery first: the error of this input depends on them",
    ),
    (
        FED,
        "corrected_by: battery\nlimits: { error: 3 }",
        "b.yaml:8:19: inputs.a.corrected_by: found `battery` beside limits: error, with parts still to be chosen; expected give the parts of battery first: the error of this input depends on them",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: direct, from: supply, measures: 0..5 }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n",
        ),
        "corrected_by: battery",
        "b.yaml:7:5: inputs.a.corrected_by: found `corrected_by`; expected it left out, or excitation: supply, or a gauge from: supply: only a sender that the supply excites follows the supply",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: direct, from: supply, measures: 0..5 }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
        ),
        "corrected_by: battery",
        "b.yaml:8:19: inputs.a.corrected_by: found `battery` (it measures 0 V .. 5 V); expected an input that measures all of the supply's swing, 9 V .. 25 V",
    ),
    (
        DIVIDER,
        "corrected_by: a",
        "b.yaml:7:19: inputs.a.corrected_by: found `a` (this input itself); expected another input, which measures the supply",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: direct, measures: 0..5 }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
        ),
        "corrected_by: battery",
        "b.yaml:8:19: inputs.a.corrected_by: found `battery` (no such input); expected an input that measures the vehicle's supply: a divider, level-shift or direct with from: supply",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: pull-up, sender: 240..33, pull_up: choose }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
        ),
        "corrected_by: battery",
        "b.yaml:8:19: inputs.a.corrected_by: found `battery` (no such input); expected an input that measures the vehicle's supply: a divider, level-shift or direct with from: supply",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: direct, from: supply, measures: 0..5, corrected_by: a }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
        ),
        "corrected_by: battery",
        "b.yaml:2:75: inputs.battery.corrected_by: found `a` (itself corrected); expected an input that measures the supply without help: from: supply\n\
         b.yaml:8:19: inputs.a.corrected_by: found `battery` (itself corrected); expected an input that measures the supply without help: from: supply",
    ),
    (
        Head::Input(
            "inputs:\n  battery: { circuit: divider, from: supply, measures: 0..25, top: choose }\n  a:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    excitation: supply\n",
        ),
        "corrected_by: battery",
        "b.yaml:2:3: inputs.battery.bottom: found nothing; expected the lower part, such as bottom: 11k or bottom: choose; without it nothing is divided",
    ),
    (
        BOARD,
        "supply: { change_between_samples: -1 V }",
        "b.yaml:2:35: supply.change_between_samples: found `-1 V`; expected a voltage from 0 V up to 10 kV",
    ),
];

#[test]
fn what_cannot_be_corrected_is_named() {
    says(CORRECTED);
}
