//! Why it is this choice, in sentences.

use itertools::Itertools;

use super::limits::named;
use super::page::{Flush, Page};
use super::words::{decimals, digits, percent, quantity};
use crate::answer::{ConflictRow, InputAnswer, LimitRow, Ordered, PartAnswer, PartValue, RunnerUp, TradeRow};
use crate::quantity::{Amperes, Ohms};

use Flush::{Left, Right};

/// The share of what the choice is worth below which a gain is not worth a sentence.
const SMALL: f64 = 0.01;

/// What keeps a better choice away: a sentence for each limit that binds.
pub(super) fn binding(page: &mut Page, input: &InputAnswer) {
    let binding = input.limits.iter().filter(|row| row.binds == Some(true));
    let (small, large): (Vec<&LimitRow>, Vec<&LimitRow>) = binding.partition(|row| is_small(input, row));
    let sentences: Vec<String> = large.into_iter().map(|row| sentence(input, row)).unique().collect();
    if !sentences.is_empty() {
        page.gap();
        page.paragraph("", "What keeps a better choice away:");
        page.items("- ", &sentences);
    }
    if !small.is_empty() {
        let limits = small.into_iter().map(|row| limit_of(row.limit, row.part)).unique().join(" or ");
        page.gap();
        page.paragraph("", &format!("To lift {limits} would gain less than 1 %."));
    }
}

fn is_small(input: &InputAnswer, row: &LimitRow) -> bool {
    let gain = row.without_it.as_ref().and_then(|other| {
        let now = now(input).filter(|now| *now > 0.0)?;
        Some((aim_of(other) / now - 1.0).abs())
    });
    gain.is_some_and(|gain| gain < SMALL)
}

/// What the choice is worth by its aim.
fn now(input: &InputAnswer) -> Option<f64> {
    match input.aim {
        "resolution" => input.resolution.as_ref().map(|found| found.least_counts_per_unit),
        "error" => input.error.map(|found| found.greatest),
        "straight" => input.straight_line.and_then(|line| line.bend_per_unit),
        _ => input.span.map(|span| span.assured_counts),
    }
}

/// What another choice is worth by its aim.
fn aim_of(other: &RunnerUp) -> f64 {
    let own = other.least_counts_per_unit.or(other.greatest_error).or(other.bend_per_unit);
    own.unwrap_or(other.assured_counts)
}

fn limit_of(limit: &str, part: Option<&str>) -> String {
    named(limit, part).replace(", ", " of ")
}

fn sentence(input: &InputAnswer, row: &LimitRow) -> String {
    let limit = limit_of(row.limit, row.part);
    let is_range = row.limit == "converter_range";
    let bound = row.allowed.filter(|_| !is_range);
    let bound = bound.map(|allowed| format!(" ({})", quantity(allowed, &row.unit))).unwrap_or_default();
    let Some(other) = &row.without_it else {
        return format!("{limit}{bound}: how much it costs was not found with the effort allowed.");
    };
    let size = row.larger_size.map(|size| format!("; a {size} would do")).unwrap_or_default();
    let cut = if is_range { ", but some boards would cut off an end of the range" } else { "" };
    let (parts, worth) = (changed(input, &other.parts), worth(input, other));
    format!("{limit}{bound}: without it {parts} would give {worth}{size}{cut}.")
}

/// The parts that differ from the choice.
fn changed(input: &InputAnswer, parts: &Ordered<Option<PartValue>>) -> String {
    let chosen = |role: &str| {
        let part = input.parts.0.iter().find(|(other, _)| other == role);
        part.and_then(|(_, part)| part.as_ref())
    };
    let ohm = |role: &str| match chosen(role) {
        Some(PartAnswer::Resistor { ohm, .. }) => Some(*ohm),
        _ => None,
    };
    let differs = parts.0.iter().filter(|(role, part)| part.map(|part| part.ohm) != ohm(role));
    differs.map(|(role, part)| format!("{role} {}", value_of(*part))).join(" and ")
}

fn value_of(part: Option<PartValue>) -> String {
    part.map_or_else(|| "none".to_owned(), |part| format!("{:#}", Ohms(part.ohm)))
}

/// What a choice is worth, and what that is more or less than the choice made.
fn worth(input: &InputAnswer, other: &RunnerUp) -> String {
    let (unit, then) = (&input.unit, aim_of(other));
    let text = match input.aim {
        "resolution" => format!("{} counts per {unit}", digits(then)),
        "error" => format!("an error of {} {unit}", digits(then)),
        "straight" => format!("a bend of {} per {unit}", digits(then)),
        _ => format!("{} counts", decimals(then, 1)),
    };
    match now(input).filter(|now| *now > 0.0) {
        Some(now) => {
            let sign = if then >= now { "+" } else { "" };
            format!("{text} ({sign}{})", percent(then / now - 1.0))
        }
        None => text,
    }
}

/// The aim against the current through the sender.
pub(super) fn trade(page: &mut Page, input: &InputAnswer) {
    let Some(first) = input.trade.first() else { return };
    let head = match input.aim {
        "resolution" => "counts per unit",
        "error" => "greatest error",
        "straight" => "bend per unit",
        _ => "assured counts",
    };
    let columns = [(first.along, Right), (head, Right), ("sender current", Right), ("limits", Left)];
    page.table(&columns, input.trade.iter().map(|row| trade_row(row, input.aim)).collect());
    if input.trade.iter().any(|row| row.choice.parts.0.len() > 1) {
        page.gap();
        page.paragraph("", "The other parts are chosen best for each row.");
    }
}

fn trade_row(row: &TradeRow, aim: &str) -> Vec<String> {
    let own = row.choice.parts.0.iter().find(|(role, _)| role == row.along).and_then(|(_, part)| *part);
    let limits = match (row.holds, row.chosen) {
        (true, true) => "hold: the choice".to_owned(),
        (true, false) => "hold".to_owned(),
        (false, _) => format!("no: {}", row.fails.join(", ")),
    };
    let worth = aim_of(&row.choice);
    let worth = if aim == "span" { decimals(worth, 1) } else { digits(worth) };
    vec![value_of(own), worth, Amperes(row.sender_current_a).to_string(), limits]
}

/// The limits that exclude each other, each with what it would have to be.
pub(super) fn conflict(page: &mut Page, input: &InputAnswer) {
    let head = match input.conflict.as_slice() {
        [] => return,
        [_] => "One limit alone excludes every choice:",
        _ => "These limits exclude each other; without any one of them they would not:",
    };
    page.gap();
    page.paragraph("", head);
    let rows: Vec<String> = input.conflict.iter().map(demand).collect();
    page.items("- ", &rows);
}

fn demand(row: &ConflictRow) -> String {
    let unit = row.unit.as_deref().unwrap_or_default();
    let limit = limit_of(row.limit, row.part.filter(|_| row.least_ohm.is_none()));
    let allowed = row.allowed.map(|allowed| format!(" ({})", quantity(allowed, unit))).unwrap_or_default();
    let wants = match (row.part, row.least_ohm) {
        (Some(part), Some(ohm)) => format!(" wants {part} to be at least {};", Ohms(outward(row, ohm))),
        _ => ":".to_owned(),
    };
    let helps = match (row.possible_from, row.possible_without_it) {
        (Some(value), _) => format!("a choice exists from {}", quantity(outward(row, value), unit)),
        (None, Some(true)) => "a choice exists without it".to_owned(),
        (None, Some(false)) => "to change it alone is not enough".to_owned(),
        (None, None) => "what would be enough was not found with the effort allowed".to_owned(),
    };
    format!("{limit}{allowed}{wants} {helps}.")
}

/// Four digits that are wide enough: a limit rounded to the nearest may leave no choice.
fn outward(row: &ConflictRow, value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digit = 10_f64.powi(value.abs().log10().floor() as i32 - 3);
    let steps = value / digit;
    let is_lower_bound = matches!(row.limit, "wetting_current" | "input_resistance");
    // A round number with an error in its last binary digits stays as it is.
    let wide = if is_lower_bound { (steps + 1e-6).floor() } else { (steps - 1e-6).ceil() };
    wide * digit
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(limit: &'static str) -> ConflictRow {
        ConflictRow {
            limit,
            part: None,
            least_ohm: None,
            allowed: None,
            possible_without_it: Some(true),
            possible_from: None,
            unit: None,
        }
    }

    #[test]
    fn what_a_limit_would_have_to_be_is_never_rounded_to_the_wrong_side() {
        let upper = |value| outward(&row("pin_current"), value);
        assert!((upper(0.002_759_39) - 0.002_76).abs() < 1e-12);
        assert!((upper(27_801.4) - 27_810.0).abs() < 1e-6);
        assert!((upper(0.005 + 1e-18) - 0.005).abs() < 1e-12);
        let lower = outward(&row("wetting_current"), 0.002_759_39);
        assert!((lower - 0.002_759).abs() < 1e-12);
    }
}
