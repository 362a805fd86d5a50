//! `pull-up`: a sender to ground, read through a pull-up.

use super::flags::{BENCH, BOARD, CONVERTER, LAWS, PULL_UP_PARTS, RESISTORS, SENDER, WIRING};
use super::question::Question;

pub(super) const QUESTION: Question = Question {
    name: "pull-up",
    about: "Choose the pull-up and protection of a resistive sender",
    circuit: "pull-up",
    required: &[],
    one_of: &["sender", "sender-file", "ntc", "steinhart-hart", "platinum"],
    chosen: &["pull_up"],
    groups: &[&SENDER, &LAWS, &PULL_UP_PARTS, &WIRING, &BOARD, &RESISTORS, &CONVERTER, &BENCH],
    examples: "Examples:
  ohmwright pull-up --sender 240..33
  ohmwright pull-up --sender 0:240,50:103,100:33 --unit %
  ohmwright pull-up --ntc 10k --beta 3950 --range 60..120°C --aim resolution
  ohmwright pull-up --sender 10..180 --fluid diesel --contact 29V --surge 35V
  ohmwright pull-up --sender 240..33 --rail 3.3V --excitation 5V
  ohmwright pull-up --sender 240..33 --limit sender_current=10mA",
};
