//! Known voltages at the input: the ratio of the divider.

use super::answer::{Alone, Deviation, Explanation, Findings, Row, Value, Verdict};
use super::line::{Ends, Free, Line, Point, Straight, line};
use super::pairs::Pair;
use super::scale::Scale;
use super::setup::Setup;
use super::verdict::{all_pairs, judge, left_out, possible, suspicion, told};
use crate::quantity::Volts;

/// Explains pairs of a voltage and a reading.
pub(super) fn identify(pairs: &[Pair<Volts>], setup: &Setup) -> Findings {
    let Some(scale) = pairs.first().map(|pair| Scale::of(pair.read, setup)) else {
        return Findings::nothing("divider");
    };
    let points: Vec<Point> =
        pairs.iter().filter(|p| p.read.held(setup).is_none()).map(|pair| point(pair, setup)).collect();
    let judgement = judge(&Straight { scale, explain: explanations }, &points);
    let mut verdict = judgement.verdict;
    let rows: Vec<Row> = pairs.iter().map(|pair| row(pair, &scale, setup)).collect();
    let mut summary = Vec::new();
    let ratio = judgement.explanations.first().and_then(|e| e.value("ratio"));
    match (verdict, judgement.explanations.first(), ratio) {
        (Verdict::Agree, Some(_), Some(ratio)) if ratio.lowest > 1.0 || ratio.highest < 0.0 => {
            verdict = Verdict::OtherCircuit;
            let why = if ratio.lowest > 1.0 { "above 1" } else { "below 0" };
            summary.push(format!(
                "This is not a divider: the pairs lie on a line, but its ratio of {:.4} is {why}.",
                ratio.value
            ));
        }
        (Verdict::Agree, Some(first), _) => {
            summary.push(format!("{} come from {}: {}.", all_pairs(points.len()), first.cause, told(first)));
        }
        (Verdict::OtherCircuit, ..) => {
            summary.push("These pairs do not come from a divider: they do not lie on a line.".to_owned());
        }
        _ => summary.push(contradiction(&rows)),
    }
    summary.extend(suspicion(&judgement));
    if verdict == Verdict::Contradict {
        summary.push(possible(&judgement.explanations));
    }
    let mut remarks = Vec::new();
    if scale.gain > 0.0 && ratio.is_some() {
        remarks.push(
            "The gain of the converter and its reference are part of the ratio: from outside they cannot be told \
             apart. The limits of the ratio allow for the stated gain."
                .to_owned(),
        );
    }
    remarks.extend(left_out(&rows));
    Findings {
        about: "divider",
        verdict,
        summary,
        pairs: rows,
        explanations: judgement.explanations,
        remarks,
    }
}

/// A voltage and the error of its source are shares of the reference, as readings are shares of the full scale.
fn point(pair: &Pair<Volts>, setup: &Setup) -> Point {
    let mut read = pair.read.shared(setup);
    read.accuracy += read.share.abs() * setup.known_accuracy.0;
    Point { line: pair.line, x: pair.known / setup.reference, read }
}

fn row(pair: &Pair<Volts>, scale: &Scale, setup: &Setup) -> Row {
    let left_out = pair.read.held(setup);
    let point = point(pair, setup);
    let ratio = |off: f64, gain: f64| (point.read.share + off) / point.x / gain;
    let off = point.read.accuracy + scale.offset;
    let corners = [-1.0, 1.0].map(|side| ratio(side * off, 1.0));
    let gain = |value: f64, wide: f64| value / (1.0 + wide * scale.gain * value.signum());
    let (low, high) = (corners[0].min(corners[1]), corners[0].max(corners[1]));
    let alone = Alone { value: ratio(0.0, 1.0), lowest: gain(low, 1.0), highest: gain(high, -1.0), unit: "" };
    Row {
        line: pair.line,
        known: pair.known.0,
        known_unit: "V",
        read: pair.read.number(),
        read_unit: scale.unit,
        alone: (left_out.is_none() && point.x != 0.0).then_some(alone),
        left_out,
    }
}

fn explanations(points: &[Point], scale: &Scale) -> Vec<Explanation> {
    let of = |(cause, offset): (&'static str, bool)| {
        let free = Free { gain: true, offset };
        let found = (free.unknowns() <= points.len()).then(|| line(points, scale, free)).flatten()?;
        // Where nothing checks it, a ratio below 0 is only a number: a level-shift may add, but no divider turns round.
        let is_likely = found.gain.value >= 0.0;
        let explanation = explanation(cause, points, scale, free, &found);
        (explanation.checked || is_likely).then_some(explanation)
    };
    [("a ratio alone", false), ("a ratio and an offset", true)].into_iter().filter_map(of).collect()
}

fn explanation(
    cause: &'static str,
    points: &[Point],
    scale: &Scale,
    free: Free,
    found: &Line,
) -> Explanation {
    let offset = if free.offset { found.offset.value } else { 0.0 };
    let deviation = |point: &Point| Deviation {
        line: point.line,
        read_minus_calculated: (point.read.share - found.gain.value * point.x - offset) * scale.full,
    };
    let mut values = vec![Value::of("ratio", "", without_gain(found.gain, scale.gain))];
    if free.offset {
        values.push(Value::of("offset", scale.unit, found.offset.times(scale.full)));
    }
    Explanation {
        cause,
        unknowns: free.unknowns(),
        checked: points.len() > free.unknowns(),
        accuracy_used: found.share,
        values,
        deviations: points.iter().map(deviation).collect(),
    }
}

/// What remains of the slope when the converter's own gain is taken out at its worst.
fn without_gain(slope: Ends, gain: f64) -> Ends {
    let divided = |value: f64, wide: f64| value / (1.0 + wide * gain * value.signum());
    Ends { value: slope.value, lowest: divided(slope.lowest, 1.0), highest: divided(slope.highest, -1.0) }
}

fn contradiction(rows: &[Row]) -> String {
    let told = |row: &Row| {
        row.alone.map(|a| {
            format!("line {} alone says {:.4} ({:.4} .. {:.4})", row.line, a.value, a.lowest, a.highest)
        })
    };
    let alone = || rows.iter().filter(|row| row.alone.is_some());
    let key = |row: &&Row| row.alone.map_or(0.0, |alone| alone.value);
    let least = alone().min_by(|a, b| key(a).total_cmp(&key(b))).and_then(told);
    let most = alone().max_by(|a, b| key(a).total_cmp(&key(b))).and_then(told);
    match (least, most) {
        (Some(least), Some(most)) => {
            format!("The pairs contradict each other: no single ratio serves them all; {most}, {least}.")
        }
        _ => "The pairs contradict each other.".to_owned(),
    }
}
