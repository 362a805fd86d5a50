//! What has to be bought: how many boards, and the file of it.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, value_parser};

use super::output::{Output, Purpose};
use crate::answer::{PurchaseAnswer, PurchasePart, PurchaseRow};
use crate::brief::Faults;
use crate::quantity::{Farads, Fraction, Ohms, PerKelvin, Volts, Watts};

/// More boards than anybody builds from one list.
const MOST: u64 = 1_000_000;

/// The first line of the file.
const HEAD: &str = "value,tolerance,tempco,ageing,size,rating,working voltage,dissipation,voltage,tracks,a board,pieces,\
                    to buy,price,short,stock,line,size there,used at";

/// What the file is written for.
const PURPOSE: Purpose = Purpose {
    input: "the brief",
    an_input: "a brief",
    content: "a purchase list",
    is_content: |text| text.lines().next() == Some(HEAD),
};

/// The flags.
pub(super) fn arguments() -> [Arg; 2] {
    [
        Arg::new("batch")
            .long("batch")
            .value_name("N")
            .default_value("1")
            .value_parser(value_parser!(u64).range(1..=MOST))
            .help("How many boards are built: for the pieces to buy"),
        Arg::new("purchase")
            .long("purchase")
            .value_name("FILE")
            .value_parser(value_parser!(PathBuf))
            .help("Write what has to be bought to this file, as a table"),
    ]
}

/// How many boards are built.
pub(super) fn batch(matches: &ArgMatches) -> u64 {
    matches.get_one::<u64>("batch").copied().unwrap_or(1)
}

/// The file, if one is asked for.
///
/// # Errors
/// When it is an input, another output, or anything else but an older list.
pub(super) fn prepared(
    matches: &ArgMatches,
    briefs: &[&Path],
    beside: &[Output],
) -> Result<Option<Output>, Faults> {
    let Some(path) = matches.get_one::<PathBuf>("purchase") else { return Ok(None) };
    let output = Output::prepare(path, briefs, &PURPOSE)?;
    output.differs_from(beside)?;
    Ok(Some(output))
}

/// Writes the list, and says so.
///
/// # Errors
/// When the file cannot be written.
pub(super) fn written(output: &Output, found: &PurchaseAnswer) -> Result<String, Faults> {
    output.write(&content(found))?;
    let without = match found.purchase_without.as_slice() {
        [] => String::new(),
        names => format!(", without the parts of {}, for which no choice exists", names.join(", ")),
    };
    let first = match found.purchase_first_variant_of.as_slice() {
        [] => String::new(),
        names => format!(", with the parts of variant 1 of {}", names.join(", ")),
    };
    Ok(format!("{}: purchase list written{without}{first}\n", output.name()))
}

/// The file in full (RFC 4180).
fn content(found: &PurchaseAnswer) -> String {
    let rows = found.purchase.iter().map(|row| {
        let cells: Vec<String> = cells(row).iter().map(|cell| quoted(cell)).collect();
        format!("{}\r\n", cells.join(","))
    });
    format!("{HEAD}\r\n{}", rows.collect::<String>())
}

fn cells(row: &PurchaseRow) -> Vec<String> {
    let nothing = String::new;
    let mut cells = match &row.part {
        PurchasePart::Resistor(part) => vec![
            format!("{:#}", Ohms(part.ohm)),
            format!("{:#}", Fraction(part.tolerance)),
            format!("{:#}", PerKelvin(part.tempco)),
            format!("{:#}", Fraction(part.ageing)),
            part.size.unwrap_or_default().to_owned(),
            format!("{:#}", Watts(part.rating_w)),
            format!("{:#}", Volts(part.working_voltage_v)),
            Watts(part.dissipation_w).to_string(),
            Volts(part.voltage_v).to_string(),
            part.tracks.clone().unwrap_or_default(),
        ],
        PurchasePart::Capacitor { farad, voltage_v } => {
            let mut cells = vec![nothing(); 10];
            cells[0] = format!("{:#}", Farads(*farad));
            cells[8] = Volts(*voltage_v).to_string();
            cells
        }
    };
    let reel = row.reel.as_ref();
    cells.extend([
        row.count.to_string(),
        row.pieces.to_string(),
        row.buy.to_string(),
        row.price.map_or_else(nothing, |price| price.to_string()),
        row.short.to_string(),
        reel.map_or_else(nothing, |reel| reel.file.clone()),
        reel.map_or_else(nothing, |reel| reel.line.to_string()),
        reel.and_then(|reel| reel.size).unwrap_or_default().to_owned(),
        row.used.join(", "),
    ]);
    cells
}

/// A cell in quotation marks where it needs them.
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\r', '\n', ';', '\t']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::PurchaseResistor;
    use crate::table::Table;

    fn row(used: &[&str], tracks: Option<&str>) -> PurchaseRow {
        PurchaseRow {
            part: PurchasePart::Resistor(PurchaseResistor {
                ohm: 4700.0,
                tolerance: 0.01,
                tempco: 1e-4,
                ageing: 0.0,
                size: Some("0805"),
                rating_w: 0.125,
                working_voltage_v: 150.0,
                dissipation_w: 0.0123,
                voltage_v: 4.5,
                tracks: tracks.map(str::to_owned),
                better_than_asked: Vec::new(),
            }),
            count: 2,
            used: used.iter().map(|used| (*used).to_owned()).collect(),
            pieces: 40,
            buy: 100,
            price: Some(0.8),
            short: 0,
            reel: None,
            missing_in: None,
        }
    }

    #[test]
    fn what_is_written_reads_back_as_a_table() {
        let capacitor = PurchaseRow {
            part: PurchasePart::Capacitor { farad: 1e-7, voltage_v: 5.6 },
            price: None,
            ..row(&["a capacitor"], None)
        };
        let odd = [row(&["oil \"low\" pull_up", "tank; left, aft top"], Some("a, b")), capacitor];
        let found = PurchaseAnswer {
            batch: 20,
            has_several_boards: false,
            purchase: odd.to_vec(),
            purchase_price: Some(0.8),
            purchase_without: Vec::new(),
            purchase_first_variant_of: Vec::new(),
        };
        let text = content(&found);
        assert!((PURPOSE.is_content)(&text) && text.ends_with("\r\n"));
        let table = Table::open(text.as_bytes(), "list.csv", "").unwrap_or_else(|faults| panic!("{faults}"));
        let head: Vec<&str> = table.head.iter().map(|cell| cell.text.as_str()).collect();
        assert_eq!(head.join(","), HEAD);
        for ((_, read), row) in table.rows().zip(&odd) {
            let read = read.unwrap_or_else(|faults| panic!("{faults}"));
            let read: Vec<String> = read.into_iter().map(|cell| cell.text).collect();
            assert_eq!(read, cells(row));
        }
        assert_eq!(table.rows().count(), 2);
    }

    #[test]
    fn only_cells_that_need_them_have_quotation_marks() {
        assert_eq!(quoted("10 kΩ"), "10 kΩ");
        assert_eq!(quoted("a, b"), "\"a, b\"");
        assert_eq!(quoted("the \"old\" one"), "\"the \"\"old\"\" one\"");
    }
}
