//! Values shared from stock: the price of the batch, by every choice there is.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use itertools::Itertools;
use ohmwright::board::{Board, Choice, Input};
use ohmwright::brief::read_file;
use ohmwright::circuit::{Scene, Values};
use ohmwright::examine::{Sharing, answer_shared};
use ohmwright::limits::checks_of;
use ohmwright::share::values::Effort;
use ohmwright::worst::least_span;
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use tempfile::TempDir;

/// What a choice amounts to: pieces short, price in ten-thousandths, rows used, hundredths of a per cent lost.
type Amount = (u64, u64, usize, u64);

/// One row of a random stock file.
#[derive(Clone, Copy)]
struct Row {
    ohms: f64,
    price: u64,
    quantity: Option<u64>,
    pack: u64,
}

fn stock(random: &mut Xoshiro256PlusPlus) -> Vec<Row> {
    let values = [220.0, 330.0, 470.0, 680.0, 12_000.0, 22_000.0, 33_000.0, 47_000.0, 68_000.0];
    let row = |ohms: &f64| {
        let pack = [1, 5, 20][random.random_range(0..3)];
        let quantity = random.random_bool(0.3).then(|| pack * random.random_range(1..6));
        Row { ohms: *ohms, price: random.random_range(1..40) * 10, quantity, pack }
    };
    values.iter().map(row).collect()
}

fn table(rows: &[Row]) -> String {
    let line = |row: &Row| {
        let quantity = row.quantity.map_or(String::new(), |quantity| quantity.to_string());
        format!("{},{},{quantity},{}\n", row.ohms, row.price as f64 / 1e4, row.pack)
    };
    format!("value,price,quantity,pack\n{}", rows.iter().map(line).collect::<String>())
}

/// The rows that each way to fit an input takes, with its aim.
fn all_that_fit(board: &Board, input: &Input, rows: &[Row]) -> Vec<(Vec<usize>, f64)> {
    let open = input.parts.iter().filter_map(|part| match &part.choice {
        Choice::Choose { candidates, .. } => Some((part.role, candidates)),
        _ => None,
    });
    let open = open.collect_vec();
    let choices = open.iter().map(|(_, candidates)| candidates.iter()).multi_cartesian_product();
    let fits = choices.filter_map(|choice| {
        let mut values = Values::given(input);
        for ((role, _), preferred) in open.iter().zip(&choice) {
            values.set(*role, Some(preferred.ohms));
        }
        let scene = Scene::new(board, input, &values);
        let checks = checks_of(board, input, &scene);
        let mut limited = checks.iter().filter(|check| check.allowed.is_some());
        let holds =
            limited.all(|check| check.worst(input, &scene).is_none_or(|worst| check.holds(worst.value)));
        let [first, last] = &scene.range_ends;
        let sign = input.direction();
        let span = least_span(first, last, [&first.resistances, &last.resistances], sign).span.0 * sign;
        let row = |ohms: f64| rows.iter().position(|row| row.ohms == ohms).expect("a row of the file");
        holds.then(|| (choice.iter().map(|preferred| row(preferred.ohms.0)).collect(), span))
    });
    fits.collect()
}

fn amount(rows: &[Row], taken: &[usize], batch: u64, loss: u64) -> Amount {
    let (mut short, mut price) = (0, 0);
    for (place, row) in rows.iter().enumerate() {
        let pieces = batch * taken.iter().filter(|other| **other == place).count() as u64;
        let there = row.quantity.map_or(pieces, |quantity| pieces.min(quantity));
        short += pieces - there;
        price += there.div_ceil(row.pack) * row.pack * row.price;
    }
    (short, price, taken.iter().unique().count(), loss)
}

#[test]
fn no_choice_from_stock_is_cheaper() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(11);
    let folder = TempDir::new().unwrap();
    let mut compared = 0;
    for round in 0..60 {
        let rows = stock(&mut random);
        fs::write(folder.path().join("stock.csv"), table(&rows)).unwrap();
        let inputs = (0..3).map(|i| {
            let (empty, full) = (random.random_range(150..500), random.random_range(5..80));
            format!("  in {i}: {{ circuit: pull-up, sender: {empty} .. {full}, pull_up: choose, protection: choose }}\n")
        });
        let text = format!(
            "supply: {{ contact: 24 V }}\nresistors: {{ stock: stock.csv }}\ninputs:\n{}",
            inputs.collect::<String>()
        );
        let brief = folder.path().join("board.yaml");
        fs::write(&brief, text).unwrap();
        let board = read_file(&brief).unwrap_or_else(|faults| panic!("{faults}"));
        let ways = board.inputs.iter().map(|input| all_that_fit(&board, input, &rows)).collect_vec();
        if ways.iter().any(Vec::is_empty) {
            continue;
        }
        let batch = random.random_range(1..8);
        let near = ways.iter().map(|ways| {
            let best = ways.iter().map(|(_, span)| *span).fold(0.0, f64::max);
            let lost = ways.iter().map(|(rows, span)| (rows, ((best - span) / best).max(0.0)));
            let near = lost.filter(|(_, loss)| *loss <= 0.05 * (1.0 + 1e-9));
            near.map(|(rows, loss)| (rows, (loss * 1e4).round() as u64)).collect_vec()
        });
        let near = near.collect_vec();
        let of = |choice: Vec<&(&Vec<usize>, u64)>| {
            let taken = choice.iter().flat_map(|(rows, _)| rows.iter().copied()).collect_vec();
            amount(&rows, &taken, batch, choice.iter().map(|(_, loss)| loss).sum())
        };
        let best = near.iter().map(|ways| ways.iter()).multi_cartesian_product().map(of).min().unwrap();
        let effort = Effort { nodes: 100_000, until: None };
        let family = answer_shared(&[board], "design", None, Sharing { most_loss: 0.05, effort, batch });
        let share = family.share.unwrap();
        assert_eq!(share.proof, "complete", "{round}");
        let price = (share.price.expect("every row has a price") * 1e4).round() as u64;
        assert_eq!((price, share.different_values), (best.1, best.2 as u64), "{round}: {best:?}");
        let row = share.trade.iter().find(|row| row.chosen).unwrap();
        assert!(
            (row.sum_of_losses * 1e4 - best.3 as f64).abs() <= 2.0,
            "{round}: {} {best:?}",
            row.sum_of_losses
        );
        compared += 1;
    }
    assert!(compared > 30, "{compared}");
}
