//! Kinds of senders.

use serde::Serialize;

/// How a sender is described, simpler kinds first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Platinum after IEC 60751 with a resistance at 0 °C.
    Platinum,
    /// A thermistor by its beta.
    Beta,
    /// A thermistor by three coefficients.
    SteinhartHart,
    /// Straight between the readings.
    Linear,
    /// A monotone cubic through the readings.
    Monotone,
}

impl Kind {
    /// All kinds, simpler ones first.
    pub const ALL: [Self; 5] =
        [Self::Platinum, Self::Beta, Self::SteinhartHart, Self::Linear, Self::Monotone];

    /// The word for the kind in flags and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Platinum => "platinum",
            Self::Beta => "beta",
            Self::SteinhartHart => "steinhart-hart",
            Self::Linear => "linear",
            Self::Monotone => "monotone",
        }
    }

    /// The name of the kind in sentences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Platinum => "platinum",
            Self::Beta => "Beta",
            Self::SteinhartHart => "Steinhart-Hart",
            Self::Linear => "straight between the readings",
            Self::Monotone => "a monotone cubic through the readings",
        }
    }

    /// How many coefficients a law has; `None` if the kind is no law but the readings themselves.
    pub const fn coefficients(self) -> Option<usize> {
        match self {
            Self::Platinum => Some(1),
            Self::Beta => Some(2),
            Self::SteinhartHart => Some(3),
            Self::Linear | Self::Monotone => None,
        }
    }

    /// Whether the kind is a law over temperature.
    pub const fn is_law(self) -> bool {
        self.coefficients().is_some()
    }
}
