//! An input with several senders: the sets of parts that serve them, and what each sender has of its own.

mod judge;
mod told;

pub(super) use told::{examined, rows};

use super::capacitor;
use crate::board::{Assembly, Board, Capacitor, Input, Part};
use crate::circuit::Values;
use crate::quantity::Counts;
use crate::search::{self, Chosen, Outcome, Together};
use crate::share::{Split, splits};
use judge::Groups;

/// Numbers of sets that are looked at in any case: that shows where another one stops paying.
const LOOKED_AT: usize = 3;

/// What was chosen for an input with several senders.
#[derive(Clone, Debug)]
pub(super) struct Several {
    /// For each sender what it would choose alone; empty: nothing was to be chosen.
    alone: Vec<Outcome>,
    /// One row for each number of sets that was looked at; one alone where nothing was to be chosen.
    rows: Vec<Row>,
    /// The row that the brief asks for.
    asked: usize,
    /// Where one set does not serve all: the fewest senders that exclude each other.
    excluding: Vec<usize>,
    /// Boxes of values that were examined in all.
    examined: u64,
}

/// The sets of parts for one number of sets.
#[derive(Clone, Debug)]
struct Row {
    variants: usize,
    /// That of the sender that loses most first; empty: none is found.
    sets: Vec<Set>,
    complete: bool,
}

/// One set of parts.
#[derive(Clone, Debug)]
struct Set {
    /// The senders, by their places in the input.
    senders: Vec<usize>,
    /// The parts, and what they are worth for each of these.
    chosen: Vec<Chosen>,
    /// What each of these loses; empty: nothing was chosen.
    losses: Vec<f64>,
}

impl Set {
    fn of(senders: Vec<usize>, together: Together) -> Self {
        Self { senders, chosen: together.chosen, losses: together.losses }
    }

    fn worst(&self) -> f64 {
        self.losses.iter().copied().fold(0.0, f64::max)
    }
}

impl Row {
    fn worst(&self) -> f64 {
        self.sets.iter().map(Set::worst).fold(0.0, f64::max)
    }

    fn sum(&self) -> f64 {
        self.sets.iter().flat_map(|set| &set.losses).sum()
    }

    /// The set that serves a sender, and the place of the sender in it.
    fn of(&self, sender: usize) -> Option<(usize, usize)> {
        let place = |set: &Set| set.senders.iter().position(|other| *other == sender);
        self.sets.iter().enumerate().find_map(|(number, set)| Some((number, place(set)?)))
    }
}

impl Several {
    /// Chooses what is to be chosen.
    pub(super) fn of(board: &Board, input: &Input) -> Self {
        let views = input.views();
        if !input.is_open() {
            return Self::given(input, &views);
        }
        let alone: Vec<Outcome> = views.iter().map(|view| search::choose(board, view)).collect();
        let mut groups = Groups::new(board, &views, &alone);
        let most = input.variants.max(LOOKED_AT).min(views.len());
        let found = splits(views.len(), most, &mut groups);
        let rows = found.rows.iter().map(|split| row(split, &mut groups)).collect();
        Self {
            rows,
            asked: input.variants - 1,
            excluding: found.excluding,
            examined: groups.examined(),
            alone,
        }
    }

    /// A board on which everything is given.
    fn given(input: &Input, views: &[Input]) -> Self {
        let chosen = |place: &usize| Chosen {
            values: Values::given(&views[*place]),
            series: Vec::new(),
            assured: Counts(0.0),
            aim: 0.0,
        };
        let set = |senders: Vec<usize>| Set {
            chosen: senders.iter().map(chosen).collect(),
            losses: Vec::new(),
            senders,
        };
        let place = |name: &String| input.senders.iter().position(|sender| sender.name == *name);
        let places = |assembly: &Assembly| assembly.senders.iter().filter_map(place).collect::<Vec<_>>();
        let sets: Vec<Set> = if input.assemblies.is_empty() {
            vec![set((0..views.len()).collect())]
        } else {
            input.assemblies.iter().map(|assembly| set(places(assembly))).collect()
        };
        let row = Row { variants: sets.len(), sets, complete: true };
        Self { alone: Vec::new(), rows: vec![row], asked: 0, excluding: Vec::new(), examined: 0 }
    }

    /// What the brief asks for; `None`: nothing serves all senders.
    fn row(&self) -> Option<&Row> {
        self.rows.get(self.asked).filter(|row| !row.sets.is_empty())
    }

    /// The parts of the set that comes first.
    pub(super) fn first(&self) -> Option<&Chosen> {
        self.row()?.sets.first()?.chosen.first()
    }

    /// The values of every set.
    pub(super) fn sets(&self) -> Vec<Values> {
        let sets = self.row().into_iter().flat_map(|row| &row.sets);
        sets.filter_map(|set| Some(set.chosen.first()?.values)).collect()
    }

    /// Puts the parts into the input.
    pub(super) fn fit(&self, input: &mut Input) {
        let Some(row) = self.row() else { return };
        let fitted = |set: &Set| -> Vec<Part> {
            let mut parts = input.parts.clone();
            if let Some(chosen) = set.chosen.first() {
                super::fit_parts(&mut parts, &chosen.values);
            }
            parts
        };
        let names = |set: &Set| set.senders.iter().map(|&place| input.senders[place].name.clone()).collect();
        let assembly = |set: &Set| Assembly {
            parts: fitted(set),
            capacitor: input.capacitor.clone(),
            senders: names(set),
        };
        if input.is_open() {
            let assemblies: Vec<Assembly> = row.sets.iter().map(assembly).collect();
            if let Some(first) = assemblies.first() {
                input.parts.clone_from(&first.parts);
            }
            input.assemblies = if assemblies.len() > 1 { assemblies } else { Vec::new() };
        }
    }

    /// The plain input of each sender with its values, in the order of the brief.
    pub(super) fn fitted(&self, input: &Input) -> Vec<(Input, Values)> {
        let Some(row) = self.row() else { return Vec::new() };
        let views = input.views().into_iter().enumerate();
        let fitted = views.filter_map(|(place, view)| {
            let (set, at) = row.of(place)?;
            Some((view, row.sets[set].chosen[at].values))
        });
        fitted.collect()
    }
}

/// The sets of one number of sets, with what each sender has of them.
fn row(split: &Split, groups: &mut Groups<'_>) -> Row {
    let together = |senders: &Vec<usize>| {
        groups.together(senders, split.most).map(|together| Set::of(senders.clone(), together))
    };
    let sets: Option<Vec<Set>> = split.sets.iter().flatten().map(together).collect();
    let mut sets = sets.unwrap_or_default();
    sets.sort_by(|a, b| b.worst().total_cmp(&a.worst()).then(a.senders.cmp(&b.senders)));
    let complete = split.complete && !groups.is_stopped();
    Row { variants: split.variants, sets, complete }
}

/// The plain inputs of the senders of a set, with the capacitor that does for all of them.
fn with_capacitor(board: &Board, views: &[Input], set: &Set) -> Vec<Input> {
    let own: Vec<&Input> = set.senders.iter().map(|&place| &views[place]).collect();
    let needed = own.iter().zip(&set.chosen).filter_map(|(view, chosen)| {
        matches!(view.capacitor, Capacitor::Choose(_))
            .then(|| capacitor::chosen(board, view, &chosen.values).capacitor.largest())?
    });
    let largest = needed.reduce(|a, b| if b > a { b } else { a });
    let with = |view: &&Input| match largest {
        Some(farads) => Input { capacitor: Capacitor::Choose(vec![farads]), ..(*view).clone() },
        None => (*view).clone(),
    };
    own.iter().map(with).collect()
}
