//! A file of readings: a table with commas, semicolons or tabs between its cells, `#` before remarks, a head row.
//!
//! One column of what is known (`resistance`, `voltage` or `expected`), one of what was read (`count` or `pin
//! voltage`), and if wanted how far the reading may be off (`count accuracy`, `pin accuracy`). A unit stands in the cell
//! or, in brackets, in the head. Nothing is skipped, sorted or repaired in silence.

use std::io::Read as _;
use std::path::Path;

use super::pairs::{Pair, Pairs, Reading};
use super::setup::Setup;
use crate::brief::words::{counted, did_you_mean, one_of, quoted};
use crate::brief::{Fault, Faults};
use crate::quantity::{Counts, Ohms, ParseQuantityError, Quantity, Volts};

/// The largest file.
const LARGEST: usize = 64 * 1024;
/// The most pairs.
const MOST_PAIRS: usize = 100;
/// The most mistakes that are told at once.
const MOST_FAULTS: usize = 20;

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
            let found = format!("a file that cannot be read ({error})");
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
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = String::from_utf8_lossy(&bytes[..error.valid_up_to()]).matches('\n').count() + 1;
        let fault = Fault::of_file(file, "a byte that is not UTF-8", "a file saved as UTF-8");
        Fault { line: Some(line), ..fault }
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut lines = lines(text);
    let Some(first) = lines.next() else {
        return Err(Fault::of_file(file, "no row", "a head row such as `resistance, count`").into());
    };
    let head = Head::read(first, file)?;
    let table = Table { head: &head, file, setup };
    table.pairs(lines)
}

/// A line with its number.
#[derive(Clone, Copy)]
struct Line<'t> {
    number: usize,
    text: &'t str,
}

/// Lines that are neither empty nor remarks.
fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let numbered = (1..).zip(text.lines()).map(|(number, text)| Line { number, text });
    numbered.filter(|line| {
        let text = line.text.trim();
        !text.is_empty() && !text.starts_with('#')
    })
}

impl<'t> Line<'t> {
    /// Cells without blanks and quotes around them, each with the column of its first character.
    fn cells(self, between: char) -> Vec<Cell<'t>> {
        let mut column = 1;
        let mut cells = Vec::new();
        for raw in self.text.split(between) {
            let blanks = raw.chars().count() - raw.trim_start().chars().count();
            let text = raw.trim();
            let bare = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')).unwrap_or(text);
            cells.push(Cell { text: bare.trim(), line: self, column: column + blanks });
            column += raw.chars().count() + 1;
        }
        cells
    }
}

/// One cell with its place.
#[derive(Clone, Copy)]
struct Cell<'t> {
    text: &'t str,
    line: Line<'t>,
    column: usize,
}

impl Cell<'_> {
    fn fault(self, file: &str, key: &str, found: impl Into<String>, expected: impl Into<String>) -> Faults {
        let fault = Fault {
            line: Some(self.line.number),
            column: Some(self.column),
            key: key.to_owned(),
            source_line: Some(self.line.text.to_owned()),
            ..Fault::of_file(file, found, expected)
        };
        fault.into()
    }
}

/// The head row.
struct Head {
    /// What stands between cells.
    between: char,
    /// The columns in their order.
    columns: Vec<Column>,
}

/// A column: its name, and the unit of its bare numbers.
struct Column {
    name: &'static str,
    unit: String,
}

impl Head {
    fn read(line: Line<'_>, file: &str) -> Result<Self, Faults> {
        let between = ['\t', ';'].into_iter().find(|c| line.text.contains(*c)).unwrap_or(',');
        let mut head = Self { between, columns: Vec::new() };
        let mut faults = Vec::new();
        for cell in line.cells(between) {
            match column(cell, file) {
                Ok(column) if head.place(column.name).is_some() => {
                    let found = format!("{} a second time", quoted(column.name));
                    faults.extend(cell.fault(file, column.name, found, "each column once").0);
                }
                Ok(column) => head.columns.push(column),
                Err(wrong) => faults.extend(wrong.0),
            }
        }
        if faults.is_empty() {
            faults.extend(head.missing(line, file));
        }
        if faults.is_empty() { Ok(head) } else { Err(Faults(faults)) }
    }

    fn place(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.name == name)
    }

    /// The only one of these columns that there is.
    fn one_of(&self, names: &[&'static str]) -> Option<&'static str> {
        let mut there = names.iter().filter(|name| self.place(name).is_some());
        let first = there.next()?;
        there.next().is_none().then_some(*first)
    }

    /// Exactly one column of either kind, and an accuracy only beside its reading.
    fn missing(&self, line: Line<'_>, file: &str) -> Vec<Fault> {
        let cell = Cell { text: line.text, line, column: 1 };
        let mut faults = Vec::new();
        for (what, names) in [("known", &KNOWN[..]), ("read", &READ[..])] {
            if self.one_of(names).is_none() {
                let any = names.iter().any(|name| self.place(name).is_some());
                let found = if any { "more than one column" } else { "no column" };
                let expected = format!("one column: {}", one_of(names));
                faults.extend(cell.fault(file, "", format!("{found} of what is {what}"), expected).0);
            }
        }
        for (accuracy, reading) in [("count accuracy", "count"), ("pin accuracy", "pin voltage")] {
            if self.place(accuracy).is_some() && self.place(reading).is_none() {
                let found = format!("{} alone", quoted(accuracy));
                faults.extend(cell.fault(file, accuracy, found, format!("it beside {}", quoted(reading))).0);
            }
        }
        if self.place("expected").is_some() && self.place("pin voltage").is_some() {
            let found = "`expected` beside `pin voltage`";
            faults.extend(cell.fault(file, "expected", found, "expected counts beside `count`").0);
        }
        faults
    }
}

/// `resistance (kΩ)` or `pin_voltage`.
fn column(cell: Cell<'_>, file: &str) -> Result<Column, Faults> {
    let (name, unit) = match cell.text.split_once(['(', '[']) {
        Some((name, unit)) => (name, unit.trim_end_matches([')', ']']).trim()),
        None => (cell.text, ""),
    };
    let name = name.trim().to_lowercase().replace('_', " ");
    if let Some(name) = COLUMNS.into_iter().find(|known| *known == name) {
        return Ok(Column { name, unit: unit.to_owned() });
    }
    let expected = format!("a head row with {}{}", one_of(&COLUMNS), did_you_mean(&name, &COLUMNS));
    let found = if name.is_empty() { "an empty head".to_owned() } else { quoted(cell.text) };
    Err(cell.fault(file, "", found, expected))
}

/// What rows are read with.
struct Table<'a> {
    head: &'a Head,
    file: &'a str,
    setup: &'a Setup,
}

impl Table<'_> {
    fn pairs<'t>(&self, lines: impl Iterator<Item = Line<'t>>) -> Result<Pairs, Faults> {
        match self.head.one_of(&KNOWN) {
            Some("resistance") => {
                let sane = |r: Ohms| r.0 <= 1e9;
                self.rows(lines, "resistance", sane, "a resistance from 0 Ω up to 1 GΩ")
                    .map(Pairs::Resistances)
            }
            Some("voltage") => {
                let sane = |v: Volts| v.0.abs() <= 1e4;
                self.rows(lines, "voltage", sane, "a voltage within ±10 kV").map(Pairs::Voltages)
            }
            _ => {
                let sane = |n: Counts| n.0 >= 0.0 && n <= self.setup.highest_count();
                self.rows(lines, "expected", sane, &self.counts()).map(Pairs::Expected)
            }
        }
    }

    /// The range of counts, in words.
    fn counts(&self) -> String {
        format!("counts from 0 to {} with {} bits (--bits)", self.setup.highest_count().0, self.setup.bits)
    }

    fn rows<'t, Q: Quantity>(
        &self,
        lines: impl Iterator<Item = Line<'t>>,
        name: &'static str,
        sane: impl Fn(Q) -> bool,
        expected: &str,
    ) -> Result<Vec<Pair<Q>>, Faults> {
        let mut pairs: Vec<Pair<Q>> = Vec::new();
        let mut faults = Vec::new();
        for line in lines {
            if pairs.len() == MOST_PAIRS || faults.len() >= MOST_FAULTS {
                let found = format!("more rows after line {}", line.number);
                let expected = format!("at most {MOST_PAIRS} rows, and the mistakes above corrected first");
                faults.push(Fault::of_file(self.file, found, expected));
                break;
            }
            match self.pair(line, name, &sane, expected, &pairs) {
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
        line: Line<'_>,
        name: &'static str,
        sane: &impl Fn(Q) -> bool,
        expected: &str,
        before: &[Pair<Q>],
    ) -> Result<Pair<Q>, Faults> {
        let cells = line.cells(self.head.between);
        let count = self.head.columns.len();
        if cells.len() != count {
            let whole = Cell { text: line.text, line, column: 1 };
            let comma = if self.head.between == ',' { "; a decimal comma also parts cells" } else { "" };
            let found = counted(cells.len(), "cell", "cells");
            let expected = format!("{} as in the head row{comma}", counted(count, "cell", "cells"));
            return Err(whole.fault(self.file, "", found, expected));
        }
        let known = self.quantity::<Q>(&cells, name, sane, expected);
        let read = self.reading(&cells);
        let (known, read) = match (known, read) {
            (Ok(known), Ok(read)) => (known, read),
            (known, read) => {
                let both = known.err().into_iter().chain(read.err());
                return Err(Faults(both.flat_map(|faults| faults.0).collect()));
            }
        };
        if let Some(first) = before.iter().find(|pair| pair.known == known) {
            let cell = self.cell(&cells, name).unwrap_or(Cell { text: line.text, line, column: 1 });
            let found = format!("{} a second time (first in line {})", quoted(cell.text), first.line);
            let expected = "each known value once, with the middle of its readings";
            return Err(cell.fault(self.file, name, found, expected));
        }
        Ok(Pair { line: line.number, known, read })
    }

    fn reading(&self, cells: &[Cell<'_>]) -> Result<Reading, Faults> {
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

    fn cell<'t>(&self, cells: &[Cell<'t>], name: &str) -> Option<Cell<'t>> {
        self.head.place(name).and_then(|place| cells.get(place)).copied()
    }

    /// A cell of a column that need not be there.
    fn optional<Q: Quantity>(
        &self,
        cells: &[Cell<'_>],
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
        cells: &[Cell<'_>],
        name: &'static str,
        sane: &impl Fn(Q) -> bool,
        expected: &str,
    ) -> Result<Q, Faults> {
        let Some((place, cell)) = self.head.place(name).and_then(|i| Some((i, cells.get(i)?))) else {
            return Err(Fault::of_file(self.file, "nothing", quoted(name)).into());
        };
        let unit = &self.head.columns[place].unit;
        match with_unit::<Q>(cell.text, unit) {
            Ok(value) if sane(value) => Ok(value),
            Ok(_) => Err(cell.fault(self.file, name, quoted(cell.text), expected)),
            Err(error) => Err(cell.fault(self.file, name, error.found, error.expected)),
        }
    }
}

/// A bare number is in the unit of the head.
fn with_unit<Q: Quantity>(text: &str, unit: &str) -> Result<Q, ParseQuantityError> {
    let is_bare = text.parse::<f64>().is_ok_and(f64::is_finite);
    if is_bare && !unit.is_empty() { Q::parse(&format!("{text} {unit}")) } else { Q::parse(text) }
}
