//! Where a function of one number is 0.

/// The place between `a` and `b` at which `f` changes its sign, to the last bit; `None` if it has the same sign at both.
pub(super) fn crossing(f: impl Fn(f64) -> f64, a: f64, b: f64) -> Option<f64> {
    let (start, end) = (f(a), f(b));
    if start == 0.0 || end == 0.0 || (start > 0.0) == (end > 0.0) {
        // An end that is exactly 0 is a root of its own.
        return (start == 0.0).then_some(a).or_else(|| (end == 0.0).then_some(b));
    }
    let (mut low, mut high) = (a, b);
    loop {
        let middle = low + (high - low) / 2.0;
        // Written so that a middle that is no number ends the search, too.
        if !(low < middle && middle < high) {
            return Some(middle);
        }
        if (f(middle) > 0.0) == (start > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/// More steps than bisection alone needs.
const STEPS: usize = 200;

/// The root between `low` and `high` of a monotone function, given with its slope: Newton's steps, and half the
/// bracket wherever a step would leave it.
pub(super) fn monotone_root(f: impl Fn(f64) -> (f64, f64), low: f64, high: f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let rises = f(high).0 >= f(low).0;
    let mut x = low + (high - low) / 2.0;
    for _ in 0..STEPS {
        let (value, slope) = f(x);
        if value == 0.0 {
            return x;
        }
        if (value > 0.0) == rises {
            high = x;
        } else {
            low = x;
        }
        let step = value / slope;
        let next = x - step;
        if step.abs() <= f64::EPSILON * (x.abs() + (high - low)) {
            return next.max(low).min(high);
        }
        x = if low < next && next < high { next } else { low + (high - low) / 2.0 };
        if !(low < x && x < high) {
            return x;
        }
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_of_sign_is_found_to_the_last_bit() {
        let root = crossing(|x| x * x - 2.0, 0.0, 2.0).unwrap();
        assert!((root - 2.0_f64.sqrt()).abs() <= f64::EPSILON);
        assert_eq!(crossing(|x| x * x + 1.0, 0.0, 2.0), None);
        assert_eq!(crossing(|x| x - 2.0, 0.0, 2.0), Some(2.0));
    }

    #[test]
    fn newton_stays_in_its_bracket() {
        // Steep at one end and flat at the other: a step from the flat end leaves the bracket.
        let root = monotone_root(|x| (x.powi(9) - 1e-6, 9.0 * x.powi(8)), 0.0, 1.0);
        assert!((root - 1e-6_f64.powf(1.0 / 9.0)).abs() < 1e-14);
        let falling = monotone_root(|x| (2.0 - x.exp(), -x.exp()), -5.0, 5.0);
        assert!((falling - 2.0_f64.ln()).abs() < 1e-15);
    }
}
