//! Assembled boards against the bench band, and which part is out.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;

use ohmwright::batch::{
    Assembled, Batch, BoardRow, Column, Findings, Measured, Suspect, What, judge, read_text,
};
use ohmwright::board::{Board, InputId, Role};
use ohmwright::brief;
use ohmwright::case::Case;
use ohmwright::circuit::{Name, Of, Outlook, Place, Situation, Values, limits_of, situations_of};
use ohmwright::quantity::{Band, Counts, Fraction, Ohms, Volts};
use ohmwright::series::{Series, list};
use ohmwright::worst::{Corner, Ends};
use support::at_shares;
use support::dice::Dice;
use support::program::{finished, parsed, program};
use tempfile::TempDir;

/// Boards of every circuit, each with a second input that shares rail and converter.
const BOARDS: [&str; 6] = [
    "tank: { circuit: pull-up, sender: { resistance: 240 .. 33, tolerance: 3 % }, pull_up: 300, protection: 4k7, wire: 0..2 }",
    "tank: { circuit: pull-up, sender: 10 .. 180, excitation: supply, pull_up: 1k, shunt: 2k2, line: 10, protection: 4k7 }",
    "t: { circuit: pull-down, sender: { unit: °C, ntc: { at: 25 °C, resistance: 10k, beta: 3950 }, range: 0 .. 100 }, \
     pull_down: 4k7, protection: 1k }",
    "v: { circuit: level-shift, measures: -5 V .. 5 V, top: 10k, bias: 15k, bottom: 12k, protection: 1k }",
    "p: { circuit: burden, measures: 4 mA .. 20 mA, unit: bar, reads: [[4 mA, 0], [20 mA, 10]], burden: 220, protection: 1k }",
    "p: { circuit: direct, measures: 0.5 V .. 4.5 V, unit: bar, reads: [[0.5 V, 10], [4.5 V, 0]], protection: 1k, \
     signal_resistance: 100 }",
];
const BATTERY: &str =
    "  battery: { circuit: divider, measures: 0 V .. 20 V, top: 33k, bottom: 10k, protection: 1k }\n";
/// A converter of its own reference, whose counts show what the rail does.
const OWN: &str = "rails: { logic: { voltage: 5 V, tolerance: 2 % } }\n\
                   converter: { bits: 12, reference: { voltage: 4.096 V, tolerance: 0.5 % }, leakage: 100 nA, gain: 0.2 %, noise: 1 }\n";

fn read(text: &str) -> Board {
    brief::read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}"))
}

fn boards() -> impl Iterator<Item = Board> {
    ["", OWN]
        .into_iter()
        .flat_map(|head| BOARDS.iter().map(move |text| read(&format!("{head}inputs:\n  {text}\n{BATTERY}"))))
}

fn situation(board: &Board, input: usize, outlook: Outlook, value: f64) -> Situation {
    let input = &board.inputs[input];
    situations_of(board, input, &Values::given(input), Case::Normal, outlook, Place::At(value)).swap_remove(0)
}

/// A board as it is assembled: every parameter at a share of its bench band, but for what is wrong.
struct Sample {
    rails: Vec<f64>,
    parts: Vec<Vec<f64>>,
    gain: f64,
    added: f64,
    leakage: Vec<f64>,
    wrong: Wrong,
}

#[derive(Clone, Copy)]
enum Wrong {
    Nothing,
    Part(usize, Role, Ohms),
    Reference(Volts),
    Rail(Volts),
}

impl Sample {
    fn new(dice: &mut Dice, board: &Board, wrong: Wrong) -> Self {
        let signed = |dice: &mut Dice| dice.shares(1)[0] * 2.0 - 1.0;
        Self {
            rails: dice.shares(8),
            parts: board.inputs.iter().map(|_| dice.shares(10)).collect(),
            gain: signed(dice),
            added: signed(dice),
            leakage: board.inputs.iter().map(|_| signed(dice)).collect(),
            wrong,
        }
    }

    fn count(&self, dice: &mut Dice, board: &Board, input: usize, value: f64) -> Counts {
        let mut bench = situation(board, input, Outlook::Bench, value);
        // Rails are the same for all inputs; the decade box is dialled in anew.
        let shares: Vec<f64> = bench
            .names
            .iter()
            .map(|name| match name {
                Name::Rail(place) => self.rails[*place],
                Name::Reference => self.rails[4],
                _ => self.rails[5],
            })
            .collect();
        let mut resistances = self.parts[input].clone();
        resistances[0] = dice.uniform(0.0, 1.0);
        bench = at_shares(&bench, &shares, &resistances);
        match self.wrong {
            Wrong::Part(at, role, ohms) if at == input => {
                let place = bench.place_of(Of::Part(role)).unwrap();
                bench.resistances[place] = Band::exactly(ohms);
            }
            Wrong::Reference(volts) => bench = bench.with(Name::Reference, volts),
            Wrong::Rail(volts) => bench = bench.with(Name::Rail(0), volts),
            _ => {}
        }
        let corner = Corner::at(&bench, &bench.resistances, Ends::ALL_HIGH);
        let converter = &board.converter;
        let gain = Fraction(converter.gain.0 * self.gain);
        let pin = corner.pin_voltage(bench.leakage * self.leakage[input]);
        let noise = converter.noise * dice.uniform(-1.0, 1.0);
        let steady = (converter.offset + converter.inl) * self.added;
        converter.truncated(converter.count(pin, corner.reference().unwrap(), gain) + steady + noise)
    }

    fn part(&self, dice: &mut Dice, board: &Board, input: usize, role: Role) -> Ohms {
        if let Wrong::Part(at, wrong, ohms) = self.wrong
            && (at, wrong) == (input, role)
        {
            return ohms;
        }
        let of = &board.inputs[input];
        let part = of.parts.iter().find(|part| part.role == role).unwrap();
        let limits = limits_of(Values::given(of).get(role).unwrap(), &part.grade, board, Outlook::Bench);
        limits.lowest + (limits.highest - limits.lowest) * dice.shares(1)[0]
    }
}

/// Five counts an input, and all parts where asked.
fn columns(board: &Board, with_parts: bool) -> Vec<Column> {
    let mut columns = Vec::new();
    for (place, input) in board.inputs.iter().enumerate() {
        let (first, last) = input.range();
        let column = |what| Column { input: InputId(place), what, head: format!("{} {what:?}", input.name) };
        let values = Values::given(input);
        if with_parts {
            let there = input.parts.iter().filter(|part| values.get(part.role).is_some());
            columns.extend(there.map(|part| column(What::Part(part.role))));
        }
        columns.extend((0..5).map(|k| column(What::Count(first + (last - first) * f64::from(k) / 4.0))));
    }
    columns
}

fn measured(dice: &mut Dice, board: &Board, columns: &[Column], sample: &Sample) -> Assembled {
    let cell = |column: &Column| match column.what {
        What::Part(role) => Measured::Part(sample.part(dice, board, column.input.0, role)),
        What::Count(value) => Measured::Count(sample.count(dice, board, column.input.0, value)),
    };
    Assembled { name: "1".into(), measured: columns.iter().map(cell).map(Some).collect() }
}

fn judged(dice: &mut Dice, board: &Board, wrong: Wrong, with_parts: bool) -> BoardRow {
    let sample = Sample::new(dice, board, wrong);
    let columns = columns(board, with_parts);
    let assembled = measured(dice, board, &columns, &sample);
    judge(board, &Batch { columns, boards: vec![assembled] }).boards.swap_remove(0)
}

#[test]
fn a_board_inside_its_tolerances_is_never_outside() {
    let mut dice = Dice::new(300);
    for board in boards() {
        for _ in 0..40 {
            let row = judged(&mut dice, &board, Wrong::Nothing, true);
            assert_eq!((row.verdict, row.suspects.len()), ("inside", 0), "{row:#?}");
        }
    }
}

/// Averages of truncated counts are inside, too.
#[test]
fn an_average_of_samples_is_inside() {
    let mut dice = Dice::new(301);
    for board in boards() {
        let sample = Sample::new(&mut dice, &board, Wrong::Nothing);
        let columns = columns(&board, false);
        let cell = |column: &Column| {
            let What::Count(value) = column.what else { panic!("no count") };
            let samples: Vec<f64> =
                (0..16).map(|_| sample.count(&mut dice, &board, column.input.0, value).0).collect();
            Some(Measured::Count(Counts(samples.iter().sum::<f64>() / 16.0)))
        };
        let assembled = Assembled { name: "1".into(), measured: columns.iter().map(cell).collect() };
        let found = judge(&board, &Batch { columns, boards: vec![assembled] });
        assert_eq!(found.batch.outside, 0, "{found:#?}");
    }
}

/// The suspect that is the truth: it explains every count, and the true value is where it would have to be.
fn truth<'s>(row: &'s BoardRow, name: &str, value: f64) -> Option<&'s Suspect> {
    let found = row.suspects.iter().find(|suspect| suspect.suspect == name)?;
    let slack = 1e-6 * value;
    assert_eq!(found.explains, found.counts, "{row:#?}");
    assert!(found.lowest.is_none_or(|lowest| lowest <= value + slack), "{value}: {found:#?}");
    assert!(found.highest.is_none_or(|highest| value - slack <= highest), "{value}: {found:#?}");
    Some(found)
}

/// The values beside one in E24: a reel too high or too low; and twice or half of it.
fn mistakes(nominal: f64) -> [f64; 4] {
    let decade = 10_f64.powf(nominal.log10().floor());
    let values: Vec<f64> = [0.1, 1.0, 10.0]
        .iter()
        .flat_map(|factor| {
            list(Series::E24).iter().map(move |digits| f64::from(*digits) / 100.0 * decade * factor)
        })
        .collect();
    let below = values.iter().copied().filter(|value| *value < nominal * 0.999).fold(0.0, f64::max);
    let above = values.iter().copied().filter(|value| *value > nominal * 1.001).fold(f64::INFINITY, f64::min);
    [below, above, 2.0 * nominal, nominal / 2.0]
}

/// One part of the first input is another one. Where its counts give it away it is among the suspects, with its true value;
/// behind a pull-up or a pull-down it is the first one.
#[test]
fn a_wrong_part_is_named() {
    let mut dice = Dice::new(302);
    let (mut outside, mut first, mut curved, mut first_of_curved) = (0, 0, 0, 0);
    for board in boards() {
        let values = Values::given(&board.inputs[0]);
        let roles =
            [Role::PullUp, Role::PullDown, Role::Shunt, Role::Top, Role::Bias, Role::Bottom, Role::Burden];
        for role in roles.into_iter().filter(|role| values.get(*role).is_some()) {
            for wrong in mistakes(values.get(role).unwrap().0) {
                for _ in 0..3 {
                    let row = judged(&mut dice, &board, Wrong::Part(0, role, Ohms(wrong)), false);
                    if row.verdict == "inside" {
                        continue;
                    }
                    outside += 1;
                    let found = truth(&row, role.key(), wrong);
                    let is_first = row.suspects[0].suspect == role.key();
                    // A list is short: what is not on it explains no more than what is.
                    assert!(found.is_some() || row.suspects.len() == 4, "{role:?} {wrong}: {row:#?}");
                    first += usize::from(is_first);
                    if matches!(role, Role::PullUp | Role::PullDown) && values.get(Role::Shunt).is_none() {
                        curved += 1;
                        first_of_curved += usize::from(is_first);
                    }
                }
            }
        }
    }
    assert!(outside > 150, "{outside}");
    assert!(first_of_curved * 5 > curved * 4, "{first_of_curved} of {curved}");
    assert!(first * 2 > outside, "{first} of {outside}");
}

/// With the part itself measured it is the answer, and the only one.
#[test]
fn a_measured_part_that_is_out_is_the_answer() {
    let mut dice = Dice::new(303);
    for board in boards() {
        let values = Values::given(&board.inputs[0]);
        let roles = [Role::PullUp, Role::PullDown, Role::Bias, Role::Burden, Role::Protection];
        for role in roles.into_iter().filter(|role| values.get(*role).is_some()) {
            for wrong in mistakes(values.get(role).unwrap().0) {
                let row = judged(&mut dice, &board, Wrong::Part(0, role, Ohms(wrong)), true);
                let [only] = row.suspects.as_slice() else { panic!("{row:#?}") };
                assert_eq!((only.suspect.as_str(), only.measured, only.would_be), (role.key(), true, wrong));
                assert_eq!((row.verdict, only.explains), ("outside", only.counts));
            }
        }
    }
}

/// Parts that were measured to be in tolerance are no suspects.
#[test]
fn a_part_that_was_measured_is_ruled_out() {
    let board = read(&format!("inputs:\n  {}\n{BATTERY}", BOARDS[0]));
    let mut dice = Dice::new(304);
    let wrong = Wrong::Part(1, Role::Top, Ohms(36e3));
    let sample = Sample::new(&mut dice, &board, wrong);
    let mut columns = columns(&board, false);
    let named = |board: &Board, columns: &[Column], cells: Assembled| {
        let batch = Batch { columns: columns.to_vec(), boards: vec![cells] };
        let row = judge(board, &batch).boards.swap_remove(0);
        row.suspects.into_iter().map(|suspect| suspect.suspect).collect::<Vec<_>>()
    };
    let cells = measured(&mut dice, &board, &columns, &sample);
    let before = named(&board, &columns, cells);
    assert!(before.contains(&"top".into()) && before.contains(&"bottom".into()), "{before:?}");
    columns.push(Column { input: InputId(1), what: What::Part(Role::Bottom), head: "bottom".into() });
    let cells = measured(&mut dice, &board, &columns, &sample);
    let after = named(&board, &columns, cells);
    assert!(after.contains(&"top".into()) && !after.contains(&"bottom".into()), "{after:?}");
}

/// What several inputs share is the first suspect when all of them are out the same way.
#[test]
fn a_shared_cause_is_named_where_several_inputs_are_out() {
    let mut dice = Dice::new(305);
    let board = read(&format!("{OWN}inputs:\n  {}\n{BATTERY}", BOARDS[4]));
    for volts in [3.6, 3.9, 4.3, 4.6] {
        for _ in 0..5 {
            let row = judged(&mut dice, &board, Wrong::Reference(Volts(volts)), false);
            let found = truth(&row, "reference", volts).unwrap_or_else(|| panic!("{row:#?}"));
            assert_eq!((found.input.as_ref(), &row.suspects[0]), (None, found));
        }
    }
    // Only what the rail excites sees it where the reference is another one.
    let board = read(&format!("{OWN}inputs:\n  {}\n{BATTERY}", BOARDS[0]));
    let row = judged(&mut dice, &board, Wrong::Rail(Volts(4.5)), false);
    truth(&row, "rail logic", 4.5).unwrap_or_else(|| panic!("{row:#?}"));
}

const IDEAL: &str = "resistors: { tolerance: 1 %, tempco: 0 ppm/K }\n\
                     converter: { gain: 0 %, offset: 0, inl: 0, leakage: 0 A }\n\
                     bench: { decade_box: 0 % }\n\
                     inputs:\n  a: { circuit: pull-up, sender: 0 .. 100, pull_up: 100, protection: none }\n";

fn of_text(board: &Board, text: &str) -> Findings {
    judge(board, &read_text(text.as_bytes(), "m.csv", board).unwrap_or_else(|faults| panic!("{faults}")))
}

/// By hand: 100 Ω to a rail that is the reference, and 100 Ω as the sender: 512 counts. Read as 400, the pull-up is between
/// 102400/401 − 100 = 155.36 Ω and 102400/400 − 100 = 156 Ω; 1 % of it on the bench is 99 Ω to 101 Ω, 509.5 to 514.6 counts.
#[test]
fn one_count_by_hand() {
    let board = read(IDEAL);
    let row = of_text(&board, "board,a at 100\nx,400\n").boards.swap_remove(0);
    let [cell] = row.measured.as_slice() else { panic!("{row:#?}") };
    assert_eq!((cell.lowest, cell.highest, cell.outside_by), (509.0, 514.0, -109.0));
    let pull_up = row.suspects.iter().find(|suspect| suspect.suspect == "pull_up").unwrap();
    assert!((pull_up.lowest.unwrap() - (102_400.0 / 401.0 - 100.0)).abs() < 1e-4, "{pull_up:?}");
    assert!((pull_up.highest.unwrap() - 156.0).abs() < 1e-4, "{pull_up:?}");
    // One count cannot tell it from anything that moves all counts.
    for other in ["converter gain", "converter offset"] {
        assert!(row.suspects.iter().any(|suspect| suspect.suspect == other), "{other} in {row:#?}");
    }
    assert!(row.suspects.iter().all(|suspect| suspect.suspect != "rail logic"), "it is ratiometric");
}

/// A limit of a part by hand: 300 Ω·1.01·(1 + 100 ppm/K·5 K) = 303.15 Ω on a bench of 20 °C to 30 °C.
#[test]
fn a_part_by_hand() {
    let board = read(
        "inputs:\n  a: { circuit: pull-up, sender: 240 .. 33, pull_up: 300 }\n"
            .replace("300 }", "300, protection: 10k }")
            .as_str(),
    );
    let found = of_text(
        &board,
        "board;a.pull_up;note\n1;303.1;fine\n2;303.2 Ω;\n3;R30k;\n".replace("R30k", "330").as_str(),
    );
    let verdicts: Vec<&str> = found.boards.iter().map(|row| row.verdict).collect();
    assert_eq!(verdicts, ["inside", "outside", "outside"]);
    assert!((found.boards[0].measured[0].highest - 303.1515).abs() < 1e-9);
    let [only] = found.boards[2].suspects.as_slice() else { panic!("{found:#?}") };
    assert_eq!((only.suspect.as_str(), only.would_be, only.counts), ("pull_up", 330.0, 0));
    assert!((only.off_by.unwrap() - 0.1).abs() < 1e-12);
}

/// A reel that sits to one side: all inside, but their mean is far from nominal.
#[test]
fn a_batch_that_sits_to_one_side_is_remarked() {
    let board = read(IDEAL);
    let found =
        of_text(&board, "board,a.pull_up,a at 100\n1,100.7,510\n2,100.8,510\n3,100.6,510\n4,100.9,509\n");
    assert_eq!((found.batch.inside, found.batch.outside), (4, 0));
    let [parts, counts] = found.batch.columns.as_slice() else { panic!("{found:#?}") };
    assert!((parts.mean.unwrap() - 100.75).abs() < 1e-9 && (parts.position.unwrap() - 0.75).abs() < 1e-9);
    assert_eq!((counts.nominal, counts.mean), (512.0, Some(509.75)));
    // A count n stands for anything up to n + 1: 512 − 510.75 of 512 − 102400/201.
    let room = 512.0 - 102_400.0 / 201.0;
    assert!((counts.position.unwrap() + 1.25 / room).abs() < 1e-9, "{counts:?}");
    let told = "a.pull_up: all 4 boards are above nominal, their mean at 75 % of the way to the limit: another reel than was \
                meant?";
    assert_eq!(found.batch.remarks, [told]);
    let both = of_text(&board, "board,a.pull_up\n1,100.9\n2,100.9\n3,100.9\n4,99.9\n");
    assert!(both.batch.remarks.is_empty());
}

/// Every mistake of a table.
const FAULTS: &[(&str, &str)] = &[
    (
        "",
        "m.csv: found no row but blanks and comments; expected a first row with the names of the columns, such as `board,tank.pull_up,tank at 0`, and rows below it",
    ),
    (
        "name,tank at 50\n1,2\n",
        "m.csv:1:1: found `name`; expected a first row that begins with `board`, such as `board,tank.pull_up,tank at 0`",
    ),
    (
        "1,455\n",
        "m.csv:1:1: found `1`; expected a first row that begins with `board`, such as `board,tank.pull_up,tank at 0`",
    ),
    (
        "board\n1\n",
        "m.csv:1:1: found nothing but boards; expected columns of what was measured behind it, such as `board,tank.pull_up,tank at 0`",
    ),
    ("board,tank at 50\n", "m.csv:1:1: found no board below the first row; expected one board a line"),
    (
        "board,tnak at 50\n1,455\n",
        "m.csv:1:7: found `tnak at 50`; expected `INPUT.PART` or `INPUT at VALUE` with an input of the board: tank or battery; did you mean `tank`?",
    ),
    (
        "board,tank\n1,455\n",
        "m.csv:1:7: found `tank`; expected `INPUT.PART` or `INPUT at VALUE` with an input of the board: tank or battery; did you mean `tank`?",
    ),
    (
        "board,tank.pull_op\n1,455\n",
        "m.csv:1:7: found `pull_op`; expected a resistor that is on this input: pull_up or protection; did you mean `pull_up`?",
    ),
    (
        "board,tank.shunt\n1,455\n",
        "m.csv:1:7: found `shunt`; expected a resistor that is on this input: pull_up or protection",
    ),
    (
        "board,tank at 120\n1,455\n",
        "m.csv:1:7: found `120` (outside the range); expected a value inside 0 .. 100 %",
    ),
    ("board,tank at half\n1,455\n", "m.csv:1:7: found `half`; expected a number in % such as `12.5 %`"),
    (
        "board,tank at 50,tank at 50 %\n1,455,455\n",
        "m.csv:1:18: found `tank at 50 %` a second time; expected each column once",
    ),
    (
        "board,tank at 50\n1,1024\n",
        "m.csv:2:3: tank at 50: found `1024`; expected a count of the converter: 0 to 1023 with 10 bits",
    ),
    (
        "board,tank at 50\n1,-1\n",
        "m.csv:2:3: tank at 50: found `-1`; expected a count of the converter: 0 to 1023 with 10 bits",
    ),
    (
        "board;tank at 50\n1;455,5\n",
        "m.csv:2:3: tank at 50: found `455,5` (a decimal comma); expected a decimal point: `455.5`",
    ),
    (
        "board;tank.pull_up\n1;299,4\n",
        "m.csv:2:3: tank.pull_up: found `299,4` (a decimal comma); expected a decimal point: `299.4`",
    ),
    (
        "board,tank.pull_up\n1,299,4\n",
        "m.csv:2:1: found 3 cells, where the first row has 2; expected a decimal point in every number, such as 20.5: a comma separates cells here",
    ),
    (
        "board,tank at 50\n1,455\n1,456\n",
        "m.csv:3:1: board: found `1` a second time; expected each board once",
    ),
    (
        "board,tank at 50\n,455\n",
        "m.csv:2:1: board: found nothing; expected the number or the name of the board",
    ),
    (
        "board,tank at 50\n7,\n",
        "m.csv:2:1: board: found a board of which nothing was measured; expected a value or more",
    ),
];

fn launch() -> Board {
    read(&format!("inputs:\n  {}\n{BATTERY}", BOARDS[0]))
}

#[test]
fn every_mistake_says_what_would_be_right() {
    let board = launch();
    for (text, expected) in FAULTS {
        let faults = read_text(text.as_bytes(), "m.csv", &board).expect_err(text);
        let told = faults.to_string();
        assert_eq!(told.lines().next().unwrap(), *expected, "about {text:?}: {told}");
        assert_eq!(faults.0.len(), 1, "about {text:?}: {told}");
    }
    let many = (0..=1000).map(|n| format!("{n},455")).collect::<Vec<_>>().join("\n");
    let told =
        read_text(format!("board,tank at 50\n{many}").as_bytes(), "m.csv", &board).unwrap_err().to_string();
    assert!(
        told.starts_with("m.csv:1002:1: found more than 1000 boards; expected a batch of fewer in each file")
    );
    let all = "board,tnak at 5,tank.pull_up\n1,2,abc\n1,3,4,7\n";
    assert_eq!(read_text(all.as_bytes(), "m.csv", &board).unwrap_err().0.len(), 3);
}

/// Heads in other units and spellings, and a name that holds another one.
#[test]
fn heads_name_inputs_and_values() {
    let board = read(
        "inputs:\n  t: { circuit: pull-up, sender: { unit: °C, points: [[0, 100], [100, 200]] }, pull_up: 1k, protection: 1k }\n  \
                      t at 2: { circuit: divider, measures: 0 V .. 20 V, top: 33k, bottom: 10k, protection: 1k }\n",
    );
    let batch =
        read_text("board,t at 50 °F,t at 2 at 500 mV,t at 2.top\nx,1,2,3k3\n".as_bytes(), "m.csv", &board)
            .unwrap();
    let whats: Vec<(InputId, What)> =
        batch.columns.iter().map(|column| (column.input, column.what)).collect();
    assert_eq!(
        whats,
        [
            (InputId(0), What::Count(10.0)),
            (InputId(1), What::Count(0.5)),
            (InputId(1), What::Part(Role::Top)),
        ]
    );
    assert_eq!(batch.boards[0].measured[2], Some(Measured::Part(Ohms(3300.0))));
}

/// The command: status, keys in their order, 80 columns, messages.
#[test]
fn the_command_judges_a_batch() {
    let folder = TempDir::new().unwrap();
    let put = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    // A larger protection, so that the board itself holds.
    let brief = put("b.yaml", &format!("inputs:\n  {}\n{BATTERY}", BOARDS[0]).replace("4k7", "27k"));
    let run = |file: &str, further: &[&str]| {
        finished(program().args(["check", &brief, "--measured", file]).args(further).output().unwrap())
    };
    let good = put("good.csv", "board,tank at 0,tank at 50\nA7,455,320\n");
    let found = run(&good, &[]);
    assert_eq!((found.status, found.messages.as_str()), (0, ""), "{}", found.results);
    assert!(found.results.starts_with("unnamed: the board is inside its bench band\n"), "{}", found.results);
    let bad = put(
        "bad.csv",
        "board,tank.pull_up,tank at 0,tank at 50,tank at 100,battery at 12 V\nA7,,431,299,93,571\nA8,299.4,455,320,101,571\n",
    );
    let found = run(&bad, &[]);
    assert_eq!((found.status, found.messages.as_str()), (1, ""));
    assert!(found.results.lines().all(|line| line.chars().count() <= 80), "{}", found.results);
    assert!(found.results.contains("Most likely: pull_up of tank would have to be "), "{}", found.results);
    let json = run(&bad, &["--format", "json"]);
    assert_eq!(json.status, 1);
    let answer = parsed(&json.results);
    let in_order = |keys: &[&str], text: &str| {
        let places: Vec<usize> =
            keys.iter().map(|key| text.find(&format!("\"{key}\":")).expect(key)).collect();
        assert!(places.is_sorted(), "{keys:?}: {places:?}");
    };
    in_order(&["ohmwright", "command", "board", "verdict", "check", "boards", "batch"], &json.results);
    assert_eq!((answer["verdict"].as_str(), answer["check"].as_str()), (Some("fails"), Some("holds")));
    let boards = json.results.split_once("\"boards\":").unwrap().1;
    in_order(&["board", "verdict", "measured", "what", "lowest", "highest", "inside", "suspects"], boards);
    let wrong = put("wrong.csv", "board,tank at 0\nA7,2000\n");
    let found = run(&wrong, &[]);
    assert_eq!((found.status, found.results.as_str()), (2, ""));
    assert!(
        found.messages.contains("wrong.csv:2:4: tank at 0: found `2000`; expected a count"),
        "{}",
        found.messages
    );
    let missing = run("nowhere.csv", &[]);
    assert_eq!(missing.status, 2);
    assert!(
        missing.messages.contains("nowhere.csv: found that there is no such file"),
        "{}",
        missing.messages
    );
}
