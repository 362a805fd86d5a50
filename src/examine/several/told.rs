//! The answers for an input with several senders.

use super::super::{Choices, hollow, impossible, parts, runner_up};
use super::{Row, Set, Several, with_capacitor};
use crate::answer::{InputAnswer, Ordered, Search, SenderAnswer, SetOfParts, VariantsRow};
use crate::board::{Board, Capacitor, Input, NamedSender};
use crate::stackup::Trials;
use itertools::Itertools;

/// The answer for the input: that for the sender that loses most, and with it those for all.
pub(in super::super) fn examined(
    board: &Board,
    input: &Input,
    several: &Several,
    trials: Option<&Trials<'_>>,
) -> InputAnswer {
    let views = input.views();
    let senders = match several.row() {
        Some(row) => served(board, input, several, row, trials),
        None => views.iter().enumerate().map(|(place, view)| unserved(board, view, several, place)).collect(),
    };
    let about = about(several, &senders);
    let mut answer = match senders.get(about) {
        Some(sender) if several.row().is_some() => sender.here.clone(),
        _ => hollow(input),
    };
    answer.verdict = senders.iter().map(SenderAnswer::verdict).max().unwrap_or(answer.verdict);
    answer.search = input.is_open().then(|| searched(several));
    answer.cautions = cautions(input, &senders);
    answer.about = several.row().and_then(|_| input.senders.get(about)).map(|sender| sender.name.clone());
    let names = input.senders.iter().map(|sender| sender.name.clone());
    answer.senders = Ordered(names.zip(senders).collect());
    answer
}

/// Each sender with the parts that serve it.
fn served(
    board: &Board,
    input: &Input,
    several: &Several,
    row: &Row,
    trials: Option<&Trials<'_>>,
) -> Vec<SenderAnswer> {
    let views = input.views();
    let sets: Vec<Vec<Input>> = row.sets.iter().map(|set| with_capacitor(board, &views, set)).collect();
    let sender = |place: usize| {
        let (number, at) = row.of(place)?;
        let set = &row.sets[number];
        let here = super::super::examined(board, &sets[number][at], &set.chosen[at], None, trials);
        Some(SenderAnswer {
            variant: Some(number + 1),
            loss: set.losses.get(at).copied().filter(|loss| loss.is_finite()),
            own_best: own_best(&views[place], several, place),
            here,
        })
    };
    (0..views.len()).filter_map(sender).collect()
}

/// A sender of which nothing serves all others, too.
fn unserved(board: &Board, view: &Input, several: &Several, place: usize) -> SenderAnswer {
    let alone = several.alone.get(place).filter(|alone| alone.best.is_none());
    SenderAnswer {
        variant: None,
        loss: None,
        own_best: own_best(view, several, place),
        here: alone.map_or_else(|| hollow(view), |alone| impossible(board, view, alone)),
    }
}

fn own_best(view: &Input, several: &Several, place: usize) -> Option<crate::answer::RunnerUp> {
    let best = several.alone.get(place)?.best.as_ref()?;
    Some(runner_up(view, best))
}

/// The sender that the answer of the input itself is about: of those of the first set the one that loses most; where
/// nothing was chosen the first with the worst verdict.
fn about(several: &Several, senders: &[SenderAnswer]) -> usize {
    let first = several.row().and_then(|row| row.sets.first());
    if let Some(set) = first.filter(|set| !set.losses.is_empty()) {
        let pairs = set.senders.iter().zip(&set.losses).rev();
        return pairs.max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(place, _)| *place);
    }
    let of_first = |place: &usize| first.is_none_or(|set| set.senders.contains(place));
    let places = (0..senders.len()).rev().filter(of_first);
    places.max_by_key(|&place| senders[place].verdict()).unwrap_or(0)
}

/// What may hurt with any of the senders, each once; what does so with one sender alone stands behind its name.
fn cautions(input: &Input, senders: &[SenderAnswer]) -> Vec<String> {
    let is_shared = |text: &String| senders.iter().all(|sender| sender.here.cautions.contains(text));
    let of = |(named, sender): (&NamedSender, &SenderAnswer)| {
        let said = |text: &String| {
            if is_shared(text) { text.clone() } else { format!("{}: {text}", named.name) }
        };
        sender.here.cautions.iter().map(said).collect::<Vec<_>>()
    };
    input.senders.iter().zip(senders).flat_map(of).unique().collect()
}

fn searched(several: &Several) -> Search {
    let complete = several.rows.get(several.asked).is_some_and(|row| row.complete);
    Search {
        combinations: several.alone.first().map_or(0, |alone| alone.combinations),
        examined: several.examined,
        proof: if complete { "complete" } else { "stopped" },
        excluded: Vec::new(),
    }
}

/// The table of an input: what one more set of parts would give.
pub(in super::super) fn rows(board: &Board, input: &Input, choice: &Choices) -> Vec<VariantsRow> {
    let Choices::Several(several) = choice else { return Vec::new() };
    let views = input.views();
    let is_new = input.is_open();
    let name = |place: &usize| input.senders[*place].name.clone();
    let set = |set: &Set| {
        let own = with_capacitor(board, &views, set);
        let first = own.first().zip(set.chosen.first());
        let parts = first.map(|(view, chosen)| {
            let fitted = super::super::capacitor::chosen(board, view, &chosen.values);
            parts(&fitted, chosen, matches!(view.capacitor, Capacitor::Choose(_)))
        });
        SetOfParts { parts: parts.unwrap_or_default(), senders: set.senders.iter().map(name).collect() }
    };
    let row = |(place, row): (usize, &Row)| {
        let value = |value: f64| (is_new && !row.sets.is_empty() && value.is_finite()).then_some(value);
        let is_lacking = row.sets.is_empty() && place == 0;
        VariantsRow {
            input: input.name.clone(),
            variants: row.variants,
            worst_loss: value(row.worst()),
            sum_of_losses: value(row.sum()),
            sets: row.sets.iter().map(set).collect(),
            excluding: if is_lacking { several.excluding.iter().map(name).collect() } else { Vec::new() },
            chosen: place == several.asked,
            proof: if row.complete { "complete" } else { "stopped" },
        }
    };
    several.rows.iter().enumerate().map(row).collect()
}
