//! What is really on a board: from readings back to the parts.
//!
//! Pairs of something known (a resistance in place of the sender, a voltage at the input, or the count that should be
//! there) and what was read lead back to the pull-up or to the ratio of the divider, with gain and offset kept apart.
//! [`read_file`] reads the pairs, [`identify`] explains them or says that they contradict each other.
//!
//! Every cause that is looked for adds one unknown to what the circuit should do. The simplest cause that explains all
//! pairs within their accuracy is the answer; one that has as many unknowns as there are pairs explains anything and
//! is only named as a possibility.

mod answer;
mod cause;
mod expected;
mod file;
mod line;
mod minimax;
mod node;
mod pairs;
mod resistances;
mod scale;
mod setup;
mod verdict;
mod voltages;

pub use answer::{Alone, Deviation, Explanation, Findings, Row, Value, Verdict};
pub use file::{read_file, read_text};
pub use pairs::{Pair, Pairs, Reading};
pub use setup::Setup;

/// Explains the pairs.
///
/// Pairs whose count is held at an end of the converter are left out. [`Findings::usable`] tells whether at least two are
/// left; with fewer, nothing can be explained.
pub fn identify(pairs: &Pairs, setup: &Setup) -> Findings {
    match pairs {
        Pairs::Resistances(pairs) => resistances::identify(pairs, setup),
        Pairs::Voltages(pairs) => voltages::identify(pairs, setup),
        Pairs::Expected(pairs) => expected::identify(pairs, setup),
    }
}
