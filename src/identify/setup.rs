//! What is known of the board and of the instruments beside the pairs.

use crate::quantity::{Counts, Fraction, Ohms, Volts};
use crate::series::Series;

/// What is known of the board and of the instruments beside the pairs.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Bits of the converter.
    pub bits: u8,
    /// The reference of the converter.
    pub reference: Volts,
    /// What the pull-up hangs on.
    pub excitation: Volts,
    /// What is known to hang from the node to ground besides the sender.
    pub existing: Option<Ohms>,
    /// Offset of the converter, either sign; the same in every pair.
    pub offset: Counts,
    /// Gain error of the converter, either sign; the same in every pair.
    pub gain: Fraction,
    /// Integral nonlinearity, either sign; another one in every pair.
    pub inl: Counts,
    /// Accuracy of the known resistance or voltage, either sign.
    pub known_accuracy: Fraction,
    /// Accuracy of a voltmeter at the pin, a share of its reading, either sign.
    pub pin_accuracy: Fraction,
    /// Series in which standard values are looked for.
    pub series: Vec<Series>,
    /// Tolerance of the part that is looked for.
    pub tolerance: Fraction,
}

impl Default for Setup {
    /// 10 bits, 5 V for reference and excitation, and the accuracy of a plain converter, decade box and voltmeter
    /// (common practice).
    fn default() -> Self {
        Self {
            bits: 10,
            reference: Volts(5.0),
            excitation: Volts(5.0),
            existing: None,
            offset: Counts(2.0),
            gain: Fraction(0.005),
            inl: Counts(1.0),
            known_accuracy: Fraction(0.001),
            pin_accuracy: Fraction(0.005),
            series: vec![Series::E24],
            tolerance: Fraction(0.01),
        }
    }
}

impl Setup {
    /// Counts of the full scale: 2^bits.
    pub(super) fn full_scale(&self) -> f64 {
        2_f64.powi(i32::from(self.bits))
    }

    /// The highest count there is.
    pub fn highest_count(&self) -> Counts {
        Counts(self.full_scale() - 1.0)
    }
}
