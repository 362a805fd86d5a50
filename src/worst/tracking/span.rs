//! The least span of boards whose parts track each other.
//!
//! Both counts of a board are quotients, but with different numbers below: their difference is
//! (N₂·D₁ − N₁·D₂)/(D₁·D₂), whose sums have the products of the Bernstein coefficients as theirs: of the sums over levels
//! i and j the product counts for level i + j.

use super::vertices::{Vertex, products};
use super::{Groups, Look, Slice, refine};
use crate::circuit::Situation;
use crate::quantity::{Amperes, Counts, Fraction};
use crate::worst::corner::{Corner, Ends, Hold, visit};
use crate::worst::count::held_at;
use crate::worst::span::{SpanCorner, both};
use std::collections::BTreeMap;

/// The count at one end of the range: its value, the number below, and what it depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Count {
    value: f64,
    below: f64,
    hold: Hold,
    /// Below the least count, in the range of the converter, or above the highest count.
    cut: i8,
}

impl Count {
    fn of(corner: &Corner<'_>, leakage: Amperes, gain: Fraction) -> Self {
        let pin = corner.pin_voltage(leakage);
        let converter = &corner.situation().converter;
        let value = held_at(corner, pin, gain);
        let open = converter.count(pin, corner.reference().unwrap_or(pin), gain);
        let cut = i8::from(open > converter.highest_count()) - i8::from(open < Counts(0.0));
        let [_, below, _] = corner.clamped_node().numbers();
        let hold =
            if corner.clamped_node().is_stiff() { Hold::Nothing } else { corner.determinant(leakage).0 };
        Self { value: value.0, below, hold, cut }
    }

    fn is_sound(&self) -> bool {
        self.value.is_finite() && self.below.is_finite() && self.below > 0.0
    }
}

/// As [`crate::worst::least_span`], with groups in both situations.
pub(in crate::worst) fn least_span(first: &Groups<'_>, last: &Groups<'_>, sign: f64) -> Option<SpanCorner> {
    let mut worst: Option<SpanCorner> = None;
    for leakage in both(first.situation.leakage.0).map(Amperes) {
        for gain in both(first.situation.converter.gain.0).map(Fraction) {
            let look = |slice: &Slice| look([first, last], slice, (leakage, gain), sign);
            let found = refine(first, look)?;
            let span = Counts(-sign * found.bound);
            if worst.is_none_or(|worst| span.0 * sign < worst.span.0 * sign) {
                worst = Some(SpanCorner { span, ends: found.ends, leakage, gain });
            }
        }
    }
    worst
}

fn look(groups: [&Groups<'_>; 2], slice: &Slice, (leakage, gain): (Amperes, Fraction), sign: f64) -> Look {
    let [first, _] = groups;
    let bands = groups.map(|groups| groups.bands(slice));
    let situations: [&Situation; 2] = groups.map(|groups| groups.situation);
    let mut found: BTreeMap<Ends, Vec<Vertex<[Count; 2]>>> = BTreeMap::new();
    visit(situations, [&bands[0], &bands[1]], |[a, b]| {
        let ends = a.ends();
        let seen = [a, b].map(|corner| Count::of(corner, leakage, gain));
        let vertex = Vertex { level: first.level(ends), is_board: first.is_board(ends), ends, seen };
        found.entry(ends.without(first.tracked)).or_default().push(vertex);
    });
    let sizes = first.sizes();
    let mut look = Look::NOTHING;
    for vertices in found.values() {
        look.bind(-least(vertices, &sizes, sign));
        for vertex in vertices {
            let [a, b] = vertex.seen.map(|count| count.value);
            if a.is_finite() && b.is_finite() {
                look.scale = look.scale.max(a.abs()).max(b.abs());
            }
            if vertex.is_board {
                look.attain(-sign * (b - a), vertex.ends);
            }
        }
    }
    look
}

/// A bound that sign·(last − first) is nowhere below.
fn least(vertices: &[Vertex<[Count; 2]>], sizes: &[usize], sign: f64) -> f64 {
    let Some(model) = vertices.first().map(|vertex| vertex.seen) else { return f64::INFINITY };
    let fits = |counts: &[Count; 2]| {
        counts
            .iter()
            .zip(&model)
            .all(|(count, model)| count.is_sound() && (count.hold, count.cut) == (model.hold, model.cut))
    };
    // With every part by itself the least is at a vertex.
    let apart = vertices.iter().map(|vertex| sign * (vertex.seen[1].value - vertex.seen[0].value));
    let apart = apart.fold(f64::INFINITY, f64::min);
    if !vertices.iter().all(|vertex| fits(&vertex.seen)) {
        return apart;
    }
    let levels = sizes.iter().product();
    let sums = |of: &dyn Fn(&[Count; 2]) -> f64| {
        let mut sums = vec![0.0; levels];
        for vertex in vertices {
            sums[vertex.level] += of(&vertex.seen);
        }
        sums
    };
    let above = [0, 1].map(|end| sums(&|counts| counts[end].value * counts[end].below));
    let below = [0, 1].map(|end| sums(&|counts| counts[end].below));
    let minuend = products(&above[1], &below[0], sizes);
    let subtrahend = products(&above[0], &below[1], sizes);
    let divisor = products(&below[0], &below[1], sizes);
    let quotients = minuend.iter().zip(&subtrahend).zip(&divisor).filter(|(_, divisor)| **divisor > 0.0);
    quotients.map(|((a, b), divisor)| sign * (a - b) / divisor).fold(f64::INFINITY, f64::min).max(apart)
}
