//! The choice of parts: the proven best, never a guess.
//!
//! Best-first branch and bound over boxes of standard values. The bounds come from the same worst-case engine that
//! judges a fitted board, run over a box of part values instead of a tolerance box. One input is searched in one
//! thread, so the same question takes the same steps.
//!
//! What is best: let A be the best aim; all choices whose aim reaches A − 1e-9·max(1, |A|) tie. Among them: fewer
//! parts, smaller current from rail and supply, smaller source resistance (both at nominal values in normal use,
//! greatest over the range), coarser series, smaller values in the order in which the circuit lists its parts.
//!
//! One set of parts for several senders is a [`Joint`] search: no combination is best for all, so the one is wanted that
//! takes least from the sender that it takes most from.

mod aim;
mod best_first;
mod binding;
mod bound;
mod conflict;
mod gap;
mod joint;
mod key;
mod lift;
mod near;
mod space;
mod trade;

pub use binding::{Lifted, lifted};
pub use conflict::{Conflict, Member, conflict};
pub use joint::{Joint, JointOutcome, Together, loss};
pub use lift::{Subject, Width};
pub use near::{Near, NearBest, near_best};
pub use trade::{Traded, trade};

use crate::board::{Board, Input, Role};
use crate::case::Case;
use crate::circuit::Values;
use crate::quantity::Counts;
use crate::series::Series;

/// What a search found.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The best choice; `None`: nothing fits.
    pub best: Option<Chosen>,
    /// The best choice for each of the next best sets of values of those parts that move the aim, at most five.
    pub runners_up: Vec<Chosen>,
    /// Combinations of values in the space.
    pub combinations: u64,
    /// Boxes of values and single combinations that were examined.
    pub examined: u64,
    /// Whether the proof is complete; otherwise the search stopped at [`MOST_EXAMINED`].
    pub complete: bool,
    /// Which limit excluded how many combinations, each counted at the first that excluded it; most first.
    pub excluded: Vec<Exclusion>,
}

/// One choice of values.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// All values, the given ones included.
    pub values: Values,
    /// The parts that were chosen, each with the series of its value if it is there and a series has it.
    pub series: Vec<(Role, Option<Series>)>,
    /// The assured span.
    pub assured: Counts,
    /// What the choice is worth by the aim of the input, larger is better: counts of span, counts per unit, or the
    /// negative of an error in the unit or of a bend per unit.
    pub aim: f64,
}

/// How many combinations a limit excluded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exclusion {
    /// The limit, by its place in [`crate::limits::LIMITS`].
    pub limit: usize,
    /// The part, if it is about one.
    pub part: Option<Role>,
    /// The case.
    pub case: Case,
    /// Combinations.
    pub combinations: u64,
}

/// A search stops here and says that its proof is not complete.
pub const MOST_EXAMINED: u64 = 2_000_000;

/// Whether two aims tie with the best.
pub fn ties_with(best: f64, aim: f64) -> bool {
    aim >= best - 1e-9 * best.abs().max(1.0)
}

/// Chooses the parts of one input that are to be chosen.
pub fn choose(board: &Board, input: &Input) -> Outcome {
    choose_within(board, input, MOST_EXAMINED)
}

/// The same, stopped when `most_examined` boxes and combinations have been examined: the outcome then may hold the best
/// choice or none, and is not complete.
pub fn choose_within(board: &Board, input: &Input, most_examined: u64) -> Outcome {
    best_first::Search::new(board, input, most_examined).run()
}
