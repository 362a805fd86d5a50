//! What a choice for all inputs together says.

use super::{Answer, Ordered, PartValue, PurchaseAnswer, Verdict};

/// The answers for some boards that were asked together.
#[derive(Clone, Debug, serde::Serialize)]
pub struct FamilyAnswer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: String,
    /// The worst verdict of all boards.
    pub verdict: Verdict,
    /// What may hurt somebody or something, beside what is said of each board.
    pub cautions: Vec<String>,
    /// One answer a board, in the order in which they were asked.
    pub boards: Vec<Answer>,
    /// The values that they share, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<ShareAnswer>,
    /// What has to be bought for all of them.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub purchase: Option<PurchaseAnswer>,
}

/// The parts of all inputs, chosen together.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ShareAnswer {
    /// All values, in rising order.
    pub values: Vec<SharedValue>,
    /// How many there are.
    pub different_values: u64,
    /// How many there would be with the best choice of each input alone.
    pub alone: u64,
    /// No choice has fewer, or none of this price.
    pub least_possible: u64,
    /// What the resistors of the batch cost, where every value that may be taken has a price in stock: then that is what is
    /// to be least, and the number of values with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// What each input may lose at most against its own best, as a share of that.
    pub loss_allowed: f64,
    /// `complete`: there is no choice with fewer values, or of a lower price; `stopped`: not known.
    pub proof: &'static str,
    /// Whether every way to fit each input was looked at; else only the best of them.
    pub has_all: bool,
    /// How far the number of values may be above the least possible, as a share of it.
    pub gap: f64,
    /// Whether no choice with as few values loses less in sum.
    pub is_least_loss_proven: bool,
    /// Whether the same question gives the same answer: not if a clock may have stopped the search.
    pub reproducible: bool,
    /// Each input whose parts were to be chosen.
    pub inputs: Ordered<SharedInput>,
    /// How many values other losses would take.
    pub trade: Vec<ShareTradeRow>,
}

/// A value with the parts that have it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SharedValue {
    /// The value.
    pub ohm: f64,
    /// Parts on one board, or on one board of each kind.
    pub count: u64,
    /// Where they are.
    pub used_by: Vec<String>,
}

/// What an input gives up.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SharedInput {
    /// What it would choose alone.
    pub own_best: Ordered<Option<PartValue>>,
    /// What it would reach alone in its aim: counts, counts per unit, an error in the unit, or a bend per unit.
    pub own_aim: f64,
    /// What it loses, as a share of that.
    pub loss: f64,
}

/// The fewest values for one loss.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct ShareTradeRow {
    /// What each input may lose at most.
    pub loss_allowed: f64,
    /// Different values that this takes.
    pub different_values: u64,
    /// No choice has fewer.
    pub least_possible: u64,
    /// What the resistors of the batch cost, where that is what is to be least.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// The greatest loss of an input.
    pub greatest_loss: f64,
    /// The sum of all losses.
    pub sum_of_losses: f64,
    /// `complete` or `stopped`.
    pub proof: &'static str,
    /// Whether this is the one that was asked for.
    pub chosen: bool,
}
