//! How long it takes to prove the fewest values for all inputs of a board.
//!
//! To reach: 8 inputs with 40 ways each in 50 ms, 16 in 3 s; 32 answer within 10 s, with what is proven.
#![allow(clippy::print_stdout, reason = "a bench reports to whoever runs it")]

use std::fmt::Write;
use std::time::Instant;

use divan::Bencher;
use ohmwright::board::{Board, InputId};
use ohmwright::brief::read_text;
use ohmwright::examine::{Sharing, answer_shared};
use ohmwright::search::choose;
use ohmwright::share::values::{Effort, Task, Value, Way, share};
use ohmwright::share::{Family, Open, Seat};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

const ASKED: Sharing = Sharing { most_loss: 0.05, effort: EFFORT, batch: 1 };
const EFFORT: Effort = Effort { nodes: 500, until: None };

fn main() {
    for inputs in [8, 16, 32, 64] {
        let board = board(inputs);
        let start = Instant::now();
        let family = answer_shared(&[board], "design", None, ASKED);
        let Some(share) = family.share else { continue };
        println!(
            "board of {inputs} inputs from E24, with its trade: {:.0} ms, {} values, {} alone, {}",
            start.elapsed().as_secs_f64() * 1e3,
            share.different_values,
            share.alone,
            share.proof
        );
    }
    for inputs in [8, 16, 32] {
        let board = board(inputs);
        let task = forty_ways_each(&board);
        let start = Instant::now();
        let Some(found) = share(&task, EFFORT) else { continue };
        println!(
            "{inputs} inputs of that board with 40 ways each: {:.0} ms, {} values (at least {}), proven {}, losses proven {}",
            start.elapsed().as_secs_f64() * 1e3,
            found.score.values,
            found.least_values,
            found.is_fewest_proven,
            found.is_loss_proven
        );
    }
    for (inputs, ways) in [(8, 40), (16, 40), (32, 40)] {
        for seed in 1..=3 {
            let task = task(inputs, ways, seed);
            let start = Instant::now();
            let Some(found) = share(&task, EFFORT) else { continue };
            println!(
                "{inputs} inputs of {ways} random ways, seed {seed}: {:.0} ms, {} values (at least {}), proven {}, losses {} \
                 proven {}",
                start.elapsed().as_secs_f64() * 1e3,
                found.score.values,
                found.least_values,
                found.is_fewest_proven,
                found.score.loss,
                found.is_loss_proven
            );
        }
    }
    divan::main();
}

/// A board of fuel senders, batteries and thermometers, each a little different.
#[allow(clippy::panic, reason = "a bench with a wrong brief has nothing to measure")]
fn board(inputs: usize) -> Board {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(1);
    let mut text = String::from(
        "board: bench\nsupply: { lowest: 9 V, highest: 16 V, contact: 29 V, surge: 35 V }\ninputs:\n",
    );
    for place in 0..inputs {
        let mut of = |low: f64, high: f64| random.random_range(low..high);
        let input = match of(0.0, 4.0) as u8 {
            0 | 1 => format!(
                "{{ circuit: pull-up, sender: {:.1} .. {:.1}, pull_up: choose, protection: {{ choose: 1k .. 47k }} }}",
                of(150.0, 500.0),
                of(5.0, 80.0)
            ),
            2 => format!(
                "{{ circuit: divider, from: supply, measures: 0 V .. {:.0} V, top: {{ choose: 4k7 .. 220k }}, bottom: {{ \
                 choose: 1k .. 47k }} }}",
                of(10.0, 48.0)
            ),
            _ => format!(
                "{{ circuit: pull-up, sender: {{ unit: °C, ntc: {{ at: 25 °C, resistance: {:.0}, beta: 3950 K }}, range: \
                 -10 °C .. 110 °C }}, pull_up: choose, protection: {{ choose: 1k .. 47k }}, aim: resolution, zone: 60 °C .. \
                 100 °C }}",
                of(2000.0, 100_000.0)
            ),
        };
        let _ = writeln!(text, "  in {place}: {input}");
    }
    read_text(text.as_bytes(), "bench").unwrap_or_else(|faults| panic!("{faults}"))
}

/// The task of a board with forty ways of each input, evenly out of all that lose at most 5 %.
fn forty_ways_each(board: &Board) -> Task {
    let open = board.inputs.iter().enumerate().filter_map(|(place, input)| {
        let best = choose(board, input).best?;
        let seat = Seat { board: 0, input: InputId(place) };
        let mut open = Open::new(board, input, seat, best.aim, 0.05);
        let step = (open.near.choices.len() / 40).max(1);
        open.near.choices = open.near.choices.into_iter().step_by(step).take(40).collect();
        Some(open)
    });
    let family =
        Family { boards: std::slice::from_ref(board), open: open.collect(), settled: Vec::new(), batch: 1 };
    family.task(0.05, &[]).task
}

/// Ways of 2 to 4 values out of 150, near places that several inputs like.
fn task(inputs: usize, ways: usize, seed: u64) -> Task {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
    let hot: Vec<usize> = (0..12).map(|_| random.random_range(5..145)).collect();
    let inputs = (0..inputs).map(|_| {
        let likes: Vec<usize> =
            (0..random.random_range(2..=4)).map(|_| hot[random.random_range(0..hot.len())]).collect();
        let way = |random: &mut Xoshiro256PlusPlus| {
            let mut values: Vec<usize> =
                likes.iter().map(|&like| like + random.random_range(0..11) - 5).collect();
            values.sort_unstable();
            values.dedup();
            Way {
                uses: values.into_iter().map(|value| (value, 1)).collect(),
                loss: random.random_range(0..500),
                rank: 0,
            }
        };
        (0..ways).map(|_| way(&mut random)).collect()
    });
    Task { inputs: inputs.collect(), values: vec![Value::default(); 150], batch: 1, forbidden: Vec::new() }
}

#[divan::bench(sample_count = 10)]
fn board_of_eight_inputs(bencher: Bencher<'_, '_>) {
    let boards = [board(8)];
    bencher.bench(|| answer_shared(&boards, "design", None, ASKED));
}

#[divan::bench(sample_count = 10)]
fn board_of_sixteen_inputs(bencher: Bencher<'_, '_>) {
    let boards = [board(16)];
    bencher.bench(|| answer_shared(&boards, "design", None, ASKED));
}
