//! One set of parts for several senders.
//!
//! Each sender has a best aim A of its own, with parts chosen for it alone. The loss of a sender with given parts, whose aim
//! with them is a, is (A − a)/|A|: the share of its own best that the compromise takes from it. Wanted are the parts that
//! respect the limits of every sender and have the smallest worst loss; of those that tie in it (by 1e-9) the smallest
//! sum of losses; of those that tie in that the order among ties of a single search, with the greatest current and the
//! greatest source resistance of all senders, and for the aim `straight` the least assured span.
//!
//! The searches of the senders go over the same boxes side by side: a box is excluded where a limit of one sender
//! excludes it, and no combination in it loses less than what each sender loses at its best in the box.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::best_first::Settled;
use super::bound::Ruling;
use super::key::Key;
use super::space::{Box, MOST, Root};
use super::{Chosen, ties_with};
use crate::board::{Board, Input};
use crate::worst::SpanCorner;

/// Losses that differ by no more than this tie.
const TIE: f64 = 1e-9;

/// What a sender loses against its own best: 0 where it reaches that. Of a best aim of 0 there is no share: what does not
/// reach it loses without bound.
pub fn loss(best: f64, aim: f64) -> f64 {
    if best == 0.0 {
        return if ties_with(best, aim) { 0.0 } else { f64::INFINITY };
    }
    ((best - aim) / best.abs()).max(0.0)
}

/// Several senders of one input, each with what it is worth alone.
#[derive(Debug)]
pub struct Joint<'a> {
    views: Vec<View<'a>>,
}

/// One sender.
#[derive(Debug)]
struct View<'a> {
    roots: Vec<Root<'a>>,
    /// Its best aim alone.
    best: f64,
}

/// One set of parts for a group of senders.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// The parts, and what they are worth for each sender, in the order of the group.
    pub chosen: Vec<Chosen>,
    /// What each sender loses.
    pub losses: Vec<f64>,
}

impl Together {
    /// The greatest loss.
    pub fn worst(&self) -> f64 {
        self.losses.iter().copied().fold(0.0, f64::max)
    }

    /// The sum of the losses.
    pub fn sum(&self) -> f64 {
        self.losses.iter().sum()
    }
}

/// What a joint search found.
#[derive(Clone, Debug)]
pub struct JointOutcome {
    /// The best choice; `None`: nothing fits, or nothing was found before the search was stopped.
    pub best: Option<Together>,
    /// Combinations of values in the space.
    pub combinations: u64,
    /// Boxes of values and single combinations that were examined.
    pub examined: u64,
    /// Whether the proof is complete.
    pub complete: bool,
}

impl<'a> Joint<'a> {
    /// The plain inputs of several senders, which differ in nothing else, each with its best aim alone.
    pub fn new(board: &Board, views: impl IntoIterator<Item = (&'a Input, f64)>) -> Self {
        let view = |(input, best)| View { roots: Root::all(board, input), best };
        Self { views: views.into_iter().map(view).collect() }
    }

    /// A choice with the smallest worst loss of a group of senders, given by their places.
    pub fn least_worst(&self, group: &[usize], most_examined: u64) -> JointOutcome {
        let mut run = Run::new(self, group, most_examined);
        let start = run.start(Goal::Worst);
        let (best, _) = run.descend(start, Goal::Worst);
        run.outcome(best.as_ref())
    }

    /// The best choice for a group of senders of which none may lose more than `most`.
    pub fn best_within(&self, group: &[usize], most: f64, most_examined: u64) -> JointOutcome {
        let mut run = Run::new(self, group, most_examined);
        let goal = Goal::Sum { most };
        let start = run.start(goal);
        let (found, mut open) = run.descend(start, goal);
        let Some(found) = found else { return run.outcome(None) };
        open.push(found.clone());
        let (first, _) = run.descend(open, Goal::Order { most, sum: found.sum });
        run.outcome(first.as_ref().or(Some(&found)))
    }
}

/// What is looked for.
#[derive(Clone, Copy, Debug)]
enum Goal {
    /// The smallest worst loss.
    Worst,
    /// The smallest sum of losses, none of them above `most`.
    Sum { most: f64 },
    /// The first in the order among ties.
    Order { most: f64, sum: f64 },
}

impl Goal {
    /// Whether something of a box may be what is looked for.
    fn allows(self, node: &Node) -> bool {
        match self {
            Self::Worst => true,
            Self::Sum { most } => node.worst <= most + TIE,
            Self::Order { most, sum } => node.worst <= most + TIE && node.sum <= sum + TIE,
        }
    }
}

/// A box that is still to be examined.
#[derive(Clone, Debug)]
struct Node {
    root: usize,
    range: Box,
    size: u64,
    /// No worst loss in the box is below this,
    worst: f64,
    /// and no sum of losses below this.
    sum: f64,
    /// For each sender the checks that hold for the whole box.
    settled: Vec<Settled>,
    /// Whether it is a single combination that fits, with its losses.
    is_sure: bool,
}

/// A joint search under way.
#[derive(Debug)]
struct Run<'j, 'a> {
    views: Vec<&'j View<'a>>,
    /// For each sender and root the checks in the order in which they are tried: what excluded last is tried first.
    order: Vec<Vec<Vec<usize>>>,
    most_examined: u64,
    examined: u64,
    combinations: u64,
}

impl<'j, 'a> Run<'j, 'a> {
    fn new(joint: &'j Joint<'a>, group: &[usize], most_examined: u64) -> Self {
        let views: Vec<&View<'_>> = group.iter().filter_map(|&place| joint.views.get(place)).collect();
        let order_of = |root: &Root<'_>| (0..root.checks.len()).collect();
        let order = views.iter().map(|view| view.roots.iter().map(order_of).collect()).collect();
        let sizes = views.iter().take(1).flat_map(|view| &view.roots).map(|root| root.size(&root.whole()));
        let combinations = sizes.fold(0, u64::saturating_add);
        Self { views, order, most_examined, examined: 0, combinations }
    }

    /// One root of every sender: the same parts in the same places.
    fn roots(&self, root: usize) -> impl Iterator<Item = &'j Root<'a>> {
        self.views.iter().map(move |view| &view.roots[root])
    }

    fn witnesses(&self, root: usize, range: &Box) -> Vec<SpanCorner> {
        self.roots(root).map(|root| root.witness(&range.middle())).collect()
    }

    /// Everything there is.
    fn start(&self, goal: Goal) -> Vec<Node> {
        let roots = self.views.first().map_or(0, |view| view.roots.len());
        let whole = |root: usize| {
            let range = self.views[0].roots[root].whole();
            let witnesses = self.witnesses(root, &range);
            self.node(root, range, vec![Settled::default(); self.views.len()], &witnesses)
        };
        (0..roots).map(whole).filter(|node| goal.allows(node)).collect()
    }

    fn node(&self, root: usize, range: Box, settled: Vec<Settled>, witnesses: &[SpanCorner]) -> Node {
        let aims = self.roots(root).zip(witnesses).map(|(root, witness)| root.best_aim(&range, witness));
        let (worst, sum) = self.lost(aims);
        Node {
            root,
            size: self.views[0].roots[root].size(&range),
            range,
            worst,
            sum,
            settled,
            is_sure: false,
        }
    }

    /// The worst loss and the sum of losses, from the aim of each sender.
    fn lost(&self, aims: impl Iterator<Item = f64>) -> (f64, f64) {
        let losses = self.views.iter().zip(aims).map(|(view, aim)| loss(view.best, aim));
        losses.fold((0.0, 0.0), |(worst, sum), loss| (f64::max(worst, loss), sum + loss))
    }

    /// The first single combination that fits, best-first, and the boxes that are left. None if there is none, or if the
    /// search was stopped before one was seen.
    fn descend(&mut self, open: Vec<Node>, goal: Goal) -> (Option<Node>, Vec<Node>) {
        let open = open.into_iter().filter(|node| goal.allows(node));
        let mut heap: BinaryHeap<Ranked> = open.map(|node| self.ranked(node, goal)).collect();
        while let Some(Ranked { mut node, .. }) = heap.pop() {
            if self.examined >= self.most_examined {
                heap.push(self.ranked(node, goal));
                break;
            }
            if node.is_sure {
                return (Some(node), rest(heap));
            }
            let Some(moved_by) = self.survives(&mut node) else { continue };
            if node.range.is_single() {
                node.is_sure = true;
                self.settle(&mut node);
                if goal.allows(&node) {
                    heap.push(self.ranked(node, goal));
                }
                continue;
            }
            for half in self.halves(&node, moved_by) {
                if goal.allows(&half) {
                    heap.push(self.ranked(half, goal));
                }
            }
        }
        // Stopped: what is known to fit is better than nothing.
        let sure = heap.iter().filter(|ranked| ranked.node.is_sure).max().map(|ranked| ranked.node.clone());
        (sure, rest(heap))
    }

    /// Of a single combination the losses themselves, where its bounds are not that already.
    fn settle(&self, node: &mut Node) {
        if !self.roots(node.root).all(Root::is_bound_exact) {
            let aims = self.roots(node.root).map(|root| root.aim_of(&node.range.first));
            (node.worst, node.sum) = self.lost(aims);
        }
    }

    fn halves(&self, node: &Node, moved_by: [f64; MOST]) -> [Node; 2] {
        let witnesses = self.witnesses(node.root, &node.range);
        let mut weight = moved_by;
        for (root, witness) in self.roots(node.root).zip(&witnesses) {
            let span = root.span_moved_by(&node.range, witness.ends);
            weight = std::array::from_fn(|k| f64::max(weight[k], span[k]));
        }
        let slots = self.views[0].roots[node.root].slots.len();
        let split = widest(&node.range, slots, weight);
        node.range.halves(split).map(|half| self.node(node.root, half, node.settled.clone(), &witnesses))
    }

    /// Tries the limits of every sender on a box: by which share each slot moves what is still open; `None` if one
    /// excludes it.
    fn survives(&mut self, node: &mut Node) -> Option<[f64; MOST]> {
        self.examined += 1;
        let mut moved_by = [0.0; MOST];
        for (place, view) in self.views.iter().enumerate() {
            let root = &view.roots[node.root];
            let order = &mut self.order[place][node.root];
            for at in 0..order.len() {
                let index = order[at];
                if node.settled[place].holds(index) {
                    continue;
                }
                match root.ruling(&root.checks[index], &node.range) {
                    Ruling::Holds => node.settled[place].enter(index),
                    Ruling::Open(share) => {
                        moved_by = std::array::from_fn(|k| f64::max(moved_by[k], share[k]));
                    }
                    Ruling::Excludes => {
                        order[..=at].rotate_right(1);
                        return None;
                    }
                }
            }
        }
        Some(moved_by)
    }

    fn ranked(&self, node: Node, goal: Goal) -> Ranked {
        let rank = match goal {
            Goal::Worst => Rank::Losses([node.worst, node.sum]),
            Goal::Sum { .. } => Rank::Losses([node.sum, node.worst]),
            Goal::Order { .. } => {
                let keys = self.roots(node.root).map(|root| Key::of(root, &node.range));
                keys.reduce(|a, b| a.worse(&b)).map_or(Rank::Losses([0.0; 2]), Rank::Key)
            }
        };
        Ranked { rank, node }
    }

    fn outcome(self, best: Option<&Node>) -> JointOutcome {
        let together = |node: &Node| {
            let chosen: Vec<Chosen> =
                self.roots(node.root).map(|root| root.chosen(&node.range.first)).collect();
            let losses = self.views.iter().zip(&chosen).map(|(view, chosen)| loss(view.best, chosen.aim));
            Together { losses: losses.collect(), chosen }
        };
        JointOutcome {
            best: best.map(together),
            combinations: self.combinations,
            examined: self.examined,
            complete: self.examined < self.most_examined,
        }
    }
}

fn rest(heap: BinaryHeap<Ranked>) -> Vec<Node> {
    heap.into_iter().map(|ranked| ranked.node).collect()
}

/// The slot to split: the one that moves most; where nothing moves, the one with the most candidates.
fn widest(b: &Box, slots: usize, moved_by: [f64; MOST]) -> usize {
    let weight = |k: usize| {
        let candidates = b.last[k] - b.first[k];
        if candidates == 0 { (-1.0, 0) } else { (moved_by[k], candidates) }
    };
    (0..slots).fold(0, |best, k| if weight(k) > weight(best) { k } else { best })
}

/// A box with its place in the order of a search.
#[derive(Debug)]
struct Ranked {
    rank: Rank,
    node: Node,
}

/// Smaller comes first. All boxes of one search are ranked alike.
#[derive(Debug)]
enum Rank {
    Losses([f64; 2]),
    Key(Key),
}

impl Rank {
    fn order(&self, other: &Self) -> Ordering {
        match (self, other) {
            (Self::Losses([a, b]), Self::Losses([c, d])) => a.total_cmp(c).then(b.total_cmp(d)),
            (Self::Key(a), Self::Key(b)) => a.order(b),
            _ => Ordering::Equal,
        }
    }
}

/// The smallest rank is the greatest of a heap; of equals what is known to fit, then the smaller box, then the smaller
/// values.
impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> Ordering {
        let (own, others) = (&self.node, &other.node);
        other
            .rank
            .order(&self.rank)
            .then(own.is_sure.cmp(&others.is_sure))
            .then(others.size.cmp(&own.size))
            .then(others.root.cmp(&own.root))
            .then(others.range.first.cmp(&own.range.first))
    }
}

impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Ranked {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Ranked {}
