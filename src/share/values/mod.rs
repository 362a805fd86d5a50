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

mod programme;
mod reduce;
mod start;

use std::time::Instant;

use itertools::Itertools;

use programme::{Asked, Said};

/// An input with one of its ways.
pub type Pick = (usize, usize);

/// One way to fit an input.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The values that it uses, by their place in [`Task::values`], in rising order, each with its pieces a board.
    pub uses: Vec<(usize, u64)>,
    /// What it loses against the best way, as a share of that.
    pub loss: f64,
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
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Score {
    /// Pieces that are missing for the batch.
    pub short: u64,
    /// What the batch costs, in whole units.
    pub price: u64,
    /// Different values.
    pub values: u64,
    /// The sum of all losses.
    pub loss: f64,
}

impl Score {
    fn is_better_than(&self, other: &Self) -> bool {
        let whole = |score: &Self| (score.short, score.price, score.values);
        let order = whole(self).cmp(&whole(other)).then(self.loss.total_cmp(&other.loss));
        // A sum of losses that differs by rounding alone is the same.
        order.is_lt() && (whole(self) != whole(other) || self.loss < other.loss - 1e-12)
    }
}

/// How long to look for a proof.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Nodes of the tree for each programme.
    pub nodes: u64,
    /// When to stop in any case: what is found by then depends on the machine.
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

/// The best choice that is found with an effort. `None`: an input has no way, or what is forbidden leaves none.
pub fn share(task: &Task, effort: Effort) -> Option<Found> {
    let mut found = Found { picks: vec![0; task.inputs.len()], is_fewest_proven: true, is_loss_proven: true, ..Found::default() };
    let given = task.values.iter().filter(|value| value.given > 0).count() as u64;
    found.least_values = given;
    for inputs in components(task) {
        let part = Part::of(task, &inputs);
        let best = settle(&part, effort)?;
        for (&input, &way) in inputs.iter().zip(&best.picks) {
            found.picks[input] = part.ways[input_place(&inputs, input)][way];
        }
        found.least_values += best.least_values;
        found.is_fewest_proven &= best.is_fewest_proven;
        found.is_loss_proven &= best.is_loss_proven;
    }
    found.score = task.score(&found.picks);
    Some(found)
}

fn input_place(inputs: &[usize], input: usize) -> usize {
    inputs.iter().position(|&other| other == input).unwrap_or_default()
}

impl Task {
    /// What a choice amounts to.
    pub fn score(&self, picks: &[usize]) -> Score {
        let mut pieces: Vec<u64> = self.values.iter().map(|value| value.given).collect();
        let mut loss = 0.0;
        for (ways, &pick) in self.inputs.iter().zip(picks) {
            loss += ways[pick].loss;
            for &(value, count) in &ways[pick].uses {
                pieces[value] += count;
            }
        }
        let of_values = self.values.iter().zip(&pieces).map(|(value, &pieces)| value.score(pieces * self.batch));
        of_values.fold(Score { loss, ..Score::default() }, |sum, one| Score {
            short: sum.short + one.short,
            price: sum.price + one.price,
            values: sum.values + one.values,
            loss: sum.loss,
        })
    }

    /// Whether nothing that is forbidden is picked.
    fn allows(&self, picks: &[usize]) -> bool {
        !self.forbidden.iter().any(|set| set.iter().all(|&(input, way)| picks[input] == way))
    }

    /// Whether pieces are counted: then a way is taken or not.
    fn counts_pieces(&self) -> bool {
        self.values.iter().any(|value| value.tariff.is_some())
    }
}

impl Value {
    /// What so many pieces amount to.
    fn score(&self, pieces: u64) -> Score {
        let packs = |tariff: &Tariff| pieces.div_ceil(tariff.pack) * tariff.pack * tariff.price;
        let short = |tariff: &Tariff| tariff.quantity.map_or(0, |quantity| pieces.saturating_sub(quantity));
        Score {
            short: self.tariff.as_ref().map_or(0, short),
            price: self.tariff.as_ref().map_or(0, packs),
            values: u64::from(pieces > 0),
            loss: 0.0,
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

/// A component as a task of its own, with ways left out that others make needless.
struct Part {
    task: Task,
    /// For each way that is left its place among those of its input.
    ways: Vec<Vec<usize>>,
}

impl Part {
    fn of(task: &Task, inputs: &[usize]) -> Self {
        let ways = reduce::needed(task, inputs);
        let left = |(&input, ways): (&usize, &Vec<usize>)| ways.iter().map(|&way| task.inputs[input][way].clone()).collect_vec();
        let place = |&(input, way): &Pick| {
            let at = inputs.iter().position(|&other| other == input)?;
            Some((at, ways[at].iter().position(|&other| other == way)?))
        };
        let forbidden = task.forbidden.iter().filter_map(|set| set.iter().map(place).collect::<Option<Vec<_>>>());
        let task = Task {
            inputs: inputs.iter().zip(&ways).map(left).collect(),
            values: task.values.clone(),
            batch: task.batch,
            forbidden: forbidden.collect(),
        };
        Self { task, ways }
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
    const WHOLE: [Self; 3] = [Self::Short, Self::Price, Self::Values];

    fn of(self, score: &Score) -> u64 {
        match self {
            Self::Short => score.short,
            Self::Price => score.price,
            Self::Values => score.values,
            Self::Loss => 0,
        }
    }
}

/// The best choice of a component. Values that are given are not counted here.
fn settle(part: &Part, effort: Effort) -> Option<Found> {
    let task = &part.task;
    let given = task.values.iter().filter(|value| value.given > 0).count() as u64;
    let mut picks = start::search(task)?;
    let (mut is_fewest_proven, mut least_values) = (true, None);
    for goal in Goal::WHOLE {
        loop {
            let asked = Asked { task, goal, than: &picks, effort };
            match asked.solve() {
                Said::Better(better) => picks = better,
                Said::Best => {
                    least_values = Some(task.score(&picks).values);
                    break;
                }
                Said::Stopped(bound) => {
                    is_fewest_proven = false;
                    least_values = (goal == Goal::Values).then_some(bound);
                    break;
                }
            }
        }
    }
    let is_loss_proven = loop {
        let asked = Asked { task, goal: Goal::Loss, than: &picks, effort };
        match asked.solve() {
            Said::Better(better) => picks = better,
            Said::Best => break is_fewest_proven,
            Said::Stopped(_) => break false,
        }
    };
    let score = task.score(&picks);
    let least_values = least_values.unwrap_or_default().saturating_sub(given);
    Some(Found { picks, score, least_values, is_fewest_proven, is_loss_proven })
}
