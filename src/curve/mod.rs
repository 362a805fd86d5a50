//! Curves: from a value in the unit of the dial to the resistance or voltage that stands for it, and back.
//!
//! Every curve is a row of pieces, each a law (straight, cubic, a thermistor, platinum) and an affine way from the value
//! on the dial to the argument of the law. A dial in °F and the shape of a tank are such ways; no law knows of them.

mod beta;
mod cubic;
mod error;
mod function;
mod law;
mod piece;
mod platinum;
mod polynomial;
mod shape;
mod solve;
mod steinhart_hart;
mod straight;

pub use beta::Beta;
pub use error::CurveError;
pub use law::{Affine, Law};
pub use platinum::Platinum;
pub use steinhart_hart::SteinhartHart;

use std::marker::PhantomData;

use crate::quantity::{Band, Base, Ohms};
use piece::{Form, Piece};
use straight::Straight;

/// A strictly monotone curve from a value in the unit of the dial to a quantity.
///
/// The value (`x`) rises from one end to the other; the quantity (`y`) rises or falls all the way. The direction is what
/// points or law say, never inferred.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve<Q> {
    unit: String,
    /// By rising value, each beginning where the one before ends; never empty.
    pieces: Vec<Piece>,
    kind: String,
    quantity: PhantomData<Q>,
}

impl<Q: Base> Curve<Q> {
    /// A curve through `points`, straight between them; each is a value in `unit` and the quantity that stands for it.
    ///
    /// # Errors
    /// When there are fewer than two points, a number cannot be calculated with, a value does not rise, or the quantity
    /// turns back or stands still.
    pub fn new(unit: impl Into<String>, points: Vec<(f64, Q)>) -> Result<Self, CurveError> {
        let points = checked(points)?;
        let form = |pair: &[(f64, f64)]| Form::Straight(Straight { from: pair[0].1, to: pair[1].1 });
        let forms: Vec<Form> = points.windows(2).map(form).collect();
        Ok(Self::of_forms(unit, &points, &forms, format!("straight between {} points", points.len())))
    }

    /// A curve through `points` as in [`Curve::new`], a cubic between them: smooth, and never outside the two points at
    /// the ends of a stretch.
    ///
    /// The method is that of M. Steffen, A simple method for monotonic interpolation in one dimension, Astronomy and
    /// Astrophysics 239 (1990), 443–450. Beyond its ends the curve goes on straight with its slope at the end, which is
    /// held to at least a tenth of the slope of the last stretch, so that the curve can be inverted there.
    ///
    /// # Errors
    /// As [`Curve::new`].
    pub fn monotone(unit: impl Into<String>, points: Vec<(f64, Q)>) -> Result<Self, CurveError> {
        let points = checked(points)?;
        let forms: Vec<Form> = cubic::through(&points).into_iter().map(Form::Cubic).collect();
        Ok(Self::of_forms(unit, &points, &forms, format!("cubic through {} points", points.len())))
    }

    /// One form for each stretch between two points.
    fn of_forms(unit: impl Into<String>, points: &[(f64, f64)], forms: &[Form], kind: String) -> Self {
        let stretches = points.windows(2).zip(forms);
        let pieces = stretches.map(|(pair, form)| Piece::between(pair[0].0, pair[1].0, *form)).collect();
        Self { unit: unit.into(), pieces, kind, quantity: PhantomData }
    }

    /// The unit of the values.
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// What kind of curve it is, in a few plain words: `straight between 3 points`, `Beta 3950 K`.
    pub fn describe(&self) -> String {
        self.kind.clone()
    }

    /// The lowest value and its quantity.
    pub fn first(&self) -> (f64, Q) {
        let piece = &self.pieces[0];
        (piece.values[0], Q::of(piece.quantities[0]))
    }

    /// The highest value and its quantity.
    pub fn last(&self) -> (f64, Q) {
        let piece = &self.pieces[self.pieces.len() - 1];
        (piece.values[1], Q::of(piece.quantities[1]))
    }

    /// Both ends, and every value in between at which the slope may jump; ascending.
    pub fn knots(&self) -> Vec<f64> {
        let starts = self.pieces.iter().map(|piece| piece.values[0]);
        starts.chain([self.last().0]).collect()
    }

    /// The knots, each with its quantity: all there is to know of a curve that is straight in between.
    pub fn points(&self) -> Vec<(f64, Q)> {
        let starts = self.pieces.iter().map(|piece| (piece.values[0], Q::of(piece.quantities[0])));
        starts.chain([self.last()]).collect()
    }

    /// Whether the quantity rises with the value.
    fn rises(&self) -> bool {
        self.pieces[0].rises()
    }

    /// The piece that holds the value; at a knot the upper one, outside the range the nearer one.
    fn piece(&self, value: f64) -> usize {
        self.pieces[1..].partition_point(|piece| piece.values[0] <= value)
    }

    /// The quantity that stands for `value`. Outside the range the curve goes on (only the accuracy of a sender at the
    /// ends of its range reaches there) as far as its law can be used, and stands still from there on.
    pub fn at(&self, value: f64) -> Q {
        Q::of(self.pieces[self.piece(value)].at(value))
    }

    /// The derivative of the quantity by the value, from below and from above. They differ only at a knot inside the
    /// range.
    pub fn slopes(&self, value: f64) -> [f64; 2] {
        let above = self.piece(value);
        let at_knot = above > 0 && self.pieces[above].values[0] == value;
        let below = if at_knot { above - 1 } else { above };
        [below, above].map(|i| self.pieces[i].slope(value))
    }

    /// How strongly the curve bends at a value: the second derivative of the quantity over the first, per unit; at a
    /// knot that from above.
    pub fn bend(&self, value: f64) -> f64 {
        self.pieces[self.piece(value)].bend(value)
    }

    /// Whether it bends anywhere but at its knots.
    pub fn is_curved(&self) -> bool {
        !self.pieces.iter().all(Piece::is_straight)
    }

    /// The value that `quantity` stands for, held to the ends of the curve.
    pub fn value_of(&self, quantity: Q) -> f64 {
        let (first, last) = (self.first(), self.last());
        let beyond = |end: Q, high: bool| if high { quantity >= end } else { quantity <= end };
        if beyond(first.1, !self.rises()) {
            first.0
        } else if beyond(last.1, self.rises()) {
            last.0
        } else {
            self.value_beyond(quantity).max(first.0).min(last.0)
        }
    }

    /// The value that `quantity` stands for, not held: the inverse of [`Curve::at`]. A quantity that the curve does not
    /// reach, however far it goes on, gives the nearer end of what it does.
    pub fn value_beyond(&self, quantity: Q) -> f64 {
        let quantity = quantity.get();
        let passed = |piece: &Piece| {
            let start = piece.quantities[0];
            if self.rises() { start <= quantity } else { start >= quantity }
        };
        self.pieces[self.pieces[1..].partition_point(passed)].inverse(quantity)
    }

    /// The values strictly inside `within`, knots left out, at which the derivative of q′(x)/(d0 + d1·q(x))² is 0:
    /// q″·(d0 + d1·q) = 2·d1·q′². Neither d0 nor d1 is negative, and one of them is not 0.
    ///
    /// A reading or a count that is (n0 + n1·q)/(d0 + d1·q) has this slope up to a constant factor. Over a part of the
    /// range its least magnitude is at an end, at a knot, or at one of these values.
    pub fn stationary_slopes(&self, within: Band<f64>, d0: f64, d1: f64) -> Vec<f64> {
        if !(d0 >= 0.0 && d1 >= 0.0 && d0 + d1 > 0.0) {
            return Vec::new();
        }
        self.pieces.iter().flat_map(|piece| piece.stationary(within, d0, d1)).collect()
    }

    /// The same curve over a narrower range; `None` if `from .. to` is no part of its range that can be told from a
    /// single value.
    pub fn part(&self, from: f64, to: f64) -> Option<Self> {
        let inside = self.first().0 <= from && from < to && to <= self.last().0;
        let cut = |piece: &Piece| {
            let values = [piece.values[0].max(from), piece.values[1].min(to)];
            piece.part(values, values)
        };
        let pieces: Vec<Piece> = self.pieces.iter().filter_map(cut).collect();
        (inside && !pieces.is_empty()).then(|| Self { pieces, ..self.clone() })
    }
}

impl Curve<Ohms> {
    /// The curve of a law over `range`, which is in the unit of the dial; `celsius` says how the dial shows temperature.
    ///
    /// # Errors
    /// When the range does not rise, goes below absolute zero or leaves what the law is good for, when the law is not
    /// strictly monotone there, or when a parameter of law or dial is no usable number.
    pub fn of_law(
        unit: impl Into<String>,
        celsius: Affine,
        law: impl Into<Law>,
        range: Band<f64>,
    ) -> Result<Self, CurveError> {
        let Band { lowest, highest } = range;
        if !error::rises(lowest, highest) {
            return Err(CurveError::EmptyRange);
        }
        if !(error::positive(celsius.factor) && error::usable(celsius.offset)) {
            return Err(CurveError::NoTemperature);
        }
        let arguments = [lowest, highest].map(|value| celsius.celsius(value));
        let law = law.into().over(Band { lowest: arguments[0], highest: arguments[1] })?;
        // A range so narrow that it vanishes in rounding.
        let piece = Piece::new([lowest, highest], arguments, Form::Law(law));
        if arguments[0] >= arguments[1] || piece.quantities[0] == piece.quantities[1] {
            return Err(CurveError::EmptyRange);
        }
        Ok(Self { unit: unit.into(), pieces: vec![piece], kind: law.describe(), quantity: PhantomData })
    }
}

/// The points as bare numbers, if they are a curve.
fn checked<Q: Base>(points: Vec<(f64, Q)>) -> Result<Vec<(f64, f64)>, CurveError> {
    let points: Vec<(f64, f64)> =
        points.into_iter().map(|(value, quantity)| (value, quantity.get())).collect();
    let (Some(first), Some(second)) = (points.first(), points.get(1)) else { return Err(CurveError::TooFew) };
    let usable = |point: &(f64, f64)| error::usable(point.0) && error::usable(point.1);
    if let Some(i) = points.iter().position(|point| !usable(point)) {
        return Err(CurveError::Unusable(i));
    }
    let rising = second.1 > first.1;
    for (i, pair) in points.windows(2).enumerate() {
        if !error::rises(pair[0].0, pair[1].0) {
            return Err(CurveError::ValueDoesNotRise(i + 1));
        }
        let step = if rising { pair[1].1 - pair[0].1 } else { pair[0].1 - pair[1].1 };
        if !error::positive(step) {
            return Err(CurveError::Folded(i + 1));
        }
    }
    Ok(points)
}
