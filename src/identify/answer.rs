//! What was found, as data, in the order of the JSON keys.

use serde::Serialize;

use super::line::Ends;

/// What the pairs say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// One explanation serves all pairs, and there were more pairs than it has unknowns.
    Agree,
    /// They contradict each other.
    Contradict,
    /// They do not come from such a circuit at all.
    OtherCircuit,
}

/// The answer to `identify`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// `pull-up`, `divider` or `expected counts`: what the pairs are about.
    pub about: &'static str,
    /// What the pairs say.
    pub verdict: Verdict,
    /// The verdict in sentences.
    pub summary: Vec<String>,
    /// All pairs, in the order of the file.
    pub pairs: Vec<Row>,
    /// Every cause that would explain the pairs, the simplest first; the first one is the answer if the pairs agree.
    pub explanations: Vec<Explanation>,
    /// What else is worth knowing.
    pub remarks: Vec<String>,
}

impl Findings {
    /// What can be said where there is no pair.
    pub(super) const fn nothing(about: &'static str) -> Self {
        Self {
            about,
            verdict: Verdict::Contradict,
            summary: Vec::new(),
            pairs: Vec::new(),
            explanations: Vec::new(),
            remarks: Vec::new(),
        }
    }

    /// Whether enough pairs are left: two, each with its reading inside the range of the converter.
    pub fn usable(&self) -> bool {
        self.pairs.iter().filter(|row| row.left_out.is_none()).count() >= 2
    }

    /// The explanation of all pairs, if they agree.
    pub fn answer(&self) -> Option<&Explanation> {
        self.explanations.first().filter(|_| self.verdict == Verdict::Agree)
    }
}

/// One pair, and what it says alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Its line in the file.
    pub line: usize,
    /// What is known, in ohms, volts or counts.
    pub known: f64,
    /// The unit of `known`: `Ω`, `V` or `counts`.
    pub known_unit: &'static str,
    /// What was read, in counts or volts.
    pub read: f64,
    /// The unit of `read`: `counts` or `V`.
    pub read_unit: &'static str,
    /// What it says alone: about the pull-up in ohms, about the ratio, or about the difference to what was expected in
    /// counts.
    pub alone: Option<Alone>,
    /// Why it was left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_out: Option<&'static str>,
}

/// What one pair says alone.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Alone {
    /// With nothing off nominal.
    pub value: f64,
    /// The least value that the accuracy leaves open.
    pub lowest: f64,
    /// The greatest one; infinite (null) where nothing bounds it.
    pub highest: f64,
    /// `Ω`, `counts`, or empty for a ratio.
    pub unit: &'static str,
}

/// One cause that explains all pairs within their accuracy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// What the circuit consists of.
    pub cause: &'static str,
    /// How many values had to be found from the pairs.
    pub unknowns: usize,
    /// Whether there are more pairs than unknowns, so that the pairs check it.
    pub checked: bool,
    /// The least share of the stated accuracy with which it explains all pairs: up to 1.
    pub accuracy_used: f64,
    /// What was identified.
    pub values: Vec<Value>,
    /// What was read minus what these values would give with an ideal converter, pair by pair, in the unit of the
    /// reading; pairs that were left out have none.
    pub deviations: Vec<Deviation>,
}

/// What remains of one reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Deviation {
    /// The line of the pair.
    pub line: usize,
    /// What was read minus what was calculated.
    pub read_minus_calculated: f64,
}

impl Explanation {
    /// The value of this name.
    pub fn value(&self, name: &str) -> Option<&Value> {
        self.values.iter().find(|value| value.name == name)
    }
}

/// One identified value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Value {
    /// What it is: `pull_up`, `ratio`, `offset`, `gain`, `excitation`, `shunt`, `ground_shift` or `wire`.
    pub name: &'static str,
    /// The value.
    pub value: f64,
    /// The least value with which everything stays within its accuracy.
    pub lowest: f64,
    /// The greatest one; infinite (null) where the pairs do not bound it.
    pub highest: f64,
    /// `Ω`, `V`, `counts`, or empty for a ratio or gain.
    pub unit: &'static str,
    /// Standard values that, with their tolerance, can be meant; the nearest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub standard_ohm: Vec<f64>,
    /// The next smaller and the next larger standard value.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub next_ohm: Vec<f64>,
}

impl Value {
    /// A value that is no standard part. The best value is inside its ends; where rounding says otherwise, it stands
    /// for the end.
    pub(super) fn of(name: &'static str, unit: &'static str, ends: Ends) -> Self {
        let Ends { value, lowest, highest } = ends;
        let (lowest, highest) = (lowest.min(value), highest.max(value));
        Self { name, value, lowest, highest, unit, standard_ohm: Vec::new(), next_ohm: Vec::new() }
    }
}
