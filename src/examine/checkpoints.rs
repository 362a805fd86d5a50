//! Counts and readings over the range.

use super::{counts, readings};
use crate::answer::{Checkpoint, CheckpointCount, CheckpointReading};
use crate::board::{Board, Drive, Input};
use crate::circuit::{Outlook, Place, Values};
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
    let shown = |outlook, band| firmware.readings(outlook, value, band).map(readings);
    let reading =
        shown(Outlook::Life, life).zip(shown(Outlook::Bench, bench)).map(|(life, bench)| CheckpointReading {
            nominal: firmware.reading(board.converter.truncated(nominal)),
            life,
            bench,
            ..CheckpointReading::default()
        });
    let (sender_ohm, source_volt, source_ampere) = match &input.drive {
        Drive::Sender(sender) => (Some(sender.curve.at(value).0), None, None),
        Drive::Signal(signal) => (None, Some(signal.curve.at(value).0), None),
        Drive::Current(transmitter) => (None, None, Some(transmitter.curve.at(value).0)),
    };
    Some(Checkpoint {
        value,
        sender_ohm,
        source_volt,
        source_ampere,
        counts_per_unit: per_unit(input, firmware, value),
        count: CheckpointCount { nominal: nominal.0, life: counts(life), bench: counts(bench) },
        reading,
    })
}

/// The fewer counts per unit of both sides of a value; at an end of the range there is one side.
fn per_unit(input: &Input, firmware: &Firmware, value: f64) -> f64 {
    let [below, above] = firmware.nominal().slopes(value);
    let (first, last) = input.range();
    match value {
        value if value == first.min(last) => above,
        value if value == first.max(last) => below,
        _ => below.min(above),
    }
}
