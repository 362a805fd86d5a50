//! Text to quantity.

use std::str::FromStr;

use super::decimal::Decimal;
use super::kind::{self, Bare, Kind, Scale};
use super::refusal::{self, refusal};
use super::{
    Amperes, Celsius, Counts, Farads, Fraction, Ohms, Pascals, PerKelvin, Seconds, Volts, Watts,
    WattsPerKelvin, letter_code, spelling,
};

/// Why a text is not the quantity it should be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found {found}, expected {expected}")]
pub struct ParseQuantityError {
    /// What stands there, and what is odd about it.
    pub found: String,
    /// What would be right, with an example.
    pub expected: String,
}

/// A quantity that can be read from text.
///
/// A blank between number and unit may be left out, and `ohm` may stand for `Ω`, `u` for `µ`. Values are correctly
/// rounded: `11.3 kΩ` is 11300 Ω exactly.
///
/// ```
/// use ohmwright::quantity::{Ohms, Quantity, Volts};
///
/// assert_eq!(Ohms::parse("4k7")?, Ohms(4700.0));
/// assert_eq!(Volts::parse("-50 mV")?, Volts(-0.05));
/// let error = Ohms::parse("4,7 k").unwrap_err();
/// assert_eq!(error.to_string(), "found `4,7 k` (a decimal comma), expected a decimal point: `4.7 k`");
/// # Ok::<(), ohmwright::quantity::ParseQuantityError>(())
/// ```
pub trait Quantity: Copy + PartialOrd {
    /// What the quantity is called in messages, with an example: `a resistance such as 4.7 kΩ or 4k7`.
    const EXPECTED: &'static str;

    /// Reads the text of one quantity; a bare number is in the base unit.
    ///
    /// Exceptions: a bare number is in ppm/K for [`PerKelvin`], and an error for [`Celsius`] and (0 excepted) for
    /// [`Fraction`], where it could mean several things.
    ///
    /// # Errors
    /// When the text is not exactly one quantity of this kind; nothing is guessed.
    fn parse(text: &str) -> Result<Self, ParseQuantityError>;

    /// Whether this is a prefix without a unit, like the `k` of `47k`: it belongs to its own number only.
    fn is_multiplier(_unit: &str) -> bool {
        false
    }
}

macro_rules! read_from_text {
    ($($name:ident: $kind:ident,)*) => {$(
        impl Quantity for $name {
            const EXPECTED: &'static str = kind::$kind.expected;

            fn parse(text: &str) -> Result<Self, ParseQuantityError> {
                read(text, &kind::$kind).map(Self)
            }

            fn is_multiplier(unit: &str) -> bool {
                kind::$kind.is_multiplier(unit)
            }
        }

        impl FromStr for $name {
            type Err = ParseQuantityError;

            fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
                Self::parse(text)
            }
        }
    )*};
}

read_from_text! {
    Ohms: RESISTANCE,
    Volts: VOLTAGE,
    Amperes: CURRENT,
    Watts: POWER,
    Farads: CAPACITANCE,
    Seconds: TIME,
    Fraction: SHARE,
    PerKelvin: CHANGE_PER_KELVIN,
    WattsPerKelvin: POWER_PER_KELVIN,
    Celsius: TEMPERATURE,
    Pascals: PRESSURE,
    Counts: STEPS,
}

impl Ohms {
    /// Reads a resistance that may well be some milliohms: a burden, a wire, the resistance of a source.
    ///
    /// Elsewhere `mΩ` is an error, since it is usually a slip for `MΩ`.
    ///
    /// # Errors
    /// As [`Quantity::parse`]; a small `m` without unit remains an error.
    pub fn parse_small(text: &str) -> Result<Self, ParseQuantityError> {
        read(text, &kind::SMALL_RESISTANCE).map(Self)
    }

    /// Reads a range as [`parse_range`] does, with ends as [`Ohms::parse_small`] reads them.
    ///
    /// # Errors
    /// As [`parse_range`].
    pub fn parse_small_range(text: &str) -> Result<(Self, Self), ParseQuantityError> {
        range_of(text, kind::SMALL_RESISTANCE.expected, Self::parse_small)
    }
}

/// Reads `A .. B`; the order is kept, since it says which end is which.
///
/// A bare first end takes the unit of the second, with its prefix: `4..20 mA` starts at 4 mA. A prefix alone is no unit:
/// in `1..47k` and `240..4k7` each end stands for itself, as it does when only the second end is bare.
///
/// ```
/// use ohmwright::quantity::{Amperes, Ohms, parse_range};
///
/// assert_eq!(parse_range("4..20 mA")?, (Amperes(0.004), Amperes(0.020)));
/// assert_eq!(parse_range("240 Ω .. 33 Ω")?, (Ohms(240.0), Ohms(33.0)));
/// # Ok::<(), ohmwright::quantity::ParseQuantityError>(())
/// ```
///
/// # Errors
/// When the text has not exactly two ends with `..` between them, or an end is not a quantity of this kind.
pub fn parse_range<Q: Quantity>(text: &str) -> Result<(Q, Q), ParseQuantityError> {
    range_of(text, Q::EXPECTED, Q::parse)
}

fn range_of<Q: Quantity>(
    text: &str,
    expected: &str,
    parse: impl Fn(&str) -> Result<Q, ParseQuantityError>,
) -> Result<(Q, Q), ParseQuantityError> {
    let text = text.trim();
    let two_ends = || format!("two ends with .. between them, each {expected}");
    let Some((first, second)) = text.split_once("..") else {
        let odd = if text.is_empty() { "empty" } else { "not a range" };
        return Err(refusal(text, odd, two_ends()));
    };
    let (first, second) = (first.trim(), second.trim());
    if first.is_empty() || second.is_empty() {
        return Err(refusal(text, "an end is missing", two_ends()));
    }
    // `5...10` could be `5. .. 10` or `5 .. .10`.
    if text.contains("...") || second.contains("..") {
        return Err(refusal(text, "dots too many", two_ends()));
    }
    let first = match unit_for_both::<Q>(first, second) {
        Some(unit) => parse(&format!("{first} {unit}"))?,
        None => parse(first)?,
    };
    Ok((first, parse(second)?))
}

/// The unit of the second end, if the first is a bare number.
fn unit_for_both<'a, Q: Quantity>(first: &str, second: &'a str) -> Option<&'a str> {
    let (_, after_first) = Decimal::scan(first)?;
    let (_, unit) = Decimal::scan(second)?;
    let unit = unit.trim();
    let is_unit = !unit.contains(|c: char| c.is_ascii_digit()) && !Q::is_multiplier(&spelling::unit(unit));
    (after_first.is_empty() && is_unit).then_some(unit)
}

/// The number of base units that the text stands for.
pub(super) fn read(text: &str, kind: &Kind) -> Result<f64, ParseQuantityError> {
    let text = text.trim();
    if let Some(error) = refusal::of_text(text, kind) {
        return Err(error);
    }
    let (number, scale) = number_and_scale(text, kind)?;
    let value = scale.apply(&number);
    match refusal::of_value(text, &number, value, kind) {
        Some(error) => Err(error),
        None => Ok(value),
    }
}

fn number_and_scale(text: &str, kind: &Kind) -> Result<(Decimal, Scale), ParseQuantityError> {
    let plain = spelling::signs(text);
    if let Some((number, rest)) = letter_code::read(&plain, kind.letters) {
        let unit = spelling::unit(rest);
        return if unit.is_empty() || unit == kind.symbol {
            Ok((number, Scale::Ten(0)))
        } else {
            Err(refusal::of_rest(text, &unit, kind))
        };
    }
    let Some((number, rest)) = Decimal::scan(&plain) else {
        return Err(refusal::of_missing_number(text, kind));
    };
    let unit = spelling::unit(rest);
    let scale = if unit.is_empty() { bare(&number, kind.bare) } else { kind.scale(&unit) };
    match scale {
        Some(scale) => Ok((number, scale)),
        None if unit.is_empty() => Err(refusal::of_missing_unit(text, &number, kind)),
        None => Err(refusal::of_unit(text, &number, &unit, kind)),
    }
}

/// What a number without unit is counted in.
fn bare(number: &Decimal, meaning: Bare) -> Option<Scale> {
    match meaning {
        Bare::Counts(exponent) => Some(Scale::Ten(exponent)),
        Bare::OnlyZero => number.is_zero().then_some(Scale::Ten(0)),
        Bare::Nothing => None,
    }
}
