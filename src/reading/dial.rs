//! The far end of an input in the unit of its dial.

use crate::board::Drive;
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::FarEnd;

impl Drive {
    /// Whether a resistance stands at the far end; otherwise a voltage or a current does.
    pub fn is_sender(&self) -> bool {
        matches!(self, Self::Sender(_))
    }

    /// The first and the last value of the range.
    pub(crate) fn range(&self) -> (f64, f64) {
        match self {
            Self::Sender(sender) => (sender.curve.first().0, sender.curve.last().0),
            Self::Signal(signal) => (signal.curve.first().0, signal.curve.last().0),
            Self::Current(transmitter) => (transmitter.curve.first().0, transmitter.curve.last().0),
        }
    }

    /// Whether the curve bends between its ends and corners: then it makes sense to ask how to straighten it.
    pub fn is_curved(&self) -> bool {
        match self {
            Self::Sender(sender) => sender.curve.is_curved(),
            Self::Signal(_) | Self::Current(_) => false,
        }
    }

    /// What stands at the far end at a value, the sender without error and without its wire.
    pub fn far_at(&self, value: f64) -> FarEnd {
        FarEnd(match self {
            Self::Sender(sender) => sender.curve.at(value).0,
            Self::Signal(signal) => signal.curve.at(value).0,
            Self::Current(transmitter) => transmitter.curve.at(value).0,
        })
    }

    /// The value that the far end stands for, held to the ends of the range.
    pub fn value_of(&self, far: FarEnd) -> f64 {
        match self {
            Self::Sender(sender) => sender.curve.value_of(Ohms(far.0)),
            Self::Signal(signal) => signal.curve.value_of(Volts(far.0)),
            Self::Current(transmitter) => transmitter.curve.value_of(Amperes(far.0)),
        }
    }

    /// The same, not held: the curve goes on beyond its ends.
    pub(crate) fn value_beyond(&self, far: FarEnd) -> f64 {
        match self {
            Self::Sender(sender) => sender.curve.value_beyond(Ohms(far.0)),
            Self::Signal(signal) => signal.curve.value_beyond(Volts(far.0)),
            Self::Current(transmitter) => transmitter.curve.value_beyond(Amperes(far.0)),
        }
    }

    /// Base units of the far end for each unit of the dial, below and above a value: they differ at a knot only.
    pub fn slopes(&self, value: f64) -> [f64; 2] {
        match self {
            Self::Sender(sender) => sender.curve.slopes(value),
            Self::Signal(signal) => signal.curve.slopes(value),
            Self::Current(transmitter) => transmitter.curve.slopes(value),
        }
    }

    /// The values at which the curve may have a corner, both ends among them.
    pub(crate) fn knots(&self) -> Vec<f64> {
        match self {
            Self::Sender(sender) => sender.curve.knots(),
            Self::Signal(signal) => signal.curve.knots(),
            Self::Current(transmitter) => transmitter.curve.knots(),
        }
    }

    /// The values at which far'/(d0 + d1·far)² may be least or greatest inside a smooth piece of the curve.
    pub(super) fn stationary_slopes(&self, within: Band<f64>, [d0, d1]: [f64; 2]) -> Vec<f64> {
        match self {
            Self::Sender(sender) => sender.curve.stationary_slopes(within, d0, d1),
            Self::Signal(signal) => signal.curve.stationary_slopes(within, d0, d1),
            Self::Current(transmitter) => transmitter.curve.stationary_slopes(within, d0, d1),
        }
    }

    /// How strongly the curve bends at a value: its second derivative over its first.
    pub(crate) fn bend(&self, value: f64) -> f64 {
        match self {
            Self::Sender(sender) => sender.curve.bend(value),
            Self::Signal(signal) => signal.curve.bend(value),
            Self::Current(transmitter) => transmitter.curve.bend(value),
        }
    }
}
