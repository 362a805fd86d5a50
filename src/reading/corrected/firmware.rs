//! What the firmware makes of two counts.

use super::HALF;
use crate::board::{Drive, Input};
use crate::circuit::{Name, Situation, SupplyMeter};
use crate::quantity::{Band, Counts, Ohms, Volts};
use crate::reading::Nominal;
use crate::worst::{FarEnd, count_band};

/// What the firmware makes of the count of a sender on a supply that it has measured.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reader<'a> {
    /// `None`: the supply is too low to excite anything.
    nominal: Option<Nominal<'a>>,
    /// The end of the range at which the pin is high.
    high: f64,
    /// What stands at the far end there.
    high_far: FarEnd,
}

impl<'a> Reader<'a> {
    /// The nominal board on a supply. `resistances` are those of the situation, or others in their place.
    pub(crate) fn new(
        input: &'a Input,
        nominal: &Situation,
        resistances: &[Band<Ohms>],
        supply: Volts,
    ) -> Self {
        let nominal = Nominal::new(input, &nominal.clone().with(Name::Supply, supply), resistances);
        let (first, last) = input.range();
        let high = if input.direction() > 0.0 { last } else { first };
        Self { nominal: nominal.follows().then_some(nominal), high, high_far: input.drive.far_at(high) }
    }

    /// What stands at the far end for a count in the middle of its step, not held; of a supply that is too low to excite
    /// anything, where the pin is high.
    pub(crate) fn far(&self, middle: f64) -> FarEnd {
        self.nominal.map_or(self.high_far, |nominal| nominal.far_of(Counts(middle - HALF)))
    }

    /// The reading for a count in the middle of its step: n + 0.5.
    pub(crate) fn reading(&self, middle: f64) -> f64 {
        self.nominal.map_or(self.high, |nominal| nominal.reading(Counts(middle - HALF)))
    }
}

/// The supply as the firmware knows it.
#[derive(Debug)]
pub(crate) struct Estimate<'m> {
    nominal: Nominal<'m>,
    measured: Band<Volts>,
}

impl<'m> Estimate<'m> {
    pub(crate) fn new(meter: &'m SupplyMeter) -> Self {
        let nominal = Nominal::new(&meter.input, &meter.nominal, &meter.nominal.resistances);
        let measured = match &meter.input.drive {
            Drive::Signal(signal) => Band::between(signal.curve.first().1, signal.curve.last().1),
            Drive::Sender(_) | Drive::Current(_) => Band::exactly(Volts(f64::NAN)),
        };
        Self { nominal, measured }
    }

    /// The supply that stands for n + 0.5, not held.
    pub(crate) fn beyond(&self, middle: f64) -> Volts {
        Volts(self.nominal.far_of(Counts(middle - HALF)).0)
    }

    /// The same, held to the ends of what is measured.
    pub(crate) fn of(&self, middle: f64) -> Volts {
        held(self.beyond(middle), self.measured)
    }

    /// What the nominal board makes of the usual supply.
    pub(crate) fn usual(&self, meter: &SupplyMeter) -> Option<Volts> {
        let count = count_band(&meter.nominal, &meter.nominal.resistances)?.lowest;
        Some(self.of(meter.nominal.converter.truncated(count).0 + HALF))
    }
}

/// The value, held to the ends of a band.
pub(super) fn held<Q: Copy + PartialOrd>(value: Q, band: Band<Q>) -> Q {
    if value < band.lowest {
        band.lowest
    } else if value > band.highest {
        band.highest
    } else {
        value
    }
}
