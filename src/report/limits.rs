//! Limits with their worst cases.

use super::page::{Flush, Page};
use super::words::{percent, quantity, value};
use crate::answer::{InputAnswer, LimitRow};

use Flush::{Left, Right};

/// First what is limited, then what is only reported.
pub(super) fn table(page: &mut Page, input: &InputAnswer) {
    let (limited, reported): (Vec<&LimitRow>, Vec<&LimitRow>) =
        input.limits.iter().partition(|row| row.allowed.is_some());
    let place = |row: &LimitRow| place(row, &input.unit);
    if !limited.is_empty() {
        let columns =
            [("limit", Left), ("worst", Right), ("allowed", Right), ("margin", Right), ("worst where", Left)];
        let allowed = |row: &LimitRow| row.allowed.map(|value| quantity(value, row.unit)).unwrap_or_default();
        let rows = limited.iter().map(|row| {
            vec![subject(row), quantity(row.worst, row.unit), allowed(row), margin(row), place(row)]
        });
        page.table(&columns, rows.collect());
    }
    if !reported.is_empty() {
        let columns = [("reported, not limited", Left), ("worst", Right), ("worst where", Left)];
        let rows = reported.iter().map(|row| vec![subject(row), quantity(row.worst, row.unit), place(row)]);
        page.table(&columns, rows.collect());
    }
}

/// One sentence for each limit that does not hold.
pub(super) fn failures(name: &str, input: &InputAnswer) -> Vec<String> {
    let failing = input.limits.iter().filter(|row| !row.holds);
    let sentence = |row: &LimitRow| {
        let (worst, place) = (quantity(row.worst, row.unit), place(row, &input.unit));
        let allowed = row.allowed.map(|allowed| quantity(allowed, row.unit)).unwrap_or_default();
        format!("FAILS: {name}: {} is {worst} ({place}), allowed is {allowed}.", subject(row))
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

/// What is left, as a share of what is allowed where there is one.
fn margin(row: &LimitRow) -> String {
    match (row.allowed, row.margin) {
        _ if !row.holds => "FAILS".to_owned(),
        (Some(allowed), Some(margin)) if allowed != 0.0 => percent(margin / allowed.abs()),
        (Some(_), Some(margin)) => quantity(margin, row.unit),
        _ => String::new(),
    }
}

/// Where it is worst: normal use goes without saying.
fn place(row: &LimitRow, unit: &str) -> String {
    match (row.case, row.at) {
        ("normal", Some(at)) => format!("at {}", value(at, unit)),
        (case, Some(at)) => format!("{case}, at {}", value(at, unit)),
        (case, None) => case.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROW: LimitRow = LimitRow {
        limit: "sender_current",
        part: None,
        side: None,
        case: "normal",
        at: Some(100.0),
        worst: 0.015,
        allowed: Some(0.02),
        margin: Some(0.005),
        unit: "A",
        holds: true,
    };

    #[test]
    fn margins_are_shares_of_what_is_allowed_where_there_is_something() {
        assert_eq!(margin(&ROW), "25 %");
        assert_eq!(margin(&LimitRow { allowed: Some(0.0), ..ROW }), "5 mA");
        assert_eq!(margin(&LimitRow { holds: false, ..ROW }), "FAILS");
    }

    #[test]
    fn normal_use_goes_without_saying() {
        assert_eq!(place(&ROW, "%"), "at 100 %");
        assert_eq!(place(&LimitRow { case: "surge", ..ROW }, "%"), "surge, at 100 %");
        assert_eq!(place(&LimitRow { case: "surge", at: None, ..ROW }, "%"), "surge");
    }
}
