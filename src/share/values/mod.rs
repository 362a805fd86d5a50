//! One way to fit each input, so that all inputs together need few different values.
//!
//! Each input brings the ways in which it may be fitted, each with the values that it uses and what it loses against the
//! best of its input. What is wanted, each before the next: no pieces short, the lowest price, the fewest different
//! values, the least sum of losses. Where nothing is known of prices and quantities, the first two are nothing.
//!
//! > least Σ y(v), with Σ x(c, j) = 1 over the ways j of each input c, and Σ x(c, j) ≤ y(v) over those ways of c that use v
//!
//! One row for each input and value, not for each way, makes the relaxation tight. With y binary the rest splits into one
//! choice for each input, so x need not be binary unless pieces are counted. Inputs that no value joins are solved apart.
//! A local search comes first: its result is what the programme has to beat, and what is left when the effort ends.

mod bound;
mod programme;
mod reduce;
mod start;

use std::time::Instant;

use itertools::Itertools;

use programme::Said;

/// Steps in which losses are counted in a loss of 1: one step is a hundredth of a per cent, so that what nobody would ever
/// notice is no reason for another value.
pub const STEPS_OF_LOSS: f64 = 10_000.0;

/// An input with one of its ways.
pub type Pick = (usize, usize);

/// One way to fit an input.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The values that it uses, by their place in [`Task::values`], in rising order, each with its pieces a board.
    pub uses: Vec<(usize, u64)>,
    /// What it loses against the best way, in steps.
    pub loss: u64,
    /// Its place among the ways of its input by what decides between ties: 0 comes first.
    pub rank: u64,
}

/// A value that may be fitted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Value {
    /// Pieces a board of parts that are given: a value that is there anyway.
    pub given: u64,
    /// What is known of it in stock; `None`: nothing.
    pub tariff: Option<Tariff>,
}

/// What a value costs, and how much of it there is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tariff {
    /// The price of a piece, in whole units.
    pub price: u64,
    /// Pieces that there are; `None`: as many as needed.
    pub quantity: Option<u64>,
    /// How many are sold together, at least 1.
    pub pack: u64,
}

/// What is to be chosen.
#[derive(Clone, Debug, Default)]
pub struct Task {
    /// The ways of each input, never empty.
    pub inputs: Vec<Vec<Way>>,
    /// All values.
    pub values: Vec<Value>,
    /// Boards in the batch.
    pub batch: u64,
    /// Picks that must not be made together.
    pub forbidden: Vec<Vec<Pick>>,
}

/// What a choice amounts to. Less is better, the first first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Score {
    /// Pieces that are missing for the batch.
    pub short: u64,
    /// What the batch costs, in whole units.
    pub price: u64,
    /// Different values.
    pub values: u64,
    /// The sum of all losses, in steps.
    pub loss: u64,
    /// The sum of all ranks: what is left to choose follows the order among ties, as far as a local search finds.
    pub rank: u64,
}

/// How long to look for a proof.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Nodes of the tree for each programme.
    pub nodes: u64,
    /// When to stop looking for proofs: what is found by then depends on the machine.
    pub until: Option<Instant>,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The way of each input.
    pub picks: Vec<usize>,
    /// What it amounts to, added up from the picks.
    pub score: Score,
    /// No choice has fewer values at this price.
    pub least_values: u64,
    /// Whether price and number of values are proven to be the least.
    pub is_fewest_proven: bool,
    /// Whether the sum of losses is proven to be the least with that.
    pub is_loss_proven: bool,
}

/// The best choice that is found with an effort. `None`: an input has no way, or none was found beside what is forbidden.
pub fn share(task: &Task, effort: Effort) -> Option<Found> {
    let mut found = Found {
        picks: vec![0; task.inputs.len()],
        is_fewest_proven: true,
        is_loss_proven: true,
        ..Found::default()
    };
    found.least_values = task.given();
    for inputs in components(task) {
        let part = Part::of(task, &inputs, reduce::needed(task, &inputs));
        let best = settle(&part.task, effort)?;
        for (&input, way) in inputs.iter().zip(part.picks(&best.picks)) {
            found.picks[input] = way;
        }
        found.least_values += best.least_values;
        found.is_fewest_proven &= best.is_fewest_proven;
        found.is_loss_proven &= best.is_loss_proven;
    }
    found.score = task.score(&found.picks);
    Some(found)
}

impl Task {
    /// What a choice amounts to.
    pub fn score(&self, picks: &[usize]) -> Score {
        let mut pieces: Vec<u64> = self.values.iter().map(|value| value.given).collect();
        let (mut loss, mut rank) = (0, 0);
        for (ways, &pick) in self.inputs.iter().zip(picks) {
            loss += ways[pick].loss;
            rank += ways[pick].rank;
            for &(value, count) in &ways[pick].uses {
                pieces[value] += count;
            }
        }
        let of_values =
            self.values.iter().zip(&pieces).map(|(value, &pieces)| value.score(pieces * self.batch));
        of_values.fold(Score { loss, rank, ..Score::default() }, |sum, one| Score {
            short: sum.short + one.short,
            price: sum.price + one.price,
            values: sum.values + one.values,
            loss: sum.loss,
            rank: sum.rank,
        })
    }

    /// Whether nothing that is forbidden is picked.
    fn allows(&self, picks: &[usize]) -> bool {
        !self.forbidden.iter().any(|set| set.iter().all(|&(input, way)| picks[input] == way))
    }

    /// Values that are given.
    fn given(&self) -> u64 {
        self.values.iter().filter(|value| value.given > 0).count() as u64
    }

    /// Whether pieces are counted.
    fn counts_pieces(&self) -> bool {
        self.values.iter().any(|value| value.tariff.is_some())
    }

    /// Whether the inputs have nothing in common but the values that are there: then a way need not be whole.
    fn splits(&self) -> bool {
        !self.counts_pieces() && self.forbidden.is_empty()
    }
}

impl Value {
    /// What so many pieces amount to.
    fn score(&self, pieces: u64) -> Score {
        let short = |tariff: &Tariff| tariff.quantity.map_or(0, |quantity| pieces.saturating_sub(quantity));
        // What is missing is not paid for.
        let packs =
            |tariff: &Tariff| (pieces - short(tariff)).div_ceil(tariff.pack) * tariff.pack * tariff.price;
        Score {
            short: self.tariff.as_ref().map_or(0, short),
            price: self.tariff.as_ref().map_or(0, packs),
            values: u64::from(pieces > 0),
            loss: 0,
            rank: 0,
        }
    }
}

/// Inputs that a value or a prohibition joins.
fn components(task: &Task) -> Vec<Vec<usize>> {
    let mut of: Vec<usize> = (0..task.inputs.len()).collect();
    let mut join = |joined: &[usize]| {
        let Some(to) = joined.iter().map(|&input| of[input]).min() else { return };
        let joined: Vec<usize> = joined.iter().map(|&input| of[input]).collect();
        of.iter_mut().filter(|of| joined.contains(of)).for_each(|of| *of = to);
    };
    for (value, about) in task.values.iter().enumerate() {
        // What is there anyway joins nothing unless its pieces are counted.
        if about.given == 0 || about.tariff.is_some() {
            join(&reduce::users(task, value));
        }
    }
    for set in &task.forbidden {
        join(&set.iter().map(|&(input, _)| input).collect_vec());
    }
    let members = |first: usize| (0..of.len()).filter(|&input| of[input] == first).collect_vec();
    (0..of.len()).map(members).filter(|members| !members.is_empty()).collect()
}

/// Some inputs of a task with some of their ways as a task of its own.
struct Part {
    task: Task,
    /// For each way that is left its place among those of its input.
    ways: Vec<Vec<usize>>,
}

impl Part {
    fn of(task: &Task, inputs: &[usize], ways: Vec<Vec<usize>>) -> Self {
        let left = |(&input, ways): (&usize, &Vec<usize>)| {
            ways.iter().map(|&way| task.inputs[input][way].clone()).collect_vec()
        };
        let place = |&(input, way): &Pick| {
            let at = inputs.iter().position(|&other| other == input)?;
            Some((at, ways[at].iter().position(|&other| other == way)?))
        };
        let forbidden =
            task.forbidden.iter().filter_map(|set| set.iter().map(place).collect::<Option<Vec<_>>>());
        let task = Task {
            inputs: inputs.iter().zip(&ways).map(left).collect(),
            values: task.values.clone(),
            batch: task.batch,
            forbidden: forbidden.collect(),
        };
        Self { task, ways }
    }

    /// The picks as picks of the task that this is a part of.
    fn picks(&self, picks: &[usize]) -> Vec<usize> {
        self.ways.iter().zip(picks).map(|(ways, &pick)| ways[pick]).collect()
    }
}

/// What a programme makes as small as it can, each after those before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Goal {
    Short,
    Price,
    Values,
    Loss,
}

impl Goal {
    const ALL: [Self; 4] = [Self::Short, Self::Price, Self::Values, Self::Loss];

    fn of(self, score: &Score) -> u64 {
        match self {
            Self::Short => score.short,
            Self::Price => score.price,
            Self::Values => score.values,
            Self::Loss => score.loss,
        }
    }

    /// What no choice is below: at least those values that one input needs.
    fn least(self, task: &Task) -> u64 {
        let is_new = |&&(value, _): &&(usize, u64)| task.values[value].given == 0;
        let new = |ways: &Vec<Way>| ways.iter().map(|way| way.uses.iter().filter(is_new).count()).min();
        match self {
            Self::Values => {
                task.given() + task.inputs.iter().filter_map(new).max().unwrap_or_default() as u64
            }
            Self::Loss => task.inputs.iter().filter_map(|ways| ways.iter().map(|way| way.loss).min()).sum(),
            Self::Short | Self::Price => 0,
        }
    }
}

/// The best choice of a component. Values that are given are not counted here.
fn settle(task: &Task, effort: Effort) -> Option<Found> {
    let given = task.given();
    let mut picks = start::search(task)?;
    let mut found = Found { is_fewest_proven: true, ..Found::default() };
    for goal in Goal::ALL {
        let proof = reach(task, goal, &mut picks, effort);
        let is_proven = proof == Proof::Complete;
        match goal {
            Goal::Loss => found.is_loss_proven = is_proven && found.is_fewest_proven,
            _ => found.is_fewest_proven &= is_proven,
        }
        if goal == Goal::Values {
            let least = if let Proof::Stopped(least) = proof { least } else { task.score(&picks).values };
            found.least_values = least.saturating_sub(given);
        }
    }
    let picks = start::improved(task, &picks);
    Some(Found { score: task.score(&picks), picks, ..found })
}

/// Whether a goal is reached for certain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Proof {
    Complete,
    /// Nothing below this bound is possible.
    Stopped(u64),
}

/// Improves picks in one goal as far as it goes.
fn reach(task: &Task, goal: Goal, picks: &mut Vec<usize>, effort: Effort) -> Proof {
    loop {
        let known = task.score(picks);
        let mut least = goal.least(task);
        if goal.of(&known) <= least {
            return Proof::Complete;
        }
        let inputs = (0..task.inputs.len()).collect_vec();
        let ways = match goal {
            Goal::Values if task.splits() => {
                let (ways, values) = bound::with_fewer_values(task, known.values - task.given());
                least = least.max(values + task.given());
                ways
            }
            Goal::Loss if task.splits() => {
                bound::with_less_loss(task, known.values - task.given(), known.loss)
            }
            _ => task.inputs.iter().map(|ways| (0..ways.len()).collect()).collect(),
        };
        if ways.iter().any(Vec::is_empty) {
            return Proof::Complete;
        }
        let part = Part::of(task, &inputs, ways);
        match programme::solve(&part.task, goal, &known, effort) {
            Said::Better(better) => *picks = part.picks(&better),
            Said::Best(better) => {
                *picks = part.picks(&better);
                return Proof::Complete;
            }
            Said::None => return Proof::Complete,
            Said::Stopped(bound) => return Proof::Stopped(bound.max(least)),
        }
    }
}
