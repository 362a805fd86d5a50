//! Cells with their text, before anything is made of them.

/// How readings are written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Rows of cells.
    Table,
    /// YAML with the key `readings`.
    Tree,
}

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Column {
    Value,
    Resistance,
    ValueAccuracy,
    ResistanceAccuracy,
}

impl Column {
    pub(super) const ALL: [Self; 4] =
        [Self::Value, Self::Resistance, Self::ValueAccuracy, Self::ResistanceAccuracy];

    /// Its name in the header of a table.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Resistance => "resistance",
            Self::ValueAccuracy => "value accuracy",
            Self::ResistanceAccuracy => "resistance accuracy",
        }
    }
}

/// One row of cells; a column that the table has not is `None`.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    /// The line, where a row has one of its own.
    pub(super) line: Option<usize>,
    pub(super) value: String,
    pub(super) resistance: String,
    pub(super) value_accuracy: Option<String>,
    pub(super) resistance_accuracy: Option<String>,
}

/// All cells and the units in front of them.
#[derive(Clone, Debug, Default)]
pub(super) struct Sheet {
    /// The unit of the values.
    pub(super) value_unit: Option<String>,
    /// The unit of the resistances.
    pub(super) resistance_unit: Option<String>,
    /// The unit of the accuracies of the values.
    pub(super) value_accuracy_unit: Option<String>,
    /// The unit of the accuracies of the resistances.
    pub(super) resistance_accuracy_unit: Option<String>,
    /// What holds for all values.
    pub(super) value_accuracy: Option<String>,
    /// What holds for all resistances.
    pub(super) resistance_accuracy: Option<String>,
    pub(super) rows: Vec<Row>,
}

/// What a mistake is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spot {
    /// The unit of a column.
    Unit(Column),
    /// An accuracy that holds for all rows.
    ForAll(Column),
    /// A row.
    Row(usize),
    /// A cell.
    Cell(usize, Column),
    /// A flag.
    Flag(&'static str),
}

/// A mistake.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Mistake {
    pub(super) spot: Spot,
    pub(super) found: String,
    pub(super) expected: String,
}
