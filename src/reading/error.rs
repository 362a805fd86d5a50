//! The greatest error of a reading.

use super::edges::Edges;
use super::nominal::{Found, Nominal};
use crate::board::Input;
use crate::circuit::Situation;
use crate::quantity::{Band, Counts, Ohms};

/// Counts beyond which neighbours are looked at together.
const CELLS: f64 = 65_536.0;

/// The greatest |reading − true value| over a part of the range, everything of the life band included, and the true value
/// at which it occurs.
///
/// A truncated count n may occur between the value at which the upper edge of the life band reaches n and that at which
/// the lower edge reaches n + 1; its reading is off most at one of the two. All counts are tried, so the worst place is
/// found and not sampled. Of more than 2^16 counts neighbours are taken together: what is given is then at most
/// a 2^−16th of the range too large.
pub fn greatest_error(
    input: &Input,
    nominal: &Nominal<'_>,
    life: &Situation,
    resistances: &[Band<Ohms>],
    zone: Band<f64>,
) -> Found {
    let (first, last) = input.range();
    let Some(edges) = Edges::new(input, life, resistances) else {
        // The count says nothing: a reading, held to the range, may be off by all of it.
        return Found { value: last - first, at: first };
    };
    let direction = input.direction();
    let ascending =
        if direction > 0.0 { zone } else { Band { lowest: -zone.highest, highest: -zone.lowest } };
    let top = life.converter.highest_count().0;
    let from = first_where(top, |n| edges.ends(n, direction) > ascending.lowest);
    let to = first_where(top, |n| edges.starts(n + 1.0, direction) > ascending.highest).min(top);
    let step = ((to - from + 1.0) / CELLS).ceil().max(1.0);
    let mut worst = Found { value: 0.0, at: zone.lowest };
    let mut n = from;
    while n <= to {
        let end = (n + step - 1.0).min(to);
        let values = edges.values(n, end, direction);
        // Counts beyond come in again only where a sender would have run away with its own warmth.
        if values.lowest > ascending.highest {
            break;
        }
        let (low, high) = (values.lowest.max(ascending.lowest), values.highest.min(ascending.highest));
        let readings = [n, end].map(|count| direction * nominal.reading(Counts(count)));
        for (value, at) in [(readings[1] - low, low), (high - readings[0], high)] {
            if value > worst.value && low <= high {
                worst = Found { value, at: direction * at };
            }
        }
        n += step;
    }
    worst
}

/// The first whole number up to `top` for which something holds that holds from there on; one more if there is none.
fn first_where(top: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut a, mut b) = (0.0, top + 1.0);
    while a < b {
        let middle = f64::floor(f64::midpoint(a, b));
        if holds(middle) {
            b = middle;
        } else {
            a = middle + 1.0;
        }
    }
    a
}
