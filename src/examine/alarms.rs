//! Where alarms come and go, and whether they do where they must.

mod flicker;
mod reasons;
mod threshold;

pub(super) use flicker::remarks;

use crate::answer::AlarmRow;
use crate::board::{Alarm, Board, Input};
use crate::reading::Firmware;
use threshold::Threshold;

/// The bands of the real quantity in which each alarm comes and goes.
pub(super) fn of(board: &Board, input: &Input, firmware: &Firmware) -> Vec<AlarmRow> {
    input.alarms.iter().map(|alarm| Switching::of(board, input, firmware, alarm).row()).collect()
}

/// An alarm with the two thresholds that it is switched by.
struct Switching<'a> {
    input: &'a Input,
    alarm: &'a Alarm,
    /// Beyond it the alarm goes on.
    on: Threshold<'a>,
    /// Not beyond it the alarm goes off.
    off: Threshold<'a>,
}

impl<'a> Switching<'a> {
    fn of(board: &'a Board, input: &'a Input, firmware: &'a Firmware, alarm: &'a Alarm) -> Self {
        let threshold = |at| Threshold { board, input, firmware, side: alarm.side, at };
        Self { input, alarm, on: threshold(alarm.at), off: threshold(alarm.goes_at()) }
    }

    fn row(&self) -> AlarmRow {
        let Self { input, alarm, on, off } = self;
        // Without readings there is nothing to judge.
        let fails = on.has_readings().then(|| self.reasons());
        let switches = on.has_readings() && on.is_passed();
        AlarmRow {
            alarm: alarm.name.clone(),
            at: alarm.at,
            certain_at: alarm.certain_at,
            count: on.first_beyond(),
            comes: switches.then(|| on.comes()),
            goes_at: off.at,
            quiet_at: alarm.quiet_at,
            goes_count: off.first_back(),
            goes: (switches && !off.on_every_board(input.away(alarm.side))).then(|| off.goes()),
            holds: fails.as_ref().map(Vec::is_empty),
            fails: fails.unwrap_or_default(),
        }
    }
}
