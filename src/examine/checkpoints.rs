//! Counts and readings over the range.

use super::{counts, readings};
use crate::answer::{Checkpoint, CheckpointCount, CheckpointReading};
use crate::board::{Board, Drive, Input};
use crate::circuit::{Outlook, Place, Values};
use crate::quantity::{Band, Counts};
use crate::reading::{Firmware, at};
use crate::worst::count_band;

/// One row for each checkpoint.
pub(super) fn of(board: &Board, input: &Input, values: &Values, firmware: &Firmware) -> Vec<Checkpoint> {
    input.checkpoints.iter().filter_map(|&value| checkpoint(board, input, values, firmware, value)).collect()
}

fn checkpoint(
    board: &Board,
    input: &Input,
    values: &Values,
    firmware: &Firmware,
    value: f64,
) -> Option<Checkpoint> {
    let band = |outlook| {
        let situation = at(board, input, values, outlook, Place::At(value));
        count_band(&situation, &situation.resistances)
    };
    let truncated = |outlook| band(outlook).map(|band| board.converter.truncated_band(band));
    let nominal = band(Outlook::Nominal)?.lowest;
    let (life, bench) = (truncated(Outlook::Life)?, truncated(Outlook::Bench)?);
    let (sender_ohm, source_volt) = match &input.drive {
        Drive::Sender(sender) => (Some(sender.curve.at(value).0), None),
        Drive::Signal(signal) => (None, Some(signal.curve.at(value).0)),
    };
    Some(Checkpoint {
        value,
        sender_ohm,
        source_volt,
        count: CheckpointCount { nominal: nominal.0, life: counts(life), bench: counts(bench) },
        reading: CheckpointReading {
            nominal: firmware.reading(board.converter.truncated(nominal)),
            life: readings(firmware.readings(life)),
            bench: readings(firmware.readings(bench)),
        },
    })
}

/// What is hidden where the working band reaches below 0.
pub(super) fn hidden(
    board: &Board,
    input: &Input,
    firmware: &Firmware,
    working: Option<Band<Counts>>,
) -> Option<String> {
    let lowest = working?.lowest;
    if lowest >= Counts(0.0) {
        return None;
    }
    let (first, last) = input.range();
    let end = if firmware.rises() { first } else { last };
    let seen_from = firmware.crossing(Counts(0.0), |band| band.lowest);
    let (n, unit) = ((-lowest.0).ceil(), input.unit());
    let (a, b) = if end < seen_from { (end, seen_from) } else { (seen_from, end) };
    let one = n == 1.0;
    Some(format!(
        "the lowest {}{} read 0 on the worst board ({} down to {:.1}): {}..{} {unit} may not be seen",
        if one { String::new() } else { format!("{n} ") },
        if one { "count" } else { "counts" },
        board.converter.truncated(working?.highest).0,
        lowest.0,
        rounded(a),
        rounded(b),
    ))
}

/// Three digits are enough for a remark.
fn rounded(x: f64) -> f64 {
    if x == 0.0 {
        return 0.0;
    }
    let digit = 10_f64.powi(2 - x.abs().log10().floor() as i32);
    (x * digit).round() / digit
}
