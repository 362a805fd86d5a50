//! The pin of one board as a function of what is at the far end.

use crate::chain::Source;
use crate::quantity::{Amperes, Volts};

/// What is at the far end, in its base unit: the ohms of a sender with its wire, the volts of a source, or the amperes of a
/// transmitter.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct FarEnd(pub f64);

/// The pin of one board as a Möbius function of the far end.
///
/// Every step of a chain is linear in the three numbers of its source, so the pin sees base + far·by: the three numbers
/// are affine in the far end. Of the resistance behind a clamp in front of the pin only the share that the leakage sees
/// counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transfer {
    pub(super) base: Source,
    pub(super) by: Source,
    /// Whether nothing can move the clamped node, wherever the far end is.
    pub(crate) is_stiff: bool,
}

impl Default for Transfer {
    fn default() -> Self {
        Self { base: Source::OPEN, by: Source::OPEN, is_stiff: false }
    }
}

impl Transfer {
    /// The voltage of the pin with a leakage current into it; no clamp conducts.
    pub fn pin(&self, far: FarEnd, leakage: Amperes) -> Volts {
        let (base, by) = (self.base.numbers(), self.by.numbers());
        let [n, d, m] = std::array::from_fn(|k| base[k] + far.0 * by[k]);
        Volts((n + leakage.0 * m) / d)
    }

    /// The far end at which the pin sits at `v`; unlimited if it never gets there. The pin rises or falls with the far
    /// end all the way, towards where `by` alone would hold it.
    pub fn far_at(&self, v: Volts, leakage: Amperes) -> FarEnd {
        let (below, ever) = (self.base.excess_with(leakage, v), self.by.excess_with(leakage, v));
        FarEnd(if ever * self.determinant(leakage) <= 0.0 { f64::INFINITY } else { -below / ever })
    }

    /// The determinant of the two sources with a leakage current into the pin: the pin moves by it over the square of
    /// [`Transfer::divisor`], so its sign says whether the pin rises or falls with the far end.
    pub fn determinant(&self, leakage: Amperes) -> f64 {
        let (base, by) = (self.base.numbers(), self.by.numbers());
        let pushed = |numbers: [f64; 3]| numbers[0] + leakage.0 * numbers[2];
        pushed(by) * base[1] - pushed(base) * by[1]
    }

    /// The number d of the pin as d0 + d1·far.
    pub fn divisor(&self) -> [f64; 2] {
        [self.base.numbers()[1], self.by.numbers()[1]]
    }

    /// Volts at the pin for each base unit of the far end, no leakage; negative where the pin falls.
    pub fn slope(&self, far: FarEnd) -> f64 {
        let [d0, d1] = self.divisor();
        self.determinant(Amperes(0.0)) / (d0 + d1 * far.0).powi(2)
    }
}
