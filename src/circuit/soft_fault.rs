//! What is wrong with a wire and moves the reading, while no count gives it away.

use crate::board::{Drive, Input};
use crate::quantity::Ohms;

/// A resistance that nobody has put there (values: common practice).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SoftFault {
    /// In the wire: a bad contact.
    Series(Ohms),
    /// Across the sender, or from the wire to remote ground: moisture. Behind the resistance of the wire.
    Across(Ohms),
}

impl SoftFault {
    /// All that are examined.
    pub const ALL: [Self; 3] = [Self::Series(Ohms(5.0)), Self::Series(Ohms(20.0)), Self::Across(Ohms(10e3))];

    /// Its resistance.
    pub const fn resistance(self) -> Ohms {
        match self {
            Self::Series(ohms) | Self::Across(ohms) => ohms,
        }
    }

    /// The name in answers.
    pub fn name(self) -> String {
        match self {
            Self::Series(ohms) => format!("{ohms} in series"),
            Self::Across(ohms) => format!("{ohms} across"),
        }
    }

    /// Those that move what an input reads: a transmitter drives its current through any contact.
    pub fn of(input: &Input) -> &'static [Self] {
        match input.drive {
            Drive::Sender(_) | Drive::Signal(_) => &Self::ALL,
            Drive::Current(_) => &[],
        }
    }
}
