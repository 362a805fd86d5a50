//! The report for people.
//!
//! It says first what may hurt, then whether everything holds, then what was chosen and how far it can be trusted.

use itertools::Itertools;

use super::page::Page;
use super::{alarms, grades, input, limits, purchase, rails, senders, share};
use crate::answer::{Answer, Assumed, FamilyAnswer, InputAnswer, Verdict};

/// For everybody who reads a report.
const GENERAL: [&str; 2] = [
    "This is a calculation and no certificate. Follow the local codes for the vehicle or vessel, have licensed people \
     do licensed work, and fuse every wire from a battery at its source: battery currents burn.",
    "An instrument built this way is an aid and no safety device: leave independent oil-pressure and coolant alarms \
     in place. Resistors near their rating exceed 100 °C.",
];

/// The answer as a report in 80 columns, without colour.
pub fn text(answer: &Answer) -> String {
    let mut page = Page::default();
    board(&mut page, answer);
    general(&mut page);
    page.finish()
}

/// The answers for several boards that were asked together: each board, then what concerns all of them.
pub fn family_text(family: &FamilyAnswer) -> String {
    let mut page = Page::default();
    page.heading(&share::title(family));
    page.items("! ", &family.cautions);
    for answer in &family.boards {
        board(&mut page, answer);
    }
    if let Some(found) = &family.share {
        share::section(&mut page, found);
    }
    if let Some(found) = &family.purchase {
        purchase::section(&mut page, found);
    }
    general(&mut page);
    page.finish()
}

/// Everything about one board.
fn board(page: &mut Page, answer: &Answer) {
    page.heading(&format!("{}: {}", answer.board, title(answer)));
    cautions(page, answer);
    page.gap();
    verdict(page, answer);
    if !answer.remarks.is_empty() {
        page.gap();
        page.items("- ", &answer.remarks);
    }
    for (name, input) in &answer.inputs.0 {
        input::section(page, name, input, &senders::rows_of(answer, name), &answer.assumed);
    }
    if let Some(found) = answer.grades.as_ref().filter(|found| !found.parts.is_empty()) {
        grades::section(page, found);
    }
    rails::table(page, &answer.rails);
    if let Some(found) = &answer.share {
        share::section(page, found);
    }
    if let Some(found) = &answer.purchase {
        purchase::section(page, found);
    }
    assumed(page, &answer.assumed);
}

/// What every report says once.
fn general(page: &mut Page) {
    page.gap();
    page.items("", &GENERAL.map(str::to_owned));
}

/// The verdict in few words. A search that was stopped has not shown that no choice exists.
pub(super) const fn phrase(verdict: Verdict, is_proven: bool) -> &'static str {
    match (verdict, is_proven) {
        (Verdict::Holds, _) => "all limits hold",
        (Verdict::Fails, _) => "a limit does not hold",
        (Verdict::Impossible, true) => "no choice exists",
        (Verdict::Impossible, false) => "no choice found",
    }
}

/// What of an input does not hold, where it is not a limit.
pub(super) fn failing(input: &InputAnswer) -> Option<&'static str> {
    let of_senders = input.senders.0.iter().flat_map(|(_, sender)| &sender.here.limits);
    let holds = input.limits.iter().chain(of_senders).all(|row| row.holds);
    let is_alarm = input.verdict == Verdict::Fails && holds;
    is_alarm.then_some("an alarm fails")
}

/// Whether the search of an input, if there was one, went to its end.
pub(super) fn is_proven(input: &InputAnswer) -> bool {
    input.search.as_ref().is_none_or(|search| search.proof == "complete")
}

/// The verdict for the first line of the page. Where limits are off, it does not say that all of them hold.
fn title(answer: &Answer) -> &'static str {
    let inputs = || answer.inputs.0.iter().map(|(_, input)| input);
    if let Some(title) = answer.grades.as_ref().and_then(grades::title) {
        return title;
    }
    match answer.verdict {
        Verdict::Holds if !inputs().any(limits::is_judged) => "nothing was judged",
        Verdict::Holds if inputs().any(|input| !limits::switched_off(input).is_empty()) => {
            "all limits that are on hold"
        }
        Verdict::Fails if answer.rails.iter().all(|row| row.holds) => {
            let mut fails = inputs().filter(|input| input.verdict == Verdict::Fails).map(failing);
            if fails.all(|alarm| alarm.is_some()) { "an alarm fails" } else { "a limit does not hold" }
        }
        verdict => phrase(verdict, inputs().any(|input| input.verdict == verdict && is_proven(input))),
    }
}

/// All cautions of the answer, each once; those of an input stand behind its name.
fn cautions(page: &mut Page, answer: &Answer) {
    let of_inputs = answer
        .inputs
        .0
        .iter()
        .flat_map(|(name, input)| input.cautions.iter().map(move |text| format!("{name}: {text}")));
    let all: Vec<String> = answer.cautions.iter().cloned().chain(of_inputs).unique().collect();
    if !all.is_empty() {
        page.gap();
        page.items("! ", &all);
    }
}

fn verdict(page: &mut Page, answer: &Answer) {
    let is_judged = answer.inputs.0.iter().any(|(_, input)| limits::is_judged(input));
    if answer.verdict == Verdict::Holds && is_judged {
        let has_alarms =
            answer.inputs.0.iter().any(|(_, input)| input.alarms.iter().any(|row| row.holds.is_some()));
        let alarms = if has_alarms { "; every alarm comes and goes where it must" } else { "" };
        page.paragraph(
            "",
            &format!("HOLDS: every limit that is on is respected, in the worst case of everything{alarms}."),
        );
    }
    page.items("", &rails::failures(&answer.rails));
    page.items("", &answer.grades.as_ref().map(grades::failures).unwrap_or_default());
    for (name, input) in &answer.inputs.0 {
        if let Some(sentence) = limits::not_judged(name, input) {
            page.paragraph("", &sentence);
        }
        match input.verdict {
            Verdict::Holds => {}
            Verdict::Fails if !input.senders.is_empty() => page.items("", &senders::failures(name, input)),
            Verdict::Impossible if !input.senders.is_empty() => {
                let verdict = if is_proven(input) { "IMPOSSIBLE" } else { "NOT FOUND" };
                let why = senders::impossible(&senders::rows_of(answer, name)).unwrap_or_default();
                page.paragraph("", &format!("{verdict}: {name}: {why}"));
            }
            Verdict::Fails => {
                page.items("", &limits::failures(name, input));
                page.items("", &alarms::failures(name, input));
            }
            Verdict::Impossible if is_proven(input) => page.paragraph(
                "",
                &format!("IMPOSSIBLE: {name}: no choice of parts respects all limits; see below what excludes them."),
            ),
            Verdict::Impossible => page.paragraph(
                "",
                &format!("NOT FOUND: {name}: the search was stopped before it found a choice; one may exist."),
            ),
        }
    }
}

/// Defaults, those of the same place on one line.
fn assumed(page: &mut Page, assumed: &[Assumed]) {
    if assumed.is_empty() {
        return;
    }
    page.heading("Assumed, since nothing else was said");
    for place in assumed.iter().map(|assumed| split(&assumed.key).0).unique() {
        let here = assumed.iter().map(|assumed| (split(&assumed.key), &assumed.value));
        let here = here.filter(|((other, _), _)| *other == place);
        let values = here.map(|((_, key), value)| format!("{key} {value}")).join(", ");
        let place = place.strip_prefix("inputs.").unwrap_or(place);
        let place = if place.is_empty() { String::new() } else { format!("{place}: ") };
        page.paragraph("- ", &format!("{place}{values}"));
    }
}

/// A key as the place it stands in and its last word.
fn split(key: &str) -> (&str, &str) {
    key.rsplit_once('.').unwrap_or(("", key))
}
