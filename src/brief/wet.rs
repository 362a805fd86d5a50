//! `wet`: a wet connector at the wire.

use super::reader::Keys;
use super::rule;
use crate::board::{Neighbour, Wet};

/// Reads the section; without it the connector is dry.
pub(super) fn read(keys: &mut Keys<'_>) -> Option<Wet> {
    let mut keys = keys
        .get("wet")
        .filter(|value| !value.is_word("none"))?
        .keys("a map such as { to: ground, resistance: 50 kΩ }")?;
    let to = keys.required("to", "what the wire leaks to: to: ground or to: supply");
    let to = to.and_then(|value| value.word(&[("ground", Neighbour::Ground), ("supply", Neighbour::Supply)]));
    let expected = "the least resistance of the wet connector, such as resistance: 50 kΩ";
    let resistance = keys.required("resistance", expected);
    let resistance = resistance.and_then(|value| value.quantity(&rule::RESISTANCE_ABOVE_ZERO));
    keys.finish();
    Some(Wet { to: to?, resistance: resistance? })
}
