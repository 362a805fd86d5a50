//! What has to be bought: by hand, by the rules on random boards, and as files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;
use std::path::Path;

use itertools::Itertools;
use ohmwright::board::{Board, Choice, Grade, Input, Part, Price};
use ohmwright::brief::{read_file, read_text};
use ohmwright::case::Case;
use ohmwright::circuit::{Of, Scene, Values};
use ohmwright::examine;
use ohmwright::purchase::{Purchase, ResistorLine, Use, better_than, covers, joined, list, size_of};
use ohmwright::quantity::{Celsius, Fraction, Ohms, PerKelvin, Volts, Watts};
use ohmwright::size::SIZES;
use ohmwright::worst::{Measure, Sense, worst};
use serde_json::Value;
use support::dice::Dice;
use support::grade;
use support::program::{Run, number, parsed, run_in};
use tempfile::TempDir;

/// Three inputs whose list was written by hand: nothing drifts but the tolerance, and nothing leaks.
const BY_HAND: &str = "board: by hand
converter: { leakage: 0 A }
resistors: { tolerance: 1 %, tempco: 0 ppm/K, ageing: 0 % }
limits: off
inputs:
  a: { circuit: divider, measures: 0 V .. 10 V, top: 30k, bottom: 10k, protection: none, capacitor: none }
  b:
    circuit: divider
    measures: 0 V .. 10 V
    top: { value: 30k, tolerance: 0.1 % }
    bottom: { value: 10k, size: 1206 }
    protection: none
  c: { circuit: direct, measures: 0 V .. 5 V, protection: { value: 10k, tolerance: 5 % } }
";

fn read(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}"))
}

fn uses(used: &[Use]) -> Vec<String> {
    used.iter().map(|used| format!("{}.{}", used.input, used.part)).collect()
}

#[track_caller]
fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-6 * wanted, "{found} is not {wanted}");
}

#[test]
fn a_small_board_by_hand() {
    let board = read(BY_HAND);
    let found = list(&[&board], 7);
    let [ten, thirty] = found.resistors.as_slice() else { panic!("{found:#?}") };
    assert_eq!((ten.ohms, ten.pieces), (Ohms(10e3), 21));
    assert_eq!(uses(&ten.used), ["a.bottom", "b.bottom", "c.protection"]);
    assert_eq!(ten.grade.tolerance, Fraction(0.01));
    assert_eq!(size_of(&ten.grade).unwrap().name, "1206");
    assert_eq!(ten.better, ["tolerance", "size"], "better in tolerance than c, in size than a and c");
    // The lower part is worst with itself at 10.1 kΩ and the upper one at 29.7 kΩ: 10 V · 10.1/39.8, and that squared
    // by 10.1 kΩ.
    near(ten.voltage.0, 2.537_688_442);
    near(ten.power.0, 6.376_101_61e-4);
    assert_eq!((thirty.ohms, thirty.pieces), (Ohms(30e3), 14));
    assert_eq!(uses(&thirty.used), ["a.top", "b.top"]);
    assert_eq!(
        (thirty.grade.tolerance, thirty.better.as_slice()),
        (Fraction(0.001), ["tolerance"].as_slice())
    );
    // The voltage is greatest at 30.3 kΩ over 9.9 kΩ: 10 V · 30.3/40.2; the power at 29.7 kΩ, nearer to what drives it:
    // 100 V² · 29.7/39.6² /kΩ.
    near(thirty.voltage.0, 7.537_313_433);
    near(thirty.power.0, 1.893_939_394e-3);
    let [capacitor] = found.capacitors.as_slice() else { panic!("{found:#?}") };
    assert_eq!((capacitor.farads.0, capacitor.pieces), (100e-9, 14));
    assert_eq!(uses(&capacitor.used), ["b.capacitor", "c.capacitor"]);
    // With the wire on the supply the clamp holds the pin 0.5 V above a rail of 5 V + 2 %.
    near(capacitor.voltage.0, 5.6);
    assert!(found.left_out.is_empty() && found.resistors.iter().all(|line| line.taken.is_none()));
}

fn with(tolerance: f64, rating: f64, voltage: f64) -> Grade {
    Grade { rating: Watts(rating), working_voltage: Volts(voltage), ..grade(tolerance) }
}

#[test]
fn one_grade_covers_another_or_both_are_joined() {
    let usual = with(0.01, 0.125, 150.0);
    assert!(covers(&usual, &usual) && covers(&with(0.001, 0.125, 150.0), &usual));
    assert!(covers(&with(0.01, 0.25, 200.0), &usual) && !covers(&usual, &with(0.01, 0.25, 200.0)));
    let derates_early = Grade { derated_from: Celsius(60.0), ..usual.clone() };
    assert!(covers(&usual, &derates_early) && !covers(&derates_early, &usual));
    let careful = Grade { derate_to: Fraction(0.5), ..usual.clone() };
    assert!(covers(&usual, &careful) && covers(&careful, &usual), "the same part, used less");
    assert_eq!(joined(&usual, &with(0.01, 0.25, 200.0)), Some(with(0.01, 0.25, 200.0)));
    // Neither covers the other: the best of each, in the larger of the two sizes.
    let fine = with(0.001, 0.1, 50.0);
    assert_eq!(joined(&usual, &fine), Some(with(0.001, 0.125, 150.0)));
    assert_eq!(better_than(&with(0.001, 0.125, 150.0), &fine), ["size"]);
    // 0.2 W and 180 V need 0.25 W and 200 V: a 1206.
    assert_eq!(joined(&with(0.01, 0.2, 40.0), &with(0.01, 0.05, 180.0)), Some(with(0.01, 0.25, 200.0)));
    assert_eq!(joined(&with(0.01, 2.0, 40.0), &with(0.01, 0.05, 180.0)), None, "no size stands 2 W");
    assert_eq!(joined(&with(0.01, 0.05, 500.0), &with(0.001, 0.1, 50.0)), None, "no size stands 500 V");
    let other = Grade { tolerance: Fraction(0.001), ..derates_early };
    assert_eq!(joined(&usual, &other), None, "derated in another way");
}

/// Whether one part could serve both lines, in other words than those of the program: it has to be one of the two or of a
/// standard size, and its derating and its short-time rating that of one part that stands at least as much in both.
fn could_be_one(a: &ResistorLine, b: &ResistorLine) -> bool {
    if a.ohms != b.ohms || a.tracks.is_some() || b.tracks.is_some() {
        return false;
    }
    let (a, b) = (&a.grade, &b.grade);
    let at_least = |x: &Grade, y: &Grade| {
        x.tolerance <= y.tolerance
            && x.tempco <= y.tempco
            && x.ageing <= y.ageing
            && x.rating >= y.rating
            && x.working_voltage >= y.working_voltage
            && x.derated_from >= y.derated_from
            && x.derated_to_zero >= y.derated_to_zero
            && y.momentary.is_none_or(|y| {
                x.momentary.is_some_and(|x| x.power >= y.power && x.voltage >= y.voltage && x.time >= y.time)
            })
    };
    let is_alike =
        (a.derated_from, a.derated_to_zero, a.momentary) == (b.derated_from, b.derated_to_zero, b.momentary);
    let stands = |watts: Watts, volts: Volts| {
        watts >= a.rating && watts >= b.rating && volts >= a.working_voltage && volts >= b.working_voltage
    };
    let size_exists = SIZES.iter().any(|size| stands(size.rating, size.working_voltage))
        || stands(a.rating, a.working_voltage)
        || stands(b.rating, b.working_voltage);
    at_least(a, b) || at_least(b, a) || is_alike && size_exists
}

/// A random board of a few values and a few grades, some of which track.
fn random_board(dice: &mut Dice, inputs: usize) -> Board {
    let mut board = dice.board_of(inputs);
    for input in &mut board.inputs {
        for part in &mut input.parts {
            let Choice::Fixed(ohms) = &mut part.choice else { continue };
            *ohms = Ohms([1e3, 4.7e3, 22e3][dice.below(3)]);
            part.grade = grade([0.001, 0.01, 0.05][dice.below(3)]);
            part.grade.tempco = PerKelvin([25e-6, 100e-6][dice.below(2)]);
            let size = SIZES[dice.below(SIZES.len())];
            (part.grade.rating, part.grade.working_voltage) = (size.rating, size.working_voltage);
            if dice.chance(0.3) {
                part.grade.rating = Watts([0.3, 2.0][dice.below(2)]);
            }
            if dice.chance(0.1) {
                part.grade.working_voltage = Volts(350.0);
            }
            if dice.chance(0.2) {
                part.grade.derated_from = Celsius(85.0);
            }
        }
        if dice.chance(0.15) {
            dice.track(input);
        }
    }
    board
}

fn parts(board: &Board) -> impl Iterator<Item = (&Input, &Part, Ohms)> {
    let parts = board.inputs.iter().flat_map(|input| input.parts.iter().map(move |part| (input, part)));
    parts.filter_map(|(input, part)| match part.choice {
        Choice::Fixed(ohms) => Some((input, part, ohms)),
        _ => None,
    })
}

/// The greatest dissipation and voltage of a part, in normal use and in what it has to survive.
fn borne(board: &Board, input: &Input, part: &Part) -> [f64; 2] {
    let scene = Scene::new(board, input, &Values::given(input));
    let situations = scene.situations[..scene.bottom()].iter();
    let survived = situations.filter(|s| s.case == Case::Normal || input.survive.contains(&s.case));
    let mut greatest = [0.0_f64; 2];
    let Some(element) = scene.nominal.place_of(Of::Part(part.role)) else { return greatest };
    for situation in survived {
        for (greatest, measure) in
            greatest.iter_mut().zip([Measure::Power(element), Measure::Voltage(element)])
        {
            // Where all floats, nothing flows.
            let found = worst(measure, Sense::AtMost, situation, &situation.resistances);
            *greatest = greatest.max(found.map_or(0.0, |found| found.value));
        }
    }
    greatest
}

#[test]
fn every_part_has_its_line_and_no_two_lines_could_be_one() {
    let mut dice = Dice::new(72);
    let (mut merged, mut apart, mut tracking) = (0, 0, 0);
    for round in 0..40 {
        let boards = [random_board(&mut dice, 6), random_board(&mut dice, 4)];
        let found = list(&[&boards[0], &boards[1]], 3);
        let lines = &found.resistors;
        for (place, board) in boards.iter().enumerate() {
            for (input, part, ohms) in parts(board) {
                let used = Use { board: place, input: input.name.clone(), part: part.role.key() };
                let line = lines.iter().filter(|line| line.used.contains(&used)).exactly_one();
                let line =
                    line.unwrap_or_else(|lines| panic!("round {round}: {} lines of {used:?}", lines.count()));
                assert_eq!(line.ohms, ohms, "round {round}");
                let need = &part.grade;
                let has = &line.grade;
                assert!(
                    has.tolerance <= need.tolerance && has.tempco <= need.tempco && has.ageing <= need.ageing
                );
                assert!(has.rating >= need.rating && has.working_voltage >= need.working_voltage);
                assert!(has.derated_from >= need.derated_from && has.derated_to_zero >= need.derated_to_zero);
                let [power, voltage] = borne(board, input, part);
                assert!(line.power.0 >= power && line.voltage.0 >= voltage, "round {round}");
                let group: Vec<_> =
                    parts(board).filter(|(_, other, _)| other.tracks == part.tracks).collect();
                match &part.tracks {
                    Some(name) if group.len() > 1 => {
                        tracking += 1;
                        assert_eq!(line.tracks.as_ref(), Some(name));
                        assert!(
                            line.used.iter().all(|used| used.board == place),
                            "a name is that of one board"
                        );
                    }
                    _ => assert_eq!(line.tracks, None, "round {round}"),
                }
            }
        }
        let count: usize = boards.iter().map(|board| parts(board).count()).sum();
        assert_eq!(lines.iter().map(|line| line.used.len()).sum::<usize>(), count);
        assert!(lines.iter().all(|line| line.pieces == 3 * line.used.len() as u64));
        assert!(lines.iter().tuple_windows().all(|(a, b)| a.ohms <= b.ohms));
        for (a, b) in lines.iter().tuple_combinations() {
            assert!(!could_be_one(a, b), "round {round}: {a:#?}\n{b:#?}");
            apart += usize::from(a.ohms == b.ohms);
        }
        // What a line bears is what one of its parts bears.
        let greatest = lines.iter().map(|line| line.power.0).fold(0.0, f64::max);
        let single = boards
            .iter()
            .flat_map(|board| parts(board).map(move |(input, part, _)| borne(board, input, part)[0]));
        near(greatest, single.fold(0.0, f64::max));
        merged += lines.iter().filter(|line| !line.better.is_empty()).count();
    }
    assert!(
        merged > 100 && apart > 100 && tracking > 50,
        "{merged} merged, {apart} apart, {tracking} tracking"
    );
}

/// A folder with a brief and a stock file.
fn folder(brief: &str, table: &str) -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("b.yaml"), brief).unwrap();
    fs::write(folder.path().join("stock.csv"), table).unwrap();
    folder
}

/// The same by hand, from a stock file.
const STOCK: &str = "value;tolerance;size;price;quantity;pack\n10k;1 %;1206;0.01;;100\n10k;5 %;0805;0.004;;10\n\
                     30k;0.1 %;;0.09;25;10\n30k;1 %;;0.01;;1\n";

fn stocked() -> TempDir {
    folder(&BY_HAND.replace("resistors: {", "resistors: { stock: stock.csv,"), STOCK)
}

fn bought(folder: &TempDir, batch: u64) -> Purchase {
    let board = read_file(&folder.path().join("b.yaml")).unwrap_or_else(|faults| panic!("{faults}"));
    list(&[&board], batch)
}

/// Line of the file, pieces, pieces to buy, price in ten-thousandths, and what is short.
fn taken(found: &Purchase) -> Vec<(usize, u64, u64, u64, u64)> {
    let row = |line: &ResistorLine| {
        let taken = line.taken.as_ref().unwrap();
        let Some(Price(price)) = taken.price else { panic!("no price") };
        (taken.reel.line, line.pieces, taken.buy, price, taken.short)
    };
    found.resistors.iter().map(row).collect()
}

#[test]
fn pieces_packs_and_prices_by_hand() {
    let folder = stocked();
    // 21 pieces of 10 kΩ come in one pack of 100 at 0.01; of the 0.1 % ones there are 25, of which two packs of 10 can be
    // had: enough for 14, which need both.
    assert_eq!(taken(&bought(&folder, 7)), [(2, 21, 100, 10_000, 0), (4, 14, 20, 18_000, 0)]);
    // 30 pieces of the 0.1 % reel there are not, but enough for those that need it: the others stay 1 % parts.
    assert_eq!(
        taken(&bought(&folder, 15)),
        [(2, 45, 100, 10_000, 0), (5, 15, 15, 1500, 0), (4, 15, 20, 18_000, 0)]
    );
    // 25 are not to be had in packs of 10.
    let short = bought(&folder, 25);
    assert_eq!(taken(&short)[2], (4, 25, 20, 18_000, 5));
    assert_eq!(taken(&short)[0], (2, 75, 100, 10_000, 0));
}

#[test]
fn what_is_left_of_a_pack_serves_the_next_line() {
    let brief = "resistors: { stock: stock.csv }\ninputs:\n  a: { circuit: divider, measures: 0 V .. 10 V, top: { value: 10k, tracks: pair }, \
                 bottom: { value: 10k, tracks: pair }, protection: 10k }\n";
    let folder = folder(brief, "value,price,quantity,pack\n10k,0.01,300,100\n");
    // Two track each other and one does not: of 40 boards 80 and 40 pieces, which two packs hold.
    let found = bought(&folder, 40);
    assert_eq!(taken(&found), [(2, 80, 100, 10_000, 0), (2, 40, 100, 10_000, 0)]);
    assert_eq!(found.resistors[0].tracks.as_deref(), Some("pair"));
    // 20 and 10 pieces are one pack.
    assert_eq!(taken(&bought(&folder, 10)), [(2, 20, 100, 10_000, 0), (2, 10, 0, 0, 0)]);
    // 240 and 120 pieces are more than there are.
    assert_eq!(taken(&bought(&folder, 120)), [(2, 240, 300, 30_000, 0), (2, 120, 0, 0, 60)]);
}

#[test]
fn the_cheapest_way_that_is_enough_is_taken() {
    let brief = "resistors: { stock: stock.csv }\ninputs:\n  a: { circuit: direct, measures: 0 V .. 5 V, protection: 10k }\n";
    let table =
        "value,tolerance,price,quantity,pack\n10k,1 %,0.001,,5000\n10k,0.5 %,0.02,100,1\n10k,0.1 %,,,1\n";
    let folder = folder(brief, table);
    let line = |batch| taken(&bought(&folder, batch))[0];
    assert_eq!(line(10), (3, 10, 10, 2000, 0), "ten single ones are cheaper than 5000");
    assert_eq!(line(101), (2, 101, 5000, 50_000, 0), "of the single ones there are not enough");
}

/// A random stock file of two values, and a board of parts with given values, some tracking.
fn random_stocked(dice: &mut Dice) -> TempDir {
    let rows = (0..2 + dice.below(7)).map(|_| {
        let pack = [1, 10, 100][dice.below(3)];
        let quantity = if dice.chance(0.3) { String::new() } else { (pack + dice.below(300)).to_string() };
        let price = if dice.chance(0.2) { String::new() } else { format!("0.00{}", 1 + dice.below(9)) };
        let value = ["1k", "10k"][dice.below(2)];
        let tolerance = ["", "5 %", "1 %", "0.1 %"][dice.below(4)];
        let size = ["", "0603", "1206"][dice.below(3)];
        (format!("{value},{tolerance},{size}"), format!("{price},{quantity},{pack}"))
    });
    let rows = rows.unique_by(|(grade, _)| grade.clone()).map(|(grade, rest)| format!("{grade},{rest}\n"));
    let table = format!("value,tolerance,size,price,quantity,pack\n{}", rows.collect_vec().concat());
    let inputs = (0..2 + dice.below(6)).map(|place| {
        let value = ["1k", "10k"][dice.below(2)];
        let tolerance = ["1 %", "0.5 %", "0.1 %"][dice.below(3)];
        let size = ["0603", "0805", "1206"][dice.below(3)];
        let (tolerance, size, tracks) =
            if dice.chance(0.2) { ("1 %", "0805", ", tracks: pair") } else { (tolerance, size, "") };
        format!("  i{place}: {{ circuit: direct, measures: 0 V .. 5 V, protection: {{ value: {value}, tolerance: {tolerance}, \
                 size: \"{size}\"{tracks} }} }}\n")
    });
    let inputs = inputs.collect_vec().concat();
    folder(&format!("resistors: {{ stock: stock.csv }}\ninputs:\n{inputs}"), &table)
}

#[test]
fn a_shelf_is_never_emptied_twice() {
    let mut dice = Dice::new(73);
    let (mut from_stock, mut elsewhere, mut short) = (0, 0, 0);
    for round in 0..150 {
        let folder = random_stocked(&mut dice);
        let board = read_file(&folder.path().join("b.yaml")).unwrap_or_else(|faults| panic!("{faults}"));
        let batch = 1 + dice.below(150) as u64;
        let found = list(&[&board], batch);
        for line in &found.resistors {
            let members = || {
                let is_here = |input: &Input| line.used.iter().any(|used| used.input == input.name);
                parts(&board).filter(move |(input, ..)| is_here(input))
            };
            assert_eq!(line.pieces, batch * members().count() as u64);
            let Some(taken) = &line.taken else {
                elsewhere += 1;
                assert!(members().all(|(_, part, ohms)| part.reel(ohms).is_none()), "round {round}");
                continue;
            };
            from_stock += 1;
            short += usize::from(taken.short > 0);
            let reel = &taken.reel;
            assert!(
                members().all(|(_, part, ohms)| reel.ohms == ohms && reel.serves(&part.grade)),
                "round {round}"
            );
            assert!(members().all(|(_, part, ohms)| part.reel(ohms).is_some()));
            assert_eq!(taken.price, reel.price.map(|Price(each)| Price(each * taken.buy)));
            assert!(
                line.used.len() == 1
                    || taken.short == 0
                    || members().map(|(_, part, _)| &part.grade).all_equal(),
                "round {round}: parts of different grades are joined only if there are enough"
            );
        }
        // What all lines together take from a row.
        let rows = found.resistors.iter().filter_map(|line| Some((line.taken.as_ref()?, line.pieces)));
        for (_, lines) in rows.into_group_map_by(|(taken, _)| taken.reel.line) {
            let (reel, bought) = (&lines[0].0.reel, lines.iter().map(|(taken, _)| taken.buy).sum::<u64>());
            let given = lines.iter().map(|(taken, pieces)| pieces - taken.short).sum::<u64>();
            assert_eq!(bought % reel.pack, 0, "round {round}: whole packs");
            assert!(given <= bought && bought < given + reel.pack, "round {round}: no pack too many");
            assert!(
                reel.quantity.is_none_or(|quantity| bought <= quantity),
                "round {round}: no more than there are"
            );
        }
    }
    assert!(from_stock > 200 && elsewhere > 40 && short > 10, "{from_stock} {elsewhere} {short}");
}

fn answer(folder: &Path, arguments: &str) -> (Run, Value) {
    let run = run_in(folder, &format!("{arguments} --format json"));
    let answer = parsed(&run.results);
    (run, answer)
}

#[test]
fn the_answer_has_the_list_and_says_what_is_short() {
    let folder = stocked();
    let (run, found) = answer(folder.path(), "check b.yaml --batch 25 --boards 0");
    assert_eq!((run.status, found["verdict"].as_str()), (0, Some("holds")), "a shortage is no verdict");
    assert_eq!(found["batch"], 25);
    let rows = found["purchase"].as_array().unwrap();
    assert_eq!(rows.len(), 4);
    assert_eq!(rows[0]["ohm"], 10e3);
    assert_eq!(rows[0]["size"], "1206");
    assert_eq!(rows[0]["used"], serde_json::json!(["a bottom", "b bottom", "c protection"]));
    assert_eq!(rows[0]["better_than_asked"], serde_json::json!(["tolerance", "size"]));
    assert_eq!(
        (number(&rows[0]["pieces"]), number(&rows[0]["buy"]), number(&rows[0]["price"])),
        (75.0, 100.0, 1.0)
    );
    assert_eq!((rows[2]["short"].as_u64(), rows[2]["reel"]["line"].as_u64()), (Some(5), Some(4)));
    assert_eq!((rows[3]["farad"].as_f64(), rows[3]["count"].as_u64()), (Some(100e-9), Some(2)));
    near(number(&found["purchase_price"]), 1.0 + 0.25 + 1.8);
    let caution = "5 of 25 pieces of 30 kΩ are missing for 25 boards: no row of stock.csv that serves has more left than line 4";
    assert!(
        found["cautions"].as_array().unwrap().iter().any(|text| text == caution),
        "{}",
        found["cautions"]
    );
    let run = run_in(folder.path(), "check b.yaml --batch 25 --boards 0");
    assert!(run.results.contains("! 5 of 25 pieces of 30 kΩ are missing for 25 boards"), "{}", run.results);
    assert!(run.results.contains("\nTo buy\n══════\n"), "{}", run.results);
    assert!(run.results.lines().all(|line| line.chars().count() <= 80), "{}", run.results);
    let (_, enough) = answer(folder.path(), "check b.yaml --boards 0");
    assert!(enough["purchase"].as_array().unwrap().iter().all(|row| row["short"] == 0));
    assert!(!enough["cautions"].to_string().contains("missing"));
    let question = run_in(folder.path(), "pull-up --sender 240..33 --format json");
    assert!(parsed(&question.results).get("purchase").is_none(), "a question has no list");
}

#[test]
fn a_given_value_that_is_not_in_stock_is_bought_elsewhere() {
    let brief = "resistors: { stock: stock.csv }\ninputs:\n  a: { circuit: direct, measures: 0 V .. 5 V, protection: 12k }\n";
    let folder = folder(brief, STOCK);
    let (_, found) = answer(folder.path(), "check b.yaml --boards 0");
    let row = &found["purchase"][0];
    assert_eq!(
        (row["missing_in"].as_str(), row.get("reel"), &row["buy"]),
        (Some("stock.csv"), None, &Value::from(1))
    );
    let text = run_in(folder.path(), "check b.yaml --boards 0 --batch 2").results;
    assert!(text.contains("elsewhere: not in"), "{text}");
}

#[test]
fn parts_of_an_input_without_a_choice_are_missing_and_named() {
    let brief = "inputs:\n  tank: { circuit: pull-up, sender: 240..33, pull_up: { choose: 10..20 } }\n  \
                 other: { circuit: direct, measures: 0 V .. 5 V, protection: 10k }\n";
    let folder = folder(brief, "");
    let (run, found) = answer(folder.path(), "design b.yaml --purchase list.csv");
    assert_eq!((run.status, found["verdict"].as_str()), (1, Some("impossible")));
    assert_eq!(found["purchase_without"], serde_json::json!(["tank"]));
    assert_eq!(found["purchase"].as_array().unwrap().len(), 2);
    assert_eq!(
        run.messages,
        "list.csv: purchase list written, without the parts of tank, for which no choice exists\n"
    );
    let text = run_in(folder.path(), "design b.yaml").results;
    assert!(text.contains("The parts of tank are missing: no choice exists."), "{text}");
}

#[test]
fn several_boards_share_lines_and_are_named() {
    let text = |name: &str, ohms: &str| {
        format!(
            "board: {name}\ninputs:\n  tank: {{ circuit: direct, measures: 0 V .. 5 V, protection: {ohms} }}\n"
        )
    };
    let boards = [read(&text("fore", "10k")), read(&text("aft", "10k")), read(&text("keel", "22k"))];
    let answers = boards.each_ref().map(|board| examine::answer(board, "check"));
    let all: Vec<_> = boards.iter().zip(&answers).collect();
    let found = examine::purchase(&all, 2);
    let used = |place: usize| found.purchase[place].used.clone();
    assert_eq!(used(0), ["fore: tank protection", "aft: tank protection"]);
    assert_eq!(used(1), ["keel: tank protection"]);
    assert_eq!(
        found.purchase.iter().map(|row| (row.count, row.pieces)).collect_vec(),
        [(2, 4), (1, 2), (3, 6)]
    );
}

#[test]
fn what_was_chosen_and_graded_is_what_is_bought() {
    let folder = folder(
        "resistors: { grades: [{ tolerance: 5 %, price: 0.01 }, { tolerance: 0.1 %, tempco: 25 ppm/K, price: 0.1 }] }\n\
         inputs:\n  tank:\n    circuit: pull-up\n    sender: 240..33\n    pull_up: choose\n    capacitor: { choose: 47 nF .. 1 µF }\n    \
         limits: { error: 10 % }\n",
        "",
    );
    let (run, found) = answer(folder.path(), "design b.yaml --grades");
    assert_eq!(run.status, 0, "{}", run.results);
    let parts = &found["inputs"]["tank"]["parts"];
    let rows = found["purchase"].as_array().unwrap();
    for role in ["pull_up", "protection"] {
        let row = rows.iter().find(|row| row["used"][0] == format!("tank {role}")).unwrap();
        assert_eq!(row["ohm"], parts[role]["ohm"]);
        assert_eq!(row["tolerance"], parts[role]["tolerance"]);
    }
    assert_eq!(rows[2]["farad"], parts["capacitor"]["farad"]);
}

#[test]
fn a_list_is_written_whole_and_never_over_anything_else() {
    let folder = stocked();
    let path = |name: &str| folder.path().join(name);
    let run = run_in(folder.path(), "check b.yaml --boards 0 --batch 7 --purchase list.csv");
    assert_eq!((run.status, run.messages.as_str()), (0, "list.csv: purchase list written\n"));
    let written = fs::read_to_string(path("list.csv")).unwrap();
    let lines: Vec<&str> = written.split("\r\n").collect();
    assert_eq!(lines.len(), 5, "{written}");
    assert!(lines[0].starts_with("value,tolerance,tempco,ageing,size,") && lines[4].is_empty());
    assert_eq!(
        lines[1],
        "10 kΩ,1 %,0 ppm/K,0 %,1206,250 mW,200 V,637.6 µW,2.538 V,,3,21,100,1,0,stock.csv,2,1206,\"a bottom, b bottom, c protection\""
    );
    let again = run_in(folder.path(), "check b.yaml --boards 0 --purchase list.csv");
    assert_eq!(again.status, 0, "an older list may be replaced: {}", again.messages);
    for (arguments, expected) in [
        ("design b.yaml --purchase b.yaml", "b.yaml: found the brief itself"),
        ("design b.yaml --purchase stock.csv", "stock.csv: found a file with other content"),
        ("design b.yaml --purchase no/list.csv", "no/list.csv: found no such folder"),
        ("design b.yaml --output new.csv --purchase ./new.csv", "./new.csv: found the file of `--output`"),
        ("check b.yaml --batch 0", "--batch"),
        ("check b.yaml --batch 1.5", "--batch"),
        ("check b.yaml --measured m.csv --purchase new.csv", "--measured"),
    ] {
        let run = run_in(folder.path(), arguments);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{arguments}");
        assert!(run.messages.contains(expected), "{arguments}: {}", run.messages);
    }
    assert!(!path("new.csv").exists());
    assert_eq!(fs::read_to_string(path("stock.csv")).unwrap(), STOCK);
}

#[test]
fn of_several_variants_the_list_has_the_first_and_says_so() {
    let text = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/fuel-senders.yaml")).unwrap();
    let board = ohmwright::brief::read_text(&text, "fuel-senders.yaml").unwrap();
    let mut answer = ohmwright::examine::answer(&board, "design");
    ohmwright::examine::add_purchase(&board, &mut answer, 1);
    let found = answer.purchase.unwrap();
    assert_eq!(found.purchase_first_variant_of, ["fuel"]);
    assert_eq!(found.purchase.len(), 3, "pull-up, protection and capacitor of one variant");
}
