//! What every law can do.

use crate::quantity::Band;

/// A strictly monotone function from an argument to a quantity in its base unit. The argument is a temperature in °C,
/// or a share of a stretch between two points.
pub(super) trait Function {
    /// The quantity at an argument within the reach.
    fn at(&self, argument: f64) -> f64;

    /// The derivative at an argument within the reach.
    fn slope(&self, argument: f64) -> f64;

    /// The second derivative at an argument within the reach.
    fn second(&self, argument: f64) -> f64;

    /// The argument of a quantity. One that is not reached gives the nearer end of the reach.
    fn inverse(&self, quantity: f64) -> f64;

    /// The arguments for which the function is finite and strictly monotone.
    fn reach(&self) -> Band<f64> {
        Band { lowest: f64::NEG_INFINITY, highest: f64::INFINITY }
    }

    /// The arguments between `a` and `b` at which r′/(d0 + d1·r)² is stationary.
    fn stationary(&self, a: f64, b: f64, d0: f64, d1: f64) -> Vec<f64>;
}
