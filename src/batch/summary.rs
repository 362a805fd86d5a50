//! What all boards of a batch show together.

use super::answer::{BoardRow, ColumnRow, Summary, word};
use super::bench::Allowed;
use super::{Batch, Measured, What};

/// Boards from which on one side is no accident.
const ENOUGH: usize = 4;
/// How far towards a limit a mean has to be to be worth a word.
const FAR: f64 = 0.5;

pub(super) fn of(batch: &Batch, allowed: &[Allowed], boards: &[BoardRow]) -> Summary {
    let inside = boards.iter().filter(|row| row.verdict == word(true)).count();
    let columns: Vec<Side> = (0..batch.columns.len()).map(|place| column(batch, allowed, place)).collect();
    let mut remarks: Vec<String> = columns.iter().filter_map(Side::remark).collect();
    remarks.extend(blamed(boards));
    Summary {
        boards: boards.len(),
        inside,
        outside: boards.len() - inside,
        columns: columns.into_iter().map(|side| side.row).collect(),
        remarks,
    }
}

/// A column, and whether all its boards are on one side of nominal.
struct Side {
    row: ColumnRow,
    is_part: bool,
    is_lopsided: bool,
}

fn column(batch: &Batch, allowed: &[Allowed], place: usize) -> Side {
    let (column, allowed) = (&batch.columns[place], &allowed[place]);
    let measured: Vec<Measured> =
        batch.boards.iter().filter_map(|board| board.measured.get(place).copied().flatten()).collect();
    let (numbers, boards) = (measured.iter().map(|measured| measured.number()), measured.len());
    let mean = (boards > 0).then(|| numbers.clone().sum::<f64>() / boards as f64);
    let is_part = matches!(column.what, What::Part(_));
    let position = |x: f64| {
        let off = if is_part { x - allowed.nominal } else { truncated(x, allowed.nominal) };
        let room = if off < 0.0 {
            allowed.nominal - allowed.exact.lowest
        } else {
            allowed.exact.highest - allowed.nominal
        };
        if room > 0.0 { off / room } else { 0.0 }
    };
    let sides: Vec<f64> = numbers.map(position).collect();
    let is_lopsided = sides.iter().all(|side| *side > 0.0) || sides.iter().all(|side| *side < 0.0);
    let row = ColumnRow {
        what: column.head.clone(),
        boards,
        inside: measured.iter().filter(|measured| allowed.holds(**measured)).count(),
        nominal: allowed.nominal,
        mean,
        lowest: allowed.band.lowest,
        highest: allowed.band.highest,
        position: mean.map(position).filter(|position| position.is_finite()),
        unit: column.what.unit(),
    };
    Side { row, is_part, is_lopsided }
}

/// How far a count is off that stands for anything up to the next one.
fn truncated(count: f64, nominal: f64) -> f64 {
    if nominal < count { count - nominal } else { (count + 1.0 - nominal).min(0.0) }
}

impl Side {
    /// A batch that sits to one side.
    fn remark(&self) -> Option<String> {
        let ColumnRow { what, boards, position, .. } = &self.row;
        let position = (*position)?;
        if *boards < ENOUGH || !self.is_lopsided || position.abs() < FAR {
            return None;
        }
        let side = if position > 0.0 { "above" } else { "below" };
        let why = if self.is_part {
            "another reel than was meant?"
        } else {
            "a wrong reel, the reference or the bench itself?"
        };
        let share = (position.abs() * 100.0).round();
        Some(format!(
            "{what}: all {boards} boards are {side} nominal, their mean at {share} % of the way to the limit: {why}"
        ))
    }
}

/// A suspect that is the most likely one on several boards.
fn blamed(boards: &[BoardRow]) -> Vec<String> {
    let mut named: Vec<(String, usize)> = Vec::new();
    for first in boards.iter().filter_map(|row| row.suspects.first()) {
        let name = match &first.input {
            Some(input) => format!("{} of {input}", first.suspect),
            None => first.suspect.clone(),
        };
        match named.iter_mut().find(|(known, _)| *known == name) {
            Some((_, times)) => *times += 1,
            None => named.push((name, 1)),
        }
    }
    let outside = boards.iter().filter(|row| row.verdict == word(false)).count();
    let several = named.into_iter().filter(|(_, times)| *times > 1);
    several
        .map(|(name, times)| format!("{name} is the first suspect on {times} of {outside} boards outside"))
        .collect()
}
