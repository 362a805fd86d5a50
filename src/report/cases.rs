//! States of wiring and supply.

use super::page::{Flush, Page};
use super::words::{counts, plain};
use crate::answer::{CaseRow, InputAnswer};
use crate::quantity::{Amperes, Watts};

use Flush::{Left, Right};

/// Every case with its counts and loads, normal use first.
pub(super) fn table(page: &mut Page, input: &InputAnswer) {
    if input.cases.is_empty() {
        return;
    }
    let columns = [
        ("case", Left),
        ("counts", Right),
        ("told apart", Left),
        ("pin current", Right),
        ("hottest part", Left),
    ];
    let normal = input.working_band.map(|band| {
        let texts = ["normal use".to_owned(), counts(band), String::new(), String::new(), String::new()];
        texts.to_vec()
    });
    let rows = normal.into_iter().chain(input.cases.iter().map(|case| case_row(case, input)));
    page.table(&columns, rows.collect());
}

fn case_row(row: &CaseRow, input: &InputAnswer) -> Vec<String> {
    let band = match row.count {
        Some(band) => counts(band),
        None if row.floating => "any: floats".to_owned(),
        None => "converter off".to_owned(),
    };
    vec![
        row.case.to_owned(),
        band,
        told_apart(row, input),
        Amperes(row.pin_current_a).to_string(),
        hottest(row),
    ]
}

/// Whether the firmware can tell the case from normal use, and by which count.
fn told_apart(row: &CaseRow, input: &InputAnswer) -> String {
    match (row.distinguishable, row.threshold, row.count, input.working_band) {
        (None, ..) if row.floating => "NO".to_owned(),
        (None, ..) => "-".to_owned(),
        (Some(false), ..) => "NO".to_owned(),
        (Some(true), Some(threshold), Some(case), Some(normal)) => {
            // Counts are whole numbers: above 747.5 and above 747 are the same.
            let is_below = case.highest < normal.lowest;
            let (side, count) =
                if is_below { ("below", threshold.ceil()) } else { ("above", threshold.floor()) };
            format!("yes, {side} {}", plain(count))
        }
        (Some(true), ..) => "yes".to_owned(),
    }
}

/// The part that has to bear most.
fn hottest(row: &CaseRow) -> String {
    let loads = row.parts.0.iter().filter(|(_, load)| load.dissipation_w > 0.0);
    let most = loads.max_by(|(_, a), (_, b)| a.dissipation_w.total_cmp(&b.dissipation_w));
    most.map_or_else(|| "-".to_owned(), |(role, load)| format!("{role} {}", Watts(load.dissipation_w)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{CountBand, Ordered, Verdict};

    fn input(lowest: f64, highest: f64) -> InputAnswer {
        InputAnswer {
            circuit: "pull-up",
            unit: "%".to_owned(),
            aim: "span",
            verdict: Verdict::Holds,
            parts: Ordered::default(),
            span: None,
            limits: Vec::new(),
            working_band: Some(CountBand { lowest, highest }),
            checkpoints: Vec::new(),
            cases: Vec::new(),
            alarms: Vec::new(),
            supply_current_board_off_a: None,
            remarks: Vec::new(),
            cautions: Vec::new(),
            search: None,
            runners_up: None,
        }
    }

    fn case(count: Option<(f64, f64)>, distinguishable: Option<bool>, threshold: Option<f64>) -> CaseRow {
        CaseRow {
            case: "wire open",
            count: count.map(|(lowest, highest)| CountBand { lowest, highest }),
            floating: false,
            distinguishable,
            gap_counts: None,
            threshold,
            pin_current_a: 0.0,
            survive: true,
            parts: Ordered::default(),
        }
    }

    #[test]
    fn a_case_is_told_apart_by_a_whole_count() {
        let normal = input(90.0, 472.0);
        let above = case(Some((1010.0, 1023.0)), Some(true), Some(741.5));
        assert_eq!(told_apart(&above, &normal), "yes, above 741");
        let below = case(Some((0.0, 9.0)), Some(true), Some(49.5));
        assert_eq!(told_apart(&below, &normal), "yes, below 50");
        assert_eq!(told_apart(&case(Some((80.0, 100.0)), Some(false), None), &normal), "NO");
        assert_eq!(told_apart(&case(None, None, None), &normal), "-");
    }

    #[test]
    fn a_floating_pin_and_a_converter_that_is_off_are_two_things() {
        let off = case_row(&case(None, None, None), &input(0.0, 1.0));
        assert_eq!(off[1], "converter off");
        let floats = CaseRow { floating: true, ..case(None, None, None) };
        assert_eq!(case_row(&floats, &input(0.0, 1.0))[1..3], ["any: floats".to_owned(), "NO".to_owned()]);
    }
}
