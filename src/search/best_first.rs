//! Best-first branch and bound.

use super::bound::Ruling;
use super::key::Key;
use super::space::{Box, MOST, Root};
use super::{Chosen, Exclusion, Outcome, ties_with};
use crate::board::{Board, Input, Role};
use crate::case::Case;
use crate::quantity::Counts;
use crate::worst::{Ends, SpanCorner};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// How many sets of values are found: the best and five runners-up.
const GROUPS: usize = 6;

/// A box that is still to be examined.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) root: usize,
    pub(super) range: Box,
    size: u64,
    /// No aim in the box exceeds this.
    pub(super) bound: f64,
    /// Checks that hold for the whole box.
    pub(super) settled: Settled,
    /// Whether it is a single combination that fits, with its aim as its bound.
    pub(super) is_sure: bool,
}

/// A set of checks. What has no place in it is tried again for every box.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Settled([u64; 4]);

impl Settled {
    pub(super) fn holds(&self, check: usize) -> bool {
        self.0.get(check / 64).is_some_and(|word| word >> (check % 64) & 1 == 1)
    }

    pub(super) fn enter(&mut self, check: usize) {
        if let Some(word) = self.0.get_mut(check / 64) {
            *word |= 1 << (check % 64);
        }
    }
}

/// The better bound first; then the smaller box, so that a plateau is dived into and not flooded; then the smaller
/// values.
impl Ord for Node {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound
            .total_cmp(&other.bound)
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

/// The best combination found for one set of values of the parts that move the aim.
#[derive(Clone, Debug)]
struct Group {
    root: usize,
    places: [u16; MOST],
    aim: f64,
}

/// A search under way.
#[derive(Debug)]
pub(super) struct Search<'a> {
    pub(super) roots: Vec<Root<'a>>,
    /// For each root the checks in the order in which they are tried: what excluded last is tried first.
    order: Vec<Vec<usize>>,
    /// The search is stopped there.
    most_examined: u64,
    pub(super) examined: u64,
    excluded: Vec<Exclusion>,
}

impl<'a> Search<'a> {
    pub(super) fn new(board: &Board, input: &'a Input, most_examined: u64) -> Self {
        Self::over(Root::all(board, input), most_examined)
    }

    /// A search over roots, of which some limits may have been lifted.
    pub(super) fn over(roots: Vec<Root<'a>>, most_examined: u64) -> Self {
        let order = roots.iter().map(|root| (0..root.checks.len()).collect()).collect();
        Self { roots, order, most_examined, examined: 0, excluded: Vec::new() }
    }

    pub(super) fn run(self) -> Outcome {
        self.run_for(GROUPS)
    }

    /// The best choice alone.
    pub(super) fn run_for_best(self) -> Outcome {
        self.run_for(1)
    }

    fn run_for(mut self, groups: usize) -> Outcome {
        let whole: Vec<(usize, Box)> = self.roots.iter().map(Root::whole).enumerate().collect();
        let combinations = whole.iter().map(|(r, b)| self.roots[*r].size(b)).fold(0_u64, u64::saturating_add);
        let (groups, open) = self.groups(whole, groups);
        let best = groups.first().map(|group| self.decide(group.aim, &groups, open));
        let runners_up = match &best {
            Some(best) => self.runners_up(best, &groups),
            None => Vec::new(),
        };
        let best = best.map(|(root, places)| self.chosen(root, &places));
        self.excluded.sort_by_key(|e| std::cmp::Reverse(e.combinations));
        Outcome {
            best,
            runners_up,
            combinations,
            examined: self.examined,
            complete: self.examined < self.most_examined,
            excluded: self.excluded,
        }
    }

    /// The best sets of values of the parts that move the aim, at most `most`, best first; and the boxes that may
    /// still hold a choice that ties with the best.
    fn groups(&mut self, start: Vec<(usize, Box)>, most: usize) -> (Vec<Group>, Vec<Node>) {
        let mut heap = BinaryHeap::new();
        let mut groups: Vec<Group> = Vec::new();
        let mut aside = Vec::new();
        for (root, range) in start {
            let witness = self.roots[root].witness(&range.middle());
            heap.push(self.node(root, range, Settled::default(), &witness));
        }
        while let Some(mut node) = heap.pop() {
            let enough = groups.get(most - 1).is_some_and(|last| node.bound <= last.aim + slack(last.aim));
            if enough || self.examined >= self.most_examined {
                heap.push(node);
                break;
            }
            if self.known(&groups, &node).is_some_and(|known| node.bound <= known.aim + slack(known.aim)) {
                aside.push(node);
                continue;
            }
            if node.is_sure {
                self.enter(&mut groups, most, &node);
                continue;
            }
            let Some(moved_by) = self.survives(&mut node) else { continue };
            let root = &self.roots[node.root];
            if node.range.is_single() {
                node.is_sure = true;
                if root.is_bound_exact() {
                    self.enter(&mut groups, most, &node);
                } else {
                    node.bound = root.aim_of(&node.range.first);
                    heap.push(node);
                }
                continue;
            }
            let witness = root.witness(&node.range.middle());
            let split = root.split(&node.range, moved_by, witness.ends);
            for half in node.range.halves(split) {
                heap.push(self.node(node.root, half, node.settled, &witness));
            }
        }
        aside.extend(heap);
        if let Some(best) = groups.first() {
            aside.retain(|node| ties_with(best.aim, node.bound));
        }
        (groups, aside)
    }

    pub(super) fn node(&self, root: usize, range: Box, settled: Settled, witness: &SpanCorner) -> Node {
        let r = &self.roots[root];
        Node {
            root,
            range,
            size: r.size(&range),
            bound: r.best_aim(&range, witness),
            settled,
            is_sure: false,
        }
    }

    /// Tries the limits on a box: by which share each slot moves what is still open; `None` if one excludes it.
    pub(super) fn survives(&mut self, node: &mut Node) -> Option<[f64; MOST]> {
        self.examined += 1;
        let mut moved_by = [0.0; MOST];
        let root = &self.roots[node.root];
        let order = &mut self.order[node.root];
        for at in 0..order.len() {
            let index = order[at];
            if node.settled.holds(index) {
                continue;
            }
            let check = &root.checks[index];
            match root.ruling(check, &node.range) {
                Ruling::Holds => node.settled.enter(index),
                Ruling::Open(share) => {
                    moved_by = std::array::from_fn(|k| f64::max(moved_by[k], share[k]));
                }
                Ruling::Excludes => {
                    order[..=at].rotate_right(1);
                    let case = root.scene.situations[check.situation].case;
                    let (limit, part) = (check.limit, check.part);
                    self.count_exclusion(limit, part, case, node.size);
                    return None;
                }
            }
        }
        Some(moved_by)
    }

    fn count_exclusion(&mut self, limit: usize, part: Option<Role>, case: Case, combinations: u64) {
        let same = |e: &&mut Exclusion| (e.limit, e.part, e.case) == (limit, part, case);
        match self.excluded.iter_mut().find(same) {
            Some(known) => known.combinations += combinations,
            None => self.excluded.push(Exclusion { limit, part, case, combinations }),
        }
    }

    /// The group that all of a box belongs to, if it belongs to one that is known.
    fn known<'g>(&self, groups: &'g [Group], node: &Node) -> Option<&'g Group> {
        let slots = &self.roots[node.root].slots;
        groups.iter().find(|group| {
            group.root == node.root
                && slots.iter().enumerate().filter(|(_, slot)| slot.moves_aim).all(|(k, _)| {
                    node.range.first[k] == group.places[k] && node.range.last[k] == group.places[k]
                })
        })
    }

    /// Enters a combination that fits.
    fn enter(&self, groups: &mut Vec<Group>, most: usize, node: &Node) {
        let found = Group { root: node.root, places: node.range.first, aim: node.bound };
        let known = self.known(groups, node).map(|group| group.aim);
        match known {
            Some(aim) if found.aim <= aim => return,
            Some(_) => groups.retain(|g| !self.same_group(g, &found)),
            None => {}
        }
        let at = groups.partition_point(|group| group.aim >= found.aim);
        groups.insert(at, found);
        groups.truncate(most);
    }

    fn same_group(&self, a: &Group, b: &Group) -> bool {
        let slots = &self.roots[a.root].slots;
        let moving = slots.iter().enumerate().filter(|(_, slot)| slot.moves_aim);
        a.root == b.root && moving.into_iter().all(|(k, _)| a.places[k] == b.places[k])
    }

    /// Decides between everything that ties with the best aim: best-first again, by the order among ties.
    fn decide(&mut self, aim: f64, groups: &[Group], open: Vec<Node>) -> (usize, [u16; MOST]) {
        let mut heap: BinaryHeap<Tied> = BinaryHeap::new();
        for group in groups.iter().filter(|group| ties_with(aim, group.aim)) {
            let range = Box { first: group.places, last: group.places };
            let key = Key::of(&self.roots[group.root], &range);
            let size = self.roots[group.root].size(&range);
            let node = Node {
                root: group.root,
                range,
                size,
                bound: group.aim,
                settled: Settled::default(),
                is_sure: true,
            };
            heap.push(Tied { key, fits: true, node });
        }
        let mut best = (groups[0].root, groups[0].places);
        for node in open {
            let key = Key::of(&self.roots[node.root], &node.range);
            heap.push(Tied { key, fits: false, node });
        }
        while let Some(mut tied) = heap.pop() {
            if self.examined >= self.most_examined {
                break;
            }
            let single = tied.node.range.is_single();
            let moved_by = if tied.fits { Some([0.0; MOST]) } else { self.survives(&mut tied.node) };
            let Some(moved_by) = moved_by else { continue };
            if single && !self.is_as_good(&tied, aim) {
                continue;
            }
            if single {
                best = (tied.node.root, tied.node.range.first);
                break;
            }
            let root = &self.roots[tied.node.root];
            let witness = root.witness(&tied.node.range.middle());
            let split = root.split(&tied.node.range, moved_by, witness.ends);
            for half in tied.node.range.halves(split) {
                let node = self.node(tied.node.root, half, tied.node.settled, &witness);
                if ties_with(aim, node.bound) {
                    let key = Key::of(&self.roots[node.root], &node.range);
                    heap.push(Tied { key, fits: false, node });
                }
            }
        }
        best
    }

    /// Whether the aim of a single combination ties with the best, not only its bound.
    fn is_as_good(&self, tied: &Tied, aim: f64) -> bool {
        let root = &self.roots[tied.node.root];
        tied.fits || root.is_bound_exact() || ties_with(aim, root.aim_of(&tied.node.range.first))
    }

    /// The best choice in each other group.
    fn runners_up(&mut self, best: &(usize, [u16; MOST]), groups: &[Group]) -> Vec<Chosen> {
        let chosen = Group { root: best.0, places: best.1, aim: 0.0 };
        let mut found = Vec::new();
        let others: Vec<&Group> = groups.iter().filter(|group| !self.same_group(group, &chosen)).collect();
        for group in others.into_iter().take(GROUPS - 1) {
            let mut range = self.roots[group.root].whole();
            for (k, slot) in self.roots[group.root].slots.iter().enumerate() {
                if slot.moves_aim {
                    (range.first[k], range.last[k]) = (group.places[k], group.places[k]);
                }
            }
            let (own, open) = self.groups(vec![(group.root, range)], 1);
            if let Some(top) = own.first() {
                let (root, places) = self.decide(top.aim, &own, open);
                found.push(self.chosen(root, &places));
            }
        }
        found
    }

    pub(super) fn chosen(&self, root: usize, places: &[u16; MOST]) -> Chosen {
        self.roots[root].chosen(places)
    }
}

/// A box in the order among ties.
#[derive(Debug)]
struct Tied {
    key: Key,
    /// Whether it is known to fit.
    fits: bool,
    node: Node,
}

impl Ord for Tied {
    fn cmp(&self, other: &Self) -> Ordering {
        // The smallest key first; of equals the one that is known to fit, then the smaller box.
        let fits = self.fits.cmp(&other.fits);
        other.key.order(&self.key).then(fits).then(other.node.size.cmp(&self.node.size))
    }
}

impl PartialOrd for Tied {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Tied {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Tied {}

impl Root<'_> {
    /// One combination as an answer.
    pub(super) fn chosen(&self, places: &[u16; MOST]) -> Chosen {
        let series = |role: Role| {
            let slot = self.slots.iter().position(|slot| slot.role == role)?;
            self.slots[slot].candidates[usize::from(places[slot])].series
        };
        let open = |role: Role| self.left_out.contains(&role) || self.slots.iter().any(|s| s.role == role);
        let roles = self.input.parts.iter().map(|part| part.role).filter(|role| open(*role));
        Chosen {
            values: self.values_at(places),
            series: roles.map(|role| (role, series(role))).collect(),
            assured: Counts((self.assured(places).span.0 * self.sign).max(0.0)),
            aim: self.aim_of(places),
        }
    }

    /// The slot to split: the one that moves the span or what is still open by the largest share; where nothing moves
    /// either, the one with the most candidates.
    pub(super) fn split(&self, b: &Box, open: [f64; MOST], ends: Ends) -> usize {
        let span = self.span_moved_by(b, ends);
        let weight = |k: usize| {
            let candidates = b.last[k] - b.first[k];
            if candidates == 0 { (-1.0, 0) } else { (f64::max(span[k], open[k]), candidates) }
        };
        (0..self.slots.len()).fold(0, |best, k| if weight(k) > weight(best) { k } else { best })
    }
}

/// Room for rounding in bounds.
fn slack(aim: f64) -> f64 {
    1e-12 * aim.abs().max(1.0)
}
