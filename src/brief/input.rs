//! `inputs`: one pin of the converter each, with what is in front of it.

use std::path::Path;

use super::converter::reference_rail;
use super::corrected::{self, Asked};
use super::dial::Dial;
use super::far_end::FarEnd;
use super::parts::Shelf;
use super::rails::{excitation, rail_of};
use super::reader::{Keys, Value};
use super::resistors::Stock;
use super::stock::Files;
use super::words::{did_you_mean, quoted};
use super::{
    alarms, calibration, capacitor, checkpoints, clamp, gauge, limits, parts, rule, senders, signal, survive,
    tracks, transmitter, wet,
};
use crate::board::{
    Aim, Capacitor, Circuit, Drive, Excitation, Existing, Fluid, Input, Rail, RailId, Reference, Supply,
};
use crate::quantity::{Band, Celsius, Fraction, Ohms, Quantity, Volts};

/// What the inputs need to know of their board.
#[derive(Clone, Copy, Debug)]
pub(super) struct Around<'c> {
    pub(super) supply: &'c Supply,
    pub(super) ambient: &'c Band<Celsius>,
    pub(super) rails: &'c [Rail],
    pub(super) reference: Reference,
    pub(super) stock: &'c Stock,
    pub(super) files: &'c Files<'c>,
    pub(super) limits: &'c limits::Given,
    /// How far the decade box of the bench may be off.
    pub(super) decade_box: Fraction,
    /// Where files that the brief names are looked for.
    pub(super) folder: &'c Path,
}

/// More pins than any converter has: what is beyond is no board.
const MOST_INPUTS: usize = 256;

/// Reads all inputs, each with the limits that it sets itself.
pub(super) fn read_all(board: &mut Keys<'_>, around: Around<'_>) -> Vec<(Input, limits::Given)> {
    let expected = "at least one input, such as inputs: { diesel: { circuit: pull-up, … } }";
    let Some(section) = board.required("inputs", expected) else { return Vec::new() };
    let named = section.named(expected).unwrap_or_default();
    if section.has_no_entry() {
        section.wrong("no input", expected);
    }
    if named.len() > MOST_INPUTS {
        section.wrong_key(format!("{} inputs", named.len()), format!("at most {MOST_INPUTS}"));
        return Vec::new();
    }
    let expected = "a map such as { circuit: pull-up, sender: 240..33, pull_up: choose }";
    let names: Vec<&str> = named.iter().map(|(name, _)| *name).collect();
    let (mut inputs, mut own_limits, mut asked) = (Vec::new(), Vec::new(), Vec::new());
    let mut calibrated = Vec::new();
    for (name, value) in named {
        let Some(mut keys) = value.keys(expected) else { continue };
        let by = keys.get("corrected_by").filter(|by| !by.is_word("none"));
        let calibration = keys.get("calibration");
        let Some((input, own)) = read(name, keys, around) else { continue };
        asked.extend(by.map(|by| Asked { place: inputs.len(), by }));
        calibrated.extend(calibration.map(|value| (inputs.len(), value)));
        inputs.push(input);
        own_limits.push(own);
    }
    corrected::resolve(&mut inputs, &names, around.supply.swing, &asked);
    for (place, value) in &calibrated {
        calibration::check(&inputs[*place], value);
    }
    tracks::check(&inputs, &section);
    inputs.into_iter().zip(own_limits).collect()
}

/// Keys of an input that later versions serve.
const LATER: [&str; 1] = ["ground"];
/// Keys that only a sender to ground has, and that only a voltage has.
const OF_SENDERS: [&str; 4] = ["sender", "senders", "variants", "excitation"];
const OF_SIGNALS: [&str; 7] =
    ["measures", "from", "scales_with", "unit", "reads", "shape", "signal_resistance"];

fn read(name: &str, mut keys: Keys<'_>, around: Around<'_>) -> Option<(Input, limits::Given)> {
    let circuit = circuit(&mut keys);
    keys.not_yet(&LATER);
    keys.refuse(&["stock"], "it below resistors, or at a part, such as pull_up: { stock: FILE.csv }");
    let far_end = circuit.and_then(|circuit| far_end(&mut keys, circuit, around));
    let excitation = excited(&mut keys, circuit, around);
    let bias_to = bias_to(&mut keys, circuit, around);
    let existing = keys.get("existing").map(|value| existing(&value, around.stock.grade.tolerance));
    let gauge = gauge::read(&mut keys, circuit, around.rails, around.stock.grade.tolerance);
    let clamp = clamp::read(&mut keys);
    let wire = wire(&mut keys);
    let wet = wet::read(&mut keys);
    let ground_shift = ground_shift(&mut keys);
    let fluid = fluid(&mut keys);
    let parts = match circuit {
        Some(circuit) => {
            let excites_itself = keys.get("gauge").is_some_and(|gauge| !gauge.is_word("none"));
            parts::read(
                &mut keys,
                circuit,
                Shelf { stock: around.stock, files: around.files, ambient: around.ambient, excites_itself },
            )
        }
        None => Vec::new(),
    };
    let capacitor = capacitor::read(&mut keys);
    let dial = far_end.as_ref().and_then(|far_end| far_end.dial(&keys));
    let zone = zone(&mut keys, dial.as_ref());
    let aim = aim(&mut keys, far_end.as_ref());
    let survive = survive::read(&mut keys, around.supply);
    let own_limits = limits::read_own(&mut keys, dial.as_ref());
    let has_capacitor = capacitor != Capacitor::Absent;
    limits::assume_source(&keys, around.limits, &own_limits, has_capacitor);
    let alarms = alarms::read(&mut keys, dial.as_ref());
    let checkpoints = checkpoints::read(&mut keys, dial.as_ref(), far_end.as_ref(), zone);
    let calibration = calibration::read(&mut keys, dial.as_ref(), around.decade_box);
    if circuit.is_none() {
        keys.skip(&OF_SENDERS);
        keys.skip(&OF_SIGNALS);
        keys.skip(&["bias_to", "compliance", "loop"]);
        parts::skip(&mut keys);
    }
    let limits = limits::combine(around.limits, &own_limits, has_capacitor);
    capacitor::is_asked_for(&keys, &capacitor, &limits);
    keys.finish();
    let far_end = far_end?;
    dial?;
    let input = Input {
        name: name.to_owned(),
        circuit: circuit?,
        variants: far_end.variants(),
        senders: far_end.named(&checkpoints),
        drive: far_end.first()?,
        assemblies: Vec::new(),
        excitation,
        corrected_by: None,
        bias_to,
        existing: existing.flatten(),
        gauge,
        wet,
        clamp,
        wire,
        ground_shift,
        fluid,
        parts,
        capacitor,
        zone,
        aim,
        checkpoints: checkpoints.into_iter().next().unwrap_or_default(),
        survive,
        limits,
        alarms,
        calibration,
    };
    Some((input, own_limits))
}

const CIRCUITS: [(&str, Circuit); 6] = [
    ("pull-up", Circuit::PullUp),
    ("pull-down", Circuit::PullDown),
    ("divider", Circuit::Divider),
    ("level-shift", Circuit::LevelShift),
    ("burden", Circuit::Burden),
    ("direct", Circuit::Direct),
];
const CIRCUIT: &str = "pull-up (a sender to ground), pull-down (a sender to its excitation), divider (a voltage), level-shift (a voltage of either sign), \
                       burden (a current) or direct (a voltage on the pin)";

fn circuit(keys: &mut Keys<'_>) -> Option<Circuit> {
    let value = keys.required("circuit", CIRCUIT)?;
    let name = value.text(CIRCUIT)?;
    let known = CIRCUITS.iter().find(|(known, _)| *known == name).map(|(_, circuit)| *circuit);
    if known.is_none() {
        let names = CIRCUITS.map(|(name, _)| name);
        value.unlike(format!("{CIRCUIT}{}", did_you_mean(name, &names)));
    }
    known
}

/// Keys of a voltage that a current does not have.
const OF_VOLTAGES: [&str; 3] = ["from", "scales_with", "signal_resistance"];

/// Whether a resistance is what is measured.
const fn reads_sender(circuit: Circuit) -> bool {
    matches!(circuit, Circuit::PullUp | Circuit::PullDown)
}

/// What is at the far end of the wire; a mistake if the circuit is not made for it.
fn far_end(keys: &mut Keys<'_>, circuit: Circuit, around: Around<'_>) -> Option<FarEnd> {
    if circuit != Circuit::Burden {
        keys.refuse(&["compliance", "loop"], "it left out: only the transmitter of circuit: burden has one");
    }
    if reads_sender(circuit) {
        let name = circuit.plan().name;
        let expected = format!("it left out, or circuit: divider: a {name} reads a sender, no voltage");
        keys.refuse(&OF_SIGNALS, &expected);
        return senders::read(keys, around.folder);
    }
    keys.refuse(
        &["variants"],
        "it left out: only where there are several senders can there be several sets of parts",
    );
    let sender = keys.get("sender");
    let senders = keys.get("senders");
    if let Some(value) = sender.or(senders) {
        let expected = "circuit: pull-up with pull_up: choose; a resistance makes no voltage, so here the pin reads \
                        0 V while the sender is connected and floats when it is open";
        value.wrong_key("a sender on a circuit for voltages", expected);
        keys.skip(&OF_SIGNALS);
        return None;
    }
    if circuit == Circuit::Burden {
        keys.refuse(&OF_VOLTAGES, "it left out: a transmitter drives its current whatever the voltage");
        return transmitter::read(keys, around.rails).map(Drive::Current).map(FarEnd::One);
    }
    signal::read(keys, around.rails).map(Drive::Signal).map(FarEnd::One)
}

fn excited(keys: &mut Keys<'_>, circuit: Option<Circuit>, around: Around<'_>) -> Option<Excitation> {
    let circuit = circuit?;
    if !reads_sender(circuit) {
        keys.refuse(&["excitation"], "it left out: nothing is excited here, a voltage comes by itself");
        return None;
    }
    if let Some(value) = keys.get("excitation") {
        return excitation(&value, around.rails, "what excites the sender");
    }
    let RailId(rail) = reference_rail(around.reference);
    Some(keys.assume("excitation", Excitation::Rail(RailId(rail)), around.rails[rail].name.clone()))
}

/// The rail that lifts a level shift.
fn bias_to(keys: &mut Keys<'_>, circuit: Option<Circuit>, around: Around<'_>) -> Option<RailId> {
    let circuit = circuit?;
    if circuit != Circuit::LevelShift {
        keys.refuse(&["bias_to"], "it left out: only circuit: level-shift has a part to a rail");
        return None;
    }
    if let Some(value) = keys.get("bias_to") {
        return rail_of(&value, around.rails);
    }
    let RailId(rail) = reference_rail(around.reference);
    Some(keys.assume("bias_to", RailId(rail), around.rails[rail].name.clone()))
}

/// What is already there is as good as the parts, unless it says otherwise.
fn existing(value: &Value<'_>, usual: Fraction) -> Option<Existing> {
    let mut keys = value.keys("a map such as { to_ground: 320 kΩ, tolerance: 5 % }")?;
    let to_ground =
        keys.required("to_ground", "the resistance from the node to ground, such as to_ground: 320 kΩ");
    let to_ground = to_ground.and_then(|value| value.quantity(&rule::RESISTANCE_ABOVE_ZERO));
    let tolerance = keys.quantity_or("tolerance", &rule::SHARE_BELOW_ONE, usual);
    keys.finish();
    Some(Existing { to_ground: to_ground?, tolerance: tolerance? })
}

/// The resistance of the wire: one value or a range.
fn wire(keys: &mut Keys<'_>) -> Band<Ohms> {
    let none = Band::exactly(Ohms(0.0));
    let Some(value) = keys.get("wire") else { return keys.assume("wire", none, "0 Ω") };
    if !value.is_range() {
        return signal::small(&value).map_or(none, Band::exactly);
    }
    let ends = value.ends(signal::SMALL, Ohms::parse_small_range, Ohms::parse_small);
    ends.and_then(|(a, b)| value.rising(a, b, &rule::RESISTANCE)).unwrap_or(none)
}

/// Remote ground against ours: a magnitude in either direction, or a range.
fn ground_shift(keys: &mut Keys<'_>) -> Band<Volts> {
    let none = Band::exactly(Volts(0.0));
    let Some(value) = keys.get("ground_shift") else { return keys.assume("ground_shift", none, "0 V") };
    if value.is_range() {
        return value.band(&rule::VOLTAGE).unwrap_or(none);
    }
    let Some(volts) = value.parse(Volts::EXPECTED, Volts::parse) else { return none };
    if volts.0 < 0.0 {
        let expected = format!("{:#} for either direction, or a range such as {volts:#} .. 0 V", -volts);
        value.wrong(format!("{} (negative)", value.found()), expected);
        return none;
    }
    value.ruled(volts, &rule::VOLTAGE);
    Band { lowest: Volts(0.0) - volts, highest: volts }
}

fn fluid(keys: &mut Keys<'_>) -> Option<Fluid> {
    keys.get("fluid")?.word(&[
        ("petrol", Fluid::Petrol),
        ("diesel", Fluid::Diesel),
        ("oil", Fluid::Oil),
        ("water", Fluid::Water),
        ("other", Fluid::Other),
    ])
}

fn zone(keys: &mut Keys<'_>, dial: Option<&Dial>) -> Option<Band<f64>> {
    let value = keys.get("zone");
    let dial = dial?;
    match value {
        Some(value) => dial.band(&value),
        None if dial.is_shared() => keys.assume("zone", None, dial.range_text()),
        None => keys.assume("zone", None, "the whole range of each sender"),
    }
}

/// What makes a choice good. A mistake reads as the usual aim.
fn aim(keys: &mut Keys<'_>, far_end: Option<&FarEnd>) -> Aim {
    let Some(value) = keys.get("aim") else { return keys.assume("aim", Aim::Span, Aim::Span.name()) };
    let aims = [Aim::Span, Aim::Resolution, Aim::Error, Aim::Straight].map(|aim| (aim.name(), aim));
    let aim = value.word(&aims).unwrap_or(Aim::Span);
    let plain = far_end.and_then(|far_end| far_end.drives().find(|(_, drive)| !drive.is_curved()));
    if let Some((name, _)) = plain.filter(|_| aim == Aim::Straight) {
        let expected = "a curved sender (ntc, steinhart_hart, platinum or interpolation: monotone) for this aim, or \
                        another one: between straight lines nothing bends but at their ends";
        let of = name.map(|name| format!(" (sender {})", quoted(name))).unwrap_or_default();
        value.wrong(format!("{} for a curve of straight lines{of}", value.found()), expected);
    }
    aim
}
