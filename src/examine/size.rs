//! Standard sizes that would stand more.

use crate::board::{Board, Part};
use crate::quantity::Watts;
use crate::size::{SIZES, Size};

/// The next standard size of a part that stands what a limit would have to allow: watts at the highest ambient
/// temperature, or volts.
pub(super) fn size_for(board: &Board, part: &Part, limit: &str, needed: f64) -> Option<&'static Size> {
    let hottest = board.ambient.highest;
    let stands = |size: &&Size| {
        let grade = crate::board::Grade { rating: size.rating, ..part.grade.clone() };
        match limit {
            "dissipation" => Watts(needed) <= grade.derated(hottest),
            "part_voltage" => needed <= size.working_voltage.0,
            _ => false,
        }
    };
    SIZES.iter().filter(|size| size.rating > part.grade.rating).find(stands)
}
