//! The unit of a dial, and values in it.

mod double;
mod volume;

use super::words::quoted;
use crate::curve::Affine;
use crate::quantity::{Amperes, Celsius, Counts, ParseQuantityError, Pascals, Quantity, Volts};

/// Reads a text as so many base units of a quantity.
type Parse = fn(&str) -> Result<f64, ParseQuantityError>;

/// A unit. Where it belongs to a known quantity, values in related units are converted: `176 °F` is 80 in °C.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    name: String,
    related: Option<Related>,
}

/// How a related quantity, in its base unit, becomes a number of the unit.
#[derive(Clone, Copy, Debug)]
struct Related {
    parse: Parse,
    /// What 0 of the unit is in the base unit: 0 °F is −17.8 °C.
    zero: f64,
    /// How large one step of the unit is in the base unit.
    step: f64,
}

fn base<Q: Quantity>(text: &str, get: fn(Q) -> f64) -> Result<f64, ParseQuantityError> {
    Q::parse(text).map(get)
}

/// Quantities whose units are converted into each other.
const QUANTITIES: [Parse; 5] = [
    temperature,
    |text| base(text, Pascals::get),
    |text| base(text, Volts::get),
    |text| base(text, Amperes::get),
    volume::parse,
];

fn temperature(text: &str) -> Result<f64, ParseQuantityError> {
    base(text, Celsius::get)
}

/// So many steps at once that the difference of two numbers costs no digit of one step.
const STEPS: f64 = 1000.0;

impl Related {
    fn of(parse: Parse, unit: &str) -> Option<Self> {
        let zero = parse(&format!("0 {unit}")).ok()?;
        let step = (parse(&format!("{STEPS} {unit}")).ok()? - zero) / STEPS;
        Some(Self { parse, zero, step })
    }
}

impl Unit {
    pub(super) fn new(name: &str) -> Self {
        let related = QUANTITIES.iter().find_map(|parse| Related::of(*parse, name));
        Self { name: name.to_owned(), related }
    }

    /// A unit whose values are not converted.
    pub(super) fn plain(name: &str) -> Self {
        Self { name: name.to_owned(), related: None }
    }

    /// How a dial in this unit shows temperature; `None` if it shows something else.
    pub(super) fn celsius(&self) -> Option<Affine> {
        let zero = Related::of(temperature, &self.name)?.zero;
        let dials = [Affine::CELSIUS, Affine::FAHRENHEIT, Affine::KELVIN];
        dials.into_iter().find(|dial| (dial.offset - zero).abs() < 1e-9)
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// The unit that stands behind the number of a text.
    pub(super) fn behind_number(text: &str) -> Option<Self> {
        let text = double::split(text).map_or(text, |(first, _)| first);
        let (_, unit) = number_and_unit(text)?;
        (!unit.is_empty()).then(|| Self::new(unit))
    }

    /// Reads a value; a bare number is in the unit. The same value in another unit may follow in brackets.
    pub(super) fn value(&self, text: &str) -> Result<f64, ParseQuantityError> {
        if let Some((first, second)) = double::split(text) {
            return double::value(self, text, first, second);
        }
        let Some((number, unit)) = number_and_unit(text) else { return Err(self.refusal(text)) };
        if unit.is_empty() || unit == self.name {
            return Ok(number);
        }
        if volume::is_either_gallon(unit) {
            return Err(volume::which_gallon(text, number));
        }
        let related = self.related.ok_or_else(|| self.refusal(text))?;
        let value = (related.parse)(text).map_err(|_| self.refusal(text))?;
        Ok(calm((value - related.zero) / related.step))
    }

    /// Reads a distance between two values: `2 K` is 2 in °C and 3.6 in °F.
    pub(super) fn difference(&self, text: &str) -> Result<f64, ParseQuantityError> {
        let Some((number, unit)) = number_and_unit(text) else { return Err(self.refusal(text)) };
        if unit.is_empty() || unit == self.name {
            return Ok(number);
        }
        let other = self.related.and_then(|related| Some((related, Related::of(related.parse, unit)?)));
        let (related, other) = other.ok_or_else(|| self.refusal(text))?;
        Ok(calm(number * other.step / related.step))
    }

    /// Reads `A .. B`; a bare first end is in the unit of the second.
    pub(super) fn ends(&self, text: &str) -> Result<(f64, f64), ParseQuantityError> {
        let Some((first, second)) = text.split_once("..") else {
            return Err(ParseQuantityError {
                found: format!("{} (not a range)", quoted(text)),
                expected: format!("two ends with .. between them, in {}", self.name),
            });
        };
        let (first, second) = (first.trim(), second.trim());
        let alone = double::split(second).map_or(second, |(value, _)| value);
        let unit = number_and_unit(alone).map_or("", |(_, unit)| unit);
        let is_bare = number_and_unit(first).is_some_and(|(_, unit)| unit.is_empty());
        let first = if is_bare { self.value(&format!("{first} {unit}"))? } else { self.value(first)? };
        Ok((first, self.value(second)?))
    }

    fn refusal(&self, text: &str) -> ParseQuantityError {
        // A comma, a blank inside: what is odd about a number is the same for all of them.
        let number = text.trim().strip_suffix(&self.name).unwrap_or(text);
        match Counts::parse(number) {
            Err(error) if text.contains(',') => error,
            _ => ParseQuantityError { found: quoted(text), expected: self.expected() },
        }
    }

    fn expected(&self) -> String {
        let hint = if volume::is_either_gallon(&self.name) {
            "; litres are converted into US gal or imp gal, since two gallons exist"
        } else {
            ""
        };
        format!("a number in {} such as {}{hint}", self.name, quoted(&format!("12.5 {}", self.name)))
    }
}

/// Splits `12.5 °C`; the number is finite.
fn number_and_unit(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let in_number = |c: char| c.is_ascii_digit() || "+-.\u{2212}eE".contains(c);
    let longest = text.find(|c| !in_number(c)).unwrap_or(text.len());
    // `5 e` and `5eV` end in what might be an exponent and is none.
    let mut ends = (1..=longest).rev().filter(|end| text.is_char_boundary(*end)).take(4);
    let number = |end| text[..end].replace('\u{2212}', "-").parse::<f64>().ok();
    let (number, end) = ends.find_map(|end| number(end).map(|number| (number, end)))?;
    let unit = text[end..].trim();
    (number.is_finite() && number.abs() <= 1e12 && !unit.starts_with(|c: char| c.is_ascii_digit()))
        .then_some((number, unit))
}

/// A converted value without the last digits, which are rounding: −4 °F and not −3.9999999999999996 °F.
pub(super) fn calm(value: f64) -> f64 {
    format!("{value:.12e}").parse().unwrap_or(value)
}

/// A value to four significant digits, for messages.
pub(super) fn significant(value: f64) -> String {
    format!("{value:.3e}").parse().map_or_else(|_| number_text(value), number_text)
}

/// A number as it stands in a brief.
pub(super) fn number_text(value: f64) -> String {
    format!("{value}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn related_units_are_converted() {
        let celsius = Unit::new("°C");
        assert_eq!(celsius.value("176 °F"), Ok(80.0));
        assert_eq!(celsius.value("353.15 K"), Ok(80.0));
        assert_eq!(celsius.value("-12.5"), Ok(-12.5));
        assert_eq!(celsius.difference("2 K"), Ok(2.0));
        assert_eq!(Unit::new("bar").value("250 kPa"), Ok(2.5));
        // 1 psi is 0.45359237 kg · 9.80665 m/s² / (0.0254 m)² = 6894.757 Pa: by definition.
        assert!((Unit::new("kPa").value("29 psi").unwrap() - 199.947_961_5).abs() < 1e-6);
        assert_eq!(Unit::new("A").value("500 mA"), Ok(0.5));
        assert_eq!(Unit::new("°F").value("-20 °C"), Ok(-4.0));
        assert_eq!(Unit::new("°F").value("80 °C"), Ok(176.0));
        assert_eq!(Unit::new("K").value("25 °C"), Ok(298.15));
    }

    #[test]
    fn gallons_say_which() {
        // By definition: 231 in³ of 25.4 mm are 3.785411784 L; the imperial gallon is 4.54609 L.
        let litres = Unit::new("L");
        assert_eq!(litres.value("10 US gal"), Ok(37.854_117_84));
        assert_eq!(litres.value("10 gal (US)"), Ok(37.854_117_84));
        assert_eq!(litres.value("10 imp gal"), Ok(45.4609));
        assert_eq!(Unit::new("imp gal").value("45.4609 L"), Ok(10.0));
        assert_eq!(Unit::new("gal").value("12 gal"), Ok(12.0));
        let error = litres.value("10 gal").unwrap_err();
        assert_eq!(error.found, "`10 gal` (two gallons exist)");
        let expected = "`10 US gal` (3.785 L each) or `10 imp gal` (4.546 L each), whichever is meant";
        assert_eq!(error.expected, expected);
        let error = Unit::new("gal").value("20 L").unwrap_err();
        let expected = "a number in gal such as `12.5 gal`; litres are converted into US gal or imp gal, since two \
                        gallons exist";
        assert_eq!(error.expected, expected);
    }

    #[test]
    fn dials_of_temperature_are_known() {
        assert_eq!(Unit::new("°C").celsius(), Some(Affine::CELSIUS));
        assert_eq!(Unit::new("°F").celsius(), Some(Affine::FAHRENHEIT));
        assert_eq!(Unit::new("K").celsius(), Some(Affine::KELVIN));
        assert_eq!(Unit::new("bar").celsius(), None);
    }

    #[test]
    fn ranges_take_the_unit_of_their_second_end() {
        assert_eq!(Unit::new("°C").ends("80 .. 120 °C"), Ok((80.0, 120.0)));
        assert_eq!(Unit::new("L").ends("5..20"), Ok((5.0, 20.0)));
        assert_eq!(Unit::new("°C").ends("32..212 °F"), Ok((0.0, 100.0)));
    }

    #[test]
    fn other_units_and_broken_numbers_are_refused() {
        let percent = Unit::new("%");
        for text in ["5 L", "abc", "1e400", "1 000", "", "--5", "0x10", "inf", "NaN"] {
            assert!(percent.value(text).is_err(), "{text}");
        }
        let error = percent.value("12,5").unwrap_err();
        assert_eq!(error.expected, "a decimal point: `12.5`");
    }
}
