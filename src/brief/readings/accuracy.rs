//! How far a meter may be off: `1 %`, `2 Ω` or `1 % + 2 Ω`.

use super::super::words::quoted;
use crate::learn::MeterAccuracy;
use crate::quantity::{Fraction, Ohms, ParseQuantityError, Quantity};

const EXPECTED: &str = "the accuracy of the meter such as 1 %, 2 Ω or 1 % + 2 Ω";

/// Reads the accuracy of an ohmmeter; a bare number is in `unit`.
pub(super) fn of_meter(text: &str, unit: Option<&str>) -> Result<MeterAccuracy, ParseQuantityError> {
    let refused = |found: String| ParseQuantityError { found, expected: EXPECTED.to_owned() };
    let (mut share, mut fixed) = (None, None);
    for term in text.trim().trim_start_matches('±').split('+').map(str::trim) {
        let term = with_unit(term, unit);
        if term.ends_with('%') {
            if share.replace(Fraction::parse(&term)?).is_some() {
                return Err(refused(format!("{} (two shares)", quoted(text))));
            }
        } else if is_bare(&term) {
            return Err(refused(format!("{} (without a unit)", quoted(text))));
        } else if fixed.replace(Ohms::parse(&term)?).is_some() {
            return Err(refused(format!("{} (two resistances)", quoted(text))));
        }
    }
    let accuracy = MeterAccuracy { share: share.unwrap_or(Fraction(0.0)), fixed: fixed.unwrap_or(Ohms(0.0)) };
    if (0.0..1.0).contains(&accuracy.share.0) && accuracy.fixed.0 >= 0.0 {
        return Ok(accuracy);
    }
    Err(refused(format!("{} (no share from 0 % to less than 100 %)", quoted(text))))
}

/// Whether the text is nothing but a number.
pub(super) fn is_bare(text: &str) -> bool {
    let in_number = |c: char| c.is_ascii_digit() || "+-.\u{2212}eE,".contains(c);
    !text.is_empty() && text.chars().all(in_number) && text.contains(|c: char| c.is_ascii_digit())
}

/// The text with the unit of its column behind it, unless it has its own.
pub(super) fn with_unit(text: &str, unit: Option<&str>) -> String {
    match unit {
        Some(unit) if is_bare(text) => format!("{text} {unit}"),
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn meters_are_specified_as_share_and_resistance() {
        let of = |text, unit| of_meter(text, unit).map(|meter| (meter.share.0, meter.fixed.0));
        assert_eq!(of("1 %", None), Ok((0.01, 0.0)));
        assert_eq!(of("±1 % + 2 Ω", None), Ok((0.01, 2.0)));
        assert_eq!(of("0.2 kΩ", None), Ok((0.0, 200.0)));
        assert_eq!(of("2", Some("%")), Ok((0.02, 0.0)));
        for wrong in ["", "2", "1 % + 1 %", "2 Ω + 1 Ω", "100 %", "-1 %", "1 % + 2 counts", "NaN %", "1,5 %"]
        {
            assert!(of(wrong, None).is_err(), "{wrong}");
        }
    }
}
