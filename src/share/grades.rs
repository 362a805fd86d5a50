//! The cheapest tolerance grade for every part of a board.
//!
//! A grade counts by the limits that it sets a part over its life, R·(1 ± tolerance)·(1 ± ageing)·(1 ± tempco·ΔT):
//! nothing else of it enters a worst case. A part with wider limits can do all that one with narrower limits inside them
//! can do, so what fails with the narrower ones fails with the wider ones: that is what
//! [`cheapest`](super::cheapest) asks of a demand. What no tolerance enters (a rating, a size) is the same for all grades.

use super::cheapest::{Candidate, Found, Task, cheapest};
use crate::board::{Board, Choice, Input, InputId, Offer, Part, Price, Role, Setting};
use crate::circuit::{Outlook, Scene, Values, limits_of};
use crate::limits::{Watched, checks_of};
use crate::quantity::Ohms;

/// A part of a board. Where an input is assembled in several ways it is the part of all of them, and of one grade.
pub type PartId = (InputId, Role);

/// Whether one input of a board keeps what it has to.
type Demand<'a> = &'a dyn Fn(&Board, InputId) -> bool;

/// What the grades of a board have to keep beside the limits of each input.
pub struct Needs<'a> {
    /// Parts that share one grade, such as those of a network.
    pub ties: &'a [Vec<PartId>],
    /// What each input has to keep beside its limits, if it has to keep anything. It must fail with wider parts where it
    /// fails.
    pub beside: Option<Demand<'a>>,
    /// What has to hold for all inputs together, if anything has to; likewise.
    pub together: Option<&'a dyn Fn(&Board) -> bool>,
}

impl std::fmt::Debug for Needs<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Needs").field("ties", &self.ties).finish_non_exhaustive()
    }
}

/// One part and its grade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GradedPart {
    /// The input.
    pub input: InputId,
    /// The part.
    pub role: Role,
    /// Its grade, by its place in [`Board::grades`]; `None`: the brief gives it one of its own.
    pub offer: Option<usize>,
}

/// One grade for all parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SameForAll {
    /// The grade, by its place in [`Board::grades`].
    pub offer: usize,
    /// What all parts cost then.
    pub price: Price,
    /// Whether everything holds then that can hold.
    pub holds: bool,
}

/// A board with its grades.
#[derive(Clone, Debug)]
pub struct Graded {
    /// The parts that are there, in the order of the board.
    pub parts: Vec<GradedPart>,
    /// What all of them cost, those with a grade of their own left out.
    pub price: Price,
    /// Inputs whose limits no choice of grades keeps, and each with its greatest error at the best grades.
    pub impossible: Vec<(InputId, Option<f64>)>,
    /// Inputs for which no choice was found before the effort was spent.
    pub unsettled: Vec<InputId>,
    /// What one grade for all parts would cost, in the order of the list.
    pub same_for_all: Vec<SameForAll>,
    /// How the choice was found.
    pub found: Found,
}

impl Graded {
    /// Puts the grades into a board with the same inputs and parts.
    pub fn put_into(&self, board: &mut Board) {
        for graded in &self.parts {
            if let Some(offer) = graded.offer.map(|offer| board.grades[offer]) {
                put(board, (graded.input, graded.role), &offer);
            }
        }
    }
}

/// Chooses the grades of a board. Inputs with a part that has no value yet are left alone.
pub fn grade(board: &Board, needs: &Needs<'_>) -> Graded {
    let fitted: Vec<InputId> =
        (0..board.inputs.len()).map(InputId).filter(|&id| is_fitted(board, id)).collect();
    let groups = groups(board, &fitted, needs.ties);
    let demands: Vec<Vec<usize>> = fitted.iter().map(|&id| depends_on(board, id, &groups)).collect();
    let task = Task {
        candidates: candidates(board),
        parts: groups.iter().map(|group| group.len() as u64).collect(),
        demands,
        overall: needs.together.is_some(),
    };
    let mut trial = board.clone();
    let mut judge = |demand: usize, choice: &[usize]| {
        for (group, &offer) in groups.iter().zip(choice) {
            let offer = board.grades[offer];
            for &part in group {
                put(&mut trial, part, &offer);
            }
        }
        match (fitted.get(demand), needs.together) {
            (Some(&id), _) => {
                holds(&trial, &trial.inputs[id.0]) && needs.beside.is_none_or(|beside| beside(&trial, id))
            }
            (None, Some(together)) => together(&trial),
            (None, None) => true,
        }
    };
    let found = cheapest(&task, &mut judge);
    let lost: Vec<usize> = [&found.impossible[..], &found.unsettled[..]].concat();
    let asked = fitted.len() + usize::from(task.overall);
    let asked: Vec<usize> = (0..asked).filter(|demand| !lost.contains(demand)).collect();
    let count: u64 = task.parts.iter().sum();
    let same_for_all = (0..board.grades.len()).map(|offer| SameForAll {
        offer,
        price: Price(count * board.grades[offer].price.0),
        holds: asked.iter().all(|&demand| judge(demand, &vec![offer; groups.len()])),
    });
    let same_for_all = same_for_all.collect();
    let narrowest = narrowest(&task.candidates);
    for &part in groups.iter().flatten() {
        put(&mut trial, part, &board.grades[narrowest]);
    }
    let inputs =
        |demands: &[usize]| demands.iter().filter_map(|&d| fitted.get(d).copied()).collect::<Vec<_>>();
    let impossible = inputs(&found.impossible).into_iter().map(|id| (id, error_of(&trial, id))).collect();
    Graded {
        price: Price(
            groups.iter().zip(&found.choice).map(|(g, &o)| g.len() as u64 * board.grades[o].price.0).sum(),
        ),
        parts: parts(board, &fitted, &groups, &found.choice),
        impossible,
        unsettled: inputs(&found.unsettled),
        same_for_all,
        found,
    }
}

/// The greatest error of a fitted input in its zone, in its unit, of several senders the greatest of all; `None`: what corrects it is not known.
pub fn error_of(board: &Board, id: InputId) -> Option<f64> {
    let errors = board.inputs[id.0].views().into_iter().map(|view| error_of_view(board, &view));
    let errors: Option<Vec<f64>> = errors.collect();
    errors?.into_iter().reduce(f64::max)
}

fn error_of_view(board: &Board, input: &Input) -> Option<f64> {
    let scene = Scene::new(board, input, &Values::given(input));
    let checks = checks_of(board, input, &scene);
    let check = checks.into_iter().find(|check| check.watched == Watched::Error)?;
    Some(check.worst(input, &scene)?.value)
}

/// Whether every limit of a fitted input holds, for each of its senders.
pub(crate) fn holds(board: &Board, input: &Input) -> bool {
    input.views().iter().all(|view| view_holds(board, view))
}

/// By the checks that judge it in the end.
fn view_holds(board: &Board, input: &Input) -> bool {
    let scene = Scene::new(board, input, &Values::given(input));
    let limited = checks_of(board, input, &scene).into_iter().filter(|check| check.allowed.is_some());
    limited.into_iter().all(|check| check.worst(input, &scene).is_none_or(|worst| check.holds(worst.value)))
}

fn is_fitted(board: &Board, id: InputId) -> bool {
    !board.inputs[id.0].is_open()
}

/// The parts that are there; of an input that is assembled in several ways those that are there in one of them.
fn present(input: &Input) -> impl Iterator<Item = &Part> {
    let is_there = |part: &Part| matches!(part.choice, Choice::Fixed(_));
    let is_elsewhere = move |role: Role| {
        let others = input.assemblies.iter().flat_map(|assembly| &assembly.parts);
        others.into_iter().any(|part| part.role == role && is_there(part))
    };
    input.parts.iter().filter(move |part| is_there(part) || is_elsewhere(part.role))
}

/// Parts that get one grade together, in the order of the board: those that are there and have no grade of their own. A
/// part that is tied to others stands with the first of them, and keeps its grade where one of them keeps its own.
fn groups(board: &Board, fitted: &[InputId], ties: &[Vec<PartId>]) -> Vec<Vec<PartId>> {
    let is_kept = |&(id, role): &PartId| {
        board.inputs[id.0].parts.iter().any(|part| part.role == role && part.has_own_grade)
    };
    let of = |&id: &InputId| present(&board.inputs[id.0]).map(move |part| (id, part.role));
    let mut groups: Vec<Vec<PartId>> = Vec::new();
    for part in fitted.iter().flat_map(of) {
        let tie = ties.iter().find(|tie| tie.contains(&part));
        if is_kept(&part) || tie.is_some_and(|tie| tie.iter().any(is_kept)) {
            continue;
        }
        let first = groups.iter_mut().find(|group| tie.is_some_and(|tie| tie.contains(&group[0])));
        match first {
            Some(group) => group.push(part),
            None => groups.push(vec![part]),
        }
    }
    groups
}

/// The groups whose grades move what an input has to keep: its own, and those of the input that corrects it.
fn depends_on(board: &Board, id: InputId, groups: &[Vec<PartId>]) -> Vec<usize> {
    let corrected_by = board.inputs[id.0].corrected_by;
    let moves = |&(input, _): &PartId| input == id || Some(input) == corrected_by;
    (0..groups.len()).filter(|&group| groups[group].iter().any(moves)).collect()
}

/// Whether what all inputs feed back into the rails together is limited, so that grades may break it.
pub(crate) fn is_limited_together(board: &Board) -> bool {
    board.inputs.iter().any(|input| input.limits.rail_backfeed != Setting::Off)
}

/// What each grade of the list makes of a part over its life.
fn candidates(board: &Board) -> Vec<Candidate> {
    let any = board.inputs.iter().flat_map(|input| &input.parts).next();
    let candidate = |offer: &Offer| {
        let limits = any.map(|part| limits_of(Ohms(1.0), &offer.of(&part.grade), board, Outlook::Life));
        let (lowest, highest) = limits.map_or((1.0, 1.0), |limits| (limits.lowest.0, limits.highest.0));
        Candidate { lowest, highest, price: offer.price.0 }
    };
    board.grades.iter().map(candidate).collect()
}

fn narrowest(candidates: &[Candidate]) -> usize {
    let width = |&place: &usize| candidates[place].highest - candidates[place].lowest;
    (0..candidates.len()).min_by(|a, b| width(a).total_cmp(&width(b))).unwrap_or(0)
}

fn put(board: &mut Board, (id, role): PartId, offer: &Offer) {
    let input = &mut board.inputs[id.0];
    let others = input.assemblies.iter_mut().flat_map(|assembly| &mut assembly.parts);
    for part in input.parts.iter_mut().chain(others).filter(|part| part.role == role) {
        part.grade = offer.of(&part.grade);
    }
}

fn parts(board: &Board, fitted: &[InputId], groups: &[Vec<PartId>], choice: &[usize]) -> Vec<GradedPart> {
    let of = |&input: &InputId| {
        present(&board.inputs[input.0]).map(move |part| {
            let group = groups.iter().position(|group| group.contains(&(input, part.role)));
            GradedPart { input, role: part.role, offer: group.map(|group| choice[group]) }
        })
    };
    fitted.iter().flat_map(of).collect()
}
