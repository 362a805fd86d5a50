//! The report for people.
//!
//! It says first what may hurt, then whether everything holds, then what was chosen and how far it can be trusted.

use itertools::Itertools;

use super::input;
use super::page::Page;
use crate::answer::{Answer, Assumed, InputAnswer, Verdict};

/// What every report says once.
const GENERAL: [&str; 2] = [
    "This is a calculation and no certificate. Follow the local codes for the vehicle or vessel, have licensed people \
     do licensed work, and fuse every wire from a battery at its source.",
    "An instrument built this way is an aid and no safety device: leave independent oil-pressure and coolant alarms \
     in place. Resistors near their rating exceed 100 °C.",
];

/// The answer as a report in 80 columns, without colour.
pub fn text(answer: &Answer) -> String {
    let mut page = Page::default();
    page.heading(&format!("{}: {}", answer.board, phrase(answer.verdict)));
    cautions(&mut page, answer);
    page.gap();
    verdict(&mut page, answer);
    if !answer.remarks.is_empty() {
        page.gap();
        page.items("- ", &answer.remarks);
    }
    for (name, input) in &answer.inputs.0 {
        input::section(&mut page, name, input);
    }
    assumed(&mut page, &answer.assumed);
    page.gap();
    page.items("", &GENERAL.map(str::to_owned));
    page.finish()
}

/// The verdict in few words.
pub(super) const fn phrase(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Holds => "all limits hold",
        Verdict::Fails => "a limit does not hold",
        Verdict::Impossible => "no choice exists",
    }
}

/// All cautions of the answer, those of an input with its name where there are several.
fn cautions(page: &mut Page, answer: &Answer) {
    let several = answer.inputs.0.len() > 1;
    let of_inputs = answer.inputs.0.iter().flat_map(|(name, input)| {
        let named = move |text: &String| if several { format!("{name}: {text}") } else { text.clone() };
        input.cautions.iter().map(named)
    });
    let all: Vec<String> = answer.cautions.iter().cloned().chain(of_inputs).collect();
    if !all.is_empty() {
        page.gap();
        page.items("! ", &all);
    }
}

fn verdict(page: &mut Page, answer: &Answer) {
    let inputs = &answer.inputs.0;
    if answer.verdict == Verdict::Holds {
        page.paragraph("", "Holds: every limit is respected, in the worst case of everything that may vary.");
        return;
    }
    for (name, input) in inputs {
        let what = match input.verdict {
            Verdict::Holds => continue,
            Verdict::Fails => format!("FAILS: {name} does not respect {}.", failing(input)),
            Verdict::Impossible => {
                format!("IMPOSSIBLE: for {name} no choice of parts respects all limits; see below what excludes them.")
            }
        };
        page.paragraph("", &what);
    }
}

/// The limits that do not hold, each once.
fn failing(input: &InputAnswer) -> String {
    input.limits.iter().filter(|row| !row.holds).map(|row| row.limit).dedup().join(", ")
}

/// Defaults, those of the same place on one line.
fn assumed(page: &mut Page, assumed: &[Assumed]) {
    if assumed.is_empty() {
        return;
    }
    page.heading("Assumed, since nothing else was said");
    for (place, group) in &assumed.iter().chunk_by(|assumed| split(&assumed.key).0) {
        let values = group.map(|assumed| format!("{} {}", split(&assumed.key).1, assumed.value)).join(", ");
        let mark = if place.is_empty() { String::new() } else { format!("{place}: ") };
        page.paragraph("  ", &format!("{mark}{values}"));
    }
}

/// A key as the place it stands in and its last word.
fn split(key: &str) -> (&str, &str) {
    key.rsplit_once('.').unwrap_or(("", key))
}
