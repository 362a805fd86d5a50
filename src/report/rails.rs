//! What is fed back into the rails.

use itertools::Itertools;

use super::page::{Flush, Page};
use crate::answer::RailRow;
use crate::quantity::{Amperes, Volts};

use Flush::{Left, Right};

/// Every event that feeds something back, rail by rail.
pub(super) fn table(page: &mut Page, rows: &[RailRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("Fed back into the rails");
    let columns = [
        ("rail", Left),
        ("event", Left),
        ("fed back", Right),
        ("takes", Right),
        ("may rise to", Right),
        ("by", Left),
    ];
    page.table(&columns, rows.iter().map(row).collect());
}

fn row(row: &RailRow) -> Vec<String> {
    vec![
        row.rail.clone(),
        row.event.to_owned(),
        Amperes(row.fed_back_a).to_string(),
        Amperes(row.takes_a).to_string(),
        row.lifted_to_v.map_or_else(|| "-".to_owned(), |volts| Volts(volts).to_string()),
        row.by.iter().map(|fed| &fed.input).join(", "),
    ]
}

/// One sentence for each rail that is fed more than the limit allows.
pub(super) fn failures(rows: &[RailRow]) -> Vec<String> {
    let sentence = |row: &RailRow| {
        format!(
            "FAILS: rail {}: {} are fed back ({}), allowed is {}.",
            row.rail,
            Amperes(row.fed_back_a),
            row.event,
            Amperes(row.allowed_a.unwrap_or(row.takes_a)),
        )
    };
    rows.iter().filter(|row| !row.holds).map(sentence).collect()
}
