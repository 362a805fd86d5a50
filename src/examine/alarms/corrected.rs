//! Alarms on a reading that is corrected by the supply: no count alone decides, so they are found by the reading itself,
//! whose edges rise with the value.

use super::{extreme, never_on_the_worst};
use crate::answer::{AlarmRow, ComesBand};
use crate::board::{Alarm, Input, Side};
use crate::circuit::Outlook;
use crate::quantity::Band;
use crate::reading::Firmware;

/// The band of the real quantity in which the alarm comes.
pub(super) fn row(input: &Input, firmware: &Firmware, alarm: &Alarm) -> AlarmRow {
    let comes = match When::of(input, firmware, alarm) {
        Some(When::Somewhere { on_every_board }) => {
            let passes = |edge: fn(Band<f64>) -> f64| {
                firmware.passed(|value| {
                    let reading = firmware.corrected(Outlook::Life, value).map_or(f64::NAN, edge);
                    if alarm.side == Side::Below { reading >= alarm.at } else { reading > alarm.at }
                })
            };
            // The upper edge passes a threshold before the lower one.
            let (lowest, highest) = (passes(|band| band.highest), passes(|band| band.lowest));
            Some(match alarm.side {
                Side::Below => ComesBand { lowest: on_every_board.then_some(lowest), highest: Some(highest) },
                Side::Above => ComesBand { lowest: Some(lowest), highest: on_every_board.then_some(highest) },
            })
        }
        _ => None,
    };
    AlarmRow { alarm: alarm.name.clone(), at: alarm.at, count: None, comes }
}

/// An alarm that is always on, that never comes, or that does not come on every board.
pub(super) fn caution(input: &Input, firmware: &Firmware, alarm: &Alarm) -> Option<String> {
    let what = match When::of(input, firmware, alarm)? {
        When::Always => "it is always on: every reading in the range is beyond its threshold".to_owned(),
        When::Never => "it never comes: no reading in the range is beyond its threshold".to_owned(),
        When::Somewhere { on_every_board: true } => return None,
        When::Somewhere { on_every_board: false } => never_on_the_worst(input, alarm),
    };
    Some(format!("alarm {}: {what}", alarm.name))
}

enum When {
    /// On every board, wherever in the range.
    Always,
    /// On no board.
    Never,
    /// On some board at some value.
    Somewhere { on_every_board: bool },
}

impl When {
    /// `None`: there are no readings.
    fn of(input: &Input, firmware: &Firmware, alarm: &Alarm) -> Option<Self> {
        let (first, last) = input.range();
        let far_end = extreme(input, alarm);
        let near_end = if far_end == first { last } else { first };
        let comes = |reading: f64| match alarm.side {
            Side::Below => reading < alarm.at,
            Side::Above => reading > alarm.at,
        };
        // Whether it comes on some board, and on every one.
        let at = |value| {
            let band = firmware.corrected(Outlook::Life, value)?;
            let ends = [band.lowest, band.highest].map(comes);
            Some((ends[0] || ends[1], ends[0] && ends[1]))
        };
        Some(match (at(far_end)?, at(near_end)?) {
            (_, (_, true)) => Self::Always,
            ((false, _), _) => Self::Never,
            ((_, on_every_board), _) => Self::Somewhere { on_every_board },
        })
    }
}
