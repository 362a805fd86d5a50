//! What an input does for each of several senders.

use super::{InputAnswer, Ordered, PartAnswer, RunnerUp, Verdict};

/// The answer for one of several senders.
#[derive(Clone, Debug, serde::Serialize)]
pub struct SenderAnswer {
    /// The set of parts that serves it, counted from 1; null: no choice exists.
    pub variant: Option<usize>,
    /// The share of its own best that it loses; null: nothing was chosen, or the loss is without bound.
    pub loss: Option<f64>,
    /// The best parts for this sender alone, and what they are worth; null: nothing was chosen, or there are none.
    pub own_best: Option<RunnerUp>,
    /// Everything else, as for an input that has no other sender.
    #[serde(flatten)]
    pub here: InputAnswer,
}

/// The best sets of parts for several senders of one input, for one number of sets.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct VariantsRow {
    /// The input.
    pub input: String,
    /// How many sets there may be.
    pub variants: usize,
    /// The greatest loss of a sender; null: none is found, or a loss is without bound.
    pub worst_loss: Option<f64>,
    /// The sum of the losses of all senders; null likewise.
    pub sum_of_losses: Option<f64>,
    /// The sets, that of the sender that loses most first; empty: no sets serve all senders.
    pub sets: Vec<SetOfParts>,
    /// Where no set serves all: the fewest senders that exclude each other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub excluding: Vec<String>,
    /// Whether it is what the brief asks for.
    pub chosen: bool,
    /// `complete`: proven to be the best, or that there is none; `stopped`: not.
    pub proof: &'static str,
}

/// One set of parts.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SetOfParts {
    /// The parts by role in the order of the circuit, and the capacitor.
    pub parts: Ordered<Option<PartAnswer>>,
    /// The senders that it serves, in the order of the brief.
    pub senders: Vec<String>,
}

impl SenderAnswer {
    /// Whether everything holds for this sender.
    pub const fn verdict(&self) -> Verdict {
        self.here.verdict
    }
}
