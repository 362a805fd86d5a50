//! Exact worst cases: the only owner of exactness.
//!
//! The three numbers of a projective source are affine in each resistance and each voltage alone, and converter gain
//! and offset are affine on top. So a count, a node voltage or a current is a Möbius function of each parameter while
//! the others are held: it is monotone, and its extreme over a box of parameters is at a corner of the box. Repeating
//! this parameter by parameter, trying the corners gives the exact worst case (the vertex property of linear networks,
//! by Cramer's rule: a rank-one change of one conductance).
//!
//! A bridge may be anywhere from a resistance to open: over r the three numbers are affine in the conductance 1/r, from 0
//! on, so that nothing changes; at 0 the bridge is not there.
//!
//! A clamp that conducts replaces the pin by a voltage and keeps the directions: node voltages and branch currents of a
//! series-parallel ladder move with the sign of what flows, which a monotone branch does not turn. That needs a clamp
//! without a jump (it conducts when the pin, its leakage included, would pass it) and a sensor that scales with a rail
//! to stay between 0 V and that rail; the reader of briefs sees to the latter.
//!
//! What is not monotone is treated as what it is: the share of a reference that drives the pin, too, where a clamp to
//! another rail takes hold ([`count_band`], the onset), the dissipation of a part in its own resistance
//! ([`Corner::greatest_power`], the matching point), the magnitude of a current that turns round, and the span, a
//! difference of two counts of the same board ([`least_span`]). Parts that track each other, so that one factor occurs in
//! several elements, are treated in `tracking`; [`greatest`], [`least`] and [`extreme_corners`] take every element by
//! itself.

mod corner;
mod count;
mod extremes;
mod measure;
mod onset;
mod span;
mod tracking;
mod transfer;

pub use corner::{Corner, Ends, Extreme, greatest, least};
pub(crate) use corner::{MOST, visit_corners};
pub(crate) use count::peak_at_clamp;
pub use count::{Gap, count_band, edge_at, gap, held, pin_band};
pub use extremes::extreme_corners;
pub use measure::{Measure, Sense, hottest_sender, worst};
pub(crate) use measure::{feeds_two_nodes, worst_apart};
pub use span::{SpanCorner, least_span, nominal_span, span_at};
pub(crate) use tracking::{EdgeBoard, edge_boards, edge_boards_at, has_peak_at_clamp};
pub use transfer::{FarEnd, Transfer};
