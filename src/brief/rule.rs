//! Bounds of sane values, each with the sentence that says so.

use crate::quantity::{Amperes, Celsius, Counts, Farads, Fraction, Ohms, PerKelvin, Seconds, Volts, Watts};

/// What a quantity must fulfil, and how that is said.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule<Q> {
    pub(super) holds: fn(Q) -> bool,
    pub(super) expected: &'static str,
}

/// Voltages of a board for vehicles: an absurd one is a slip of the prefix.
const VOLTS: f64 = 10e3;
const OHMS: f64 = 1e9;

pub(super) const VOLTAGE: Rule<Volts> =
    Rule { holds: |v| v.0.abs() <= VOLTS, expected: "a voltage within ±10 kV" };
pub(super) const VOLTAGE_ABOVE_ZERO: Rule<Volts> =
    Rule { holds: |v| v.0 > 0.0 && v.0 <= VOLTS, expected: "a voltage above 0 V, up to 10 kV" };
pub(super) const VOLTAGE_FROM_ZERO: Rule<Volts> =
    Rule { holds: |v| v.0 >= 0.0 && v.0 <= VOLTS, expected: "a voltage from 0 V up to 10 kV" };
pub(super) const RESISTANCE: Rule<Ohms> =
    Rule { holds: |r| r.0 >= 0.0 && r.0 <= OHMS, expected: "a resistance from 0 Ω up to 1 GΩ" };
pub(super) const RESISTANCE_ABOVE_ZERO: Rule<Ohms> =
    Rule { holds: |r| r.0 > 0.0 && r.0 <= OHMS, expected: "a resistance above 0 Ω, up to 1 GΩ" };
pub(super) const CURRENT_ABOVE_ZERO: Rule<Amperes> =
    Rule { holds: |i| i.0 > 0.0 && i.0 <= 1e3, expected: "a current above 0 A, up to 1 kA" };
pub(super) const CURRENT_FROM_ZERO: Rule<Amperes> =
    Rule { holds: |i| i.0 >= 0.0 && i.0 <= 1e3, expected: "a current from 0 A up to 1 kA" };
pub(super) const POWER_ABOVE_ZERO: Rule<Watts> =
    Rule { holds: |p| p.0 > 0.0 && p.0 <= 1e3, expected: "a power above 0 W, up to 1 kW" };
pub(super) const CAPACITANCE_ABOVE_ZERO: Rule<Farads> =
    Rule { holds: |c| c.0 > 0.0 && c.0 <= 1.0, expected: "a capacitance above 0 F, up to 1 F" };
pub(super) const TIME_ABOVE_ZERO: Rule<Seconds> =
    Rule { holds: |t| t.0 > 0.0 && t.0 <= 1e6, expected: "a time above 0 s, up to 1000000 s" };
pub(super) const COUNTS_FROM_ZERO: Rule<Counts> =
    Rule { holds: |n| n.0 >= 0.0 && n.0 <= 16_777_216.0, expected: "counts from 0 up to 16777216" };
pub(super) const COUNTS_ABOVE_ZERO: Rule<Counts> =
    Rule { holds: |n| n.0 > 0.0 && n.0 <= 16_777_216.0, expected: "counts above 0, up to 16777216" };
pub(super) const SHARE_BELOW_ONE: Rule<Fraction> =
    Rule { holds: |x| x.0 >= 0.0 && x.0 < 1.0, expected: "a share from 0 % to less than 100 %" };
pub(super) const SHARE_BELOW_HALF: Rule<Fraction> =
    Rule { holds: |x| x.0 >= 0.0 && x.0 < 0.5, expected: "a share from 0 % to less than 50 %" };
pub(super) const SHARE_TO_USE: Rule<Fraction> =
    Rule { holds: |x| x.0 > 0.0 && x.0 <= 1.0, expected: "a share above 0 %, up to 100 %" };
pub(super) const TEMPCO: Rule<PerKelvin> = Rule {
    holds: |a| a.0 >= 0.0 && a.0 <= 0.01,
    expected: "a change with temperature from 0 ppm/K up to 10000 ppm/K, meant in either direction",
};
pub(super) const TEMPERATURE: Rule<Celsius> = Rule {
    holds: |t| t.0 >= -273.15 && t.0 <= 1000.0,
    expected: "a temperature from -273.15 °C to 1000 °C",
};
