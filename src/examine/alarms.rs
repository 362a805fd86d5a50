//! Where alarms come.

use super::readings;
use crate::answer::AlarmRow;
use crate::board::{Alarm, Board, Input, Side};
use crate::quantity::{Band, Counts};
use crate::reading::Firmware;

/// The band of the real quantity in which each alarm comes.
pub(super) fn of(board: &Board, input: &Input, firmware: &Firmware) -> Vec<AlarmRow> {
    input.alarms.iter().map(|alarm| row(board, firmware, alarm)).collect()
}

fn row(board: &Board, firmware: &Firmware, alarm: &Alarm) -> AlarmRow {
    let threshold = Threshold::of(board, firmware, alarm);
    let by_lowest = firmware.crossing(threshold.passes, |band| band.lowest);
    let by_highest = firmware.crossing(threshold.passes, |band| band.highest);
    AlarmRow {
        alarm: alarm.name.clone(),
        at: alarm.at,
        count: threshold.first.0,
        comes: readings(Band::between(by_lowest, by_highest)),
    }
}

/// Alarms that do not come on every board, not even at the end of the range.
pub(super) fn cautions(board: &Board, input: &Input, firmware: &Firmware) -> Vec<String> {
    let (start, end) = input.range();
    let never = |alarm: &&Alarm| {
        let threshold = Threshold::of(board, firmware, alarm);
        let extreme = if alarm.side == Side::Below { start } else { end };
        let reached = firmware.life_band(extreme).is_some_and(|band| {
            if threshold.low_counts {
                band.highest < threshold.passes
            } else {
                band.lowest >= threshold.passes
            }
        });
        !reached
    };
    let caution = |alarm: &Alarm| {
        let (extreme, unit) = (if alarm.side == Side::Below { start } else { end }, input.unit());
        format!(
            "alarm {}: on the worst board it does not come at all, not even at {extreme} {unit}",
            alarm.name
        )
    };
    input.alarms.iter().filter(never).map(caution).collect()
}

/// What is not examined yet.
pub(super) fn remarks(input: &Input) -> Vec<String> {
    let with_hysteresis = input.alarms.iter().filter(|alarm| alarm.hysteresis > 0.0);
    let remark = |alarm: &Alarm| {
        format!(
            "alarm {}: the band says where it comes; where it goes (hysteresis {}) is not examined yet",
            alarm.name, alarm.hysteresis
        )
    };
    with_hysteresis.map(remark).collect()
}

/// A threshold in counts.
struct Threshold {
    /// The truncated count at which the alarm first comes.
    first: Counts,
    /// The count before truncation that is passed there: a falling count is truncated to `first` when it falls below
    /// the next, a rising one when it reaches it.
    passes: Counts,
    /// Whether it comes at low counts.
    low_counts: bool,
}

impl Threshold {
    fn of(board: &Board, firmware: &Firmware, alarm: &Alarm) -> Self {
        // On the low side of the threshold counts are low if they rise with the value.
        let low_counts = (alarm.side == Side::Below) == firmware.rises();
        let first = first_count(board, firmware, alarm, low_counts);
        Self {
            first: Counts(first),
            passes: Counts(if low_counts { first + 1.0 } else { first }),
            low_counts,
        }
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
