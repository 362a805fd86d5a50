//! Readings as a table.

use super::super::fault::{Fault, Faults};
use super::super::words::{did_you_mean, one_of, quoted};
use super::Beside;
use super::accuracy::is_bare;
use super::cells;
use super::sheet::{Column, Mistake, Row, Sheet, Spot};
use crate::learn::Readings;
use crate::table::{Cell, Table, listed};

/// A first row.
const EXAMPLE: &str = "temperature °C;resistance Ω";

/// Reads a table.
pub(super) fn read(bytes: &[u8], file: &str, beside: &Beside) -> Result<Readings, Faults> {
    let table = Table::open(bytes, file, EXAMPLE)?;
    let header = header(&table).map_err(|faults| listed(faults, file))?;
    let form = Form { table: &table, header };
    let mut faults = Vec::new();
    let (sheet, places) = form.sheet(&mut faults);
    let checked = if faults.is_empty() { cells::check(&sheet, beside) } else { Err(Vec::new()) };
    checked.map_err(|mistakes| {
        faults.extend(mistakes.into_iter().map(|mistake| form.fault_of(mistake, &sheet, &places)));
        listed(faults, file)
    })
}

/// What the first row says of a column; `None`: it holds remarks and is not read.
type Head = Option<(Column, Option<String>)>;

fn header(table: &Table<'_>) -> Result<Vec<Head>, Vec<Fault>> {
    if let Some(found) = table.without_names() {
        let expected = format!("the names of the columns above the readings, such as `{EXAMPLE}`");
        return Err(vec![table.fault(
            table.head_line(),
            1,
            "",
            format!("{found} in the first row"),
            expected,
        )]);
    }
    let mut faults = Vec::new();
    let mut heads: Vec<Head> = Vec::new();
    for cell in &table.head {
        match head(cell) {
            Err(expected) => faults.push(table.fault_at(cell, "", quoted(&cell.text), expected)),
            Ok(head) => {
                let of = |head: &Head| head.as_ref().map(|(column, _)| *column);
                if let Some(column) =
                    of(&head).filter(|column| heads.iter().any(|known| of(known) == Some(*column)))
                {
                    let found = format!("{} a second time", quoted(column.name()));
                    faults.push(table.fault_at(cell, "", found, "each column once"));
                }
                heads.push(head);
            }
        }
    }
    for needed in [Column::Value, Column::Resistance] {
        if faults.is_empty() && !heads.iter().flatten().any(|(column, _)| *column == needed) {
            let found = format!("no column `{}`", needed.name());
            let expected = format!("the columns value and resistance, such as `{EXAMPLE}`");
            faults.push(table.fault(table.head_line(), 1, "", found, expected));
        }
    }
    if faults.is_empty() { Ok(heads) } else { Err(faults) }
}

/// The column of a head, or what would be one.
fn head(cell: &Cell) -> Result<Head, String> {
    if cell.heads_remarks() {
        return Ok(None);
    }
    name_and_unit(&cell.text).map(Some).ok_or_else(|| {
        let names = Column::ALL.map(Column::name);
        let near = did_you_mean(&cell.text, &names);
        format!("one of the columns {}, such as `{EXAMPLE}`{near}", one_of(&names))
    })
}

/// Where the cells stand, row by row.
type Places = Vec<Vec<Cell>>;

/// A table whose columns are known.
struct Form<'t> {
    table: &'t Table<'t>,
    header: Vec<Head>,
}

impl Form<'_> {
    fn sheet(&self, faults: &mut Vec<Fault>) -> (Sheet, Places) {
        let mut sheet = Sheet::default();
        for (column, unit) in self.header.iter().flatten() {
            unit_of(&mut sheet, *column).clone_from(unit);
        }
        let mut places = Places::new();
        for (line, cells) in self.table.rows() {
            match cells {
                Ok(cells) => {
                    sheet.rows.push(self.row(line, &cells));
                    places.push(cells);
                }
                Err(wrong) => faults.extend(wrong.0),
            }
        }
        (sheet, places)
    }

    fn row(&self, line: usize, cells: &[Cell]) -> Row {
        let mut row = Row { line: Some(line), ..Row::default() };
        for (cell, head) in cells.iter().zip(&self.header) {
            let text = cell.text.clone();
            match head.as_ref().map(|(column, _)| *column) {
                Some(Column::Value) => row.value = text,
                Some(Column::Resistance) => row.resistance = text,
                Some(Column::ValueAccuracy) => row.value_accuracy = Some(text),
                Some(Column::ResistanceAccuracy) => row.resistance_accuracy = Some(text),
                None => {}
            }
        }
        row
    }

    fn fault_of(&self, mistake: Mistake, sheet: &Sheet, places: &Places) -> Fault {
        let at = |column: Column| {
            self.header.iter().position(|head| head.as_ref().is_some_and(|(known, _)| *known == column))
        };
        let place = |cells: &[Cell], column: Column| {
            at(column)
                .and_then(|i| cells.get(i))
                .map_or((self.table.head_line(), 1), |cell| (cell.line, cell.column))
        };
        let row = |i: usize, column: Column| place(places.get(i).unwrap_or(&self.table.head), column);
        let ((line, column), key) = match mistake.spot {
            Spot::Flag(flag) => {
                let fault = Fault::of_file("", mistake.found, mistake.expected);
                return Fault { file: None, key: flag.to_owned(), ..fault };
            }
            Spot::Unit(column) | Spot::ForAll(column) => {
                (place(&self.table.head, column), column.name().to_owned())
            }
            Spot::Row(i) => {
                let key = if sheet.rows.is_empty() { String::new() } else { format!("row {}", i + 1) };
                (row(i, Column::Value), key)
            }
            Spot::Cell(i, column) => (row(i, column), format!("row {}, {}", i + 1, column.name())),
        };
        self.table.fault(line, column, &key, mistake.found, mistake.expected)
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

/// Other names of the value.
const VALUES: [&str; 4] = ["temperature", "level", "pressure", "volume"];
/// Units that stand for a value without its name: they are units of nothing else.
const UNITS_OF_VALUE: [&str; 12] =
    ["°c", "°f", "degc", "degf", "bar", "mbar", "psi", "kpa", "mpa", "%", "l", "gal"];
/// Units that stand for the resistance.
const UNITS_OF_RESISTANCE: [&str; 7] = ["ω", "kω", "mω", "ohm", "ohms", "kohm", "mohm"];

/// `value °C`, `Temperature [°C]`, `value_accuracy`, `kΩ`: the name of a column and its unit.
fn name_and_unit(text: &str) -> Option<(Column, Option<String>)> {
    let plain = text.replace('_', " ");
    let lower = plain.to_lowercase();
    let bare = lower.trim_matches(['[', ']', '(', ')']).replace('\u{2126}', "ω");
    let unit = || Some(plain.trim_matches(['[', ']', '(', ')']).to_owned());
    if UNITS_OF_VALUE.contains(&bare.as_str()) {
        return Some((Column::Value, unit()));
    }
    // `mΩ` may be meant as thousandths, which no sender has, and `MΩ` is told by its capital.
    if UNITS_OF_RESISTANCE.contains(&bare.as_str()) && !plain.starts_with('m') {
        return Some((Column::Resistance, unit()));
    }
    let other_name = VALUES.into_iter().find_map(|name| Some((name, lower.strip_prefix(name)?)));
    if let Some((name, rest)) = other_name {
        let rest = plain.get(name.len()..).filter(|_| !rest.starts_with(char::is_alphanumeric))?;
        return name_and_unit(&format!("value{rest}"));
    }
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
        assert_eq!(name_and_unit("temperature"), Some((Column::Value, None)));
        assert_eq!(name_and_unit("Temperature_°C"), Some((Column::Value, unit("°C"))));
        assert_eq!(name_and_unit("pressure [bar]"), Some((Column::Value, unit("bar"))));
        assert_eq!(name_and_unit("level accuracy %"), Some((Column::ValueAccuracy, unit("%"))));
        for (head, column) in [
            ("°C", Column::Value),
            ("bar", Column::Value),
            ("%", Column::Value),
            ("Ω", Column::Resistance),
            ("kΩ", Column::Resistance),
            ("[ohm]", Column::Resistance),
        ] {
            let bare = head.trim_matches(['[', ']']);
            assert_eq!(name_and_unit(head), Some((column, unit(bare))), "{head}");
        }
        for odd in ["K", "V", "mΩ", "temperatures", "levelled"] {
            assert_eq!(name_and_unit(odd), None, "{odd}");
        }
        assert_eq!(name_and_unit("valued"), None);
        assert_eq!(name_and_unit("value of oil"), None);
    }
}
