//! What a calibration leaves of the error, and whether good parts would do without.

use crate::answer::{CalibrationAnswer, CauseRow, GoodParts, GreatestError};
use crate::board::{Accuracy, Board, Drive, Feed, Grade, Input, Reference};
use crate::circuit::{Scene, Values};
use crate::quantity::{Amperes, Band, Celsius, Counts, Fraction, Ohms, PerKelvin, Volts};
use crate::reading::{Firmware, greatest_error_of};

/// What thin film chip resistors have in their data sheets (common practice), as in the invented price list.
const GOOD: (Fraction, PerKelvin, Fraction) = (Fraction(0.001), PerKelvin(25e-6), Fraction(0.003));

/// The share of the range below which what a cause leaves is but rounding.
const ROUNDING: f64 = 1e-4;

/// What is left of the error of an input, if it is calibrated.
pub(super) fn of(
    board: &Board,
    input: &Input,
    values: &Values,
    firmware: &Firmware<'_>,
) -> Option<CalibrationAnswer> {
    let calibration = input.calibration.as_ref()?;
    let (first, last) = input.range();
    let alone = |cause: &Cause| {
        let found = greatest(&cause.alone(board, input), values)?;
        let row = CauseRow { cause: cause.name, greatest: found.greatest, at: found.at };
        (row.greatest > ROUNDING * (last - first).abs()).then_some(row)
    };
    let mut good = (board.clone(), input.clone());
    let (tolerance, tempco, ageing) = GOOD;
    good.1.calibration = None;
    for part in &mut good.1.parts {
        let grade = &mut part.grade;
        *grade = Grade {
            tolerance: lesser(grade.tolerance, tolerance),
            tempco: lesser(grade.tempco, tempco),
            ageing: lesser(grade.ageing, ageing),
            ..grade.clone()
        };
    }
    let without = (board.clone(), Input { calibration: None, ..input.clone() });
    Some(CalibrationAnswer {
        at: calibration.points.clone(),
        accuracy: calibration.accuracy.0,
        reliable: firmware.can_be_calibrated(),
        remains: greatest(&(board.clone(), input.clone()), values)?,
        by: CAUSES.iter().filter_map(alone).collect(),
        without: greatest(&without, values)?,
        good_parts: GoodParts {
            tolerance: tolerance.0,
            tempco: tempco.0,
            ageing: ageing.0,
            error: greatest(&good, values)?,
        },
    })
}

/// What stands in the way of a calibration, and what is taken for granted with one.
pub(super) fn remarks(input: &Input, firmware: &Firmware<'_>) -> Vec<String> {
    let Some(calibration) = &input.calibration else { return Vec::new() };
    let points: Vec<String> = calibration.points.iter().map(|point| format!("{point}")).collect();
    let unreliable = format!(
        "the calibration at {} {} cannot be relied on: on some board the counts there do not tell the points apart, or the pin \
         does not follow; a reading may be off by all of the range; points further apart would help",
        points.join(" and "),
        input.unit()
    );
    let taken = "readings, errors and alarms are those of calibrated boards; tolerances of parts, rails, reference, gain and \
                 offset are taken to stay as they were when a board was calibrated";
    let doubt = (!firmware.can_be_calibrated()).then_some(unreliable);
    doubt.into_iter().chain([taken.to_owned()]).collect()
}

/// The greatest error of an input over life.
fn greatest((board, input): &(Board, Input), values: &Values) -> Option<GreatestError> {
    let scene = Scene::new(board, input, values);
    let life = &scene.situations[Scene::NORMAL];
    let found = greatest_error_of(input, &scene, [&scene.nominal.resistances, &life.resistances])?;
    Some(GreatestError { greatest: found.value, at: found.at })
}

fn lesser<Q: PartialOrd>(a: Q, b: Q) -> Q {
    if b < a { b } else { a }
}

/// Something that makes a calibrated reading wrong.
struct Cause {
    name: &'static str,
    /// Puts it back where it was taken out.
    put: fn(to: &mut (Board, Input), from: &Board, from_input: &Input),
}

/// All causes, in the order of answers.
const CAUSES: [Cause; 8] = [
    Cause { name: "tolerance", put: tolerance },
    Cause { name: "temperature", put: temperature },
    Cause { name: "ageing", put: ageing },
    Cause { name: "calibrator", put: calibrator },
    Cause { name: "converter", put: converter },
    Cause { name: "leakage", put: leakage },
    Cause { name: "surroundings", put: surroundings },
    Cause { name: "sender", put: sender },
];

impl Cause {
    /// The input with this cause alone.
    fn alone(&self, board: &Board, input: &Input) -> (Board, Input) {
        let mut alone = ideal(board, input);
        (self.put)(&mut alone, board, input);
        alone
    }
}

/// The finest converter there is stands in for one that does not truncate.
const FINEST: u32 = 32;

/// The same input with nothing that is off.
fn ideal(board: &Board, input: &Input) -> (Board, Input) {
    let (mut board, mut input) = (board.clone(), input.clone());
    let specified = Band::exactly(Celsius(25.0));
    (board.ambient, board.bench.temperature) = (specified, specified);
    board.supply.swing = Band::exactly(board.supply.usual);
    for rail in &mut board.rails {
        rail.tolerance = Fraction(0.0);
    }
    let converter = &mut board.converter;
    converter.bits = FINEST;
    (converter.offset, converter.inl, converter.noise) = (Counts(0.0), Counts(0.0), Counts(0.0));
    (converter.gain, converter.leakage) = (Fraction(0.0), Amperes(0.0));
    if let Reference::Own { tolerance, .. } = &mut converter.reference {
        *tolerance = Fraction(0.0);
    }
    for part in &mut input.parts {
        (part.grade.tolerance, part.grade.ageing) = (Fraction(0.0), Fraction(0.0));
    }
    if let Drive::Sender(sender) = &mut input.drive {
        (sender.tolerance, sender.accuracy, sender.self_heating) = (Fraction(0.0), Accuracy::NONE, None);
    }
    if let Some(calibration) = &mut input.calibration {
        calibration.accuracy = Fraction(0.0);
    }
    let Band { lowest, highest } = input.wire;
    input.wire = Band::exactly(Ohms(f64::midpoint(lowest.0, highest.0)));
    let Band { lowest, highest } = input.ground_shift;
    input.ground_shift = Band::exactly(Volts(f64::midpoint(lowest.0, highest.0)));
    input.wet = None;
    if let Some(existing) = &mut input.existing {
        existing.tolerance = Fraction(0.0);
    }
    if let Some(gauge) = &mut input.gauge {
        gauge.tolerance = Fraction(0.0);
        if let Feed::Stabiliser { tolerance, pulsed, .. } = &mut gauge.from {
            (*tolerance, *pulsed) = (Fraction(0.0), false);
        }
    }
    if let Some(clamp) = &mut input.clamp {
        clamp.leakage = Amperes(0.0);
    }
    (board, input)
}

fn tolerance((board, input): &mut (Board, Input), from: &Board, from_input: &Input) {
    board.rails.clone_from(&from.rails);
    let finer = f64::from(FINEST - from.converter.bits).exp2();
    let converter = &mut board.converter;
    (converter.reference, converter.gain) = (from.converter.reference, from.converter.gain);
    converter.offset = from.converter.offset * finer;
    for (part, from) in input.parts.iter_mut().zip(&from_input.parts) {
        part.grade.tolerance = from.grade.tolerance;
    }
}

fn temperature((board, _): &mut (Board, Input), from: &Board, _: &Input) {
    (board.ambient, board.bench.temperature) = (from.ambient, from.bench.temperature);
}

fn ageing((_, input): &mut (Board, Input), _: &Board, from: &Input) {
    for (part, from) in input.parts.iter_mut().zip(&from.parts) {
        part.grade.ageing = from.grade.ageing;
    }
}

fn calibrator((_, input): &mut (Board, Input), _: &Board, from: &Input) {
    input.calibration.clone_from(&from.calibration);
}

/// Truncation, nonlinearity and noise.
fn converter((board, _): &mut (Board, Input), from: &Board, _: &Input) {
    let converter = &mut board.converter;
    (converter.bits, converter.inl, converter.noise) =
        (from.converter.bits, from.converter.inl, from.converter.noise);
}

fn leakage((board, input): &mut (Board, Input), from: &Board, from_input: &Input) {
    board.converter.leakage = from.converter.leakage;
    input.clamp = from_input.clamp;
}

/// The supply, the ground, the wire, and what else hangs on it.
fn surroundings((board, input): &mut (Board, Input), from: &Board, from_input: &Input) {
    board.supply.swing = from.supply.swing;
    (input.wire, input.ground_shift) = (from_input.wire, from_input.ground_shift);
    (input.wet, input.existing, input.gauge) = (from_input.wet, from_input.existing, from_input.gauge);
}

fn sender((_, input): &mut (Board, Input), _: &Board, from: &Input) {
    input.drive.clone_from(&from.drive);
}
