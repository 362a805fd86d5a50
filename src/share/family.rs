//! The inputs of a family of boards as a task of shared values.

use super::values::{Pick, STEPS_OF_LOSS, Tariff, Task, Value, Way};
use crate::board::{Board, Choice, Input, InputId, Part, Price, Reel, Role};
use crate::circuit::Values;
use crate::quantity::{Ohms, Volts, Watts};
use crate::search::{Chosen, NearBest, near_best};

/// The most ways of one input that are looked at, the best first.
const MOST_WAYS: usize = 4_000;

/// What parts have to have in common to come from one reel: the value and the size. The better tolerance serves both.
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    /// The value.
    pub ohms: Ohms,
    /// The rating, which tells sizes apart.
    pub rating: Watts,
    /// The working voltage, likewise.
    pub working_voltage: Volts,
    /// What the part is taken from in stock; `None`: it is bought wherever it can be had.
    pub reel: Option<Reel>,
}

impl Kind {
    fn of(part: &Part, ohms: Ohms) -> Self {
        let (rating, working_voltage) = (part.grade.rating, part.grade.working_voltage);
        Self { ohms, rating, working_voltage, reel: part.reel(ohms).cloned() }
    }

    /// What it costs, if that is counted, and how much of it there is.
    fn tariff(&self, is_priced: bool) -> Option<Tariff> {
        let reel = self.reel.as_ref()?;
        let price = if is_priced { reel.price? } else { Price(0) };
        let is_counted = price > Price(0) || reel.quantity.is_some();
        is_counted.then_some(Tariff { price: price.0, quantity: reel.quantity, pack: reel.pack })
    }
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
}

impl Open {
    /// The choices of an input with its best aim, up to a loss, on a board on which what corrects it has its values.
    pub fn new(board: &Board, input: &Input, seat: Seat, best: f64, most_loss: f64) -> Self {
        Self { seat, near: near_best(board, input, best, most_loss, MOST_WAYS) }
    }

    /// How many of its choices lose no more than that.
    fn within(&self, most_loss: f64) -> usize {
        self.near.choices.partition_point(|(_, loss)| *loss <= most_loss * (1.0 + 1e-9))
    }

    /// Whether all that lose no more than that are known.
    fn is_complete(&self, most_loss: f64) -> bool {
        self.near.complete || self.within(most_loss) < self.near.choices.len()
    }
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
        let near =
            |open: &Open| open.near.choices.iter().map(|(chosen, _)| chosen.values).collect::<Vec<_>>();
        let open = self.open.iter().flat_map(|open| near(open).into_iter().map(|values| (open.seat, values)));
        let mut kinds = open
            .chain(self.settled.iter().copied())
            .flat_map(|(seat, values)| kinds_of(self.input(seat), &values).collect::<Vec<_>>());
        kinds.all(|(_, kind)| kind.reel.is_some_and(|reel| reel.price.is_some()))
    }

    /// The task with a loss for each input, and whether it holds all ways that there are.
    pub fn task(&self, most_loss: f64, forbidden: &[Vec<Pick>]) -> (Task, bool) {
        let is_priced = self.is_priced();
        let (mut kinds, mut values) = (Vec::new(), Vec::new());
        let mut uses = |input: &Input, of: &Values| {
            let mut uses: Vec<(usize, u64)> = Vec::new();
            for (_, kind) in kinds_of(input, of) {
                let value = kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
                    values.push(Value { given: 0, tariff: kind.tariff(is_priced) });
                    kinds.push(kind);
                    kinds.len() - 1
                });
                match uses.iter_mut().find(|(known, _)| *known == value) {
                    Some((_, count)) => *count += 1,
                    None => uses.push((value, 1)),
                }
            }
            uses.sort_unstable();
            uses
        };
        let mut way = |input: &Input, (chosen, loss): &(Chosen, f64)| Way {
            uses: uses(input, &chosen.values),
            loss: (loss * STEPS_OF_LOSS).round() as u64,
        };
        let ways = |open: &Open| {
            let near = &open.near.choices[..open.within(most_loss)];
            near.iter().map(|near| way(self.input(open.seat), near)).collect()
        };
        let inputs = self.open.iter().map(ways).collect();
        let settled: Vec<_> = self.settled.iter().map(|(seat, of)| uses(self.input(*seat), of)).collect();
        for (value, count) in settled.into_iter().flatten() {
            values[value].given += count;
        }
        let task = Task { inputs, values, batch: self.batch, forbidden: forbidden.to_vec() };
        (task, self.open.iter().all(|open| open.is_complete(most_loss)))
    }
}

/// The parts that an input has with these values, and their kinds.
pub fn kinds_of(input: &Input, values: &Values) -> impl Iterator<Item = (Role, Kind)> {
    let there = input.parts.iter().filter(|part| !matches!(part.choice, Choice::Absent));
    there.filter_map(|part| Some((part.role, Kind::of(part, values.get(part.role)?))))
}
