//! Where in the text of a brief something stands.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::path::Step;

/// A place in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    /// The line, counted from 1.
    pub(super) line: usize,
    /// The column in characters, counted from 1.
    pub(super) column: usize,
}

/// A mistake of the text itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Trouble {
    pub(super) place: Option<Place>,
    pub(super) found: String,
    pub(super) expected: String,
}

/// Which half of an entry is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum At {
    /// The key.
    Key,
    /// The value behind it.
    Value,
}

/// The place of what `steps` lead to.
///
/// The parser tells places only with its errors. So the text is read once more along the path, with an error of our
/// own at its end.
pub(super) fn locate(text: &str, steps: &[Step], at: At) -> Option<Place> {
    let walk = Walk { steps, at };
    let error = walk.deserialize(serde_yaml::Deserializer::from_str(text)).err()?;
    place_of(&error)
}

/// The place that an error of the parser names.
pub(super) fn place_of(error: &serde_yaml::Error) -> Option<Place> {
    error.location().map(|place| Place { line: place.line(), column: place.column() })
}

const HERE: &str = "here";

#[derive(Clone, Copy)]
struct Walk<'s> {
    steps: &'s [Step],
    at: At,
}

impl<'de> DeserializeSeed<'de> for Walk<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        match self.steps.first() {
            None => deserializer.deserialize_any(Stop),
            Some(Step::Item(_)) => deserializer.deserialize_seq(self),
            Some(_) => deserializer.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for Walk<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(HERE)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        let Some((Step::Item(index), rest)) = self.steps.split_first() else {
            return Err(A::Error::custom(HERE));
        };
        for _ in 0..*index {
            list.next_element::<IgnoredAny>()?;
        }
        list.next_element_seed(Walk { steps: rest, at: self.at })?;
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Some((step, rest)) = self.steps.split_first() else { return Err(A::Error::custom(HERE)) };
        let (wanted, mut before) = match step {
            Step::Key(key) => (key, 0),
            Step::Repeat(key, times) => (key, *times),
            Step::Item(_) => return Err(A::Error::custom(HERE)),
        };
        let stop = rest.is_empty() && self.at == At::Key;
        while let Some(is_it) = map.next_key_seed(Key { wanted, stop: stop && before == 0 })? {
            if is_it && before == 0 {
                return map.next_value_seed(Walk { steps: rest, at: self.at });
            }
            before -= usize::from(is_it);
            map.next_value::<IgnoredAny>()?;
        }
        Ok(())
    }
}

/// Compares a key, and ends the walk there if it is the goal.
#[derive(Clone, Copy)]
struct Key<'s> {
    wanted: &'s str,
    stop: bool,
}

impl<'de> DeserializeSeed<'de> for Key<'_> {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for Key<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(HERE)
    }

    fn visit_str<E: Error>(self, key: &str) -> Result<bool, E> {
        if key == self.wanted && self.stop { Err(E::custom(HERE)) } else { Ok(key == self.wanted) }
    }
}

/// Takes nothing: whatever comes is the end of the walk.
struct Stop;

impl Visitor<'_> for Stop {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(HERE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(name: &str) -> Step {
        Step::Key(name.to_owned())
    }

    #[test]
    fn places_count_characters_in_block_and_flow_style() {
        let text = "Ω: { a: [1, \"ü\", x] }\nb:\n  c: 1\n  c: 2\n";
        let at = |steps: &[Step], half| locate(text, steps, half).map(|p| (p.line, p.column));
        assert_eq!(at(&[key("Ω"), key("a"), Step::Item(2)], At::Value), Some((1, 18)));
        assert_eq!(at(&[key("Ω"), key("a")], At::Key), Some((1, 6)));
        assert_eq!(at(&[key("b"), Step::Repeat("c".to_owned(), 1)], At::Key), Some((4, 3)));
        assert_eq!(at(&[key("b"), key("c")], At::Value), Some((3, 6)));
    }

    #[test]
    fn what_is_not_there_has_no_place() {
        assert_eq!(locate("a: 1\n", &[key("b")], At::Key), None);
    }
}
