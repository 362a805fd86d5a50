//! A piece of a curve: a law, and an affine way from the value on the dial to the argument of the law.

use super::cubic::Cubic;
use super::function::Function;
use super::law::Law;
use super::straight::Straight;
use crate::quantity::Band;

/// What a piece follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Form {
    Straight(Straight),
    Cubic(Cubic),
    Law(Law),
}

impl Form {
    fn function(&self) -> &dyn Function {
        match self {
            Self::Straight(form) => form,
            Self::Cubic(form) => form,
            Self::Law(law) => law.function(),
        }
    }
}

/// From the lower to the higher value, and the arguments that belong to them; both rise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    pub(super) values: [f64; 2],
    arguments: [f64; 2],
    /// What the law gives at the two ends.
    pub(super) quantities: [f64; 2],
    form: Form,
}

/// The `y` that belongs to `x` on the straight line through two places, from the nearer one, so that both come out
/// exactly.
pub(super) fn along(x: f64, xs: [f64; 2], ys: [f64; 2]) -> f64 {
    let (width, height) = (xs[1] - xs[0], ys[1] - ys[0]);
    if x - xs[0] <= xs[1] - x {
        ys[0] + (x - xs[0]) * height / width
    } else {
        ys[1] - (xs[1] - x) * height / width
    }
}

impl Piece {
    pub(super) fn new(values: [f64; 2], arguments: [f64; 2], form: Form) -> Self {
        let quantities = arguments.map(|argument| form.function().at(argument));
        Self { values, arguments, quantities, form }
    }

    /// Between two points, over the share of the way from one to the other.
    pub(super) fn between(from: f64, to: f64, form: Form) -> Self {
        Self::new([from, to], [0.0, 1.0], form)
    }

    /// The argument of the law, held to where the law can be used.
    fn argument(&self, value: f64) -> f64 {
        let reach = self.form.function().reach();
        along(value, self.values, self.arguments).max(reach.lowest).min(reach.highest)
    }

    fn value(&self, argument: f64) -> f64 {
        along(argument, self.arguments, self.values)
    }

    /// How fast the argument rises with the value.
    fn pace(&self) -> f64 {
        (self.arguments[1] - self.arguments[0]) / (self.values[1] - self.values[0])
    }

    pub(super) fn at(&self, value: f64) -> f64 {
        self.form.function().at(self.argument(value))
    }

    pub(super) fn slope(&self, value: f64) -> f64 {
        self.form.function().slope(self.argument(value)) * self.pace()
    }

    /// How strongly the quantity bends: its second derivative over its first.
    pub(super) fn bend(&self, value: f64) -> f64 {
        let (function, argument) = (self.form.function(), self.argument(value));
        function.second(argument) / function.slope(argument) * self.pace()
    }

    pub(super) fn is_straight(&self) -> bool {
        matches!(self.form, Form::Straight(_))
    }

    pub(super) fn inverse(&self, quantity: f64) -> f64 {
        self.value(self.form.function().inverse(quantity))
    }

    /// Whether the quantity rises with the value.
    pub(super) fn rises(&self) -> bool {
        self.quantities[1] > self.quantities[0]
    }

    /// The values between the ends, and inside `within`, at which q′/(d0 + d1·q)² is stationary. Its condition is the
    /// same for the value and for the argument: the pace is the same all over the piece.
    pub(super) fn stationary(&self, within: Band<f64>, d0: f64, d1: f64) -> Vec<f64> {
        let (from, to) = (self.values[0].max(within.lowest), self.values[1].min(within.highest));
        if from >= to {
            return Vec::new();
        }
        let found = self.form.function().stationary(self.argument(from), self.argument(to), d0, d1);
        found.into_iter().map(|argument| self.value(argument)).filter(|x| from < *x && *x < to).collect()
    }

    /// The part of the piece between two values, shown as other values: `shown[0]` where it was `values[0]`. `None` if
    /// nothing of it is left.
    pub(super) fn part(&self, values: [f64; 2], shown: [f64; 2]) -> Option<Self> {
        let arguments = values.map(|value| self.argument(value));
        let part = Self::new(shown, arguments, self.form);
        let goes_on = shown[0] < shown[1] && arguments[0] < arguments[1];
        (goes_on && part.quantities[0] != part.quantities[1]).then_some(part)
    }
}
