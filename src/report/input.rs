//! The section of one input.

use super::page::{Flush, Page};
use super::text::phrase;
use super::words::{
    count_of, counts, decimals, grouped, part_value, percent, places_for, plain, purpose, quantity, readings,
};
use crate::answer::{
    CaseRow, Checkpoint, InputAnswer, LimitRow, PartAnswer, ReadingBand, RunnerUp, Search, Verdict,
};
use crate::quantity::{Amperes, Fraction, Ohms, Volts, Watts};

use Flush::{Left, Right};

/// Everything about one input.
pub(super) fn section(page: &mut Page, name: &str, input: &InputAnswer) {
    let verdict = match input.verdict {
        Verdict::Holds => String::new(),
        verdict => format!(", {}", phrase(verdict)),
    };
    page.heading(&format!("{name}: {}{verdict}", input.circuit));
    if input.verdict == Verdict::Impossible {
        impossible(page, input);
    }
    parts(page, input);
    span(page, input);
    limits(page, input);
    checkpoints(page, input);
    cases(page, input);
    alarms(page, input);
    if let Some(current) = input.supply_current_board_off_a {
        page.gap();
        let drawn = Amperes(current);
        page.paragraph(
            "",
            &format!("With the board off this input draws {drawn} from the vehicle's supply."),
        );
    }
    if !input.remarks.is_empty() {
        page.gap();
        page.items("- ", &input.remarks);
    }
    runners_up(page, input);
}

fn parts(page: &mut Page, input: &InputAnswer) {
    let present = input.parts.0.iter().filter_map(|(role, part)| part.as_ref().map(|part| (role, part)));
    let rows: Vec<Vec<String>> = present.map(|(role, part)| part_row(input.circuit, role, part)).collect();
    if rows.is_empty() {
        return;
    }
    let columns =
        [("part", Left), ("value", Right), ("tolerance", Right), ("from", Left), ("what it does", Left)];
    page.table(&columns, rows);
    let absent = input.parts.0.iter().filter(|(_, part)| part.is_none()).map(|(role, _)| role.as_str());
    let absent: Vec<&str> = absent.collect();
    if !absent.is_empty() {
        page.gap();
        page.paragraph("", &format!("Left out: {}.", absent.join(", ")));
    }
}

fn part_row(circuit: &str, role: &str, part: &PartAnswer) -> Vec<String> {
    let (tolerance, from) = match part {
        PartAnswer::Resistor { tolerance, series, chosen, .. } => {
            let from = if *chosen { series.as_deref().unwrap_or("chosen") } else { "given" };
            (format!("±{}", Fraction(*tolerance)), from.to_owned())
        }
        PartAnswer::Capacitor { .. } => (String::new(), "given".to_owned()),
    };
    vec![role.to_owned(), part_value(part), tolerance, from, purpose(circuit, role).to_owned()]
}

fn span(page: &mut Page, input: &InputAnswer) {
    let Some(span) = input.span else { return };
    page.gap();
    let ends = match (input.checkpoints.first(), input.checkpoints.last()) {
        (Some(first), Some(last)) => {
            format!(" between {} and {}", value(first.value, &input.unit), value(last.value, &input.unit))
        }
        _ => String::new(),
    };
    let (assured, nominal) = (decimals(span.assured_counts, 1), decimals(span.nominal_counts, 1));
    page.paragraph(
        "",
        &format!("Span: {assured} counts assured in the worst case, {nominal} with nominal parts,{ends}."),
    );
    if let Some(search) = &input.search {
        page.paragraph("", &searched(search, input.aim));
    }
}

fn searched(search: &Search, aim: &str) -> String {
    let proof =
        if search.proof == "complete" { "proven" } else { "not proven, since the search was stopped" };
    let combinations = count_of(search.combinations, "combination", "combinations");
    format!("Best {aim} of {combinations}, {proof}; {} examined.", grouped(search.examined))
}

/// First what is limited, then what is only reported.
fn limits(page: &mut Page, input: &InputAnswer) {
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

fn named(limit: &str, of: Option<&str>) -> String {
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

fn value(value: f64, unit: &str) -> String {
    format!("{} {unit}", plain(value)).trim_end().to_owned()
}

fn checkpoints(page: &mut Page, input: &InputAnswer) {
    if input.checkpoints.is_empty() {
        return;
    }
    let source =
        if input.checkpoints.iter().any(|point| point.sender_ohm.is_some()) { "sender" } else { "source" };
    let columns = [
        ("value", Right),
        (source, Right),
        ("count", Right),
        ("in life", Right),
        ("reading", Right),
        ("in life", Right),
        ("on the bench", Left),
    ];
    let values = input.checkpoints.iter().map(|point| point.value);
    let highest = values.clone().fold(f64::NEG_INFINITY, f64::max);
    let places = places_for(highest - values.fold(f64::INFINITY, f64::min));
    page.table(
        &columns,
        input.checkpoints.iter().map(|point| checkpoint(point, &input.unit, places)).collect(),
    );
}

fn checkpoint(point: &Checkpoint, unit: &str, places: usize) -> Vec<String> {
    let ohms = point.sender_ohm.map(|ohm| Ohms(ohm).to_string());
    let volts = point.source_volt.map(|volt| Volts(volt).to_string());
    vec![
        value(point.value, unit),
        ohms.or(volts).unwrap_or_default(),
        decimals(point.count.nominal, 1),
        counts(point.count.life),
        decimals(point.reading.nominal, places),
        readings(point.reading.life, places),
        readings(point.reading.bench, places),
    ]
}

fn cases(page: &mut Page, input: &InputAnswer) {
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

fn alarms(page: &mut Page, input: &InputAnswer) {
    if input.alarms.is_empty() {
        return;
    }
    let columns = [("alarm", Left), ("set to", Right), ("from count", Right), ("comes between", Left)];
    let row = |alarm: &crate::answer::AlarmRow| {
        let ReadingBand { lowest, highest } = alarm.comes;
        let comes = format!("{} and {}", value(lowest, &input.unit), value(highest, &input.unit));
        vec![alarm.alarm.clone(), value(alarm.at, &input.unit), decimals(alarm.count, 0), comes]
    };
    page.table(&columns, input.alarms.iter().map(row).collect());
}

fn runners_up(page: &mut Page, input: &InputAnswer) {
    let Some(others) = input.runners_up.as_ref().filter(|others| !others.is_empty()) else { return };
    let columns = [("runners-up", Left), ("assured counts", Right), ("less by", Left)];
    let best = input.span.map(|span| span.assured_counts);
    let row = |other: &RunnerUp| {
        let less = best.filter(|best| *best > 0.0).map(|best| percent((best - other.assured_counts) / best));
        vec![values_of(other), decimals(other.assured_counts, 1), less.unwrap_or_default()]
    };
    page.table(&columns, others.iter().map(row).collect());
}

fn values_of(other: &RunnerUp) -> String {
    let value = |part: &Option<crate::answer::PartValue>| {
        part.map_or_else(|| "none".to_owned(), |value| format!("{:#}", Ohms(value.ohm)))
    };
    let parts: Vec<String> =
        other.parts.0.iter().map(|(role, part)| format!("{role} {}", value(part))).collect();
    parts.join(", ")
}

/// Why there is no choice: which limit excludes how much.
fn impossible(page: &mut Page, input: &InputAnswer) {
    let Some(search) = &input.search else { return };
    let combinations = count_of(search.combinations, "combination of values", "combinations of values");
    page.gap();
    page.paragraph("", &format!("Of {combinations} none respects all limits."));
    if search.excluded.is_empty() {
        return;
    }
    let columns = [("excluded by", Left), ("case", Left), ("combinations", Left)];
    let rows = search.excluded.iter().map(|row| {
        let limit = named(row.limit, row.part);
        vec![limit, row.case.to_owned(), grouped(row.combinations)]
    });
    page.table(&columns, rows.collect());
    page.gap();
    page.paragraph(
        "",
        "Each combination counts at the first limit that excludes it. What may help: a wider choice of values \
         (series, between), parts that stand more (size, rating), further parts to choose, or a limit that is wider \
         than it has to be.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{CountBand, Ordered};

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
