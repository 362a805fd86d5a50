//! `rails`: the regulated supplies of the board.

use super::reader::{Keys, Value};
use super::rule;
use super::words::{did_you_mean, one_of};
use crate::board::{Excitation, Feed, Rail, RailId};
use crate::quantity::{Amperes, Fraction, Volts};

/// The rail of a board that names none, and what stands in for a rail with a mistake.
fn usual(name: &str) -> Rail {
    Rail {
        name: name.to_owned(),
        voltage: Volts(5.0),
        tolerance: Fraction(0.02),
        sink_current: Amperes(0.0),
        least_load: Amperes(0.0),
        on_when_reversed: false,
    }
}

/// More rails than any board has.
const MOST_RAILS: usize = 64;

/// Reads the section; the answer is never empty.
pub(super) fn read(board: &mut Keys<'_>) -> Vec<Rail> {
    let Some(section) = board.get("rails") else {
        let path = board.path.key("rails").key("logic");
        return vec![rail(Keys::new(&[], path, board.log), "logic")];
    };
    let expected = "a map such as { logic: { voltage: 5 V, tolerance: 2 % } }";
    let named = section.named(expected).unwrap_or_default();
    if named.len() > MOST_RAILS {
        section.wrong_key(format!("{} rails", named.len()), format!("at most {MOST_RAILS}"));
        return vec![usual("logic")];
    }
    let rails: Vec<Rail> = named.into_iter().map(|(name, value)| named_rail(name, &value)).collect();
    if rails.is_empty() {
        if section.has_no_entry() {
            section.wrong("no rail", format!("at least one: {expected}"));
        }
        return vec![usual("logic")];
    }
    rails
}

fn named_rail(name: &str, value: &Value<'_>) -> Rail {
    if name == "supply" {
        value.wrong_key("a rail called `supply`", "another name: `supply` is what feeds the board");
    }
    match value.keys("a map such as { voltage: 5 V, tolerance: 2 % }") {
        Some(keys) => rail(keys, name),
        None => usual(name),
    }
}

fn rail(mut keys: Keys<'_>, name: &str) -> Rail {
    let usual = usual(name);
    let voltage = keys.quantity_or("voltage", &rule::VOLTAGE_ABOVE_ZERO, usual.voltage);
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, usual.tolerance);
    let sink_current = keys.quantity_or("sink_current", &rule::CURRENT_FROM_ZERO, usual.sink_current);
    let least_load = keys.quantity_or("least_load", &rule::CURRENT_FROM_ZERO, usual.least_load);
    let on_when_reversed = match keys.get("when_reversed") {
        Some(value) => value.switch(),
        None => Some(keys.assume("when_reversed", false, "off")),
    };
    keys.finish();
    Rail {
        name: usual.name,
        voltage: voltage.unwrap_or(usual.voltage),
        tolerance: tolerance.unwrap_or(usual.tolerance),
        sink_current: sink_current.unwrap_or(usual.sink_current),
        least_load: least_load.unwrap_or(usual.least_load),
        on_when_reversed: on_when_reversed.unwrap_or(false),
    }
}

/// The rail that a value names.
pub(super) fn rail_of(value: &Value<'_>, rails: &[Rail]) -> Option<RailId> {
    named_one(value, rails, "a rail of the board", &[]).map(RailId)
}

/// What excites a sender or feeds a loop, as `what` says: a rail, or the supply.
pub(super) fn excitation(value: &Value<'_>, rails: &[Rail], what: &str) -> Option<Excitation> {
    let place = named_one(value, rails, what, &["supply"])?;
    Some(if place < rails.len() { Excitation::Rail(RailId(place)) } else { Excitation::Supply })
}

/// What feeds a gauge by name: a rail, or the supply.
pub(super) fn gauge_feed(value: &Value<'_>, rails: &[Rail]) -> Option<Feed> {
    let place = named_one(value, rails, "what feeds the gauge", &["supply"])?;
    Some(if place < rails.len() { Feed::Rail(RailId(place)) } else { Feed::Supply })
}

/// The place of a name among the rails and `others` behind them.
fn named_one(value: &Value<'_>, rails: &[Rail], what: &str, others: &[&str]) -> Option<usize> {
    let names: Vec<&str> =
        rails.iter().map(|rail| rail.name.as_str()).chain(others.iter().copied()).collect();
    let expected = format!("{what}: {}", one_of(&names));
    let name = value.text(&expected)?;
    let known = names.iter().position(|known| *known == name);
    if known.is_none() {
        value.unlike(format!("{expected}{}", did_you_mean(name, &names)));
    }
    known
}
