//! A file of readings: a table with commas, semicolons or tabs between its cells, `#` before remarks, a head row.
//!
//! One column of what is known (`resistance`, `voltage` or `expected`), one of what was read (`count` or `pin
//! voltage`), and if wanted how far the reading may be off (`count accuracy`, `pin accuracy`). A unit stands in the cell
//! or, in brackets, in the head. Nothing is skipped, sorted or repaired in silence.

use std::io::Read as _;
use std::path::Path;

use super::pairs::{Pair, Pairs, Reading};
use super::setup::Setup;
use crate::brief::words::{did_you_mean, one_of, quoted};
use crate::brief::{Fault, Faults};
use crate::quantity::{Counts, Ohms, ParseQuantityError, Quantity, Volts};
use crate::table::{Cell, Table};

/// The largest file.
const LARGEST: usize = 64 * 1024;
/// The most pairs.
const MOST_PAIRS: usize = 100;
/// The most mistakes that are told at once.
const MOST_FAULTS: usize = 20;

/// A first row.
const EXAMPLE: &str = "resistance, count";

const KNOWN: [&str; 3] = ["resistance", "voltage", "expected"];
const READ: [&str; 2] = ["count", "pin voltage"];
const COLUMNS: [&str; 7] =
    ["resistance", "voltage", "expected", "count", "pin voltage", "count accuracy", "pin accuracy"];

/// Reads the pairs in a file.
///
/// # Errors
/// When the file cannot be read, or with everything that is wrong with it.
pub fn read_file(path: &Path, setup: &Setup) -> Result<Pairs, Faults> {
    let file = path.display().to_string();
    let mut bytes = Vec::new();
    let read =
        std::fs::File::open(path).and_then(|opened| opened.take(LARGEST as u64 + 1).read_to_end(&mut bytes));
    match read {
        Ok(_) => read_text(&bytes, &file, setup),
        Err(error) => {
            let found = match error.kind() {
                std::io::ErrorKind::NotFound => "that there is no such file".to_owned(),
                _ => format!("a file that cannot be read ({error})"),
            };
            Err(Fault::of_file(&file, found, "a table of readings").into())
        }
    }
}

/// Reads pairs; `file` is the name of the file in messages.
///
/// # Errors
/// With everything that is wrong with the text.
pub fn read_text(bytes: &[u8], file: &str, setup: &Setup) -> Result<Pairs, Faults> {
    if bytes.len() > LARGEST {
        return Err(Fault::of_file(file, "more than 64 KiB", "a table of some readings").into());
    }
    let table = Table::open(bytes, file, EXAMPLE)?;
    let head = Head::read(&table)?;
    let form = Form { head: &head, table: &table, file, setup };
    form.pairs()
}

/// The head row.
struct Head {
    /// The columns in their order; those for remarks are `None`.
    columns: Vec<Option<Column>>,
}

/// A column: its name, and the unit of its bare numbers.
struct Column {
    name: &'static str,
    unit: String,
}

impl Head {
    fn read(table: &Table<'_>) -> Result<Self, Faults> {
        let mut head = Self { columns: Vec::new() };
        let mut faults = Vec::new();
        for cell in &table.head {
            match column(cell) {
                _ if cell.heads_remarks() => head.columns.push(None),
                Ok(column) if head.place(column.name).is_some() => {
                    let found = format!("{} a second time", quoted(column.name));
                    faults.push(table.fault_at(cell, column.name, found, "each column once"));
                }
                Ok(column) => head.columns.push(Some(column)),
                Err((found, expected)) => faults.push(table.fault_at(cell, "", found, expected)),
            }
        }
        if faults.is_empty() {
            faults.extend(head.missing(table));
        }
        if faults.is_empty() { Ok(head) } else { Err(Faults(faults)) }
    }

    fn place(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.as_ref().is_some_and(|column| column.name == name))
    }

    /// The only one of these columns that there is.
    fn one_of(&self, names: &[&'static str]) -> Option<&'static str> {
        let mut there = names.iter().filter(|name| self.place(name).is_some());
        let first = there.next()?;
        there.next().is_none().then_some(*first)
    }

    /// Exactly one column of either kind, and an accuracy only beside its reading.
    fn missing(&self, table: &Table<'_>) -> Vec<Fault> {
        let fault = |key: &str, found: String, expected: String| {
            table.fault(table.head_line(), 1, key, found, expected)
        };
        let mut faults = Vec::new();
        for (what, names) in [("known", &KNOWN[..]), ("read", &READ[..])] {
            if self.one_of(names).is_none() {
                let any = names.iter().any(|name| self.place(name).is_some());
                let found = if any { "more than one column" } else { "no column" };
                let expected = format!("one column: {}, such as `{EXAMPLE}`", one_of(names));
                faults.push(fault("", format!("{found} of what is {what}"), expected));
            }
        }
        for (accuracy, reading) in [("count accuracy", "count"), ("pin accuracy", "pin voltage")] {
            if self.place(accuracy).is_some() && self.place(reading).is_none() {
                let found = format!("{} alone", quoted(accuracy));
                faults.push(fault(accuracy, found, format!("it beside {}", quoted(reading))));
            }
        }
        if self.place("expected").is_some() && self.place("pin voltage").is_some() {
            let found = "`expected` beside `pin voltage`".to_owned();
            faults.push(fault("expected", found, "expected counts beside `count`".to_owned()));
        }
        faults
    }
}

/// `resistance (kΩ)` or `pin_voltage`; or what was found, and what would be right.
fn column(cell: &Cell) -> Result<Column, (String, String)> {
    let (name, unit) = match cell.text.split_once(['(', '[']) {
        Some((name, unit)) => (name, unit.trim_end_matches([')', ']']).trim()),
        None => (cell.text.as_str(), ""),
    };
    let name = name.trim().to_lowercase().replace('_', " ");
    if let Some(name) = COLUMNS.into_iter().find(|known| *known == name) {
        return Ok(Column { name, unit: unit.to_owned() });
    }
    let near = did_you_mean(&name, &COLUMNS);
    let expected = format!("one of the columns {}, such as `{EXAMPLE}`{near}", one_of(&COLUMNS));
    let found = if name.is_empty() { "an empty head".to_owned() } else { quoted(&cell.text) };
    Err((found, expected))
}

/// What rows are read with.
struct Form<'a> {
    head: &'a Head,
    table: &'a Table<'a>,
    file: &'a str,
    setup: &'a Setup,
}

impl Form<'_> {
    fn pairs(&self) -> Result<Pairs, Faults> {
        match self.head.one_of(&KNOWN) {
            Some("resistance") => {
                let sane = |r: Ohms| r.0 <= 1e9;
                self.rows("resistance", sane, "a resistance from 0 Ω up to 1 GΩ").map(Pairs::Resistances)
            }
            Some("voltage") => {
                let sane = |v: Volts| v.0.abs() <= 1e4;
                self.rows("voltage", sane, "a voltage within ±10 kV").map(Pairs::Voltages)
            }
            _ => {
                let sane = |n: Counts| n.0 >= 0.0 && n <= self.setup.highest_count();
                self.rows("expected", sane, &self.counts()).map(Pairs::Expected)
            }
        }
    }

    /// The range of counts, in words.
    fn counts(&self) -> String {
        format!("counts from 0 to {} with {} bits (--bits)", self.setup.highest_count().0, self.setup.bits)
    }

    fn rows<Q: Quantity>(
        &self,
        name: &'static str,
        sane: impl Fn(Q) -> bool,
        expected: &str,
    ) -> Result<Vec<Pair<Q>>, Faults> {
        let mut pairs: Vec<Pair<Q>> = Vec::new();
        let mut faults = Vec::new();
        for (line, cells) in self.table.rows() {
            if pairs.len() == MOST_PAIRS || faults.len() >= MOST_FAULTS {
                let found = format!("more rows after line {line}");
                let expected = format!("at most {MOST_PAIRS} rows, and the mistakes above corrected first");
                faults.push(Fault::of_file(self.file, found, expected));
                break;
            }
            match cells.and_then(|cells| self.pair(line, &cells, name, &sane, expected, &pairs)) {
                Ok(pair) => pairs.push(pair),
                Err(fault) => faults.extend(fault.0),
            }
        }
        if faults.is_empty() && pairs.len() < 2 {
            let found = format!("{} of readings", if pairs.is_empty() { "no row" } else { "one row" });
            faults.push(Fault::of_file(self.file, found, "two rows or more"));
        }
        if faults.is_empty() { Ok(pairs) } else { Err(Faults(faults)) }
    }

    fn pair<Q: Quantity>(
        &self,
        line: usize,
        cells: &[Cell],
        name: &'static str,
        sane: &impl Fn(Q) -> bool,
        expected: &str,
        before: &[Pair<Q>],
    ) -> Result<Pair<Q>, Faults> {
        let known = self.quantity::<Q>(cells, name, sane, expected);
        let read = self.reading(cells);
        let (known, read) = match (known, read) {
            (Ok(known), Ok(read)) => (known, read),
            (known, read) => {
                let both = known.err().into_iter().chain(read.err());
                return Err(Faults(both.flat_map(|faults| faults.0).collect()));
            }
        };
        if let Some(first) = before.iter().find(|pair| pair.known == known) {
            let (text, column) =
                self.cell(cells, name).map_or(("", 1), |cell| (cell.text.as_str(), cell.column));
            let found = format!("{} a second time (first in line {})", quoted(text), first.line);
            let expected = "each known value once, with the middle of its readings";
            return Err(self.table.fault(line, column, name, found, expected).into());
        }
        Ok(Pair { line, known, read })
    }

    fn reading(&self, cells: &[Cell]) -> Result<Reading, Faults> {
        let highest = self.setup.highest_count();
        let volts = "a voltage within ±10 kV";
        if self.head.place("count").is_none() {
            let voltage = self.quantity(cells, "pin voltage", &|v: Volts| v.0.abs() <= 1e4, volts)?;
            let off = "an accuracy above 0 V, up to 10 kV";
            let accuracy = self.optional(cells, "pin accuracy", &|v: Volts| v.0 > 0.0 && v.0 <= 1e4, off)?;
            return Ok(Reading::Pin { voltage, accuracy });
        }
        let in_range = |n: Counts| n.0 >= 0.0 && n <= highest;
        let count = self.quantity(cells, "count", &in_range, &self.counts())?;
        let accuracy = self.optional(cells, "count accuracy", &in_range, &self.counts())?;
        Ok(Reading::Count { count, accuracy: accuracy.unwrap_or_default() })
    }

    fn cell<'c>(&self, cells: &'c [Cell], name: &str) -> Option<&'c Cell> {
        self.head.place(name).and_then(|place| cells.get(place))
    }

    /// A cell of a column that need not be there.
    fn optional<Q: Quantity>(
        &self,
        cells: &[Cell],
        name: &'static str,
        sane: &impl Fn(Q) -> bool,
        expected: &str,
    ) -> Result<Option<Q>, Faults> {
        if self.head.place(name).is_none() {
            return Ok(None);
        }
        self.quantity(cells, name, sane, expected).map(Some)
    }

    fn quantity<Q: Quantity>(
        &self,
        cells: &[Cell],
        name: &'static str,
        sane: &impl Fn(Q) -> bool,
        expected: &str,
    ) -> Result<Q, Faults> {
        let head = self.head.columns.iter().flatten().find(|column| column.name == name);
        let (Some(column), Some(cell)) = (head, self.cell(cells, name)) else {
            return Err(Fault::of_file(self.file, "nothing", quoted(name)).into());
        };
        let fault = |found: String, expected: String| self.table.fault_at(cell, name, found, expected).into();
        match with_unit::<Q>(&cell.text, &column.unit) {
            Ok(value) if sane(value) => Ok(value),
            Ok(_) => Err(fault(quoted(&cell.text), expected.to_owned())),
            Err(error) => Err(fault(error.found, error.expected)),
        }
    }
}

/// A bare number is in the unit of the head.
fn with_unit<Q: Quantity>(text: &str, unit: &str) -> Result<Q, ParseQuantityError> {
    let is_bare = text.parse::<f64>().is_ok_and(f64::is_finite);
    if is_bare && !unit.is_empty() { Q::parse(&format!("{text} {unit}")) } else { Q::parse(text) }
}
