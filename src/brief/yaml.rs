//! Bytes to tree.
//!
//! Scalars keep the text that stands in the file: `0x10` must not arrive as 16 nor `1e400` as infinity. The parser
//! gives raw text only where text is asked for, and tells what a node is only where anything is asked for. So there
//! are two passes: the first finds the shape, the second reads every scalar of that shape as text.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use super::guard;
use super::node::Node;
use super::place::{Place, Trouble, place_of};
use super::words::quoted;

/// The largest brief.
pub(super) const LARGEST: usize = 256 * 1024;

/// Reads the tree, and gives the text without a byte order mark beside it.
///
/// # Errors
/// When the bytes are too many, not UTF-8, not YAML, or YAML of a kind that a brief does not need.
pub(super) fn parse(bytes: &[u8]) -> Result<(&str, Node), Trouble> {
    if bytes.len() > LARGEST {
        let found = "more than 256 KiB".to_owned();
        return Err(Trouble { place: None, found, expected: "a brief of a few kilobytes".to_owned() });
    }
    let text = std::str::from_utf8(bytes).map_err(|error| not_utf8(bytes, error.valid_up_to()))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    guard::check(text)?;
    let shape = ShapeSeed.deserialize(document(text)).map_err(|error| syntax(text, &error))?;
    let node = NodeSeed(&shape).deserialize(document(text)).map_err(|error| syntax(text, &error))?;
    Ok((text, node))
}

fn document(text: &str) -> serde_yaml::Deserializer<'_> {
    serde_yaml::Deserializer::from_str(text)
}

fn not_utf8(bytes: &[u8], valid: usize) -> Trouble {
    let before = String::from_utf8_lossy(&bytes[..valid]);
    let line = before.rsplit('\n').next().unwrap_or_default();
    let place = Place { line: before.matches('\n').count() + 1, column: line.chars().count() + 1 };
    let byte = bytes.get(valid).copied().unwrap_or_default();
    let expected = "a file saved as UTF-8".to_owned();
    Trouble { place: Some(place), found: format!("a byte that is not UTF-8 (0x{byte:02X})"), expected }
}

/// Puts an error of the parser into our words; a missing blank after a colon is the usual reason.
fn syntax(text: &str, error: &serde_yaml::Error) -> Trouble {
    let place = place_of(error);
    if let Some((place, line)) = place.and_then(|place| glued(text, place)) {
        let (key, value) = line.split_once(':').unwrap_or((line, ""));
        let expected = format!("a blank after the colon: {key}: {value}");
        return Trouble { place: Some(place), found: quoted(line), expected };
    }
    let reason = without_places(&error.to_string());
    if reason.ends_with(CONTROL) {
        return Trouble { place, found: CONTROL.to_owned(), expected: "plain text".to_owned() };
    }
    if reason.contains(KEY) {
        let found = "a list or a map as a key".to_owned();
        return Trouble { place, found, expected: "plain text as a key".to_owned() };
    }
    Trouble {
        place,
        found: "text that is not YAML".to_owned(),
        expected: format!("lines of `key: value` ({reason})"),
    }
}

/// The last line up to `place` that reads `key:value` without a blank after the colon.
fn glued(text: &str, place: Place) -> Option<(Place, &str)> {
    let near = place.line.saturating_sub(3)..place.line;
    let lines = text.lines().enumerate().filter(|(i, _)| near.contains(i));
    let glued = |line: &str| {
        let key = line.split(':').next().unwrap_or_default();
        line.len() > key.len() + 1
            && !line.contains(": ")
            && !line.ends_with(':')
            && key.chars().all(|c| c.is_alphanumeric() || c == '_')
            && !key.is_empty()
    };
    let (i, line) = lines.filter(|(_, line)| glued(line.trim())).last()?;
    let column = line.chars().take_while(|c| *c == ' ').count() + 1;
    Some((Place { line: i + 1, column }, line.trim()))
}

/// Removes every ` at line 1 column 2` and ` at position 3` from a message of the parser.
fn without_places(message: &str) -> String {
    let mut kept = Vec::new();
    let mut words = message.split(' ').peekable();
    while let Some(word) = words.next() {
        match (word, words.peek()) {
            ("at", Some(&"line")) => {
                let last = words.by_ref().nth(3).unwrap_or_default();
                attach(&mut kept, last);
            }
            ("at", Some(&"position")) => {
                let last = words.by_ref().nth(1).unwrap_or_default();
                attach(&mut kept, last);
            }
            _ => kept.push(word.to_owned()),
        }
    }
    kept.join(" ")
}

/// Gives the comma behind a removed number to the word before it.
fn attach(kept: &mut [String], number: &str) {
    if let (Some(word), true) = (kept.last_mut(), number.ends_with(',')) {
        word.push(',');
    }
}

/// What a node is, without its text.
enum Shape {
    /// No node at all.
    Void,
    Scalar,
    List(Vec<Shape>),
    Map(Vec<Shape>),
}

struct ShapeSeed;

impl<'de> DeserializeSeed<'de> for ShapeSeed {
    type Value = Shape;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Shape, D::Error> {
        deserializer.deserialize_any(self)
    }
}

/// One method for each kind of scalar that the parser may take a text for.
macro_rules! scalars {
    ($($method:ident: $type:ty),*) => {
        $(fn $method<E: Error>(self, _: $type) -> Result<Shape, E> {
            Ok(Shape::Scalar)
        })*
    };
}

impl<'de> Visitor<'de> for ShapeSeed {
    type Value = Shape;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("text, a list or a map")
    }

    scalars!(
        visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_i128: i128, visit_u128: u128, visit_f64: f64,
        visit_str: &str
    );

    fn visit_unit<E: Error>(self) -> Result<Shape, E> {
        Ok(Shape::Scalar)
    }

    fn visit_none<E: Error>(self) -> Result<Shape, E> {
        Ok(Shape::Void)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Shape, A::Error> {
        let mut shapes = Vec::new();
        while let Some(shape) = list.next_element_seed(ShapeSeed)? {
            shapes.push(shape);
        }
        Ok(Shape::List(shapes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Shape, A::Error> {
        let mut shapes = Vec::new();
        while map.next_key_seed(TextSeed)?.is_some() {
            shapes.push(map.next_value_seed(ShapeSeed)?);
        }
        Ok(Shape::Map(shapes))
    }
}

/// What scalars are refused for, and what the parser says of a key that is none.
const CONTROL: &str = "a control character in quotes";
const KEY: &str = "a scalar";

/// Reads a scalar as the text that stands in the file.
struct TextSeed;

impl<'de> DeserializeSeed<'de> for TextSeed {
    type Value = String;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<String, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for TextSeed {
    type Value = String;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(KEY)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<String, E> {
        // Escapes such as "\0" bring in what the guard has kept out.
        if text.chars().any(char::is_control) {
            return Err(E::custom(CONTROL));
        }
        Ok(text.to_owned())
    }
}

/// Reads a node whose shape is known.
struct NodeSeed<'s>(&'s Shape);

impl<'de> DeserializeSeed<'de> for NodeSeed<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        match self.0 {
            Shape::Void => Ok(Node::Null),
            Shape::Scalar => {
                let text = TextSeed.deserialize(deserializer)?;
                Ok(if text.is_empty() { Node::Null } else { Node::Text(text) })
            }
            Shape::List(_) => deserializer.deserialize_seq(self),
            Shape::Map(_) => deserializer.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for NodeSeed<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the same as before")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Node, A::Error> {
        let Shape::List(shapes) = self.0 else { return Err(A::Error::custom("not a list")) };
        let mut nodes = Vec::with_capacity(shapes.len());
        for shape in shapes {
            nodes.extend(list.next_element_seed(NodeSeed(shape))?);
        }
        // Ask once more, so that the parser sees the end of the list.
        list.next_element::<serde::de::IgnoredAny>()?;
        Ok(Node::List(nodes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node, A::Error> {
        let Shape::Map(shapes) = self.0 else { return Err(A::Error::custom("not a map")) };
        let mut entries = Vec::with_capacity(shapes.len());
        for shape in shapes {
            let Some(key) = map.next_key_seed(TextSeed)? else { break };
            entries.push((key, map.next_value_seed(NodeSeed(shape))?));
        }
        map.next_key::<serde::de::IgnoredAny>()?;
        Ok(Node::Map(entries))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scalars_keep_their_text() {
        for raw in [
            "0x10",
            "1e400",
            ".inf",
            "true",
            "017",
            "~",
            "1_000",
            "123456789012345678901234567890123456789012",
        ] {
            let text = format!("a: {raw}\n");
            let node = parse(text.as_bytes()).map(|(_, node)| node);
            assert_eq!(node, Ok(Node::Map(vec![("a".to_owned(), Node::text(raw))])));
        }
    }

    #[test]
    fn nothing_is_null() {
        let (_, node) = parse(b"a:\nb: [x, \"\"]\n").unwrap();
        let list = Node::List(vec![Node::text("x"), Node::Null]);
        assert_eq!(node, Node::Map(vec![("a".to_owned(), Node::Null), ("b".to_owned(), list)]));
    }

    #[test]
    fn places_leave_the_parser_message() {
        let message = "did not find it at line 2 column 3, while parsing a map at line 1 column 1";
        assert_eq!(without_places(message), "did not find it, while parsing a map");
    }
}
