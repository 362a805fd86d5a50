//! What an input shows: its unit and the two ends of its range.

use super::reader::Value;
use super::unit::{Unit, number_text};
use crate::quantity::Band;

/// The unit and the range of an input.
#[derive(Clone, Debug)]
pub(super) struct Dial {
    pub(super) unit: Unit,
    pub(super) range: Band<f64>,
}

impl Dial {
    pub(super) fn new(unit: &str, range: Band<f64>) -> Self {
        Self { unit: Unit::new(unit), range }
    }

    /// `0 .. 100 %`.
    pub(super) fn range_text(&self) -> String {
        let Band { lowest, highest } = self.range;
        format!("{} .. {} {}", number_text(lowest), number_text(highest), self.unit.name())
    }

    /// A value as it stands in a brief: `12.5 %`.
    pub(super) fn text(&self, value: f64) -> String {
        format!("{} {}", number_text(value), self.unit.name())
    }

    /// A value inside the range.
    pub(super) fn value(&self, value: &Value<'_>) -> Option<f64> {
        let number =
            value.parse(&format!("a value in {}", self.unit.name()), |text| self.unit.value(text))?;
        self.inside(value, number)
    }

    /// A part of the range, with the lower end first.
    pub(super) fn band(&self, value: &Value<'_>) -> Option<Band<f64>> {
        let (lowest, highest) = value.ends(
            &format!("in {}", self.unit.name()),
            |text| self.unit.ends(text),
            |text| self.unit.value(text),
        )?;
        self.inside(value, lowest)?;
        self.inside(value, highest)?;
        if lowest < highest {
            return Some(Band { lowest, highest });
        }
        let odd = if lowest == highest { "empty" } else { "reversed" };
        value.wrong(format!("{} ({odd})", value.found()), "the lower end first and a higher one behind it");
        None
    }

    fn inside(&self, value: &Value<'_>, number: f64) -> Option<f64> {
        if self.range.holds(number) {
            return Some(number);
        }
        let found = format!("{} (outside the range)", value.found());
        value.wrong(found, format!("a value inside {}", self.range_text()));
        None
    }

    /// A distance on the dial, not below 0.
    pub(super) fn difference(unit: &Unit, value: &Value<'_>) -> Option<f64> {
        let expected = format!("a distance in {}, not below 0", unit.name());
        let number = value.parse(&expected, |text| unit.difference(text))?;
        if number >= 0.0 {
            return Some(number);
        }
        value.unlike(expected);
        None
    }
}
