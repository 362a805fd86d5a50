//! The programme that is to beat a choice.

use std::time::Instant;

use good_lp::variable::VariableDefinition;
use good_lp::{Expression, ProblemVariables, SolverModel, Variable, constraint, microlp, variable};
use microlp::{SolveOptions, SolveOutcome};

use super::{Effort, Goal, Score, Tariff, Task, Value, Way};

/// Ways of all inputs beyond which no programme is made of them.
const MOST_WAYS: usize = 10_000;

/// What the programme says.
pub(super) enum Said {
    /// A better choice.
    Better(Vec<usize>),
    /// A better choice, and proven that there is none better.
    Best(Vec<usize>),
    /// Proven that there is no better choice.
    None,
    /// The effort was spent, or the solver gave no proof: nothing below this bound is possible.
    Stopped(u64),
}

/// What is asked: something better than what is known in one goal, no worse in those before it.
struct Asked<'a> {
    task: &'a Task,
    goal: Goal,
    known: &'a Score,
    effort: Effort,
}

/// Looks for a choice that is better than what is known in one goal and no worse in those before it.
pub(super) fn solve(task: &Task, goal: Goal, known: &Score, effort: Effort) -> Said {
    let asked = Asked { task, goal, known, effort };
    let is_late = effort.until.is_some_and(|until| Instant::now() >= until);
    if task.inputs.iter().map(Vec::len).sum::<usize>() > MOST_WAYS || is_late {
        return Said::Stopped(0);
    }
    asked.solve()
}

/// A variable with its number, in the order in which they were made: so a solution lists them.
#[derive(Clone, Copy)]
struct Numbered {
    variable: Variable,
    number: usize,
}

/// The variables of a programme.
#[derive(Clone, Default)]
struct Model {
    variables: ProblemVariables,
    made: usize,
    /// For each input one for each way.
    ways: Vec<Vec<Numbered>>,
    /// For each value whether it is there; `None`: it is given, or no way uses it.
    there: Vec<Option<Numbered>>,
    /// For each value the packs that are bought, and the pieces that are missing.
    packs: Vec<Option<Numbered>>,
    short: Vec<Option<Numbered>>,
}

impl Model {
    fn add(&mut self, definition: VariableDefinition) -> Numbered {
        self.made += 1;
        Numbered { variable: self.variables.add(definition), number: self.made - 1 }
    }
}

impl Asked<'_> {
    fn solve(&self) -> Said {
        let (outcome, model) = match self.outcome() {
            Err(microlp::Error::Infeasible) => return Said::None,
            Err(_) => return Said::Stopped(0),
            Ok(solved) => solved,
        };
        // All goals are whole numbers.
        let bound = outcome.stats().best_bound.map_or(0, |bound| (bound - 1e-6).ceil().max(0.0) as u64);
        let Some(solution) = outcome.solution() else { return Said::Stopped(bound) };
        let values: Vec<f64> = solution.iter().map(|(_, value)| value).collect();
        let is_taken = |x: &Numbered| values.get(x.number).is_some_and(|&value| value > 0.5);
        let picks = self.picks(&model, is_taken);
        // Whatever the rounding of a solver may do, a choice that is no better is none.
        let is_better = |picks: &Vec<usize>| self.task.allows(picks) && self.task.score(picks) < *self.known;
        match picks.filter(is_better) {
            Some(picks) if outcome.is_optimal() => Said::Best(picks),
            Some(picks) => Said::Better(picks),
            None => Said::Stopped(bound),
        }
    }

    /// The programme, solved.
    fn outcome(&self) -> Result<(SolveOutcome, Model), microlp::Error> {
        let model = self.model();
        let goal = self.sum(&model, self.goal);
        let Model { ways, there, packs, short, .. } = &model;
        let mut problem = model.variables.clone().minimise(goal).using(microlp);
        for ways in ways {
            problem.add_constraint(constraint!(sum(ways.iter().copied()) == 1));
        }
        for (value, &there) in there.iter().enumerate() {
            let Some(there) = there else { continue };
            for (ways, variables) in self.task.inputs.iter().zip(ways) {
                let uses = |(way, _): &(&Way, &Numbered)| way.uses.iter().any(|&(other, _)| other == value);
                let users: Vec<Numbered> = ways.iter().zip(variables).filter(uses).map(|(_, &x)| x).collect();
                if !users.is_empty() {
                    problem.add_constraint(constraint!(sum(users) <= there.variable));
                }
            }
        }
        for (value, about) in self.task.values.iter().enumerate() {
            let Some(tariff) = about.tariff else { continue };
            if let Some(packs) = packs[value] {
                let pack = tariff.pack as f64;
                let missing = short[value]
                    .map_or_else(|| Expression::from(0.0), |short| Expression::from(short.variable));
                problem.add_constraint(constraint!(
                    self.pieces(&model, value) - missing <= pack * packs.variable
                ));
            }
            if let (Some(short), Some(quantity)) = (short[value], tariff.quantity) {
                problem.add_constraint(constraint!(
                    self.pieces(&model, value) - short.variable <= quantity as f64
                ));
            }
        }
        for set in &self.task.forbidden {
            let most = set.len() as f64 - 1.0;
            problem
                .add_constraint(constraint!(sum(set.iter().map(|&(input, way)| ways[input][way])) <= most));
        }
        for held in Goal::ALL.into_iter().take_while(|&held| held != self.goal) {
            if self.is_of_interest(held) {
                let most = held.of(self.known) as f64 + 0.5;
                problem.add_constraint(constraint!(self.sum(&model, held) <= most));
            }
        }
        let most = self.goal.of(self.known) as f64 - 0.5;
        problem.add_constraint(constraint!(self.sum(&model, self.goal) <= most));
        let mut options = SolveOptions::default();
        // Which of equally few values lose least is worth less effort than how few it takes.
        let nodes = if self.goal == Goal::Loss { self.effort.nodes.div_ceil(10) } else { self.effort.nodes };
        options.node_limit = Some(nodes);
        options.time_limit = self.effort.until.map(|until| until.saturating_duration_since(Instant::now()));
        let outcome = problem.as_inner().solve_with(options)?;
        Ok((outcome, model))
    }

    /// Whether a goal is anything but 0 for some choice.
    fn is_of_interest(&self, goal: Goal) -> bool {
        match goal {
            Goal::Short | Goal::Price => self.task.counts_pieces(),
            Goal::Values | Goal::Loss => true,
        }
    }

    fn model(&self) -> Model {
        let mut model = Model::default();
        let is_whole = !self.task.splits();
        for ways in &self.task.inputs {
            let way = || if is_whole { variable().binary() } else { variable().min(0.0).max(1.0) };
            let of_input = ways.iter().map(|_| model.add(way())).collect();
            model.ways.push(of_input);
        }
        let mut is_used = vec![false; self.task.values.len()];
        let used = self.task.inputs.iter().flatten().flat_map(|way| &way.uses);
        used.for_each(|&(value, _)| is_used[value] = true);
        for (about, used) in self.task.values.iter().zip(is_used) {
            let counted = |of: fn(&Tariff) -> bool| used && about.tariff.as_ref().is_some_and(of);
            let there = (used && about.given == 0).then(|| model.add(variable().binary()));
            let packs = counted(|tariff| tariff.price > 0).then(|| model.add(variable().integer().min(0)));
            let short = counted(|tariff| tariff.quantity.is_some()).then(|| model.add(variable().min(0)));
            model.there.push(there);
            model.packs.push(packs);
            model.short.push(short);
        }
        model
    }

    /// Pieces of a value for the batch.
    fn pieces(&self, model: &Model, value: usize) -> Expression {
        let batch = self.task.batch as f64;
        let of_way = |way: &Way, x: &Numbered| {
            let count = way.uses.iter().find(|&&(other, _)| other == value).map(|&(_, count)| count);
            count.map(|count| batch * count as f64 * x.variable)
        };
        let ways = self.task.inputs.iter().flatten().zip(model.ways.iter().flatten());
        let given = Expression::from(batch * self.task.values[value].given as f64);
        given + ways.filter_map(|(way, x)| of_way(way, x)).sum::<Expression>()
    }

    /// A goal as a sum of variables.
    fn sum(&self, model: &Model, goal: Goal) -> Expression {
        let values = self.task.values.iter().enumerate();
        match goal {
            Goal::Loss => {
                let ways = self.task.inputs.iter().flatten().zip(model.ways.iter().flatten());
                ways.map(|(way, x)| way.loss as f64 * x.variable).sum()
            }
            Goal::Values => sum(model.there.iter().flatten().copied()) + self.task.given() as f64,
            Goal::Short => {
                let fixed = |(value, about): (usize, &Value)| match model.short[value] {
                    Some(short) => Expression::from(short.variable),
                    None => Expression::from(about.score(about.given * self.task.batch).short as f64),
                };
                values.map(fixed).sum()
            }
            Goal::Price => {
                let price = |(value, about): (usize, &Value)| match (model.packs[value], about.tariff) {
                    (Some(packs), Some(tariff)) => (tariff.price * tariff.pack) as f64 * packs.variable,
                    _ => Expression::from(about.score(about.given * self.task.batch).price as f64),
                };
                values.map(price).sum()
            }
        }
    }

    /// The way of each input. Where ways need not be whole it is the one of least loss among the values that are there.
    fn picks(&self, model: &Model, is_taken: impl Fn(&Numbered) -> bool) -> Option<Vec<usize>> {
        if !self.task.splits() {
            return model.ways.iter().map(|ways| ways.iter().position(&is_taken)).collect();
        }
        let is_there = |value: usize| model.there[value].is_none_or(|there| is_taken(&there));
        let best = |ways: &Vec<Way>| {
            let fits = |way: &&Way| way.uses.iter().all(|&(value, _)| is_there(value));
            let fitting = ways.iter().enumerate().filter(|(_, way)| fits(way));
            fitting.min_by(|(_, a), (_, b)| a.loss.cmp(&b.loss).then(a.rank.cmp(&b.rank))).map(|(way, _)| way)
        };
        self.task.inputs.iter().map(best).collect()
    }
}

fn sum(variables: impl IntoIterator<Item = Numbered>) -> Expression {
    variables.into_iter().map(|x| Expression::from(x.variable)).sum()
}
