//! Pairs of something known and what was read for it.

use crate::quantity::{Counts, Ohms, Volts};

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// A count of the converter, as it truncates.
    Count {
        /// The count.
        count: Counts,
        /// How far it may be off besides truncation and nonlinearity: noise, or a reading that moved.
        accuracy: Counts,
    },
    /// The voltage at the pin, read from a voltmeter.
    Pin {
        /// The voltage.
        voltage: Volts,
        /// How far it may be off; none: as good as a plain voltmeter.
        accuracy: Option<Volts>,
    },
}

/// One row of a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair<Q> {
    /// Its line in the file.
    pub line: usize,
    /// What is known.
    pub known: Q,
    /// What was read.
    pub read: Reading,
}

/// All rows of a file: each known value occurs once.
#[derive(Clone, Debug, PartialEq)]
pub enum Pairs {
    /// Resistances in place of the sender.
    Resistances(Vec<Pair<Ohms>>),
    /// Voltages at the input.
    Voltages(Vec<Pair<Volts>>),
    /// Counts that should have been read.
    Expected(Vec<Pair<Counts>>),
}
