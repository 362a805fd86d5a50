//! One kind on trial: what each reading would be without itself.

use super::data::Data;
use super::fit::{Fit, Refusal, fit};
use super::kind::Kind;
use super::platinum::rises_as_platinum;
use super::uncertainty::spread;
use crate::quantity::Band;

/// What the other readings make of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LeftOut {
    /// The value that the curve of the others gives for its resistance.
    pub(super) value: f64,
    /// That value less the one that was read.
    pub(super) deviation: f64,
    /// The greatest deviation that the accuracy of all readings allows.
    pub(super) allowed: f64,
    /// The standard deviation that it lets expect.
    pub(super) expected: f64,
}

impl LeftOut {
    /// Whether no errors within the accuracy of the readings explain the deviation.
    pub(super) fn exceeds(&self) -> bool {
        self.deviation.abs() > self.allowed * (1.0 + 1e-9)
    }
}

/// A kind with its curve and what it makes of readings that it has not seen.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) kind: Kind,
    pub(super) fit: Fit,
    /// One entry for each reading; `None` where the others cannot tell.
    pub(super) left_out: Vec<Option<LeftOut>>,
}

impl Trial {
    pub(super) fn of(kind: Kind, data: &Data, range: Band<f64>) -> Result<Self, Refusal> {
        let fit = fit(kind, data, range)?;
        if kind == Kind::Platinum {
            rises_as_platinum(&fit, data)?;
        }
        let left_out = (0..data.all.len()).map(|i| left_out(kind, data, i)).collect();
        Ok(Self { kind, fit, left_out })
    }

    /// What is left out between others, so that no kind has to go beyond its readings.
    fn inner(&self) -> impl Iterator<Item = &LeftOut> {
        let inner = self.left_out.len().saturating_sub(2);
        self.left_out.iter().skip(1).take(inner).flatten()
    }

    /// The root mean square of the deviations of inner readings, in the unit; `None` if there are none.
    pub(super) fn typical(&self) -> Option<f64> {
        root_mean_square(self.inner().map(|left_out| left_out.deviation))
    }

    /// The same for all readings, each deviation divided by what the accuracy lets expect.
    pub(super) fn normalised(&self) -> Option<f64> {
        root_mean_square(
            self.left_out.iter().flatten().map(|left_out| left_out.deviation / left_out.expected),
        )
    }

    /// Readings that no errors within the accuracy bring to the curve of the others, the worst first.
    pub(super) fn strays(&self) -> Vec<usize> {
        let rate = |i: &usize| self.left_out[*i].map_or(0.0, |l| (l.deviation / l.allowed).abs());
        let exceeds = |i: &usize| self.left_out[*i].is_some_and(|l| l.exceeds());
        let mut strays: Vec<usize> = (0..self.left_out.len()).filter(exceeds).collect();
        strays.sort_by(|a, b| rate(b).total_cmp(&rate(a)));
        strays
    }
}

pub(super) fn root_mean_square(numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let (count, sum) = numbers.fold((0_u32, 0.0), |(count, sum), x| (count + 1, sum + x * x));
    (count > 0).then(|| (sum / f64::from(count)).sqrt())
}

/// Points end with their readings; a law goes on.
fn left_out(kind: Kind, data: &Data, i: usize) -> Option<LeftOut> {
    let is_inner = i > 0 && i + 1 < data.all.len();
    let rest = data.without(i);
    if rest.all.len() < kind.coefficients().unwrap_or(2) || !(kind.is_law() || is_inner) {
        return None;
    }
    let others = fit(kind, &rest, Band { lowest: data.lowest(), highest: data.highest() }).ok()?;
    let datum = data.all[i];
    let value = others.value_of(datum.ohms);
    let around = spread(&others.answers(datum.ohms), &rest);
    let slope = others.slope(value);
    let allowed = datum.value_width + datum.ohms_width / slope + around.worst;
    let own = datum.value_uncertainty().hypot(datum.ohms_uncertainty() / slope);
    let deviation = value - datum.value;
    deviation.is_finite().then(|| LeftOut {
        value,
        deviation,
        allowed,
        expected: own.hypot(around.independent),
    })
}
