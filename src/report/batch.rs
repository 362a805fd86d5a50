//! A batch of assembled boards as text.

use itertools::Itertools;

use super::page::{Flush, Page};
use super::text::phrase;
use super::words::{count_of, decimals, digits, percent, plain};
use crate::batch::{BatchAnswer, BoardRow, ColumnRow, MeasuredRow, Suspect};
use crate::quantity::{Amperes, Counts, Ohms, Volts};

use Flush::{Left, Right};

/// The answer as text in 80 columns.
pub fn batch_text(answer: &BatchAnswer) -> String {
    let batch = &answer.findings.batch;
    let mut page = Page::default();
    let boards = count_of(batch.boards as u64, "board", "boards");
    let title = match batch.outside {
        0 if batch.boards == 1 => "the board is inside its bench band".to_owned(),
        0 => format!("all {boards} are inside their bench band"),
        outside => format!("{outside} of {boards} outside the bench band"),
    };
    page.heading(&format!("{}: {title}", answer.board));
    page.paragraph("", &format!("The board as the brief describes it: {}.", phrase(answer.check, true)));
    names(&mut page, &answer.findings.boards);
    for board in answer.findings.boards.iter().filter(|board| is_outside(board)) {
        outside(&mut page, board);
    }
    summary(&mut page, answer);
    page.finish()
}

fn is_outside(board: &BoardRow) -> bool {
    board.verdict == "outside"
}

fn names(page: &mut Page, boards: &[BoardRow]) {
    for (word, wanted) in [("Outside", true), ("Inside", false)] {
        let names =
            boards.iter().filter(|board| is_outside(board) == wanted).map(|board| board.board.as_str());
        let names = names.collect::<Vec<_>>().join(", ");
        if !names.is_empty() {
            page.paragraph("", &format!("{word}: {names}."));
        }
    }
}

fn outside(page: &mut Page, board: &BoardRow) {
    page.heading(&format!("Board {}: outside", board.board));
    let columns = [("measured", Left), ("found", Right), ("on the bench", Right), ("outside by", Right)];
    let row = |row: &MeasuredRow| {
        let by = if row.inside { String::new() } else { signed(row.outside_by, row.unit) };
        vec![row.what.clone(), found(row.measured, row.unit), band(row.lowest, row.highest, row.unit), by]
    };
    page.table(&columns, board.measured.iter().map(row).collect());
    page.gap();
    suspects(page, &board.suspects);
}

/// The most likely first; then what explains as much. Each input that is out by itself has its own.
fn suspects(page: &mut Page, suspects: &[Suspect]) {
    if suspects.is_empty() {
        return page.paragraph("", "No single part, and nothing that all inputs share, explains more of these counts: measure them again, or look for \
             two faults at once.");
    }
    for suspect in suspects.iter().filter(|suspect| suspect.measured) {
        page.paragraph("", &format!("{} {}.", name(suspect), measured(suspect)));
    }
    let unmeasured = suspects.iter().filter(|suspect| !suspect.measured);
    let groups = unmeasured.chunk_by(|suspect| own_input(suspect, suspects));
    for (_, group) in &groups {
        let group: Vec<&Suspect> = group.collect();
        let Some((first, others)) = group.split_first() else { continue };
        page.paragraph("", &format!("Most likely: {}.", sentence(first)));
        for other in others {
            page.paragraph("- ", &format!("explains as many: {}", sentence(other)));
        }
    }
}

/// The input that a suspect is listed under: where something shared is listed beside it, all are one list.
fn own_input<'s>(suspect: &'s Suspect, all: &[Suspect]) -> Option<&'s str> {
    let is_shared = all.iter().any(|other| !other.measured && other.input.is_none());
    suspect.input.as_deref().filter(|_| !is_shared)
}

fn name(suspect: &Suspect) -> String {
    match &suspect.input {
        Some(input) => format!("{} of {input}", suspect.suspect),
        None => suspect.suspect.clone(),
    }
}

/// What a part that was measured explains.
fn measured(suspect: &Suspect) -> String {
    let value = format!("was measured to be out: {}{}", found(suspect.would_be, suspect.unit), off(suspect));
    match suspect.counts - suspect.explains {
        _ if suspect.counts == 0 => value,
        0 => format!("{value}; that explains what is out on its input"),
        left => format!("{value}; that leaves {} unexplained", count_of(left as u64, "count", "counts")),
    }
}

/// What a suspect would have to be, and what of the counts it explains.
fn sentence(suspect: &Suspect) -> String {
    let value = |x: f64| match suspect.unit {
        "counts" => format!("{} counts", decimals(x, 1)),
        unit => found(x, unit),
    };
    let (would_be, off) = (value(suspect.would_be), off(suspect));
    let value = match (suspect.lowest, suspect.highest) {
        (Some(lowest), Some(highest)) if value(lowest) == value(highest) => format!("{would_be}{off}"),
        (Some(lowest), Some(highest)) => {
            format!("{would_be}{off}, from {} to {}", value(lowest), value(highest))
        }
        (Some(_), None) => format!("{would_be} or more{off}"),
        (None, Some(_)) => format!("{would_be} or less{off}"),
        (None, None) => "anything".to_owned(),
    };
    let standard = match suspect.standard_ohm {
        Some(ohm) => format!(" ({:#} fitted by mistake?)", Ohms(ohm)),
        None => String::new(),
    };
    let explains = if suspect.explains == suspect.counts {
        "explains every count".to_owned()
    } else {
        format!("explains {} of {} counts", suspect.explains, suspect.counts)
    };
    let off_by = if suspect.unit.is_empty() { "off by " } else { "" };
    format!("{} would have to be {off_by}{value}{standard}; {explains}", name(suspect))
}

fn off(suspect: &Suspect) -> String {
    match suspect.off_by {
        Some(_) if suspect.unit.is_empty() => String::new(),
        Some(share) => format!(" ({})", signed_percent(share)),
        None => String::new(),
    }
}

fn signed_percent(share: f64) -> String {
    let sign = if share > 0.0 { "+" } else { "" };
    format!("{sign}{}", percent(share))
}

/// A value with its unit; a share as percent.
fn found(value: f64, unit: &str) -> String {
    match unit {
        "Ω" => Ohms(value).to_string(),
        "V" => Volts(value).to_string(),
        "A" => Amperes(value).to_string(),
        "" => signed_percent(value),
        "counts" => plain(value),
        _ => format!("{} {unit}", digits(value)),
    }
}

fn band(lowest: f64, highest: f64, unit: &str) -> String {
    format!("{}..{}", found(lowest, unit), found(highest, unit))
}

fn signed(value: f64, unit: &str) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    let value = if unit == "counts" { Counts(value).to_string() } else { found(value, unit) };
    format!("{sign}{value}")
}

fn summary(page: &mut Page, answer: &BatchAnswer) {
    let batch = &answer.findings.batch;
    page.heading("The batch");
    let columns = [
        ("measured", Left),
        ("inside", Right),
        ("nominal", Right),
        ("mean", Right),
        ("on the bench", Right),
        ("of the way", Right),
    ];
    let row = |row: &ColumnRow| {
        let number = |x: f64| if row.unit == "counts" { decimals(x, 1) } else { found(x, row.unit) };
        vec![
            row.what.clone(),
            format!("{}/{}", row.inside, row.boards),
            number(row.nominal),
            row.mean.map_or("-".to_owned(), number),
            band(row.lowest, row.highest, row.unit),
            row.position.map_or("-".to_owned(), signed_percent),
        ]
    };
    page.table(&columns, batch.columns.iter().map(row).collect());
    page.gap();
    page.paragraph("", "Of the way: how far the mean is from nominal towards the limit of one board.");
    page.items("- ", &batch.remarks);
}
