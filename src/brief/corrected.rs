//! `corrected_by`: the input that measures the vehicle's supply, whose changes the firmware divides out of a reading.

use super::reader::{Value, band_text};
use super::words::{did_you_mean, one_of, quoted};
use crate::board::{Aim, Circuit, Drive, Excitation, Feed, Input, InputId, Setting};
use crate::quantity::{Band, Volts};

/// An input and the name that it asks for.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    /// The place of the input that is to be corrected.
    pub(super) place: usize,
    /// What stands behind the key.
    pub(super) by: Value<'a>,
}

/// Puts the inputs that correct others in their places. `names` are those of all inputs of the brief: one with a
/// mistake is not among `inputs`, and that mistake is enough.
pub(super) fn resolve(inputs: &mut [Input], names: &[&str], swing: Band<Volts>, asked: &[Asked<'_>]) {
    let places: Vec<usize> = asked.iter().map(|asked| asked.place).collect();
    for Asked { place, by } in asked {
        let Some(name) = by.text("the name of the input that measures the supply") else { continue };
        if !names.contains(&name) {
            by.wrong(by.found(), another(name, &inputs[*place].name, names));
            continue;
        }
        let Some(meter) = inputs.iter().position(|input| input.name == name) else { continue };
        if meter == *place {
            by.wrong(
                format!("{} (this input itself)", by.found()),
                "another input, which measures the supply",
            );
        } else if places.contains(&meter) {
            let found = format!("{} (itself corrected)", by.found());
            by.wrong(found, "an input that measures the supply without help: from: supply");
        } else if follows(&inputs[*place], by)
            && measures(&inputs[meter], by)
            && reaches(&inputs[meter], swing, by)
        {
            is_given(&inputs[*place], &inputs[meter], by);
            inputs[*place].corrected_by = Some(InputId(meter));
        }
    }
}

fn another(name: &str, own: &str, names: &[&str]) -> String {
    let others: Vec<&str> = names.iter().copied().filter(|other| *other != own).collect();
    if others.is_empty() {
        return "another input, which measures the supply; this one is alone".to_owned();
    }
    format!("another input: {}{}", one_of(&others), did_you_mean(name, &others))
}

/// Whether there is anything to correct: a sender that the supply excites, itself or through an old gauge.
fn follows(input: &Input, by: &Value<'_>) -> bool {
    let has_gauge = input.gauge.is_some_and(|gauge| gauge.from == Feed::Supply);
    let is_fed = input.excitation == Some(Excitation::Supply) || has_gauge;
    if !is_fed {
        let expected = "it left out, or excitation: supply, or a gauge from: supply: only a sender that the supply excites follows the supply";
        by.wrong_key(quoted("corrected_by"), expected);
    }
    is_fed
}

/// Whether the input that is to correct another one measures the supply.
fn measures(meter: &Input, by: &Value<'_>) -> bool {
    let reads_voltage = matches!(meter.circuit, Circuit::Divider | Circuit::LevelShift | Circuit::Direct);
    let is_meter = reads_voltage && meter.drive.is_supply();
    if !is_meter {
        let expected =
            "an input that measures the vehicle's supply: a divider, level-shift or direct with from: supply";
        by.wrong(format!("{} (no such input)", by.found()), expected);
    }
    is_meter
}

/// Whether all of the supply's swing is measured: firmware cannot divide out what it does not see.
fn reaches(meter: &Input, swing: Band<Volts>, by: &Value<'_>) -> bool {
    let Drive::Signal(signal) = &meter.drive else { return false };
    let measured = Band::between(signal.curve.first().1, signal.curve.last().1);
    let is_seen = measured.lowest <= swing.lowest && swing.highest <= measured.highest;
    if !is_seen {
        by.wrong(
            format!("{} (it measures {})", by.found(), band_text(&measured)),
            format!("an input that measures all of the supply's swing, {}", band_text(&swing)),
        );
    }
    is_seen
}

/// The error of a corrected reading depends on the parts of both inputs, and each input is searched by itself.
fn is_given(input: &Input, meter: &Input, by: &Value<'_>) {
    let wanted = match (input.aim, input.limits.error) {
        (Aim::Error, _) => "aim: error",
        (_, Setting::At(_)) => "limits: error",
        _ => return,
    };
    if meter.is_open() {
        let expected =
            format!("give the parts of {} first: the error of this input depends on them", meter.name);
        by.wrong(format!("{} beside {wanted}, with parts still to be chosen", by.found()), expected);
    }
}
