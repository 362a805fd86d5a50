//! The inputs of a family of boards as a task of shared values.

use std::path::PathBuf;

use itertools::Itertools;

use super::values::{Pick, STEPS_OF_LOSS, Tariff, Task, Value, Way};
use crate::board::{Board, Choice, Input, InputId, Part, Price, Reel, Role};
use crate::circuit::Values;
use crate::quantity::{Ohms, Volts, Watts};
use crate::search::{Near, NearBest, near_best};
use crate::series::{Preferred, Series};

/// The most ways of one input that are looked at, the best first.
const MOST_WAYS: usize = 4_000;

/// Ways to take the parts of one choice from rows of stock that are looked at.
const MOST_TAKINGS: usize = 64;

/// What parts have in common that count as one.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Bought wherever it can be had: the value and the size. The better tolerance serves both.
    Bought {
        /// The value.
        ohms: Ohms,
        /// The rating, which tells sizes apart.
        rating: Watts,
        /// The working voltage, likewise.
        working_voltage: Volts,
    },
    /// Taken from a row of a stock file.
    Taken {
        /// The file, where links lead.
        file: PathBuf,
        /// The row.
        reel: Reel,
    },
}

impl Kind {
    /// What a part may be, at a value: any row of its stock file that serves, else what is bought.
    fn all(part: &Part, ohms: Ohms) -> Vec<Self> {
        let stock = part.stock.iter();
        let rows = stock.flat_map(|stock| stock.serving(ohms, &part.grade).map(move |reel| (stock, reel)));
        let taken = rows.map(|(stock, reel)| Self::Taken { file: stock.place.clone(), reel: reel.clone() });
        let taken: Vec<Self> = taken.collect();
        if !taken.is_empty() {
            return taken;
        }
        let (rating, working_voltage) = (part.grade.rating, part.grade.working_voltage);
        vec![Self::Bought { ohms, rating, working_voltage }]
    }

    /// The value.
    pub fn ohms(&self) -> Ohms {
        match self {
            Self::Bought { ohms, .. } => *ohms,
            Self::Taken { reel, .. } => reel.ohms,
        }
    }

    fn has_price(&self) -> bool {
        matches!(self, Self::Taken { reel, .. } if reel.price.is_some())
    }

    /// What it costs, if that is counted, and how much of it there is.
    fn tariff(&self, is_priced: bool) -> Option<Tariff> {
        let Self::Taken { reel, .. } = self else { return None };
        let price = reel.price.filter(|_| is_priced).unwrap_or_default();
        let is_counted = price > Price(0) || reel.quantity.is_some();
        is_counted.then_some(Tariff { price: price.0, quantity: reel.can_be_had(), pack: reel.pack })
    }
}

/// Values with their places.
#[derive(Debug, Default)]
struct Places {
    kinds: Vec<Kind>,
    values: Vec<Value>,
    is_priced: bool,
}

impl Places {
    fn of(&mut self, kind: Kind) -> usize {
        self.kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
            self.values.push(Value { given: 0, tariff: kind.tariff(self.is_priced) });
            self.kinds.push(kind);
            self.kinds.len() - 1
        })
    }

    /// What an input with these values may use: one list for each way to take its parts from rows of stock.
    fn uses(&mut self, input: &Input, values: &Values) -> Vec<Vec<(usize, u64)>> {
        let parts = parts_of(input, values).map(|(part, ohms)| Kind::all(part, ohms));
        let parts: Vec<Vec<usize>> =
            parts.map(|kinds| kinds.into_iter().map(|kind| self.of(kind)).collect()).collect();
        let all = parts.into_iter().multi_cartesian_product().take(MOST_TAKINGS);
        all.map(|places| places.into_iter().sorted_unstable().dedup_with_count()).map(counted).collect()
    }
}

fn counted(places: impl Iterator<Item = (usize, usize)>) -> Vec<(usize, u64)> {
    places.map(|(count, place)| (place, count as u64)).collect()
}

/// An input of one of the boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seat {
    /// The board, by its place among the boards.
    pub board: usize,
    /// The input.
    pub input: InputId,
}

/// An input whose parts are to be chosen, with all that is nearly as good as its best.
#[derive(Clone, Debug)]
pub struct Open {
    /// Where it is.
    pub seat: Seat,
    /// Its choices, each with what it loses against the best one, the least loss first.
    pub near: NearBest,
    /// Below this loss all choices are known, where not all are.
    complete_to: Option<f64>,
}

impl Open {
    /// The choices of an input with its best aim, up to a loss, on a board on which what corrects it has its values.
    pub fn new(board: &Board, input: &Input, seat: Seat, best: f64, most_loss: f64) -> Self {
        let mut near = near_best(board, input, best, most_loss, MOST_WAYS);
        let complete_to = near.choices.last().map(|last| last.loss);
        if let Some(coarser) = coarser(input).filter(|_| !near.complete) {
            // The best of many differ in little. What coarser values can do is looked at as well.
            let coarse = near_best(board, &coarser, best, most_loss, MOST_WAYS);
            let is_new =
                |new: &Near| !near.choices.iter().any(|known| known.chosen.values == new.chosen.values);
            let new: Vec<Near> = coarse.choices.into_iter().filter(is_new).collect();
            near.choices.extend(new);
            near.choices.sort_by(|a, b| a.loss.total_cmp(&b.loss));
        }
        Self { seat, near, complete_to }
    }

    /// How many of its choices lose no more than that.
    fn within(&self, most_loss: f64) -> usize {
        self.near.choices.partition_point(|near| near.loss <= most_loss * (1.0 + 1e-9))
    }

    /// Whether all that lose no more than that are known.
    fn is_complete(&self, most_loss: f64) -> bool {
        self.near.complete || self.complete_to.is_some_and(|loss| most_loss < loss)
    }
}

/// The input with only those values to choose from that are in E24 or coarser, where there are any; `None`: these are all.
fn coarser(input: &Input) -> Option<Input> {
    let mut is_other = false;
    let mut input = input.clone();
    for part in &mut input.parts {
        if let Choice::Choose { candidates, .. } = &mut part.choice {
            let is_coarse =
                |preferred: &Preferred| preferred.series.is_some_and(|series| series <= Series::E24);
            if candidates.iter().any(is_coarse) && !candidates.iter().all(is_coarse) {
                candidates.retain(is_coarse);
                is_other = true;
            }
        }
    }
    is_other.then_some(input)
}

/// All that share values.
#[derive(Clone, Debug)]
pub struct Family<'a> {
    /// The boards.
    pub boards: &'a [Board],
    /// Inputs whose parts are to be chosen.
    pub open: Vec<Open>,
    /// Inputs whose parts are settled: given, or chosen for several senders.
    pub settled: Vec<(Seat, Values)>,
    /// Boards in the batch.
    pub batch: u64,
}

impl Family<'_> {
    /// The input at a place.
    pub fn input(&self, seat: Seat) -> &Input {
        &self.boards[seat.board].inputs[seat.input.0]
    }

    /// Whether every value that may be taken has a price: else the lowest price is nothing to go by.
    pub fn is_priced(&self) -> bool {
        let near = |open: &Open| {
            open.near.choices.iter().map(|near| (open.seat, near.chosen.values)).collect::<Vec<_>>()
        };
        let mut all = self.open.iter().flat_map(near).chain(self.settled.iter().copied());
        let has_price = |(part, ohms)| Kind::all(part, ohms).iter().all(Kind::has_price);
        all.all(|(seat, values)| parts_of(self.input(seat), &values).all(has_price))
    }

    /// The task with a loss for each input.
    pub fn task(&self, most_loss: f64, forbidden: &[Vec<Pick>]) -> Posed {
        let mut places = Places { is_priced: self.is_priced(), ..Places::default() };
        let mut choices = Vec::new();
        let mut inputs = Vec::new();
        for open in &self.open {
            let near = open.near.choices[..open.within(most_loss)].iter().enumerate();
            let of_near = near.flat_map(|(choice, near)| {
                let loss = (near.loss * STEPS_OF_LOSS).round() as u64;
                let uses = places.uses(self.input(open.seat), &near.chosen.values);
                uses.into_iter().map(move |uses| (choice, Way { uses, loss, rank: near.rank }))
            });
            let (of_input, ways): (Vec<usize>, Vec<Way>) = of_near.unzip();
            choices.push(of_input);
            inputs.push(ways);
        }
        for (seat, values) in &self.settled {
            // The first row that serves: given parts move nothing but what is there anyway.
            for (value, count) in places.uses(self.input(*seat), values).swap_remove(0) {
                places.values[value].given += count;
            }
        }
        // The same choice may be taken from other rows: nothing that is forbidden may come in by them.
        let ways_of = |&(input, choice): &Pick| {
            let all = choices[input].iter().enumerate().filter(move |(_, other)| **other == choice);
            all.map(move |(way, _)| (input, way)).collect::<Vec<_>>()
        };
        let forbidden = forbidden.iter().flat_map(|set| set.iter().map(ways_of).multi_cartesian_product());
        let task = Task { inputs, values: places.values, batch: self.batch, forbidden: forbidden.collect() };
        Posed { task, choices, has_all: self.open.iter().all(|open| open.is_complete(most_loss)) }
    }
}

/// A task, and what its ways mean.
#[derive(Clone, Debug)]
pub struct Posed {
    /// The task.
    pub task: Task,
    /// For each input and way the choice of the input that it stands for.
    pub choices: Vec<Vec<usize>>,
    /// Whether it holds all ways that there are.
    pub has_all: bool,
}

impl Posed {
    /// The choices that ways stand for.
    pub fn chosen(&self, picks: &[usize]) -> Vec<usize> {
        self.choices.iter().zip(picks).map(|(choices, &pick)| choices[pick]).collect()
    }
}

/// The parts that an input has with these values.
fn parts_of<'i>(input: &'i Input, values: &Values) -> impl Iterator<Item = (&'i Part, Ohms)> {
    let values = *values;
    let there = input.parts.iter().filter(|part| !matches!(part.choice, Choice::Absent));
    there.filter_map(move |part| Some((part, values.get(part.role)?)))
}

/// The parts that an input has with these values, each with what it is, or would be taken from.
pub fn kinds_of(input: &Input, values: &Values) -> Vec<(Role, Kind)> {
    let kind = |(part, ohms): (&Part, Ohms)| Some((part.role, Kind::all(part, ohms).into_iter().next()?));
    parts_of(input, values).filter_map(kind).collect()
}
