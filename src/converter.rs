//! The converter: from voltage to count, how a sample settles, and back from a count.

use crate::board::{Converter, Sampling};
use crate::quantity::{Band, Counts, Farads, Fraction, Ohms, Seconds, Volts};

impl Converter {
    /// What a count may lack of the next whole number, for rounding.
    pub const SLACK: f64 = 1e-9;

    /// The count before truncation without offset and nonlinearity: V/Vref·2^bits·(1 + gain).
    pub fn count(&self, v: Volts, reference: Volts, gain: Fraction) -> Counts {
        self.full_scale() * ((v / reference) * (1.0 + gain.0))
    }

    /// The count that the firmware gets: floor(count + 1e-9), held in 0 .. 2^bits − 1.
    pub fn truncated(&self, count: Counts) -> Counts {
        Counts((count.0 + Self::SLACK).floor().clamp(0.0, self.highest_count().0))
    }

    /// A band truncated at both ends.
    pub fn truncated_band(&self, band: Band<Counts>) -> Band<Counts> {
        Band { lowest: self.truncated(band.lowest), highest: self.truncated(band.highest) }
    }

    /// The nominal voltage in the middle of a truncated count n: (n + 0.5)/2^bits·Vref.
    pub fn voltage_of(&self, count: Counts, nominal_reference: Volts) -> Volts {
        nominal_reference * ((count.0 + 0.5) / self.full_scale().0)
    }

    /// Everything that is added to a count, either sign: offset, nonlinearity and noise.
    pub fn added(&self) -> Counts {
        self.offset + self.inl + self.noise
    }
}

impl Sampling {
    /// How long a sample needs without a capacitor at the pin: (Rs + Radc)·Cs·ln(2^bits/settles_to). With half a count
    /// that is ln(2^(bits + 1)), with a quarter ln(2^(bits + 2)): both are in use in converter data sheets.
    pub fn settling_time(&self, source: Ohms, full_scale: Counts, settles_to: Counts) -> Seconds {
        let tau = (source + self.resistance).0 * self.capacitor.0;
        Seconds(tau * (full_scale / settles_to).ln())
    }

    /// What is missing after many samples with a capacitor C at the pin: each sample takes q = 2^bits·Cs/(C + Cs)
    /// out of it, of which e = exp(−period/(Rs·(C + Cs))) is left at the next: q·e/(1 − e) + q.
    pub fn missing(&self, source: Ohms, full_scale: Counts, capacitor: Farads) -> Counts {
        let both = capacitor.0 + self.capacitor.0;
        let q = full_scale.0 * self.capacitor.0 / both;
        // e/(1 − e) = 1/(exp(x) − 1), which keeps its digits for small x.
        let left = (self.period.0 / (source.0 * both)).exp_m1().recip();
        Counts(q * left + q)
    }
}
