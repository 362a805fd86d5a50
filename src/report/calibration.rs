//! What a calibration leaves of the error.

use super::page::Flush::{Left, Right};
use super::page::Page;
use super::words::{digits, plain, rounded, value};
use crate::answer::{CalibrationAnswer, GreatestError, InputAnswer};
use crate::quantity::Fraction;

/// What remains in all and by cause, and whether good parts would do as well without.
pub(super) fn section(page: &mut Page, input: &InputAnswer) {
    let Some(calibration) = &input.calibration else { return };
    let unit = &input.unit;
    let points: Vec<String> = calibration.at.iter().map(|point| plain(*point)).collect();
    let head = format!("calibrated at {}", value_of(&points.join(" and "), unit));
    let off =
        |greatest: f64, at: f64| vec![format!("±{}", value(rounded(greatest), unit)), plain(rounded(at))];
    let row = |name: String, [greatest, at]: [f64; 2]| [name].into_iter().chain(off(greatest, at)).collect();
    let of = |error: GreatestError| [error.greatest, error.at];
    let mut rows: Vec<Vec<String>> = vec![row("what remains, at most".to_owned(), of(calibration.remains))];
    rows.extend(
        calibration.by.iter().map(|cause| {
            row(format!("  {} alone", what(cause.cause, calibration)), [cause.greatest, cause.at])
        }),
    );
    rows.push(row("the same parts without calibration".to_owned(), of(calibration.without)));
    let good = calibration.good_parts;
    rows.push(row(format!("parts of {} without calibration", Fraction(good.tolerance)), of(good.error)));
    page.table(&[(&head, Left), ("greatest error", Right), ("at", Right)], rows);
    page.gap();
    page.paragraph("", &verdict(calibration, unit));
}

fn value_of(text: &str, unit: &str) -> String {
    format!("{text} {unit}").trim_end().to_owned()
}

/// The cause in words.
fn what(cause: &'static str, calibration: &CalibrationAnswer) -> String {
    match cause {
        "tolerance" if calibration.at.len() > 1 => "tolerance (what it bends)".to_owned(),
        "calibrator" => format!("calibrator (±{})", Fraction(calibration.accuracy)),
        "converter" => "truncation, nonlinearity, noise".to_owned(),
        "surroundings" => "supply, ground, wire, what hangs on it".to_owned(),
        other => other.to_owned(),
    }
}

/// Which is better: these parts calibrated, or good parts that are not.
fn verdict(calibration: &CalibrationAnswer, unit: &str) -> String {
    let good = calibration.good_parts;
    let parts = format!(
        "parts of {}, {} ppm/K and {} ageing",
        Fraction(good.tolerance),
        digits(good.tempco * 1e6),
        Fraction(good.ageing)
    );
    let (with, without) = (calibration.remains.greatest, good.error.greatest);
    let by = value(rounded((with - without).abs()), unit);
    if !calibration.reliable {
        return format!("This calibration cannot be relied on: better {parts} without one.");
    }
    if with > calibration.without.greatest {
        return "This calibration makes readings worse: these parts are better without it.".to_owned();
    }
    if (with - without).abs() <= 0.01 * with.max(without) {
        return format!("Calibrated, these parts are about as good as {parts} without calibration.");
    }
    if with < without {
        format!("Calibrated, these parts are better than {parts} without calibration, by {by} at least.")
    } else {
        format!("Without calibration {parts} are better than these parts calibrated, by up to {by}.")
    }
}
