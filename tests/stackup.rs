//! The stack-up: random boards against the exact worst case, the root sum of squares against a reference library, and
//! statistics of dividers against published ones.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::collections::HashMap;

use ohmwright::board::{Board, Input};
use ohmwright::brief;
use ohmwright::case::Case;
use ohmwright::circuit::{Outlook, Place, Scene, Values, situations_of};
use ohmwright::examine::answer_with;
use ohmwright::quantity::{Band, Counts};
use ohmwright::reading::{Firmware, greatest_error_of};
use ohmwright::stackup::{Batch, Cause, Drawn, Draws, Stack, Trials, rank, root_sum, wilson};
use ohmwright::worst::{count_band, edge_at};
use support::dice::Dice;

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} within {within}");
}

fn read(text: &str) -> Board {
    brief::read_text(text.as_bytes(), "board.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

fn band_at(board: &Board, input: &Input, values: &Values, outlook: Outlook, value: f64) -> Band<Counts> {
    let at = situations_of(board, input, values, Case::Normal, outlook, Place::At(value)).swap_remove(0);
    count_band(&at, &at.resistances).unwrap()
}

/// A random board whose sender does not warm itself: by how much it may is on the safe side, so no board attains it.
fn random_board(dice: &mut Dice) -> Board {
    let mut board = dice.board();
    if board.inputs[0].drive.is_sender() && dice.chance(0.5) {
        board.inputs[0].drive = dice.curved_sender();
    }
    if let ohmwright::board::Drive::Sender(sender) = &mut board.inputs[0].drive {
        sender.self_heating = None;
    }
    board.converter.bits = [8, 10, 12, 20][dice.below(4)];
    board
}

fn everything<'a>(values: &'a [f64], input: &Input, draws: Draws) -> Drawn<'a> {
    Drawn { values, zone: input.zone(), allowed: None, greatest: 1.0, draws }
}

#[test]
fn ten_million_random_boards_stay_within_the_worst_case() {
    const BOARDS: u64 = 33_000;
    let mut dice = Dice::new(501);
    let mut drawn = 0;
    while drawn < 10_000_000 {
        let board = random_board(&mut dice);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let (first, last) = input.range();
        let points = [first, first + (last - first) * dice.uniform(0.1, 0.9), last];
        for outlook in [Outlook::Life, Outlook::Bench] {
            let Some(stack) = Stack::new(&board, input, &fitted, outlook) else { continue };
            let trials = Trials::new(BOARDS, dice.bits().into());
            let batch = Batch::draw(&stack, &everything(&points, input, Draws::AsSpread), &trials);
            for place in &batch.places {
                let exact = band_at(&board, input, &fitted, outlook, place.value);
                let slack = 1e-9 * exact.lowest.0.abs().max(exact.highest.0.abs()).max(1.0);
                assert!(
                    place.counts.lowest.0 >= exact.lowest.0 - slack
                        && place.counts.highest.0 <= exact.highest.0 + slack,
                    "{:?} is not inside {exact:?}, {outlook:?}, {:?}: {input:?}",
                    place.counts,
                    stack.sources()
                );
            }
            drawn += BOARDS;
        }
    }
}

#[test]
fn boards_at_the_ends_attain_the_worst_case() {
    let mut dice = Dice::new(502);
    let (mut attained, mut tried) = (0, 0);
    for _ in 0..120 {
        let board = random_board(&mut dice);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let (first, last) = input.range();
        let points = [first, f64::midpoint(first, last), last];
        let Some(stack) = Stack::new(&board, input, &fitted, Outlook::Life) else { continue };
        // Every combination of ends comes up some ten times on average.
        let combinations = 1_u64 << stack.sources().len().saturating_sub(1);
        if combinations > 1 << 16 {
            continue;
        }
        let trials = Trials::new((20 * combinations).max(20_000), dice.bits().into());
        let batch = Batch::draw(&stack, &everything(&points, input, Draws::AtEnds), &trials);
        for place in &batch.places {
            let exact = band_at(&board, input, &fitted, Outlook::Life, place.value);
            let close =
                |found: Counts, exact: Counts| (found - exact).0.abs() <= 1e-9 * exact.0.abs().max(1.0);
            tried += 2;
            attained += i32::from(close(place.counts.lowest, exact.lowest));
            attained += i32::from(close(place.counts.highest, exact.highest));
        }
    }
    // Where a clamp takes hold inside the box the worst place may be no corner, and once in a while a corner is missed.
    assert!(tried > 200 && attained * 100 >= tried * 97, "{attained} of {tried}");
}

#[test]
fn the_same_seed_gives_the_same_boards_whatever_the_threads() {
    let board =
        read("inputs: { tank: { circuit: pull-up, sender: 240 .. 33, pull_up: 300, protection: 10k } }");
    let input = &board.inputs[0];
    let fitted = Values::given(input);
    let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
    let batch = |threads, seed| {
        let trials = Trials { threads, ..Trials::new(50_000, seed) };
        let drawn = Drawn {
            allowed: Some(3.0),
            greatest: 10.0,
            ..everything(&[0.0, 50.0, 100.0], input, Draws::AsSpread)
        };
        Batch::draw(&stack, &drawn, &trials)
    };
    let one = batch(1, 7);
    assert_eq!(one, batch(2, 7));
    assert_eq!(one, batch(5, 7));
    assert_ne!(one, batch(1, 8));
    assert_eq!(one.errors.iter().sum::<u64>(), 50_000);
}

#[test]
fn an_error_that_is_counted_is_that_of_the_firmware() {
    // The share of boards within an allowed error, against readings of the same boards one by one.
    let text = "
converter: { bits: 10 }
inputs: { tank: { circuit: pull-up, sender: { resistance: 240 .. 33, tolerance: 3 % }, pull_up: 300, protection: 10k } }";
    let board = read(text);
    let input = &board.inputs[0];
    let fitted = Values::given(input);
    let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
    let firmware = Firmware::new(&board, input, &fitted);
    let drawn = Drawn { allowed: Some(2.0), greatest: 10.0, ..everything(&[25.0], input, Draws::AsSpread) };
    let batch = Batch::draw(&stack, &drawn, &Trials::new(100_000, 3));
    let scene = Scene::new(&board, input, &fitted);
    let life = &scene.situations[Scene::NORMAL];
    let worst = greatest_error_of(input, &scene, [&scene.nominal.resistances, &life.resistances]).unwrap();
    assert!(batch.error_of(1.0) <= worst.value.max(10.0 / 4096.0));
    let band = batch.places[0].counts;
    let shown = [band.lowest, band.highest].map(|count| firmware.reading(board.converter.truncated(count)));
    let most = (shown[0] - 25.0).abs().max((shown[1] - 25.0).abs());
    near(batch.error_of(1.0), most, 10.0 / 4096.0);
    let good = batch.good.unwrap();
    assert!(good > 50_000 && good < 100_000, "{good}");
    // The steps in which errors are sorted say the same as the boards that were counted.
    let steps = (2.0 / 10.0 * 4096.0) as usize;
    let below: u64 = batch.errors[..steps].iter().sum();
    assert!(below <= good && good <= below + batch.errors[steps], "{below} {good}");
}

/// JCGM 100 by another program: see the script beside the table.
#[test]
fn root_sum_of_squares_agrees_with_a_reference_library() {
    let table = include_str!("reference/uncertainties_boards.csv");
    let mut lines = table.lines().filter(|line| !line.starts_with('#'));
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    let mut boards = 0;
    for line in lines {
        let row: HashMap<&str, &str> = names.iter().copied().zip(line.split(',')).collect();
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let reference = if number("reference") > 0.0 {
            format!(
                "{{ voltage: {} V, tolerance: {} % }}",
                row["reference"],
                number("reference_tolerance") * 100.0
            )
        } else {
            "logic".to_owned()
        };
        let circuit = if row["circuit"] == "pull-up" {
            format!(
                "circuit: pull-up, sender: {{ resistance: {} Ω .. {} Ω, tolerance: {} % }}, pull_up: {}, excitation: logic",
                row["first_end"],
                row["last_end"],
                number("sender_tolerance") * 100.0,
                row["top_ohm"]
            )
        } else {
            format!(
                "circuit: divider, measures: 0 V .. {0} V, unit: '%', reads: [[0 V, 0], [{0} V, 100]], top: {1}, bottom: {2}",
                row["last_end"], row["top_ohm"], row["bottom_ohm"]
            )
        };
        let text = format!(
            "
ambient: {{ lowest: -20 °C, highest: 70 °C }}
rails: {{ logic: {{ voltage: {} V, tolerance: {} % }} }}
converter: {{ bits: {}, reference: {reference}, offset: {} counts, gain: {} %, inl: {} counts, leakage: {} A }}
resistors: {{ tolerance: {} %, tempco: {} ppm/K, ageing: {} % }}
inputs:
  tank: {{ {circuit}, protection: {}, wire: 0 Ω .. {} Ω, ground_shift: {} V, limits: off }}",
            row["rail"],
            number("rail_tolerance") * 100.0,
            row["bits"],
            row["offset"],
            number("gain") * 100.0,
            row["inl"],
            number("leakage"),
            number("tolerance") * 100.0,
            row["tempco"],
            number("ageing") * 100.0,
            row["protection"],
            row["wire"],
            row["shift"],
        );
        let board = read(&text);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
        let found = root_sum(&stack, number("value")).standard;
        let expected = number("standard");
        assert!((found / expected - 1.0).abs() < 1e-6, "{found} is not {expected}\n{text}");
        boards += 1;
    }
    assert_eq!(boards, 50);
}

/// A divider of two parts with nothing else that may be off, on a fine converter.
fn plain_divider(measures: f64, top: &str, bottom: &str, tolerance: f64) -> Board {
    read(&format!(
        "
ambient: {{ lowest: 25 °C, highest: 25 °C }}
bench: {{ temperature: 25 °C .. 25 °C, decade_box: 0 % }}
rails: {{ logic: {{ voltage: 5 V, tolerance: 0 % }} }}
converter: {{ bits: 24, offset: 0 counts, gain: 0 %, inl: 0 counts, leakage: 0 A }}
resistors: {{ tolerance: {tolerance} %, tempco: 0 ppm/K, ageing: 0 % }}
inputs:
  bank:
    circuit: divider
    measures: 0 V .. {measures} V
    top: {top}
    bottom: {bottom}
    protection: none
    capacitor: none
    limits: off"
    ))
}

/// Pin voltage at the top of what is measured: nominal, and the band over life.
fn pin_at_top(board: &Board) -> [f64; 3] {
    let input = &board.inputs[0];
    let fitted = Values::given(input);
    let volts = |count: Counts| count.0 / f64::from(1 << 24) * 5.0;
    let (_, top) = input.range();
    let band = |outlook| band_at(board, input, &fitted, outlook, top);
    let life = band(Outlook::Life);
    [volts(band(Outlook::Nominal).lowest), volts(life.lowest), volts(life.highest)]
}

#[test]
fn worst_case_of_a_divider() {
    // By hand: +2t(1 − k)/(1 + t(2k − 1)) and −2t(1 − k)/(1 − t(2k − 1)); first order ±2t(1 − k), root sum √2·t·(1 − k).
    for (top, bottom, t, up, down, root) in [
        ("10k", "10k", 1.0, 0.010_000_0, 0.010_000_0, 0.007_071_1),
        ("20k", "10k", 1.0, 0.013_377_9, 0.013_289_0, 0.009_428_1),
        ("82k", "15k", 1.0, 0.017_024_8, 0.016_791_2, 0.011_955_2),
        ("49.9k", "10k", 0.1, 0.001_667_22, 0.001_665_00, 0.001_178_12),
    ] {
        let measures = 9.0;
        let board = plain_divider(measures, top, bottom, t);
        let [nominal, low, high] = pin_at_top(&board);
        near(high / nominal - 1.0, up, 6e-8);
        near(1.0 - low / nominal, down, 6e-8);
        let input = &board.inputs[0];
        let fitted = Values::given(input);
        let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
        // Rectangular tolerances: the root sum of the limits is √3 standard uncertainties.
        near(root_sum(&stack, measures).standard * 3.0_f64.sqrt() / measures, root, 1e-7);
    }
    // 30 V into 82k/15k: 4.639175 V, 4.561278 .. 4.718156 V (by hand).
    let [nominal, low, high] = pin_at_top(&plain_divider(30.0, "82k", "15k", 1.0));
    near(nominal, 4.639_175, 1e-6);
    near(low, 4.561_278, 1e-6);
    near(high, 4.718_156, 1e-6);
    // Two 1 kΩ resistors of 1 % at 10 V give 4.95 .. 5.05 V (a textbook example, here with 9 V: 4.455 .. 4.545 V).
    let [_, low, high] = pin_at_top(&plain_divider(9.0, "1k", "1k", 1.0));
    near(low, 4.455, 1e-6);
    near(high, 4.545, 1e-6);
}

#[test]
fn field_cases_of_dividers() {
    // P14: 16.8 V on 9k/2.2k with parts of 5 %: 3.30 V, 3.04 .. 3.57 V.
    let [nominal, low, high] = pin_at_top(&plain_divider(16.8, "9k", "2.2k", 5.0));
    near(nominal, 3.30, 0.005);
    near(low, 3.04, 0.005);
    near(high, 3.57, 0.005);
    // P19: 100k/100k with parts of 5 %: −5.0 .. +5.0 %.
    let [nominal, low, high] = pin_at_top(&plain_divider(9.0, "100k", "100k", 5.0));
    near(low / nominal - 1.0, -0.05, 1e-6);
    near(high / nominal - 1.0, 0.05, 1e-6);
    // Parts of one network: a matched pair cancels, in every view.
    let board = plain_divider(9.0, "{ value: 100k, tracks: pair }", "{ value: 100k, tracks: pair }", 5.0);
    let [nominal, low, high] = pin_at_top(&board);
    near(low, nominal, 1e-6);
    near(high, nominal, 1e-6);
    let fitted = Values::given(&board.inputs[0]);
    let stack = Stack::new(&board, &board.inputs[0], &fitted, Outlook::Life).unwrap();
    assert_eq!(stack.sources().iter().filter(|source| source.cause == Cause::Tolerance).count(), 1);
    near(root_sum(&stack, 4.5).standard, 0.0, 1e-6);
    let drawn = everything(&[4.5], &board.inputs[0], Draws::AsSpread);
    let seen = Batch::draw(&stack, &drawn, &Trials::new(10_000, 1)).places[0].counts;
    near((seen.highest - seen.lowest).0, 0.0, 1e-3);
}

#[test]
fn statistics_of_two_equal_resistors() {
    // Published in a magazine for two resistors with even spread: three quarters of the time the error is less than half
    // its peak, half the time less than some 30 % of it. Exact for the triangle: 0.75, 1 − √0.5, and 1 − √0.05 for 95 %.
    let board = plain_divider(4.0, "10k", "10k", 5.0);
    let input = &board.inputs[0];
    let fitted = Values::given(input);
    let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
    // 2t(1 − k) of 4 V: first order, as the published figures are. In the middle of the range nothing is held.
    let peak = 0.05 * 2.0;
    let drawn = Drawn { greatest: peak * 1.01, ..everything(&[2.0], input, Draws::AsSpread) };
    let batch = Batch::draw(&stack, &drawn, &Trials::new(2_000_000, 1));
    let within = |share: f64| {
        let steps = (share / 1.01 * batch.errors.len() as f64) as usize;
        batch.errors[..steps].iter().sum::<u64>() as f64 / batch.boards as f64
    };
    near(within(0.5), 0.75, 0.002);
    near(within(1.0 - 0.5_f64.sqrt()), 0.5, 0.002);
    near(within(1.0 - 0.05_f64.sqrt()), 0.95, 0.002);
    near(batch.error_of(0.5) / peak, 0.2929, 0.002);
    near(batch.error_of(0.95) / peak, 0.7764, 0.003);
}

#[test]
fn extremes_are_at_corners_and_the_span_is_not() {
    // By hand: +5 V over 10 kΩ, −10 V over 20 kΩ, 15 kΩ to ground, all ±5 %: −0.237154 .. +0.231660 V. As a level shift
    // from −10 V with the bias on 5 V.
    let board = read(
        "
ambient: { lowest: 25 °C, highest: 25 °C }
rails: { logic: { voltage: 5 V, tolerance: 0 % } }
converter: { bits: 24, offset: 0 counts, gain: 0 %, inl: 0 counts, leakage: 0 A, clamp: 20 V }
resistors: { tolerance: 5 %, tempco: 0 ppm/K, ageing: 0 % }
inputs:
  shifted:
    { circuit: level-shift, measures: -10 V .. 10 V, top: 20k, bias: 10k, bottom: 15k, protection: none, limits: off }",
    );
    let input = &board.inputs[0];
    let fitted = Values::given(input);
    let volts = |count: Counts| count.0 / f64::from(1 << 24) * 5.0;
    let life = band_at(&board, input, &fitted, Outlook::Life, -10.0);
    near(volts(life.lowest), -0.237_154, 1e-6);
    near(volts(life.highest), 0.231_660, 1e-6);
    let stack = Stack::new(&board, input, &fitted, Outlook::Life).unwrap();
    let batch = Batch::draw(&stack, &everything(&[-10.0], input, Draws::AsSpread), &Trials::new(200_000, 1));
    let drawn = batch.places[0].counts;
    assert!(drawn.lowest.0 >= life.lowest.0 && drawn.highest.0 <= life.highest.0);
    // Random points of the same box, published to reach −0.2334 .. +0.2298 V with 200 000: as far, about.
    near(volts(drawn.lowest), -0.2334, 0.003);
    near(volts(drawn.highest), 0.2298, 0.003);
}

#[test]
fn a_source_alone_is_worth_the_error_of_a_board_with_only_that_source() {
    // On a fine converter truncation is nothing, so the exact greatest error of a board on which only one thing is off must
    // be what the ranking says of it.
    let mut dice = Dice::new(504);
    let mut compared = 0;
    for _ in 0..150 {
        let mut board = random_board(&mut dice);
        board.converter.bits = 26;
        let full = board.clone();
        let input = &full.inputs[0];
        let fitted = Values::given(input);
        let Some(stack) = Stack::new(&full, input, &fitted, Outlook::Life) else { continue };
        let nominal =
            situations_of(&full, input, &fitted, Case::Normal, Outlook::Nominal, Place::Range).swap_remove(0);
        if count_band(&nominal, &nominal.resistances).is_none() {
            continue;
        }
        let zone = input.zone();
        let width = zone.highest - zone.lowest;
        let ranked = rank(&stack, zone, zone.lowest);
        for found in
            ranked.iter().filter(|found| matches!(found.source.cause, Cause::Tolerance | Cause::Gain))
        {
            let alone = dense(&stack, found.source.cause, found.source.owner, &full, &fitted);
            let Some(alone) = alone else { continue };
            assert!(
                found.error_alone >= alone - 1e-9 * width && found.error_alone <= alone * 1.02 + 2e-3 * width,
                "{:?}: {} is not {alone}",
                found.source,
                found.error_alone
            );
            compared += 1;
        }
    }
    assert!(compared > 150, "{compared}");
}

/// The greatest error with one source at its ends at many places, by situations whose bands hold that source only.
fn dense(
    stack: &Stack<'_>,
    cause: Cause,
    owner: ohmwright::stackup::Owner,
    board: &Board,
    fitted: &Values,
) -> Option<f64> {
    use ohmwright::circuit::Of;
    use ohmwright::stackup::Owner;
    use ohmwright::worst::{Corner, Ends};
    let input = &board.inputs[0];
    let firmware = Firmware::new(board, input, fitted);
    let source = stack.sources().iter().find(|source| source.cause == cause && source.owner == owner)?;
    let zone = input.zone();
    let mut most: f64 = 0.0;
    for step in 0..=200 {
        let value = zone.lowest + (zone.highest - zone.lowest) * f64::from(step) / 200.0;
        let mut at = situations_of(board, input, fitted, Case::Normal, Outlook::Nominal, Place::At(value))
            .swap_remove(0);
        for limit in source.spread.limits() {
            let mut factor = 1.0;
            let nominal = at.resistances.clone();
            if let Owner::Part(role) = owner {
                let place = at.place_of(Of::Part(role))?;
                at.resistances[place] = Band::exactly(nominal[place].lowest * (1.0 + limit));
            } else {
                factor += limit;
            }
            let corner = Corner::at(&at, &at.resistances, Ends::default());
            let top = board.converter.highest_count().0;
            let count = (edge_at(&corner, 0.0).0 * factor).clamp(0.0, top);
            // Before truncation: the reading of n + 0.5 for n = count − 0.5.
            let shown = firmware.nominal().reading(Counts(count - 0.5));
            at.resistances = nominal;
            if !shown.is_nan() {
                most = most.max((shown - value).abs());
            }
        }
    }
    Some(most)
}

/// A sender that follows the supply, and a divider that measures it.
const CORRECTED: &str = "
supply: { lowest: 9 V, usual: 12 V, highest: 16 V, change_between_samples: 50 mV }
converter: { bits: 12 }
inputs:
  supply: { circuit: divider, from: supply, measures: 0 V .. 20 V, top: 47k, bottom: 10k, protection: 10k, limits: off }
  tank:
    circuit: pull-up
    excitation: supply
    corrected_by: supply
    sender: { resistance: 10 .. 180, tolerance: 2 % }
    pull_up: 1k
    protection: 10k
    limits: { error: 6 }
";

#[test]
fn readings_that_are_corrected_have_all_three_views() {
    let board = read(CORRECTED);
    let answer = answer_with(&board, "check", Some(&Trials::new(40_000, 1)));
    let tank = &answer.inputs.0.iter().find(|(name, _)| name == "tank").unwrap().1;
    let stack_up = tank.stack_up.as_ref().unwrap();
    // Both inputs are among the sources, what they share once.
    let of = |cause: &str, input: Option<&str>| {
        let same =
            |row: &&ohmwright::answer::SourceRow| row.of.source == cause && row.of.input.as_deref() == input;
        stack_up.sources.iter().filter(same).count()
    };
    assert_eq!(of("rail", None) + of("rail", Some("supply")), 1);
    assert_eq!(of("gain", None) + of("gain", Some("supply")), 1);
    assert_eq!((of("tolerance", None), of("tolerance", Some("supply"))), (2, 3));
    assert_eq!((of("truncation", None), of("truncation", Some("supply"))), (1, 1));
    assert_eq!((of("supply", None), of("supply change", None)), (1, 1));
    // The supply is divided out: alone it does next to nothing.
    let alone = |cause: &str| {
        tank.ranking.iter().find(|row| row.of.source == cause).map_or(0.0, |row| row.error_alone)
    };
    assert!(alone("supply") < 1e-6, "{}", alone("supply"));
    assert!(alone("supply change") > 0.1);
    for point in &tank.checkpoints {
        let reading = point.reading.unwrap();
        let (drawn, root) = (reading.monte_carlo.unwrap(), reading.root_sum_of_squares.unwrap());
        assert!(drawn.lowest >= reading.life.lowest && drawn.highest <= reading.life.highest, "{reading:?}");
        if (20.0..=80.0).contains(&point.value) {
            let ratio = (drawn.highest - drawn.lowest) / (root.highest - root.lowest);
            assert!((0.8..1.1).contains(&ratio), "{ratio} {reading:?}");
        }
    }
    let [worst, root, drawn] = [
        stack_up.life.worst_case.greatest,
        stack_up.life.root_sum_of_squares.greatest,
        stack_up.life.monte_carlo.unwrap().greatest,
    ];
    assert!(worst > root && worst > drawn, "{worst} {root} {drawn}");
    let share = tank.monte_carlo.as_ref().unwrap().share.unwrap();
    assert!(share.lowest <= share.value && share.value <= share.highest && share.value > 0.5, "{share:?}");
}

#[test]
fn interval_of_a_share() {
    // SciPy 1.17.1, binomtest(good, all).proportion_ci(0.95, method="wilson").
    for (good, all, low, high) in [
        (8, 10, 0.490_162_471_536_641_8, 0.943_317_848_545_624_8),
        (990, 1000, 0.981_690_531_129_685_2, 0.994_559_245_554_470_6),
        (100_000, 100_000, 0.999_961_586_887_416_9, 1.0),
        (0, 50, 0.0, 0.071_347_599_133_358_72),
    ] {
        let found = wilson(good, all);
        near(found.lowest.0, low, 1e-12);
        near(found.highest.0, high, 1e-12);
    }
}
