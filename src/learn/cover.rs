//! How far the learned sender may be off over its range, as one number.

use super::choice::Choice;
use super::data::Data;
use super::fit::Fit;
use super::trial::{Trial, root_mean_square};
use super::uncertainty::{NORMAL, spread, student};
use super::words::rounded_up;
use crate::quantity::{Band, Fraction, Ohms};

/// What a brief says about a sender.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cover {
    /// Of its resistance.
    Tolerance(Fraction),
    /// Of its value, in the unit.
    Accuracy(f64),
    /// Nobody knows the accuracy of the readings.
    Unknown,
}

/// The curve at one value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The value.
    pub value: f64,
    /// The resistance there.
    pub resistance: Ohms,
    /// Half the width of the 95 % band, in the unit; `None`: unknown.
    pub off_by: Option<f64>,
    /// The same as a share of the resistance.
    pub share_off: Option<Fraction>,
}

/// Where the uncertainty of the readings comes from.
#[derive(Clone, Debug)]
pub(super) struct Noise {
    /// The readings with the half widths that count.
    data: Data,
    /// From standard uncertainty to 95 %.
    coverage: f64,
    /// Whether errors may be the same in all readings.
    common: bool,
    /// Another law that can be meant.
    rival: Option<Fit>,
    /// In what way it is known, as a sentence.
    pub(super) source: String,
}

impl Noise {
    /// From the accuracy of the readings; without one from what they scatter around a law, if more of them were taken
    /// than it has coefficients; `None` if nothing can be known.
    pub(super) fn of(choice: &Choice, data: &Data) -> Option<Self> {
        let mut noise = Self::of_readings(&choice.trial, data)?;
        noise.rival.clone_from(&choice.rival);
        if noise.rival.is_some() {
            noise.source.push_str("; what Steinhart-Hart would make different is added");
        }
        Some(noise)
    }

    fn of_readings(trial: &Trial, data: &Data) -> Option<Self> {
        let freedom = trial.kind.coefficients().and_then(|terms| data.all.len().checked_sub(terms));
        if data.has_accuracy() {
            return Some(Self::of_accuracy(trial, data, freedom.unwrap_or(0)));
        }
        let freedom = freedom.filter(|freedom| *freedom > 0)?;
        let residuals = residuals(&trial.fit, data);
        let squares: f64 = residuals.iter().map(|residual| residual * residual).sum();
        let scatter = (squares / freedom as f64).sqrt();
        let mut data = data.clone();
        data.all.iter_mut().for_each(|datum| datum.value_width = scatter * 3_f64.sqrt());
        let source = format!(
            "from the scatter of the readings around the curve, with {freedom} more of them than coefficients; an error \
             that is the same in all readings does not show"
        );
        Some(Self { data, coverage: student(freedom), common: false, rival: None, source })
    }

    /// Where readings contradict each other, their accuracy is worse than stated: the band is widened by the ratio of
    /// both (R. T. Birge, Physical Review 40 (1932), 207–227).
    fn of_accuracy(trial: &Trial, data: &Data, freedom: usize) -> Self {
        let mut source =
            "from the accuracy of the readings (JCGM 100): the greater of both, errors independent of each \
                          other and errors that are the same in all readings"
                .to_owned();
        let mut coverage = NORMAL;
        if trial.kind.is_law() && freedom > 0 && !trial.strays().is_empty() {
            let residuals = residuals(&trial.fit, data).into_iter().zip(&data.all);
            let rates = residuals.map(|(residual, datum)| {
                let of_ohms = datum.ohms_uncertainty() / trial.fit.slope(datum.value);
                residual / datum.value_uncertainty().hypot(of_ohms)
            });
            let count = data.all.len() as f64;
            let ratio = root_mean_square(rates).unwrap_or(1.0) * (count / freedom as f64).sqrt();
            if ratio > 1.0 {
                coverage *= ratio;
                source =
                    format!("{source}; widened {ratio:.1} times, since the readings contradict each other");
            }
        }
        Self { data: data.clone(), coverage, common: true, rival: None, source }
    }

    /// Half the width of the 95 % band at a value, in the unit.
    pub(super) fn off_by(&self, trial: &Trial, value: f64) -> f64 {
        let ohms = trial.fit.curve.at(value).0;
        let spread = spread(&trial.fit.answers(ohms), &self.data);
        let of_readings = if self.common { spread.standard } else { spread.independent };
        // How far another law is off may be anything between nothing and their difference, to either side.
        let law = self.rival.as_ref().map_or(0.0, |rival| (rival.value_of(ohms) - value) / 3_f64.sqrt());
        let shape = law.hypot(between(trial, &self.data, value));
        (self.coverage * of_readings).hypot(NORMAL * shape)
    }
}

/// What each reading has too much of the value that the curve gives.
pub(super) fn residuals(fit: &Fit, data: &Data) -> Vec<f64> {
    data.all.iter().map(|datum| datum.value - fit.value_of(datum.ohms)).collect()
}

/// What the shape between two readings may add, as a standard uncertainty in the unit.
///
/// What a reading is missed by when it is left out comes from a gap of twice the width. The error of a straight line
/// grows with the square of the gap, so a quarter of it remains in the middle of the gap, and less to its ends (a
/// parabola). That is taken for a half width, rectangular.
fn between(trial: &Trial, data: &Data, value: f64) -> f64 {
    if trial.kind.is_law() {
        return 0.0;
    }
    let above = data.all.partition_point(|datum| datum.value <= value).clamp(1, data.all.len() - 1);
    let (from, to) = (data.all[above - 1].value, data.all[above].value);
    let share = ((value - from) / (to - from)).clamp(0.0, 1.0);
    let missed = [above - 1, above].into_iter().filter_map(|i| trial.left_out[i]);
    let worst = missed.map(|left_out| left_out.deviation.abs()).fold(0.0, f64::max);
    worst / 4.0 * (4.0 * share * (1.0 - share)) / 3_f64.sqrt()
}

/// The curve at a value.
pub(super) fn place(trial: &Trial, noise: Option<&Noise>, value: f64) -> Place {
    let resistance = trial.fit.curve.at(value);
    let off_by = noise.map(|noise| noise.off_by(trial, value));
    let share_off = off_by.map(|off_by| Fraction(off_by * trial.fit.slope(value) / resistance.0));
    Place { value, resistance, off_by, share_off }
}

/// How many places the cover looks at between two ends.
const PLACES: usize = 100;

/// Tolerance or accuracy, whichever overstates less where it overstates most; either covers the 95 % band everywhere.
pub(super) fn cover(trial: &Trial, noise: Option<&Noise>, range: Band<f64>) -> Cover {
    let step = (range.highest - range.lowest) / PLACES as f64;
    let even = (0..=PLACES).map(|i| if i == PLACES { range.highest } else { range.lowest + step * i as f64 });
    let knots = trial.fit.curve.knots().into_iter().filter(|knot| range.holds(*knot));
    let places: Vec<Place> = even.chain(knots).map(|value| place(trial, noise, value)).collect();
    let span = |of: fn(&Place) -> Option<f64>| -> Option<(f64, f64)> {
        let all: Option<Vec<f64>> = places.iter().map(of).collect();
        let all = all.filter(|all| all.iter().all(|x| x.is_finite()))?;
        Some(all.into_iter().fold((f64::INFINITY, 0.0_f64), |(least, most), x| (least.min(x), most.max(x))))
    };
    let tolerance = span(|place| place.share_off.map(|share| share.0));
    let accuracy = span(|place| place.off_by);
    match (tolerance, accuracy) {
        (Some((least, most)), Some((least_off, most_off)))
            if most * least_off <= most_off * least && most < 1.0 =>
        {
            Cover::Tolerance(Fraction(rounded_up(most)))
        }
        (_, Some((_, most))) => Cover::Accuracy(rounded_up(most)),
        _ => Cover::Unknown,
    }
}
