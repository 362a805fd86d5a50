//! Readings as a table: comma, semicolon or tab between cells, `#` in front of comments, names in the first row.

use super::super::fault::{Fault, Faults};
use super::super::words::{counted, did_you_mean, one_of, quoted};
use super::Beside;
use super::accuracy::is_bare;
use super::cells;
use super::sheet::{Column, Mistake, Row, Sheet, Spot};
use crate::learn::Readings;

/// Mistakes that are listed one by one.
const LISTED: usize = 50;

/// Reads a table.
pub(super) fn read(bytes: &[u8], file: &str, beside: &Beside) -> Result<Readings, Faults> {
    let text = text_of(bytes, file)?;
    let table = Table { file, lines: text.split('\n').map(|line| line.trim_end_matches('\r')).collect() };
    let mut faults = Vec::new();
    let mut readings = None;
    if let Some((sheet, places)) = table.sheet(&mut faults) {
        match cells::check(&sheet, beside) {
            Ok(read) => readings = Some(read),
            Err(mistakes) => faults.extend(mistakes.into_iter().map(|m| table.fault_of(m, &sheet, &places))),
        }
    }
    match readings {
        Some(readings) if faults.is_empty() => Ok(readings),
        _ => Err(listed(faults, file)),
    }
}

/// The text, free of what no table holds.
fn text_of<'t>(bytes: &'t [u8], file: &str) -> Result<&'t str, Faults> {
    let valid = std::str::from_utf8(bytes).map_err(|error| error.valid_up_to());
    let (before, found) = match valid {
        Err(valid) => {
            let byte = bytes.get(valid).copied().unwrap_or_default();
            (&bytes[..valid], format!("a byte that is not UTF-8 (0x{byte:02X})"))
        }
        Ok(text) => {
            let text = text.strip_prefix('\u{feff}').unwrap_or(text);
            let odd = |c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t');
            let Some((at, c)) = text.char_indices().find(|(_, c)| odd(*c)) else { return Ok(text) };
            (&text.as_bytes()[..at], format!("the control character U+{:04X}", u32::from(c)))
        }
    };
    let before = String::from_utf8_lossy(before);
    let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
    let line = before.matches('\n').count() + 1;
    let fault = Fault::of_file(file, found, "a text file saved as UTF-8");
    Err(Fault { line: Some(line), column: Some(column), ..fault }.into())
}

/// As many as a person corrects at once, in the order of the lines.
fn listed(mut faults: Vec<Fault>, file: &str) -> Faults {
    faults.sort_by_key(|fault| (fault.line, fault.column));
    if faults.len() > LISTED {
        let more = counted(faults.len() - LISTED, "more mistake", "more mistakes");
        faults.truncate(LISTED);
        faults.push(Fault::of_file(file, more, "those above corrected first"));
    }
    Faults(faults)
}

/// A cell and the column of the text in which it starts, counted from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Cell {
    text: String,
    column: usize,
}

/// What the first row says.
struct Header {
    line: usize,
    between: char,
    columns: Vec<(Column, Option<String>, usize)>,
}

/// Where the cells stand: of the header, then of each row.
struct Places {
    header: Header,
    rows: Vec<(usize, Vec<usize>)>,
}

struct Table<'t> {
    file: &'t str,
    lines: Vec<&'t str>,
}

impl Table<'_> {
    fn fault(&self, line: usize, column: usize, key: &str, found: String, expected: String) -> Fault {
        Fault {
            line: Some(line),
            column: Some(column),
            key: key.to_owned(),
            source_line: self.lines.get(line - 1).map(|line| (*line).to_owned()),
            ..Fault::of_file(self.file, found, expected)
        }
    }

    /// All cells, or what keeps them from being told apart.
    fn sheet(&self, faults: &mut Vec<Fault>) -> Option<(Sheet, Places)> {
        let is_row = |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
        let mut rows = self.lines.iter().enumerate().filter(|(_, line)| is_row(line));
        let Some((at, first)) = rows.next() else {
            let expected = "a first row with the names `value °C;resistance Ω`, and rows below it";
            faults.push(Fault::of_file(self.file, "nothing but blanks and comments", expected));
            return None;
        };
        let header = self.header(at + 1, first, faults)?;
        let mut sheet = Sheet::default();
        for (column, unit, _) in &header.columns {
            unit_of(&mut sheet, *column).clone_from(unit);
        }
        let mut places = Places { header, rows: Vec::new() };
        for (at, line) in rows {
            if let Some((row, columns)) = self.row(at + 1, line, &places.header, faults) {
                sheet.rows.push(row);
                places.rows.push((at + 1, columns));
            }
        }
        faults.is_empty().then_some((sheet, places))
    }

    fn header(&self, line: usize, text: &str, faults: &mut Vec<Fault>) -> Option<Header> {
        let between = ['\t', ';', ','].into_iter().find(|c| text.contains(*c)).unwrap_or(',');
        let before = faults.len();
        let cells = self.cells(line, text, between, faults)?;
        let names = Column::ALL.map(Column::name);
        if cells.iter().all(|cell| cell.text.starts_with(|c: char| c.is_ascii_digit() || c == '-')) {
            let found = format!("{} in the first row", quoted(text));
            let expected =
                "the names of the columns above the readings, such as `value °C;resistance Ω`".to_owned();
            faults.push(self.fault(line, 1, "", found, expected));
            return None;
        }
        let mut columns: Vec<(Column, Option<String>, usize)> = Vec::new();
        for cell in &cells {
            let Some((column, unit)) = name_and_unit(&cell.text) else {
                let near = did_you_mean(&cell.text, &names);
                let expected = format!("one of the columns {}{near}", one_of(&names));
                faults.push(self.fault(line, cell.column, "", quoted(&cell.text), expected));
                continue;
            };
            if columns.iter().any(|(known, ..)| *known == column) {
                let found = format!("{} a second time", quoted(column.name()));
                faults.push(self.fault(line, cell.column, "", found, "each column once".to_owned()));
            }
            columns.push((column, unit, cell.column));
        }
        for needed in [Column::Value, Column::Resistance] {
            if faults.len() == before && !columns.iter().any(|(column, ..)| *column == needed) {
                let found = format!("no column `{}`", needed.name());
                faults.push(self.fault(line, 1, "", found, format!("the columns {}", one_of(&names[..2]))));
            }
        }
        (faults.len() == before).then_some(Header { line, between, columns })
    }

    fn row(
        &self,
        line: usize,
        text: &str,
        header: &Header,
        faults: &mut Vec<Fault>,
    ) -> Option<(Row, Vec<usize>)> {
        let cells = self.cells(line, text, header.between, faults)?;
        if cells.len() != header.columns.len() {
            let wanted = header.columns.len();
            let found =
                format!("{}, where the first row has {wanted}", counted(cells.len(), "cell", "cells"));
            let expected = match header.between {
                ',' if cells.len() > wanted => {
                    "a decimal point in every number, such as 20.5: a comma separates cells here".to_owned()
                }
                '\t' => "a tab between cells, as in the first row".to_owned(),
                c => format!("`{c}` between cells, as in the first row"),
            };
            faults.push(self.fault(line, 1, "", found, expected));
            return None;
        }
        let mut row = Row { line: Some(line), ..Row::default() };
        let mut columns = vec![1; Column::ALL.len()];
        for (cell, (column, ..)) in cells.into_iter().zip(&header.columns) {
            columns[*column as usize] = cell.column;
            match column {
                Column::Value => row.value = cell.text,
                Column::Resistance => row.resistance = cell.text,
                Column::ValueAccuracy => row.value_accuracy = Some(cell.text),
                Column::ResistanceAccuracy => row.resistance_accuracy = Some(cell.text),
            }
        }
        Some((row, columns))
    }

    /// Splits a line; cells may stand in double quotes.
    fn cells(&self, line: usize, text: &str, between: char, faults: &mut Vec<Fault>) -> Option<Vec<Cell>> {
        let mut cells = vec![Cell { text: String::new(), column: 1 }];
        let mut quote: Option<usize> = None;
        for (i, c) in text.chars().enumerate() {
            let last = cells.len() - 1;
            if c == '"' {
                quote = if quote.is_some() { None } else { Some(i + 1) };
            } else if c == between && quote.is_none() {
                cells.push(Cell { text: String::new(), column: i + 2 });
            } else if !(cells[last].text.is_empty() && c.is_whitespace()) {
                if cells[last].text.is_empty() {
                    cells[last].column = i + 1;
                }
                cells[last].text.push(c);
            }
        }
        if let Some(column) = quote {
            let found = "a quotation mark that is not closed on its line".to_owned();
            faults.push(self.fault(line, column, "", found, "quotation marks in pairs".to_owned()));
            return None;
        }
        for cell in &mut cells {
            cell.text.truncate(cell.text.trim_end().len());
        }
        Some(cells)
    }

    fn fault_of(&self, mistake: Mistake, sheet: &Sheet, places: &Places) -> Fault {
        let header = |column: Column| {
            let cell = places.header.columns.iter().find(|(known, ..)| *known == column);
            (places.header.line, cell.map_or(1, |(_, _, at)| *at), column.name().to_owned())
        };
        let row = |i: usize, column: Column| {
            places.rows.get(i).map_or((places.header.line, 1), |(line, at)| (*line, at[column as usize]))
        };
        let (line, column, key) = match mistake.spot {
            Spot::Flag(flag) => {
                let fault = Fault::of_file(self.file, mistake.found, mistake.expected);
                return Fault { file: None, key: flag.to_owned(), ..fault };
            }
            Spot::Unit(column) | Spot::ForAll(column) => header(column),
            Spot::Row(i) => {
                let (line, column) = row(i, Column::Value);
                (line, column, if sheet.rows.is_empty() { String::new() } else { format!("row {}", i + 1) })
            }
            Spot::Cell(i, column) => {
                let (line, at) = row(i, column);
                (line, at, format!("row {}, {}", i + 1, column.name()))
            }
        };
        self.fault(line, column, &key, mistake.found, mistake.expected)
    }
}

fn unit_of(sheet: &mut Sheet, column: Column) -> &mut Option<String> {
    match column {
        Column::Value => &mut sheet.value_unit,
        Column::Resistance => &mut sheet.resistance_unit,
        Column::ValueAccuracy => &mut sheet.value_accuracy_unit,
        Column::ResistanceAccuracy => &mut sheet.resistance_accuracy_unit,
    }
}

/// `value °C`, `Resistance [kΩ]`, `value_accuracy`: the name of a column and its unit.
fn name_and_unit(text: &str) -> Option<(Column, Option<String>)> {
    let plain = text.replace('_', " ");
    let lower = plain.to_lowercase();
    // Longer names first: `value` begins `value accuracy`, too.
    let column = Column::ALL.into_iter().rev().find(|column| lower.starts_with(column.name()))?;
    let rest = plain.get(column.name().len()..)?;
    let bracketed = |open, close| rest.trim().strip_prefix(open).and_then(|rest| rest.strip_suffix(close));
    let unit = match bracketed('[', ']').or(bracketed('(', ')')) {
        Some(unit) => unit.trim(),
        None if rest.is_empty() || rest.starts_with(' ') => rest.trim(),
        None => return None,
    };
    let is_unit = !unit.contains(' ') && !is_bare(unit);
    is_unit.then(|| (column, (!unit.is_empty()).then(|| unit.to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_may_carry_their_unit() {
        let unit = |text: &str| Some(text.to_owned());
        assert_eq!(name_and_unit("value °C"), Some((Column::Value, unit("°C"))));
        assert_eq!(name_and_unit("Resistance [kΩ]"), Some((Column::Resistance, unit("kΩ"))));
        assert_eq!(name_and_unit("value_accuracy (K)"), Some((Column::ValueAccuracy, unit("K"))));
        assert_eq!(name_and_unit("resistance accuracy"), Some((Column::ResistanceAccuracy, None)));
        assert_eq!(name_and_unit("temperature"), None);
        assert_eq!(name_and_unit("valued"), None);
        assert_eq!(name_and_unit("value of oil"), None);
    }
}
