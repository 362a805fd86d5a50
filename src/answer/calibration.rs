//! What a calibration leaves of the error.

use super::GreatestError;

/// What is left of the error of a calibrated input.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct CalibrationAnswer {
    /// The points that are dialled, in the unit.
    pub at: Vec<f64>,
    /// How far what is dialled may be off, a share.
    pub accuracy: f64,
    /// Whether the counts at the points tell every firmware something; else a reading may be off by all of the range.
    pub reliable: bool,
    /// The greatest error over life, in the unit: at most this.
    pub remains: GreatestError,
    /// What remains if one cause were alone, each at most; what is but rounding is left out.
    pub by: Vec<CauseRow>,
    /// The greatest error of the same parts without calibration.
    pub without: GreatestError,
    /// Good parts that are not calibrated.
    pub good_parts: GoodParts,
}

/// What remains of one cause.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct CauseRow {
    /// The cause.
    pub cause: &'static str,
    /// The greatest error, in the unit.
    pub greatest: f64,
    /// Where it is greatest.
    pub at: f64,
}

/// What good parts without calibration would do.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct GoodParts {
    /// Their tolerance, a share.
    pub tolerance: f64,
    /// Their change with temperature, either sign, a share per kelvin.
    pub tempco: f64,
    /// Their change over life, a share.
    pub ageing: f64,
    /// The greatest error with them, in the unit; where a part is better still, it stays.
    pub error: GreatestError,
}
