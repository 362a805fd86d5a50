//! `alarms`: thresholds in the firmware.

use super::dial::Dial;
use super::place::At;
use super::reader::{Keys, Value};
use super::unit::{calm, number_text};
use crate::board::{Alarm, Side};

/// Reads the alarms of an input. Without a dial, which has a mistake then, values are not read.
pub(super) fn read(keys: &mut Keys<'_>, dial: Option<&Dial>) -> Vec<Alarm> {
    let Some(value) = keys.get("alarms") else { return Vec::new() };
    let named = value.named("a map such as { low: { below: 12.5, hysteresis: 2 } }").unwrap_or_default();
    named.iter().filter_map(|(name, value)| alarm(name, value, dial)).collect()
}

fn alarm(name: &str, value: &Value<'_>, dial: Option<&Dial>) -> Option<Alarm> {
    let mut keys = value.keys("a map such as { below: 12.5, hysteresis: 2 }")?;
    let (below, above) = (keys.get("below"), keys.get("above"));
    let hysteresis = match keys.get("hysteresis") {
        Some(value) => dial.and_then(|dial| Dial::difference(&dial.unit, &value)),
        None => Some(keys.assume("hysteresis", 0.0, "0")),
    };
    let threshold = match (below, above) {
        (Some(at), None) => dial.and_then(|dial| dial.value(&at)).map(|at| (Side::Below, at)),
        (None, Some(at)) => dial.and_then(|dial| dial.value(&at)).map(|at| (Side::Above, at)),
        (None, None) => {
            keys.required("below", "the threshold: below: VALUE or above: VALUE");
            None
        }
        (Some(_), Some(above)) => {
            above.wrong_key("both below and above", "one of the two; a second alarm for the other side");
            None
        }
    };
    let side = threshold.map(|(side, _)| side);
    let [certain, quiet] = [Place::Certain, Place::Quiet].map(|place| place.read(&mut keys, dial, side));
    keys.finish();
    let ((side, at), hysteresis, dial) = (threshold?, hysteresis?, dial?);
    let (certain_at, quiet_at) = (certain?, quiet?);
    let alarm = Alarm { name: name.to_owned(), side, at, hysteresis, certain_at, quiet_at };
    let goes = Goes { alarm: &alarm, dial, value };
    let holds = goes.certain_beyond() & (goes.inside() && goes.quiet_behind());
    holds.then_some(alarm)
}

/// Where an alarm is judged.
#[derive(Clone, Copy)]
enum Place {
    /// It must have come there.
    Certain,
    /// It must be off there.
    Quiet,
}

impl Place {
    const fn key(self) -> &'static str {
        match self {
            Self::Certain => "certain_at",
            Self::Quiet => "quiet_at",
        }
    }

    /// The value of its key, else the end of the range on its side.
    fn read(self, keys: &mut Keys<'_>, dial: Option<&Dial>, side: Option<Side>) -> Option<f64> {
        if let Some(value) = keys.get(self.key()) {
            return dial?.value(&value);
        }
        let (dial, side) = (dial?, side?);
        let is_low = (side == Side::Below) == matches!(self, Self::Certain);
        let end = if is_low { dial.range.lowest } else { dial.range.highest };
        Some(keys.assume(self.key(), end, dial.text(end)))
    }
}

/// What the values of an alarm must be beside each other.
struct Goes<'a> {
    alarm: &'a Alarm,
    dial: &'a Dial,
    value: &'a Value<'a>,
}

impl Goes<'_> {
    fn wrong(&self, key: &str, found: String, expected: String) -> bool {
        self.value.log.mistake(&self.value.path.key(key), At::Value, found, expected);
        false
    }

    /// It goes inside the range.
    fn inside(&self) -> bool {
        let goes_at = self.alarm.goes_at();
        self.dial.range.holds(goes_at) || {
            let found = format!("an alarm that goes only at {}", number_text(calm(goes_at)));
            self.wrong("hysteresis", found, format!("a return inside {}", self.dial.bound_at(goes_at)))
        }
    }

    /// A sound reading is beyond the threshold where the alarm must have come, unless that is all that the range offers.
    fn certain_beyond(&self) -> bool {
        let (at, certain) = (self.alarm.at, self.alarm.certain_at);
        let (is_beyond, end) = match self.alarm.side {
            Side::Below => (certain < at, self.dial.range.lowest),
            Side::Above => (certain > at, self.dial.range.highest),
        };
        is_beyond || certain == end || {
            let side = if self.alarm.side == Side::Below { "below" } else { "above" };
            let found =
                format!("{} (where the reading is not {side} the threshold)", self.dial.text(certain));
            let expected = format!("a value {side} {}, where the alarm must have come", self.dial.text(at));
            self.wrong(Place::Certain.key(), found, expected)
        }
    }

    /// A sound reading lets the alarm go where it must be off.
    fn quiet_behind(&self) -> bool {
        let (goes_at, quiet) = (self.alarm.goes_at(), self.alarm.quiet_at);
        let (goes, bound, end) = match self.alarm.side {
            Side::Below => (quiet >= goes_at, "or more", self.dial.range.highest),
            Side::Above => (quiet <= goes_at, "or less", self.dial.range.lowest),
        };
        goes || quiet == end || {
            let found = format!("{} (where the alarm, once on, stays on)", self.dial.text(quiet));
            let goes_at = self.dial.text(calm(goes_at));
            let expected = format!("{goes_at} {bound}: threshold and hysteresis");
            self.wrong(Place::Quiet.key(), found, expected)
        }
    }
}
