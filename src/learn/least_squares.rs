//! Weighted linear least squares with few unknowns.

/// What is smaller than this share of its column is nothing but rounding.
const NOTHING: f64 = 1e-13;

/// The solution, and how it answers to each observation.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Solution {
    /// The coefficients c that make Σ w·(y − Σ x·c)² least.
    pub(super) coefficients: Vec<f64>,
    /// ∂c/∂y: one row for each coefficient, one entry for each observation.
    pub(super) answers: Vec<Vec<f64>>,
}

/// Solves for the coefficients of `columns`, each as long as `observed` and `weights`; `None` if the columns cannot be
/// told apart.
///
/// Gram-Schmidt, each column made orthogonal twice (Giraud, Langou and Rozložník, Numerische Mathematik 101 (2005),
/// 87–100: twice is enough), which is as good as Householder's reflections and does not square the condition as normal
/// equations do.
pub(super) fn solve(columns: &[Vec<f64>], observed: &[f64], weights: &[f64]) -> Option<Solution> {
    let roots: Vec<f64> = weights.iter().map(|weight| weight.sqrt()).collect();
    let mut basis: Vec<Vec<f64>> = Vec::new();
    // The triangle: its entry [j][k] tells how much of basis vector j is in column k.
    let mut triangle = vec![vec![0.0; columns.len()]; columns.len()];
    for (k, column) in columns.iter().enumerate() {
        let mut rest: Vec<f64> = column.iter().zip(&roots).map(|(x, root)| x * root).collect();
        let whole = length(&rest);
        for (j, unit) in basis.iter().enumerate().cycle().take(2 * basis.len()) {
            let part = dot(unit, &rest);
            triangle[j][k] += part;
            rest.iter_mut().zip(unit).for_each(|(x, u)| *x -= part * u);
        }
        let left = length(&rest);
        if !(left.is_finite() && left > NOTHING * whole) {
            return None;
        }
        triangle[k][k] = left;
        rest = scaled(&rest, 1.0 / left);
        basis.push(rest);
    }
    let mut answers: Vec<Vec<f64>> = basis;
    for row in &mut answers {
        row.iter_mut().zip(&roots).for_each(|(x, root)| *x *= root);
    }
    // From the last coefficient to the first.
    for k in (0..columns.len()).rev() {
        let (upper, lower) = answers.split_at_mut(k + 1);
        let row = &mut upper[k];
        for (j, known) in lower.iter().enumerate() {
            let factor = triangle[k][k + 1 + j];
            row.iter_mut().zip(known).for_each(|(x, y)| *x -= factor * y);
        }
        *row = scaled(row, 1.0 / triangle[k][k]);
    }
    let coefficients = answers.iter().map(|row| dot(row, observed)).collect();
    Some(Solution { coefficients, answers })
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn scaled(a: &[f64], factor: f64) -> Vec<f64> {
    a.iter().map(|x| x * factor).collect()
}

fn length(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};

    use super::*;

    /// Against the normal equations, solved by a general solver.
    #[test]
    fn the_solution_is_that_of_the_normal_equations() {
        let x: Vec<f64> = (0..9).map(|i| f64::from(i) * 0.7 - 2.0).collect();
        let columns = [vec![1.0; 9], x.clone(), x.iter().map(|x| x.powi(3)).collect()];
        let observed: Vec<f64> = x.iter().map(|x| (1.3 * x).sin() + 0.2).collect();
        let weights: Vec<f64> = (0..9).map(|i| 1.0 + f64::from(i % 4)).collect();
        let solution = solve(&columns, &observed, &weights).unwrap();

        let design = DMatrix::from_fn(9, 3, |i, k| columns[k][i]);
        let weight = DMatrix::from_diagonal(&DVector::from_vec(weights));
        let normal = design.transpose() * &weight * &design;
        let inverse = normal.try_inverse().unwrap() * design.transpose() * weight;
        let expected = &inverse * DVector::from_vec(observed);
        for k in 0..3 {
            assert!((solution.coefficients[k] - expected[k]).abs() < 1e-12);
            for i in 0..9 {
                assert!((solution.answers[k][i] - inverse[(k, i)]).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn columns_that_are_alike_have_no_solution() {
        let column = vec![1.0, 2.0, 3.0];
        assert_eq!(solve(&[column.clone(), column], &[1.0, 2.0, 3.0], &[1.0; 3]), None);
    }
}
