//! `level-shift`: a voltage of either sign.

use super::flags::{BENCH, BOARD, CONVERTER, LEVEL_SHIFT_PARTS, RESISTORS, SOURCE, WIRING};
use super::question::Question;

pub(super) const QUESTION: Question = Question {
    name: "level-shift",
    about: "Choose the three resistors that bring a voltage of either sign into range",
    circuit: "level-shift",
    required: &["measures"],
    one_of: &[],
    chosen: &["top", "bias", "bottom"],
    groups: &[&SOURCE, &LEVEL_SHIFT_PARTS, &WIRING, &BOARD, &RESISTORS, &CONVERTER, &BENCH],
    examples: "Examples:
  ohmwright level-shift --measures -10..10V
  ohmwright level-shift --measures -5..5V --limit input_resistance=10k
  ohmwright level-shift --measures -12..12V --rail 3.3V --top 10k..100k",
};
