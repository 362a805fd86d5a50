//! Where alarms come.

mod corrected;

use crate::answer::{AlarmRow, ComesBand};
use crate::board::{Alarm, Board, Input, Side};
use crate::quantity::Counts;
use crate::reading::Firmware;

/// The band of the real quantity in which each alarm comes.
pub(super) fn of(board: &Board, input: &Input, firmware: &Firmware) -> Vec<AlarmRow> {
    input.alarms.iter().map(|alarm| row(board, input, firmware, alarm)).collect()
}

fn row(board: &Board, input: &Input, firmware: &Firmware, alarm: &Alarm) -> AlarmRow {
    if input.corrected_by.is_some() {
        return corrected::row(input, firmware, alarm);
    }
    let Comes::Passing(threshold) = Comes::of(board, firmware, alarm) else {
        return AlarmRow { alarm: alarm.name.clone(), at: alarm.at, count: None, comes: None };
    };
    let ends = [
        firmware.crossing(threshold.passes, |band| band.lowest),
        firmware.crossing(threshold.passes, |band| band.highest),
    ];
    let (lowest, highest) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    // On a board on which it does not come at all there is no such end.
    let always = threshold.comes_on_every_board(input, firmware, alarm);
    let comes = match alarm.side {
        Side::Below => ComesBand { lowest: always.then_some(lowest), highest: Some(highest) },
        Side::Above => ComesBand { lowest: Some(lowest), highest: always.then_some(highest) },
    };
    AlarmRow { alarm: alarm.name.clone(), at: alarm.at, count: Some(threshold.first.0), comes: Some(comes) }
}

/// Alarms that are always on, that never come, or that do not come on every board.
pub(super) fn cautions(board: &Board, input: &Input, firmware: &Firmware) -> Vec<String> {
    let caution = |alarm: &Alarm| {
        if input.corrected_by.is_some() {
            return corrected::caution(input, firmware, alarm);
        }
        let what = match Comes::of(board, firmware, alarm) {
            Comes::Always => "it is always on: every count reads beyond its threshold".into(),
            Comes::Never => "it never comes: no count reads beyond its threshold".into(),
            Comes::Passing(threshold) if threshold.comes_on_every_board(input, firmware, alarm) => {
                return None;
            }
            Comes::Passing(_) => never_on_the_worst(input, alarm),
        };
        Some(format!("alarm {}: {what}", alarm.name))
    };
    input.alarms.iter().filter_map(caution).collect()
}

fn never_on_the_worst(input: &Input, alarm: &Alarm) -> String {
    format!(
        "on the worst board it does not come at all, not even at {} {}",
        extreme(input, alarm),
        input.unit()
    )
}

/// The end of the range at which an alarm should have come.
fn extreme(input: &Input, alarm: &Alarm) -> f64 {
    let (start, end) = input.range();
    if alarm.side == Side::Below { start } else { end }
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

/// How an alarm comes on a board that counts.
enum Comes {
    /// Every count reads beyond the threshold.
    Always,
    /// No count does.
    Never,
    /// When the count passes a threshold.
    Passing(Threshold),
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

impl Comes {
    fn of(board: &Board, firmware: &Firmware, alarm: &Alarm) -> Self {
        // On the low side of the threshold counts are low if they rise with the value.
        let low_counts = (alarm.side == Side::Below) == firmware.rises();
        let first = first_count(board, firmware, alarm, low_counts);
        let top = board.converter.highest_count().0;
        match (first < 0.0 || first > top, low_counts) {
            (true, _) => Self::Never,
            (false, true) if first == top => Self::Always,
            (false, false) if first == 0.0 => Self::Always,
            (false, _) => {
                let passes = Counts(if low_counts { first + 1.0 } else { first });
                Self::Passing(Threshold { first: Counts(first), passes, low_counts })
            }
        }
    }
}

impl Threshold {
    fn comes_on_every_board(&self, input: &Input, firmware: &Firmware, alarm: &Alarm) -> bool {
        firmware.life_band(extreme(input, alarm)).is_some_and(|band| {
            if self.low_counts { band.highest < self.passes } else { band.lowest >= self.passes }
        })
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
