//! `divider`: a voltage that is too high for the converter.

use super::flags::{BENCH, BOARD, CONVERTER, DIVIDER_PARTS, RESISTORS, SOURCE, WIRING};
use super::question::Question;

pub(super) const QUESTION: Question = Question {
    name: "divider",
    about: "Choose the divider in front of a voltage",
    circuit: "divider",
    required: &["measures"],
    one_of: &[],
    chosen: &["top", "bottom"],
    groups: &[&SOURCE, &DIVIDER_PARTS, &WIRING, &BOARD, &RESISTORS, &CONVERTER, &BENCH],
    examples: "Examples:
  ohmwright divider --measures 0..32V --from supply
  ohmwright divider --measures 0..32V --from supply --surge 58V --survive surge
  ohmwright divider --measures 0..10V --rail 3.3V --bits 12 --capacitor 1uF
  ohmwright divider --measures 0..5V --scales-with logic",
};
