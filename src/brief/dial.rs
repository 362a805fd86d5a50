//! What an input shows: its unit and the two ends of its range.

use super::reader::Value;
use super::unit::{Unit, number_text};
use super::words::quoted;
use crate::quantity::Band;

/// The unit and the range of an input.
#[derive(Clone, Debug)]
pub(super) struct Dial {
    pub(super) unit: Unit,
    /// The range; of several senders what all of them have in common.
    pub(super) range: Band<f64>,
    /// Several senders by name, each with its range; empty: there is but one.
    senders: Vec<(String, Band<f64>)>,
}

impl Dial {
    pub(super) fn new(unit: &str, range: Band<f64>) -> Self {
        Self { unit: Unit::new(unit), range, senders: Vec::new() }
    }

    /// What several senders of one unit have in common; `None`: their ranges have nothing in common.
    pub(super) fn common(unit: &str, senders: Vec<(String, Band<f64>)>) -> Option<Self> {
        let overlap = |a: Band<f64>, b: Band<f64>| Band {
            lowest: a.lowest.max(b.lowest),
            highest: a.highest.min(b.highest),
        };
        let range = senders.iter().map(|(_, range)| *range).reduce(overlap)?;
        (range.lowest < range.highest).then(|| Self { unit: Unit::new(unit), range, senders })
    }

    /// Whether every sender has the same range.
    pub(super) fn is_shared(&self) -> bool {
        self.senders.iter().all(|(_, range)| *range == self.range)
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

    /// The range that a value is outside of: that of the first sender that does not reach so far.
    pub(super) fn bound_at(&self, number: f64) -> String {
        let text = |range: &Band<f64>| {
            let Band { lowest, highest } = range;
            format!("{} .. {} {}", number_text(*lowest), number_text(*highest), self.unit.name())
        };
        match self.senders.iter().find(|(_, range)| !range.holds(number)) {
            Some((name, range)) => format!("{}, the range of sender {}", text(range), quoted(name)),
            None => text(&self.range),
        }
    }

    fn inside(&self, value: &Value<'_>, number: f64) -> Option<f64> {
        if self.range.holds(number) {
            return Some(number);
        }
        let found = format!("{} (outside the range)", value.found());
        value.wrong(found, format!("a value inside {}", self.bound_at(number)));
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
