//! `extend`: one resistor in front of a divider that is there, for a higher voltage.

use super::flags::{BENCH, BOARD, CONVERTER, EXTENSION_PARTS, RESISTORS, SOURCE, WIRING};
use super::question::Question;

pub(super) const QUESTION: Question = Question {
    name: "extend",
    about: "Choose a resistor in front of an existing divider, for a higher voltage",
    circuit: "divider",
    required: &["measures", "top", "bottom"],
    one_of: &[],
    chosen: &["extension"],
    groups: &[&SOURCE, &EXTENSION_PARTS, &WIRING, &BOARD, &RESISTORS, &CONVERTER, &BENCH],
    examples: "Examples:
  ohmwright extend --measures 0..32V --top 22k --bottom 11k
  ohmwright extend --measures 0..60V --top 22k --bottom 11k --series E96",
};
