//! Where alarms come and go.

use super::input::places_of;
use super::page::{Flush, Page};
use super::words::{decimals, value};
use crate::answer::{AlarmBand, AlarmRow, InputAnswer};

use Flush::{Left, Right};

/// One row an alarm; where the count decides, the counts at which it comes and goes stand beside its threshold.
pub(super) fn table(page: &mut Page, input: &InputAnswer) {
    if input.alarms.is_empty() {
        return;
    }
    let columns = [
        ("alarm", Left),
        ("set to", Right),
        ("on, off count", Right),
        ("comes at", Left),
        ("goes at", Left),
        ("verdict", Left),
    ];
    let places = places_of(input);
    let row = |alarm: &AlarmRow| {
        let count = |count: Option<f64>| count.map_or("-".to_owned(), |count| decimals(count, 0));
        let verdict = match alarm.holds {
            Some(true) => "holds",
            Some(false) => "FAILS",
            None => "not judged",
        };
        vec![
            alarm.alarm.clone(),
            value(alarm.at, &input.unit),
            format!("{}, {}", count(alarm.count), count(alarm.goes_count)),
            band(alarm.comes, places, &input.unit),
            band(alarm.goes, places, &input.unit),
            verdict.to_owned(),
        ]
    };
    page.table(&columns, input.alarms.iter().map(row).collect());
}

/// A band; on some board it may have no such end.
fn band(band: Option<AlarmBand>, places: usize, unit: &str) -> String {
    let end = |end: Option<f64>| end.map_or("never".to_owned(), |end| decimals(end, places));
    band.map_or("-".to_owned(), |band| format!("{}..{} {unit}", end(band.lowest), end(band.highest)))
}

/// One sentence for each reason why an alarm fails.
pub(super) fn failures(name: &str, input: &InputAnswer) -> Vec<String> {
    let of = |row: &AlarmRow| {
        let sentence = |why: &String| format!("FAILS: {name}: alarm {} {why}.", row.alarm);
        row.fails.iter().map(sentence).collect::<Vec<_>>()
    };
    input.alarms.iter().flat_map(of).collect()
}
