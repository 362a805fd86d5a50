//! The section of one input.

use itertools::Itertools;

use super::limits::named;
use super::page::{Flush, Page};
use super::text::{failing, is_proven, phrase};
use super::words::{
    count_of, counts, decimals, digits, grouped, part_value, percent, places_for, plain, purpose, readings,
    remedy, rounded, value,
};
use super::{alarms, calibration, cases, limits, reasons, senders, stack_up};
use crate::answer::{
    Assumed, Checkpoint, InputAnswer, PartAnswer, PartValue, Resolution, RunnerUp, Search, SoftFaultRow,
    StraightLine, VariantsRow, Verdict,
};
use crate::quantity::{Amperes, Fraction, Ohms, Volts};

use Flush::{Left, Right};

/// Everything about one input.
pub(super) fn section(
    page: &mut Page,
    name: &str,
    input: &InputAnswer,
    variants: &[&VariantsRow],
    assumed: &[Assumed],
) {
    let verdict = match input.verdict {
        Verdict::Holds if limits::is_judged(input) => String::new(),
        Verdict::Holds => ", nothing was judged".to_owned(),
        verdict => format!(", {}", failing(input).unwrap_or_else(|| phrase(verdict, is_proven(input)))),
    };
    page.heading(&format!("{name}: {}{verdict}", input.circuit));
    if input.senders.is_empty() {
        if input.verdict == Verdict::Impossible {
            impossible(page, input);
        }
        let silent = |role: &str| assumed.iter().find(|assumed| is_key(&assumed.key, name, role));
        parts(page, input, &silent);
    } else {
        senders::section(page, name, input, variants, assumed);
    }
    span(page, input);
    limits::table(page, input);
    reasons::binding(page, input);
    reasons::trade(page, input);
    checkpoints(page, input);
    calibration::section(page, input);
    stack_up::section(page, input);
    cases::table(page, input);
    soft_faults(page, input);
    alarms::table(page, input);
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
    if !input.advice.is_empty() {
        page.gap();
        page.paragraph("", "Advice:");
        page.items("- ", &input.advice);
    }
    runners_up(page, input);
}

/// Whether a full key is that of a part of this input.
pub(super) fn is_key(key: &str, name: &str, role: &str) -> bool {
    let rest = key.strip_prefix("inputs.").and_then(|rest| rest.strip_prefix(name));
    rest.and_then(|rest| rest.strip_prefix('.')) == Some(role)
}

/// The parts that are there. A part that is not there is named if somebody or the search has left it out; `silent`
/// finds the default of a part that nobody has named.
pub(super) fn parts<'a>(page: &mut Page, input: &InputAnswer, silent: &dyn Fn(&str) -> Option<&'a Assumed>) {
    let present = input.parts.0.iter().filter_map(|(role, part)| part.as_ref().map(|part| (role, part)));
    let rows: Vec<Vec<String>> =
        present.map(|(role, part)| part_row(input.circuit, role, part, silent(role).is_some())).collect();
    if rows.is_empty() {
        return;
    }
    let columns =
        [("part", Left), ("value", Right), ("tolerance", Right), ("from", Left), ("what it does", Left)];
    page.table(&columns, rows);
    page.items("", &tracking(input));
    let absent = input.parts.0.iter().filter(|(_, part)| part.is_none()).map(|(role, _)| role.as_str());
    let absent: Vec<&str> =
        absent.filter(|role| silent(role).is_none_or(|assumed| assumed.value != "none")).collect();
    if !absent.is_empty() {
        page.gap();
        page.paragraph("", &format!("Left out: {}.", absent.join(", ")));
    }
}

/// Which parts are off by one common factor.
fn tracking(input: &InputAnswer) -> Vec<String> {
    let group_of = |part: &Option<PartAnswer>| match part {
        Some(PartAnswer::Resistor { tracks: Some(group), .. }) => Some(group.clone()),
        _ => None,
    };
    let members = |group: &String| {
        let parts = input.parts.0.iter().filter(|(_, part)| group_of(part).as_ref() == Some(group));
        parts.map(|(role, _)| role.as_str()).collect::<Vec<_>>()
    };
    let groups: Vec<String> = input.parts.0.iter().filter_map(|(_, part)| group_of(part)).unique().collect();
    let line = |group: &String| match members(group).as_slice() {
        [alone] => format!("Of `{group}` only {alone} is on this input: it is off by itself."),
        parts => format!("{} track each other (`{group}`): they are off by one factor.", parts.join(", ")),
    };
    groups.iter().map(line).collect()
}

fn part_row(circuit: &str, role: &str, part: &PartAnswer, is_assumed: bool) -> Vec<String> {
    let (tolerance, from) = match part {
        PartAnswer::Resistor { tolerance, series, chosen, .. } => {
            let from = if *chosen { series.as_deref().unwrap_or("chosen") } else { "given" };
            (format!("±{}", Fraction(*tolerance)), from.to_owned())
        }
        PartAnswer::Capacitor { chosen, .. } => {
            let from = if *chosen { "chosen" } else { "given" };
            (String::new(), if is_assumed { "assumed" } else { from }.to_owned())
        }
    };
    vec![role.to_owned(), part_value(part), tolerance, from, purpose(circuit, role).to_owned()]
}

fn span(page: &mut Page, input: &InputAnswer) {
    let Some(span) = input.span else { return };
    page.gap();
    let (assured, nominal) = (decimals(span.assured_counts, 1), decimals(span.nominal_counts, 1));
    page.paragraph(
        "",
        &format!(
            "Span from end to end of the range: {assured} counts assured in the worst case, {nominal} with \
             nominal parts."
        ),
    );
    page.items("", &worth(input));
    if let Some(search) = &input.search {
        let sentence =
            if input.senders.is_empty() { searched(search, input.aim) } else { senders::searched(search) };
        page.paragraph("", &sentence);
    }
}

/// The share of the zone by which a straight line has to be off to be worth a word.
const SEEN: f64 = 5e-3;

/// How finely the converter sees the zone, and where it sees least.
fn resolution(found: &Resolution, unit: &str) -> String {
    let zone = format!("Resolution from {} to {}", plain(found.from), value(found.to, unit));
    let least = found.least_counts_per_unit;
    let alike = |counts: f64| (counts - least).abs() <= 1e-6 * least;
    let counts = digits(least);
    if alike(found.at_lowest) && alike(found.at_highest) {
        return format!("{zone}: {counts} counts per {unit} all along.");
    }
    let ends = [(found.from, found.at_lowest), (found.to, found.at_highest)];
    let others = ends.iter().filter(|(at, _)| *at != found.at);
    let others = others.map(|(at, counts)| format!("{} at {}", digits(*counts), value(*at, unit))).join(", ");
    format!("{zone}: at least {counts} counts per {unit}, at {} ({others}).", value(found.at, unit))
}

/// What the counts are worth in the unit of the dial.
fn worth(input: &InputAnswer) -> Vec<String> {
    let unit = &input.unit;
    let resolution = input.resolution.as_ref().map(|found| resolution(found, unit));
    let error = input.error.map(|error| {
        format!(
            "A reading there is off by at most {}, at {}, in the worst case.",
            value(rounded(error.greatest), unit),
            value(rounded(error.at), unit)
        )
    });
    let is_seen = |line: &StraightLine| {
        input.resolution.as_ref().is_some_and(|zone| line.off.abs() >= SEEN * (zone.to - zone.from))
    };
    let straight = input.straight_line.filter(is_seen).map(|line| {
        format!(
            "Read as a straight line from end to end of that, {} would show as {}.",
            value(rounded(line.at), unit),
            value(rounded(line.at + line.off), unit)
        )
    });
    [resolution, error, straight].into_iter().flatten().collect()
}

fn searched(search: &Search, aim: &str) -> String {
    let best = match aim {
        "error" => "Smallest error",
        "straight" => "Straightest",
        "resolution" => "Best resolution",
        _ => "Best span",
    };
    let proof =
        if search.proof == "complete" { "proven" } else { "not proven, since the search was stopped" };
    let combinations = count_of(search.combinations, "combination", "combinations");
    format!("{best} of {combinations}, {proof}; {} examined.", grouped(search.examined))
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
    let places = places_of(input);
    page.table(
        &columns,
        input.checkpoints.iter().map(|point| checkpoint(point, &input.unit, places)).collect(),
    );
}

/// How many decimals readings of this input are worth.
pub(super) fn places_of(input: &InputAnswer) -> usize {
    let values = input.checkpoints.iter().map(|point| point.value);
    let highest = values.clone().fold(f64::NEG_INFINITY, f64::max);
    places_for(highest - values.fold(f64::INFINITY, f64::min))
}

fn checkpoint(point: &Checkpoint, unit: &str, places: usize) -> Vec<String> {
    let ohms = point.sender_ohm.map(|ohm| Ohms(ohm).to_string());
    let volts = point.source_volt.map(|volt| Volts(volt).to_string());
    let amperes = point.source_ampere.map(|ampere| Amperes(ampere).to_string());
    let shown = point.reading.as_ref().map_or_else(
        || ["-"; 3].map(str::to_owned),
        |shown| {
            let nominal = decimals(shown.nominal, places);
            [nominal, readings(shown.life, places), readings(shown.bench, places)]
        },
    );
    let seen = [
        value(point.value, unit),
        ohms.or(volts).or(amperes).unwrap_or_default(),
        decimals(point.count.nominal, 1),
        counts(point.count.life),
    ];
    seen.into_iter().chain(shown).collect()
}

/// What a reading makes of faults that no count gives away, beside what it shows without; those that move nothing are
/// left out.
fn soft_faults(page: &mut Page, input: &InputAnswer) {
    let places = places_of(input);
    let shown = |readings: Vec<f64>| readings.into_iter().map(|reading| decimals(reading, places)).collect();
    let nominal = input.checkpoints.iter().filter_map(|point| Some(point.reading.as_ref()?.nominal));
    let sound: Vec<String> = shown(nominal.collect());
    let of = |row: &SoftFaultRow| shown(row.readings.iter().map(|reading| reading.reading).collect());
    let columns = input.soft_faults.iter().map(|row| (row.fault.as_str(), of(row)));
    let columns: Vec<(&str, Vec<String>)> = columns.filter(|(_, readings)| *readings != sound).collect();
    if columns.is_empty() {
        return;
    }
    let heads = ["value", "reading"].into_iter().chain(columns.iter().map(|(fault, _)| *fault));
    let heads: Vec<_> = heads.map(|head| (head, Right)).collect();
    let row = |(at, point): (usize, &Checkpoint)| {
        let own = [value(point.value, &input.unit), sound[at].clone()];
        own.into_iter().chain(columns.iter().filter_map(|(_, readings)| readings.get(at).cloned())).collect()
    };
    page.table(&heads, input.checkpoints.iter().enumerate().map(row).collect());
}

fn runners_up(page: &mut Page, input: &InputAnswer) {
    let Some(others) = input.runners_up.as_ref().filter(|others| !others.is_empty()) else { return };
    let (head, less) = match input.aim {
        "resolution" => ("counts per unit", "less by"),
        "error" => ("greatest error", "more by"),
        "straight" => ("bend per unit", "more by"),
        _ => ("assured counts", "less by"),
    };
    let best = match input.aim {
        "resolution" => input.resolution.as_ref().map(|found| found.least_counts_per_unit),
        "error" => input.error.map(|error| error.greatest),
        "straight" => input.straight_line.and_then(|line| line.bend_per_unit),
        _ => input.span.map(|span| span.assured_counts),
    };
    let row = |other: &RunnerUp| {
        let own = other
            .least_counts_per_unit
            .or(other.greatest_error)
            .or(other.bend_per_unit)
            .unwrap_or(other.assured_counts);
        let worse = best.map(|best| if less == "less by" { less_by(best, own) } else { more_by(best, own) });
        let shown = if input.aim == "span" { decimals(own, 1) } else { digits(own) };
        vec![values_of(other), shown, worse.unwrap_or_default()]
    };
    page.table(&[("runners-up", Left), (head, Right), (less, Left)], others.iter().map(row).collect());
}

/// How much worse than the best something is that should be small, as a share of the best.
fn more_by(best: f64, other: f64) -> String {
    let more = other - best;
    if more <= 1e-9 * best.abs().max(1.0) {
        "equal".to_owned()
    } else if best <= 0.0 {
        "-".to_owned()
    } else {
        percent(more / best)
    }
}

/// How much of the best is lost, as a share of it. What differs by a billionth or less ties.
fn less_by(best: f64, other: f64) -> String {
    let lost = best - other;
    if lost <= 1e-9 * best.max(1.0) { "equal".to_owned() } else { percent(lost / best) }
}

fn values_of(other: &RunnerUp) -> String {
    let value = |part: &Option<PartValue>| {
        part.map_or_else(|| "none".to_owned(), |value| format!("{:#}", Ohms(value.ohm)))
    };
    let parts: Vec<String> =
        other.parts.0.iter().map(|(role, part)| format!("{role} {}", value(part))).collect();
    parts.join(", ")
}

/// Why there is no choice: which limit excludes how much.
pub(super) fn impossible(page: &mut Page, input: &InputAnswer) {
    let Some(search) = &input.search else { return };
    let combinations = count_of(search.combinations, "combination of values", "combinations of values");
    page.gap();
    let sentence = if is_proven(input) {
        format!("Of {combinations} none respects all limits.")
    } else {
        format!("Of {combinations} these were excluded before the search was stopped:")
    };
    page.paragraph("", &sentence);
    reasons::conflict(page, input);
    if search.excluded.is_empty() {
        return;
    }
    let columns = [("excluded by", Left), ("case", Left), ("combinations", Left)];
    let rows = search.excluded.iter().map(|row| {
        let limit = named(row.limit, row.part);
        let case = if row.case == "normal" { "normal use" } else { row.case };
        vec![limit, case.to_owned(), grouped(row.combinations)]
    });
    page.table(&columns, rows.collect());
    page.gap();
    let limits = search.excluded.iter().map(|row| row.limit).unique();
    let remedies: Vec<String> =
        limits.filter_map(|limit| Some(format!("{limit}: {}", remedy(limit)?))).collect();
    let help = if remedies.is_empty() { "" } else { " What may help:" };
    page.paragraph("", &format!("Each combination counts at the first limit that excludes it.{help}"));
    page.items("- ", &remedies);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_lost_has_enough_digits() {
        assert_eq!(less_by(467.4, 466.6), "0.2 %");
        assert_eq!(less_by(1000.0, 999.8), "0.02 %");
        assert_eq!(less_by(1000.0, 1000.0), "equal");
        assert_eq!(less_by(0.0, 0.0), "equal");
        assert_eq!(less_by(1000.0, 500.0), "50 %");
    }

    #[test]
    fn a_key_belongs_to_one_part_of_one_input() {
        assert!(is_key("inputs.tank 1.5.shunt", "tank 1.5", "shunt"));
        assert!(!is_key("inputs.tank 1.5.shunt", "tank 1", "5.shu"));
        assert!(!is_key("inputs.tank.sender.top", "tank", "top"));
        assert!(!is_key("inputs.tank.top", "tan", "top"));
    }
}
