//! Readings as numbers to calculate with.

use super::readings::{Readings, Scale};

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Datum {
    pub(super) value: f64,
    pub(super) ohms: f64,
    /// How far the value may be off, a half width in the unit.
    pub(super) value_width: f64,
    /// How far the resistance may be off, a half width in ohms: the limit of the meter, `1 % + 2 Ω`, is one sum.
    pub(super) ohms_width: f64,
}

impl Datum {
    /// The standard uncertainty of the resistance, which is rectangular within its limit: u = a/√3 (JCGM 100, 4.3.7).
    pub(super) fn ohms_uncertainty(&self) -> f64 {
        self.ohms_width / 3_f64.sqrt()
    }

    /// The standard uncertainty of the value.
    pub(super) fn value_uncertainty(&self) -> f64 {
        self.value_width / 3_f64.sqrt()
    }
}

/// All readings, or all but one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Data {
    pub(super) unit: String,
    /// How the unit counts temperature; `None` if it does not.
    pub(super) scale: Option<Scale>,
    pub(super) all: Vec<Datum>,
}

impl Data {
    pub(super) fn of(readings: &Readings) -> Self {
        let datum = |row: &super::readings::Reading| {
            let meter = row.meter.unwrap_or_default();
            Datum {
                value: row.value,
                ohms: row.resistance.0,
                value_width: row.value_accuracy.unwrap_or(0.0),
                ohms_width: row.resistance.0 * meter.share.0 + meter.fixed.0,
            }
        };
        Self {
            unit: readings.unit().to_owned(),
            scale: Scale::of(readings.unit()),
            all: readings.rows().iter().map(datum).collect(),
        }
    }

    /// The same without one reading.
    pub(super) fn without(&self, left_out: usize) -> Self {
        let mut rest = self.clone();
        rest.all.remove(left_out);
        rest
    }

    /// Whether anything is known about the accuracy of the readings.
    pub(super) fn has_accuracy(&self) -> bool {
        self.all.iter().any(|datum| datum.value_width > 0.0 || datum.ohms_width > 0.0)
    }

    pub(super) fn lowest(&self) -> f64 {
        self.all[0].value
    }

    pub(super) fn highest(&self) -> f64 {
        self.all[self.all.len() - 1].value
    }

    pub(super) fn span(&self) -> f64 {
        self.highest() - self.lowest()
    }

    pub(super) fn falls(&self) -> bool {
        self.all[self.all.len() - 1].ohms < self.all[0].ohms
    }
}
