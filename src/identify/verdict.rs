//! From explanations to a verdict, the same for all kinds of pairs.

use super::answer::{Explanation, Row, Verdict};
use super::setup::Setup;
use crate::quantity::{Band, Counts, Fraction, Ohms, Volts};
use crate::series::{candidates, deviation, neighbours};

/// A verdict with what it rests on.
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    /// The simplest explanations: those that the pairs check, or else those that they do not.
    pub(super) explanations: Vec<Explanation>,
    /// Lines without each of which the others agree, with what they agree on.
    pub(super) suspects: Vec<(usize, Explanation)>,
    /// Where nothing explains the pairs, the line that fits the others least.
    pub(super) worst: Option<usize>,
}

/// One kind of pairs, as far as judging them goes.
pub(super) trait Kind {
    /// A pair as it is calculated with.
    type Point: Copy;

    /// The line of a point.
    fn line_of(&self, point: &Self::Point) -> usize;

    /// Every explanation of some points.
    fn explain(&self, points: &[Self::Point]) -> Vec<Explanation>;

    /// The share of their accuracy that some points need, whatever the cause.
    fn strain(&self, points: &[Self::Point]) -> f64;
}

/// Judges points.
pub(super) fn judge<K: Kind>(kind: &K, points: &[K::Point]) -> Judgement {
    let all = kind.explain(points);
    let checked = simplest(all.iter().filter(|e| e.checked).cloned().collect());
    if !checked.is_empty() {
        let (verdict, suspects) = (Verdict::Agree, Vec::new());
        return Judgement { verdict, explanations: checked, suspects, worst: None };
    }
    let suspects = suspects(kind, points);
    let contradict = points.len() <= 2 || !all.is_empty() || !suspects.is_empty();
    Judgement {
        verdict: if contradict { Verdict::Contradict } else { Verdict::OtherCircuit },
        explanations: simplest(all),
        suspects,
        worst: if contradict { None } else { worst(kind, points) },
    }
}

/// All points but one.
fn others<P: Copy>(points: &[P], but: usize) -> Vec<P> {
    points.iter().enumerate().filter(|(i, _)| *i != but).map(|(_, point)| *point).collect()
}

/// The line without which the others need the least of their accuracy.
fn worst<K: Kind>(kind: &K, points: &[K::Point]) -> Option<usize> {
    let strain = |i: usize| kind.strain(&others(points, i));
    let strains = points.iter().enumerate().map(|(i, point)| (kind.line_of(point), strain(i)));
    strains.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(line, _)| line)
}

/// Those with the fewest unknowns; among them the one that needs the least of the accuracy comes first.
fn simplest(mut explanations: Vec<Explanation>) -> Vec<Explanation> {
    let fewest = explanations.iter().map(|e| e.unknowns).min().unwrap_or_default();
    explanations.retain(|e| e.unknowns == fewest);
    if explanations.iter().all(|e| e.checked) {
        explanations.sort_by(|a, b| a.accuracy_used.total_cmp(&b.accuracy_used));
    }
    explanations
}

/// Each line without which the others have a checked explanation, as far as that is as simple as any.
fn suspects<K: Kind>(kind: &K, points: &[K::Point]) -> Vec<(usize, Explanation)> {
    if points.len() < 3 {
        return Vec::new();
    }
    let without = |i: usize| {
        let checked = kind.explain(&others(points, i)).into_iter().filter(|e| e.checked).collect();
        Some((kind.line_of(&points[i]), simplest(checked).into_iter().next()?))
    };
    let mut found: Vec<(usize, Explanation)> = (0..points.len()).filter_map(without).collect();
    let fewest = found.iter().map(|(_, e)| e.unknowns).min().unwrap_or_default();
    found.retain(|(_, e)| e.unknowns == fewest);
    found
}

/// The line that does not belong to the others.
pub(super) fn suspicion(judgement: &Judgement) -> Option<String> {
    if let Some(line) = judgement.worst {
        return Some(format!("Line {line} fits the others least: read it again first."));
    }
    let suspects = &judgement.suspects;
    let (_, first) = suspects.first()?;
    if let [(line, only)] = suspects.as_slice() {
        let values = told(only);
        return Some(format!(
            "Without line {line} the other pairs agree: {}, {values}. Read line {line} again.",
            only.cause
        ));
    }
    let lines: Vec<String> = suspects.iter().map(|(line, _)| line.to_string()).collect();
    let (last, others) = lines.split_last()?;
    Some(format!(
        "Without any one of the lines {} or {last} the other pairs agree ({}): which of them is wrong only another \
         pair can tell.",
        others.join(", "),
        first.cause
    ))
}

/// `All 7 pairs`, `Both pairs`.
pub(super) fn all_pairs(count: usize) -> String {
    if count == 2 { "Both pairs".to_owned() } else { format!("All {count} pairs") }
}

/// The values of an explanation in a row.
pub(super) fn told(explanation: &Explanation) -> String {
    let one = |value: &super::answer::Value| {
        format!("{} {}", value.name.replace('_', "-"), with_unit(value.value, value.unit, value.name))
    };
    explanation.values.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A number as a person reads it.
fn with_unit(value: f64, unit: &str, name: &str) -> String {
    match unit {
        "Ω" => Ohms(value).to_string(),
        "V" => Volts(value).to_string(),
        "counts" => Counts((value * 10.0).round() / 10.0).to_string(),
        _ if name == "gain" => format!("{}{}", if value > 0.0 { "+" } else { "" }, Fraction(value)),
        _ => format!("{value:.5}"),
    }
}

/// What would reconcile pairs that contradict each other.
pub(super) fn possible(explanations: &[Explanation]) -> String {
    let mut causes: Vec<&str> = explanations.iter().map(|e| e.cause).collect();
    causes.dedup();
    match causes.as_slice() {
        [] => "No single cause reconciles them all.".to_owned(),
        causes => format!(
            "Any one of these would reconcile them, but has as many unknowns as there are pairs, so that nothing is \
             left to check it: {}. Another pair would tell.",
            causes.join("; or ")
        ),
    }
}

/// The rows that were left out.
pub(super) fn left_out(rows: &[Row]) -> Option<String> {
    let held: Vec<String> =
        rows.iter().filter_map(|row| Some(format!("line {} ({})", row.line, row.left_out?))).collect();
    (!held.is_empty()).then(|| format!("Left out, since a held count tells nothing: {}.", held.join(", ")))
}

/// Standard values that can be meant by a value between two ends, the nearest first, and the next ones on both sides.
pub(super) fn standard(setup: &Setup, value: f64, lowest: f64, highest: f64) -> (Vec<f64>, Vec<f64>) {
    const MOST: usize = 5;
    let tolerance = setup.tolerance.0;
    let widened =
        Band { lowest: Ohms(lowest / (1.0 + tolerance)), highest: Ohms(highest / (1.0 - tolerance)) };
    let mut meant = candidates(&setup.series, widened);
    let distance = |ohms: Ohms| deviation(ohms, Ohms(value)).0.abs();
    meant.sort_by(|a, b| distance(a.ohms).total_cmp(&distance(b.ohms)));
    let next = neighbours(&setup.series, Ohms(value));
    let next = [next.below, next.above].into_iter().flatten().map(|preferred| preferred.ohms.0);
    (meant.into_iter().take(MOST).map(|preferred| preferred.ohms.0).collect(), next.collect())
}
