//! One integer programme: one candidate for each group, as cheap as can be.

use good_lp::{
    Expression, ProblemVariables, ResolutionError, Solution, SolutionStatus, SolverModel, Variable,
    constraint, microlp, variable,
};

/// The effort was spent, or the solver gave no proof: nothing is known.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stopped;

/// A group with one of its candidates.
pub(super) type Pick = (usize, usize);

/// What is asked: x(p, g) binary, one g for each p.
#[derive(Clone, Debug, Default)]
pub(super) struct Programme {
    /// What each candidate of each group costs.
    pub(super) costs: Vec<Vec<u64>>,
    /// At least one pick of each row is to be made.
    pub(super) rows: Vec<Vec<Pick>>,
    /// Picks that are made already.
    pub(super) given: Vec<Pick>,
    /// The most that all may cost.
    pub(super) most: Option<u64>,
    /// The group whose candidate is to come as early as it can; otherwise the costs are to be least.
    pub(super) earliest: Option<usize>,
}

impl Programme {
    /// The candidate of each group; `None`: proven that there is none.
    pub(super) fn solve(&self) -> Result<Option<Vec<usize>>, Stopped> {
        if self.rows.iter().any(Vec::is_empty) {
            return Ok(None);
        }
        let unit = self.unit();
        let mut variables = ProblemVariables::new();
        let x: Vec<Vec<Variable>> = self
            .costs
            .iter()
            .map(|costs| costs.iter().map(|_| variables.add(variable().binary())).collect())
            .collect();
        let of_group = |costs: &[f64], x: &[Variable]| -> Expression {
            costs.iter().zip(x).map(|(&cost, &x)| cost * x).sum()
        };
        let in_units = |costs: &Vec<u64>| costs.iter().map(|cost| (cost / unit) as f64).collect::<Vec<_>>();
        let price: Expression =
            self.costs.iter().zip(&x).map(|(costs, x)| of_group(&in_units(costs), x)).sum();
        let goal = self.earliest.map_or_else(
            || price.clone(),
            |group| of_group(&(0..x[group].len()).map(|place| place as f64).collect::<Vec<_>>(), &x[group]),
        );
        let mut model = variables.minimise(goal).using(microlp);
        for x in &x {
            model.add_constraint(constraint!(sum(x) == 1));
        }
        for row in &self.rows {
            let row: Vec<Variable> = row.iter().map(|&(group, place)| x[group][place]).collect();
            model.add_constraint(constraint!(sum(&row) >= 1));
        }
        for &(group, place) in &self.given {
            model.add_constraint(constraint!(Expression::from(x[group][place]) == 1));
        }
        if let Some(most) = self.most {
            // Half a unit more: no sum lies there.
            model.add_constraint(constraint!(price <= (most / unit) as f64 + 0.5));
        }
        let solution = match model.solve() {
            Ok(solution) if matches!(solution.status(), SolutionStatus::Optimal) => solution,
            Err(ResolutionError::Infeasible) => return Ok(None),
            _ => return Err(Stopped),
        };
        let is_taken = |x: &Variable| solution.value(*x) > 0.5;
        let choice: Option<Vec<usize>> = x.iter().map(|x| x.iter().position(is_taken)).collect();
        // Whatever the rounding of a solver may do, a choice that breaks a constraint is none.
        choice.filter(|choice| self.allows(choice)).map(Some).ok_or(Stopped)
    }

    /// Whether a choice keeps all constraints, in whole numbers.
    fn allows(&self, choice: &[usize]) -> bool {
        let is_made = |&(group, place): &Pick| choice[group] == place;
        self.rows.iter().all(|row| row.iter().any(is_made))
            && self.given.iter().all(is_made)
            && self.most.is_none_or(|most| self.price(choice) <= most)
    }

    /// What a choice costs.
    fn price(&self, choice: &[usize]) -> u64 {
        self.costs.iter().zip(choice).map(|(costs, &place)| costs[place]).sum()
    }

    /// The unit in which all costs are whole: it keeps the numbers of the programme small.
    fn unit(&self) -> u64 {
        self.costs.iter().flatten().copied().fold(0, greatest_common_divisor).max(1)
    }
}

fn sum(x: &[Variable]) -> Expression {
    x.iter().copied().map(Expression::from).sum()
}

const fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}
