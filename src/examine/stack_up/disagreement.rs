//! Why root sum of squares and random boards do not say the same.

use crate::answer::{Checkpoint, InputAnswer, ReadingBand};
use crate::board::{Board, Input};
use crate::stackup::{Distribution, Owner, Ranked};

/// The share by which the widths of two views have to differ to be worth a word.
const SEEN: f64 = 0.15;

/// The share of the variance from which one source dominates.
const DOMINATES: f64 = 0.5;

/// One sentence for each reason that is at work at some checkpoint.
pub(super) fn explained(
    board: &Board,
    input: &Input,
    answer: &InputAnswer,
    ranked: &[Ranked],
) -> Vec<String> {
    let apart: Vec<&Checkpoint> = answer.checkpoints.iter().filter(|point| is_apart(point)).collect();
    if apart.is_empty() {
        return Vec::new();
    }
    let at = |points: &[&Checkpoint]| {
        let values: Vec<String> = points.iter().map(|point| format!("{}", point.value)).collect();
        format!("{} {}", values.join(", "), input.unit()).trim_end().to_owned()
    };
    let mut reasons = Vec::new();
    let (start, end) = input.range();
    let (low, high) = (start.min(end), start.max(end));
    let (ends, mut left): (Vec<_>, Vec<_>) =
        apart.iter().copied().partition(|point| reaches_an_end(point, low, high));
    if !ends.is_empty() {
        reasons.push(format!(
            "at {}: readings are held to the range, or the converter to its counts, so that random boards are spread to \
             one side only, and root sum of squares knows nothing of it",
            at(&ends)
        ));
    }
    let curved: Vec<_> = left
        .iter()
        .copied()
        .filter(|point| point.reading.as_ref().is_some_and(|reading| reading.second_order.is_some()))
        .collect();
    if !curved.is_empty() {
        reasons.push(format!(
            "at {}: the transfer is so curved that its slope at nominal misleads; the terms of second order are given, \
             too",
            at(&curved)
        ));
        left.retain(|point| !curved.iter().any(|other| other.value == point.value));
    }
    let corners: Vec<_> = left.iter().copied().filter(|point| is_corner(input, point.value)).collect();
    if !corners.is_empty() {
        reasons.push(format!(
            "at {}: the table of the sender has a corner there; root sum of squares takes the side on which a reading \
             moves more, random boards see both",
            at(&corners)
        ));
        left.retain(|point| !is_corner(input, point.value));
    }
    let top = ranked.iter().max_by(|a, b| a.share.total_cmp(&b.share));
    let dominates = |top: &&Ranked| {
        top.share > DOMINATES
            && top.source.spread.distribution == Distribution::Rectangular
            && !left.is_empty()
    };
    if let Some(top) = top.filter(dominates) {
        reasons.push(format!(
            "at {}: one source, {}, makes up {:.0} % of the variance; it is spread evenly between its limits and never \
             beyond, while root sum of squares gives it the tails of a normal distribution",
            at(&left),
            name(board, top),
            top.share * 100.0
        ));
        left.clear();
    }
    if !left.is_empty() {
        reasons.push(format!(
            "at {}: the steps of the converter are coarse beside the spread, so that random boards show a few readings \
             only",
            at(&left)
        ));
    }
    reasons
}

/// Whether the curve of the far end has a corner at a value.
fn is_corner(input: &Input, value: f64) -> bool {
    let [below, above] = input.drive.slopes(value);
    (below - above).abs() > SEEN * above.abs()
}

/// The source in words.
fn name(board: &Board, ranked: &Ranked) -> String {
    let cause = ranked.source.cause.name();
    match ranked.source.owner {
        Owner::Part(role) => format!("{cause} of {}", role.key()),
        Owner::Rail(place) => format!("{cause} {}", board.rails[place].name),
        Owner::Input => cause.to_owned(),
    }
}

fn is_apart(point: &Checkpoint) -> bool {
    let Some(reading) = &point.reading else { return false };
    let Some((root, drawn)) = reading.root_sum_of_squares.zip(reading.monte_carlo) else { return false };
    let width = |band: ReadingBand| band.highest - band.lowest;
    let most = width(root).max(width(drawn));
    let off = (root.lowest - drawn.lowest).abs().max((root.highest - drawn.highest).abs());
    off > SEEN * most
}

/// Whether the readings, or their root sum of squares, are held at an end of the range or of the converter.
fn reaches_an_end(point: &Checkpoint, low: f64, high: f64) -> bool {
    let Some(reading) = &point.reading else { return false };
    let bands = [Some(reading.life), reading.root_sum_of_squares, reading.monte_carlo];
    bands.into_iter().flatten().any(|band| band.lowest <= low || band.highest >= high)
}
