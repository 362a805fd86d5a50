//! Readings as YAML: `{ unit: °C, readings: [[20, 2450 Ω], …], accuracy: { value: 0.5 K, resistance: 1 % } }`.

use super::super::fault::Faults;
use super::super::log::{Log, fault_of_text};
use super::super::path::Path;
use super::super::place::At;
use super::super::reader::{Keys, Value};
use super::super::yaml;
use super::Beside;
use super::cells;
use super::sheet::{Column, Mistake, Row, Sheet, Spot};
use crate::brief::Fault;
use crate::learn::Readings;

const EXPECTED: &str = "readings, such as { unit: °C, readings: [[20, 2450 Ω], [80, 300 Ω]] }";

/// Reads a tree.
pub(super) fn read(bytes: &[u8], file: &str, beside: &Beside) -> Result<Readings, Faults> {
    let (body, node) = yaml::parse(bytes).map_err(|mut trouble| {
        if trouble.found == "nothing but blanks and comments" {
            EXPECTED.clone_into(&mut trouble.expected);
        }
        fault_of_text(trouble, file, bytes)
    })?;
    let log = Log::default();
    let top = Value { node: &node, path: Path::default(), log: &log };
    let sheet = top.keys(EXPECTED).map(sheet);
    let mut of_flags = Vec::new();
    let mut readings = None;
    // A row that is none has lost its place in the count.
    if let Some(sheet) = sheet.filter(|_| log.is_clean()) {
        match cells::check(&sheet, beside) {
            Ok(read) => readings = Some(read),
            Err(mistakes) => {
                of_flags = mistakes.into_iter().filter_map(|mistake| note(mistake, &log)).collect();
            }
        }
    }
    match readings {
        Some(readings) if log.is_clean() && of_flags.is_empty() => Ok(readings),
        _ => {
            let mut faults = log.into_faults_of_file(file, body);
            faults.0.extend(of_flags);
            Err(faults)
        }
    }
}

fn sheet(mut keys: Keys<'_>) -> Sheet {
    let text = |value: Value<'_>, expected| value.text(expected).map(str::to_owned);
    let value_unit = keys.get("unit").and_then(|value| text(value, "a unit such as °C, bar or \"%\""));
    let mut sheet = Sheet { value_unit, ..Sheet::default() };
    if let Some(mut accuracy) = keys.get("accuracy").and_then(|value| {
        value.keys("the accuracy of thermometer and meter, such as { value: 0.5 K, resistance: 1 % }")
    }) {
        let of = |value: Option<Value<'_>>| {
            value.and_then(|value| text(value, "an accuracy such as 1 % or 0.5 K"))
        };
        sheet.value_accuracy = of(accuracy.get("value"));
        sheet.resistance_accuracy = of(accuracy.get("resistance"));
        accuracy.finish();
    }
    let rows =
        keys.required("readings", EXPECTED).and_then(|value| value.list("rows such as [[20, 2450 Ω]]"));
    for row in rows.into_iter().flatten() {
        let Some((value, resistance)) = row.pair("a row of two: [value, resistance]") else { continue };
        let value = value.text("a value");
        let resistance = resistance.text("a resistance");
        if let (Some(value), Some(resistance)) = (value, resistance) {
            let (value, resistance) = (value.to_owned(), resistance.to_owned());
            sheet.rows.push(Row { value, resistance, ..Row::default() });
        }
    }
    keys.finish();
    sheet
}

/// Notes a mistake at its place in the tree; one of a flag is given back.
fn note(mistake: Mistake, log: &Log) -> Option<Fault> {
    let top = Path::default();
    let rows = top.key("readings");
    let (path, at) = match mistake.spot {
        Spot::Flag(flag) => {
            let fault = Fault::of_file("", mistake.found, mistake.expected);
            return Some(Fault { file: None, key: flag.to_owned(), ..fault });
        }
        Spot::Unit(_) if mistake.found == "values without a unit" => (rows, At::Key),
        Spot::Unit(_) => (top.key("unit"), At::Value),
        Spot::ForAll(Column::Value | Column::ValueAccuracy) => (top.key("accuracy").key("value"), At::Value),
        Spot::ForAll(_) => (top.key("accuracy").key("resistance"), At::Value),
        Spot::Row(i) => (rows.item(i), At::Value),
        Spot::Cell(i, column) => (rows.item(i).item(usize::from(column != Column::Value)), At::Value),
    };
    log.mistake(&path, at, mistake.found, mistake.expected);
    None
}
