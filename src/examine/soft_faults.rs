//! What is wrong and no count gives away: what the reading makes of it.

use crate::answer::{SoftFaultRow, SoftReading};
use crate::board::{Board, Input};
use crate::circuit::{Place, SoftFault, Values, with_soft_fault};
use crate::reading::Firmware;
use crate::worst::count_band;

/// One row for each soft fault, on the nominal board.
pub(super) fn of(board: &Board, input: &Input, values: &Values, firmware: &Firmware) -> Vec<SoftFaultRow> {
    let reading = |fault, value| {
        let situation = with_soft_fault(board, input, values, fault, Place::At(value));
        let count = count_band(&situation, &situation.resistances)?.lowest;
        Some(SoftReading { value, reading: firmware.reading(board.converter.truncated(count)) })
    };
    let row = |&fault: &SoftFault| SoftFaultRow {
        fault: fault.name(),
        readings: input.checkpoints.iter().filter_map(|&value| reading(fault, value)).collect(),
    };
    if !firmware.has_readings() {
        return Vec::new();
    }
    SoftFault::of(input).iter().map(row).filter(|row| !row.readings.is_empty()).collect()
}
