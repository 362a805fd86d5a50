//! Values shared by all inputs of a board.

mod support;

use itertools::Itertools;
use ohmwright::share::values::{Effort, Score, Tariff, Task, Value, Way, share};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

const EFFORT: Effort = Effort { nodes: 100_000, until: None };

fn way(values: &[usize], loss: u64) -> Way {
    let mut uses: Vec<(usize, u64)> = Vec::new();
    for &value in values.iter().sorted() {
        match uses.last_mut() {
            Some((last, count)) if *last == value => *count += 1,
            _ => uses.push((value, 1)),
        }
    }
    Way { uses, loss }
}

/// A random task; of some the pieces are counted, and of some a few picks are forbidden.
fn task(random: &mut Xoshiro256PlusPlus) -> Task {
    let count = random.random_range(3..12);
    let is_priced = random.random_bool(0.4);
    let tariff = |random: &mut Xoshiro256PlusPlus| Tariff {
        price: random.random_range(0..9),
        quantity: random.random_bool(0.5).then(|| random.random_range(0..30)),
        pack: random.random_range(1..20),
    };
    let values = (0..count).map(|_| Value {
        given: u64::from(random.random_bool(0.1)),
        tariff: is_priced.then(|| tariff(random)),
    });
    let values: Vec<Value> = values.collect();
    let inputs = (0..random.random_range(1..5)).map(|_| {
        (0..random.random_range(1..9))
            .map(|_| {
                let parts: Vec<usize> =
                    (0..random.random_range(0..4)).map(|_| random.random_range(0..count)).collect();
                // Few losses, so that there are ties.
                way(&parts, random.random_range(0..6))
            })
            .collect_vec()
    });
    let inputs = inputs.collect_vec();
    let forbidden = if random.random_bool(0.3) && inputs.len() > 1 {
        (0..random.random_range(1..4))
            .map(|_| {
                let mut sets: Vec<(usize, usize)> =
                    inputs.iter().map(|ways| random.random_range(0..ways.len())).enumerate().collect();
                sets.truncate(2);
                sets
            })
            .collect()
    } else {
        Vec::new()
    };
    Task { inputs, values, batch: random.random_range(1..6), forbidden }
}

/// The score by plain counting.
fn counted(task: &Task, picks: &[usize]) -> Score {
    let mut score = Score::default();
    for (value, about) in task.values.iter().enumerate() {
        let uses = task.inputs.iter().zip(picks).flat_map(|(ways, &pick)| &ways[pick].uses);
        let board: u64 = uses.filter(|(other, _)| *other == value).map(|(_, count)| count).sum();
        let pieces = task.batch * (board + about.given);
        score.values += u64::from(pieces > 0);
        let Some(tariff) = about.tariff else { continue };
        let mut bought = 0;
        while bought < pieces {
            bought += tariff.pack;
            score.price += tariff.pack * tariff.price;
        }
        score.short += pieces.max(tariff.quantity.unwrap_or(u64::MAX))
            - tariff.quantity.unwrap_or(u64::MAX).min(u64::MAX);
    }
    score.loss = task.inputs.iter().zip(picks).map(|(ways, &pick)| ways[pick].loss).sum();
    score
}

#[test]
fn no_other_choice_is_better() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(1);
    let mut impossible = 0;
    for round in 0..3000 {
        let task = task(&mut random);
        let all = task.inputs.iter().map(|ways| 0..ways.len()).multi_cartesian_product();
        let allowed =
            |picks: &Vec<usize>| !task.forbidden.iter().any(|set| set.iter().all(|&(i, w)| picks[i] == w));
        let order = |score: &Score| (score.short, score.price, score.values, score.loss);
        let best = all.filter(allowed).map(|picks| counted(&task, &picks)).min_by_key(order);
        let found = share(&task, EFFORT);
        let (Some(best), Some(found)) = (&best, &found) else {
            assert!(best.is_none() && found.is_none(), "{round}: {best:?} {found:?}");
            impossible += 1;
            continue;
        };
        assert!(found.is_fewest_proven && found.is_loss_proven, "{round}: {found:?}");
        let score = counted(&task, &found.picks);
        assert_eq!(score, *best, "{round}");
        assert_eq!(score, found.score, "{round}");
        assert!(found.least_values <= score.values);
        if task.values.iter().all(|value| value.tariff.is_none()) {
            assert_eq!(found.least_values, score.values, "{round}");
        }
    }
    assert!(impossible < 100);
}
