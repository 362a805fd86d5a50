//! Several boards that are asked together.

use super::purchase::{add_purchase, purchase, shortages};
use crate::answer::{Answer, FamilyAnswer, Verdict};
use crate::board::Board;

/// The answers for boards of which each was asked alone.
pub fn alone(command: &str, boards: Vec<Answer>) -> FamilyAnswer {
    FamilyAnswer {
        ohmwright: env!("CARGO_PKG_VERSION"),
        command: command.to_owned(),
        verdict: boards.iter().map(|answer| answer.verdict).max().unwrap_or(Verdict::Holds),
        cautions: Vec::new(),
        boards,
        share: None,
        purchase: None,
    }
}

/// Puts what has to be bought for so many of each of the boards into their answer, and a caution for what is short. Of one
/// board alone all stands in the answer for that board.
pub fn bought(boards: &[Board], family: &mut FamilyAnswer, batch: u64) {
    if let ([board], [answer]) = (boards, family.boards.as_mut_slice()) {
        answer.share = family.share.take();
        add_purchase(board, answer, batch);
        return;
    }
    let with_answers: Vec<(&Board, &Answer)> = boards.iter().zip(&family.boards).collect();
    let found = purchase(&with_answers, batch);
    family.cautions.extend(shortages(&found));
    family.purchase = Some(found);
}
