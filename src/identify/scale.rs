//! Readings as shares of the full scale, with what may be wrong with each of them.

use super::pairs::Reading;
use super::setup::Setup;
use crate::quantity::Counts;

/// The last digits of a plain voltmeter, in volts (common practice).
const LAST_DIGITS: f64 = 0.002;

/// A reading as a share of the full scale: |true − share| ≤ accuracy, before offset and gain of the converter.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shared {
    pub(super) share: f64,
    pub(super) accuracy: f64,
}

/// How readings are counted, and what of their error is the same for all of them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    /// The full scale in the unit of the readings.
    pub(super) full: f64,
    /// `counts` or `V`.
    pub(super) unit: &'static str,
    /// Gain error of the converter, either sign.
    pub(super) gain: f64,
    /// Offset of the converter, either sign, a share of the full scale.
    pub(super) offset: f64,
}

impl Scale {
    /// The scale of readings of this kind: a voltmeter at the pin leaves the converter out.
    pub(super) fn of(reading: Reading, setup: &Setup) -> Self {
        let full = setup.full_scale();
        match reading {
            Reading::Count { .. } => {
                Self { full, unit: "counts", gain: setup.gain.0, offset: setup.offset.0 / full }
            }
            Reading::Pin { .. } => Self { full: setup.reference.0, unit: "V", gain: 0.0, offset: 0.0 },
        }
    }
}

impl Reading {
    /// The reading in its unit.
    pub(super) fn number(self) -> f64 {
        match self {
            Self::Count { count, .. } => count.0,
            Self::Pin { voltage, .. } => voltage.0,
        }
    }

    /// The middle of what was truncated, with half a count, nonlinearity and its own accuracy on either side.
    pub(super) fn shared(self, setup: &Setup) -> Shared {
        let full = setup.full_scale();
        match self {
            Self::Count { count, accuracy } => {
                Shared { share: (count.0 + 0.5) / full, accuracy: (0.5 + setup.inl.0 + accuracy.0) / full }
            }
            Self::Pin { voltage, accuracy } => {
                let plain = voltage.0.abs() * setup.pin_accuracy.0 + LAST_DIGITS;
                Shared {
                    share: voltage.0 / setup.reference.0,
                    accuracy: accuracy.map_or(plain, |accuracy| accuracy.0) / setup.reference.0,
                }
            }
        }
    }

    /// Why the reading tells nothing: the converter holds what lies outside its range.
    pub(super) fn held(self, setup: &Setup) -> Option<&'static str> {
        match self {
            Self::Count { count, .. } if count <= Counts(0.0) => Some("held at 0"),
            Self::Count { count, .. } if count >= setup.highest_count() => Some("held at full scale"),
            _ => None,
        }
    }
}
