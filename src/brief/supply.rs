//! `supply`: what feeds the board, and what reaches a wire when something chafes.

use super::log::Log;
use super::path::Path;
use super::place::At;
use super::reader::Keys;
use super::rule;
use crate::board::{Drive, Input, Supply};
use crate::quantity::{Band, Volts};

/// The supply as the brief gives it; what a chafed wire can meet may depend on the inputs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Given {
    supply: Supply,
    has_contact: bool,
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
    let surge = keys.quantity_or_none("surge", &rule::VOLTAGE_ABOVE_ZERO);
    surge_time(&mut keys);
    let reversed = reversed(&mut keys);
    let highest = highest.unwrap_or(HIGHEST);
    let supply = Supply {
        swing: Band { lowest: lowest.unwrap_or(LOWEST), highest },
        usual: usual.unwrap_or(USUAL),
        contact: contact.flatten().unwrap_or(highest),
        surge,
        reversed,
    };
    remark_low(&keys, "contact", contact.flatten(), highest);
    remark_low(&keys, "surge", surge, highest);
    keys.finish();
    Given { supply, has_contact: contact.is_some() }
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

fn surge_time(keys: &mut Keys<'_>) {
    let Some(value) = keys.get("surge_time") else { return };
    if value.quantity(&rule::TIME_ABOVE_ZERO).is_none() {
        return;
    }
    if keys.has("surge") {
        let remark = "supply.surge_time is not used yet: a surge is examined as a steady voltage";
        keys.log.remark(remark);
    } else {
        value.wrong_key(
            "a surge_time without a surge",
            "the voltage of the surge beside it, such as surge: 35 V",
        );
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
    /// of every vehicle supply that an input measures.
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
        self.supply
    }
}
