//! A bound on what any choice amounts to, and the ways that no better choice can take.
//!
//! Each input pays for the values that it uses: of the price p of a value it pays a share λ(c, v), all inputs together no
//! more than p. What the cheapest way of each input then costs adds up to no more than any choice does, since a choice
//! pays p in full for each of its values: Lagrangian relaxation of the rows Σ x(c, j) ≤ y(v). The shares are improved step
//! by step along the subgradient (Held, Wolfe and Crowder, Mathematical Programming 6, 1974). A way that costs its input
//! more than the cheapest one by more than what is left between the bound and what is to be beaten is in no better
//! choice (reduced-cost fixing, common practice).

use super::{Task, Way};

/// Steps along the subgradient.
const STEPS: usize = 400;
/// After so many steps without a better bound the steps get shorter.
const PATIENCE: usize = 12;

/// What a choice costs.
#[derive(Clone, Copy, Debug)]
struct Prices {
    /// A value that is not given.
    value: f64,
    /// One step of loss.
    loss: f64,
}

/// The best bound that is found.
#[derive(Clone, Debug)]
struct Bound {
    /// No choice costs less.
    least: f64,
    /// For each way of each input how much more than the cheapest way of its input it costs.
    above: Vec<Vec<f64>>,
}

/// Prices of a value, in steps of loss, at which choices of few values are bounded by what they lose.
const IN_LOSSES: [f64; 6] = [50.0, 100.0, 200.0, 400.0, 800.0, 1500.0];

/// The ways of each input that may be part of a choice with fewer values than a known one, and how many values any choice
/// has at least.
pub(super) fn with_fewer_values(task: &Task, known: u64) -> (Vec<Vec<usize>>, u64) {
    let mut left = Left::all(task);
    let known = known as f64;
    let bound = bound(task, Prices { value: 1.0, loss: 0.0 }, known);
    left.keep(&bound, known - 1.0);
    (left.ways(), (bound.least - 1e-6).ceil().max(0.0) as u64)
}

/// The ways of each input that may be part of a choice with no more values than a known one, and less loss.
pub(super) fn with_less_loss(task: &Task, values: u64, loss: u64) -> Vec<Vec<usize>> {
    let mut left = Left::all(task);
    for value in IN_LOSSES {
        let of_values = value * values as f64;
        let known = of_values + loss as f64;
        left.keep(&bound(task, Prices { value, loss: 1.0 }, known), known - 1.0);
    }
    left.ways()
}

/// For each way of each input whether it is left.
struct Left(Vec<Vec<bool>>);

impl Left {
    fn all(task: &Task) -> Self {
        Self(task.inputs.iter().map(|ways| vec![true; ways.len()]).collect())
    }

    /// Keeps what a choice may take that costs no more than that.
    fn keep(&mut self, bound: &Bound, cost: f64) {
        let room = cost - bound.least + 1e-9 * cost.abs().max(1.0);
        for (left, above) in self.0.iter_mut().zip(&bound.above) {
            left.iter_mut().zip(above).for_each(|(left, above)| *left &= *above <= room);
        }
    }

    fn ways(&self) -> Vec<Vec<usize>> {
        let of_input = |left: &Vec<bool>| (0..left.len()).filter(|&way| left[way]).collect();
        self.0.iter().map(of_input).collect()
    }
}

/// The shares of one input: for each value that it may use the share that it pays.
struct Shares {
    /// For each value of the task its place here; `usize::MAX`: not used, or given.
    places: Vec<usize>,
    paid: Vec<f64>,
}

/// A bound on the cost of all choices of a task in which pieces are not counted. `target` is what a known choice costs.
fn bound(task: &Task, prices: Prices, target: f64) -> Bound {
    let (mut shares, payers) = begin(task, prices.value);
    let mut best: Option<Bound> = None;
    let (mut scale, mut since) = (1.0, 0);
    for _ in 0..STEPS {
        let costs: Vec<Vec<f64>> =
            task.inputs.iter().zip(&shares).map(|(ways, shares)| costs(ways, shares, prices.loss)).collect();
        let cheapest: Vec<usize> = costs.iter().map(|costs| cheapest(costs)).collect();
        let least: f64 = costs.iter().zip(&cheapest).map(|(costs, &way)| costs[way]).sum();
        since += 1;
        if best.as_ref().is_none_or(|best| least > best.least + 1e-9) {
            let above = costs
                .iter()
                .zip(&cheapest)
                .map(|(costs, &way)| costs.iter().map(|cost| cost - costs[way]).collect());
            best = Some(Bound { least, above: above.collect() });
            since = 0;
        }
        if since > PATIENCE {
            (scale, since) = (scale * 0.7, 0);
        }
        let Some(step) = step(task, &shares, &payers, &cheapest, scale * (target - least)) else { break };
        pay(task, &mut shares, &payers, &cheapest, step, prices.value);
    }
    best.unwrap_or_else(|| Bound {
        least: 0.0,
        above: task.inputs.iter().map(|ways| vec![0.0; ways.len()]).collect(),
    })
}

/// Equal shares to begin with, and the inputs that pay for each value.
fn begin(task: &Task, price: f64) -> (Vec<Shares>, Vec<Vec<usize>>) {
    let mut payers: Vec<Vec<usize>> = vec![Vec::new(); task.values.len()];
    let mut shares = Vec::new();
    for (input, ways) in task.inputs.iter().enumerate() {
        let mut places = vec![usize::MAX; task.values.len()];
        let mut count = 0;
        for &(value, _) in ways.iter().flat_map(|way| &way.uses) {
            if task.values[value].given == 0 && places[value] == usize::MAX {
                places[value] = count;
                count += 1;
                payers[value].push(input);
            }
        }
        shares.push(Shares { places, paid: vec![0.0; count] });
    }
    for (value, payers) in payers.iter().enumerate() {
        for &input in payers {
            let place = shares[input].places[value];
            shares[input].paid[place] = price / payers.len() as f64;
        }
    }
    (shares, payers)
}

/// What each way costs its input.
fn costs(ways: &[Way], shares: &Shares, of_loss: f64) -> Vec<f64> {
    let paid = |&(value, _): &(usize, u64)| shares.paid.get(shares.places[value]).copied().unwrap_or(0.0);
    ways.iter().map(|way| of_loss * way.loss as f64 + way.uses.iter().map(paid).sum::<f64>()).collect()
}

fn cheapest(costs: &[f64]) -> usize {
    (0..costs.len()).fold(0, |best, way| if costs[way] < costs[best] { way } else { best })
}

fn takes(task: &Task, cheapest: &[usize], input: usize, value: usize) -> bool {
    task.inputs[input][cheapest[input]].uses.iter().any(|&(other, _)| other == value)
}

/// The length of a step: what is missing over the square of the subgradient. `None`: no step leads further.
fn step(
    task: &Task,
    shares: &[Shares],
    payers: &[Vec<usize>],
    cheapest: &[usize],
    missing: f64,
) -> Option<f64> {
    let mut square = 0.0;
    for (value, payers) in payers.iter().enumerate() {
        let takers = payers.iter().filter(|&&input| takes(task, cheapest, input, value)).count() as f64;
        let all = payers.len() as f64;
        // Along the plane on which the sum of the shares stays the same.
        square += takers * (1.0 - takers / all.max(1.0));
    }
    (square > 0.0 && missing > 0.0 && !shares.is_empty()).then(|| missing / square)
}

/// Those that take a value pay more of it, the others less.
fn pay(task: &Task, shares: &mut [Shares], payers: &[Vec<usize>], cheapest: &[usize], step: f64, price: f64) {
    let mut paid = Vec::new();
    for (value, payers) in payers.iter().enumerate() {
        paid.clear();
        paid.extend(payers.iter().map(|&input| {
            let more = if takes(task, cheapest, input, value) { step } else { 0.0 };
            shares[input].paid[shares[input].places[value]] + more
        }));
        onto_simplex(&mut paid, price);
        for (&input, &paid) in payers.iter().zip(&paid) {
            let place = shares[input].places[value];
            shares[input].paid[place] = paid;
        }
    }
}

/// The nearest numbers, none negative, with this sum (Held, Wolfe and Crowder 1974).
fn onto_simplex(paid: &mut [f64], sum: f64) {
    let mut sorted = paid.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let (mut above, mut off) = (0.0, 0.0);
    for (count, paid) in sorted.iter().enumerate() {
        above += paid;
        let shift = (above - sum) / (count as f64 + 1.0);
        if *paid > shift {
            off = shift;
        }
    }
    for paid in paid {
        *paid = (*paid - off).max(0.0);
    }
}
