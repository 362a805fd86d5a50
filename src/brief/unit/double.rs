//! A value given twice, in two units: `90.6 °C (195 °F)`.

use super::{Related, Unit, number_and_unit, significant};
use crate::brief::words::quoted;
use crate::quantity::ParseQuantityError;

/// The value and, in brackets behind it, the same value in another unit.
pub(super) fn split(text: &str) -> Option<(&str, &str)> {
    let (first, rest) = text.trim().split_once('(')?;
    let second = rest.strip_suffix(')')?;
    // In `5 gal (US)` the brackets belong to the unit.
    number_and_unit(second)?;
    Some((first.trim(), second.trim()))
}

/// The value that stands first; what stands in brackets has to agree with it, as far as the printed digits go.
pub(super) fn value(unit: &Unit, text: &str, first: &str, second: &str) -> Result<f64, ParseQuantityError> {
    let value = unit.value(first)?;
    let [one, other] = [first, second].map(|part| Reading::of(unit, part));
    let (Some(one), Some(other)) = (one, other) else {
        return Err(ParseQuantityError {
            found: format!("{} (two values that cannot be compared)", quoted(text)),
            expected: format!("one value: {}", quoted(first)),
        });
    };
    if (one.base - other.base).abs() <= (one.rounding + other.rounding) * (1.0 + 1e-9) {
        return Ok(value);
    }
    Err(ParseQuantityError {
        found: format!("{} ({} is {})", quoted(text), other.shown_as(&other), other.shown_as(&one)),
        expected: format!(
            "one of the two, or two that agree: {} is {}",
            one.shown_as(&one),
            one.shown_as(&other)
        ),
    })
}

/// A value in the base unit, and how far rounding to its printed digits may have moved it.
struct Reading<'t> {
    base: f64,
    rounding: f64,
    unit: &'t str,
    related: Related,
}

impl<'t> Reading<'t> {
    /// A bare number is in `unit`.
    fn of(unit: &'t Unit, text: &'t str) -> Option<Self> {
        let (number, own) = number_and_unit(text)?;
        let own = if own.is_empty() { unit.name() } else { own };
        let related = Related::of(unit.related?.parse, own)?;
        let rounding = 0.5 * last_digit(text) * related.step.abs();
        Some(Self { base: related.zero + number * related.step, rounding, unit: own, related })
    }

    /// The value in the unit of another one.
    fn shown_as(&self, other: &Self) -> String {
        let value = (self.base - other.related.zero) / other.related.step;
        format!("{} {}", significant(value), other.unit)
    }
}

/// What one step of the last printed digit is: 0.1 for `90.6 °C`.
fn last_digit(text: &str) -> f64 {
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
    let places = text.split_once('.').map_or(0, |(_, behind)| digits(behind));
    10_f64.powi(-i32::try_from(places).unwrap_or(i32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_in_brackets_has_to_agree() {
        let celsius = Unit::new("°C");
        // Common practice, no published source: coolant 195 .. 220 °F; oil pressure 25 .. 65 psi.
        assert_eq!(celsius.value("90.6 °C (195 °F)"), Ok(90.6));
        assert_eq!(celsius.value("104 (220 °F)"), Ok(104.0));
        assert_eq!(Unit::new("bar").value("1.72 bar (25 psi)"), Ok(1.72));
        assert_eq!(Unit::new("bar").value("4.48 bar (65 psi)"), Ok(4.48));
        assert_eq!(Unit::new("L").value("20 L (5.28 US gal)"), Ok(20.0));
        // Field case: 260 °F is 126.7 °C, and 100 °F is 37.8 °C.
        let error = celsius.value("123 °C (260 °F)").unwrap_err();
        assert_eq!(error.found, "`123 °C (260 °F)` (260 °F is 126.7 °C)");
        assert_eq!(error.expected, "one of the two, or two that agree: 123 °C is 253.4 °F");
        let error = celsius.value("47 °C (100 °F)").unwrap_err();
        assert_eq!(error.found, "`47 °C (100 °F)` (100 °F is 37.78 °C)");
        assert_eq!(error.expected, "one of the two, or two that agree: 47 °C is 116.6 °F");
    }

    #[test]
    fn what_cannot_be_compared_is_refused() {
        let error = Unit::new("%").value("50 % (20 L)").unwrap_err();
        assert_eq!(error.found, "`50 % (20 L)` (two values that cannot be compared)");
        assert_eq!(error.expected, "one value: `50 %`");
        assert!(Unit::new("°C").value("90 °C (2 bar)").is_err());
        assert!(Unit::new("°C").value("90 °C (hot)").is_err());
    }
}
