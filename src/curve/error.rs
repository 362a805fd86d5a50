//! Why something is no curve.

/// Why points, a law or the shape of a tank are no curve. Points and rows are counted from 0 here, from 1 in the text.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// Fewer than two points.
    #[error("a curve needs at least two points")]
    TooFew,
    /// A number of this point is none that can be calculated with: not finite, or beyond ±1e60.
    #[error("a number of point {} cannot be calculated with", .0 + 1)]
    Unusable(usize),
    /// The value of this point does not rise above the one before.
    #[error("the value of point {} does not rise above the one before", .0 + 1)]
    ValueDoesNotRise(usize),
    /// The quantity of this point turns back or stands still.
    #[error("the curve turns back or stands still at point {}", .0 + 1)]
    Folded(usize),
    /// The range does not rise, or has an end that cannot be calculated with.
    #[error("the range does not rise from a lower to a higher end")]
    EmptyRange,
    /// The unit of the dial has no usable relation to °C.
    #[error("a step of the dial is not a positive number of °C")]
    NoTemperature,
    /// The range reaches below 0 K.
    #[error("the range reaches below absolute zero, -273.15 °C")]
    BelowAbsoluteZero,
    /// The range leaves the one of IEC 60751.
    #[error("platinum is standardised from -200 °C to 850 °C")]
    OutsideStandard,
    /// A parameter of the law is not finite, or not positive where it must be.
    #[error("a parameter of the law is not a usable number")]
    NoLaw,
    /// The law is not strictly falling all over the range, or gives no resistance somewhere in it.
    #[error("the law does not give a resistance that falls all over the range")]
    NotFalling,
    /// Fewer than two rows of a shape.
    #[error("a shape needs at least two rows")]
    ShapeTooFew,
    /// The level or the volume of this row does not rise above the one before.
    #[error("level and volume of row {} do not both rise above those before", .0 + 1)]
    ShapeDoesNotRise(usize),
    /// The rows do not cover the levels of the sender.
    #[error("the shape does not cover the whole range of levels")]
    ShapeTooShort,
}

/// Beyond this magnitude squares and cubes would leave the range of an `f64`; nothing that is measured comes near.
const LARGEST: f64 = 1e60;
/// Steps below this would make slopes leave it.
const SMALLEST: f64 = 1e-60;

/// Whether a number can be calculated with.
pub(super) fn usable(number: f64) -> bool {
    number.abs() <= LARGEST
}

/// Whether a number can be calculated with and is above 0 by more than rounding could make of it.
pub(super) fn positive(number: f64) -> bool {
    (SMALLEST..=LARGEST).contains(&number)
}

/// Whether numbers go from `from` to a higher `to`.
pub(super) fn rises(from: f64, to: f64) -> bool {
    usable(from) && usable(to) && positive(to - from)
}
