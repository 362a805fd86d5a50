//! Learning: from readings of a sender to its curve, with what the curve is worth.
//!
//! Laws over temperature (a thermistor's Beta or Steinhart-Hart, platinum) are fitted by weighted least squares; where
//! none fits, and for every other unit, the curve goes through the readings. Each reading is left out in turn, and the
//! kind is taken that comes nearest to what it has not seen, or a simpler one that is as good. The accuracy of the
//! readings is carried through to the curve (JCGM 100). Whatever contradicts itself is named with its row.

mod choice;
mod cover;
mod data;
mod doubt;
mod fit;
mod kind;
mod least_squares;
mod outlier;
mod platinum;
mod readings;
mod trial;
mod uncertainty;
mod words;
mod wrong_scale;

pub use choice::Candidate;
pub use cover::{Cover, Place};
pub use kind::Kind;
pub use readings::{Disorder, MOST, MeterAccuracy, Reading, Readings, Scale};

pub use crate::brief::Beside;
pub(crate) use readings::{disorder, shown};

use std::path::Path;

use crate::board::{Accuracy, Sender};
use crate::brief::{self, Fault, Faults};
use crate::curve::{Curve, Law};
use crate::quantity::{Band, Fraction, Ohms};
use choice::Choice;
use cover::Noise;
use data::Data;

/// What is wished of the curve.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wishes {
    /// The kind; `None`: what fits.
    pub kind: Option<Kind>,
    /// The range, in the unit; `None`: that of the readings.
    pub range: Option<Band<f64>>,
    /// Whether a law may go beyond the readings.
    pub extrapolate: bool,
}

/// Why readings cannot be learned from.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found {found}; expected {expected}")]
pub struct Doubt {
    /// The wish that it is about, as a flag; empty: the readings.
    pub about: &'static str,
    /// What is wrong.
    pub found: String,
    /// What would settle it.
    pub expected: String,
}

/// What a reading is worth to the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The reading.
    pub reading: Reading,
    /// The value that the curve gives for its resistance.
    pub on_curve: f64,
    /// What was read less that.
    pub residual: f64,
    /// The value that the curve of all other readings gives; `None` where they cannot tell.
    pub without_itself: Option<f64>,
    /// Whether no errors within the accuracy of the readings explain that; always `false` where it is unknown, and for
    /// kinds that are no law.
    pub exceeds: bool,
}

/// A sender that was learned.
#[derive(Clone, Debug)]
pub struct Learned {
    /// The curve over the range.
    pub curve: Curve<Ohms>,
    /// Its kind.
    pub kind: Kind,
    /// The law with its coefficients; `None`: the readings are the curve.
    pub law: Option<Law>,
    /// Why this kind, in one or two sentences.
    pub reason: String,
    /// All kinds that were looked at.
    pub candidates: Vec<Candidate>,
    /// The readings.
    pub rows: Vec<Row>,
    /// The range that the curve is meant for.
    pub range: Band<f64>,
    /// The curve at a few round values over the range.
    pub places: Vec<Place>,
    /// How far the sender may be off everywhere, for 95 %.
    pub cover: Cover,
    /// Where the uncertainty comes from, as part of a sentence; `None`: it cannot be known.
    pub uncertainty_from: Option<String>,
    /// Whether the readings contradict each other beyond their accuracy.
    pub contradicts: bool,
    /// What is doubtful, each with what would settle it.
    pub warnings: Vec<String>,
    /// What was taken for granted.
    pub remarks: Vec<String>,
}

/// Reads a file of readings: a table (`.csv`, `.tsv`, `.txt`) or YAML.
///
/// # Errors
/// With everything that keeps the file from being read as readings, each with its place.
pub fn read_file(path: &Path, beside: &Beside) -> Result<Readings, Faults> {
    brief::read_readings(path, beside)
}

/// A sender from a file of readings, with what has to be said about it.
#[derive(Clone, Debug)]
pub struct FromFile {
    /// The sender.
    pub sender: Sender,
    /// What is doubtful, each with what would settle it.
    pub doubts: Vec<String>,
    /// What was taken for granted.
    pub remarks: Vec<String>,
}

/// The sender in a file of readings, and what has to be said about it.
///
/// # Errors
/// When the file cannot be read as readings, they cannot be learned from, or they contradict each other beyond their
/// accuracy.
pub fn sender_from_file(path: &Path) -> Result<FromFile, Faults> {
    let readings = read_file(path, &Beside::default())?;
    let file = path.display().to_string();
    let refused = |found, expected| Faults::from(Fault::of_file(&file, found, expected));
    let learned =
        learn(&readings, &Wishes::default()).map_err(|doubt| refused(doubt.found, doubt.expected))?;
    if learned.contradicts {
        let expected =
            format!("readings that agree: `ohmwright sender {file}` shows which do not; measure again");
        return Err(refused(
            "readings that contradict each other beyond their accuracy".to_owned(),
            expected,
        ));
    }
    Ok(FromFile { sender: learned.sender(), doubts: learned.warnings, remarks: learned.remarks })
}

/// Learns a sender.
///
/// # Errors
/// When no kind, or not the one that is wished for, goes with the readings, or the range leaves them.
pub fn learn(readings: &Readings, wishes: &Wishes) -> Result<Learned, Doubt> {
    let data = Data::of(readings);
    let measured = Band { lowest: data.lowest(), highest: data.highest() };
    let range = wishes.range.unwrap_or(measured);
    if range.lowest >= range.highest {
        let found = format!("{} .. {}", range.lowest, range.highest);
        return Err(Doubt {
            about: "--range",
            found,
            expected: "the lower end first, and a higher one".to_owned(),
        });
    }
    let choice = choice::choose(&data, range, wishes.kind).map_err(|refusal| refused(wishes, refusal))?;
    within_readings(&choice, wishes, range, measured, readings.unit())?;
    let noise = Noise::of(&choice, &data);
    let mut warnings = doubt::about(readings, &data, &choice);
    warnings.extend(beyond(&choice, noise.as_ref(), range, measured, readings.unit()));
    warnings.extend(unknown_accuracy(noise.as_ref(), &choice));
    let contradicts = data.has_accuracy() && choice.trial.kind.is_law() && !choice.trial.strays().is_empty();
    let mut cover = cover::cover(&choice.trial, noise.as_ref(), range);
    let absurd = absurd(cover, range, readings.unit());
    if absurd.is_some() {
        cover = Cover::Unknown;
    }
    warnings.extend(absurd);
    let places = round_values(range);
    let places = places.into_iter().map(|value| cover::place(&choice.trial, noise.as_ref(), value)).collect();
    let Choice { trial, reason, candidates, .. } = choice;
    Ok(Learned {
        rows: rows(readings, &data, &trial),
        kind: trial.kind,
        law: trial.fit.law,
        curve: trial.fit.curve,
        reason,
        candidates,
        range,
        places,
        cover,
        uncertainty_from: noise.map(|noise| noise.source).filter(|_| cover != Cover::Unknown),
        contradicts,
        warnings,
        remarks: remarks(readings),
    })
}

impl Learned {
    /// The sender as a board has it. Where nothing is known about its accuracy, it counts as exact, as in a brief.
    pub fn sender(&self) -> Sender {
        let (tolerance, accuracy) = match self.cover {
            Cover::Tolerance(tolerance) => (tolerance, 0.0),
            Cover::Accuracy(accuracy) => (Fraction(0.0), accuracy),
            Cover::Unknown => (Fraction(0.0), 0.0),
        };
        let accuracy = Accuracy::constant(accuracy);
        Sender { curve: self.curve.clone(), tolerance, accuracy, self_heating: None }
    }
}

fn refused(wishes: &Wishes, refusal: String) -> Doubt {
    match wishes.kind {
        Some(kind) => {
            let expected = "another kind, or none, so that the one that fits is taken".to_owned();
            Doubt { about: "--kind", found: format!("{} ({refusal})", kind.word()), expected }
        }
        None => Doubt {
            about: "",
            found: refusal,
            expected: "readings whose unit and rows are right: check °C against °F and Ω against kΩ, and measure again; or \
                       --kind linear, if the sender is like that"
                .to_owned(),
        },
    }
}

/// Points end with the readings, and a law goes on only if that is asked for.
fn within_readings(
    choice: &Choice,
    wishes: &Wishes,
    range: Band<f64>,
    measured: Band<f64>,
    unit: &str,
) -> Result<(), Doubt> {
    let inside = measured.holds(range.lowest) && measured.holds(range.highest);
    let found = || {
        let [from, to] = [measured.lowest, measured.highest].map(|end| shown(end, unit));
        format!(
            "{} .. {}, where the readings go from {from} to {to}",
            shown(range.lowest, unit),
            shown(range.highest, unit)
        )
    };
    let doubt =
        |expected: &str| Err(Doubt { about: "--range", found: found(), expected: expected.to_owned() });
    match choice.trial.kind.is_law() {
        false if range != measured => doubt(
            "the range of the readings, since this kind knows nothing beyond them and all of them are points of it",
        ),
        true if !inside && !wishes.extrapolate => doubt(
            "a range inside the readings, further readings, or --extrapolate to trust the law beyond them",
        ),
        _ => Ok(()),
    }
}

/// What the law is worth beyond the readings.
fn beyond(
    choice: &Choice,
    noise: Option<&Noise>,
    range: Band<f64>,
    measured: Band<f64>,
    unit: &str,
) -> Option<String> {
    let outside = |end: f64| !measured.holds(end);
    let off = |end: f64| match cover::place(&choice.trial, noise, end).off_by {
        Some(off) => format!("{} (±{})", shown(end, unit), shown(words::rounded_up(off), unit)),
        None => format!("{} (uncertainty unknown)", shown(end, unit)),
    };
    let ends: Vec<String> =
        [range.lowest, range.highest].into_iter().filter(|end| outside(*end)).map(off).collect();
    (!ends.is_empty()).then(|| {
        format!(
            "extrapolated beyond the readings to {}; that the law still holds there is not known: a reading near that end \
             settles it",
            ends.join(" and ")
        )
    })
}

/// An accuracy that leaves nothing of the range says nothing about the sender.
fn absurd(cover: Cover, range: Band<f64>, unit: &str) -> Option<String> {
    let Cover::Accuracy(off) = cover else { return None };
    (off > (range.highest - range.lowest) / 2.0).then(|| {
        format!(
            "the readings leave ±{} open, more than half of the range, which is no use as an accuracy and is not \
             written: further or better readings settle it",
            shown(off, unit)
        )
    })
}

fn unknown_accuracy(noise: Option<&Noise>, choice: &Choice) -> Option<String> {
    let points = if choice.trial.kind.is_law() { " or further readings" } else { "" };
    noise.is_none().then(|| {
        format!(
            "the accuracy of the readings is not given, so nobody can know what the curve is worth, and a brief will take \
             it as exact: --value-accuracy and --resistance-accuracy{points} settle it"
        )
    })
}

fn remarks(readings: &Readings) -> Vec<String> {
    let none = |known: fn(&Reading) -> bool| readings.rows().iter().all(known);
    let exact = match (none(|row| row.value_accuracy.is_none()), none(|row| row.meter.is_none())) {
        (true, false) => Some("values"),
        (false, true) => Some("resistances"),
        _ => None,
    };
    let exact = exact.map(|what| format!("no accuracy of the {what} is given; they are taken as exact"));
    readings.remarks.iter().cloned().chain(exact).collect()
}

fn rows(readings: &Readings, data: &Data, trial: &trial::Trial) -> Vec<Row> {
    let judged = data.has_accuracy() && trial.kind.is_law();
    let row = |(i, residual): (usize, f64)| Row {
        reading: readings.rows()[i].clone(),
        on_curve: trial.fit.value_of(data.all[i].ohms),
        residual,
        without_itself: trial.left_out[i].map(|left_out| left_out.value),
        exceeds: judged && trial.left_out[i].is_some_and(|left_out| left_out.exceeds()),
    };
    cover::residuals(&trial.fit, data).into_iter().enumerate().map(row).collect()
}

/// Both ends, and round values in between: about nine in all.
fn round_values(range: Band<f64>) -> Vec<f64> {
    let width = range.highest - range.lowest;
    let decade = 10_f64.powf((width / 8.0).log10().floor());
    let steps = [1.0, 2.0, 2.5, 5.0, 10.0].map(|step| step * decade);
    let step = steps.into_iter().find(|step| width / step <= 8.0).unwrap_or(width);
    let first = (range.lowest / step).floor() as i64 + 1;
    let inner = (0..9).map(|i| (first + i) as f64 * step);
    // No value so near to an end that both look the same.
    let apart = |value: &f64| value - range.lowest > step / 4.0 && range.highest - value > step / 4.0;
    [range.lowest].into_iter().chain(inner.filter(apart)).chain([range.highest]).collect()
}
