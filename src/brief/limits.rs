//! `limits`: what a choice must respect, for the whole board and for one input.

use super::dial::Dial;
use super::reader::{Keys, Value};
use super::rule::{self, Rule};
use crate::board::{Limits, Setting};
use crate::quantity::{Amperes, Counts, Ohms, Quantity, Seconds, Volts, Watts};

/// The limit of source resistance where no capacitor holds the pin while the converter samples.
const SOURCE_WITHOUT_CAPACITOR: Ohms = Ohms(10e3);

/// The settings that a brief gives; `None` where it is silent.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Given {
    converter_range: Option<Setting<()>>,
    pin_current: Option<Setting<Amperes>>,
    dissipation: Option<Setting<Watts>>,
    part_voltage: Option<Setting<Volts>>,
    settling: Option<Setting<Counts>>,
    source_resistance: Option<Setting<Ohms>>,
    leakage_error: Option<Setting<Counts>>,
    sender_current: Option<Setting<Amperes>>,
    wetting_current: Option<Setting<Amperes>>,
    sender_power: Option<Setting<Watts>>,
    supply_current: Option<Setting<Amperes>>,
    input_resistance: Option<Setting<Ohms>>,
    compliance: Option<Setting<Volts>>,
    /// In the unit of the input; a board cannot set it for all of them.
    error: Option<Setting<f64>>,
    rail_backfeed: Option<Setting<Amperes>>,
    fault_gap: Option<Setting<Counts>>,
    filter_time: Option<Setting<Seconds>>,
}

/// Everything off.
const OFF: Given = Given {
    converter_range: Some(Setting::Off),
    pin_current: Some(Setting::Off),
    dissipation: Some(Setting::Off),
    part_voltage: Some(Setting::Off),
    settling: Some(Setting::Off),
    source_resistance: Some(Setting::Off),
    leakage_error: Some(Setting::Off),
    sender_current: Some(Setting::Off),
    wetting_current: Some(Setting::Off),
    sender_power: Some(Setting::Off),
    supply_current: Some(Setting::Off),
    input_resistance: Some(Setting::Off),
    compliance: Some(Setting::Off),
    error: Some(Setting::Off),
    rail_backfeed: Some(Setting::Off),
    fault_gap: Some(Setting::Off),
    filter_time: Some(Setting::Off),
};

/// Reads the limits of a board.
pub(super) fn read(board: &mut Keys<'_>) -> Given {
    of_section(board, |keys| {
        let expected = "it beside an input: its bound is in the unit of that input";
        keys.refuse(&["error"], expected);
        None
    })
}

/// Reads the limits of an input. Without a dial, which has a mistake then, what is in its unit is not read.
pub(super) fn read_own(input: &mut Keys<'_>, dial: Option<&Dial>) -> Given {
    of_section(input, |keys| error(keys, dial))
}

fn of_section(outer: &mut Keys<'_>, error: impl Fn(&mut Keys<'_>) -> Option<Setting<f64>>) -> Given {
    let Some(value) = outer.get("limits") else { return Given::default() };
    if value.is_word("off") {
        return OFF;
    }
    let expected = "off, or a map such as { sender_current: 20 mA, dissipation: off }";
    let Some(mut keys) = value.keys(expected) else { return Given::default() };
    let error = error(&mut keys);
    Given { error, ..read_keys(keys) }
}

/// How far a reading may be off, in the unit, or `off`.
fn error(keys: &mut Keys<'_>, dial: Option<&Dial>) -> Option<Setting<f64>> {
    let value = keys.get("error")?;
    if value.is_word("off") {
        return Some(Setting::Off);
    }
    let bound = Dial::difference(&dial?.unit, &value)?;
    if bound == 0.0 {
        value.unlike("a distance above 0: no reading is without error");
        return None;
    }
    Some(Setting::At(bound))
}

fn read_keys(mut keys: Keys<'_>) -> Given {
    let on = Some("on");
    let given = Given {
        converter_range: keys.get("converter_range").and_then(|value| range_setting(&value)),
        pin_current: setting(&mut keys, "pin_current", &rule::CURRENT_ABOVE_ZERO, on),
        dissipation: setting(&mut keys, "dissipation", &rule::POWER_ABOVE_ZERO, on),
        part_voltage: setting(&mut keys, "part_voltage", &rule::VOLTAGE_ABOVE_ZERO, on),
        settling: setting(&mut keys, "settling", &rule::COUNTS_ABOVE_ZERO, on),
        source_resistance: setting(&mut keys, "source_resistance", &rule::RESISTANCE_ABOVE_ZERO, on),
        leakage_error: setting(&mut keys, "leakage_error", &rule::COUNTS_ABOVE_ZERO, None),
        sender_current: setting(&mut keys, "sender_current", &rule::CURRENT_ABOVE_ZERO, None),
        wetting_current: setting(&mut keys, "wetting_current", &rule::CURRENT_ABOVE_ZERO, None),
        sender_power: setting(&mut keys, "sender_power", &rule::POWER_ABOVE_ZERO, None),
        supply_current: setting(&mut keys, "supply_current", &rule::CURRENT_ABOVE_ZERO, None),
        input_resistance: setting(&mut keys, "input_resistance", &rule::RESISTANCE_ABOVE_ZERO, None),
        compliance: setting(&mut keys, "compliance", &rule::VOLTAGE_ABOVE_ZERO, on),
        error: None,
        rail_backfeed: setting(&mut keys, "rail_backfeed", &rule::CURRENT_ABOVE_ZERO, on),
        filter_time: setting(&mut keys, "filter_time", &rule::TIME_ABOVE_ZERO, None),
        fault_gap: setting(&mut keys, "fault_gap", &rule::COUNTS_ABOVE_ZERO, None),
    };
    keys.finish();
    given
}

/// `on`, `off`; there is no value to this limit.
fn range_setting(value: &Value<'_>) -> Option<Setting<()>> {
    let on = value.switch()?;
    Some(if on { Setting::Usual } else { Setting::Off })
}

/// A value, `off`, or `on` where the board itself gives a bound.
fn setting<Q: Quantity>(
    keys: &mut Keys<'_>,
    key: &'static str,
    rule: &Rule<Q>,
    on: Option<&str>,
) -> Option<Setting<Q>> {
    let value = keys.get(key)?;
    match value.as_text() {
        Some("off") => Some(Setting::Off),
        Some("on") if on.is_some() => Some(Setting::Usual),
        Some("on") => {
            value.unlike(format!("off, or {}: this limit has no usual value", Q::EXPECTED));
            None
        }
        _ => value.quantity(rule).map(Setting::At),
    }
}

/// The limits of one input: its own settings before those of the board before the usual ones.
pub(super) fn combine(board: &Given, input: &Given, has_capacitor: bool) -> Limits {
    fn first<Q: Copy>(input: Option<Setting<Q>>, board: Option<Setting<Q>>, usual: Setting<Q>) -> Setting<Q> {
        input.or(board).unwrap_or(usual)
    }
    let source = match first(input.source_resistance, board.source_resistance, usual_source(has_capacitor)) {
        Setting::Usual => Setting::At(SOURCE_WITHOUT_CAPACITOR),
        other => other,
    };
    Limits {
        converter_range: first(input.converter_range, board.converter_range, Setting::Usual),
        pin_current: first(input.pin_current, board.pin_current, Setting::Usual),
        dissipation: first(input.dissipation, board.dissipation, Setting::Usual),
        part_voltage: first(input.part_voltage, board.part_voltage, Setting::Usual),
        settling: first(input.settling, board.settling, Setting::Usual),
        source_resistance: source,
        leakage_error: first(input.leakage_error, board.leakage_error, Setting::Off),
        sender_current: first(input.sender_current, board.sender_current, Setting::Off),
        wetting_current: first(input.wetting_current, board.wetting_current, Setting::Off),
        sender_power: first(input.sender_power, board.sender_power, Setting::Off),
        supply_current: first(input.supply_current, board.supply_current, Setting::Off),
        input_resistance: first(input.input_resistance, board.input_resistance, Setting::Off),
        compliance: first(input.compliance, board.compliance, Setting::Usual),
        error: first(input.error, board.error, Setting::Off),
        rail_backfeed: first(input.rail_backfeed, board.rail_backfeed, Setting::Off),
        filter_time: first(input.filter_time, board.filter_time, Setting::Off),
        fault_gap: first(input.fault_gap, board.fault_gap, Setting::Off),
    }
}

const fn usual_source(has_capacitor: bool) -> Setting<Ohms> {
    if has_capacitor { Setting::Off } else { Setting::At(SOURCE_WITHOUT_CAPACITOR) }
}

/// Notes the limit of source resistance where it is on by default.
pub(super) fn assume_source(keys: &Keys<'_>, board: &Given, input: &Given, has_capacitor: bool) {
    if !has_capacitor && input.source_resistance.or(board.source_resistance).is_none() {
        let path = keys.path.key("limits").key("source_resistance");
        keys.log.assume(&path, format!("{SOURCE_WITHOUT_CAPACITOR:#}"));
    }
}

/// The bounds that the board gives, as they are listed under what is assumed.
#[derive(Clone, Debug)]
pub(super) struct Bounds {
    pub(super) pin_current: String,
    pub(super) dissipation: String,
    pub(super) settling: String,
}

/// Notes the limits that are on by default for at least one input.
pub(super) fn assume(outer: &Keys<'_>, board: &Given, inputs: &[Given], bounds: &Bounds) {
    let note = |key: &str, silent: fn(&Given) -> bool, text: &str| {
        if silent(board) && inputs.iter().any(silent) {
            outer.log.assume(&outer.path.key("limits").key(key), text);
        }
    };
    note("converter_range", |given| given.converter_range.is_none(), "on");
    note("pin_current", |given| given.pin_current.is_none(), &bounds.pin_current);
    note("dissipation", |given| given.dissipation.is_none(), &bounds.dissipation);
    note("part_voltage", |given| given.part_voltage.is_none(), "the working voltage of the part");
    note("settling", |given| given.settling.is_none(), &bounds.settling);
}
