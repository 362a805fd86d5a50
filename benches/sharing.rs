//! How long it takes to prove the fewest values for all inputs of a board.
//!
//! To reach: 8 inputs with 40 ways each in 50 ms, 16 in 3 s; 32 answer within 10 s, with what is proven.
#![allow(clippy::print_stdout, reason = "a bench reports to whoever runs it")]

use std::time::Instant;

use divan::Bencher;
use ohmwright::share::values::{Effort, Task, Value, Way, share};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

const EFFORT: Effort = Effort { nodes: 2000, until: None };

fn main() {
    for (inputs, ways) in [(8, 40), (8, 100), (16, 40), (16, 100), (32, 40)] {
        for seed in 1..=5 {
            let task = task(inputs, ways, seed);
            let start = Instant::now();
            let Some(found) = share(&task, EFFORT) else { continue };
            println!(
                "{inputs} inputs, {ways} ways, seed {seed}: {:.0} ms, {} values (at least {}), losses {}, proven {} {}",
                start.elapsed().as_secs_f64() * 1e3,
                found.score.values,
                found.least_values,
                found.score.loss,
                found.is_fewest_proven,
                found.is_loss_proven
            );
        }
    }
    divan::main();
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
fn eight_inputs_forty_ways(bencher: Bencher<'_, '_>) {
    let task = task(8, 40, 1);
    bencher.bench(|| share(&task, EFFORT));
}

#[divan::bench(sample_count = 3)]
fn sixteen_inputs_forty_ways(bencher: Bencher<'_, '_>) {
    let task = task(16, 40, 1);
    bencher.bench(|| share(&task, EFFORT));
}
