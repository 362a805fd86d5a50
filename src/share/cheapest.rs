//! The cheapest candidate for each group of parts with which every demand holds.
//!
//! A demand is a yes or no that only an exact look at the board gives. All that is known of it is that it is monotone:
//! where it fails, it fails with wider parts, too. So each failure is a cut: at least one of the groups that the demand
//! depends on must get a candidate that is not at least as wide as the one with which it failed. The programme
//!
//! > least Σ price(g)·x(p, g), with Σ over g of x(p, g) = 1 for each group p, and every cut, x binary
//!
//! is solved, its choice judged, cut and solved again until it holds. It leaves out no choice that holds, so the first
//! one that holds is the cheapest. Groups that no demand joins are solved apart.

use std::collections::BTreeMap;

use super::programme::{Pick, Programme, Stopped};

/// Judgements and programmes that one set of joined groups may take.
const MOST_JUDGED: usize = 50_000;
const MOST_PROGRAMMES: usize = 2_000;

/// Joined groups beyond which nothing is proven, since the programme might take for ever.
const MOST_GROUPS: usize = 40;

/// What a group may get.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// The least resistance of a part, as a share of its nominal one.
    pub lowest: f64,
    /// The greatest.
    pub highest: f64,
    /// The price of one part, in whole units.
    pub price: u64,
}

impl Candidate {
    /// Whether whatever fails with the other fails with this one, too.
    fn is_at_least_as_wide_as(&self, other: &Self) -> bool {
        self.lowest <= other.lowest && self.highest >= other.highest
    }

    fn width(&self) -> f64 {
        self.highest - self.lowest
    }
}

/// What is to be chosen, and for what.
#[derive(Clone, Debug, Default)]
pub struct Task {
    /// What every group may get, never empty.
    pub candidates: Vec<Candidate>,
    /// How many parts each group has.
    pub parts: Vec<u64>,
    /// The groups that each demand depends on.
    pub demands: Vec<Vec<usize>>,
    /// Whether there is one more demand, the last, that depends on all groups. It is looked at when the others hold.
    pub overall: bool,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The candidate of each group, by its place in [`Task::candidates`]. Groups that serve no demand that can hold get
    /// the narrowest.
    pub choice: Vec<usize>,
    /// Demands that no choice fulfils, beside those before them.
    pub impossible: Vec<usize>,
    /// Demands of which it is not known whether a choice fulfils them.
    pub unsettled: Vec<usize>,
    /// Whether the price is proven to be the least.
    pub complete: bool,
    /// Programmes that were solved.
    pub programmes: usize,
    /// Cuts that were found.
    pub cuts: usize,
    /// Choices that were judged, each demand apart.
    pub judged: usize,
}

/// The cheapest choice with which all demands hold that can hold. `judge` is asked whether a demand holds with a choice,
/// of which only the groups of that demand matter.
///
/// A candidate that is no narrower than another and no cheaper is never taken. Of choices of the same price it is the
/// one whose first group has the candidate that comes first, then the second group, and so on.
pub fn cheapest(task: &Task, judge: impl FnMut(usize, &[usize]) -> bool) -> Found {
    let groups = task.parts.len();
    let mut solver = Solver::new(task, judge);
    let mut choice = vec![solver.narrowest; groups];
    for (groups, demands) in components(task) {
        solver.settle(&groups, &demands, &mut choice);
    }
    let overall = task.demands.len();
    if task.overall && !solver.judged(overall, &choice) {
        let all: Vec<usize> = (0..groups).collect();
        let lost = |demand: &usize| {
            solver.found.impossible.contains(demand) || solver.found.unsettled.contains(demand)
        };
        let mut demands: Vec<usize> = (0..overall).filter(|demand| !lost(demand)).collect();
        demands.push(overall);
        solver.settle(&all, &demands, &mut choice);
    }
    let choice = choice.iter().map(|&place| solver.worth[place]).collect();
    Found { choice, cuts: solver.cuts.len(), ..solver.found }
}

/// Groups with the demands that join them, and those that are joined to none.
fn components(task: &Task) -> Vec<(Vec<usize>, Vec<usize>)> {
    let mut of: Vec<usize> = (0..task.parts.len()).collect();
    for groups in &task.demands {
        let Some(to) = groups.iter().map(|&group| of[group]).min() else { continue };
        let joined: Vec<usize> = groups.iter().map(|&group| of[group]).collect();
        of.iter_mut().filter(|of| joined.contains(of)).for_each(|of| *of = to);
    }
    let of_demand = |groups: &Vec<usize>| groups.first().map(|&group| of[group]);
    // A demand that depends on no group is as it is, and makes a component of its own.
    let without = (0..task.demands.len()).filter(|&demand| task.demands[demand].is_empty());
    let without = without.map(|demand| (Vec::new(), vec![demand]));
    let component = |first: usize| {
        let groups: Vec<usize> = (0..of.len()).filter(|&group| of[group] == first).collect();
        let demands = (0..task.demands.len()).filter(|&d| of_demand(&task.demands[d]) == Some(first));
        (!groups.is_empty()).then(|| (groups, demands.collect()))
    };
    (0..of.len()).filter_map(component).chain(without).collect()
}

/// At least one of these groups must get a candidate that is not at least as wide as the one beside it.
#[derive(Clone, Debug)]
struct Cut {
    demand: usize,
    wide: Vec<Pick>,
}

/// What a choice must respect beside the cuts.
#[derive(Clone, Debug, Default)]
struct Further {
    /// The most that all parts together may cost.
    price: Option<u64>,
    /// Groups with a candidate that is given.
    given: Vec<Pick>,
    /// The group whose candidate is to come as early as it can; otherwise the price is to be least.
    earliest: Option<usize>,
}

struct Solver<'a, J> {
    task: &'a Task,
    judge: J,
    /// Candidates worth taking, by their places in the list. Choices in here name a place among them.
    worth: Vec<usize>,
    /// The narrowest of them.
    narrowest: usize,
    /// Whether that is narrower than each of the others in both directions.
    is_best: bool,
    known: BTreeMap<(usize, Vec<usize>), bool>,
    cuts: Vec<Cut>,
    /// Demands whose parts have been looked at one by one.
    started: Vec<usize>,
    found: Found,
    /// What had been spent when the component began.
    spent: (usize, usize),
}

impl<'a, J: FnMut(usize, &[usize]) -> bool> Solver<'a, J> {
    fn new(task: &'a Task, judge: J) -> Self {
        let all = &task.candidates;
        let beats = |b: usize, a: usize| {
            let (worse, better) = (&all[a], &all[b]);
            let as_good = worse.is_at_least_as_wide_as(better) && better.price <= worse.price;
            a != b && as_good && (worse != better || b < a)
        };
        let is_worth = |&a: &usize| !(0..all.len()).any(|b| beats(b, a));
        let worth: Vec<usize> = (0..all.len()).filter(is_worth).collect();
        let width = |&place: &usize| all[worth[place]].width();
        let narrowest = (0..worth.len()).min_by(|a, b| width(a).total_cmp(&width(b))).unwrap_or(0);
        let is_best = worth.iter().all(|&other| all[other].is_at_least_as_wide_as(&all[worth[narrowest]]));
        Self {
            task,
            judge,
            narrowest,
            is_best,
            worth,
            known: BTreeMap::new(),
            cuts: Vec::new(),
            started: Vec::new(),
            found: Found { complete: true, ..Found::default() },
            spent: (0, 0),
        }
    }

    fn candidate(&self, place: usize) -> &Candidate {
        &self.task.candidates[self.worth[place]]
    }

    fn groups_of(&self, demand: usize) -> Vec<usize> {
        self.task.demands.get(demand).cloned().unwrap_or_else(|| (0..self.task.parts.len()).collect())
    }

    /// Whether a demand holds.
    fn judged(&mut self, demand: usize, choice: &[usize]) -> bool {
        let key = self.groups_of(demand).into_iter().map(|group| choice[group]).collect();
        if let Some(&known) = self.known.get(&(demand, key)) {
            return known;
        }
        let key = self.groups_of(demand).into_iter().map(|group| choice[group]).collect();
        let listed: Vec<usize> = choice.iter().map(|&place| self.worth[place]).collect();
        let holds = (self.judge)(demand, &listed);
        self.found.judged += 1;
        self.known.insert((demand, key), holds);
        holds
    }

    /// The same, as long as there is effort left.
    fn holds(&mut self, demand: usize, choice: &[usize]) -> Result<bool, Stopped> {
        if self.found.judged - self.spent.1 > MOST_JUDGED {
            return Err(Stopped);
        }
        Ok(self.judged(demand, choice))
    }

    /// Chooses for joined groups.
    fn settle(&mut self, groups: &[usize], demands: &[usize], choice: &mut [usize]) {
        self.spent = (self.found.programmes, self.found.judged);
        for &group in groups {
            choice[group] = self.narrowest;
        }
        let (mut kept, doubtful): (Vec<usize>, Vec<usize>) =
            demands.iter().partition(|&&demand| self.judged(demand, choice));
        for demand in doubtful {
            kept.push(demand);
            match self.possible(groups, &kept, demand, choice) {
                Ok(true) => continue,
                Ok(false) => self.found.impossible.push(demand),
                Err(Stopped) => self.found.unsettled.push(demand),
            }
            kept.pop();
        }
        let asks = |demand: usize, group: &usize| self.groups_of(demand).contains(group);
        let is_kept = |group: &usize| kept.iter().any(|&demand| asks(demand, group));
        let is_asked = |group: &usize| demands.iter().any(|&demand| asks(demand, group));
        // What only lost demands ask for stays as narrow as it can be.
        let served = |group: &usize| is_kept(group) || !is_asked(group);
        let served: Vec<usize> = groups.iter().copied().filter(served).collect();
        if let Ok(best) = self.best(&served, &kept, choice) {
            choice.copy_from_slice(&best);
        } else {
            self.found.complete = false;
            self.descend(&served, &kept, choice);
        }
    }

    /// Whether a demand that fails with the narrowest candidates can hold beside others: only where another candidate
    /// is narrower in one direction.
    fn possible(
        &mut self,
        groups: &[usize],
        kept: &[usize],
        demand: usize,
        choice: &[usize],
    ) -> Result<bool, Stopped> {
        let depends = !self.groups_of(demand).is_empty();
        Ok(!self.is_best && depends && self.solve(groups, kept, choice, &Further::default())?.is_some())
    }

    /// The cheapest choice, and of equals the first one.
    fn best(&mut self, groups: &[usize], demands: &[usize], around: &[usize]) -> Result<Vec<usize>, Stopped> {
        let mut further = Further::default();
        let mut best = self.solve(groups, demands, around, &further)?.ok_or(Stopped)?;
        further.price = Some(groups.iter().map(|&group| self.costs(group)[best[group]]).sum());
        for &group in groups {
            // What stands first already cannot come earlier.
            if best[group] > 0 {
                further.earliest = Some(group);
                best = self.solve(groups, demands, around, &further)?.ok_or(Stopped)?;
            }
            further.given.push((group, best[group]));
        }
        Ok(best)
    }

    /// A choice that holds, not proven to be the cheapest: from the cheapest candidate for all with which all holds, each
    /// group in turn gets the cheapest that still does.
    fn descend(&mut self, groups: &[usize], demands: &[usize], choice: &mut [usize]) {
        let mut places: Vec<usize> = (0..self.worth.len()).collect();
        places.sort_by_key(|&place| self.candidate(place).price);
        for &place in &places {
            let mut same = choice.to_vec();
            for &group in groups {
                same[group] = place;
            }
            if demands.iter().all(|&demand| self.judged(demand, &same)) {
                choice.copy_from_slice(&same);
                break;
            }
        }
        for &group in groups {
            let own = choice[group];
            let concerned = |demand: &usize| self.groups_of(*demand).contains(&group);
            let concerned: Vec<usize> = demands.iter().copied().filter(concerned).collect();
            for &place in places.iter().take_while(|&&place| place != own) {
                choice[group] = place;
                if concerned.iter().all(|&demand| self.judged(demand, choice)) {
                    break;
                }
                choice[group] = own;
            }
        }
    }

    /// Programme, judgement and cut by turns. `None`: there is no choice.
    fn solve(
        &mut self,
        groups: &[usize],
        demands: &[usize],
        around: &[usize],
        further: &Further,
    ) -> Result<Option<Vec<usize>>, Stopped> {
        loop {
            let Some(choice) = self.programme(groups, demands, around, further)? else { return Ok(None) };
            let mut is_fine = true;
            for &demand in demands {
                if !self.holds(demand, &choice)? {
                    is_fine = false;
                    self.start(demand, around)?;
                    self.cut(demand, &choice)?;
                }
            }
            if is_fine {
                return Ok(Some(choice));
            }
        }
    }

    /// What each group cannot get even with the narrowest in all others.
    fn start(&mut self, demand: usize, around: &[usize]) -> Result<(), Stopped> {
        if self.started.contains(&demand) || !self.is_best {
            return Ok(());
        }
        self.started.push(demand);
        let mut places: Vec<usize> = (0..self.worth.len()).collect();
        places.sort_by(|&a, &b| self.candidate(a).width().total_cmp(&self.candidate(b).width()));
        let mut choice = around.to_vec();
        for &group in &self.groups_of(demand) {
            choice[group] = self.narrowest;
        }
        if !self.holds(demand, &choice)? {
            return Ok(());
        }
        for group in self.groups_of(demand) {
            for &place in &places {
                choice[group] = place;
                if !self.holds(demand, &choice)? {
                    self.cut(demand, &choice)?;
                    break;
                }
            }
            choice[group] = self.narrowest;
        }
        Ok(())
    }

    /// Excludes a choice with which a demand fails, and as many others as one look at each group allows: it gets the
    /// narrowest with which the demand still fails.
    fn cut(&mut self, demand: usize, failing: &[usize]) -> Result<(), Stopped> {
        let mut choice = failing.to_vec();
        let mut places: Vec<usize> = (0..self.worth.len()).collect();
        places.sort_by(|&a, &b| self.candidate(a).width().total_cmp(&self.candidate(b).width()));
        for group in self.groups_of(demand) {
            let own = choice[group];
            let narrower = |&&place: &&usize| {
                place != own && self.candidate(own).is_at_least_as_wide_as(self.candidate(place))
            };
            let narrower: Vec<usize> = places.iter().filter(narrower).copied().collect();
            for place in narrower {
                choice[group] = place;
                if !self.holds(demand, &choice)? {
                    break;
                }
                choice[group] = own;
            }
        }
        let wide = self.groups_of(demand).into_iter().map(|group| (group, choice[group])).collect();
        self.cuts.push(Cut { demand, wide });
        Ok(())
    }

    /// What the cuts of some demands allow, as good as can be, with all other groups as they are around. `None`: nothing.
    fn programme(
        &mut self,
        groups: &[usize],
        demands: &[usize],
        around: &[usize],
        further: &Further,
    ) -> Result<Option<Vec<usize>>, Stopped> {
        if groups.len() > MOST_GROUPS || self.found.programmes - self.spent.0 >= MOST_PROGRAMMES {
            return Err(Stopped);
        }
        self.found.programmes += 1;
        let here = |group: usize| groups.iter().position(|&here| here == group);
        let cuts = self.cuts.iter().filter(|cut| demands.contains(&cut.demand));
        let programme = Programme {
            costs: groups.iter().map(|&group| self.costs(group)).collect(),
            rows: cuts.map(|cut| self.escapes(cut, groups)).collect(),
            given: further.given.iter().filter_map(|&(group, place)| Some((here(group)?, place))).collect(),
            most: further.price,
            earliest: further.earliest.and_then(here),
        };
        let Some(found) = programme.solve()? else { return Ok(None) };
        let mut choice = around.to_vec();
        for (&group, place) in groups.iter().zip(found) {
            choice[group] = place;
        }
        Ok(Some(choice))
    }

    fn costs(&self, group: usize) -> Vec<u64> {
        let price = |place| self.task.parts[group] * self.candidate(place).price;
        (0..self.worth.len()).map(price).collect()
    }

    /// The picks that escape a cut.
    fn escapes(&self, cut: &Cut, groups: &[usize]) -> Vec<Pick> {
        let of_group = |&(group, wide): &Pick| {
            let wide = self.candidate(wide);
            let escapes = |&place: &usize| !self.candidate(place).is_at_least_as_wide_as(wide);
            let places = (0..self.worth.len()).filter(escapes).collect::<Vec<_>>();
            let here = groups.iter().position(|&here| here == group);
            here.into_iter().flat_map(move |here| places.clone().into_iter().map(move |place| (here, place)))
        };
        cut.wide.iter().flat_map(of_group).collect()
    }
}
