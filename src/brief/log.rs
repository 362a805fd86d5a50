//! What a reading of a brief gives beside the board: mistakes, defaults and remarks.

use std::cell::RefCell;

use super::fault::{Fault, Faults};
use super::path::{Path, Step};
use super::place::{At, Trouble, locate};
use super::words::counted;
use crate::board::Assumed;

/// Mistakes that are listed one by one. Each costs a look at the text, and nobody corrects more at once.
const LISTED: usize = 50;

/// The keys of a brief in the order in which its template lists them.
const TEMPLATE: [&str; 16] = [
    "board",
    "supply.lowest",
    "supply.usual",
    "supply.highest",
    "supply.contact",
    "supply.surge",
    "supply.reversed",
    "supply.jump_start",
    "supply.cranking",
    "supply.change_between_samples",
    "ambient",
    "rails",
    "converter",
    "resistors",
    "limits",
    "bench",
];

/// A mistake with its place in the tree.
#[derive(Clone, Debug)]
struct Mistake {
    path: Path,
    at: At,
    found: String,
    expected: String,
}

/// Collects while the tree is read.
#[derive(Debug, Default)]
pub(super) struct Log {
    mistakes: RefCell<Vec<Mistake>>,
    /// Mistakes beyond those that are listed.
    unlisted: RefCell<usize>,
    assumed: RefCell<Vec<Assumed>>,
    remarks: RefCell<Vec<String>>,
    doubts: RefCell<Vec<String>>,
    /// Mistakes in other files, which this one includes.
    foreign: RefCell<Vec<Fault>>,
}

/// What a reading without mistakes leaves beside the board.
#[derive(Debug)]
pub(super) struct Notes {
    pub(super) assumed: Vec<Assumed>,
    pub(super) remarks: Vec<String>,
    pub(super) doubts: Vec<String>,
}

impl Log {
    pub(super) fn mistake(&self, path: &Path, at: At, found: impl Into<String>, expected: impl Into<String>) {
        if self.is_full() {
            *self.unlisted.borrow_mut() += 1;
            return;
        }
        let (found, expected) = (found.into(), expected.into());
        self.mistakes.borrow_mut().push(Mistake { path: path.clone(), at, found, expected });
    }

    /// Notes a default.
    pub(super) fn assume(&self, path: &Path, value: impl Into<String>) {
        self.assumed.borrow_mut().push(Assumed { key: path.to_string(), value: value.into() });
    }

    /// Forgets the default of a key that turned out not to matter.
    pub(super) fn forget(&self, key: &str) {
        self.assumed.borrow_mut().retain(|assumed| assumed.key != key);
    }

    /// Notes what is wrong with another file.
    pub(super) fn foreign(&self, faults: Faults) {
        self.foreign.borrow_mut().extend(faults.0);
    }

    pub(super) fn remark(&self, text: impl Into<String>) {
        self.remarks.borrow_mut().push(text.into());
    }

    pub(super) fn doubt(&self, text: impl Into<String>) {
        self.doubts.borrow_mut().push(text.into());
    }

    pub(super) fn has_mistake_at(&self, path: &Path) -> bool {
        self.mistakes.borrow().iter().any(|mistake| mistake.path == *path)
    }

    /// Whether further mistakes are only counted.
    pub(super) fn is_full(&self) -> bool {
        self.mistakes.borrow().len() >= LISTED
    }

    pub(super) fn is_clean(&self) -> bool {
        self.mistakes.borrow().is_empty() && self.foreign.borrow().is_empty()
    }

    /// Defaults in the order of the template, remarks, and doubts.
    pub(super) fn into_notes(self) -> Notes {
        let mut assumed = self.assumed.into_inner();
        // Some defaults are known late, and the sort is stable.
        assumed.sort_by_key(|assumed| {
            TEMPLATE.iter().position(|key| assumed.key.starts_with(key)).unwrap_or(TEMPLATE.len())
        });
        Notes { assumed, remarks: self.remarks.into_inner(), doubts: self.doubts.into_inner() }
    }

    /// The mistakes of a file, in the order of its lines.
    pub(super) fn into_faults_of_file(self, file: &str, text: &str) -> Faults {
        let mistakes = self.mistakes.into_inner().into_iter();
        let mut faults: Vec<Fault> = mistakes.map(|mistake| fault_of_file(mistake, file, text)).collect();
        faults.sort_by_key(|fault| (fault.line, fault.column));
        let more = self.unlisted.into_inner();
        if more > 0 {
            let found = counted(more, "more mistake", "more mistakes");
            faults.push(Fault::of_file(file, found, "those above corrected first"));
        }
        faults.extend(self.foreign.into_inner());
        Faults(faults)
    }

    /// The mistakes of a question, each under the flag that leads nearest to it.
    pub(super) fn into_faults_of_question(self, flags: &[(Vec<String>, String)]) -> Faults {
        let fault = |mistake: Mistake| {
            let leading = flags.iter().filter(|(path, _)| mistake.path.starts_with(path));
            let flag = leading.max_by_key(|(path, _)| path.len()).map(|(_, flag)| flag.clone());
            Fault {
                file: None,
                line: None,
                column: None,
                key: flag.unwrap_or_else(|| mistake.path.to_string()),
                found: mistake.found,
                expected: mistake.expected,
                source_line: None,
            }
        };
        let own = self.mistakes.into_inner().into_iter().map(fault);
        Faults(own.chain(self.foreign.into_inner()).collect())
    }
}

/// The fault of a text that cannot be read as YAML.
pub(super) fn fault_of_text(trouble: Trouble, file: &str, bytes: &[u8]) -> Fault {
    let line = trouble.place.map(|place| place.line);
    let text = String::from_utf8_lossy(bytes);
    Fault {
        line,
        column: trouble.place.map(|place| place.column),
        source_line: line.and_then(|line| source_line(&text, line)),
        ..Fault::of_file(file, trouble.found, trouble.expected)
    }
}

fn fault_of_file(mistake: Mistake, file: &str, text: &str) -> Fault {
    // What is missing has no place: its map has, by the key in front of it.
    let mut place = locate(text, mistake.path.steps(), mistake.at);
    let mut outer = mistake.path.steps();
    while let (None, Some((_, rest))) = (place, outer.split_last()) {
        outer = rest;
        let at = if matches!(outer.last(), Some(Step::Item(_))) { At::Value } else { At::Key };
        place = if outer.is_empty() { None } else { locate(text, outer, at) };
    }
    Fault {
        line: place.map(|place| place.line),
        column: place.map(|place| place.column),
        key: mistake.path.to_string(),
        source_line: place.and_then(|place| source_line(text, place.line)),
        ..Fault::of_file(file, mistake.found, mistake.expected)
    }
}

fn source_line(text: &str, line: usize) -> Option<String> {
    let line = text.split('\n').nth(line.checked_sub(1)?)?;
    let line = line.strip_prefix('\u{feff}').unwrap_or(line);
    Some(line.trim_end_matches('\r').to_owned())
}
