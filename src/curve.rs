//! Curves: from a value in the unit of the dial to the resistance or voltage that stands for it, and back.

use std::ops::{Add, Mul, Sub};

/// A monotone curve through points, straight between them.
///
/// The value in the unit (`x`) rises from point to point; the quantity (`y`) rises or falls all the way. The
/// direction is what the points say, never inferred.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve<Q> {
    unit: String,
    points: Vec<(f64, Q)>,
}

/// Why points are not a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CurveError {
    /// Fewer than two points.
    #[error("a curve needs at least two points")]
    TooFew,
    /// The value of this point (counted from 0) does not rise above the one before.
    #[error("the value of point {} does not rise above the one before", .0 + 1)]
    ValueDoesNotRise(usize),
    /// The quantity of this point (counted from 0) turns back or stands still.
    #[error("the curve turns back or stands still at point {}", .0 + 1)]
    Folded(usize),
}

impl<Q> Curve<Q>
where
    Q: Copy + PartialOrd + Add<Output = Q> + Sub<Output = Q> + Mul<f64, Output = Q>,
    Q: std::ops::Div<Output = f64> + Number,
{
    /// A curve through `points`, each a value in `unit` and the quantity that stands for it.
    ///
    /// # Errors
    /// When there are fewer than two points, a value does not rise, or the quantity turns back or stands still.
    pub fn new(unit: impl Into<String>, points: Vec<(f64, Q)>) -> Result<Self, CurveError> {
        if points.len() < 2 {
            return Err(CurveError::TooFew);
        }
        let rising = points[1].1 > points[0].1;
        for (i, pair) in points.windows(2).enumerate() {
            if pair[1].0 <= pair[0].0 {
                return Err(CurveError::ValueDoesNotRise(i + 1));
            }
            if pair[1].1 == pair[0].1 || (pair[1].1 > pair[0].1) != rising {
                return Err(CurveError::Folded(i + 1));
            }
        }
        Ok(Self { unit: unit.into(), points })
    }

    /// The unit of the values.
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// The points, by rising value.
    pub fn points(&self) -> &[(f64, Q)] {
        &self.points
    }

    /// The first point: the lowest value and its quantity.
    pub fn first(&self) -> (f64, Q) {
        self.points[0]
    }

    /// The last point: the highest value and its quantity.
    pub fn last(&self) -> (f64, Q) {
        self.points[self.points.len() - 1]
    }

    /// The quantity that stands for `value`. Outside the points the nearest segment goes on: only the accuracy of a
    /// sender at the ends of its range reaches there.
    pub fn at(&self, value: f64) -> Q {
        let last = self.points.len() - 1;
        let i = self.points[1..last].partition_point(|p| p.0 <= value);
        let (a, b) = (self.points[i], self.points[i + 1]);
        // From the nearer end, so that both ends come out exactly.
        if value - a.0 <= b.0 - value {
            a.1 + (b.1 - a.1) * ((value - a.0) / (b.0 - a.0))
        } else {
            b.1 - (b.1 - a.1) * ((b.0 - value) / (b.0 - a.0))
        }
    }

    pub fn value_beyond(&self, quantity: Q) -> f64 {
        let rising = self.last().1 > self.first().1;
        let last = self.points.len() - 1;
        let i =
            self.points[1..last].partition_point(|p| if rising { quantity >= p.1 } else { quantity <= p.1 });
        let (a, b) = (self.points[i], self.points[i + 1]);
        a.0 + (b.0 - a.0) * ((quantity - a.1) / (b.1 - a.1))
    }
    pub fn knots(&self) -> Vec<f64> {
        self.points.iter().map(|p| p.0).collect()
    }
    pub fn slopes(&self, value: f64) -> [f64; 2] {
        let one = (self.points[1].1 - self.points[0].1) / (self.points[1].1 - self.points[0].1);
        let _ = one;
        let last = self.points.len() - 1;
        let seg = |i: usize| {
            let (a, b) = (self.points[i], self.points[i + 1]);
            ((b.1 - a.1) * (1.0 / (b.0 - a.0))).number()
        };
        let up = self.points[1..last].partition_point(|p| p.0 <= value);
        let down = self.points[1..last].partition_point(|p| p.0 < value);
        [seg(down), seg(up)]
    }
    pub fn stationary_slopes(&self, _: crate::quantity::Band<f64>, _: f64, _: f64) -> Vec<f64> {
        Vec::new()
    }
    pub fn is_curved(&self) -> bool {
        false
    }
    pub fn bend(&self, _: f64) -> f64 {
        0.0
    }

    /// The value that `quantity` stands for, held to the ends of the curve.
    pub fn value_of(&self, quantity: Q) -> f64 {
        let rising = self.last().1 > self.first().1;
        let beyond = |end: Q, high: bool| if high { quantity >= end } else { quantity <= end };
        if beyond(self.first().1, !rising) {
            return self.first().0;
        }
        if beyond(self.last().1, rising) {
            return self.last().0;
        }
        let last = self.points.len() - 1;
        let i = self.points[1..last].partition_point(|p| beyond(p.1, rising));
        let (a, b) = (self.points[i], self.points[i + 1]);
        let share = (quantity - a.1) / (b.1 - a.1);
        if share <= 0.5 { a.0 + (b.0 - a.0) * share } else { b.0 - (b.0 - a.0) * (1.0 - share) }
    }
}

pub trait Number {
    fn number(self) -> f64;
}
impl Number for crate::quantity::Ohms {
    fn number(self) -> f64 {
        self.0
    }
}
impl Number for crate::quantity::Volts {
    fn number(self) -> f64 {
        self.0
    }
}
