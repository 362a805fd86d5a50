//! Sets of parts for several senders: which senders share one.
//!
//! What a group of senders loses with the best parts for all of it is known only after a joint search. Two things are
//! known before: a group loses no less than any part of it, in its worst loss and in the sum, and the sum of a group is
//! no less than those of its parts together. So a programme that takes these bounds for groups that are not solved yet
//! proposes a parting that is at least as good as the best; its groups are solved, and it is proposed anew until all
//! groups of a proposal are solved. Then nothing is better.
//!
//! First the worst loss: the smallest bound with which at most `variants` groups cover all senders. Of its partings then
//! the one with the smallest sum of losses, none of them above that bound. Of what ties the fewest sets.

use std::collections::BTreeMap;

use super::partition::{Group, cheapest_parting, fewest, has};
use super::programme::Stopped;

/// Losses that differ by no more than this tie.
const TIE: f64 = 1e-9;

/// Programmes that one number of sets may take.
const MOST_PROGRAMMES: usize = 3_000;

/// What a look at a group of senders gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cost {
    /// A loss.
    Is(f64),
    /// No set of parts serves all of the group.
    Impossible,
    /// The effort was spent before that was known.
    Unknown,
}

/// Knows what groups of senders lose, given by their places in rising order.
pub trait Judge {
    /// The smallest worst loss of a group.
    fn worst(&mut self, group: &[usize]) -> Cost;
    /// The smallest sum of losses of a group of which none may lose more than `most`.
    fn sum(&mut self, group: &[usize], most: f64) -> Cost;
}

/// Which senders share a set of parts, for one number of sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Split {
    /// The most sets.
    pub variants: usize,
    /// The senders of each set, by the first of each; `None`: none is found.
    pub sets: Option<Vec<Vec<usize>>>,
    /// No sender loses more than that.
    pub most: f64,
    /// Whether it is proven: that it is the best, or that there is none.
    pub complete: bool,
}

/// The best splits.
#[derive(Clone, Debug, PartialEq)]
pub struct Splits {
    /// One for each number of sets from 1 on.
    pub rows: Vec<Split>,
    /// Where one set does not serve all: the fewest senders that exclude each other; empty where that is not known.
    pub excluding: Vec<usize>,
}

/// The best splits of so many senders into at most 1, 2, … `most` sets. Where none serves all, further numbers are tried
/// until one does.
pub fn splits(senders: usize, most: usize, judge: &mut impl Judge) -> Splits {
    let mut solver = Solver::new(senders, judge);
    let mut rows: Vec<Split> = Vec::new();
    for variants in 1..=senders {
        if variants > most && rows.iter().any(|row| row.sets.is_some()) {
            break;
        }
        rows.push(solver.row(variants, rows.last()));
    }
    let is_needed = rows.first().is_some_and(|row| row.sets.is_none());
    let excluding = if is_needed { solver.excluding() } else { Vec::new() };
    Splits { rows, excluding }
}

struct Solver<'j, J> {
    senders: usize,
    judge: &'j mut J,
    worst: BTreeMap<Group, Cost>,
    /// Sums of losses of groups, none of which may be above the bound whose bits stand behind the group.
    sums: BTreeMap<(Group, u64), Cost>,
    programmes: usize,
}

/// What is known of every group: a bound of what it loses; `None`: nothing serves it, or nobody knows.
type Bounds = Vec<Option<f64>>;

impl<'j, J: Judge> Solver<'j, J> {
    fn new(senders: usize, judge: &'j mut J) -> Self {
        Self { senders, judge, worst: BTreeMap::new(), sums: BTreeMap::new(), programmes: 0 }
    }

    fn all(&self) -> Group {
        (0..self.senders).fold(0, |all, sender| all | 1 << sender)
    }

    fn members(&self, group: Group) -> Vec<usize> {
        (0..self.senders).filter(|&sender| has(group, sender)).collect()
    }

    fn worst_of(&mut self, group: Group) -> Cost {
        if let Some(known) = self.worst.get(&group) {
            return *known;
        }
        let members = self.members(group);
        let cost = self.judge.worst(&members);
        self.worst.insert(group, cost);
        cost
    }

    fn sum_of(&mut self, group: Group, most: f64) -> Cost {
        let key = (group, most.to_bits());
        if let Some(known) = self.sums.get(&key) {
            return *known;
        }
        let members = self.members(group);
        let cost = self.judge.sum(&members, most);
        self.sums.insert(key, cost);
        cost
    }

    fn row(&mut self, variants: usize, before: Option<&Split>) -> Split {
        let none = |complete| Split { variants, sets: None, most: f64::INFINITY, complete };
        self.programmes = 0;
        // What one set does without a loss needs no second one.
        if let Some(before) = before
            && before.complete
            && before.sets.is_some()
            && before.most == 0.0
        {
            return Split { variants, ..before.clone() };
        }
        if variants == 2 {
            self.solve_pairs();
        }
        let found = self.least_worst(variants);
        let Ok(found) = found else { return none(false) };
        let Some((most, parting)) = found else { return none(!self.is_in_doubt(f64::INFINITY)) };
        let second = self.least_sum(variants, most, &parting);
        let (sets, is_proven) = match second {
            Ok(Some(sets)) => (sets, true),
            Ok(None) | Err(Stopped) => (parting, false),
        };
        let complete = is_proven && !self.is_in_doubt(most);
        let total = self.total(&sets, most);
        if let Some(before) = before
            && let Some(sets) = before.sets.as_ref().filter(|_| before.most <= most + TIE)
            && self.total_of(sets, before.most) <= total + TIE
        {
            return Split { variants, sets: Some(sets.clone()), most: before.most, complete };
        }
        let mut sets: Vec<Vec<usize>> = sets.into_iter().map(|group| self.members(group)).collect();
        sets.sort();
        Split { variants, sets: Some(sets), most, complete }
    }

    /// Bounds of pairs bound all larger groups.
    fn solve_pairs(&mut self) {
        for a in 0..self.senders {
            for b in a + 1..self.senders {
                self.worst_of(1 << a | 1 << b);
            }
        }
    }

    /// Whether a group of which nothing is known may lose no more than this.
    fn is_in_doubt(&self, most: f64) -> bool {
        let (bounds, _) = self.worst_bounds();
        let unknown = |cost: &Cost| *cost == Cost::Unknown;
        let doubtful = self.worst.iter().filter(|(_, cost)| unknown(cost)).map(|(group, _)| *group);
        let doubtful = doubtful.chain(
            self.sums
                .iter()
                .filter(|((_, bits), cost)| unknown(cost) && *bits == most.to_bits())
                .map(|((group, _), _)| *group),
        );
        let least = |group: Group| {
            let parts = (0..self.senders).filter(|&sender| has(group, sender) && group != 1 << sender);
            parts.filter_map(|sender| bounds[(group & !(1 << sender)) as usize]).fold(0.0, f64::max)
        };
        doubtful.into_iter().any(|group| least(group) <= most + TIE)
    }

    /// For each group a bound that its worst loss is not below, and whether it is solved. Nothing serves a group that has a
    /// part which nothing serves.
    fn worst_bounds(&self) -> (Bounds, Vec<bool>) {
        let count = 1_usize << self.senders;
        let (mut bounds, mut solved): (Bounds, _) = (vec![Some(0.0); count], vec![false; count]);
        for group in 1..count {
            let parts = (0..self.senders).filter(|sender| group >> sender & 1 == 1);
            let mut parts = parts.map(|sender| bounds[group & !(1 << sender)]);
            let bound = parts.try_fold(0.0, |a: f64, b| Some(a.max(b?)));
            (bounds[group], solved[group]) = match self.worst.get(&(group as Group)) {
                Some(Cost::Is(loss)) => (bound.map(|_| *loss), true),
                Some(Cost::Impossible | Cost::Unknown) => (None, true),
                None => (bound, false),
            };
        }
        (bounds, solved)
    }

    /// The smallest worst loss and a parting that has it; `None`: no parting serves all.
    fn least_worst(&mut self, variants: usize) -> Result<Option<(f64, Vec<Group>)>, Stopped> {
        loop {
            let (bounds, solved) = self.worst_bounds();
            let mut levels: Vec<f64> = bounds[1..].iter().flatten().copied().collect();
            levels.sort_by(f64::total_cmp);
            levels.dedup();
            let Some((most, parting)) = self.lowest(&levels, &bounds, variants)? else { return Ok(None) };
            let open: Vec<Group> = parting.iter().copied().filter(|group| !solved[*group as usize]).collect();
            if open.is_empty() {
                return Ok(Some((most, parting)));
            }
            for group in open {
                self.worst_of(group);
            }
        }
    }

    /// The lowest level at which few enough groups cover all senders.
    fn lowest(
        &mut self,
        levels: &[f64],
        bounds: &Bounds,
        variants: usize,
    ) -> Result<Option<(f64, Vec<Group>)>, Stopped> {
        let (mut low, mut high, mut best) = (0, levels.len(), None);
        while low < high {
            let middle = usize::midpoint(low, high);
            match self.at_level(levels[middle], bounds, variants)? {
                Some(parting) => {
                    best = Some((levels[middle], parting));
                    high = middle;
                }
                None => low = middle + 1,
            }
        }
        Ok(best)
    }

    fn at_level(&mut self, level: f64, bounds: &Bounds, most: usize) -> Result<Option<Vec<Group>>, Stopped> {
        let allowed = |group: &usize| bounds[*group].is_some_and(|bound| bound <= level);
        let groups: Vec<Group> = (1..bounds.len()).filter(allowed).map(|group| group as Group).collect();
        self.count()?;
        fewest(self.senders, most, &groups)
    }

    fn count(&mut self) -> Result<(), Stopped> {
        self.programmes += 1;
        if self.programmes > MOST_PROGRAMMES { Err(Stopped) } else { Ok(()) }
    }

    /// The parting with the smallest sum of losses, none of them above `most`. What loses more than a parting that is known
    /// takes no part in it.
    fn least_sum(
        &mut self,
        variants: usize,
        most: f64,
        known: &[Group],
    ) -> Result<Option<Vec<Group>>, Stopped> {
        let mut enough = self.total(known, most);
        loop {
            let mut groups = self.sum_bounds(most);
            groups.retain(|(_, bound)| *bound <= enough + TIE);
            self.count()?;
            let Some(parting) = cheapest_parting(self.senders, variants, &groups)? else { return Ok(None) };
            let mut is_solved = true;
            for &group in &parting {
                let key = (group, most.to_bits());
                if !self.sums.contains_key(&key) {
                    is_solved = false;
                    let worst = self.worst_of(group);
                    if matches!(worst, Cost::Is(loss) if loss <= most + TIE) {
                        self.sum_of(group, most);
                    }
                }
            }
            if is_solved {
                return Ok(Some(parting));
            }
            enough = enough.min(self.known_total(&parting, most));
        }
    }

    /// The groups none of which may lose more than `most`, each with a bound that its sum of losses is not below.
    fn sum_bounds(&self, most: f64) -> Vec<(Group, f64)> {
        let (worst, _) = self.worst_bounds();
        let mut sums = vec![0.0_f64; worst.len()];
        let mut groups = Vec::new();
        for group in 1..worst.len() {
            let known = self.sums.get(&(group as Group, most.to_bits()));
            let bound = match known {
                Some(Cost::Is(sum)) => Some(*sum),
                Some(Cost::Impossible | Cost::Unknown) => None,
                None => Some(bound_of_parts(&sums, group).max(worst[group].unwrap_or(0.0))),
            };
            sums[group] = bound.unwrap_or_else(|| bound_of_parts(&sums, group));
            let is_allowed = worst[group].is_some_and(|worst| worst <= most + TIE);
            groups.extend(bound.filter(|_| is_allowed).map(|bound| (group as Group, bound)));
        }
        groups
    }

    /// The sum of losses of a parting whose groups are solved; without bound where one is not.
    fn known_total(&self, parting: &[Group], most: f64) -> f64 {
        let cost = |group: &Group| match self.sums.get(&(*group, most.to_bits())) {
            Some(Cost::Is(sum)) => *sum,
            _ => f64::INFINITY,
        };
        parting.iter().map(cost).sum()
    }

    /// The sum of losses of a parting.
    fn total(&mut self, parting: &[Group], most: f64) -> f64 {
        let cost = |cost| if let Cost::Is(sum) = cost { sum } else { f64::INFINITY };
        parting.iter().map(|&group| cost(self.sum_of(group, most))).sum()
    }

    fn total_of(&mut self, sets: &[Vec<usize>], most: f64) -> f64 {
        let group = |set: &Vec<usize>| set.iter().fold(0, |group: Group, sender| group | 1 << sender);
        let parting: Vec<Group> = sets.iter().map(group).collect();
        self.total(&parting, most)
    }

    /// The fewest senders that no set of parts serves together, the first such group; empty: not known.
    fn excluding(&mut self) -> Vec<usize> {
        let all = self.all();
        for size in 1..=self.senders as u32 {
            for group in (1..=all).filter(|group: &Group| group.count_ones() == size) {
                match self.worst_of(group) {
                    Cost::Impossible => return self.members(group),
                    Cost::Unknown => return Vec::new(),
                    Cost::Is(_) => {}
                }
            }
        }
        Vec::new()
    }
}

/// No less than any two parts of a group together.
fn bound_of_parts(sums: &[f64], group: usize) -> f64 {
    let lowest = group & group.wrapping_neg();
    let mut bound: f64 = 0.0;
    let mut part = (group - 1) & group;
    while part > 0 {
        if part & lowest != 0 {
            bound = bound.max(sums[part] + sums[group & !part]);
        }
        part = (part - 1) & group;
    }
    bound
}
