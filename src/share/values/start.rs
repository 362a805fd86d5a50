//! A good choice to start from, by local search: one input after the other takes what is best beside the rest, then single
//! values are driven out. Seeded, so that the same task gives the same choice.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

use super::{Score, Task};

/// Beginnings, at most, and at least.
const RESTARTS: usize = 60;
const FEWEST: usize = 2;

/// Ways that are looked at before no more beginnings are made.
const MOST_LOOKS: u64 = 10_000_000;

/// Rounds over all inputs, at most.
const ROUNDS: usize = 30;

/// The best choice that is found; `None`: none that is allowed.
pub(super) fn search(task: &Task) -> Option<Vec<usize>> {
    if task.inputs.iter().any(Vec::is_empty) {
        return None;
    }
    let mut random = Xoshiro256PlusPlus::seed_from_u64(0);
    let mut best: Option<(Vec<usize>, Score)> = None;
    let mut looks = 0;
    for restart in 0..RESTARTS {
        if looks > MOST_LOOKS && restart >= FEWEST && best.is_some() {
            break;
        }
        let mut trial = Trial::new(task);
        let mut order: Vec<usize> = (0..task.inputs.len()).collect();
        if restart == 1 {
            // What each input would take alone: nothing is given up where nothing is gained.
            for &input in &order {
                let first = (0..task.inputs[input].len())
                    .min_by_key(|&way| (task.inputs[input][way].loss, task.inputs[input][way].rank));
                if let Some(way) = first {
                    trial.take(input, way);
                }
            }
        } else if restart > 1 {
            order.shuffle(&mut random);
            // Some begin with chance, the others with nothing: so both few values and little loss are found.
            let by_chance = random.random_range(0..=order.len());
            for &input in &order[..by_chance] {
                trial.take(input, random.random_range(0..task.inputs[input].len()));
            }
        }
        trial.improve(&order);
        looks += trial.looks;
        if trial.is_allowed() && best.as_ref().is_none_or(|(_, score)| trial.score() < *score) {
            best = Some((trial.picks(), trial.score()));
        }
    }
    best.map(|(picks, _)| picks)
}

/// What the same moves make of a choice that is known; never anything worse.
pub(super) fn improved(task: &Task, picks: &[usize]) -> Vec<usize> {
    let mut trial = Trial::new(task);
    for (input, &way) in picks.iter().enumerate() {
        trial.take(input, way);
    }
    trial.improve(&(0..task.inputs.len()).collect::<Vec<_>>());
    let better = trial.is_allowed() && trial.score() < task.score(picks);
    if better { trial.picks() } else { picks.to_vec() }
}

/// A choice under way.
#[derive(Clone)]
struct Trial<'a> {
    task: &'a Task,
    picks: Vec<Option<usize>>,
    /// Pieces a board of each value.
    pieces: Vec<u64>,
    /// Ways that were looked at.
    looks: u64,
}

impl<'a> Trial<'a> {
    fn new(task: &'a Task) -> Self {
        let pieces = task.values.iter().map(|value| value.given).collect();
        Self { task, picks: vec![None; task.inputs.len()], pieces, looks: 0 }
    }

    fn picks(&self) -> Vec<usize> {
        self.picks.iter().map(|pick| pick.unwrap_or_default()).collect()
    }

    fn score(&self) -> Score {
        self.task.score(&self.picks())
    }

    fn is_allowed(&self) -> bool {
        self.task.allows(&self.picks())
    }

    fn leave(&mut self, input: usize) -> Option<usize> {
        let left = self.picks[input].take()?;
        for &(value, count) in &self.task.inputs[input][left].uses {
            self.pieces[value] -= count;
        }
        Some(left)
    }

    fn take(&mut self, input: usize, way: usize) {
        self.leave(input);
        self.picks[input] = Some(way);
        for &(value, count) in &self.task.inputs[input][way].uses {
            self.pieces[value] += count;
        }
    }

    /// What a way would add, for an input that has none.
    fn adds(&self, input: usize, way: usize) -> Score {
        let way = &self.task.inputs[input][way];
        let mut sum = Score { loss: way.loss, rank: way.rank, ..Score::default() };
        for &(value, count) in &way.uses {
            let about = &self.task.values[value];
            let before = about.score(self.pieces[value] * self.task.batch);
            let after = about.score((self.pieces[value] + count) * self.task.batch);
            sum.short += after.short - before.short;
            sum.price += after.price - before.price;
            sum.values += after.values - before.values;
        }
        sum
    }

    /// Whether a way would complete what is forbidden.
    fn is_forbidden(&self, input: usize, way: usize) -> bool {
        let is_made = |&(other, of): &(usize, usize)| {
            if other == input { of == way } else { self.picks[other] == Some(of) }
        };
        let about = |set: &&Vec<_>| set.contains(&(input, way));
        self.task.forbidden.iter().filter(about).any(|set| set.iter().all(is_made))
    }

    /// The way that adds least, those with `without` left out.
    fn best_way(&mut self, input: usize, without: Option<usize>) -> Option<usize> {
        self.looks += self.task.inputs[input].len() as u64;
        let uses =
            |way: usize| self.task.inputs[input][way].uses.iter().any(|&(value, _)| Some(value) == without);
        let mut best: Option<(usize, Score)> = None;
        for way in 0..self.task.inputs[input].len() {
            if uses(way) || self.is_forbidden(input, way) {
                continue;
            }
            let adds = self.adds(input, way);
            if best.is_none_or(|(_, score)| adds < score) {
                best = Some((way, adds));
            }
        }
        best.map(|(way, _)| way)
    }

    /// One input after the other takes what is best beside the rest, until nothing changes.
    fn settle(&mut self, order: &[usize], without: Option<usize>) {
        for _ in 0..ROUNDS {
            let before = self.picks.clone();
            for &input in order {
                let left = self.leave(input);
                if let Some(way) = self.best_way(input, without).or(left) {
                    self.take(input, way);
                }
            }
            if self.picks == before {
                return;
            }
        }
    }

    /// The same, then each value is driven out in turn if that helps.
    fn improve(&mut self, order: &[usize]) {
        self.settle(order, None);
        let mut value = 0;
        while value < self.pieces.len() {
            if self.pieces[value] > self.task.values[value].given {
                let mut without = self.clone();
                without.settle(order, Some(value));
                without.settle(order, None);
                self.looks = without.looks;
                if without.is_allowed() && without.score() < self.score() {
                    *self = without;
                    value = 0;
                    continue;
                }
            }
            value += 1;
        }
    }
}
