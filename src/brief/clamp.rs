//! `clamp`: an external clamp.

use super::reader::Keys;
use super::rule;
use crate::board::{Clamp, ClampPlace};
use crate::quantity::Fraction;

/// How far the voltage of a zener diode of the usual grade may be off (common practice).
const USUAL: Fraction = Fraction(0.05);

/// Reads the section. What a clamp leaks has no default: a clamp without a figure for it is a guess.
pub(super) fn read(keys: &mut Keys<'_>) -> Option<Clamp> {
    let expected = "a map such as { upper: 5.1 V, current: 5 mA, leakage: 50 µA, at: node }";
    let mut keys = keys.get("clamp").filter(|value| !value.is_word("none"))?.keys(expected)?;
    let upper = keys.required("upper", "the voltage from which the clamp conducts, such as upper: 5.1 V");
    let upper = upper.and_then(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, USUAL);
    let current = keys.required("current", "the current that the clamp survives, such as current: 5 mA");
    let current = current.and_then(|value| value.quantity(&rule::CURRENT_ABOVE_ZERO));
    let expected = "what the clamp leaks below its voltage, from its data sheet, such as leakage: 50 µA";
    let leakage = keys.required("leakage", expected);
    let leakage = leakage.and_then(|value| value.quantity(&rule::CURRENT_FROM_ZERO));
    let at = keys.required("at", "where the clamp is: at: node (in front of protection) or at: pin");
    let at = at.and_then(|value| value.word(&[("node", ClampPlace::Node), ("pin", ClampPlace::Pin)]));
    keys.finish();
    Some(Clamp { upper: upper?, tolerance: tolerance?, current: current?, leakage: leakage?, at: at? })
}
