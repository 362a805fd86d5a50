//! From the text of cells to readings.

use super::super::rule;
use super::super::unit::Unit;
use super::super::words::quoted;
use super::Beside;
use super::accuracy::{is_bare, of_meter, with_unit};
use super::sheet::{Column, Mistake, Row, Sheet, Spot};
use crate::learn::{MeterAccuracy, Reading, Readings, Scale, disorder, shown};
use crate::quantity::{Ohms, ParseQuantityError, Quantity};

/// Checks every cell, then the order of the rows that can be read.
pub(super) fn check(sheet: &Sheet, beside: &Beside) -> Result<Readings, Vec<Mistake>> {
    let mut cells = Cells::new(sheet, beside);
    let unit = cells.unit();
    let rows: Vec<Option<Reading>> =
        sheet.rows.iter().enumerate().map(|(i, row)| cells.reading(i, row, unit.as_ref())).collect();
    let places: Vec<usize> = (0..rows.len()).filter(|i| rows[*i].is_some()).collect();
    let complete = places.len() == rows.len();
    let rows: Vec<Reading> = rows.into_iter().flatten().collect();
    let Some(unit) = unit else { return Err(cells.mistakes) };
    if complete || rows.len() >= 2 {
        for disorder in disorder(unit.name(), &rows) {
            let at = places.get(disorder.at).copied().unwrap_or_default();
            cells.mistake(Spot::Row(at), disorder.found, disorder.expected);
        }
    }
    if !cells.mistakes.is_empty() {
        return Err(cells.mistakes);
    }
    let Ok(mut readings) = Readings::new(unit.name(), rows) else { return Err(cells.mistakes) };
    readings.remarks = cells.remarks;
    Ok(readings)
}

struct Cells<'a> {
    sheet: &'a Sheet,
    beside: &'a Beside,
    mistakes: Vec<Mistake>,
    remarks: Vec<String>,
    /// What holds for all rows.
    value_accuracy: Option<f64>,
    meter: Option<MeterAccuracy>,
}

impl<'a> Cells<'a> {
    fn new(sheet: &'a Sheet, beside: &'a Beside) -> Self {
        let (mistakes, remarks) = (Vec::new(), Vec::new());
        Self { sheet, beside, mistakes, remarks, value_accuracy: None, meter: None }
    }

    fn mistake(&mut self, spot: Spot, found: impl Into<String>, expected: impl Into<String>) {
        self.mistakes.push(Mistake { spot, found: found.into(), expected: expected.into() });
    }

    /// Notes what is wrong with a text.
    fn taken<T>(&mut self, spot: Spot, result: Result<T, ParseQuantityError>) -> Option<T> {
        result.map_err(|error| self.mistake(spot, error.found, error.expected)).ok()
    }

    /// The unit of the values and what holds for the columns as a whole.
    fn unit(&mut self) -> Option<Unit> {
        self.resistances_have_one_scale();
        let unit = self.name_of_unit();
        if let Some(unit) = &self.sheet.resistance_unit
            && let Err(error) = Ohms::parse(&format!("1 {unit}"))
        {
            self.mistake(Spot::Unit(Column::Resistance), error.found, "Ω, kΩ or MΩ");
        }
        self.meter = self.for_all(
            Column::ResistanceAccuracy,
            self.sheet.resistance_accuracy.as_deref(),
            self.beside.resistance_accuracy.as_deref(),
            "--resistance-accuracy",
            |text| of_meter(text, None),
        );
        let unit = Unit::new(&unit?);
        self.value_accuracy = self.for_all(
            Column::ValueAccuracy,
            self.sheet.value_accuracy.as_deref(),
            self.beside.value_accuracy.as_deref(),
            "--value-accuracy",
            |text| distance(text, &unit),
        );
        Some(unit)
    }

    /// In front of the column, in the flag, or behind the first value.
    fn name_of_unit(&mut self) -> Option<String> {
        let behind_first = self.sheet.rows.first().and_then(|row| Unit::behind_number(&row.value));
        let of_file = self.sheet.value_unit.clone().or(behind_first.map(|unit| unit.name().to_owned()));
        let spelled = |unit: String| Scale::of(&unit).map_or(unit, |scale| scale.sign().to_owned());
        match (of_file.map(spelled), self.beside.unit.clone().map(spelled)) {
            (Some(file), Some(flag)) if file != flag => {
                let found = format!("{} where the file says {}", quoted(&flag), quoted(&file));
                self.mistake(Spot::Flag("--unit"), found, "one of the two");
                None
            }
            (Some(unit), _) | (None, Some(unit)) => Some(unit),
            (None, None) => {
                let expected = "the unit in front of them or behind them, such as `value °C` or `20 °C`, or with --unit \
                                (20 may be °C, °F, bar or %)";
                self.mistake(Spot::Unit(Column::Value), "values without a unit", expected);
                None
            }
        }
    }

    /// What the file or a flag says for all rows.
    fn for_all<T>(
        &mut self,
        column: Column,
        in_file: Option<&str>,
        in_flag: Option<&str>,
        flag: &'static str,
        read: impl Fn(&str) -> Result<T, ParseQuantityError>,
    ) -> Option<T> {
        let in_rows = self.sheet.rows.iter().any(|row| accuracy_of(row, column).is_some());
        let (spot, text) = match (in_file, in_flag) {
            (Some(_), Some(text)) => {
                let found = format!("{} beside the accuracy in the file", quoted(text));
                self.mistake(Spot::Flag(flag), found, "one of the two");
                return None;
            }
            (None, Some(text)) if in_rows => {
                let found = format!("{} beside the column `{}`", quoted(text), column.name());
                self.mistake(Spot::Flag(flag), found, "one of the two");
                return None;
            }
            (Some(text), None) => (Spot::ForAll(column), text),
            (None, Some(text)) => (Spot::Flag(flag), text),
            (None, None) => return None,
        };
        self.taken(spot, read(text))
    }

    /// `2.45 kΩ` above a bare `1.8`: nobody can know what is meant. `4k7` and `470 Ω` say all.
    fn resistances_have_one_scale(&mut self) {
        if self.sheet.resistance_unit.is_some() {
            return;
        }
        let bare = |row: &Row| is_bare(&row.resistance);
        let other = |row: &&Row| {
            let text = row.resistance.as_str();
            !bare(row) && Ohms::parse(text).is_ok() && !text.ends_with(['R', 'Ω', '\u{2126}', 'm'])
                || text.contains(['k', 'K', 'M', 'G']) && Ohms::parse(text).is_ok()
        };
        let Some(example) = self.sheet.rows.iter().find(other).map(|row| row.resistance.clone()) else {
            if self.sheet.rows.iter().any(bare) {
                self.remarks.push("resistances without a unit are taken in Ω".to_owned());
            }
            return;
        };
        let unmarked: Vec<usize> =
            (0..self.sheet.rows.len()).filter(|i| bare(&self.sheet.rows[*i])).collect();
        for i in unmarked {
            let text = &self.sheet.rows[i].resistance;
            let found = format!("{} without a unit in a column with {}", quoted(text), quoted(&example));
            let expected = format!("its unit: `{text} Ω` or `{text} kΩ`, whichever is meant");
            self.mistake(Spot::Cell(i, Column::Resistance), found, expected);
        }
    }

    fn reading(&mut self, i: usize, row: &Row, unit: Option<&Unit>) -> Option<Reading> {
        let value = unit.and_then(|unit| self.value(i, row, unit));
        let resistance = self.resistance(i, row);
        let value_accuracy = match (&row.value_accuracy, unit) {
            (Some(text), Some(unit)) => {
                let own = with_unit(text, self.sheet.value_accuracy_unit.as_deref());
                Some(self.taken(Spot::Cell(i, Column::ValueAccuracy), distance(&own, unit))?)
            }
            _ => self.value_accuracy,
        };
        let meter = match &row.resistance_accuracy {
            Some(text) => {
                let read = of_meter(text, self.sheet.resistance_accuracy_unit.as_deref());
                Some(self.taken(Spot::Cell(i, Column::ResistanceAccuracy), read)?)
            }
            None => self.meter,
        };
        let line = row.line;
        Some(Reading { row: i + 1, line, value: value?, resistance: resistance?, value_accuracy, meter })
    }

    fn value(&mut self, i: usize, row: &Row, unit: &Unit) -> Option<f64> {
        let spot = Spot::Cell(i, Column::Value);
        let text = row.value.as_str();
        let value = self.taken(spot, unit.value(text))?;
        if let Some(scale) = Scale::of(unit.name())
            && scale.kelvin(value) <= 0.0
        {
            self.mistake(
                spot,
                format!("{} (below absolute zero)", quoted(text)),
                "a temperature that exists",
            );
            return None;
        }
        if let Some(own) = Unit::behind_number(text).filter(|own| !is_same(own.name(), unit.name())) {
            self.remarks.push(format!(
                "row {}: {} is {}, since the column is in {} (a value in {} among others)",
                i + 1,
                quoted(text),
                shown(value, unit.name()),
                unit.name(),
                own.name(),
            ));
        }
        Some(value)
    }

    fn resistance(&mut self, i: usize, row: &Row) -> Option<Ohms> {
        let spot = Spot::Cell(i, Column::Resistance);
        let said = [spot, Spot::Unit(Column::Resistance)];
        if self.mistakes.iter().any(|mistake| said.contains(&mistake.spot)) {
            return None;
        }
        let unit = self.sheet.resistance_unit.as_deref();
        let read = Ohms::parse(&with_unit(&row.resistance, unit));
        // What is odd about a number is said about the cell as it stands.
        let read = if read.is_err() { Ohms::parse(&row.resistance).and(read) } else { read };
        let resistance = self.taken(spot, read)?;
        if !(rule::RESISTANCE.holds)(resistance) {
            self.mistake(spot, quoted(&row.resistance), rule::RESISTANCE.expected);
            return None;
        }
        if let Some(unit) = unit.filter(|_| !is_bare(&row.resistance)) {
            let own = Unit::behind_number(&row.resistance);
            let own = own.as_ref().map_or("its own unit", Unit::name);
            if own != unit {
                let row = i + 1;
                self.remarks.push(format!(
                    "row {row} is taken in {own} as its cell says, though the head says {unit}"
                ));
            }
        }
        Some(resistance)
    }
}

fn accuracy_of(row: &Row, column: Column) -> Option<&String> {
    if column == Column::ValueAccuracy {
        row.value_accuracy.as_ref()
    } else {
        row.resistance_accuracy.as_ref()
    }
}

/// Whether two units are spellings of one.
fn is_same(a: &str, b: &str) -> bool {
    a == b || Scale::of(a).is_some_and(|scale| Scale::of(b) == Some(scale))
}

/// A distance on the scale of the values, not below 0.
fn distance(text: &str, unit: &Unit) -> Result<f64, ParseQuantityError> {
    let text = text.trim().trim_start_matches('±').trim_start();
    match unit.difference(text) {
        Ok(number) if number >= 0.0 => Ok(number),
        Ok(_) => Err(ParseQuantityError {
            found: quoted(text),
            expected: format!("a distance in {}, not below 0", unit.name()),
        }),
        Err(error) => Err(error),
    }
}
