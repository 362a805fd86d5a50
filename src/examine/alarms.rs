//! Where alarms come.

use super::readings;
use crate::answer::AlarmRow;
use crate::board::{Alarm, Board, Input, Side};
use crate::quantity::{Band, Counts};
use crate::reading::Firmware;

/// The band of the real quantity in which each alarm comes, and remarks on alarms that may never come.
pub(super) fn of(board: &Board, input: &Input, firmware: &Firmware) -> (Vec<AlarmRow>, Vec<String>) {
    let mut remarks = Vec::new();
    let rows = input
        .alarms
        .iter()
        .map(|alarm| row(board, input, firmware, alarm, &mut remarks))
        .collect();
    (rows, remarks)
}

fn row(
    board: &Board,
    input: &Input,
    firmware: &Firmware,
    alarm: &Alarm,
    remarks: &mut Vec<String>,
) -> AlarmRow {
    let rises = firmware.rises();
    // On the low side of the threshold counts are low if they rise with the value.
    let low_counts = (alarm.side == Side::Below) == rises;
    let first = first_count(board, firmware, alarm, low_counts);
    // A falling count is truncated to `first` when it falls below the next; a rising one when it reaches it.
    let passes = if low_counts { Counts(first + 1.0) } else { Counts(first) };
    let by_lowest = firmware.crossing(passes, |band| band.lowest);
    let by_highest = firmware.crossing(passes, |band| band.highest);
    let never = |value: f64| {
        let reached = firmware.life_band(value).is_some_and(|band| {
            if low_counts { band.highest < passes } else { band.lowest >= passes }
        });
        !reached
    };
    let (start, end) = input.range();
    let extreme = if alarm.side == Side::Below { start } else { end };
    if never(extreme) {
        remarks.push(format!(
            "alarm {}: on the worst board it does not come at all, not even at {extreme} {}",
            alarm.name,
            input.unit()
        ));
    }
    if alarm.hysteresis > 0.0 {
        remarks.push(format!(
            "alarm {}: the band says where it comes; where it goes (hysteresis {}) is not examined yet",
            alarm.name, alarm.hysteresis
        ));
    }
    AlarmRow {
        alarm: alarm.name.clone(),
        at: alarm.at,
        count: first,
        comes: readings(Band::between(by_lowest, by_highest)),
    }
}

/// The truncated count at which the reading first is beyond the threshold: the highest of the low counts, or the
/// lowest of the high ones. Readings are monotone in the count.
fn first_count(board: &Board, firmware: &Firmware, alarm: &Alarm, low_counts: bool) -> f64 {
    let beyond = |count: u64| {
        let reading = firmware.reading(Counts(count as f64));
        match alarm.side {
            Side::Below => reading < alarm.at,
            Side::Above => reading > alarm.at,
        }
    };
    let top = board.converter.highest_count().0 as u64;
    let (mut a, mut b) = (0, top + 1);
    while a < b {
        let middle = a.midpoint(b);
        if beyond(middle) == low_counts {
            a = middle + 1;
        } else {
            b = middle;
        }
    }
    // `a` is the first count of the high side.
    if low_counts { a as f64 - 1.0 } else { a as f64 }
}
