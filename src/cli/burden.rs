//! `burden`: the current of a transmitter.

use super::flags::{BENCH, BOARD, BURDEN_PARTS, CONVERTER, LOOP, RESISTORS, WIRING};
use super::question::Question;

pub(super) const QUESTION: Question = Question {
    name: "burden",
    about: "Choose the resistor that turns the current of a transmitter into a voltage",
    circuit: "burden",
    required: &["measures"],
    one_of: &[],
    chosen: &["burden"],
    groups: &[&LOOP, &BURDEN_PARTS, &WIRING, &BOARD, &RESISTORS, &CONVERTER, &BENCH],
    examples: "Examples:
  ohmwright burden --measures 4..20mA
  ohmwright burden --measures 4..20mA --reads 4mA:0,20mA:10 --unit bar
  ohmwright burden --measures 4..20mA --rail 3.3V --compliance 10V --wire 0..20",
};
