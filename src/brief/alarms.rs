//! `alarms`: thresholds in the firmware.

use super::dial::Dial;
use super::place::At;
use super::reader::{Keys, Value};
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
    keys.finish();
    let ((side, at), hysteresis, dial) = (threshold?, hysteresis?, dial?);
    let returns = if side == Side::Below { at + hysteresis } else { at - hysteresis };
    if !dial.range.holds(returns) {
        let path = value.path.key("hysteresis");
        let found = format!("an alarm that goes only at {}", super::unit::number_text(returns));
        value.log.mistake(&path, At::Value, found, format!("a return inside {}", dial.range_text()));
        return None;
    }
    Some(Alarm { name: name.to_owned(), side, at, hysteresis })
}
