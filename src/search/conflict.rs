//! Why nothing fits: the fewest limits that exclude each other.
//!
//! Every combination of values breaks some limits. A set of limits leaves no choice if and only if each combination
//! breaks at least one of the set. So the fewest limits that meet every combination seen so far are proposed, and
//! solved for: either they leave no choice, and no smaller set does; or a combination that respects all of them is
//! one more to be met. Sets of equal size are proposed in the order of the limits, so that the first that is proven
//! is the first there is.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use itertools::Itertools;

use super::bound::Ruling;
use super::lift::{Subject, Width, subjects_of, width_of};
use super::space::{Box, MOST, Root};
use crate::board::{Board, Choice, Input, Role};
use crate::quantity::{Band, Ohms};
use crate::series::Preferred;
use crate::worst::Sense;

/// The fewest limits that exclude each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Conflict {
    /// Each with what it would take, in the order of limits and parts.
    pub members: Vec<Member>,
    /// Boxes of values that were examined.
    pub examined: u64,
    /// Whether everything was solved to the end; otherwise something is not known, or nothing.
    pub complete: bool,
}

/// One of the limits that exclude each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// The limit.
    pub subject: Subject,
    /// How wide it is; `None` where no number says it.
    pub allowed: Option<Width>,
    /// Whether a choice exists without this limit, everything else as it is; `None`: not known.
    pub is_enough: Option<bool>,
    /// How wide it has to be for that; `None` where no number says it, or none is wide enough.
    pub possible_from: Option<f64>,
    /// The smallest resistance of the part in front of the pin that this limit alone grants.
    pub least: Option<(Role, Ohms)>,
}

/// The effort was not enough.
#[derive(Clone, Copy, Debug)]
struct Stopped;

/// What has to be lifted for a choice to exist: the first of the fewest limits that exclude each other that is enough
/// alone, or else all of them. Empty: not known.
pub(super) fn culprits(input: &Input, roots: Vec<Root<'_>>, most_examined: u64) -> Vec<Subject> {
    let mut solver = Solver::over(input, roots, most_examined);
    let set = solver.smallest().unwrap_or_default();
    let all = solver.all();
    let enough =
        set.iter().copied().find(|place| matches!(solver.solve(all & !(1_u64 << place), None), Ok(Some(_))));
    let set = enough.map_or(set, |place| vec![place]);
    set.into_iter().map(|place| solver.subjects[place]).collect()
}

/// Looks for the conflict of an input for which nothing fits, within an effort.
pub fn conflict(board: &Board, input: &Input, most_examined: u64) -> Conflict {
    let mut solver = Solver::new(board, input, most_examined);
    let Ok(set) = solver.smallest() else {
        return Conflict { examined: solver.examined, ..Conflict::default() };
    };
    let mut members: Vec<Member> = set.into_iter().map(|place| solver.member(place)).collect();
    let complete = members.iter().all(|member| member.is_enough.is_some());
    for member in members.iter_mut().filter(|member| member.subject.name() == "pin_current") {
        member.least = least_protection(board, input, member.subject);
    }
    Conflict { members, examined: solver.examined, complete }
}

/// Solves for sets of limits; a set has a bit for each of `subjects`.
struct Solver<'a> {
    roots: Vec<Root<'a>>,
    subjects: Vec<Subject>,
    /// For each root the limit of each check, and the order in which checks are tried.
    of_checks: Vec<Vec<u64>>,
    order: Vec<Vec<usize>>,
    examined: u64,
    most_examined: u64,
}

/// A limit that is not judged but made as narrow as possible.
#[derive(Clone, Copy, Debug)]
struct Narrowed {
    bit: u64,
    sense: Sense,
}

/// A box that is still to be examined.
#[derive(Debug)]
struct Node {
    root: usize,
    range: Box,
    /// The narrowed limit is never narrower than that; smaller is narrower.
    cost: f64,
    size: u64,
    settled: Vec<bool>,
}

impl<'a> Solver<'a> {
    fn new(board: &Board, input: &'a Input, most_examined: u64) -> Self {
        Self::over(input, Root::all(board, input), most_examined)
    }

    fn over(input: &Input, roots: Vec<Root<'a>>, most_examined: u64) -> Self {
        let subjects = subjects_of(input, &roots);
        let bit = |subject: Subject| {
            subjects.iter().position(|other| *other == subject).map_or(0, |place| 1_u64 << place.min(63))
        };
        let of_checks = roots
            .iter()
            .map(|root| root.checks.iter().map(|check| bit(Subject::of(check))).collect())
            .collect();
        let order = roots.iter().map(|root| (0..root.checks.len()).collect()).collect();
        Self { roots, subjects, of_checks, order, examined: 0, most_examined }
    }

    /// The fewest limits that leave no choice, the first such set in their order.
    fn smallest(&mut self) -> Result<Vec<usize>, Stopped> {
        // For each combination seen so far the limits that it breaks.
        let mut broken: Vec<u64> = Vec::new();
        for size in 1..=self.subjects.len() {
            for set in (0..self.subjects.len()).combinations(size) {
                let bits = set.iter().fold(0, |bits, place| bits | 1_u64 << place);
                if broken.iter().any(|broken| broken & bits == 0) {
                    continue;
                }
                match self.solve(bits, None)? {
                    None => return Ok(set),
                    Some(node) => broken.push(self.broken_by(&node)),
                }
            }
        }
        Ok(Vec::new())
    }

    fn all(&self) -> u64 {
        (0..self.subjects.len()).fold(0, |bits, place| bits | 1_u64 << place)
    }

    /// What it takes of one limit for a choice to exist.
    fn member(&mut self, place: usize) -> Member {
        let subject = self.subjects[place];
        let bit = 1_u64 << place;
        let allowed = width_of(subject, &self.roots);
        let narrowed = allowed.map(|width| Narrowed { bit, sense: width.sense });
        let found = self.solve(self.all() & !bit, narrowed);
        let cost = match &found {
            Ok(Some(node)) if node.cost.is_finite() => Some(node.cost),
            _ => None,
        };
        Member {
            subject,
            allowed,
            is_enough: found.as_ref().ok().map(Option::is_some),
            possible_from: narrowed.zip(cost).map(|(narrowed, cost)| value_of(narrowed.sense, cost)),
            least: None,
        }
    }

    /// A combination that respects a set of limits, or `None`: there is none. With a limit to be narrowed it is the one
    /// that needs the least of that.
    fn solve(&mut self, set: u64, narrowed: Option<Narrowed>) -> Result<Option<Node>, Stopped> {
        let mut heap = BinaryHeap::new();
        for root in 0..self.roots.len() {
            let settled = vec![false; self.roots[root].checks.len()];
            let range = self.roots[root].whole();
            heap.push(self.node(root, range, settled, narrowed));
        }
        while let Some(mut node) = heap.pop() {
            if self.examined >= self.most_examined {
                return Err(Stopped);
            }
            self.examined += 1;
            let Some(open) = self.survives(set, &mut node) else { continue };
            if node.range.is_single() || narrowed.is_none() && open.is_settled {
                return Ok(Some(node));
            }
            let split = self.roots[node.root].widest(&node.range, open.moved_by);
            for half in node.range.halves(split) {
                heap.push(self.node(node.root, half, node.settled.clone(), narrowed));
            }
        }
        Ok(None)
    }

    fn node(&self, root: usize, range: Box, settled: Vec<bool>, narrowed: Option<Narrowed>) -> Node {
        let cost = narrowed.map_or(0.0, |narrowed| self.cost(root, &range, narrowed));
        Node { root, range, cost, size: self.roots[root].size(&range), settled }
    }

    /// What no combination of a box can do without of a limit: exact for a single one.
    fn cost(&self, root: usize, range: &Box, narrowed: Narrowed) -> f64 {
        let r = &self.roots[root];
        let own = r.checks.iter().zip(&self.of_checks[root]).filter(|(_, bit)| **bit == narrowed.bit);
        let costs = own.filter_map(|(check, _)| {
            let value = r.best_worst(check, range)? / check.share;
            Some(value_of(narrowed.sense, value))
        });
        costs.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Tries a set of limits on a box; `None` if one excludes it.
    fn survives(&mut self, set: u64, node: &mut Node) -> Option<Open> {
        let root = &self.roots[node.root];
        let order = &mut self.order[node.root];
        let mut open = Open { is_settled: true, moved_by: [0.0; MOST] };
        for at in 0..order.len() {
            let index = order[at];
            if node.settled[index] || self.of_checks[node.root][index] & set == 0 {
                continue;
            }
            match root.ruling(&root.checks[index], &node.range) {
                Ruling::Holds => node.settled[index] = true,
                Ruling::Open(share) => {
                    open.is_settled = false;
                    open.moved_by = std::array::from_fn(|k| f64::max(open.moved_by[k], share[k]));
                }
                Ruling::Excludes => {
                    order[..=at].rotate_right(1);
                    return None;
                }
            }
        }
        Some(open)
    }

    /// The limits that the combination in the middle of a box breaks.
    fn broken_by(&self, node: &Node) -> u64 {
        let (root, middle) = (&self.roots[node.root], node.range.middle());
        let single = Box { first: middle, last: middle };
        let checks = root.checks.iter().zip(&self.of_checks[node.root]);
        checks
            .filter(|(check, _)| root.ruling(check, &single) == Ruling::Excludes)
            .fold(0, |bits, (_, bit)| bits | bit)
    }
}

/// What is left of a box: whether every limit holds for all of it, and what moves what does not.
#[derive(Debug)]
struct Open {
    is_settled: bool,
    moved_by: [f64; MOST],
}

impl Root<'_> {
    /// The slot to split: the one that moves what is open most, or else the one with the most candidates.
    fn widest(&self, b: &Box, moved_by: [f64; MOST]) -> usize {
        let weight = |k: usize| {
            let candidates = b.last[k] - b.first[k];
            if candidates == 0 { (-1.0, 0) } else { (moved_by[k], candidates) }
        };
        (0..self.slots.len()).fold(0, |best, k| if weight(k) > weight(best) { k } else { best })
    }
}

/// Between a value of a limit and its cost, which is the smaller the narrower the limit is; either way.
fn value_of(sense: Sense, cost: f64) -> f64 {
    match sense {
        Sense::AtMost => cost,
        Sense::AtLeast => -cost,
    }
}

/// The least cost first; of equals the smaller box, then the smaller values.
impl Ord for Node {
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.size.cmp(&self.size))
            .then(other.root.cmp(&self.root))
            .then(other.range.first.cmp(&self.range.first))
    }
}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Node {}

/// The smallest resistance in front of the pin with which a limit alone leaves a choice, if that part is to be chosen:
/// any value, not only a standard one, to a millionth.
fn least_protection(board: &Board, input: &Input, subject: Subject) -> Option<(Role, Ohms)> {
    const EFFORT: u64 = 10_000;
    let role = Role::Protection;
    let holds = |ohms: Ohms| {
        let mut input = input.clone();
        for part in input.parts.iter_mut().filter(|part| part.role == role) {
            let candidates = vec![Preferred { ohms, series: None }];
            part.choice = Choice::Choose { candidates, or_none: false };
        }
        let mut solver = Solver::new(board, &input, EFFORT);
        let place = solver.subjects.iter().position(|other| *other == subject)?;
        Some(solver.solve(1_u64 << place, None).ok()?.is_some())
    };
    let part = input.parts.iter().find(|part| part.role == role)?;
    let Choice::Choose { .. } = part.choice else { return None };
    let mut range = Band { lowest: Ohms(1.0), highest: Ohms(1e8) };
    if holds(range.lowest)? || !holds(range.highest)? {
        return None;
    }
    while range.highest.0 > range.lowest.0 * (1.0 + 1e-6) {
        let middle = Ohms((range.lowest.0 * range.highest.0).sqrt());
        if holds(middle)? {
            range.highest = middle;
        } else {
            range.lowest = middle;
        }
    }
    Some((role, range.highest))
}
