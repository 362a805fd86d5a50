//! Choices over all inputs of a board, and over all senders of an input, as integer programmes.
//!
//! What each input needs is judged by the code that judges a fitted board; the programmes know nothing but what such
//! verdicts exclude, and what parts of groups lose. Whatever they propose is judged exactly before it is believed; prices
//! are added up again in whole numbers, and losses again from the parts.

mod cheapest;
mod family;
mod grades;
mod partition;
mod programme;
pub mod values;
mod variants;

pub use cheapest::{Candidate, Found, Task, cheapest};
pub use family::{Family, Kind, Open, Posed, Seat, kinds_of};
pub use grades::{Graded, GradedPart, Needs, PartId, SameForAll, error_of, grade};
pub(crate) use grades::{holds, is_limited_together};
pub use variants::{Cost, Judge, Split, Splits, splits};
