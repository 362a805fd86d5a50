//! `gauge`: the old gauge that stays connected to the measuring node.

use super::rails::gauge_feed;
use super::reader::{Keys, Value};
use super::rule;
use crate::board::{Circuit, Feed, Gauge, Rail};
use crate::quantity::{Fraction, Volts};

/// How far the voltage of a stabiliser may be off where the brief does not say.
const USUAL: Fraction = Fraction(0.05);

/// Reads the section; the gauge is as good as the parts, unless it says otherwise.
pub(super) fn read(
    keys: &mut Keys<'_>,
    circuit: Option<Circuit>,
    rails: &[Rail],
    usual: Fraction,
) -> Option<Gauge> {
    if circuit.is_some_and(|circuit| circuit != Circuit::PullUp) {
        keys.refuse(&["gauge"], "it left out: only circuit: pull-up shares its sender with a gauge");
        return None;
    }
    let expected = "a map such as { resistance: 150 Ω, from: supply }";
    let mut keys = keys.get("gauge").filter(|value| !value.is_word("none"))?.keys(expected)?;
    let resistance = keys.required("resistance", "the resistance of the gauge, such as resistance: 150 Ω");
    let resistance = resistance.and_then(|value| value.quantity(&rule::RESISTANCE_ABOVE_ZERO));
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, usual);
    let expected = "what feeds the gauge: from: supply, a rail, or a stabiliser such as { voltage: 10 V, tolerance: 5 % }";
    let from = keys.required("from", expected).and_then(|value| feed(&value, rails));
    keys.finish();
    Some(Gauge { resistance: resistance?, tolerance: tolerance?, from: from? })
}

fn feed(value: &Value<'_>, rails: &[Rail]) -> Option<Feed> {
    if let Some(text) = value.as_text() {
        if text.parse::<Volts>().is_ok() && !rails.iter().any(|rail| rail.name == text) {
            value.unlike(format!(
                "supply, a rail, or, for a stabiliser, a map such as {{ voltage: {text}, tolerance: 5 % }}"
            ));
            return None;
        }
        return gauge_feed(value, rails);
    }
    let mut keys = value
        .keys("supply, a rail, or a stabiliser such as { voltage: 10 V, tolerance: 5 %, pulsed: true }")?;
    let voltage = keys.required("voltage", "the voltage of the stabiliser, such as voltage: 10 V");
    let voltage = voltage.and_then(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, USUAL);
    let pulsed = match keys.get("pulsed") {
        Some(value) => value.switch(),
        None => Some(keys.assume("pulsed", false, "off")),
    };
    keys.finish();
    Some(Feed::Stabiliser { voltage: voltage?, tolerance: tolerance?, pulsed: pulsed? })
}
