//! A table as people write it: comma, semicolon or tab between cells, `#` in front of comments, names in the first row.
//!
//! What the columns mean is not known here. Every cell keeps its place, so that a fault can point at it.

use crate::brief::words::{counted, quoted};
use crate::brief::{Fault, Faults};

/// Names of columns that are for the person who wrote them.
const REMARKS: [&str; 4] = ["note", "notes", "remark", "remarks"];

/// A cell with the place where it starts, both counted from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cell {
    /// Without blanks and quotes around it.
    pub(crate) text: String,
    pub(crate) line: usize,
    pub(crate) column: usize,
}

impl Cell {
    /// Whether the head names a column that is read by nobody.
    pub(crate) fn heads_remarks(&self) -> bool {
        REMARKS.contains(&self.text.to_lowercase().as_str())
    }
}

/// A text with a first row of names.
#[derive(Clone, Debug)]
pub(crate) struct Table<'t> {
    file: &'t str,
    lines: Vec<&'t str>,
    /// What stands between cells.
    between: char,
    /// The cells of the first row.
    pub(crate) head: Vec<Cell>,
}

impl<'t> Table<'t> {
    /// Opens a table; `example` shows a first row.
    pub(crate) fn open(bytes: &'t [u8], file: &'t str, example: &str) -> Result<Self, Faults> {
        let lines = text_of(bytes, file)?.split('\n').map(|line| line.trim_end_matches('\r')).collect();
        let mut table = Self { file, lines, between: ',', head: Vec::new() };
        let Some((line, text)) = table.filled().next() else {
            let expected =
                format!("a first row with the names of the columns, such as `{example}`, and rows below it");
            return Err(Fault::of_file(file, "no row but blanks and comments", expected).into());
        };
        table.between = ['\t', ';'].into_iter().find(|c| text.contains(*c)).unwrap_or(',');
        table.head = table.cells(line, text)?;
        Ok(table)
    }

    /// Lines with their numbers that are neither blank nor comments.
    fn filled(&self) -> impl Iterator<Item = (usize, &'t str)> {
        let is_filled = |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
        (1..).zip(self.lines.clone()).filter(move |(_, line)| is_filled(line))
    }

    /// The rows below the first, each with its line: as many cells as the first row has, or what is wrong.
    pub(crate) fn rows(&self) -> impl Iterator<Item = (usize, Result<Vec<Cell>, Faults>)> {
        self.filled().skip(1).map(|(line, text)| (line, self.row(line, text)))
    }

    fn row(&self, line: usize, text: &str) -> Result<Vec<Cell>, Faults> {
        let cells = self.cells(line, text)?;
        let wanted = self.head.len();
        if cells.len() == wanted {
            return Ok(cells);
        }
        let found = format!("{}, where the first row has {wanted}", counted(cells.len(), "cell", "cells"));
        let expected = match self.between {
            ',' if cells.len() > wanted => {
                "a decimal point in every number, such as 20.5: a comma separates cells here".to_owned()
            }
            '\t' => "a tab between cells, as in the first row".to_owned(),
            c => format!("`{c}` between cells, as in the first row"),
        };
        Err(self.fault(line, 1, "", found, expected).into())
    }

    /// Splits a line; cells may stand in double quotes, in which two of them stand for one.
    fn cells(&self, line: usize, text: &str) -> Result<Vec<Cell>, Faults> {
        let starting = |column: usize| Cell { text: String::new(), line, column };
        let (mut cells, mut cell) = (Vec::new(), starting(1));
        let mut quote: Option<usize> = None;
        let mut characters = (1..).zip(text.chars()).peekable();
        while let Some((column, c)) = characters.next() {
            if c == '"' && quote.is_some() && characters.next_if(|(_, next)| *next == '"').is_some() {
                cell.text.push('"');
            } else if c == '"' {
                quote = if quote.is_some() { None } else { Some(column) };
            } else if c == self.between && quote.is_none() {
                cells.push(std::mem::replace(&mut cell, starting(column + 1)));
            } else if !(cell.text.is_empty() && c.is_whitespace()) {
                if cell.text.is_empty() {
                    cell.column = column;
                }
                cell.text.push(c);
            }
        }
        if let Some(column) = quote {
            let found = "a quotation mark that is not closed on its line";
            return Err(self.fault(line, column, "", found, "quotation marks in pairs").into());
        }
        cells.push(cell);
        for cell in &mut cells {
            cell.text.truncate(cell.text.trim_end().len());
        }
        Ok(cells)
    }

    /// A fault at a place, with the line itself.
    pub(crate) fn fault(
        &self,
        line: usize,
        column: usize,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> Fault {
        Fault {
            line: Some(line),
            column: Some(column),
            key: key.to_owned(),
            source_line: self.lines.get(line.saturating_sub(1)).map(|line| (*line).to_owned()),
            ..Fault::of_file(self.file, found, expected)
        }
    }

    /// A fault of a cell.
    pub(crate) fn fault_at(
        &self,
        cell: &Cell,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> Fault {
        self.fault(cell.line, cell.column, key, found, expected)
    }

    /// The number of the first row's line.
    pub(crate) fn head_line(&self) -> usize {
        self.head.first().map_or(1, |cell| cell.line)
    }

    /// The first row if it holds numbers and no names.
    pub(crate) fn without_names(&self) -> Option<String> {
        let is_number = |cell: &Cell| cell.text.starts_with(|c: char| c.is_ascii_digit() || c == '-');
        let text = self.lines.get(self.head_line() - 1)?;
        self.head.iter().all(is_number).then(|| quoted(text))
    }
}

/// Mistakes that are listed one by one.
const LISTED: usize = 50;

/// As many mistakes as a person corrects at once, in the order of the lines.
pub(crate) fn listed(mut faults: Vec<Fault>, file: &str) -> Faults {
    faults.sort_by_key(|fault| (fault.line, fault.column));
    if faults.len() > LISTED {
        let more = counted(faults.len() - LISTED, "more mistake", "more mistakes");
        faults.truncate(LISTED);
        faults.push(Fault::of_file(file, more, "those above corrected first"));
    }
    Faults(faults)
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
