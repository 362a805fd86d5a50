//! A general linear network: branches between nodes, solved by modified nodal analysis with a current for each branch
//! (C.-W. Ho, A. E. Ruehli, P. A. Brennan, "The modified nodal approach to network analysis", 1975), so that 0 Ω links
//! and ideal voltages need no special case.

use nalgebra::{DMatrix, DVector};

/// The node that all voltages are against.
pub(crate) const GROUND: usize = 0;

/// A resistance and an ideal voltage in series: v(from) + emf − v(to) = ohms·i, with i flowing from `from` to `to`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Branch {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) ohms: f64,
    pub(crate) emf: f64,
}

/// Branches between nodes, and a current pushed into one node.
#[derive(Clone, Debug)]
pub(crate) struct Network {
    nodes: usize,
    pub(crate) branches: Vec<Branch>,
    /// Currents that are pushed into nodes.
    pushed: Vec<(usize, f64)>,
}

/// The voltage of each node and the current of each branch.
#[derive(Clone, Debug)]
pub(crate) struct Solution {
    pub(crate) volts: Vec<f64>,
    pub(crate) amperes: Vec<f64>,
}

impl Network {
    pub(crate) fn new() -> Self {
        Self { nodes: 1, branches: Vec::new(), pushed: Vec::new() }
    }

    pub(crate) fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    pub(crate) fn resistor(&mut self, from: usize, to: usize, ohms: f64) -> usize {
        self.branches.push(Branch { from, to, ohms, emf: 0.0 });
        self.branches.len() - 1
    }

    /// Holds `node` at `emf` above `reference`.
    pub(crate) fn voltage(&mut self, reference: usize, node: usize, emf: f64) -> usize {
        self.branches.push(Branch { from: reference, to: node, ohms: 0.0, emf });
        self.branches.len() - 1
    }

    /// Pushes a current into a node, whatever its voltage.
    pub(crate) fn push(&mut self, node: usize, amperes: f64) {
        self.pushed.push((node, amperes));
    }

    /// Whether the node is connected to ground at all.
    pub(crate) fn holds(&self, node: usize) -> bool {
        let mut reached = vec![GROUND];
        for _ in 0..self.nodes {
            for branch in &self.branches {
                for (a, b) in [(branch.from, branch.to), (branch.to, branch.from)] {
                    if reached.contains(&a) && !reached.contains(&b) {
                        reached.push(b);
                    }
                }
            }
        }
        reached.contains(&node)
    }

    /// The same network with all voltages and currents turned down.
    pub(crate) fn without_voltages(&self) -> Self {
        let branches = self.branches.iter().map(|branch| Branch { emf: 0.0, ..*branch }).collect();
        Self { branches, pushed: Vec::new(), ..*self }
    }

    /// The solution with a current pushed into a node. Every node must be connected to ground.
    pub(crate) fn solve(&self, into: usize, amperes: f64) -> Solution {
        let unit = self.usual_ohms();
        let (nodes, count) = (self.nodes - 1, self.branches.len());
        let mut a = DMatrix::<f64>::zeros(nodes + count, nodes + count);
        let mut b = DVector::<f64>::zeros(nodes + count);
        for (k, branch) in self.branches.iter().enumerate() {
            // Currents are solved for in volts over the usual resistance, and rows are brought to the size of 1: that
            // keeps the digits of parts over many decades.
            let (row, size) = (nodes + k, (branch.ohms / unit).max(1.0));
            for (node, sign) in [(branch.from, 1.0), (branch.to, -1.0)] {
                if node != GROUND {
                    a[(node - 1, row)] += sign;
                    a[(row, node - 1)] += sign / size;
                }
            }
            a[(row, row)] = -branch.ohms / unit / size;
            b[row] = -branch.emf / size;
        }
        for &(node, amperes) in self.pushed.iter().chain(&[(into, amperes)]) {
            if node != GROUND {
                b[node - 1] += amperes * unit;
            }
        }
        let x = refined(&a, &b);
        let volts = std::iter::once(0.0).chain(x.iter().take(nodes).copied()).collect();
        let amperes = x.iter().skip(nodes).map(|y| y / unit).collect();
        Solution { volts, amperes }
    }

    /// The geometric mean of the resistances.
    fn usual_ohms(&self) -> f64 {
        let logs: Vec<f64> = self.branches.iter().filter(|b| b.ohms > 0.0).map(|b| b.ohms.ln()).collect();
        if logs.is_empty() { 1.0 } else { (logs.iter().sum::<f64>() / logs.len() as f64).exp() }
    }
}

/// LU with partial pivoting, refined: that makes the error small in each equation by itself.
fn refined(a: &DMatrix<f64>, b: &DVector<f64>) -> DVector<f64> {
    let lu = a.clone().lu();
    let mut x = lu.solve(b).expect("every node is connected to ground");
    for _ in 0..3 {
        let missing = b - a * &x;
        x += lu.solve(&missing).expect("solved before");
    }
    x
}
