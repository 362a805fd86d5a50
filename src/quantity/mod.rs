//! Physical quantities, each a type of its own, held in SI base units.
//!
//! A bare `f64` never stands for ohms or volts outside the module that calculates with it. Arithmetic exists only
//! where physics has it: `Volts / Ohms` is `Amperes`, `Ohms + Volts` does not compile.

mod decimal;
mod kind;
mod letter_code;
mod parse;
mod print;
mod refusal;
mod spelling;

pub use parse::{ParseQuantityError, Quantity, parse_range};

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A quantity that is held as a number of its base units.
///
/// For code that calculates with the numbers of any one quantity, such as a curve.
pub trait Base: Copy + PartialOrd {
    /// So many base units.
    fn of(number: f64) -> Self;
    /// The number of base units.
    fn get(self) -> f64;
}

/// Defines a quantity held as `f64` in its SI base unit, with the arithmetic that every quantity has.
macro_rules! quantity {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// The number of base units.
            pub const fn get(self) -> f64 {
                self.0
            }

            /// The same magnitude, not negative.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl Base for $name {
            fn of(number: f64) -> Self {
                Self(number)
            }

            fn get(self) -> f64 {
                self.0
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, divisor: Self) -> f64 {
                self.0 / divisor.0
            }
        }
    };
}

quantity!(
    /// Electrical resistance in ohms.
    Ohms
);
quantity!(
    /// Electrical potential difference in volts.
    Volts
);
quantity!(
    /// Electrical current in amperes.
    Amperes
);
quantity!(
    /// Power in watts.
    Watts
);
quantity!(
    /// Energy in joules; printed, never read.
    Joules
);
quantity!(
    /// Capacitance in farads.
    Farads
);
quantity!(
    /// Time in seconds.
    Seconds
);
quantity!(
    /// A share of a whole: 1 % is `Fraction(0.01)`.
    Fraction
);
quantity!(
    /// A relative change for each kelvin: 100 ppm/K is `PerKelvin(1e-4)`.
    PerKelvin
);
quantity!(
    /// Power that warms a body by one kelvin above what surrounds it: 2 mW/K is `WattsPerKelvin(0.002)`.
    WattsPerKelvin
);
quantity!(
    /// A temperature on the Celsius scale (0 °C is 273.15 K).
    Celsius
);
quantity!(
    /// Pressure in pascals.
    Pascals
);
quantity!(
    /// Steps of the converter; fractions of a step occur before truncation.
    Counts
);

impl Div<Ohms> for Volts {
    type Output = Amperes;
    fn div(self, resistance: Ohms) -> Amperes {
        Amperes(self.0 / resistance.0)
    }
}

impl Div<Amperes> for Volts {
    type Output = Ohms;
    fn div(self, current: Amperes) -> Ohms {
        Ohms(self.0 / current.0)
    }
}

impl Mul<Ohms> for Amperes {
    type Output = Volts;
    fn mul(self, resistance: Ohms) -> Volts {
        Volts(self.0 * resistance.0)
    }
}

impl Mul<Amperes> for Volts {
    type Output = Watts;
    fn mul(self, current: Amperes) -> Watts {
        Watts(self.0 * current.0)
    }
}

impl Mul<Seconds> for Watts {
    type Output = Joules;
    fn mul(self, time: Seconds) -> Joules {
        Joules(self.0 * time.0)
    }
}

/// A closed interval of a quantity, `lowest <= highest`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band<Q> {
    /// The lower end.
    pub lowest: Q,
    /// The upper end.
    pub highest: Q,
}

impl<Q: Copy + PartialOrd> Band<Q> {
    /// The interval between two values given in either order.
    pub fn between(a: Q, b: Q) -> Self {
        if b < a { Self { lowest: b, highest: a } } else { Self { lowest: a, highest: b } }
    }

    /// The interval that holds one value only.
    pub const fn exactly(value: Q) -> Self {
        Self { lowest: value, highest: value }
    }

    /// Whether the interval is a single value.
    pub fn is_single(&self) -> bool {
        self.lowest == self.highest
    }

    /// Whether the interval holds the value.
    pub fn holds(&self, value: Q) -> bool {
        self.lowest <= value && value <= self.highest
    }

    /// The smallest interval that holds both.
    #[must_use]
    pub fn joined(self, other: Self) -> Self {
        Self {
            lowest: if other.lowest < self.lowest { other.lowest } else { self.lowest },
            highest: if other.highest > self.highest { other.highest } else { self.highest },
        }
    }
}

impl<Q: Copy + PartialOrd + Mul<f64, Output = Q>> Band<Q> {
    /// `nominal` and everything within `± fraction` of it.
    pub fn within(nominal: Q, fraction: Fraction) -> Self {
        Self::between(nominal * (1.0 - fraction.0), nominal * (1.0 + fraction.0))
    }
}

impl<Q: Copy + Add<Output = Q>> Add for Band<Q> {
    type Output = Self;
    /// The interval of the sum of two independent values.
    fn add(self, other: Self) -> Self {
        Self { lowest: self.lowest + other.lowest, highest: self.highest + other.highest }
    }
}
