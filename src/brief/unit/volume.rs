//! Volumes, in litres.

use super::number_and_unit;
use crate::brief::words::quoted;
use crate::quantity::ParseQuantityError;

/// 231 cubic inches of 25.4 mm, by definition.
const US_GALLON: f64 = 3.785_411_784;
/// By definition.
const IMPERIAL_GALLON: f64 = 4.546_09;

/// Units of volume and what they are in litres.
const UNITS: [(&str, f64); 15] = [
    ("L", 1.0),
    ("l", 1.0),
    ("litre", 1.0),
    ("litres", 1.0),
    ("liter", 1.0),
    ("liters", 1.0),
    ("mL", 1e-3),
    ("ml", 1e-3),
    ("US gal", US_GALLON),
    ("gal (US)", US_GALLON),
    ("US gallons", US_GALLON),
    ("imp gal", IMPERIAL_GALLON),
    ("gal (imp)", IMPERIAL_GALLON),
    ("imperial gal", IMPERIAL_GALLON),
    ("imperial gallons", IMPERIAL_GALLON),
];

/// Reads a volume.
pub(super) fn parse(text: &str) -> Result<f64, ParseQuantityError> {
    let known = number_and_unit(text).and_then(|(number, unit)| {
        let (_, litres) = UNITS.iter().find(|(name, _)| *name == unit)?;
        Some(number * litres)
    });
    known.ok_or_else(|| ParseQuantityError {
        found: quoted(text),
        expected: "a volume such as 20 L".to_owned(),
    })
}

/// Whether the unit is a gallon that does not say which.
pub(super) fn is_either_gallon(unit: &str) -> bool {
    matches!(unit.to_ascii_lowercase().as_str(), "gal" | "gals" | "gallon" | "gallons")
}

/// Two gallons exist, and a number of them is no litres.
pub(super) fn which_gallon(text: &str, number: f64) -> ParseQuantityError {
    ParseQuantityError {
        found: format!("{} (two gallons exist)", quoted(text)),
        expected: format!(
            "`{number} US gal` (3.785 L each) or `{number} imp gal` (4.546 L each), whichever is meant"
        ),
    }
}
