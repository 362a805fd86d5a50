//! Which limits keep a better choice away, and what lifting each alone would give.

use super::best_first::Search;
use super::lift::{Subject, roots_without};
use super::{Chosen, Outcome, ties_with};
use crate::board::{Board, Input};

/// What a search without one limit found.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifted {
    /// The limit.
    pub subject: Subject,
    /// Whether its aim is better than with the limit; `None`: the search was stopped before that was known.
    pub binds: Option<bool>,
    /// The best choice without the limit, if that is better and proven.
    pub better: Option<Chosen>,
}

/// Solves again without each limit that may bind, within an effort for each.
///
/// A limit that excluded nothing on the way to a proven choice keeps nothing away: without it the search would have
/// gone the same way. All others are lifted one by one.
pub fn lifted(board: &Board, input: &Input, outcome: &Outcome, most_examined: u64) -> Vec<Lifted> {
    let Some(best) = outcome.best.as_ref().filter(|_| outcome.complete) else { return Vec::new() };
    let mut subjects: Vec<Subject> = Vec::new();
    for exclusion in &outcome.excluded {
        let subject = Subject { limit: exclusion.limit, part: exclusion.part };
        if !subjects.contains(&subject) {
            subjects.push(subject);
        }
    }
    subjects.into_iter().map(|subject| without(board, input, best, subject, most_examined)).collect()
}

fn without(board: &Board, input: &Input, best: &Chosen, subject: Subject, most_examined: u64) -> Lifted {
    let roots = roots_without(board, input, |other| other == subject);
    let outcome = Search::over(roots, most_examined).run_for_best();
    let better = outcome.best.filter(|other| !ties_with(other.aim, best.aim));
    let binds = if outcome.complete || better.is_some() { Some(better.is_some()) } else { None };
    Lifted { subject, binds, better: better.filter(|_| outcome.complete) }
}
