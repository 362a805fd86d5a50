//! Why an alarm fails: it may be silent where it must have come, or on where it must be quiet.

use super::Switching;
use crate::answer::AlarmBand;
use crate::board::Side;

impl Switching<'_> {
    /// Every reason in a plain sentence; none: it comes and goes where it must.
    pub(super) fn reasons(&self) -> Vec<String> {
        let (away, towards) = (self.input.away(self.alarm.side), self.input.towards(self.alarm.side));
        if !self.on.on_some_board(towards) {
            vec!["never comes: no reading in the range is beyond its threshold".to_owned()]
        } else if self.on.on_every_board(away) {
            vec!["is always on: every reading in the range is beyond its threshold".to_owned()]
        } else {
            self.silent().into_iter().chain(self.loud()).collect()
        }
    }

    /// Where it must have come on every board.
    fn silent(&self) -> Option<String> {
        let (at, end) = (self.alarm.certain_at, self.input.towards(self.alarm.side));
        if self.on.on_every_board(at) {
            return None;
        }
        let comes = match self.towards(self.on.comes()) {
            Some(value) => format!("comes only at {}", self.apart(value, at)),
            None if at == end => "does not come at all".to_owned(),
            None => format!("does not come at all, not even at {}", self.text(end)),
        };
        Some(format!("may still be silent at {}: on the worst board it {comes}", self.text(at)))
    }

    /// Where it must be off on every board, whether it had come before or not.
    fn loud(&self) -> Option<String> {
        let (at, end) = (self.alarm.quiet_at, self.input.away(self.alarm.side));
        let quiet = if at == end {
            format!("although it has to be quiet at {}", self.text(at))
        } else {
            format!("although it has to be quiet from {}", self.text(at))
        };
        if self.on.on_some_board(at) {
            let first = self.away(self.on.comes()).unwrap_or(at);
            return Some(if first == at {
                format!("may be on at {}, where it has to be quiet", self.text(at))
            } else {
                format!("may come already at {} {quiet}", self.apart(first, at))
            });
        }
        if !self.off.on_some_board(at) {
            return None;
        }
        let way = if self.alarm.side == Side::Below { "up" } else { "down" };
        Some(match self.away(self.off.goes()) {
            Some(value) => format!("may stay on {way} to {} {quiet}", self.apart(value, at)),
            None => format!(
                "may stay on {way} to {}: on the worst board it never goes again once it is on",
                self.text(end)
            ),
        })
    }

    /// The end of a band towards the alarm.
    fn towards(&self, band: AlarmBand) -> Option<f64> {
        if self.alarm.side == Side::Below { band.lowest } else { band.highest }
    }

    /// The end of a band away from the alarm.
    fn away(&self, band: AlarmBand) -> Option<f64> {
        if self.alarm.side == Side::Below { band.highest } else { band.lowest }
    }

    fn text(&self, value: f64) -> String {
        format!("{value} {}", self.input.unit()).trim_end().to_owned()
    }

    /// A value with as many digits as tell it from another one.
    fn apart(&self, value: f64, other: f64) -> String {
        const MOST: usize = 12;
        let mut step = 1.0;
        let mut places = 0;
        while (value - other).abs() < 5.0 * step && places < MOST {
            step /= 10.0;
            places += 1;
        }
        let shown: f64 = format!("{value:.places$}").parse().unwrap_or(value);
        self.text(shown)
    }
}
