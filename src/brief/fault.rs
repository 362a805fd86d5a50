//! What is wrong with a brief.

use std::fmt;

use serde::Serialize;

/// One mistake of a brief or of a question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// The file; none for a question asked through flags.
    pub file: Option<String>,
    /// The line, counted from 1.
    pub line: Option<usize>,
    /// The column in characters, counted from 1.
    pub column: Option<usize>,
    /// The full key such as `inputs.diesel.wire`, or the flag such as `--wire`; empty where the file as a whole is
    /// meant.
    pub key: String,
    /// What stands there.
    pub found: String,
    /// What would be right.
    pub expected: String,
    /// The line of the file, to be shown to people.
    #[serde(skip)]
    pub source_line: Option<String>,
}

impl Fault {
    /// A fault of a file as a whole.
    pub fn of_file(file: &str, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            file: Some(file.to_owned()),
            line: None,
            column: None,
            key: String::new(),
            found: found.into(),
            expected: expected.into(),
            source_line: None,
        }
    }
}

impl fmt::Display for Fault {
    /// `board.yaml:12:18: inputs.diesel.wire: XX below it the line with a mark.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{file}:")?;
            for number in [self.line, self.column].into_iter().flatten() {
                write!(f, "{number}:")?;
            }
            write!(f, " ")?;
        }
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        write!(f, "found {}; expected {}", self.found, self.expected)?;
        if let (Some(line), Some(column)) = (&self.source_line, self.column) {
            let (excerpt, mark) = excerpt(line, column);
            write!(f, "\n    {excerpt}\n    {}^", " ".repeat(mark))?;
        }
        Ok(())
    }
}

/// The part of a line around a column that fits on a terminal, and how many characters stand before the column.
fn excerpt(line: &str, column: usize) -> (String, usize) {
    const WIDTH: usize = 72;
    let at = column.saturating_sub(1);
    let from = if at < WIDTH { 0 } else { at - WIDTH / 2 };
    let calm = |c: char| if c.is_control() { ' ' } else { c };
    let shown: String = line.chars().skip(from).take(WIDTH).map(calm).collect();
    (shown.trim_end().to_owned(), at - from)
}

/// Everything that is wrong with a brief: never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            let gap = if i == 0 { "" } else { "\n" };
            write!(f, "{gap}{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_prints_place_key_and_source_line() {
        let fault = Fault {
            file: Some("board.yaml".to_owned()),
            line: Some(12),
            column: Some(11),
            key: "inputs.diesel.wire".to_owned(),
            found: "`4,7 k` (a decimal comma)".to_owned(),
            expected: "a decimal point: `4.7 k`".to_owned(),
            source_line: Some("    wire: 4,7 k".to_owned()),
        };
        let shown = "board.yaml:12:11: inputs.diesel.wire: found `4,7 k` (a decimal comma); expected a decimal point: \
                     `4.7 k`\n        wire: 4,7 k\n              ^";
        assert_eq!(fault.to_string(), shown);
    }

    #[test]
    fn a_long_line_is_shown_around_the_place() {
        let (shown, mark) = excerpt(&format!("{}X{}", "a".repeat(500), "b".repeat(500)), 501);
        assert_eq!(shown.chars().nth(mark), Some('X'));
        assert_eq!(shown.chars().count(), 72);
    }
}
