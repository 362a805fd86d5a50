//! Tolerance stack-up: what all sources of error together make of a reading.
//!
//! Three views, over life and on the bench. The worst case is that of [`crate::worst`] and [`crate::reading`]: exact. The
//! root sum of squares follows the Guide to the expression of uncertainty in measurement (JCGM 100), random boards its
//! supplement 1 (JCGM 101). The same functions serve any other model, which is how they are checked against the worked
//! examples of these guides.

mod calibrated;
mod channel;
mod monte_carlo;
mod places;
mod propagate;
mod ranking;
mod root_sum;
mod source;
mod stack;
mod trials;

pub use monte_carlo::{Batch, Drawn, DrawnPlace, Draws, wilson};
pub use propagate::{Propagated, coverage, draw, propagate, second_order};
pub use ranking::{Ranked, rank};
pub use root_sum::{COVERAGE, RootSum, greatest_root_sum, root_sum};
pub use source::{Cause, Distribution, Owner, Source, Spread};
pub use stack::Stack;
pub use trials::Trials;
