//! Alarms that come and go by themselves, since less than noise and one count lies between coming and going.

use super::Switching;
use crate::board::{Alarm, Board, Input};
use crate::quantity::Counts;
use crate::reading::Firmware;

/// A remark for each alarm that may flicker.
pub(in crate::examine) fn remarks(board: &Board, input: &Input, firmware: &Firmware) -> Vec<String> {
    let of = |alarm: &Alarm| {
        let switching = Switching::of(board, input, firmware, alarm);
        let why = switching.flickers(board.converter.noise)?;
        Some(format!("alarm {}: {why}: it may flicker", alarm.name))
    };
    input.alarms.iter().filter(|_| firmware.has_readings()).filter_map(of).collect()
}

impl Switching<'_> {
    /// Noise moves a steady count by its figure either way. It reaches both the last count at which the alarm comes and the
    /// first at which it goes where fewer counts lie between the two than it spans.
    fn flickers(&self, noise: Counts) -> Option<String> {
        if !self.on.is_passed() {
            return None;
        }
        let between = (self.on.high_from() - self.off.high_from()).abs();
        let hysteresis = format!("{} {}", self.alarm.hysteresis, self.input.unit());
        let spans = 2.0 * noise.0;
        if self.alarm.hysteresis == 0.0 {
            (spans > 0.0).then(|| format!("it has no hysteresis, while noise spans {spans} counts"))
        } else if between == 0.0 {
            Some(format!("its hysteresis of {hysteresis} is less than one count"))
        } else if between < spans {
            let counts = if between == 1.0 { "count" } else { "counts" };
            Some(format!("its hysteresis of {hysteresis} is {between} {counts}, while noise spans {spans}"))
        } else {
            None
        }
    }
}
