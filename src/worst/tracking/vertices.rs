//! The vertices of a slice, and the levels that bound what is between them.

use super::{Groups, Slice};
use crate::worst::corner::{Corner, Ends, Hold, visit};
use std::collections::BTreeMap;

/// One vertex: one combination of ends of the parts that track.
#[derive(Clone, Copy, Debug)]
pub(super) struct Vertex<S> {
    /// How many of each group are at their upper ends, as one number.
    pub(super) level: usize,
    /// Whether it is a board that there is.
    pub(super) is_board: bool,
    pub(super) ends: Ends,
    pub(super) seen: S,
}

/// What is seen at every vertex of a slice, for each corner of what is off by itself.
pub(super) fn at_each_corner<S>(
    groups: &Groups<'_>,
    slice: &Slice,
    see: impl Fn(&Corner<'_>) -> S,
) -> Vec<Vec<Vertex<S>>> {
    let bands = groups.bands(slice);
    let mut found: BTreeMap<Ends, Vec<Vertex<S>>> = BTreeMap::new();
    visit([groups.situation], [&bands], |[corner]| {
        let ends = corner.ends();
        let vertex =
            Vertex { level: groups.level(ends), is_board: groups.is_board(ends), ends, seen: see(corner) };
        found.entry(ends.without(groups.tracked)).or_default().push(vertex);
    });
    found.into_values().collect()
}

/// A quotient at a vertex: its value, what is below, and what holds the node there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quotient {
    pub(super) value: f64,
    pub(super) below: f64,
    /// Vertices with different ones cannot be averaged; nor can those with none.
    pub(super) regime: Option<Regime>,
}

/// What the formula of a quotient depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Regime {
    /// It is the same whatever holds the node.
    Any,
    /// What holds the node.
    Held(Hold),
}

/// Sums of some numbers for each level.
pub(super) fn sums<S: Copy, const N: usize>(
    vertices: &[Vertex<S>],
    levels: usize,
    of: impl Fn(S) -> [f64; N],
) -> Vec<[f64; N]> {
    let mut sums = vec![[0.0; N]; levels];
    for vertex in vertices {
        for (sum, number) in sums[vertex.level].iter_mut().zip(of(vertex.seen)) {
            *sum += number;
        }
    }
    sums
}

/// A bound that the quotient is nowhere in the slice above.
pub(super) fn most(vertices: &[Vertex<Quotient>], levels: usize) -> f64 {
    let is_sound = |q: &Quotient| q.value.is_finite() && q.below.is_finite() && q.below > 0.0;
    let first = vertices.first().and_then(|vertex| vertex.seen.regime);
    let alike = first.is_some() && vertices.iter().all(|vertex| vertex.seen.regime == first);
    if alike && vertices.iter().all(|vertex| is_sound(&vertex.seen)) {
        let sums = sums(vertices, levels, |q: Quotient| [q.value * q.below, q.below]);
        let quotients =
            sums.into_iter().filter(|[_, below]| *below > 0.0).map(|[above, below]| above / below);
        return quotients.fold(f64::NEG_INFINITY, f64::max);
    }
    vertices.iter().map(|vertex| vertex.seen.value).fold(f64::NEG_INFINITY, f64::max)
}

/// The product of two sums over levels, as sums over levels.
pub(super) fn products(a: &[f64], b: &[f64], sizes: &[usize]) -> Vec<f64> {
    let mut products = vec![0.0; sizes.iter().map(|size| 2 * size - 1).product()];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            products[joined(i, j, sizes)] += x * y;
        }
    }
    products
}

/// The level of a product.
fn joined(mut i: usize, mut j: usize, sizes: &[usize]) -> usize {
    let (mut level, mut stride) = (0, 1);
    for size in sizes.iter().rev() {
        level += (i % size + j % size) * stride;
        stride *= 2 * size - 1;
        (i, j) = (i / size, j / size);
    }
    level
}
