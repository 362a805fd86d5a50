//! Limits with their worst cases.

use super::page::{Flush, Page};
use super::words::{count_of, percent, quantity, rounded, value};
use crate::answer::{InputAnswer, LimitRow, Verdict};
use crate::limits::MOMENTARY;

use Flush::{Left, Right};

/// Limits that are on unless a brief switches them off.
const ON_BY_DEFAULT: [&str; 5] =
    ["converter_range", "pin_current", "dissipation", "part_voltage", "settling"];

/// The share of its bound below which what a part has to bear is not worth a row.
const NEGLIGIBLE: f64 = 0.01;

/// First what is limited, then what is only reported.
pub(super) fn table(page: &mut Page, input: &InputAnswer) {
    let (limited, reported): (Vec<&LimitRow>, Vec<&LimitRow>) =
        input.limits.iter().partition(|row| row.allowed.is_some());
    let place = |row: &LimitRow| place(row, &input.unit);
    let (small, shown): (Vec<&LimitRow>, Vec<&LimitRow>) =
        limited.into_iter().partition(|row| is_negligible(row));
    if !shown.is_empty() {
        let columns =
            [("limit", Left), ("worst", Right), ("allowed", Right), ("margin", Right), ("worst where", Left)];
        let rows = shown.iter().map(|row| {
            vec![subject(row), quantity(row.worst, &row.unit), allowed(row), margin(row), place(row)]
        });
        page.table(&columns, rows.collect());
    }
    if !small.is_empty() {
        let rows = count_of(small.len() as u64, "row", "rows");
        page.gap();
        page.paragraph(
            "",
            &format!("Not shown: {rows} of dissipation and part_voltage, below 1 % of their bound."),
        );
    }
    if !reported.is_empty() {
        let columns = [("reported, not limited", Left), ("worst", Right), ("worst where", Left)];
        let rows = reported.iter().map(|row| vec![subject(row), quantity(row.worst, &row.unit), place(row)]);
        page.table(&columns, rows.collect());
    }
}

/// Whether a part has to bear next to nothing of what it may.
fn is_negligible(row: &LimitRow) -> bool {
    let is_of_parts = matches!(row.limit, "dissipation" | "part_voltage");
    is_of_parts && row.holds && row.allowed.is_some_and(|allowed| row.worst < NEGLIGIBLE * allowed)
}

/// Whether any limit of an input is on; where nothing fits, one has spoken.
pub(super) fn is_judged(input: &InputAnswer) -> bool {
    input.verdict == Verdict::Impossible || input.limits.iter().any(|row| row.allowed.is_some())
}

/// Limits that are usually on but are off for an input.
pub(super) fn switched_off(input: &InputAnswer) -> Vec<&'static str> {
    let off = |limit: &&str| {
        let mut rows = input.limits.iter().filter(|row| row.limit == *limit).peekable();
        rows.peek().is_some() && rows.all(|row| row.allowed.is_none())
    };
    ON_BY_DEFAULT.into_iter().filter(off).collect()
}

/// What the verdict on an input does not cover.
pub(super) fn not_judged(name: &str, input: &InputAnswer) -> Option<String> {
    if !is_judged(input) {
        return Some(format!("NOT JUDGED: {name}: all its limits are off."));
    }
    let off = switched_off(input);
    (!off.is_empty()).then(|| format!("NOT JUDGED: {name}: {} (off).", off.join(", ")))
}

/// One sentence for each limit that does not hold.
pub(super) fn failures(name: &str, input: &InputAnswer) -> Vec<String> {
    let failing = input.limits.iter().filter(|row| !row.holds);
    let sentence = |row: &LimitRow| {
        let (worst, place) = (quantity(row.worst, &row.unit), place(row, &input.unit));
        let bound = row.allowed.map(|allowed| quantity(allowed, &row.unit)).unwrap_or_default();
        let bound = if is_at_least(row) { format!("at least {bound}") } else { bound };
        format!("FAILS: {name}: {} is {worst} ({place}), allowed is {bound}.", subject(row))
    };
    failing.map(sentence).collect()
}

/// The limit and what of it is looked at.
fn subject(row: &LimitRow) -> String {
    named(row.limit, row.part.or(row.side))
}

pub(super) fn named(limit: &str, of: Option<&str>) -> String {
    of.map_or_else(|| limit.to_owned(), |of| format!("{limit}, {of}"))
}

/// Whether a value has to stay at its bound or above.
fn is_at_least(row: &LimitRow) -> bool {
    match row.limit {
        "converter_range" => row.side.is_some_and(|side| side.ends_with("bottom")),
        limit => matches!(limit, "wetting_current" | "input_resistance" | "fault_gap" | "filter_time"),
    }
}

/// What is allowed: a bound that is no upper one says so.
fn allowed(row: &LimitRow) -> String {
    let bound = row.allowed.map(|value| quantity(value, &row.unit)).unwrap_or_default();
    if is_at_least(row) { format!("≥ {bound}") } else { bound }
}

/// What is left, as a share of what is allowed where there is one.
fn margin(row: &LimitRow) -> String {
    match (row.allowed, row.margin) {
        _ if !row.holds => "FAILS".to_owned(),
        (Some(allowed), Some(margin)) if allowed != 0.0 => percent(margin / allowed.abs()),
        (Some(_), Some(margin)) => quantity(margin, &row.unit),
        _ => String::new(),
    }
}

/// Where it is worst, and whether the part is judged by what it stands for a short while: normal use goes without saying.
fn place(row: &LimitRow, unit: &str) -> String {
    let case =
        if row.side == Some(MOMENTARY) { format!("{}, momentary", row.case) } else { row.case.to_owned() };
    match (case.as_str(), row.at) {
        ("normal", Some(at)) => format!("at {}", value(rounded(at), unit)),
        (case, Some(at)) => format!("{case}, at {}", value(rounded(at), unit)),
        (case, None) => case.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::borrow::Cow;

    const ROW: LimitRow = LimitRow {
        limit: "sender_current",
        part: None,
        side: None,
        case: "normal",
        at: Some(100.0),
        worst: 0.015,
        allowed: Some(0.02),
        margin: Some(0.005),
        unit: Cow::Borrowed("A"),
        holds: true,
        binds: None,
        without_it: None,
        larger_size: None,
    };

    #[test]
    fn margins_are_shares_of_what_is_allowed_where_there_is_something() {
        assert_eq!(margin(&ROW), "25 %");
        assert_eq!(margin(&LimitRow { allowed: Some(0.0), ..ROW }), "5 mA");
        assert_eq!(margin(&LimitRow { holds: false, ..ROW }), "FAILS");
    }

    #[test]
    fn a_lower_bound_says_that_it_is_one() {
        assert_eq!(allowed(&ROW), "20 mA");
        assert_eq!(allowed(&LimitRow { limit: "wetting_current", ..ROW }), "≥ 20 mA");
        let range = LimitRow { limit: "converter_range", unit: Cow::Borrowed("of the reference"), ..ROW };
        assert_eq!(allowed(&LimitRow { side: Some("usable bottom"), ..range.clone() }), "≥ 2.0 %");
        assert_eq!(allowed(&LimitRow { side: Some("top"), ..range }), "2.0 %");
    }

    #[test]
    fn only_what_parts_bear_is_too_little_for_a_row() {
        let row = |limit, worst| LimitRow { limit, worst, allowed: Some(1.0), ..ROW };
        assert!(is_negligible(&row("dissipation", 0.0099)));
        assert!(is_negligible(&row("part_voltage", 0.0)));
        assert!(!is_negligible(&row("dissipation", 0.01)));
        assert!(!is_negligible(&row("sender_current", 0.001)));
        assert!(!is_negligible(&LimitRow { allowed: None, ..row("dissipation", 0.001) }));
    }

    #[test]
    fn normal_use_goes_without_saying() {
        assert_eq!(place(&ROW, "%"), "at 100 %");
        assert_eq!(place(&LimitRow { case: "surge", ..ROW }, "%"), "surge, at 100 %");
        assert_eq!(place(&LimitRow { case: "surge", at: None, ..ROW }, "%"), "surge");
        let momentary = LimitRow { case: "surge", at: None, side: Some(MOMENTARY), ..ROW };
        assert_eq!(place(&momentary, "%"), "surge, momentary");
    }
}
