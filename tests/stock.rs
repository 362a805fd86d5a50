//! Stock files: what is read from them, what is chosen from them, and what is said when nothing serves.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;
use std::path::Path;

use itertools::Itertools;
use ohmwright::answer::{Answer, PartAnswer, Verdict};
use ohmwright::board::{Board, Choice, Part, Price, Reel, Role};
use ohmwright::brief::{read_file, read_text};
use ohmwright::examine;
use ohmwright::quantity::{Fraction, Ohms, PerKelvin};
use ohmwright::series::{Preferred, Series};
use support::dice::Dice;
use tempfile::TempDir;

/// A brief in a folder beside a stock file.
fn board(table: &str, brief: &str) -> Result<Board, String> {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("stock.csv"), table).unwrap();
    fs::write(folder.path().join("b.yaml"), brief).unwrap();
    read_file(&folder.path().join("b.yaml")).map_err(|faults| plain(&faults.to_string(), folder.path()))
}

/// The text without the name of the folder, and without the lines of files below each mistake.
fn plain(text: &str, folder: &Path) -> String {
    let text = text.replace(&format!("{}/", folder.display()), "");
    text.lines().filter(|line| !line.starts_with("    ")).join("\n")
}

const TANK: &str = "resistors: { stock: stock.csv }\ninputs:\n  tank: { circuit: pull-up, sender: 240..33, pull_up: choose }\n";

fn part(board: &Board, role: Role) -> &Part {
    board.inputs[0].parts.iter().find(|part| part.role == role).unwrap()
}

fn ohms(part: &Part) -> Vec<f64> {
    match &part.choice {
        Choice::Choose { candidates, .. } => candidates.iter().map(|candidate| candidate.ohms.0).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn every_column_is_read() {
    let table = "# of our own\nvalue;price;quantity;pack;tolerance;tempco;size;note\n\
                 4k7;0.012;500;50;0.5 %;25 ppm/K;1206;a reel\n330 Ω;;;;;;;\n";
    let board = board(table, TANK).unwrap();
    let stock = part(&board, Role::PullUp).stock.clone().unwrap();
    assert!(stock.name.ends_with("stock.csv"));
    let [first, second] = stock.reels.as_slice() else { panic!("{stock:?}") };
    assert_eq!((first.line, first.ohms, first.price), (3, Ohms(4700.0), Some(Price(120))));
    assert_eq!((first.quantity, first.pack), (Some(500), 50));
    assert_eq!((first.tolerance, first.tempco), (Some(Fraction(0.005)), Some(PerKelvin(25e-6))));
    assert_eq!(first.size.map(|size| size.name), Some("1206"));
    let bare = Reel {
        line: 4,
        ohms: Ohms(330.0),
        price: None,
        quantity: None,
        pack: 1,
        tolerance: None,
        tempco: None,
        size: None,
    };
    assert_eq!(*second, bare);
}

#[test]
fn only_values_of_the_file_that_serve_are_offered() {
    // 0 Ω is a link, 220 Ω is too wide, 330 Ω stands once too little and once enough, 5 kΩ is in no series.
    let table = "value,tolerance,size\n5k,,\n0,,\n220,5 %,\n330,1 %,0603\n330,1 %,1206\n47k,0.1 %,0805\n";
    let board = board(table, TANK).unwrap();
    assert_eq!(ohms(part(&board, Role::PullUp)), [330.0, 5000.0, 47_000.0]);
    // Which is chosen unless the brief says otherwise.
    assert_eq!(ohms(part(&board, Role::Protection)), [330.0, 5000.0, 47_000.0]);
    let Choice::Choose { candidates, .. } = &part(&board, Role::PullUp).choice else { panic!() };
    assert_eq!(
        candidates.iter().map(|candidate| candidate.series).collect_vec(),
        [Some(Series::E6), None, Some(Series::E3)]
    );
    let key = |key: &str| board.assumed.iter().any(|assumed| assumed.key == key);
    assert!(!key("resistors.series") && !key("resistors.between"));
    let better = "are calculated with the tolerance, tempco and size of the brief";
    assert!(board.remarks.iter().any(|remark| remark.contains(better)), "{:?}", board.remarks);
}

#[test]
fn ends_still_restrict_and_a_part_may_have_a_file_of_its_own() {
    let table = "value\n100\n1k\n10k\n2M\n";
    let brief = "resistors: { stock: stock.csv, between: 500 .. 3M }\ninputs:\n  tank: { circuit: pull-up, sender: 240..33, \
                 pull_up: choose, line: { choose: 50 .. 5k }, protection: { choose: 1k..5k, series: E3 } }\n";
    let read = board(table, brief).unwrap();
    assert_eq!(ohms(part(&read, Role::PullUp)), [1e3, 10e3, 2e6]);
    assert_eq!(ohms(part(&read, Role::Line)), [100.0, 1e3]);
    assert_eq!(ohms(part(&read, Role::Protection)), [1e3, 2.2e3, 4.7e3]);
    assert!(part(&read, Role::Protection).stock.is_none());
    let brief = "inputs:\n  tank: { circuit: pull-up, sender: 240..33, pull_up: { stock: stock.csv } }\n";
    let read = board(table, brief).unwrap();
    assert_eq!(ohms(part(&read, Role::PullUp)), [100.0, 1e3, 10e3, 2e6]);
    assert!(part(&read, Role::Protection).stock.is_none());
    assert!(ohms(part(&read, Role::Protection)).len() > 100);
}

#[test]
fn a_reel_is_the_cheapest_row_that_serves() {
    let table = "value,tolerance,price,quantity\n1k,1 %,0.02,10\n1k,0.5 %,0.01,10\n1k,0.1 %,0.01,\n1k,5 %,0.001,\n\
                 1k,0.05 %,,\n2k2,0.1 %,,\n";
    let read = board(table, TANK).unwrap();
    let pull_up = part(&read, Role::PullUp);
    let line = |value: f64| pull_up.reel(Ohms(value)).map(|reel| reel.line);
    assert_eq!(line(1e3), Some(4), "as cheap as line 3, with more pieces; line 5 is too wide");
    assert_eq!(line(2.2e3), Some(7), "without a price, but alone");
    assert_eq!(line(3.3e3), None);
    let bought = Part { stock: None, ..pull_up.clone() };
    assert_eq!(bought.reel(Ohms(1e3)), None);
}

/// The messages about a table.
#[track_caller]
fn says(table: &str, expected: &[&str]) {
    match board(table, TANK) {
        Ok(_) => panic!("accepted:\n{table}"),
        Err(text) => assert_eq!(text.lines().collect_vec(), expected, "about:\n{table}"),
    }
}

#[test]
fn every_mistake_of_a_file_is_told_at_once() {
    const PRICE: &str = "expected the price of one piece, above 0: a plain number from 0 to 1000 with at most four decimals, \
                         such as 0.012, in whatever currency; or an empty cell";
    let table = "value;price;quantity;pack;tolerance;tempco;size\n\
                 4,7k;0,01;0;0;1;100 ppm/K;805\n;0;-5;1.5;100 %;-1 ppm/K;1206\n1k;x;99999999999999999999;;;;\n";
    let pieces = |empty: &str| {
        format!("expected a whole number of pieces from 1 to 10000000; or an empty cell: {empty}")
    };
    let (quantity, pack) = (pieces("as many as needed"), pieces("1"));
    says(
        table,
        &[
            "stock.csv:2:1: value: found `4,7k` (a decimal comma); expected a decimal point: `4.7k`",
            &format!("stock.csv:2:6: price: found `0,01`; {PRICE}"),
            &format!("stock.csv:2:11: quantity: found `0`; {quantity}"),
            &format!("stock.csv:2:13: pack: found `0`; {pack}"),
            "stock.csv:2:15: tolerance: found `1` (a share needs its unit); expected `100 %` or `1 %`, whichever is meant",
            "stock.csv:2:27: size: found `805`; expected a size: 0201, 0402, 0603, 0805, 1206, 1210, 2010 or 2512; did you mean `0805`?",
            "stock.csv:3:1: value: found nothing; expected a resistance such as 4.7 kΩ",
            &format!("stock.csv:3:2: price: found `0`; {PRICE}"),
            &format!("stock.csv:3:4: quantity: found `-5`; {quantity}"),
            &format!("stock.csv:3:7: pack: found `1.5`; {pack}"),
            "stock.csv:3:11: tolerance: found `100 %`; expected a share from 0 % to less than 100 %",
            "stock.csv:3:17: tempco: found `-1 ppm/K`; expected a change with temperature from 0 ppm/K up to 10000 ppm/K, meant in either direction",
            &format!("stock.csv:4:4: price: found `x`; {PRICE}"),
            &format!("stock.csv:4:6: quantity: found `99999999999999999999`; {quantity}"),
        ],
    );
}

#[test]
fn columns_and_rows_have_to_make_sense() {
    says(
        "price,quantty,price,size,size\n0.01,3,,,\n",
        &[
            "stock.csv:1:7: found `quantty`; expected one of the columns value, price, quantity, pack, tolerance, tempco or size; did you mean `quantity`?",
            "stock.csv:1:15: found `price` a second time; expected each column once",
            "stock.csv:1:26: found `size` a second time; expected each column once",
        ],
    );
    says(
        "price\n0.01\n",
        &[
            "stock.csv:1:1: found no column `value`; expected a column with the resistances, such as `value,price,quantity,pack`",
        ],
    );
    says(
        "330,0.01\n",
        &[
            "stock.csv:1:1: found `330,0.01` in the first row; expected the names of the columns above the rows, such as `value,price,quantity,pack`",
        ],
    );
    says(
        "value,price\n4,7 k,0.01\n1k\n",
        &[
            "stock.csv:2:1: found 3 cells, where the first row has 2; expected a decimal point in every number, such as 20.5: a comma separates cells here",
            "stock.csv:3:1: found 1 cell, where the first row has 2; expected `,` between cells, as in the first row",
        ],
    );
    says(
        "value,tolerance\n1k,1 %\n2k,1 %\n1000,0.01\n1k0,0.1 %\n1 kΩ,1 %\n",
        &[
            "stock.csv:4:6: tolerance: found `0.01` (a share needs its unit); expected `1 %` or `0.01 %`, whichever is meant",
            "stock.csv:6:1: value: found 1 kΩ in the grade of line 2 once more; expected each value once in each grade (tolerance, tempco, size)",
        ],
    );
    says(
        "value,quantity,pack\n1k,50,100\n",
        &[
            "stock.csv:2:4: quantity: found 50 with a pack of 100; expected a pack or more; of a pack that is open single pieces can be had (pack 1); leave out a row that is sold out",
        ],
    );
    says("value\n", &["stock.csv:1:1: found no row below the first; expected one reel a line"]);
    says(
        "# nothing\n\n",
        &[
            "stock.csv: found no row but blanks and comments; expected a first row with the names of the columns, such as `value,price,quantity,pack`, and rows below it",
        ],
    );
    let long = format!("value\n{}\n", (1..10_002).join("\n"));
    says(&long, &["stock.csv:10002:1: found more than 10000 rows; expected fewer rows in each file"]);
    says(
        &format!("value\n#{}\n", "x".repeat(256 * 1024)),
        &["stock.csv: found more than 256 KiB; expected a table of what is in stock, one reel a line"],
    );
}

#[test]
fn a_file_that_is_named_twice_tells_its_mistakes_once() {
    let brief = "resistors: { stock: stock.csv }\ninputs:\n  tank: { circuit: pull-up, sender: 240..33, \
                 pull_up: { stock: stock.csv }, line: { choose: 1..2, stock: stock.csv } }\n";
    assert_eq!(
        board("value\nx\n", brief).unwrap_err(),
        "stock.csv:2:1: value: found `x` (no number); expected a resistance such as 4.7 kΩ or 4k7"
    );
}

#[test]
fn where_nothing_serves_the_nearest_is_named() {
    let brief = |part: &str| {
        format!(
            "resistors: {{ stock: stock.csv }}\ninputs:\n  tank:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: {part}\n    protection: none\n"
        )
    };
    let table = "value,tolerance,tempco,size\n100,5 %,200 ppm/K,0603\n330,5 %,50 ppm/K,1206\n1M,1 %,,\n";
    assert_eq!(
        board(table, &brief("{ choose: 50 .. 1k, tolerance: 1 % }")).unwrap_err(),
        "b.yaml:6:24: inputs.tank.pull_up.choose: found no row of stock.csv that serves (2 rows have a value in the range); \
         expected a row at least as good as the part: ±1 %, 100 ppm/K, 125 mW and 150 V; the nearest is line 3: 330 Ω, ±5 %, \
         50 ppm/K, 1206 (250 mW, 200 V)"
    );
    assert_eq!(
        board(table, &brief("{ choose: 1k .. 2k }")).unwrap_err(),
        "b.yaml:6:24: inputs.tank.pull_up.choose: found 1 kΩ .. 2 kΩ with no value of stock.csv in it; expected a range with \
         a value in it; the nearest are 330 Ω and 1 MΩ"
    );
}

#[test]
fn values_in_no_series_come_last_among_ties() {
    let of = |ohms: f64| Preferred::of(Ohms(ohms));
    assert_eq!(of(4700.0), Preferred { ohms: Ohms(4700.0), series: Some(Series::E3) });
    assert_eq!(of(4750.0).series, Some(Series::E96));
    assert_eq!(of(5000.0).series, None);
    assert_eq!(of(0.0).series, None);
    assert_eq!([4700.0, 4640.0, 4750.0, 5000.0].map(|value| of(value).fineness()), [0, 4, 5, 7]);
}

fn chosen(answer: &Answer) -> Vec<Option<f64>> {
    let parts = &answer.inputs.0[0].1.parts.0;
    let resistors = parts.iter().filter(|(name, _)| name != "capacitor");
    resistors
        .map(|(_, part)| match part {
            Some(PartAnswer::Resistor { ohm, .. }) => Some(*ohm),
            _ => None,
        })
        .collect()
}

/// The values of a table between two ends, without the reader.
fn between(values: &[f64], lowest: f64, highest: f64) -> Vec<f64> {
    values.iter().copied().filter(|value| (lowest..=highest).contains(value)).collect()
}

/// The best assured span over all values of the file, each tried as a board with given parts; `None`: none holds.
fn best_by_trying(head: &str, pull_ups: &[f64], protections: &[f64]) -> Option<f64> {
    let all = pull_ups.iter().cartesian_product(protections).filter_map(|(pull_up, protection)| {
        let text = format!("{head}    pull_up: {pull_up}\n    protection: {protection}\n");
        let board = read_text(text.as_bytes(), "b.yaml").unwrap();
        let answer = examine::answer(&board, "check");
        (answer.verdict == Verdict::Holds).then(|| answer.inputs.0[0].1.span.unwrap().assured_counts)
    });
    all.reduce(f64::max)
}

#[test]
fn what_is_chosen_is_the_best_of_all_values_of_the_file() {
    let mut dice = Dice::new(71);
    let (mut found, mut none) = (0, 0);
    for round in 0..60 {
        let values: Vec<f64> =
            (0..2 + dice.below(6)).map(|_| 10_f64.powf(dice.uniform(1.0, 5.0)).round()).collect();
        let values: Vec<f64> = values.into_iter().sorted_by(f64::total_cmp).dedup().collect();
        let table = format!("value\n{}\n", values.iter().join("\n"));
        let (low, high) =
            (10_f64.powf(dice.uniform(0.8, 2.0)).round(), 10_f64.powf(dice.uniform(2.3, 5.0)).round());
        let head = format!(
            "inputs:\n  tank:\n    circuit: pull-up\n    sender: {}..{}\n    limits: {{ sender_current: {} mA, pin_current: 5 mA, rail_backfeed: off }}\n",
            dice.uniform(100.0, 400.0).round(),
            dice.uniform(0.0, 60.0).round(),
            dice.uniform(5.0, 100.0).round(),
        );
        let brief = format!(
            "resistors: {{ stock: stock.csv }}\n{head}    pull_up: {{ choose: {low} .. {high} }}\n    protection: choose\n"
        );
        let pull_ups = between(&values, low, high);
        let board = board(&table, &brief);
        assert_eq!(board.is_err(), pull_ups.is_empty(), "round {round}: {board:?}");
        let Ok(board) = board else { continue };
        let answer = examine::answer(&board, "design");
        match best_by_trying(&head, &pull_ups, &values) {
            None => {
                none += 1;
                assert_eq!(answer.verdict, Verdict::Impossible, "round {round}");
            }
            Some(best) => {
                found += 1;
                let span = answer.inputs.0[0].1.span.unwrap().assured_counts;
                assert!((span - best).abs() <= 1e-9 * best.max(1.0), "round {round}: {span}, {best}");
                assert!(
                    chosen(&answer).into_iter().flatten().all(|ohm| values.contains(&ohm)),
                    "round {round}"
                );
            }
        }
    }
    assert!(found > 10 && none > 10, "{found} found, {none} impossible");
}

#[test]
fn a_mutated_file_never_panics() {
    let table = "value;price;quantity;pack;tolerance;tempco;size;note\n4k7;0.012;500;50;0.5 %;25 ppm/K;1206;\"a; reel\"\n330 Ω;;;;;;;\n";
    let mut dice = Dice::new(74);
    let mut read = 0;
    for _ in 0..400 {
        let mut signs: Vec<char> = table.chars().collect();
        for _ in 0..=dice.below(4) {
            let place = dice.below(signs.len());
            let sign = ['\"', ';', ',', '\n', '0', '-', 'e', '%', '#', '\u{a0}', '9', '.'][dice.below(12)];
            if dice.chance(0.5) {
                signs[place] = sign;
            } else {
                signs.insert(place, sign);
            }
        }
        read += usize::from(board(&signs.into_iter().collect::<String>(), TANK).is_ok());
    }
    assert!((1..400).contains(&read), "{read} were read");
}

#[test]
fn the_answer_says_that_a_value_comes_from_stock() {
    let board = board("value\n330\n47k\n", TANK).unwrap();
    let answer = examine::answer(&board, "design");
    let Some(PartAnswer::Resistor { series, chosen, .. }) = &answer.inputs.0[0].1.parts.0[1].1 else {
        panic!()
    };
    assert_eq!((series.as_deref(), *chosen), (Some("stock"), true));
}
