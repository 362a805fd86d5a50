//! A reader over the tree: takes each key with its target type and notes every mistake with its path.
//!
//! What is wrong is noted and reads as `None`; the caller goes on, so that one reading finds every mistake.

use std::collections::BTreeMap;
use std::fmt::Display;

use super::log::Log;
use super::node::Node;
use super::path::Path;
use super::place::At;
use super::rule::Rule;
use super::words::{counted, did_you_mean, near, one_of, quoted, short};
use crate::quantity::{Band, ParseQuantityError, Quantity, parse_range};

/// One value of the tree with its path.
#[derive(Clone, Debug)]
pub(super) struct Value<'a> {
    pub(super) node: &'a Node,
    pub(super) path: Path,
    pub(super) log: &'a Log,
}

impl<'a> Value<'a> {
    /// Notes a mistake at this value.
    pub(super) fn wrong(&self, found: impl Into<String>, expected: impl Into<String>) {
        // Nothing has no place of its own.
        let at = if *self.node == Node::Null { At::Key } else { At::Value };
        self.log.mistake(&self.path, at, found, expected);
    }

    /// Notes that the value as it stands is not what is expected.
    pub(super) fn unlike(&self, expected: impl Into<String>) {
        self.wrong(self.found(), expected);
    }

    /// Notes a mistake at the key in front of this value.
    pub(super) fn wrong_key(&self, found: impl Into<String>, expected: impl Into<String>) {
        self.log.mistake(&self.path, At::Key, found, expected);
    }

    /// What stands there, in words.
    pub(super) fn found(&self) -> String {
        match self.node {
            Node::Null => "nothing".to_owned(),
            Node::Text(text) => quoted(text),
            Node::List(_) => "a list".to_owned(),
            Node::Map(_) => "a map".to_owned(),
        }
    }

    /// The text, if it is text.
    pub(super) fn as_text(&self) -> Option<&'a str> {
        if let Node::Text(text) = self.node { Some(text) } else { None }
    }

    pub(super) fn is_word(&self, word: &str) -> bool {
        self.as_text() == Some(word)
    }

    pub(super) fn has_no_entry(&self) -> bool {
        matches!(self.node, Node::Map(entries) if entries.is_empty())
    }

    /// Whether two ends stand there and not one value.
    pub(super) fn is_range(&self) -> bool {
        matches!(self.node, Node::List(_)) || self.as_text().is_some_and(|text| text.contains(".."))
    }

    /// A single value of any kind.
    pub(super) fn text(&self, expected: &str) -> Option<&'a str> {
        let text = self.as_text();
        if text.is_none() {
            self.unlike(expected);
        }
        text
    }

    /// Reads the text by a function.
    pub(super) fn parse<T>(
        &self,
        expected: &str,
        parse: impl Fn(&str) -> Result<T, ParseQuantityError>,
    ) -> Option<T> {
        match parse(self.text(expected)?) {
            Ok(value) => Some(value),
            Err(error) => {
                self.wrong(error.found, error.expected);
                None
            }
        }
    }

    /// Notes a mistake unless the rule holds.
    pub(super) fn ruled<Q: Copy>(&self, value: Q, rule: &Rule<Q>) -> Option<Q> {
        if (rule.holds)(value) {
            return Some(value);
        }
        self.unlike(rule.expected);
        None
    }

    /// One quantity within the rule.
    pub(super) fn quantity<Q: Quantity>(&self, rule: &Rule<Q>) -> Option<Q> {
        let value = self.parse(Q::EXPECTED, Q::parse)?;
        self.ruled(value, rule)
    }

    /// Two ends in the order in which they stand: `A .. B` or `[A, B]`.
    pub(super) fn ends<T>(
        &self,
        expected: &str,
        range: impl Fn(&str) -> Result<(T, T), ParseQuantityError>,
        single: impl Fn(&str) -> Result<T, ParseQuantityError>,
    ) -> Option<(T, T)> {
        let expected = format!("a range A .. B, each end {expected}");
        if let Node::List(_) = self.node {
            let (first, second) = self.pair(&expected)?;
            return Some((first.parse(&expected, &single)?, second.parse(&expected, &single)?));
        }
        self.parse(&expected, range)
    }

    /// A range with the lower end first.
    pub(super) fn band<Q: Quantity + Display>(&self, rule: &Rule<Q>) -> Option<Band<Q>> {
        let (lowest, highest) = self.ends(Q::EXPECTED, parse_range, Q::parse)?;
        self.rising(lowest, highest, rule)
    }

    /// Notes a mistake unless both ends are within the rule and the lower one comes first.
    pub(super) fn rising<Q: Quantity + Display>(
        &self,
        lowest: Q,
        highest: Q,
        rule: &Rule<Q>,
    ) -> Option<Band<Q>> {
        self.ruled(lowest, rule)?;
        self.ruled(highest, rule)?;
        if lowest <= highest {
            return Some(Band { lowest, highest });
        }
        self.wrong(
            format!("{} (reversed)", self.found()),
            format!("the lower end first: {highest:#} .. {lowest:#}"),
        );
        None
    }

    /// The entries of a list of two.
    pub(super) fn pair(&self, expected: &str) -> Option<(Self, Self)> {
        let list = self.list(expected)?;
        if let [first, second] = list.as_slice() {
            return Some((first.clone(), second.clone()));
        }
        let texts: Vec<&str> = list.iter().filter_map(Value::as_text).collect();
        let torn = texts.windows(2).filter(|pair| is_split_number(pair[0], pair[1]));
        let whole: Vec<String> = torn.map(|pair| quoted(&format!("{}.{}", pair[0], pair[1]))).collect();
        let found = counted(list.len(), "entry", "entries");
        if whole.is_empty() {
            self.wrong(found, expected);
        } else {
            let expected =
                format!("two; a comma separates them, so a decimal point belongs in {}", one_of(&whole));
            self.wrong(format!("{found} (a decimal comma?)"), expected);
        }
        None
    }

    /// The entries of a list.
    pub(super) fn list(&self, expected: &str) -> Option<Vec<Self>> {
        let Node::List(nodes) = self.node else {
            self.unlike(expected);
            return None;
        };
        let value = |(i, node)| Self { node, path: self.path.item(i), log: self.log };
        Some(nodes.iter().enumerate().map(value).collect())
    }

    /// A map with known keys.
    pub(super) fn keys(&self, expected: &str) -> Option<Keys<'a>> {
        let Node::Map(entries) = self.node else {
            self.unlike(expected);
            return None;
        };
        Some(Keys::new(entries, self.path.clone(), self.log))
    }

    /// A map whose keys are names that the user gives. Repeated names are mistakes.
    pub(super) fn named(&self, expected: &str) -> Option<Vec<(&'a str, Self)>> {
        let Node::Map(entries) = self.node else {
            self.unlike(expected);
            return None;
        };
        let mut values = Vec::new();
        for (name, times, node) in numbered(entries) {
            let path = self.path.key(name);
            if times > 0 {
                self.log.mistake(&self.path.repeat(name, times), At::Key, repeated(name), "each name once");
            } else if name.trim().is_empty() || name.trim() != name {
                self.log.mistake(&path, At::Key, quoted(name), "a name without blanks at its ends");
            } else if let Some(glued) = glued(name, node) {
                self.log.mistake(&path, At::Key, quoted(name), glued);
            } else {
                values.push((name, Self { node, path, log: self.log }));
            }
        }
        Some(values)
    }

    /// One of some words.
    pub(super) fn word<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let names: Vec<&str> = words.iter().map(|(name, _)| *name).collect();
        let text = self.text(&one_of(&names))?;
        let known = words.iter().find(|(name, _)| *name == text).map(|(_, meaning)| *meaning);
        if known.is_none() {
            self.unlike(format!("{}{}", one_of(&names), did_you_mean(text, &names)));
        }
        known
    }

    /// `on` or `off`; `yes` and `no`, `true` and `false` say the same.
    pub(super) fn switch(&self) -> Option<bool> {
        match self.as_text() {
            Some("on" | "yes" | "true") => Some(true),
            Some("off" | "no" | "false") => Some(false),
            _ => {
                self.unlike("on or off");
                None
            }
        }
    }
}

/// A map with known keys.
#[derive(Debug)]
pub(super) struct Keys<'a> {
    pub(super) path: Path,
    pub(super) log: &'a Log,
    entries: BTreeMap<&'a str, &'a Node>,
    order: &'a [(String, Node)],
    asked: Vec<&'static str>,
    /// Keys that are known but do not belong here.
    refused: Vec<&'static str>,
    /// Keys that should be there, and why. Reported at the end, unless a misspelled one is found.
    missing: Vec<(&'static str, String)>,
}

impl<'a> Keys<'a> {
    pub(super) fn new(order: &'a [(String, Node)], path: Path, log: &'a Log) -> Self {
        let mut entries = BTreeMap::new();
        for (key, node) in order {
            entries.entry(key.as_str()).or_insert(node);
        }
        Self { path, log, entries, order, asked: Vec::new(), refused: Vec::new(), missing: Vec::new() }
    }

    /// The value of a key, if it is there. A key with nothing behind it is there.
    pub(super) fn get(&mut self, key: &'static str) -> Option<Value<'a>> {
        self.asked.push(key);
        self.entries.get(key).map(|node| Value { node, path: self.path.key(key), log: self.log })
    }

    /// The value of a key that must be there.
    pub(super) fn required(&mut self, key: &'static str, why: impl Into<String>) -> Option<Value<'a>> {
        let value = self.get(key);
        if value.is_none() {
            self.missing.push((key, why.into()));
        }
        value
    }

    /// Whether a key is there, without asking for it.
    pub(super) fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// The section of a key; an empty one if the key is not there.
    pub(super) fn section(&mut self, key: &'static str, expected: &str) -> Option<Keys<'a>> {
        match self.get(key) {
            Some(value) => value.keys(expected),
            None => Some(Keys::new(&[], self.path.key(key), self.log)),
        }
    }

    /// A quantity, or its documented default.
    pub(super) fn quantity_or<Q: Quantity + Display>(
        &mut self,
        key: &'static str,
        rule: &Rule<Q>,
        default: Q,
    ) -> Option<Q> {
        match self.get(key) {
            Some(value) => value.quantity(rule),
            None => Some(self.assume(key, default, format!("{default:#}"))),
        }
    }

    /// A range with the lower end first, or its documented default.
    pub(super) fn band_or<Q: Quantity + Display>(
        &mut self,
        key: &'static str,
        rule: &Rule<Q>,
        default: Band<Q>,
    ) -> Option<Band<Q>> {
        match self.get(key) {
            Some(value) => value.band(rule),
            None => Some(self.assume(key, default, band_text(&default))),
        }
    }

    /// A quantity, or `none`, which is the documented default. A mistake reads as `none`, too.
    pub(super) fn quantity_or_none<Q: Quantity>(&mut self, key: &'static str, rule: &Rule<Q>) -> Option<Q> {
        match self.get(key) {
            Some(value) if value.is_word("none") => None,
            Some(value) => value.quantity(rule),
            None => self.assume(key, None, "none"),
        }
    }

    /// Notes the default of a key and hands it back.
    pub(super) fn assume<T>(&self, key: &str, default: T, text: impl Into<String>) -> T {
        self.log.assume(&self.path.key(key), text);
        default
    }

    /// Refuses keys that belong elsewhere, with the reason.
    pub(super) fn refuse(&mut self, keys: &[&'static str], expected: &str) {
        self.refused.extend(keys);
        for key in keys.iter().filter(|key| self.has(key)) {
            self.log.mistake(&self.path.key(key), At::Key, quoted(key), expected);
        }
    }

    /// Refuses keys that a later version will serve.
    pub(super) fn not_yet(&mut self, keys: &[&'static str]) {
        self.refuse(keys, "it left out: this version does not serve it yet");
    }

    /// Takes the keys as read.
    pub(super) fn skip(&mut self, keys: &[&'static str]) {
        self.asked.extend(keys);
    }

    /// Reports unknown, repeated and missing keys.
    pub(super) fn finish(self) {
        let mut misspelled = Vec::new();
        let mut before: Option<&(String, Node)> = None;
        for (entry, (key, times, node)) in self.order.iter().zip(numbered(self.order)) {
            if times > 0 {
                let path = self.path.repeat(key, times);
                self.log.mistake(&path, At::Key, repeated(key), "each key once");
            } else if !self.asked.contains(&key) && !self.refused.contains(&key) {
                let expected = self.unknown(key, node, before, &mut misspelled);
                self.log.mistake(&self.path.key(key), At::Key, quoted(key), expected);
            }
            before = Some(entry);
        }
        for (key, why) in &self.missing {
            if !misspelled.contains(key) {
                self.log.mistake(&self.path.key(key), At::Key, "nothing", why.clone());
            }
        }
    }

    /// What would be right in place of an unknown key.
    fn unknown(
        &self,
        key: &str,
        node: &Node,
        before: Option<&(String, Node)>,
        misspelled: &mut Vec<&'static str>,
    ) -> String {
        if self.log.is_full() {
            return "a key known here".to_owned();
        }
        if let Some((known, glued)) =
            key.split_once(':').and_then(|(known, _)| self.known(known.trim())).zip(glued(key, node))
        {
            misspelled.push(known);
            return glued;
        }
        if let (Node::Null, Some((name, Node::Text(text)))) = (node, before)
            && is_split_number(text, key)
        {
            return format!(
                "a decimal point, since a comma separates entries: {name}: {text}.{}",
                short(key)
            );
        }
        if let Some(meant) = near(key, &self.asked).and_then(|meant| self.known(meant)) {
            misspelled.push(meant);
            return format!("a key known here; did you mean `{meant}`?");
        }
        let mut keys: Vec<&str> = Vec::new();
        for key in &self.asked {
            if !keys.contains(key) {
                keys.push(key);
            }
        }
        if keys.len() > 12 {
            "a key known here".to_owned()
        } else {
            format!("one of the keys {}", one_of(&keys))
        }
    }

    fn known(&self, key: &str) -> Option<&'static str> {
        self.asked.iter().find(|asked| **asked == key).copied()
    }
}

/// Each entry with the number of times that its key stands before it.
fn numbered(entries: &[(String, Node)]) -> impl Iterator<Item = (&str, usize, &Node)> {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    entries.iter().map(move |(key, node)| {
        let times = seen.entry(key).or_default();
        *times += 1;
        (key.as_str(), *times - 1, node)
    })
}

fn repeated(key: &str) -> String {
    format!("{} a second time", quoted(key))
}

/// `at:25 °C` is one key with nothing behind it.
fn glued(key: &str, node: &Node) -> Option<String> {
    let (known, value) = key.split_once(':')?;
    let is_glued = *node == Node::Null && !value.is_empty() && !known.trim().is_empty();
    is_glued.then(|| format!("a blank after the colon: {}: {}", short(known), short(value)))
}

/// Whether a decimal comma has torn a number into these two.
fn is_split_number(before: &str, after: &str) -> bool {
    before.ends_with(|c: char| c.is_ascii_digit())
        && before.trim_start_matches(['-', '+']).chars().all(|c| c.is_ascii_digit())
        && after.starts_with(|c: char| c.is_ascii_digit())
}

/// A range in the notation of briefs.
pub(super) fn band_text<Q: Display + PartialEq>(band: &Band<Q>) -> String {
    if band.lowest == band.highest {
        format!("{:#}", band.lowest)
    } else {
        format!("{:#} .. {:#}", band.lowest, band.highest)
    }
}
