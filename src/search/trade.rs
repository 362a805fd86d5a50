//! What other values of the part that decides would give: the choice beside its neighbours and beside the value that
//! would be best without limits.

use std::collections::BTreeSet;

use super::best_first::Search;
use super::lift::{Subject, roots_without};
use super::space::Root;
use super::{Chosen, Outcome, conflict};
use crate::board::{Board, Choice, Input, Role};
use crate::series::Preferred;

/// One value of the part, with the other parts chosen best for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Traded {
    /// All values and what they are worth.
    pub chosen: Chosen,
    /// Whether it is the choice itself.
    pub is_choice: bool,
}

/// The part that feeds a sender decides over its current; it goes before all others.
const FEEDS: [Role; 2] = [Role::PullUp, Role::PullDown];

/// Values on each side of the choice and of the free optimum.
const BESIDE: usize = 2;

/// Values between.
const BETWEEN: usize = 7;

/// The part whose values are compared, and for each value the best choice of the others that respects all limits; where
/// none does, without the fewest limits that exclude each other. Values for which nothing was found in an effort are
/// left out.
pub fn trade(board: &Board, input: &Input, best: &Chosen, most_examined: u64) -> Option<(Role, Vec<Traded>)> {
    let (role, candidates) = leading(board, input, best)?;
    let place = |chosen: &Chosen| candidates.iter().position(|p| Some(p.ohms) == chosen.values.get(role));
    let choice = place(best)?;
    let free = Search::over(roots_without(board, input, |_| true), most_examined).run_for_best();
    let free = free.best.as_ref().and_then(place).unwrap_or(choice);
    let rows = places(choice, free, candidates.len()).into_iter().filter_map(|at| {
        if at == choice {
            return Some(Traded { chosen: best.clone(), is_choice: true });
        }
        let chosen = best_with(board, input, role, candidates[at], most_examined)?;
        Some(Traded { chosen, is_choice: false })
    });
    Some((role, rows.collect()))
}

/// The part that decides, with its candidates: what feeds the sender, or else the part that moves the aim most from one
/// value to the next.
fn leading<'a>(board: &Board, input: &'a Input, best: &Chosen) -> Option<(Role, &'a [Preferred])> {
    let open = input.parts.iter().filter_map(|part| match &part.choice {
        Choice::Choose { candidates, .. } if best.values.get(part.role).is_some() && candidates.len() > 1 => {
            Some((part.role, candidates.as_slice()))
        }
        _ => None,
    });
    let open: Vec<_> = open.filter(|(role, _)| *role != Role::Protection).collect();
    let feeds = open.iter().find(|(role, _)| FEEDS.contains(role));
    let moved = |&&(role, candidates): &&(Role, &[Preferred])| {
        let place = candidates.iter().position(|p| Some(p.ohms) == best.values.get(role)).unwrap_or_default();
        let next = if place + 1 < candidates.len() { place + 1 } else { place - 1 };
        (aim_with(board, input, best, role, candidates[next]) - best.aim).abs()
    };
    feeds.or_else(|| open.iter().max_by(|a, b| moved(a).total_cmp(&moved(b)))).copied()
}

/// The aim of a choice with another value in one place.
fn aim_with(board: &Board, input: &Input, best: &Chosen, role: Role, other: Preferred) -> f64 {
    let mut input = input.clone();
    for part in input.parts.iter_mut().filter(|part| matches!(part.choice, Choice::Choose { .. })) {
        part.choice = best.values.get(part.role).map_or(Choice::Absent, Choice::Fixed);
    }
    put(&mut input, role, other);
    let roots = Root::all(board, &input);
    roots.first().map_or(f64::NEG_INFINITY, |root| root.aim_of(&root.whole().first))
}

fn put(input: &mut Input, role: Role, value: Preferred) {
    for part in input.parts.iter_mut().filter(|part| part.role == role) {
        part.choice = Choice::Choose { candidates: vec![value], or_none: false };
    }
}

/// Places to show: the choice and the free optimum, some between, some on each side.
fn places(choice: usize, free: usize, count: usize) -> BTreeSet<usize> {
    let first = choice.min(free).saturating_sub(BESIDE);
    let last = (choice.max(free) + BESIDE).min(count - 1);
    if last - first <= BETWEEN {
        return (first..=last).collect();
    }
    let between = (0..BETWEEN).map(|i| first + (last - first) * i / (BETWEEN - 1));
    between.chain([choice, free]).collect()
}

/// The best choice of the other parts.
fn best_with(board: &Board, input: &Input, role: Role, value: Preferred, effort: u64) -> Option<Chosen> {
    let mut input = input.clone();
    put(&mut input, role, value);
    let mut lifted: Vec<Subject> = Vec::new();
    loop {
        let roots = roots_without(board, &input, |subject| lifted.contains(&subject));
        let outcome: Outcome = Search::over(roots, effort).run_for_best();
        if outcome.best.is_some() || !outcome.complete {
            return outcome.best.filter(|_| outcome.complete);
        }
        let roots = roots_without(board, &input, |subject| lifted.contains(&subject));
        let culprits = conflict::culprits(&input, roots, effort);
        if culprits.is_empty() {
            return None;
        }
        lifted.extend(culprits);
    }
}
