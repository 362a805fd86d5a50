//! The inputs of a family of boards as a task of shared values.

use super::values::{Pick, STEPS_OF_LOSS, Tariff, Task, Value, Way};
use crate::board::{Board, Choice, Grade, Input, InputId};
use crate::circuit::Values;
use crate::quantity::{Ohms, Volts, Watts};
use crate::search::{Chosen, NearBest, near_best};

/// The most ways of one input that are looked at, the best first.
const MOST_WAYS: usize = 4_000;

/// What parts have to have in common to come from one reel: the value and the size. The better tolerance serves both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kind {
    /// The value.
    pub ohms: Ohms,
    /// The rating, which tells sizes apart.
    pub rating: Watts,
    /// The working voltage, likewise.
    pub working_voltage: Volts,
}

impl Kind {
    fn of(ohms: Ohms, grade: &Grade) -> Self {
        Self { ohms, rating: grade.rating, working_voltage: grade.working_voltage }
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
    /// Inputs whose parts are all given.
    pub given: Vec<Seat>,
    /// Boards in the batch.
    pub batch: u64,
}

impl Family<'_> {
    /// The input at a place.
    pub fn input(&self, seat: Seat) -> &Input {
        &self.boards[seat.board].inputs[seat.input.0]
    }

    /// The task with a loss for each input, the kinds of its values, and whether it holds all ways that there are.
    pub fn task(&self, most_loss: f64, forbidden: &[Vec<Pick>]) -> (Task, Vec<Kind>, bool) {
        let (mut kinds, mut values) = (Vec::new(), Vec::new());
        let mut uses = |input: &Input, of: &Values| {
            let mut uses: Vec<(usize, u64)> = Vec::new();
            for (kind, tariff) in kinds_of(input, of) {
                let value = kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
                    kinds.push(kind);
                    values.push(Value { given: 0, tariff });
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
        let mut way = |input: &Input, (chosen, loss): &(Chosen, f64)| Way { uses: uses(input, &chosen.values), loss: (loss * STEPS_OF_LOSS).round() as u64 };
        let ways = |open: &Open| {
            let near = &open.near.choices[..open.within(most_loss)];
            near.iter().map(|near| way(self.input(open.seat), near)).collect()
        };
        let inputs = self.open.iter().map(ways).collect();
        let given: Vec<_> = self.given.iter().map(|&seat| uses(self.input(seat), &Values::given(self.input(seat)))).collect();
        for (value, count) in given.into_iter().flatten() {
            values[value].given += count;
        }
        let task = Task { inputs, values, batch: self.batch, forbidden: forbidden.to_vec() };
        (task, kinds, self.open.iter().all(|open| open.is_complete(most_loss)))
    }
}

/// The kinds of the parts that an input has with these values.
pub fn kinds_of(input: &Input, values: &Values) -> impl Iterator<Item = (Kind, Option<Tariff>)> {
    let there = input.parts.iter().filter(|part| !matches!(part.choice, Choice::Absent));
    there.filter_map(|part| Some((Kind::of(values.get(part.role)?, &part.grade), None)))
}
