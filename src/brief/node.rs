//! The tree that a brief is read into.

/// One value of a brief: text, a list or a map. Nothing is interpreted yet: `0x10`, `.inf` and `off` are text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Node {
    /// Nothing stands there.
    Null,
    /// A single value, as it is written.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// A map; order and repeated keys are kept.
    Map(Vec<(String, Node)>),
}

impl Node {
    /// The text of a single value.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// An empty map.
    pub const fn map() -> Self {
        Self::Map(Vec::new())
    }

    /// Puts `value` at the end of `path`, making the maps on the way; a value that stands there already is replaced.
    pub fn put(&mut self, path: &[&str], value: Self) {
        let Some((first, rest)) = path.split_first() else {
            *self = value;
            return;
        };
        if !matches!(self, Self::Map(_)) {
            *self = Self::map();
        }
        let Self::Map(entries) = self else { return };
        if let Some((_, node)) = entries.iter_mut().find(|(key, _)| key == first) {
            node.put(rest, value);
        } else {
            let mut node = Self::map();
            node.put(rest, value);
            entries.push(((*first).to_owned(), node));
        }
    }
}
