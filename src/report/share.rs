//! Values that all inputs share.

use itertools::Itertools;

use super::page::{Flush, Page};
use super::words::count_of;
use crate::answer::{
    FamilyAnswer, Ordered, PartValue, ShareAnswer, ShareTradeRow, SharedInput, SharedValue, Verdict,
};
use crate::quantity::{Fraction, Ohms};

use Flush::{Left, Right};

/// Steps of a share that are shown.
const STEPS: f64 = 10_000.0;

/// The values and where they are, what each input gives up for them, and what other losses would do.
pub(super) fn section(page: &mut Page, share: &ShareAnswer) {
    page.heading("Shared values");
    if share.inputs.0.is_empty() {
        page.paragraph("", "No part of an input that has a choice is to be chosen: nothing to share.");
        return;
    }
    page.paragraph("", &summary(share));
    let columns = [("value", Right), ("parts", Right), ("used at", Left)];
    page.table(&columns, share.values.iter().map(value_row).collect());
    let columns = [("input", Left), ("loses", Right), ("would choose alone", Left)];
    page.table(&columns, share.inputs.0.iter().map(|(name, input)| input_row(name, input)).collect());
    page.gap();
    page.paragraph("", "What each input may lose at most of its own best, and what that takes:");
    let has_price = share.trade.iter().any(|row| row.price.is_some());
    let mut columns = vec![("each may lose", Right), ("values", Right), ("most that one loses", Right)];
    columns.extend(has_price.then_some(("price", Right)));
    columns.push(("", Left));
    page.table(&columns, share.trade.iter().map(|row| trade_row(row, has_price)).collect());
}

fn summary(share: &ShareAnswer) -> String {
    let values = count_of(share.different_values, "different value", "different values");
    let alone = match share.alone {
        alone if alone == share.different_values => "as many as with the best of each input alone".to_owned(),
        alone => format!("{alone} with the best of each input alone"),
    };
    let price = share.price.map_or_else(String::new, |price| format!(", for {price} in all"));
    let losses = if share.is_least_loss_proven || share.proof != "complete" {
        ""
    } else {
        " Whether another choice of as many values would lose less in sum is not known."
    };
    let clock =
        if share.reproducible { "" } else { " A clock may have stopped the search: another run may differ." };
    format!("{values}{price}; {alone}. {}{losses}{clock}", proof(share))
}

/// What is known of choices with fewer values, or of a lower price.
fn proof(share: &ShareAnswer) -> String {
    let within = match share.loss_allowed {
        0.0 => "where none may lose anything".to_owned(),
        loss => format!("where none may lose more than {}", percent(loss)),
    };
    match (share.proof, share.price, share.least_possible) {
        ("complete", Some(_), _) => {
            format!("Proven: {within}, no choice costs less, and none that costs as much takes fewer.")
        }
        ("complete", None, _) => format!("Proven: {within}, no choice takes fewer."),
        _ if !share.has_all => format!(
            "Not proven: there are more ways to fit the inputs than were looked at. Among those, {within}, nothing with \
             fewer than {} is possible.",
            share.least_possible
        ),
        (_, Some(_), _) => "Not proven to cost least; more effort may prove it (`--effort`).".to_owned(),
        (_, None, least) => format!(
            "Not proven: {within}, a choice with as few as {least} is not excluded; more effort may find one \
             (`--effort`)."
        ),
    }
}

fn value_row(row: &SharedValue) -> Vec<String> {
    vec![format!("{:#}", Ohms(row.ohm)), row.count.to_string(), row.used_by.join(", ")]
}

fn input_row(name: &str, input: &SharedInput) -> Vec<String> {
    vec![name.to_owned(), percent(input.loss), parts(&input.own_best)]
}

fn parts(parts: &Ordered<Option<PartValue>>) -> String {
    let part = |(role, part): &(String, Option<PartValue>)| match part {
        Some(PartValue { ohm }) => format!("{role}\u{a0}{:#}", Ohms(*ohm)).replace(' ', "\u{a0}"),
        None => format!("{role}\u{a0}none"),
    };
    parts.0.iter().map(part).join(", ")
}

fn trade_row(row: &ShareTradeRow, has_price: bool) -> Vec<String> {
    let proof = match row.proof {
        "complete" => "",
        _ => "not proven",
    };
    let chosen = if row.chosen { "chosen" } else { "" };
    let remark = [chosen, proof].into_iter().filter(|text| !text.is_empty()).join(", ");
    let values = row.different_values.to_string();
    let mut cells = vec![percent(row.loss_allowed), values, percent(row.greatest_loss)];
    cells.extend(has_price.then(|| row.price.map_or_else(String::new, |price| price.to_string())));
    cells.push(remark);
    cells
}

fn percent(share: f64) -> String {
    // As losses are counted: in hundredths of a per cent.
    Fraction((share * STEPS).round() / STEPS).to_string()
}

/// The first lines of a report on several boards.
pub(super) fn title(family: &FamilyAnswer) -> String {
    let of = |verdict: Verdict| {
        let boards = family.boards.iter().filter(|board| board.verdict == verdict);
        boards.map(|board| board.board.as_str()).join(", ")
    };
    let count = family.boards.len();
    match family.verdict {
        Verdict::Holds => format!("{count} boards: all limits hold"),
        Verdict::Fails => format!("{count} boards: a limit does not hold on {}", of(Verdict::Fails)),
        Verdict::Impossible => format!("{count} boards: no choice for {}", of(Verdict::Impossible)),
    }
}
