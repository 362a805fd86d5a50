//! What was found of a batch, as data, in the order of the JSON keys.

use serde::Serialize;

use crate::answer::Verdict;

/// The answer to `check --measured`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BatchAnswer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: &'static str,
    /// The name of the board.
    pub board: String,
    /// Whether all boards are inside.
    pub verdict: Verdict,
    /// The verdict on the board as the brief describes it.
    pub check: Verdict,
    /// What was found.
    #[serde(flatten)]
    pub findings: Findings,
}

/// What was found of a batch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Findings {
    /// One entry a board, in the order of the file.
    pub boards: Vec<BoardRow>,
    /// What all boards show together.
    pub batch: Summary,
}

/// One board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardRow {
    /// Its number or name.
    pub board: String,
    /// `inside` or `outside`.
    pub verdict: &'static str,
    /// What was measured of it.
    pub measured: Vec<MeasuredRow>,
    /// What is out, if something is: the most likely first, then what explains as much.
    pub suspects: Vec<Suspect>,
}

/// The word for a verdict on a board.
pub(super) const fn word(inside: bool) -> &'static str {
    if inside { "inside" } else { "outside" }
}

/// One measured value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredRow {
    /// The head of its column.
    pub what: String,
    /// What was measured.
    pub measured: f64,
    /// The least that a good new board shows.
    pub lowest: f64,
    /// The most.
    pub highest: f64,
    /// Whether it is between the two.
    pub inside: bool,
    /// How far it is outside: below is negative.
    pub outside_by: f64,
    /// The unit of all of them.
    pub unit: &'static str,
}

/// What alone may be out on a board.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Suspect {
    /// The input; null: shared by all inputs.
    pub input: Option<String>,
    /// A part by its role, `leakage`, a rail, `reference`, `supply of the bench`, `converter gain` or
    /// `converter offset`.
    pub suspect: String,
    /// What it would have to be, or what it was measured to be.
    pub would_be: f64,
    /// From here; null: however little.
    pub lowest: Option<f64>,
    /// To here; null: however much.
    pub highest: Option<f64>,
    /// The unit of these; empty for a share.
    pub unit: &'static str,
    /// How far that is off its nominal value, as a share; null where there is no share of it.
    pub off_by: Option<f64>,
    /// So many times its own tolerance it would have to be off, at least.
    pub tolerances: f64,
    /// So many counts of the board it explains, those inside included,
    pub explains: usize,
    /// of so many.
    pub counts: usize,
    /// Whether it was itself measured to be out.
    pub measured: bool,
    /// A standard value that it may be by mistake, in ohms.
    pub standard_ohm: Option<f64>,
}

/// What all boards of a batch show together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// How many boards there are.
    pub boards: usize,
    /// Those of which everything is inside.
    pub inside: usize,
    /// The others.
    pub outside: usize,
    /// One entry a column.
    pub columns: Vec<ColumnRow>,
    /// What is conspicuous.
    pub remarks: Vec<String>,
}

/// One column over all boards.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColumnRow {
    /// The head of the column.
    pub what: String,
    /// So many boards were measured.
    pub boards: usize,
    /// So many of them are inside.
    pub inside: usize,
    /// With everything at its nominal value; a count before truncation.
    pub nominal: f64,
    /// The mean of all boards; null: none was measured.
    pub mean: Option<f64>,
    /// The least that a good new board shows.
    pub lowest: f64,
    /// The most.
    pub highest: f64,
    /// How far the mean is from nominal: −1 at the lower limit, 1 at the upper one.
    pub position: Option<f64>,
    /// The unit of all of them but the last.
    pub unit: &'static str,
}
