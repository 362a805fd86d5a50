//! `variants`: several sets of parts, each for some of the senders of an input.

use super::super::path::Path;
use super::super::place::At;
use super::super::reader::Value;
use super::super::words::{counted, did_you_mean, one_of, quoted};
use super::{CAPACITOR, VARIANTS, fit_parts, still_open};
use crate::board::{Assembly, Input};
use crate::quantity::{Band, Celsius};

/// The key of the senders that a set serves.
const SENDERS: &str = "senders";
const EXPECTED: &str = "a list of sets of parts, such as [{ senders: [european], pull_up: 300 Ω }]";

/// Fits an input that is assembled in several ways. The parts of the first stand for the input itself. Gives the places of
/// all parts, since what is missing is told here.
pub(super) fn fit(named: Vec<(&str, Value<'_>)>, input: &mut Input, ambient: &Band<Celsius>) -> Vec<Path> {
    let open = input.clone();
    let mut sets = Sets { open: &open, ambient, served: Vec::new(), is_clear: true };
    let mut assemblies = Vec::new();
    for (key, value) in named {
        if key == VARIANTS {
            assemblies.extend(sets.read(&value));
        } else {
            value.wrong_key(format!("{} beside {VARIANTS}", quoted(key)), "all parts inside the sets");
        }
    }
    if let Some(first) = assemblies.first() {
        input.parts.clone_from(&first.parts);
        input.capacitor = first.capacitor.clone();
    }
    input.assemblies = assemblies;
    let parts = input.parts.iter().map(|part| part.role.key()).chain([CAPACITOR]);
    let place = |key: &str| Path::default().key("fitted").key(&input.name).key(key);
    parts.map(place).collect()
}

/// The sets under way.
struct Sets<'a> {
    /// The input as the brief describes it.
    open: &'a Input,
    ambient: &'a Band<Celsius>,
    /// Senders that have their set.
    served: Vec<String>,
    /// Whether every name is known, so that what is missing is missing.
    is_clear: bool,
}

impl Sets<'_> {
    fn read(&mut self, value: &Value<'_>) -> Vec<Assembly> {
        if self.open.senders.is_empty() {
            let expected = "the parts of the input: it has one sender, so one set of parts";
            value.wrong_key(quoted(VARIANTS), expected);
            return Vec::new();
        }
        let Some(sets) = value.list(EXPECTED) else { return Vec::new() };
        if sets.is_empty() {
            value.wrong("an empty list", EXPECTED);
            return Vec::new();
        }
        if sets.len() > self.open.variants {
            let expected = format!("at most {}, as the brief says (`variants`)", self.open.variants);
            value.wrong_key(counted(sets.len(), "set of parts", "sets of parts"), expected);
        }
        let assemblies = sets.iter().filter_map(|set| self.assembly(set)).collect();
        let is_served = |name: &&str| self.served.iter().any(|other| other == name);
        let missing: Vec<&str> = self.names().into_iter().filter(|name| !is_served(name)).collect();
        if !missing.is_empty() && self.is_clear {
            value.wrong_key(format!("no set of parts for {}", one_of(&missing)), "each sender in one set");
        }
        assemblies
    }

    fn names(&self) -> Vec<&str> {
        self.open.senders.iter().map(|sender| sender.name.as_str()).collect()
    }

    /// One set of parts.
    fn assembly(&mut self, set: &Value<'_>) -> Option<Assembly> {
        let named = set.named("a set of parts such as { senders: [european], pull_up: 300 Ω }");
        let Some(named) = named else {
            self.is_clear = false;
            return None;
        };
        let (senders, parts): (Vec<_>, Vec<_>) = named.into_iter().partition(|(key, _)| *key == SENDERS);
        let mut fitted = self.open.clone();
        let misspelled = fit_parts(set, parts, &mut fitted, self.ambient);
        still_open(&set.path, set.log, &fitted, &misspelled);
        let own = senders.first().and_then(|(_, value)| self.senders(value));
        if senders.is_empty() {
            let expected = "the senders that the set serves, such as senders: [european]";
            set.log.mistake(&set.path.key(SENDERS), At::Key, "nothing", expected);
        }
        self.is_clear &= own.is_some();
        // In the order of the brief.
        let own = own?;
        let senders = self.names().into_iter().filter(|name| own.iter().any(|other| other == name));
        let senders: Vec<String> = senders.map(str::to_owned).collect();
        Some(Assembly { parts: fitted.parts, capacitor: fitted.capacitor, senders })
    }

    /// The senders of one set; `None`: there is a mistake.
    fn senders(&mut self, value: &Value<'_>) -> Option<Vec<String>> {
        let names = value.list("a list of senders, such as [european]")?;
        if names.is_empty() {
            value.wrong("an empty list", "at least one sender");
            return None;
        }
        let own: Vec<Option<String>> = names.iter().map(|name| self.sender(name)).collect();
        own.into_iter().collect()
    }

    /// The name of a sender that no other set serves.
    fn sender(&mut self, value: &Value<'_>) -> Option<String> {
        let name = value.text("the name of a sender")?;
        let known = self.names();
        if !known.contains(&name) {
            let expected =
                format!("a sender of this input: {}{}", one_of(&known), did_you_mean(name, &known));
            value.unlike(expected);
            return None;
        }
        if self.served.iter().any(|other| other == name) {
            value.wrong(format!("{} a second time", quoted(name)), "each sender in one set");
            return None;
        }
        self.served.push(name.to_owned());
        Some(name.to_owned())
    }
}
