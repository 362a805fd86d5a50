//! What the next better grade of one source would leave of the worst-case error.

use crate::board::{Board, Input, Part, Reference, Role};
use crate::circuit::{Scene, Values};
use crate::quantity::{Fraction, PerKelvin};
use crate::reading::greatest_error_of;
use crate::stackup::{Cause, Owner, Ranked};

/// Tolerances in which resistors are sold, falling (common practice).
const TOLERANCES: [f64; 9] = [0.1, 0.05, 0.02, 0.01, 0.005, 0.0025, 0.001, 0.0005, 0.0001];

/// Temperature coefficients in which they are sold, falling (common practice).
const TEMPCOS: [f64; 7] = [400e-6, 200e-6, 100e-6, 50e-6, 25e-6, 10e-6, 5e-6];

/// Tolerances of regulators and references, falling (common practice).
const VOLTAGES: [f64; 8] = [0.1, 0.05, 0.03, 0.02, 0.01, 0.005, 0.002, 0.001];

/// A better grade.
#[derive(Debug)]
pub(super) struct Better {
    /// Its limit.
    pub(super) to: f64,
    /// Of what.
    pub(super) unit: &'static str,
    /// The worst-case error with it, in the unit of the dial.
    pub(super) error: f64,
}

/// The next better grade of a source, everything else as it is; `None` where there are no grades.
pub(super) fn better(
    board: &Board,
    input: &Input,
    values: &Values,
    ranked: &Ranked,
    error: f64,
) -> Option<Better> {
    let source = &ranked.source;
    if source.of_meter || source.point.is_some() {
        return None;
    }
    let (mut board, mut input) = (board.clone(), input.clone());
    let (to, unit) = match (source.cause, source.owner) {
        (Cause::Tolerance, Owner::Part(role)) => {
            let parts = of_one_grade(&mut input, role);
            let to = next(&TOLERANCES, parts.first()?.grade.tolerance.0)?;
            for part in parts {
                part.grade.tolerance = Fraction(to);
            }
            (to, "share")
        }
        (Cause::Tempco, Owner::Part(role)) => {
            let parts = of_one_grade(&mut input, role);
            let to = next(&TEMPCOS, parts.first()?.grade.tempco.0)?;
            for part in parts {
                part.grade.tempco = PerKelvin(to);
            }
            (to, "per kelvin")
        }
        (Cause::Rail, Owner::Rail(place)) => {
            let rail = board.rails.get_mut(place)?;
            let to = next(&VOLTAGES, rail.tolerance.0)?;
            rail.tolerance = Fraction(to);
            (to, "share")
        }
        (Cause::Reference, _) => {
            let Reference::Own { tolerance, .. } = &mut board.converter.reference else { return None };
            let to = next(&VOLTAGES, tolerance.0)?;
            *tolerance = Fraction(to);
            (to, "share")
        }
        _ => return None,
    };
    let scene = Scene::new(&board, &input, values);
    let life = &scene.situations[Scene::NORMAL];
    let found = greatest_error_of(&input, &scene, [&scene.nominal.resistances, &life.resistances])?;
    Some(Better { to, unit, error: found.value.min(error) })
}

/// A part and those that track with it: they are all of one grade.
fn of_one_grade(input: &mut Input, role: Role) -> Vec<&mut Part> {
    let group = input.parts.iter().find(|part| part.role == role).and_then(|part| part.tracks.clone());
    let is_one = |part: &&mut Part| part.role == role || (group.is_some() && part.tracks == group);
    input.parts.iter_mut().filter(is_one).collect()
}

/// The first grade that is better than what there is.
fn next(grades: &[f64], now: f64) -> Option<f64> {
    grades.iter().copied().find(|&grade| grade < now * (1.0 - 1e-9))
}
