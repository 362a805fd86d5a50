//! `supply`: what feeds the board, and what reaches a wire when something chafes.

use super::levels::{CRANKING, JUMP_START, STANDARD, SURGES};
use super::log::Log;
use super::path::Path;
use super::place::At;
use super::reader::{Keys, Value};
use super::rule;
use super::words::did_you_mean;
use crate::board::{Drive, Excursion, Input, Supply};
use crate::quantity::{Band, Quantity, Seconds, Volts};

/// The supply as the brief gives it; what a chafed wire can meet may depend on the inputs.
#[derive(Clone, Debug)]
pub(super) struct Given {
    supply: Supply,
    has_contact: bool,
    has_change: bool,
}

const LOWEST: Volts = Volts(9.0);
const USUAL: Volts = Volts(13.2);
const HIGHEST: Volts = Volts(25.0);

/// Reads the section. Where a value is wrong, its default stands in, so that the rest can be read.
pub(super) fn read(board: &mut Keys<'_>) -> Given {
    let expected = "a map such as { lowest: 9 V, usual: 13.2 V, highest: 25 V }";
    let keys =
        board.section("supply", expected).unwrap_or_else(|| Keys::new(&[], Path::default(), board.log));
    read_keys(keys)
}

fn read_keys(mut keys: Keys<'_>) -> Given {
    let lowest = keys.quantity_or("lowest", &rule::VOLTAGE_ABOVE_ZERO, LOWEST);
    let highest = keys.quantity_or("highest", &rule::VOLTAGE_ABOVE_ZERO, HIGHEST);
    let usual = keys.quantity_or("usual", &rule::VOLTAGE_ABOVE_ZERO, usual_between(lowest, highest));
    if let (Some(lowest), Some(usual), Some(highest)) = (lowest, usual, highest)
        && !(lowest <= usual && usual <= highest)
    {
        let found = format!("lowest {lowest:#}, usual {usual:#}, highest {highest:#}");
        let expected = "lowest, usual and highest in rising order (left out, lowest is 9 V and highest 25 V)";
        keys.log.mistake(&keys.path, At::Key, found, expected);
    }
    let contact = keys.get("contact").map(|value| value.quantity(&rule::VOLTAGE_ABOVE_ZERO));
    let surges = surges(&mut keys);
    let reversed = reversed(&mut keys);
    let jump_start = jump_start(&mut keys);
    let cranking = cranking(&mut keys);
    let change = keys.get("change_between_samples").map(|value| value.quantity(&rule::VOLTAGE_FROM_ZERO));
    let highest = highest.unwrap_or(HIGHEST);
    let supply = Supply {
        swing: Band { lowest: lowest.unwrap_or(LOWEST), highest },
        usual: usual.unwrap_or(USUAL),
        contact: contact.flatten().unwrap_or(highest),
        surges,
        reversed,
        jump_start,
        cranking,
        change_between_samples: change.flatten().unwrap_or(Volts(0.0)),
    };
    remark_low(&keys, "contact", contact.flatten(), highest);
    for surge in supply.surges.iter().filter(|surge| surge.voltage.0 > 0.0) {
        remark_low(&keys, "surge", Some(surge.voltage), highest);
    }
    remark_low(&keys, "jump_start", jump_start.map(|start| start.voltage), highest);
    if let Some(volts) = cranking {
        keys.log.remark(format!(
            "cranking: whether the rails hold at a supply of {volts} is not known here; they are taken to be up"
        ));
    }
    keys.finish();
    Given { supply, has_contact: contact.is_some(), has_change: change.is_some() }
}

/// The usual voltage of a 12 V system where the swing holds it, else the middle of the swing.
fn usual_between(lowest: Option<Volts>, highest: Option<Volts>) -> Volts {
    match (lowest, highest) {
        (Some(lowest), Some(highest)) if lowest < highest && !(Band { lowest, highest }.holds(USUAL)) => {
            (lowest + highest) * 0.5
        }
        _ => USUAL,
    }
}

/// One surge or a list, each a voltage or the name of a level.
fn surges(keys: &mut Keys<'_>) -> Vec<Excursion> {
    let time = surge_time(keys);
    let Some(value) = keys.get("surge") else { return keys.assume("surge", Vec::new(), "none") };
    if value.is_word("none") {
        return Vec::new();
    }
    let entries = match value.as_text() {
        Some(_) => vec![value.clone()],
        None => {
            value.list("a voltage such as 35 V, the name of a level, or a list of such").unwrap_or_default()
        }
    };
    if value.node == &super::node::Node::List(Vec::new()) {
        value.wrong("an empty list", "at least one surge, or none");
    }
    let mut surges = Vec::new();
    for entry in entries {
        let Some(surge) = surge(&entry, time) else { continue };
        if surges.contains(&surge) {
            entry.wrong(format!("{} a second time", entry.found()), "each surge once");
        }
        surges.push(surge);
    }
    surges
}

fn surge(value: &Value<'_>, time: Option<Seconds>) -> Option<Excursion> {
    let names = SURGES.map(|level| level.name);
    let Some(name) = value.as_text().filter(|text| is_name(text)) else {
        let voltage = value.quantity(&rule::VOLTAGE_ABOVE_ZERO)?;
        return Some(Excursion { voltage, time });
    };
    let Some(level) = SURGES.iter().find(|level| level.name == name) else {
        value.unlike(format!(
            "a voltage such as 35 V, or a level: {}{}",
            names.join(", "),
            did_you_mean(name, &names)
        ));
        return None;
    };
    if time.is_some() {
        let expected = "a voltage beside surge_time; a level has a time of its own";
        value.unlike(expected);
        return None;
    }
    Some(level.excursion())
}

/// Whether a text is meant as a name; a voltage begins with a digit or a sign.
fn is_name(text: &str) -> bool {
    text.starts_with(char::is_alphabetic)
}

/// How long a surge that is given as a voltage lasts.
fn surge_time(keys: &mut Keys<'_>) -> Option<Seconds> {
    let value = keys.get("surge_time")?;
    let time = value.quantity(&rule::TIME_ABOVE_ZERO)?;
    if keys.get("surge").is_none_or(|surge| surge.is_word("none")) {
        value.wrong_key(
            "a surge_time without a surge",
            "the voltage of the surge beside it, such as surge: 35 V",
        );
    }
    Some(time)
}

/// A voltage, or that of the standard.
fn jump_start(keys: &mut Keys<'_>) -> Option<Excursion> {
    let plain = |voltage| Excursion { voltage, time: None };
    level(keys, "jump_start", JUMP_START, plain)
}

fn cranking(keys: &mut Keys<'_>) -> Option<Volts> {
    level(keys, "cranking", CRANKING, |volts| volts)
}

/// A level that only one standard has, a voltage, or `none`, which is the default.
fn level<T>(
    keys: &mut Keys<'_>,
    key: &'static str,
    of_standard: T,
    plain: impl FnOnce(Volts) -> T,
) -> Option<T> {
    let Some(value) = keys.get(key) else { return keys.assume(key, None, "none") };
    match value.as_text() {
        Some("none") => None,
        Some(STANDARD) => Some(of_standard),
        Some(name) if is_name(name) => {
            let names = [STANDARD, "none"];
            value.unlike(format!("{}, {STANDARD} or none{}", Volts::EXPECTED, did_you_mean(name, &names)));
            None
        }
        _ => value.quantity(&rule::VOLTAGE_ABOVE_ZERO).map(plain),
    }
}

fn reversed(keys: &mut Keys<'_>) -> Option<Volts> {
    if let Some(value) = keys.get("reversed")
        && let Some(volts) = value.as_text().and_then(|text| text.parse::<Volts>().ok())
        && volts.0 < 0.0
    {
        value.wrong(format!("{} (negative)", value.found()), format!("the magnitude: {:#}", -volts));
        return None;
    }
    keys.quantity_or_none("reversed", &rule::VOLTAGE_ABOVE_ZERO)
}

fn remark_low(keys: &Keys<'_>, key: &str, volts: Option<Volts>, highest: Volts) {
    if let Some(volts) = volts.filter(|volts| *volts < highest) {
        keys.log.remark(format!(
            "supply.{key} {volts:#} lies below supply.highest {highest:#}: taken as it stands"
        ));
    }
}

impl Given {
    /// The supply, whose surge and reversal the inputs need to know.
    pub(super) const fn supply(&self) -> &Supply {
        &self.supply
    }

    /// The supply with the highest voltage that a chafed wire can meet: left out, it is the greatest of `highest` and
    /// of every vehicle supply that an input measures. How fast it changes matters where an input is corrected by it.
    pub(super) fn complete(mut self, inputs: &[Input], log: &Log) -> Supply {
        if !self.has_contact {
            let measured = inputs.iter().filter_map(|input| match &input.drive {
                Drive::Signal(signal) if signal.from_supply => {
                    Some(signal.curve.first().1.max(signal.curve.last().1))
                }
                _ => None,
            });
            self.supply.contact = measured.fold(self.supply.swing.highest, Volts::max);
            let path = Path::default().key("supply").key("contact");
            log.assume(&path, format!("{:#}", self.supply.contact));
        }
        if !self.has_change && inputs.iter().any(|input| input.corrected_by.is_some()) {
            let path = Path::default().key("supply").key("change_between_samples");
            log.assume(&path, format!("{:#}", self.supply.change_between_samples));
        }
        self.supply
    }
}
