//! One threshold of the reading, on every board of the life band.
//!
//! Both edges of the reading rise with the value, also where it is corrected by the supply; so a threshold is passed once
//! by each, first by the upper one, and between the two some boards are beyond it and some are not.

use crate::answer::AlarmBand;
use crate::board::{Board, Input, Side};
use crate::circuit::Outlook;
use crate::quantity::{Band, Counts};
use crate::reading::Firmware;

/// A threshold of the reading, which is beyond it on one side.
pub(super) struct Threshold<'a> {
    pub(super) board: &'a Board,
    pub(super) input: &'a Input,
    pub(super) firmware: &'a Firmware<'a>,
    pub(super) side: Side,
    pub(super) at: f64,
}

impl Input {
    /// The end of the range towards an alarm.
    pub(super) fn towards(&self, side: Side) -> f64 {
        let (first, last) = self.range();
        if side == Side::Below { first } else { last }
    }

    /// The end of the range away from an alarm.
    pub(super) fn away(&self, side: Side) -> f64 {
        let (first, last) = self.range();
        if side == Side::Below { last } else { first }
    }
}

impl Threshold<'_> {
    pub(super) fn has_readings(&self) -> bool {
        self.firmware.has_readings()
    }

    fn is_beyond(&self, reading: f64) -> bool {
        match self.side {
            Side::Below => reading < self.at,
            Side::Above => reading > self.at,
        }
    }

    /// Whether every board reads beyond it at a value; one whose pin floats reads anything.
    pub(super) fn on_every_board(&self, value: f64) -> bool {
        let all = |band: Band<f64>| self.is_beyond(band.lowest) && self.is_beyond(band.highest);
        self.readings(value).is_some_and(all)
    }

    /// Whether some board does.
    pub(super) fn on_some_board(&self, value: f64) -> bool {
        let any = |band: Band<f64>| self.is_beyond(band.lowest) || self.is_beyond(band.highest);
        self.readings(value).is_none_or(any)
    }

    fn readings(&self, value: f64) -> Option<Band<f64>> {
        if self.firmware.is_adjusted() {
            return self.firmware.adjusted(Outlook::Life, value);
        }
        let counts = self.board.converter.truncated_band(self.firmware.life_band(value)?);
        self.firmware.readings(Outlook::Life, value, counts)
    }

    /// Whether some board is beyond it somewhere in the range, and not every one all along.
    pub(super) fn is_passed(&self) -> bool {
        self.on_some_board(self.input.towards(self.side)) && !self.on_every_board(self.input.away(self.side))
    }

    /// The value at which the first board passes it, and that at which the last one does, ascending.
    fn passed(&self) -> (f64, f64) {
        let (every, some) = (|value| self.on_every_board(value), |value| self.on_some_board(value));
        match self.side {
            Side::Below => {
                (self.firmware.passed(|value| !every(value)), self.firmware.passed(|value| !some(value)))
            }
            Side::Above => (self.firmware.passed(some), self.firmware.passed(every)),
        }
    }

    /// Where readings come to be beyond it. On a board on which they never are there is no such end.
    pub(super) fn comes(&self) -> AlarmBand {
        let always = self.on_every_board(self.input.towards(self.side));
        self.band([true, always])
    }

    /// Where readings cease to be beyond it. On a board on which they never do there is no such end.
    pub(super) fn goes(&self) -> AlarmBand {
        let always = !self.on_some_board(self.input.away(self.side));
        self.band([always, true])
    }

    /// The band with its end away from the alarm and that towards it, as far as they exist.
    fn band(&self, [away, towards]: [bool; 2]) -> AlarmBand {
        let (lowest, highest) = self.passed();
        let [low, high] = if self.side == Side::Below { [towards, away] } else { [away, towards] };
        AlarmBand { lowest: low.then_some(lowest), highest: high.then_some(highest) }
    }

    /// The first truncated count that reads beyond it. `None`: no count does or all do, or no count alone decides.
    pub(super) fn first_beyond(&self) -> Option<f64> {
        let high = self.first_of_the_high_side()?;
        Some(if self.is_beyond_low_counts() { high - 1.0 } else { high })
    }

    /// The first truncated count, coming from beyond, that no longer reads so.
    pub(super) fn first_back(&self) -> Option<f64> {
        let high = self.first_of_the_high_side()?;
        Some(if self.is_beyond_low_counts() { high } else { high - 1.0 })
    }

    fn first_of_the_high_side(&self) -> Option<f64> {
        if self.firmware.is_adjusted() {
            return None;
        }
        let high = self.high_from();
        (high >= 1.0 && high <= self.board.converter.highest_count().0).then_some(high)
    }

    /// On the low side of a threshold counts are low if they rise with the value.
    fn is_beyond_low_counts(&self) -> bool {
        (self.side == Side::Below) == self.firmware.rises()
    }

    /// The lowest count on the high side of the threshold, with the usual supply where that corrects the reading; one more
    /// than the highest count if there is none. Readings are monotone in the count.
    pub(super) fn high_from(&self) -> f64 {
        let low = self.is_beyond_low_counts();
        let (mut a, mut b) = (0, self.board.converter.highest_count().0 as u64 + 1);
        while a < b {
            let middle = a.midpoint(b);
            if self.is_beyond(self.firmware.reading(Counts(middle as f64))) == low {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        a as f64
    }
}
