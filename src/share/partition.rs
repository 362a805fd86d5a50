//! Two integer programmes over groups of senders: x(G) binary, whether group G gets a set of parts of its own.

use good_lp::{
    Expression, ProblemVariables, ResolutionError, Solution, SolutionStatus, SolverModel, Variable,
    constraint, microlp, variable,
};

use super::programme::Stopped;

/// A group of senders: a bit for each.
pub(super) type Group = u32;

/// Greatest coefficient of a goal: the tolerance of the solver (1e-10) is then nothing beside it. Sums that differ by a
/// billionth or less it takes for equal, as losses do.
const SCALE: f64 = 1e3;

/// The fewest of these groups, at most so many, that cover all senders, each sender then in the first of them that it
/// belongs to.
///
/// > least Σ x(G), with Σ over G with s of x(G) ≥ 1 for each sender s, and Σ x(G) ≤ most
///
/// Where a part of a group may be served whenever the group may, covering is as good as parting, and of the groups only
/// those that are part of no other are needed. `None`: proven that nothing covers all.
pub(super) fn fewest(senders: usize, most: usize, groups: &[Group]) -> Result<Option<Vec<Group>>, Stopped> {
    let is_maximal =
        |group: &&Group| !groups.iter().any(|other| other != *group && *other & **group == **group);
    let groups: Vec<Group> = groups.iter().filter(is_maximal).copied().collect();
    let is_covered = |sender: usize| groups.iter().any(|group| has(*group, sender));
    if !(0..senders).all(is_covered) {
        return Ok(None);
    }
    let mut variables = ProblemVariables::new();
    let x: Vec<Variable> = groups.iter().map(|_| variables.add(variable().binary())).collect();
    let goal: Expression = x.iter().copied().map(Expression::from).sum();
    let mut model = variables.minimise(goal.clone()).using(microlp);
    model.add_constraint(constraint!(goal <= most as f64));
    for sender in 0..senders {
        model.add_constraint(constraint!(with(sender, &groups, &x) >= 1));
    }
    let Some(taken) = solved(model, &x)? else { return Ok(None) };
    let mut open: Group = (0..senders).fold(0, |all, sender| all | 1 << sender);
    let mut parted = Vec::new();
    for (group, _) in groups.iter().zip(&taken).filter(|(_, taken)| **taken) {
        if group & open != 0 {
            parted.push(group & open);
        }
        open &= !group;
    }
    if open == 0 && parted.len() <= most { Ok(Some(parted)) } else { Err(Stopped) }
}

/// The cheapest parting of all senders into at most so many of these groups.
///
/// > least Σ cost(G)·x(G), with Σ over G with s of x(G) = 1 for each sender s, and Σ x(G) ≤ most
///
/// `None`: proven that there is none.
pub(super) fn cheapest_parting(
    senders: usize,
    most: usize,
    groups: &[(Group, f64)],
) -> Result<Option<Vec<Group>>, Stopped> {
    let of: Vec<Group> = groups.iter().map(|(group, _)| *group).collect();
    let finite = groups.iter().map(|(_, cost)| *cost).filter(|cost| cost.is_finite());
    let greatest = finite.fold(0.0, f64::max);
    // A loss without bound weighs more than all others together.
    let unbounded = if greatest > 0.0 { greatest * (senders + 1) as f64 } else { 1.0 };
    let scale = SCALE / if groups.iter().any(|(_, cost)| cost.is_infinite()) { unbounded } else { greatest };
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let mut variables = ProblemVariables::new();
    let x: Vec<Variable> = groups.iter().map(|_| variables.add(variable().binary())).collect();
    let cost = |cost: f64| if cost.is_finite() { cost * scale } else { unbounded * scale };
    let goal: Expression = groups.iter().zip(&x).map(|((_, loss), &x)| cost(*loss) * x).sum();
    let mut model = variables.minimise(goal).using(microlp);
    for sender in 0..senders {
        model.add_constraint(constraint!(with(sender, &of, &x) == 1));
    }
    let all: Expression = x.iter().copied().map(Expression::from).sum();
    model.add_constraint(constraint!(all <= most as f64));
    let Some(taken) = solved(model, &x)? else { return Ok(None) };
    let parted: Vec<Group> =
        of.iter().zip(&taken).filter(|(_, taken)| **taken).map(|(group, _)| *group).collect();
    // Whatever the rounding of a solver may do, a choice that breaks a constraint is none.
    let times = |sender: usize| parted.iter().filter(|group| has(**group, sender)).count();
    let is_parting = parted.len() <= most && (0..senders).all(|sender| times(sender) == 1);
    if is_parting { Ok(Some(parted)) } else { Err(Stopped) }
}

/// Whether a sender belongs to a group.
pub(super) const fn has(group: Group, sender: usize) -> bool {
    group >> sender & 1 == 1
}

fn with(sender: usize, groups: &[Group], x: &[Variable]) -> Expression {
    let pairs = groups.iter().zip(x).filter(|(group, _)| has(**group, sender));
    pairs.map(|(_, &x)| Expression::from(x)).sum()
}

/// Which groups are taken.
fn solved<M>(model: M, x: &[Variable]) -> Result<Option<Vec<bool>>, Stopped>
where
    M: SolverModel<Error = ResolutionError>,
{
    match model.solve() {
        Ok(solution) if matches!(solution.status(), SolutionStatus::Optimal) => {
            Ok(Some(x.iter().map(|x| solution.value(*x) > 0.5).collect()))
        }
        Err(ResolutionError::Infeasible) => Ok(None),
        _ => Err(Stopped),
    }
}
