//! What is at the far end of the wire: one thing, or one of several senders.

use super::dial::Dial;
use super::place::At;
use super::reader::Keys;
use super::words::quoted;
use crate::board::{Drive, NamedSender};
use crate::quantity::Band;

/// What is at the far end of the wire.
#[derive(Clone, Debug)]
pub(super) enum FarEnd {
    /// One thing.
    One(Drive),
    /// One of several senders, by name, never empty, and how many sets of parts may serve them.
    Several(Vec<(String, Drive)>, usize),
}

impl FarEnd {
    /// All that may be there; what is there alone has no name.
    pub(super) fn drives(&self) -> impl Iterator<Item = (Option<&str>, &Drive)> {
        let (one, several) = match self {
            Self::One(drive) => (Some((None, drive)), &[][..]),
            Self::Several(senders, _) => (None, senders.as_slice()),
        };
        one.into_iter().chain(several.iter().map(|(name, drive)| (Some(name.as_str()), drive)))
    }

    /// What stands for all of them.
    pub(super) fn first(&self) -> Option<Drive> {
        self.drives().next().map(|(_, drive)| drive.clone())
    }

    pub(super) fn variants(&self) -> usize {
        if let Self::Several(_, variants) = self { *variants } else { 1 }
    }

    /// Several senders with their checkpoints, which come in the same order.
    pub(super) fn named(&self, checkpoints: &[Vec<f64>]) -> Vec<NamedSender> {
        let Self::Several(senders, _) = self else { return Vec::new() };
        let pairs = senders.iter().zip(checkpoints);
        let named = pairs.map(|((name, drive), checkpoints)| NamedSender {
            name: name.clone(),
            drive: drive.clone(),
            checkpoints: checkpoints.clone(),
        });
        named.collect()
    }

    /// The unit and the range. Senders that do not share a unit, or a part of their ranges, are mistakes.
    pub(super) fn dial(&self, keys: &Keys<'_>) -> Option<Dial> {
        let Self::Several(senders, _) = self else {
            return self.drives().next().map(|(_, drive)| dial(drive));
        };
        let (first, drive) = senders.first()?;
        let unit = unit(drive);
        let wrong = |name: &str, found: String, expected: String| {
            keys.log.mistake(&keys.path.key("senders").key(name), At::Key, found, expected);
        };
        let mut is_one = true;
        for (name, other) in senders.iter().filter(|(_, other)| self::unit(other) != unit) {
            let found = format!("a sender that reads {}", self::unit(other));
            let expected = format!(
                "{unit}, as {} reads: zone, alarms and checkpoints of the input are in one unit",
                quoted(first)
            );
            wrong(name, found, expected);
            is_one = false;
        }
        if !is_one {
            return None;
        }
        let mut ranges = Vec::new();
        let mut common = None;
        for (name, drive) in senders {
            ranges.push((name.clone(), dial(drive).range));
            let Some(next) = Dial::common(unit, ranges.clone()) else {
                let found = format!("a sender that reads {}", dial(drive).range_text());
                let expected =
                    "a range that shares a part with those before it: zone and alarms lie in all of them";
                wrong(name, found, expected.to_owned());
                return None;
            };
            common = Some(next);
        }
        common
    }
}

/// The unit and the range of one thing.
pub(super) fn dial(drive: &Drive) -> Dial {
    let (first, last) = drive.range();
    Dial::new(unit(drive), Band { lowest: first, highest: last })
}

fn unit(drive: &Drive) -> &str {
    match drive {
        Drive::Sender(sender) => sender.curve.unit(),
        Drive::Signal(signal) => signal.curve.unit(),
        Drive::Current(transmitter) => transmitter.curve.unit(),
    }
}
