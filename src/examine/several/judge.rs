//! What groups of senders lose, by joint searches, each of which is made once.

use std::collections::BTreeMap;

use crate::board::{Aim, Board, Input};
use crate::search::{Joint, JointOutcome, Outcome, Together};
use crate::share::{Cost, Judge};

/// Boxes of values that one joint search may examine: each is looked at for every sender.
const EFFORT: u64 = 400_000;

/// The same where each box takes long, since an error is found by a look at every count.
const EFFORT_OF_ERRORS: u64 = 40_000;

/// All groups of the senders of one input.
pub(super) struct Groups<'a> {
    joint: Joint<'a>,
    alone: &'a [Outcome],
    effort: u64,
    worst: BTreeMap<Vec<usize>, Option<Together>>,
    /// None of the losses above the bound whose bits stand behind the group.
    within: BTreeMap<(Vec<usize>, u64), Option<Together>>,
    examined: u64,
    is_stopped: bool,
}

impl<'a> Groups<'a> {
    /// The plain inputs of all senders, and what each would choose alone.
    pub(super) fn new(board: &Board, views: &'a [Input], alone: &'a [Outcome]) -> Self {
        let best = |outcome: &Outcome| outcome.best.as_ref().map_or(f64::NEG_INFINITY, |best| best.aim);
        let is_error = views.iter().any(|view| view.aim == Aim::Error);
        Self {
            joint: Joint::new(board, views.iter().zip(alone.iter().map(best))),
            effort: if is_error { EFFORT_OF_ERRORS } else { EFFORT },
            worst: BTreeMap::new(),
            within: BTreeMap::new(),
            examined: alone.iter().map(|outcome| outcome.examined).sum(),
            is_stopped: alone.iter().any(|outcome| !outcome.complete),
            alone,
        }
    }

    /// Boxes of values that were examined in all.
    pub(super) const fn examined(&self) -> u64 {
        self.examined
    }

    /// Whether a search was stopped, so that nothing is proven.
    pub(super) const fn is_stopped(&self) -> bool {
        self.is_stopped
    }

    /// The parts for a group of which none may lose more than `most`.
    pub(super) fn together(&mut self, group: &[usize], most: f64) -> Option<Together> {
        if let [alone] = group {
            let best = self.alone[*alone].best.clone()?;
            return Some(Together { chosen: vec![best], losses: vec![0.0] });
        }
        self.within(group, most).or_else(|| self.worst.get(group).cloned().flatten())
    }

    fn within(&mut self, group: &[usize], most: f64) -> Option<Together> {
        let key = (group.to_vec(), most.to_bits());
        if let Some(known) = self.within.get(&key) {
            return known.clone();
        }
        let outcome = self.joint.best_within(group, most, self.effort);
        let found = self.told(outcome);
        self.within.insert(key, found.clone());
        found
    }

    fn told(&mut self, outcome: JointOutcome) -> Option<Together> {
        self.examined += outcome.examined;
        self.is_stopped |= !outcome.complete;
        outcome.best
    }
}

impl Judge for Groups<'_> {
    fn worst(&mut self, group: &[usize]) -> Cost {
        let lacks = |outcome: &&Outcome| outcome.best.is_none();
        if let Some(outcome) = group.iter().map(|&place| &self.alone[place]).find(lacks) {
            return if outcome.complete { Cost::Impossible } else { Cost::Unknown };
        }
        if group.len() == 1 {
            return Cost::Is(0.0);
        }
        let outcome = self.joint.least_worst(group, self.effort);
        let is_proven = outcome.complete;
        let found = self.told(outcome);
        let cost = match &found {
            // Not proven to be the smallest: that is said of everything then.
            Some(together) => Cost::Is(together.worst()),
            None if is_proven => Cost::Impossible,
            None => Cost::Unknown,
        };
        self.worst.insert(group.to_vec(), found);
        cost
    }

    fn sum(&mut self, group: &[usize], most: f64) -> Cost {
        if group.len() == 1 {
            return Cost::Is(0.0);
        }
        self.within(group, most).map_or(Cost::Unknown, |together| Cost::Is(together.sum()))
    }
}
