//! A file of what was measured: a table with one board a line.
//!
//! The first column is `board`; every further one is headed by what was measured, `INPUT.PART` or `INPUT at VALUE`. An
//! empty cell was not measured. Nothing is skipped or repaired in silence.

use std::io::Read as _;
use std::path::Path;

use super::{Assembled, Batch, Column, Measured, What};
use crate::board::{Board, Choice, Input, InputId};
use crate::brief::words::{did_you_mean, one_of, quoted};
use crate::brief::{Fault, Faults, value_on_dial};
use crate::quantity::{Counts, Ohms, ParseQuantityError, Quantity};
use crate::table::{Cell, Table, listed};

/// The largest file.
const LARGEST: usize = 4 * 1024 * 1024;
/// The most boards of one batch.
const MOST_BOARDS: usize = 1000;

/// Reads what was measured of a batch.
///
/// # Errors
/// When the file cannot be read, or with everything that is wrong with it.
pub fn read_file(path: &Path, board: &Board) -> Result<Batch, Faults> {
    let file = path.display().to_string();
    let mut bytes = Vec::new();
    let read =
        std::fs::File::open(path).and_then(|opened| opened.take(LARGEST as u64 + 1).read_to_end(&mut bytes));
    match read {
        Ok(_) => read_text(&bytes, &file, board),
        Err(error) => {
            let found = match error.kind() {
                std::io::ErrorKind::NotFound => "that there is no such file".to_owned(),
                _ => format!("a file that cannot be read ({error})"),
            };
            Err(Fault::of_file(&file, found, "a table of what was measured").into())
        }
    }
}

/// Reads what was measured; `file` is the name of the file in messages.
///
/// # Errors
/// With everything that is wrong with the text.
pub fn read_text(bytes: &[u8], file: &str, board: &Board) -> Result<Batch, Faults> {
    if bytes.len() > LARGEST {
        return Err(Fault::of_file(file, "more than 4 MiB", "a table with one board a line").into());
    }
    let example = example(board);
    let table = Table::open(bytes, file, &example)?;
    let form = Form { table: &table, board, example: &example };
    let mut faults = Vec::new();
    let heads = form.heads(&mut faults);
    if heads.is_empty() {
        return Err(listed(faults, file));
    }
    let boards = form.boards(&heads, &mut faults);
    if !faults.is_empty() {
        return Err(listed(faults, file));
    }
    Ok(Batch { columns: heads.into_iter().flatten().collect(), boards })
}

/// A first row for this board.
fn example(board: &Board) -> String {
    let input = board.inputs.first();
    let name = input.map_or("INPUT", |input| input.name.as_str());
    let (first, _) = input.map_or((0.0, 0.0), Input::range);
    let part = input.and_then(|input| roles(input).next()).unwrap_or("PART");
    format!("board,{name}.{part},{name} at {first}")
}

/// The parts that are there.
fn roles(input: &Input) -> impl Iterator<Item = &'static str> {
    let parts = input.parts.iter().filter(|part| matches!(part.choice, Choice::Fixed(_)));
    parts.map(|part| part.role.key())
}

/// A table whose columns are about a board.
struct Form<'t> {
    table: &'t Table<'t>,
    board: &'t Board,
    example: &'t str,
}

/// What is wrong with a text: what was found and what would be right.
type Wrong = (String, String);

impl Form<'_> {
    /// What each column behind the first holds; `None`: remarks, or a head that is wrong.
    fn heads(&self, faults: &mut Vec<Fault>) -> Vec<Option<Column>> {
        let head = &self.table.head;
        if head.first().is_none_or(|cell| !cell.text.eq_ignore_ascii_case("board")) {
            let found = head.first().map_or_else(|| "nothing".to_owned(), |cell| quoted(&cell.text));
            let expected = format!("a first row that begins with `board`, such as `{}`", self.example);
            faults.push(self.table.fault(self.table.head_line(), 1, "", found, expected));
            return Vec::new();
        }
        let mut columns: Vec<Option<Column>> = Vec::new();
        for cell in &head[1..] {
            if cell.heads_remarks() {
                columns.push(None);
                continue;
            }
            let column = self.column(&cell.text).map_err(|(found, expected)| {
                faults.push(self.table.fault_at(cell, "", found, expected));
            });
            let column = column.ok();
            let known = |other: &Column| {
                column.as_ref().is_some_and(|column| (column.input, column.what) == (other.input, other.what))
            };
            if columns.iter().flatten().any(known) {
                let found = format!("{} a second time", quoted(&cell.text));
                faults.push(self.table.fault_at(cell, "", found, "each column once"));
            }
            columns.push(column);
        }
        if columns.is_empty() {
            let expected = format!("columns of what was measured behind it, such as `{}`", self.example);
            faults.push(self.table.fault(self.table.head_line(), 1, "", "nothing but boards", expected));
        }
        columns
    }

    fn column(&self, head: &str) -> Result<Column, Wrong> {
        let inputs = self.board.inputs.iter().enumerate();
        // A name may hold a dot or another name: the longest one that fits is meant.
        let fitting = inputs.filter_map(|(place, input)| {
            let rest = head.strip_prefix(input.name.as_str())?.trim_start();
            let is_split = rest.starts_with('.') || rest.starts_with("at ");
            is_split.then_some((place, input, rest))
        });
        let Some((place, input, rest)) = fitting.max_by_key(|(_, input, _)| input.name.len()) else {
            return Err(self.unknown(head));
        };
        let what = match rest.strip_prefix('.') {
            Some(part) => part_of(input, part.trim())?,
            None => value_of(input, rest.trim_start_matches("at").trim())?,
        };
        Ok(Column { input: InputId(place), what, head: head.to_owned() })
    }

    /// A head that names no input.
    fn unknown(&self, head: &str) -> Wrong {
        let names: Vec<&str> = self.board.inputs.iter().map(|input| input.name.as_str()).collect();
        let name =
            head.split_once(" at ").or_else(|| head.split_once('.')).map_or(head, |(name, _)| name).trim();
        let forms = "`INPUT.PART` or `INPUT at VALUE`";
        let expected =
            format!("{forms} with an input of the board: {}{}", one_of(&names), did_you_mean(name, &names));
        (quoted(head), expected)
    }

    fn boards(&self, heads: &[Option<Column>], faults: &mut Vec<Fault>) -> Vec<Assembled> {
        let mut boards: Vec<Assembled> = Vec::new();
        let mut any = false;
        for (line, cells) in self.table.rows() {
            any = true;
            if boards.len() == MOST_BOARDS {
                let found = format!("more than {MOST_BOARDS} boards");
                faults.push(self.table.fault(line, 1, "", found, "a batch of fewer in each file"));
                break;
            }
            match cells {
                Ok(cells) => boards.extend(self.assembled(heads, &cells, &boards, faults)),
                Err(wrong) => faults.extend(wrong.0),
            }
        }
        if !any {
            let line = self.table.head_line();
            faults.push(self.table.fault(line, 1, "", "no board below the first row", "one board a line"));
        }
        boards
    }

    fn assembled(
        &self,
        heads: &[Option<Column>],
        cells: &[Cell],
        before: &[Assembled],
        faults: &mut Vec<Fault>,
    ) -> Option<Assembled> {
        let (first, cells) = cells.split_first()?;
        if first.text.is_empty() {
            faults.push(self.table.fault_at(
                first,
                "board",
                "nothing",
                "the number or the name of the board",
            ));
        } else if before.iter().any(|board| board.name == first.text) {
            let found = format!("{} a second time", quoted(&first.text));
            faults.push(self.table.fault_at(first, "board", found, "each board once"));
        }
        let mut measured = Vec::new();
        for (column, cell) in heads.iter().zip(cells) {
            let Some(column) = column else { continue };
            if cell.text.is_empty() {
                measured.push(None);
                continue;
            }
            match self.measured(column, &cell.text) {
                Ok(value) => measured.push(Some(value)),
                Err((found, expected)) => {
                    measured.push(None);
                    faults.push(self.table.fault_at(cell, &column.head, found, expected));
                }
            }
        }
        if measured.iter().all(Option::is_none) && cells.iter().all(|cell| cell.text.is_empty()) {
            faults.push(self.table.fault_at(
                first,
                "board",
                "a board of which nothing was measured",
                "a value or more",
            ));
        }
        Some(Assembled { name: first.text.clone(), measured })
    }

    fn measured(&self, column: &Column, text: &str) -> Result<Measured, Wrong> {
        match column.what {
            What::Part(_) => {
                let ohms = Ohms::parse(text).map_err(refusal)?;
                let is_sane = ohms.0 >= 0.0 && ohms.0 <= 1e12;
                is_sane.then_some(Measured::Part(ohms)).ok_or_else(|| {
                    (
                        quoted(text),
                        "a resistance of 0 Ω or more, such as `299.4`, `299.4 Ω` or `4k7`".to_owned(),
                    )
                })
            }
            What::Count(_) => {
                let count = Counts::parse(text).map_err(refusal)?;
                let top = self.board.converter.highest_count();
                let is_sane = count >= Counts(0.0) && count <= top;
                is_sane.then_some(Measured::Count(count)).ok_or_else(|| {
                    let bits = self.board.converter.bits;
                    (quoted(text), format!("a count of the converter: 0 to {} with {bits} bits", top.0))
                })
            }
        }
    }
}

fn refusal(error: ParseQuantityError) -> Wrong {
    (error.found, error.expected)
}

fn part_of(input: &Input, part: &str) -> Result<What, Wrong> {
    let there: Vec<&str> = roles(input).collect();
    let found = input.parts.iter().find(|known| known.role.key() == part && there.contains(&part));
    found.map(|part| What::Part(part.role)).ok_or_else(|| {
        let near = did_you_mean(part, &there);
        (quoted(part), format!("a resistor that is on this input: {}{near}", one_of(&there)))
    })
}

fn value_of(input: &Input, text: &str) -> Result<What, Wrong> {
    value_on_dial(input, text).map(What::Count).map_err(refusal)
}
