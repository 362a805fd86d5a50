//! Parts that track each other: one factor that occurs in several elements of a chain.
//!
//! With the factor f of a group held, everything else is as ever: the worst board sits at a corner of the rest. So the
//! worst case is the worst over f of the worst over the corners of the rest, and for each of these corners something is
//! wanted along a line through the box of the group, from all parts at their lower ends to all at their upper ends.
//!
//! Along it every quantity of the chain is a quotient N(f)/D(f) in which the values of the parts occur once at most in
//! each product of either sum. Such a sum, written over the k parts of the group between two factors a and b, has the
//! Bernstein coefficients (mean of all vertices with j parts at b and k − j at a): N(f) is a mean of them with weights that
//! add up to 1, and so is D(f), with the same weights. With all D positive, N(f)/D(f) then lies between the least and the
//! greatest of the k + 1 quotients of these sums, the *levels*. The outer two are real boards, those at a and at b. So
//! where an outer level is the worst, the slice from a to b is settled exactly at once, which is what nearly always
//! happens. Where not, the slice is halved: the bound is off by the square of its width. What is convex in such quotients
//! with one D (a magnitude, a sum of what flows in) may take the place of N/D. A product of two sums is one of 2·k parts, with
//! the products of the coefficients as its own: that is how a dissipation V·I and a span are bounded.
//!
//! Where a clamp takes hold within a slice, its parts are taken as independent there, which is a bound as well.
//!
//! What is given is the bound, so that it is never too good; it is no further than 1e-10 of itself from a board that there
//! is, unless that takes more slices than [`MOST_SLICES`].

mod count;
mod edges;
mod measure;
mod span;
mod vertices;

pub(super) use count::ratio_band;
pub(crate) use edges::{EdgeBoard, edge_boards, edge_boards_at, has_peak_at_clamp};
pub(super) use measure::{hottest, worst};
pub(super) use span::least_span;

use super::corner::Ends;
use crate::circuit::Situation;
use crate::quantity::{Band, Ohms};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Slices that are looked at before a bound is taken as it is.
const MOST_SLICES: usize = 400;

/// How far a bound may be from what is attained, as a share of it.
const CLOSE: f64 = 1e-10;

/// What rounding leaves of the largest value that is looked at.
const ROUNDING: f64 = 1e-14;

/// The groups of a chain whose values vary.
#[derive(Debug)]
pub(super) struct Groups<'a> {
    situation: &'a Situation,
    resistances: &'a [Band<Ohms>],
    each: Vec<&'a [usize]>,
    /// Everything that tracks, at its upper end.
    tracked: Ends,
}

/// A slice: for each group from which to which share of its bands it is looked at.
pub(super) type Slice = Vec<Band<f64>>;

impl<'a> Groups<'a> {
    /// `None`: every element is off by itself.
    pub(super) fn of(situation: &'a Situation, resistances: &'a [Band<Ohms>]) -> Option<Self> {
        if situation.tracking.is_empty() {
            return None;
        }
        let varies = |group: &&[usize]| group.iter().any(|&k| !resistances[k].is_single());
        let groups: Vec<&[usize]> = situation.tracking.iter().map(Vec::as_slice).filter(varies).collect();
        let mut tracked = Ends::default();
        for &element in groups.iter().copied().flatten() {
            tracked.set(element, true);
        }
        (!groups.is_empty()).then_some(Self { situation, resistances, each: groups, tracked })
    }

    /// The whole of every group.
    fn whole(&self) -> Slice {
        vec![Band { lowest: 0.0, highest: 1.0 }; self.each.len()]
    }

    /// The resistances with the groups within a slice.
    fn bands(&self, slice: &[Band<f64>]) -> Vec<Band<Ohms>> {
        let mut bands = self.resistances.to_vec();
        for (group, shares) in self.each.iter().zip(slice) {
            for &element in *group {
                let all = self.resistances[element];
                let at = |share: f64| all.lowest * (1.0 - share) + all.highest * share;
                bands[element] = Band { lowest: at(shares.lowest), highest: at(shares.highest) };
            }
        }
        bands
    }

    /// How many parts of each group are at their upper ends, as one number.
    fn level(&self, ends: Ends) -> usize {
        self.each.iter().fold(0, |level, group| {
            let high = group.iter().filter(|&&element| ends.resistance_is_high(element)).count();
            level * (group.len() + 1) + high
        })
    }

    /// How many levels there are for each group.
    fn sizes(&self) -> Vec<usize> {
        self.each.iter().map(|group| group.len() + 1).collect()
    }

    /// Whether a vertex is a board that there is: of each group all parts are at one end.
    fn is_board(&self, ends: Ends) -> bool {
        self.each.iter().all(|group| {
            let mut high = group.iter().map(|&element| ends.resistance_is_high(element));
            let first = high.next();
            high.all(|other| Some(other) == first)
        })
    }

    /// Every group cut into so many slices of one width.
    fn slices(&self, of_each: usize) -> Vec<Slice> {
        let width = 1.0 / of_each as f64;
        let bands = |_: &_| {
            (0..of_each)
                .map(|k| Band { lowest: k as f64 * width, highest: (k + 1) as f64 * width })
                .collect::<Vec<_>>()
        };
        self.each.iter().map(bands).fold(vec![Vec::new()], |slices, bands| {
            let with = |slice: &Slice, band: Band<f64>| slice.iter().copied().chain([band]).collect();
            slices.iter().flat_map(|slice| bands.iter().map(move |&band| with(slice, band))).collect()
        })
    }
}

/// What a look at a slice shows; larger is worse.
#[derive(Clone, Copy, Debug)]
struct Look {
    /// Nothing in the slice is worse.
    bound: f64,
    /// The worst of the boards that were looked at.
    attained: f64,
    /// The ends that this board sits at, within the slice.
    ends: Ends,
    /// The largest magnitude that was looked at.
    scale: f64,
}

impl Look {
    const NOTHING: Self =
        Self { bound: f64::NEG_INFINITY, attained: f64::NEG_INFINITY, ends: Ends::ALL_HIGH, scale: 0.0 };

    /// Takes in what one board shows.
    fn attain(&mut self, value: f64, ends: Ends) {
        if value > self.attained {
            (self.attained, self.ends) = (value, ends);
        }
    }

    /// Takes in a bound; what is not a number is not there.
    fn bind(&mut self, bound: f64) {
        self.bound = self.bound.max(bound);
    }
}

/// The worst over all factors, where it is attained most, and by how much.
#[derive(Clone, Debug)]
struct Refined {
    /// Nothing is worse.
    bound: f64,
    /// Where the worst board sits, within `slice`.
    ends: Ends,
    slice: Slice,
}

/// A slice that is still to be halved.
#[derive(Debug)]
struct Open {
    bound: f64,
    slice: Slice,
}

impl Ord for Open {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound.total_cmp(&other.bound)
    }
}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Open {}

/// Looks at slices, the one with the worst bound first, until that bound is close to a board that there is.
fn refine(groups: &Groups<'_>, look: impl Fn(&Slice) -> Look) -> Option<Refined> {
    let whole = groups.whole();
    let first = look(&whole);
    if first.bound == f64::NEG_INFINITY {
        return None;
    }
    let (mut attained, mut best) = (first.attained, (first.ends, whole.clone()));
    let mut slices = BinaryHeap::from([Open { bound: first.bound, slice: whole }]);
    let mut looked = 1;
    while let Some(open) = slices.pop() {
        let near = (CLOSE * attained.abs()).max(ROUNDING * first.scale);
        let is_close = open.bound <= attained + near || !open.bound.is_finite();
        if is_close || looked >= MOST_SLICES {
            let (ends, slice) = best;
            return Some(Refined { bound: open.bound.max(attained), ends, slice });
        }
        for half in halves(&open.slice) {
            let seen = look(&half);
            looked += 1;
            if seen.attained > attained {
                (attained, best) = (seen.attained, (seen.ends, half.clone()));
            }
            // A part of a slice is bounded by the whole of it, too.
            slices.push(Open { bound: seen.bound.min(open.bound), slice: half });
        }
    }
    None
}

/// The two halves of a slice along its widest side.
fn halves(slice: &Slice) -> [Slice; 2] {
    let width = |band: &Band<f64>| band.highest - band.lowest;
    let widest =
        (0..slice.len()).fold(0, |best, k| if width(&slice[k]) > width(&slice[best]) { k } else { best });
    let middle = f64::midpoint(slice[widest].lowest, slice[widest].highest);
    let (mut low, mut high) = (slice.clone(), slice.clone());
    low[widest].highest = middle;
    high[widest].lowest = middle;
    [low, high]
}

/// The middle of a slice, as a slice without width.
fn middle(slice: &Slice) -> Slice {
    slice.iter().map(|band| Band::exactly(f64::midpoint(band.lowest, band.highest))).collect()
}
