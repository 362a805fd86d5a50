//! Polynomials, as coefficients by rising power.

/// The value at `x`, by Horner's rule.
pub(super) fn value(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// The derivative.
pub(super) fn derivative(coefficients: &[f64]) -> Vec<f64> {
    coefficients.iter().enumerate().skip(1).map(|(power, c)| c * power as f64).collect()
}

/// The coefficients of a·b.
fn product(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut product = vec![0.0; (a.len() + b.len()).saturating_sub(1)];
    for (i, a) in a.iter().enumerate() {
        for (j, b) in b.iter().enumerate() {
            product[i + j] += a * b;
        }
    }
    product
}

/// The coefficients of p″·(d0 + d1·p) − 2·d1·p′²: it is 0 where p′/(d0 + d1·p)² is stationary.
pub(super) fn stationary(p: &[f64], d0: f64, d1: f64) -> Vec<f64> {
    let first = derivative(p);
    let mut d: Vec<f64> = p.iter().map(|c| c * d1).collect();
    if let Some(constant) = d.first_mut() {
        *constant += d0;
    }
    let mut sum = product(&first, &first);
    for c in &mut sum {
        *c *= -2.0 * d1;
    }
    for (c, more) in sum.iter_mut().zip(product(&derivative(&first), &d)) {
        *c += more;
    }
    sum
}

/// How far rounding may move a sum that is 0, in units of the sum of the magnitudes of its terms.
const ROUNDING: f64 = 16.0 * f64::EPSILON;

/// Whether the value at `x` is 0 as far as rounding lets us tell.
fn vanishes(coefficients: &[f64], x: f64) -> bool {
    let terms = coefficients.iter().rev().fold(0.0, |sum, c| sum * x.abs() + c.abs());
    value(coefficients, x).abs() <= ROUNDING * terms
}

/// All roots inside `a .. b`, ascending; none for the polynomial that is 0 everywhere.
///
/// Between two neighbouring roots of its derivative a polynomial is monotone and has at most one root, which a change
/// of sign betrays. The roots of the derivative are found in the same way, one degree lower each time. A root that
/// only touches 0 is a root of the derivative, too.
pub(super) fn roots_in(coefficients: &[f64], a: f64, b: f64) -> Vec<f64> {
    let length = coefficients.iter().rposition(|c| *c != 0.0).map_or(0, |last| last + 1);
    let coefficients = &coefficients[..length];
    if length < 2 {
        return Vec::new();
    }
    let turns = roots_in(&derivative(coefficients), a, b);
    let mut ends = vec![a];
    ends.extend(&turns);
    ends.push(b);
    let mut roots: Vec<f64> = turns.into_iter().filter(|x| vanishes(coefficients, *x)).collect();
    for pair in ends.windows(2) {
        roots.extend(super::solve::crossing(|x| value(coefficients, x), pair[0], pair[1]));
    }
    roots.retain(|x| a < *x && *x < b);
    roots.sort_by(f64::total_cmp);
    roots.dedup();
    roots
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: &[f64], wanted: &[f64]) -> bool {
        found.len() == wanted.len() && found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9)
    }

    #[test]
    fn roots_are_found_up_to_degree_six() {
        // (x − 1)(x − 2)(x − 3) and (x² − 2)(x² − 3)(x² − 5), multiplied out by hand.
        assert!(near(&roots_in(&[-6.0, 11.0, -6.0, 1.0], 0.0, 10.0), &[1.0, 2.0, 3.0]));
        assert!(near(&roots_in(&[-6.0, 11.0, -6.0, 1.0], 1.5, 2.5), &[2.0]));
        let six = [-30.0, 0.0, 31.0, 0.0, -10.0, 0.0, 1.0];
        let roots = [2.0_f64, 3.0, 5.0].map(f64::sqrt);
        assert!(near(&roots_in(&six, 0.0, 9.0), &roots));
        assert_eq!(roots_in(&six, -9.0, 9.0).len(), 6);
    }

    #[test]
    fn a_root_that_touches_zero_counts_once() {
        assert!(near(&roots_in(&[1.0, -2.0, 1.0], 0.0, 3.0), &[1.0]));
        assert!(roots_in(&[1.0, 0.0, 1.0], -3.0, 3.0).is_empty());
        assert!(roots_in(&[0.0, 0.0], -3.0, 3.0).is_empty());
        assert!(roots_in(&[], -3.0, 3.0).is_empty());
    }
}
