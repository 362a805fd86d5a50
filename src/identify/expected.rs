//! Counts that should have been read: gain and offset, each on its own.

use super::answer::{Alone, Deviation, Explanation, Findings, Row, Value, Verdict};
use super::line::{Free, Line, Point, Straight, line};
use super::pairs::Pair;
use super::scale::Scale;
use super::setup::Setup;
use super::verdict::{judge, left_out, possible, suspicion};
use crate::quantity::{Counts, Fraction};

/// Explains pairs of an expected count and a reading.
pub(super) fn identify(pairs: &[Pair<Counts>], setup: &Setup) -> Findings {
    let Some(scale) = pairs.first().map(|pair| Scale::of(pair.read, setup)) else {
        return Findings::nothing("expected counts");
    };
    let points: Vec<Point> =
        pairs.iter().filter(|p| p.read.held(setup).is_none()).map(|pair| point(pair, setup)).collect();
    let rows: Vec<Row> = pairs.iter().map(|pair| row(pair, &scale, setup)).collect();
    let judgement = judge(&Straight { scale, explain: explanations }, &points);
    let both = line(&points, &scale, Free { gain: true, offset: true }).filter(|_| points.len() > 1);
    let mut summary = Vec::new();
    match (judgement.verdict, judgement.explanations.first()) {
        (Verdict::Agree, Some(first)) => summary.push(verdict_of(first, right_within(&scale, both.as_ref()))),
        (Verdict::OtherCircuit, _) => summary.push(
            "Neither a gain nor an offset nor both explain these counts: they do not lie on a line."
                .to_owned(),
        ),
        _ => summary.push("The pairs contradict each other.".to_owned()),
    }
    summary.extend(both.as_ref().map(|both| apart(both, &scale)));
    summary.extend(suspicion(&judgement));
    if judgement.verdict == Verdict::Contradict {
        summary.push(possible(&judgement.explanations));
    }
    Findings {
        about: "expected counts",
        verdict: judgement.verdict,
        summary,
        remarks: left_out(&rows).into_iter().collect(),
        pairs: rows,
        explanations: judgement.explanations,
    }
}

/// A whole expected count is truncated as the one that was read; any other is exact.
fn point(pair: &Pair<Counts>, setup: &Setup) -> Point {
    let full = setup.full_scale();
    let is_whole = pair.known.0.fract() == 0.0;
    let truncated = if is_whole { 0.5 } else { 0.0 };
    let mut read = pair.read.shared(setup);
    read.accuracy += truncated / full;
    Point { line: pair.line, x: (pair.known.0 + truncated) / full, read }
}

fn row(pair: &Pair<Counts>, scale: &Scale, setup: &Setup) -> Row {
    let left_out = pair.read.held(setup);
    let point = point(pair, setup);
    let difference = (point.read.share - point.x) * scale.full;
    let off = (point.read.accuracy + scale.offset + scale.gain * point.x) * scale.full;
    let alone =
        Alone { value: difference, lowest: difference - off, highest: difference + off, unit: "counts" };
    Row {
        line: pair.line,
        known: pair.known.0,
        known_unit: "counts",
        read: pair.read.number(),
        read_unit: scale.unit,
        alone: left_out.is_none().then_some(alone),
        left_out,
    }
}

/// The simplest first.
const CAUSES: [(&str, Free); 4] = [
    ("nothing", Free { gain: false, offset: false }),
    ("an offset", Free { gain: false, offset: true }),
    ("a gain", Free { gain: true, offset: false }),
    ("a gain and an offset", Free { gain: true, offset: true }),
];

fn explanations(points: &[Point], scale: &Scale) -> Vec<Explanation> {
    let of = |(cause, free): (&'static str, Free)| {
        let found = (free.unknowns() <= points.len()).then(|| line(points, scale, free)).flatten()?;
        Some(explanation(cause, points, scale, free, &found))
    };
    CAUSES.into_iter().filter_map(of).collect()
}

fn explanation(
    cause: &'static str,
    points: &[Point],
    scale: &Scale,
    free: Free,
    found: &Line,
) -> Explanation {
    let gain = if free.gain { found.gain.value } else { 1.0 };
    let offset = if free.offset { found.offset.value } else { 0.0 };
    let deviation = |point: &Point| Deviation {
        line: point.line,
        read_minus_calculated: (point.read.share - gain * point.x - offset) * scale.full,
    };
    let mut values = Vec::new();
    if free.gain {
        values.push(Value::of("gain", "", found.gain.minus(1.0)));
    }
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

/// Within what the gain is shown to be right: by the counts themselves, if they know better than the data sheet.
fn right_within(scale: &Scale, both: Option<&Line>) -> Fraction {
    let shown = both.map(|both| both.gain.minus(1.0));
    let shown = shown.map_or(f64::INFINITY, |gain| gain.highest.abs().max(gain.lowest.abs()));
    Fraction(shown.min(scale.gain))
}

/// What is right, what is wrong, and where to look (common practice).
fn verdict_of(first: &Explanation, right: Fraction) -> String {
    let offset = first.value("offset").map(|offset| offset.value);
    let gain = first.value("gain").map(|gain| Fraction(gain.value));
    match (gain, offset) {
        (None, None) => {
            "Gain and offset are right: every count is what was expected, within its accuracy.".to_owned()
        }
        (None, Some(offset)) => format!(
            "Gain right within {right}, offset {offset:.1} counts on every row: look at the ground connection, not at \
             the resistors."
        ),
        (Some(gain), None) => format!(
            "Offset right, gain off by {gain} on every row: look at the resistors, the excitation and the reference, \
             not at the ground connection."
        ),
        (Some(gain), Some(offset)) => format!(
            "Gain off by {gain}, and offset {offset:.1} counts on every row: two faults, one in the resistors, the \
             excitation or the reference, one in the ground connection."
        ),
    }
}

/// Gain and offset, both left open.
fn apart(both: &Line, scale: &Scale) -> String {
    let gain = both.gain.minus(1.0);
    let [value, lowest, highest] = [gain.value, gain.lowest, gain.highest].map(Fraction);
    let offset = both.offset.times(scale.full);
    format!(
        "With both left open, the counts show a gain error of {value} ({lowest} .. {highest}) and an offset of {:.1} \
         ({:.1} .. {:.1}) counts.",
        offset.value, offset.lowest, offset.highest
    )
}
