//! `calibration`: one or two points at which the firmware of each board is told what it should read.

use super::dial::Dial;
use super::reader::{Keys, Value};
use super::rule;
use crate::board::{Aim, Calibration, Choice, Input, Setting};
use crate::quantity::Fraction;

const EXPECTED: &str = "none, or a map with one or two points such as { at: [0, 100], accuracy: 0.5 % }";
const POINTS: &str = "one point or two in the unit of the input, such as at: [0, 100]";

/// Reads the key. `usual` is how far the decade box of the bench may be off: what is dialled comes from it where nothing
/// else is said.
pub(super) fn read(keys: &mut Keys<'_>, dial: Option<&Dial>, usual: Fraction) -> Option<Calibration> {
    let Some(value) = keys.get("calibration") else { return keys.assume("calibration", None, "none") };
    if value.is_word("none") {
        return None;
    }
    if value.as_text().is_some() {
        value.unlike(EXPECTED);
        return None;
    }
    let mut keys = value.keys(EXPECTED)?;
    let at = keys.required("at", POINTS);
    let accuracy = keys.quantity_or("accuracy", &rule::SHARE_BELOW_ONE, usual);
    keys.finish();
    let points = points(&at?, dial?);
    Some(Calibration { points: points?, accuracy: accuracy? })
}

/// One value or two, ascending.
fn points(at: &Value<'_>, dial: &Dial) -> Option<Vec<f64>> {
    if at.as_text().is_some() {
        return dial.value(at).map(|point| vec![point]);
    }
    let values = at.list(POINTS)?;
    if values.is_empty() || values.len() > 2 {
        let found = if values.is_empty() { "an empty list" } else { "more than two points" };
        at.wrong(found, POINTS);
        return None;
    }
    let read: Option<Vec<f64>> = values.iter().map(|value| dial.value(value)).collect();
    let mut points = read?;
    points.sort_by(f64::total_cmp);
    if points.len() == 2 && points[0] == points[1] {
        at.wrong("the same point twice", "two different points, or one of them alone");
        return None;
    }
    Some(points)
}

/// What an input with a calibration may not have beside it.
pub(super) fn check(input: &Input, value: &Value<'_>) {
    if input.calibration.is_none() {
        return;
    }
    if input.corrected_by.is_some() {
        let expected = "one of the two left out: a reading is either calibrated or divided by the supply";
        value.wrong_key("`calibration` beside `corrected_by`", expected);
    }
    let wanted = match (input.aim, input.limits.error) {
        (Aim::Error, _) => "aim: error",
        (_, Setting::At(_)) => "limits: error",
        _ => return,
    };
    if input.parts.iter().any(|part| matches!(part.choice, Choice::Choose { .. })) {
        let expected = "give the parts of the input first, or leave one of the two out: the search has no bound for the error \
                        of a calibrated reading";
        value.wrong_key(format!("`calibration` beside {wanted}, with parts still to be chosen"), expected);
    }
}
