//! An input with several senders: what each of them has of the parts, and what another set of parts would give.

use super::alarms;
use super::input::{impossible as impossible_input, is_key, parts};
use super::limits;
use super::page::{Flush, Page};
use super::words::{count_of, decimals, digits, grouped, part_value, percent};
use crate::answer::{
    Answer, Assumed, InputAnswer, PartAnswer, RunnerUp, Search, SenderAnswer, SetOfParts, VariantsRow,
    Verdict,
};

use Flush::{Left, Right};

/// A loss that ties with none.
const NOTHING: f64 = 1e-9;

/// The rows of the answer about one input.
pub(super) fn rows_of<'a>(answer: &'a Answer, name: &str) -> Vec<&'a VariantsRow> {
    answer.variants.iter().filter(|row| row.input == name).collect()
}

/// What of an input with several senders does not hold, a sentence for each limit and alarm of each sender.
pub(super) fn failures(name: &str, input: &InputAnswer) -> Vec<String> {
    let of = |(sender, found): &(String, SenderAnswer)| {
        let name = format!("{name} with {sender}");
        [limits::failures(&name, &found.here), alarms::failures(&name, &found.here)].concat()
    };
    input.senders.0.iter().flat_map(of).collect()
}

/// Why nothing serves all senders, and how many sets of parts would.
pub(super) fn impossible(rows: &[&VariantsRow]) -> Option<String> {
    let asked = rows.iter().find(|row| row.chosen)?;
    if !asked.sets.is_empty() {
        return None;
    }
    let first = rows.iter().find(|row| !row.excluding.is_empty());
    let excluding = first.map(|row| match row.excluding.as_slice() {
        [alone] => format!(" Nothing serves {alone} alone."),
        others => format!(" {} exclude each other.", and(others)),
    });
    let enough = rows.iter().find(|row| !row.sets.is_empty()).map(|row| {
        format!(" {} would (variants: {}).", count_of(row.variants as u64, "set", "sets"), row.variants)
    });
    let sets = if asked.variants == 1 {
        "No set of parts serves".to_owned()
    } else {
        format!("No {} sets of parts serve", asked.variants)
    };
    let sentence = if asked.proof == "complete" {
        format!("{sets} all senders.")
    } else {
        "No set of parts was found that serves all senders before the search was stopped.".to_owned()
    };
    Some(format!("{sentence}{}{}", excluding.unwrap_or_default(), enough.unwrap_or_default()))
}

/// `a, b and c`.
fn and(names: &[String]) -> String {
    match names {
        [others @ .., last] if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        names => names.concat(),
    }
}

/// The parts, what each sender has of them, and what another set would give.
pub(super) fn section(
    page: &mut Page,
    name: &str,
    input: &InputAnswer,
    rows: &[&VariantsRow],
    assumed: &[Assumed],
) {
    let sets = rows.iter().find(|row| row.chosen).map_or(&[][..], |row| &row.sets);
    for (number, set) in sets.iter().enumerate() {
        if sets.len() > 1 {
            page.gap();
            page.paragraph("", &format!("Variant {}, for {}:", number + 1, and(&set.senders)));
        }
        let silent = |role: &str| assumed.iter().find(|assumed| is_key(&assumed.key, name, role));
        parts(page, &InputAnswer { parts: set.parts.clone(), ..input.clone() }, &silent);
    }
    senders(page, input, sets.len() > 1);
    compared(page, rows);
    for (sender, found) in input.senders.0.iter().filter(|(_, found)| !found.here.conflict.is_empty()) {
        page.gap();
        page.paragraph("", &format!("With {sender} alone:"));
        impossible_input(page, &found.here);
    }
    if let Some(about) = &input.about {
        let loses = |row: &&&VariantsRow| row.chosen && row.worst_loss.is_none_or(|loss| loss > NOTHING);
        let why = if rows.iter().find(loses).is_some_and(|row| row.sets.iter().any(is_new)) {
            format!("All that follows is about {about}, which loses most.")
        } else {
            format!("All that follows is about {about}.")
        };
        page.gap();
        page.paragraph("", &format!("{why} The JSON form says as much of each sender."));
    }
}

/// How the compromise was found.
pub(super) fn searched(search: &Search) -> String {
    let proof = if search.proof == "complete" { "proven" } else { "not proven, since a search was stopped" };
    let combinations = count_of(search.combinations, "combination", "combinations");
    format!(
        "Smallest worst loss of {combinations}, {proof}; {} examined for all senders.",
        grouped(search.examined)
    )
}

/// One row a sender.
fn senders(page: &mut Page, input: &InputAnswer, has_variants: bool) {
    let is_new = input.senders.0.iter().any(|(_, sender)| sender.own_best.is_some());
    let here = match input.aim {
        "resolution" => "counts per unit",
        "error" => "greatest error",
        "straight" => "bend per unit",
        _ => "assured counts",
    };
    let mut columns = vec![("sender", Left)];
    columns.extend(has_variants.then_some(("variant", Right)));
    columns.push((here, Right));
    if is_new {
        columns.extend([("own best", Right), ("loss", Right)]);
    }
    columns.push(("verdict", Left));
    let row = |(name, sender): &(String, SenderAnswer)| {
        let mut cells = vec![name.clone()];
        let variant = sender.variant.map_or("-".to_owned(), |variant| variant.to_string());
        cells.extend(has_variants.then_some(variant));
        let shown = |value: Option<f64>| value.map_or("-".to_owned(), |value| worth(value, input.aim));
        cells.push(shown(aim_here(&sender.here)));
        if is_new {
            let best = sender.own_best.as_ref();
            cells.push(shown(best.map(aim_of)));
            cells.push(match (sender.variant, sender.loss) {
                (None, _) => "-".to_owned(),
                (Some(_), loss) => loss.map_or("without bound".to_owned(), share),
            });
        }
        cells.push(verdict(sender).to_owned());
        cells
    };
    page.table(&columns, input.senders.0.iter().map(row).collect());
}

const fn verdict(sender: &SenderAnswer) -> &'static str {
    match sender.verdict() {
        Verdict::Holds => "holds",
        Verdict::Fails => "FAILS",
        // Alone it could be.
        Verdict::Impossible if sender.own_best.is_some() => "not served",
        Verdict::Impossible => "impossible",
    }
}

/// What the aim comes to with the parts that are there.
fn aim_here(here: &InputAnswer) -> Option<f64> {
    match here.aim {
        "resolution" => here.resolution.as_ref().map(|found| found.least_counts_per_unit),
        "error" => here.error.map(|error| error.greatest),
        "straight" => here.straight_line.and_then(|line| line.bend_per_unit),
        _ => here.span.map(|span| span.assured_counts),
    }
}

fn aim_of(best: &RunnerUp) -> f64 {
    best.least_counts_per_unit.or(best.greatest_error).or(best.bend_per_unit).unwrap_or(best.assured_counts)
}

fn worth(value: f64, aim: &str) -> String {
    if aim == "span" { decimals(value, 1) } else { digits(value) }
}

/// What is lost; nothing is not worth a figure.
fn share(loss: f64) -> String {
    if loss <= 1e-9 { "none".to_owned() } else { percent(loss) }
}

/// What another set of parts would give: where it stops paying.
fn compared(page: &mut Page, rows: &[&VariantsRow]) {
    if rows.len() < 2 || rows.iter().all(|row| row.sets.is_empty()) {
        return;
    }
    let columns = [
        ("sets of parts", Left),
        ("worst loss", Right),
        ("sum", Right),
        ("", Left),
        ("who shares a set", Left),
    ];
    let loss = |row: &VariantsRow, loss: Option<f64>| match (row.sets.is_empty(), loss) {
        (true, _) => "-".to_owned(),
        (false, loss) => loss.map_or("without bound".to_owned(), share),
    };
    let cells = |place: usize| {
        let row = rows[place];
        let mark = if row.chosen { "asked for" } else { "" };
        let proof = if row.proof == "complete" { "" } else { " (not proven)" };
        let is_as_before = place > 0 && rows[place - 1].sets == row.sets;
        let sets = match row.sets.as_slice() {
            [] if row.proof == "complete" => "impossible".to_owned(),
            [] => "none found".to_owned(),
            _ if is_as_before => "as before: another set gives nothing more".to_owned(),
            sets => sets.iter().map(who).collect::<Vec<_>>().join("; "),
        };
        vec![
            row.variants.to_string(),
            loss(row, row.worst_loss),
            loss(row, row.sum_of_losses),
            mark.to_owned(),
            format!("{sets}{proof}"),
        ]
    };
    page.table(&columns, (0..rows.len()).map(cells).collect());
}

/// Whether anything of a set was chosen.
fn is_new(set: &SetOfParts) -> bool {
    set.parts.0.iter().any(|(_, part)| part.as_ref().is_some_and(is_chosen))
}

const fn is_chosen(part: &PartAnswer) -> bool {
    match part {
        PartAnswer::Resistor { chosen, .. } | PartAnswer::Capacitor { chosen, .. } => *chosen,
    }
}

/// A set with its senders and the values that were chosen for them.
fn who(set: &SetOfParts) -> String {
    let parts = set.parts.0.iter().filter_map(|(role, part)| {
        let part = part.as_ref().filter(|part| is_chosen(part))?;
        Some(format!("{role} {}", part_value(part)))
    });
    format!("{}: {}", and(&set.senders), parts.collect::<Vec<_>>().join(", "))
}
