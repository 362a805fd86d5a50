//! The table of a stock file: one reel a line.

use std::collections::BTreeMap;

use super::super::grades::{PRICE, price};
use super::super::rule::{self, Rule};
use super::super::words::{did_you_mean, one_of, quoted};
use crate::board::{Price, Reel, StockFile};
use crate::brief::{Fault, Faults};
use crate::quantity::Quantity;
use crate::size::SIZES;
use crate::table::{Cell, Table, listed};

/// More than any shelf has.
const MOST_ROWS: usize = 10_000;
/// The most pieces of a row: what is beyond is a slip.
const MOST_PIECES: u64 = 10_000_000;
/// A first row.
const EXAMPLE: &str = "value,price,quantity,pack";

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Value,
    Price,
    Quantity,
    Pack,
    Tolerance,
    Tempco,
    Size,
}

impl Column {
    const ALL: [Self; 7] =
        [Self::Value, Self::Price, Self::Quantity, Self::Pack, Self::Tolerance, Self::Tempco, Self::Size];

    const fn name(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Price => "price",
            Self::Quantity => "quantity",
            Self::Pack => "pack",
            Self::Tolerance => "tolerance",
            Self::Tempco => "tempco",
            Self::Size => "size",
        }
    }
}

/// Reads a table; `file` is its name in messages.
pub(super) fn read(bytes: &[u8], file: &str) -> Result<StockFile, Faults> {
    let table = Table::open(bytes, file, EXAMPLE)?;
    let columns = columns(&table).map_err(|faults| listed(faults, file))?;
    let mut form = Form { table: &table, columns, faults: Vec::new() };
    let reels = form.reels();
    form.tell_repeated(&reels);
    if form.faults.is_empty() {
        return Ok(StockFile { name: file.to_owned(), place: file.into(), reels });
    }
    Err(listed(form.faults, file))
}

/// The meaning of each column; none: it is for people.
fn columns(table: &Table<'_>) -> Result<Vec<Option<Column>>, Vec<Fault>> {
    if let Some(found) = table.without_names() {
        let expected = format!("the names of the columns above the rows, such as `{EXAMPLE}`");
        let found = format!("{found} in the first row");
        return Err(vec![table.fault(table.head_line(), 1, "", found, expected)]);
    }
    let (mut columns, mut faults): (Vec<Option<Column>>, Vec<Fault>) = (Vec::new(), Vec::new());
    for cell in &table.head {
        if cell.heads_remarks() {
            columns.push(None);
            continue;
        }
        let known = Column::ALL.into_iter().find(|column| column.name().eq_ignore_ascii_case(&cell.text));
        match known {
            None => {
                let names = Column::ALL.map(Column::name);
                let near = did_you_mean(&cell.text, &names);
                let expected = format!("one of the columns {}{near}", one_of(&names));
                faults.push(table.fault_at(cell, "", quoted(&cell.text), expected));
            }
            Some(column) if columns.contains(&known) => {
                let found = format!("{} a second time", quoted(column.name()));
                faults.push(table.fault_at(cell, "", found, "each column once"));
            }
            Some(_) => columns.push(known),
        }
    }
    if faults.is_empty() && !columns.contains(&Some(Column::Value)) {
        let expected = format!("a column with the resistances, such as `{EXAMPLE}`");
        faults.push(table.fault(table.head_line(), 1, "", "no column `value`", expected));
    }
    if faults.is_empty() { Ok(columns) } else { Err(faults) }
}

/// A table whose columns are known.
struct Form<'t> {
    table: &'t Table<'t>,
    columns: Vec<Option<Column>>,
    faults: Vec<Fault>,
}

impl Form<'_> {
    /// The rows without mistakes.
    fn reels(&mut self) -> Vec<Reel> {
        let mut reels = Vec::new();
        let mut rows = 0;
        for (line, cells) in self.table.rows() {
            rows += 1;
            if rows > MOST_ROWS {
                let found = format!("more than {MOST_ROWS} rows");
                self.faults.push(self.table.fault(line, 1, "", found, "fewer rows in each file"));
                break;
            }
            match cells {
                Ok(cells) => reels.extend(self.reel(line, &cells)),
                Err(wrong) => self.faults.extend(wrong.0),
            }
        }
        if rows == 0 {
            let line = self.table.head_line();
            self.faults.push(self.table.fault(line, 1, "", "no row below the first", "one reel a line"));
        }
        reels
    }

    fn reel(&mut self, line: usize, cells: &[Cell]) -> Option<Reel> {
        let before = self.faults.len();
        let ohms = self.filled(cells, Column::Value);
        if ohms.is_none() {
            let cell = self.cell(cells, Column::Value)?;
            self.wrong(cell, Column::Value, "nothing", "a resistance such as 4.7 kΩ");
        }
        let ohms = ohms.and_then(|cell| self.quantity(cell, Column::Value, &rule::RESISTANCE));
        let price = self.filled(cells, Column::Price).map(|cell| self.price(cell));
        let quantity = self.filled(cells, Column::Quantity).map(|cell| self.pieces(cell, Column::Quantity));
        let pack = self.filled(cells, Column::Pack).map(|cell| self.pieces(cell, Column::Pack));
        let tolerance = self.filled(cells, Column::Tolerance);
        let tolerance = tolerance.map(|cell| self.quantity(cell, Column::Tolerance, &rule::SHARE_BELOW_ONE));
        let tempco = self.filled(cells, Column::Tempco);
        let tempco = tempco.map(|cell| self.quantity(cell, Column::Tempco, &rule::TEMPCO));
        let size = self.filled(cells, Column::Size).map(|cell| self.size(cell));
        let (quantity, pack) = (quantity.flatten(), pack.flatten().unwrap_or(1));
        if let Some((cell, quantity)) = self.cell(cells, Column::Quantity).zip(quantity)
            && quantity < pack
        {
            let found = format!("{quantity} with a pack of {pack}");
            let expected = "a pack or more; of a pack that is open single pieces can be had (pack 1); leave out a row that is \
                            sold out";
            self.wrong(cell, Column::Quantity, found, expected);
        }
        let is_sound = self.faults.len() == before;
        let (price, tolerance, tempco, size) =
            (price.flatten(), tolerance.flatten(), tempco.flatten(), size.flatten());
        let reel = Reel { line, ohms: ohms?, price, quantity, pack, tolerance, tempco, size };
        is_sound.then_some(reel)
    }

    /// The cell of a column, if there is such a column.
    fn cell<'c>(&self, cells: &'c [Cell], column: Column) -> Option<&'c Cell> {
        let place = self.columns.iter().position(|known| *known == Some(column))?;
        cells.get(place)
    }

    /// The same, if something stands there.
    fn filled<'c>(&self, cells: &'c [Cell], column: Column) -> Option<&'c Cell> {
        self.cell(cells, column).filter(|cell| !cell.text.is_empty())
    }

    fn wrong(&mut self, cell: &Cell, column: Column, found: impl Into<String>, expected: impl Into<String>) {
        self.faults.push(self.table.fault_at(cell, column.name(), found, expected));
    }

    fn quantity<Q: Quantity>(&mut self, cell: &Cell, column: Column, rule: &Rule<Q>) -> Option<Q> {
        match Q::parse(&cell.text) {
            Ok(quantity) if (rule.holds)(quantity) => return Some(quantity),
            Ok(_) => self.wrong(cell, column, quoted(&cell.text), rule.expected),
            Err(error) => self.wrong(cell, column, error.found, error.expected),
        }
        None
    }

    fn price(&mut self, cell: &Cell) -> Option<Price> {
        let price = price(&cell.text).filter(|price| *price > Price(0));
        if price.is_none() {
            let expected = format!("the price of one piece, above 0: {PRICE}; or an empty cell");
            self.wrong(cell, Column::Price, quoted(&cell.text), expected);
        }
        price
    }

    fn pieces(&mut self, cell: &Cell, column: Column) -> Option<u64> {
        let is_plain = cell.text.bytes().all(|byte| byte.is_ascii_digit());
        let pieces = cell.text.parse().ok().filter(|pieces| is_plain && (1..=MOST_PIECES).contains(pieces));
        if pieces.is_none() {
            let empty = if column == Column::Quantity { "as many as needed" } else { "1" };
            let expected =
                format!("a whole number of pieces from 1 to {MOST_PIECES}; or an empty cell: {empty}");
            self.wrong(cell, column, quoted(&cell.text), expected);
        }
        pieces
    }

    fn size(&mut self, cell: &Cell) -> Option<crate::size::Size> {
        let size = SIZES.into_iter().find(|size| size.name == cell.text);
        if size.is_none() {
            let names = SIZES.map(|size| size.name);
            let expected = format!("a size: {}{}", one_of(&names), did_you_mean(&cell.text, &names));
            self.wrong(cell, Column::Size, quoted(&cell.text), expected);
        }
        size
    }

    /// Which of two rows of the same value and grade is meant, nobody knows.
    fn tell_repeated(&mut self, reels: &[Reel]) {
        let mut known = BTreeMap::new();
        for reel in reels {
            let tolerance = reel.tolerance.map(|tolerance| tolerance.0.to_bits());
            let tempco = reel.tempco.map(|tempco| tempco.0.to_bits());
            let grade = (reel.ohms.0.to_bits(), tolerance, tempco, reel.size.map(|size| size.name));
            let first = *known.entry(grade).or_insert(reel.line);
            if first != reel.line {
                let found = format!("{:#} in the grade of line {first} once more", reel.ohms);
                let expected = "each value once in each grade (tolerance, tempco, size)";
                self.faults.push(self.table.fault(reel.line, 1, "value", found, expected));
            }
        }
    }
}
