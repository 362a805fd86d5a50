//! Known resistances in place of the sender: the pull-up.

use super::answer::{Alone, Deviation, Explanation, Findings, Row, Value, Verdict};
use super::cause::Cause;
use super::line::Ends;
use super::node::{Node, Of, Point, Solution};
use super::pairs::Pair;
use super::scale::Scale;
use super::setup::Setup;
use super::verdict::{Judgement, Kind, all_pairs, judge, left_out, possible, standard, suspicion, told};
use crate::quantity::Ohms;

/// An offset, as a share of the full scale, that no converter has nor any ground.
const UNLIKELY: f64 = 0.25;

/// Explains pairs of a resistance and a reading.
pub(super) fn identify(pairs: &[Pair<Ohms>], setup: &Setup) -> Findings {
    let scale = pairs.first().map(|pair| Scale::of(pair.read, setup));
    let node = Node {
        points: pairs
            .iter()
            .filter(|pair| pair.read.held(setup).is_none())
            .map(|p| point(p, setup))
            .collect(),
        feed: setup.excitation / setup.reference,
        existing: setup.existing.map_or(f64::INFINITY, |existing| existing.0),
        known: setup.known_accuracy.0,
        scale: scale.unwrap_or(Scale { full: 1.0, unit: "counts", gain: 0.0, offset: 0.0 }),
    };
    let rows: Vec<Row> = pairs.iter().map(|pair| row(pair, &node, setup)).collect();
    let judgement = judge(&Resistances { node: &node, setup }, &node.points);
    let summary = summary(&rows, &judgement);
    Findings {
        about: "pull-up",
        verdict: judgement.verdict,
        remarks: remarks(&judgement.explanations, &rows),
        summary,
        pairs: rows,
        explanations: judgement.explanations,
    }
}

/// Pairs that should come from a node.
struct Resistances<'a> {
    node: &'a Node,
    setup: &'a Setup,
}

impl Resistances<'_> {
    fn with(&self, points: &[Point]) -> Node {
        Node { points: points.to_vec(), ..self.node.clone() }
    }
}

impl Kind for Resistances<'_> {
    type Point = Point;

    fn line_of(&self, point: &Point) -> usize {
        point.line
    }

    fn explain(&self, points: &[Point]) -> Vec<Explanation> {
        explanations(&self.with(points), self.setup)
    }

    fn strain(&self, points: &[Point]) -> f64 {
        let node = self.with(points);
        let checked = Cause::ALL.into_iter().filter(|cause| cause.unknowns() < points.len());
        let shares = checked.flat_map(|cause| node.solutions(cause)).map(|solution| solution.best.share);
        shares.fold(f64::INFINITY, f64::min)
    }
}

fn point(pair: &Pair<Ohms>, setup: &Setup) -> Point {
    Point { line: pair.line, r: pair.known.0, read: pair.read.shared(setup) }
}

fn row(pair: &Pair<Ohms>, node: &Node, setup: &Setup) -> Row {
    let left_out = pair.read.held(setup);
    Row {
        line: pair.line,
        known: pair.known.0,
        known_unit: "Ω",
        read: pair.read.number(),
        read_unit: node.scale.unit,
        alone: left_out.is_none().then(|| alone(&point(pair, setup), node)).flatten(),
        left_out,
    }
}

/// What one pair says of the pull-up: P = (E/V − 1)·(R parallel to what is known to hang there). Nothing at 0 Ω.
fn alone(point: &Point, node: &Node) -> Option<Alone> {
    let parallel = 1.0 / (1.0 / point.r + 1.0 / node.existing);
    let pull_up = |read: f64, gain: f64, known: f64| {
        let share = if read > 0.0 { node.feed * gain / read } else { f64::INFINITY };
        ((share - 1.0) * parallel * known).max(0.0)
    };
    let off = point.read.accuracy + node.scale.offset;
    let (gain, known) = (node.scale.gain, node.known);
    (point.r > 0.0).then(|| Alone {
        value: pull_up(point.read.share, 1.0, 1.0),
        lowest: pull_up(point.read.share + off, 1.0 - gain, 1.0 - known),
        highest: pull_up(point.read.share - off, 1.0 + gain, 1.0 + known),
        unit: "Ω",
    })
}

/// Explanations of the points that do not need more unknowns than there are points, nor more than those that the
/// points check.
fn explanations(node: &Node, setup: &Setup) -> Vec<Explanation> {
    let mut found: Vec<Explanation> = Vec::new();
    for cause in Cause::ALL.into_iter().filter(|cause| cause.unknowns() <= node.points.len()) {
        if found.iter().any(|simpler| simpler.checked && simpler.unknowns < cause.unknowns()) {
            break;
        }
        for solution in node.solutions(cause).into_iter().filter(Solution::explains) {
            let reading = Told { node, setup, cause, solution };
            found.extend(reading.all().into_iter().filter(|e| e.checked || reading.is_likely()));
        }
    }
    found
}

/// One solution, put into the words of the circuit.
struct Told<'a> {
    node: &'a Node,
    setup: &'a Setup,
    cause: Cause,
    solution: Solution,
}

impl Told<'_> {
    /// Most solutions can be read in more than one way; only readings with real parts are given.
    fn all(&self) -> Vec<Explanation> {
        match self.cause {
            Cause::PullUp => vec![self.explanation("a pull-up alone", vec![self.pull_up()])],
            Cause::Offset => {
                vec![self.explanation("a pull-up and an offset", vec![self.pull_up(), self.offset()])]
            }
            Cause::Gain => {
                let gain = vec![self.pull_up(), self.gain(), self.excitation()];
                let mut all = vec![self.explanation("a pull-up and another gain or excitation", gain)];
                all.extend(
                    self.shunt().map(|values| self.explanation("a pull-up and a shunt to ground", values)),
                );
                all
            }
            Cause::Shift => {
                let shift = vec![self.pull_up(), self.shift()];
                let mut all = vec![self.explanation("a pull-up and a shifted ground of the sender", shift)];
                all.extend(
                    self.wire()
                        .map(|values| self.explanation("a pull-up and resistance in the wire", values)),
                );
                all
            }
            Cause::OffsetAndGain => {
                let values = vec![self.pull_up(), self.offset(), self.gain(), self.excitation()];
                vec![self.explanation("a pull-up, an offset and another gain or excitation", values)]
            }
        }
    }

    /// Where nothing checks it, an offset of more than a quarter of the full scale is no offset but another root.
    fn is_likely(&self) -> bool {
        !self.cause.frees_offset() || self.solution.best.u[2].abs() <= UNLIKELY
    }

    fn explanation(&self, cause: &'static str, values: Vec<Value>) -> Explanation {
        Explanation {
            cause,
            unknowns: self.cause.unknowns(),
            checked: self.node.points.len() > self.cause.unknowns(),
            accuracy_used: self.solution.best.share,
            values,
            deviations: self.node.points.iter().map(|point| self.deviation(point)).collect(),
        }
    }

    /// Against an ideal converter: what its accuracy would explain stays in sight.
    fn deviation(&self, point: &Point) -> Deviation {
        let [gain, shift, offset] = self.solution.best.u;
        let gain = if self.cause.frees_gain() { gain } else { 1.0 };
        let offset = if self.cause.frees_offset() { offset } else { 0.0 };
        let c = self.solution.c;
        let near_ground = c / (point.r + c);
        let top = gain * (1.0 - c / self.node.existing);
        let calculated = self.node.feed * (top * (1.0 - near_ground) + shift * near_ground) + offset;
        let full = self.node.scale.full;
        Deviation { line: point.line, read_minus_calculated: (point.read.share - calculated) * full }
    }

    fn resistor(&self, value: f64, ends: (f64, f64)) -> Value {
        let value = Value::of("pull_up", "Ω", Ends::new(value, ends));
        let (standard_ohm, next_ohm) = standard(self.setup, value.value, value.lowest, value.highest);
        Value { standard_ohm, next_ohm, ..value }
    }

    /// c is the pull-up parallel to what is known to hang there.
    fn pull_up(&self) -> Value {
        let of = |c: f64| if c.is_infinite() { c } else { c / (1.0 - c / self.node.existing).max(0.0) };
        let Solution { c, lowest, highest, .. } = self.solution;
        self.resistor(of(c), (of(lowest), of(highest)))
    }

    fn range(&self, of: Of, value: impl Fn(f64, f64) -> f64) -> (f64, f64) {
        self.node.range(self.cause, &self.solution, of, value)
    }

    fn offset(&self) -> Value {
        let full = self.node.scale.full;
        let ends = self.range(Of::Offset, |_, offset| offset * full);
        Value::of("offset", self.node.scale.unit, Ends::new(self.solution.best.u[2] * full, ends))
    }

    /// Everything that multiplies, the converter's own gain included.
    fn gain(&self) -> Value {
        let ends = self.range(Of::Gain, |_, gain| gain - 1.0);
        Value::of("gain", "", Ends::new(self.solution.best.u[0] - 1.0, ends))
    }

    /// What the excitation would have to be, if the gain is right within its figure.
    fn excitation(&self) -> Value {
        let volts = self.setup.excitation.0;
        let ends = self.range(Of::GainOutside, |_, gain| gain * volts);
        Value::of("excitation", "V", Ends::new(self.solution.best.u[0] * volts, ends))
    }

    fn shift(&self) -> Value {
        let volts = self.setup.excitation.0;
        let ends = self.range(Of::Shift, |_, shift| shift * volts);
        Value::of("ground_shift", "V", Ends::new(self.solution.best.u[1] * volts, ends))
    }

    /// A shunt S to ground makes of the pull-up P a source of S/(S + P) behind P·S/(S + P).
    fn shunt(&self) -> Option<Vec<Value>> {
        let existing = self.node.existing;
        let known = move |c: f64, gain: f64| gain * (1.0 - c / existing);
        let pull_up = move |c: f64, gain: f64| c / known(c, gain).max(0.0);
        let shunt = move |c: f64, gain: f64| {
            let conductance = (1.0 - known(c, gain)) / c - 1.0 / existing;
            if conductance > 0.0 { 1.0 / conductance } else { f64::INFINITY }
        };
        let (c, gain) = (self.solution.c, self.solution.best.u[0]);
        if !shunt(c, gain).is_finite() || gain <= 0.0 {
            return None;
        }
        let ends = self.range(Of::GainOutside, shunt);
        Some(vec![
            self.resistor(pull_up(c, gain), self.range(Of::GainOutside, pull_up)),
            Value::of("shunt", "Ω", Ends::new(shunt(c, gain), ends)),
        ])
    }

    /// With w in the wire, α·(R + w)/(R + w + P) is α·R/(R + c) + α·w/(R + c) with c = P + w: a shift of β = α·w/c. Where
    /// something else hangs on the node this is not exact, and not offered.
    fn wire(&self) -> Option<Vec<Value>> {
        let (c, [gain, shift, _]) = (self.solution.c, self.solution.best.u);
        let ratio = shift / gain;
        if self.node.existing.is_finite() || !(ratio > 0.0 && ratio < 1.0) {
            return None;
        }
        let part = |ratio: f64| ratio.clamp(0.0, 1.0);
        let wire = self.range(Of::ShiftToGain, |c, ratio| c * part(ratio));
        let pull_up = self.range(Of::ShiftToGain, |c, ratio| c * (1.0 - part(ratio)));
        Some(vec![
            self.resistor(c * (1.0 - ratio), pull_up),
            Value::of("wire", "Ω", Ends::new(c * ratio, wire)),
        ])
    }
}

fn summary(rows: &[Row], judgement: &Judgement) -> Vec<String> {
    let used = rows.iter().filter(|row| row.left_out.is_none()).count();
    let mut sentences = Vec::new();
    match (judgement.verdict, judgement.explanations.first()) {
        (Verdict::Agree, Some(first)) => {
            sentences.push(format!("{} come from {}: {}.", all_pairs(used), first.cause, told(first)));
        }
        (Verdict::OtherCircuit, _) => {
            sentences.push(
                "These pairs do not come from a pull-up: neither an offset, a gain, a shunt, a shifted ground nor \
                 resistance in the wire explains them all."
                    .to_owned(),
            );
        }
        _ => sentences.push(contradiction(rows)),
    }
    sentences.extend(suspicion(judgement));
    if judgement.verdict == Verdict::Contradict {
        sentences.push(possible(&judgement.explanations));
    }
    sentences
}

/// The two pairs that are farthest apart.
fn contradiction(rows: &[Row]) -> String {
    let told = |(line, alone): (usize, Alone)| {
        let [value, lowest, highest] = [alone.value, alone.lowest, alone.highest].map(Ohms);
        format!("line {line} alone says {value} ({lowest} .. {highest})")
    };
    let alone = || rows.iter().filter_map(|row| Some((row.line, row.alone?)));
    let least = alone().min_by(|a, b| a.1.highest.total_cmp(&b.1.highest));
    let most = alone().max_by(|a, b| a.1.lowest.total_cmp(&b.1.lowest));
    match (least, most) {
        (Some(least), Some(most)) if least.1.highest < most.1.lowest => {
            format!("The pairs contradict each other: {}, {}.", told(most), told(least))
        }
        _ => "The pairs contradict each other: no single pull-up serves them all, although each pair alone \
              leaves room for one."
            .to_owned(),
    }
}

fn remarks(explanations: &[Explanation], rows: &[Row]) -> Vec<String> {
    let has = |cause: &str| explanations.iter().any(|e| e.cause.contains(cause));
    let mut remarks = Vec::new();
    if has("another gain") {
        let shunt = if has("shunt") { " and, where it is below 1, from a shunt at the node" } else { "" };
        remarks.push(format!(
            "From outside another excitation cannot be told from another gain of the converter{shunt}."
        ));
    }
    if has("resistance in the wire") {
        remarks.push(
            "A shifted ground and resistance in the wire give the same readings: measure the wire, or the voltage \
             between the two grounds."
                .to_owned(),
        );
    }
    if explanations.len() > 1 && explanations.iter().all(|e| e.checked) {
        let others: Vec<String> =
            explanations.iter().skip(1).map(|e| format!("{} ({})", e.cause, told(e))).collect();
        remarks.push(format!("Would explain the pairs as well: {}.", others.join("; ")));
    }
    remarks.extend(left_out(rows));
    remarks
}
