//! `converter`: the converter behind all inputs.

use super::place::At;
use super::rails::rail_of;
use super::reader::Keys;
use super::rule;
use crate::board::{Converter, Rail, RailId, Reference, Sampling};
use crate::quantity::{Amperes, Band, Counts, Farads, Fraction, Ohms, Seconds, Volts};

/// The converter of a board that says nothing about it, and what stands in for a mistake.
const USUAL: Converter = Converter {
    bits: 10,
    reference: Reference::Rail(RailId(0)),
    usable: None,
    headroom: Fraction(0.0),
    offset: Counts(2.0),
    gain: Fraction(0.005),
    inl: Counts(1.0),
    noise: Counts(0.0),
    leakage: Amperes(1e-6),
    clamp: Volts(0.5),
    clamp_rail: RailId(0),
    pin_current: Amperes(1e-3),
    sampling: Sampling {
        capacitor: Farads(14e-12),
        resistance: Ohms(10e3),
        time: Seconds(12e-6),
        period: Seconds(10e-3),
        settles_to: Counts(0.5),
    },
};

/// The rail that the reference is, else the first.
pub(super) const fn reference_rail(reference: Reference) -> RailId {
    match reference {
        Reference::Rail(rail) => rail,
        Reference::Own { .. } => RailId(0),
    }
}

/// Reads the section.
pub(super) fn read(board: &mut Keys<'_>, rails: &[Rail]) -> Converter {
    let expected = "a map such as { bits: 10, reference: logic, pin_current: 1 mA }";
    match board.section("converter", expected) {
        Some(keys) => read_keys(keys, rails),
        None => USUAL,
    }
}

fn read_keys(mut keys: Keys<'_>, rails: &[Rail]) -> Converter {
    let bits = bits(&mut keys);
    let reference = reference(&mut keys, rails);
    let usable = usable(&mut keys, reference, rails);
    let headroom = keys.quantity_or("headroom", &rule::SHARE_BELOW_HALF, USUAL.headroom);
    let offset = keys.quantity_or("offset", &rule::COUNTS_FROM_ZERO, USUAL.offset);
    let gain = keys.quantity_or("gain", &rule::SHARE_BELOW_ONE, USUAL.gain);
    let inl = keys.quantity_or("inl", &rule::COUNTS_FROM_ZERO, USUAL.inl);
    let noise = keys.quantity_or("noise", &rule::COUNTS_FROM_ZERO, USUAL.noise);
    let leakage = keys.quantity_or("leakage", &rule::CURRENT_FROM_ZERO, USUAL.leakage);
    let clamp = keys.quantity_or("clamp", &rule::VOLTAGE_FROM_ZERO, USUAL.clamp);
    let clamp_rail = clamp_rail(&mut keys, reference, rails);
    let pin_current = keys.quantity_or("pin_current", &rule::CURRENT_ABOVE_ZERO, USUAL.pin_current);
    let sampling = sampling(&mut keys);
    keys.finish();
    Converter {
        bits: bits.unwrap_or(USUAL.bits),
        reference: reference.unwrap_or(USUAL.reference),
        usable,
        headroom: headroom.unwrap_or(USUAL.headroom),
        offset: offset.unwrap_or(USUAL.offset),
        gain: gain.unwrap_or(USUAL.gain),
        inl: inl.unwrap_or(USUAL.inl),
        noise: noise.unwrap_or(USUAL.noise),
        leakage: leakage.unwrap_or(USUAL.leakage),
        clamp: clamp.unwrap_or(USUAL.clamp),
        clamp_rail: clamp_rail.unwrap_or(USUAL.clamp_rail),
        pin_current: pin_current.unwrap_or(USUAL.pin_current),
        sampling,
    }
}

fn bits(keys: &mut Keys<'_>) -> Option<u32> {
    let Some(value) = keys.get("bits") else {
        return Some(keys.assume("bits", USUAL.bits, "10"));
    };
    let expected = "a whole number of bits from 1 to 24";
    let bits = value.text(expected)?.parse().ok().filter(|bits| (1..=24).contains(bits));
    if bits.is_none() {
        value.unlike(expected);
    }
    bits
}

fn reference(keys: &mut Keys<'_>, rails: &[Rail]) -> Option<Reference> {
    let Some(value) = keys.get("reference") else {
        return Some(keys.assume("reference", USUAL.reference, rails[0].name.clone()));
    };
    if value.as_text().is_some() {
        return rail_of(&value, rails).map(Reference::Rail);
    }
    let expected = "a rail, or a reference of its own such as { voltage: 1.1 V, tolerance: 9 % }";
    own_reference(value.keys(expected)?)
}

fn own_reference(mut keys: Keys<'_>) -> Option<Reference> {
    let voltage = keys.required("voltage", "the voltage of the reference, such as 1.1 V");
    let voltage = voltage.and_then(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    // As far as a rail may be off by default.
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, Fraction(0.02));
    keys.finish();
    Some(Reference::Own { voltage: voltage?, tolerance: tolerance? })
}

/// The voltage of full scale.
fn full_scale(reference: Reference, rails: &[Rail]) -> Volts {
    match reference {
        Reference::Rail(RailId(i)) => rails.get(i).map_or(Volts(0.0), |rail| rail.voltage),
        Reference::Own { voltage, .. } => voltage,
    }
}

fn usable(keys: &mut Keys<'_>, reference: Option<Reference>, rails: &[Rail]) -> Option<Band<Volts>> {
    let Some(value) = keys.get("usable") else { return keys.assume("usable", None, "all") };
    if value.is_word("all") {
        return None;
    }
    let band = value.band(&rule::VOLTAGE_FROM_ZERO)?;
    let full_scale = full_scale(reference?, rails);
    if band.lowest < band.highest && band.highest <= full_scale {
        return Some(band);
    }
    value.unlike(format!("a part of 0 V .. {full_scale:#}, which is full scale"));
    None
}

fn clamp_rail(keys: &mut Keys<'_>, reference: Option<Reference>, rails: &[Rail]) -> Option<RailId> {
    if let Some(value) = keys.get("clamp_rail") {
        return rail_of(&value, rails);
    }
    let rail = reference_rail(reference?);
    Some(keys.assume("clamp_rail", rail, rails[rail.0].name.clone()))
}

fn sampling(board: &mut Keys<'_>) -> Sampling {
    let usual = USUAL.sampling;
    let expected = "a map such as { capacitor: 14 pF, resistance: 10 kΩ, time: 12 µs }";
    let Some(mut keys) = board.section("sampling", expected) else { return usual };
    let capacitor = keys.quantity_or("capacitor", &rule::CAPACITANCE_ABOVE_ZERO, usual.capacitor);
    let resistance = keys.quantity_or("resistance", &rule::RESISTANCE, usual.resistance);
    let time = keys.quantity_or("time", &rule::TIME_ABOVE_ZERO, usual.time);
    let period = keys.quantity_or("period", &rule::TIME_ABOVE_ZERO, usual.period);
    let settles_to = keys.quantity_or("settles_to", &rule::COUNTS_ABOVE_ZERO, usual.settles_to);
    if let (Some(time), Some(period)) = (time, period)
        && period < time
    {
        let found = format!("time {time:#}, period {period:#}");
        let expected = "a period, from one sample to the next, not shorter than the time of sampling";
        keys.log.mistake(&keys.path, At::Key, found, expected);
    }
    keys.finish();
    Sampling {
        capacitor: capacitor.unwrap_or(usual.capacitor),
        resistance: resistance.unwrap_or(usual.resistance),
        time: time.unwrap_or(usual.time),
        period: period.unwrap_or(usual.period),
        settles_to: settles_to.unwrap_or(usual.settles_to),
    }
}
