//! Laws over temperature, and how a dial shows temperature.

use super::function::Function;
use super::{Beta, CurveError, Platinum, SteinhartHart};
use crate::quantity::Band;

/// 0 K in °C.
pub(super) const ABSOLUTE_ZERO: f64 = -273.15;

/// A law: resistance over temperature in °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// A thermistor by its beta.
    Beta(Beta),
    /// A thermistor by three coefficients.
    SteinhartHart(SteinhartHart),
    /// Platinum after IEC 60751.
    Platinum(Platinum),
}

impl From<Beta> for Law {
    fn from(law: Beta) -> Self {
        Self::Beta(law)
    }
}

impl From<SteinhartHart> for Law {
    fn from(law: SteinhartHart) -> Self {
        Self::SteinhartHart(law)
    }
}

impl From<Platinum> for Law {
    fn from(law: Platinum) -> Self {
        Self::Platinum(law)
    }
}

impl Law {
    pub(super) fn function(&self) -> &dyn Function {
        match self {
            Self::Beta(law) => law,
            Self::SteinhartHart(law) => law,
            Self::Platinum(law) => law,
        }
    }

    /// The law, if it is one and holds all over the range.
    pub(super) fn over(self, celsius: Band<f64>) -> Result<Self, CurveError> {
        let law = match self {
            Self::Beta(law) => Self::Beta(law.checked()?),
            Self::SteinhartHart(law) => Self::SteinhartHart(law.checked()?),
            Self::Platinum(law) => Self::Platinum(law.checked()?),
        };
        if celsius.lowest <= ABSOLUTE_ZERO {
            return Err(CurveError::BelowAbsoluteZero);
        }
        if matches!(law, Self::Platinum(_)) && !Platinum::covers(celsius) {
            return Err(CurveError::OutsideStandard);
        }
        let reach = law.function().reach();
        if reach.holds(celsius.lowest) && reach.holds(celsius.highest) {
            Ok(law)
        } else {
            Err(CurveError::NotFalling)
        }
    }

    pub(super) fn describe(&self) -> String {
        match self {
            Self::Beta(law) => format!("Beta {} K", law.beta),
            Self::SteinhartHart(_) => "Steinhart-Hart".to_owned(),
            Self::Platinum(law) => format!("platinum {:#}", law.r0),
        }
    }
}

/// How a dial shows temperature: t in °C = offset + factor · value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// What 0 of the dial is in °C.
    pub offset: f64,
    /// How many °C one step of the dial is; above 0.
    pub factor: f64,
}

impl Affine {
    /// A dial in °C.
    pub const CELSIUS: Self = Self { offset: 0.0, factor: 1.0 };
    /// A dial in °F: 0 °F is −32/1.8 °C.
    pub const FAHRENHEIT: Self = Self { offset: -32.0 / 1.8, factor: 1.0 / 1.8 };
    /// A dial in kelvin.
    pub const KELVIN: Self = Self { offset: ABSOLUTE_ZERO, factor: 1.0 };

    pub(super) fn celsius(self, value: f64) -> f64 {
        self.offset + self.factor * value
    }
}
