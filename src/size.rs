//! Sizes of chip resistors.

use crate::quantity::{Volts, Watts};

/// What a size stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// The name in hundredths of an inch.
    pub name: &'static str,
    /// Dissipation up to 70 °C.
    pub rating: Watts,
    /// Highest working voltage.
    pub working_voltage: Volts,
}

const fn size(name: &'static str, watts: f64, volts: f64) -> Size {
    Size { name, rating: Watts(watts), working_voltage: Volts(volts) }
}

/// All sizes, the smallest first: each stands at least what the one before it does. The lower figures of manufacturers'
/// catalogues for thick film chip resistors; makers differ.
pub const SIZES: [Size; 8] = [
    size("0201", 1.0 / 20.0, 15.0),
    size("0402", 1.0 / 16.0, 50.0),
    size("0603", 1.0 / 10.0, 50.0),
    size("0805", 1.0 / 8.0, 150.0),
    size("1206", 1.0 / 4.0, 200.0),
    size("1210", 1.0 / 3.0, 200.0),
    size("2010", 3.0 / 4.0, 200.0),
    size("2512", 1.0, 200.0),
];

/// The size that is taken where the brief names none.
pub const USUAL: Size = SIZES[3];
