//! What a reading is worth: three views, sources of error, random boards.

use super::GreatestError;

/// What a reading in the zone is worth.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct StackUp {
    /// Over life.
    pub life: View,
    /// On the bench.
    pub bench: View,
    /// Everything that may be off over life.
    pub sources: Vec<SourceRow>,
    /// Why the views differ, where they do.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub disagreements: Vec<String>,
}

/// The greatest error of a reading in the zone, in three views.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct View {
    /// In the worst case of everything.
    pub worst_case: GreatestError,
    /// With a coverage of 95 % by the root sum of squares, at the worst place.
    pub root_sum_of_squares: GreatestError,
    /// What 95 % of random boards keep all over the zone; absent where none were drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub monte_carlo: Option<Drawn>,
}

/// What most random boards keep.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Drawn {
    /// The error, in the unit.
    pub greatest: f64,
}

/// One source of error.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SourceRow {
    /// What is behind it, and where.
    #[serde(flatten)]
    pub of: SourceName,
    /// Its lower limit, less the nominal value.
    pub lowest: f64,
    /// Its upper limit, less the nominal value.
    pub highest: f64,
    /// The unit of the two.
    pub unit: &'static str,
    /// How it is spread between them.
    pub distribution: &'static str,
}

/// The name of a source of error.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SourceName {
    /// What is behind it.
    pub source: &'static str,
    /// The part, if it is one of a part; of parts that track the first.
    pub part: Option<&'static str>,
    /// The group in which that part tracks others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tracks: Option<String>,
    /// The rail, if it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rail: Option<String>,
    /// The input that corrects this one, if it is one of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub input: Option<String>,
    /// The point of the calibration, in the unit, if it was at work only there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calibrated_at: Option<f64>,
}

/// One source of error, judged by itself.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RankedRow {
    /// What is behind it, and where.
    #[serde(flatten)]
    pub of: SourceName,
    /// The greatest error in the zone before truncation with only this source off nominal, in the unit.
    pub error_alone: f64,
    /// Where it is greatest.
    pub at: f64,
    /// Its share of the variance where the worst case is greatest.
    pub share: f64,
    /// The next better grade that is sold; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_grade: Option<NextGrade>,
}

/// What a better grade would do.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct NextGrade {
    /// Its limit, either sign.
    pub to: f64,
    /// Of what: a share, or a share per kelvin.
    pub unit: &'static str,
    /// The greatest error in the worst case with it, in the unit.
    pub error: f64,
    /// By how much that is less.
    pub gain: f64,
}

/// What random boards show.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct MonteCarlo {
    /// What the generators started from.
    pub seed: u64,
    /// How many boards.
    pub boards: u64,
    /// The error that is allowed, in the unit; null: none is named.
    pub allowed_error: Option<f64>,
    /// The share of boards that keep it over life.
    #[serde(rename = "yield", skip_serializing_if = "Option::is_none")]
    pub share: Option<Yield>,
    /// The share of boards that keep it on the bench.
    #[serde(rename = "bench_yield", skip_serializing_if = "Option::is_none")]
    pub bench_share: Option<Yield>,
    /// The worst error of each board over life.
    pub histogram: Histogram,
}

/// A share of random boards with its interval of confidence.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Yield {
    /// The share.
    pub value: f64,
    /// The least that it may be.
    pub lowest: f64,
    /// The most that it may be.
    pub highest: f64,
    /// How sure that is.
    pub confidence: f64,
}

/// How many boards have their worst error where.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Histogram {
    /// Edges of the steps, in the unit: one more than steps. The last is the worst case.
    pub edges: Vec<f64>,
    /// Boards in each step.
    pub boards: Vec<u64>,
}
