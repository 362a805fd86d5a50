//! `sender`, or `senders` and `variants`: what resistance the board reads, one or several.

use std::path::Path;

use super::far_end::FarEnd;
use super::reader::{Keys, Value};
use super::sender;
use super::words::counted;
use crate::board::Drive;

/// More than that no board has to serve: every group of them may be asked for its best parts.
const MOST: usize = 12;

/// Reads what a pull-up or a pull-down reads.
pub(super) fn read(keys: &mut Keys<'_>, folder: &Path) -> Option<FarEnd> {
    let Some(value) = keys.get("senders") else {
        let expected = "it left out, or senders: { … } in place of sender: several sets of parts are for several senders";
        keys.refuse(&["variants"], expected);
        let expected = "the sender, such as sender: { resistance: 240 Ω .. 33 Ω }";
        return sender::read(&keys.required("sender", expected)?, folder).map(Drive::Sender).map(FarEnd::One);
    };
    let beside = keys.get("sender");
    if let Some(sender) = &beside {
        sender.wrong_key("sender beside senders", "one of the two");
    }
    let senders = named(&value, folder);
    let asked = keys.get("variants");
    let count = senders.as_ref().map(Vec::len);
    let variants = match asked {
        Some(value) => variants(&value, count),
        None => Some(keys.assume("variants", 1, "1")),
    };
    let far_end = FarEnd::Several(senders?, variants?);
    beside.is_none().then_some(far_end)
}

/// Every sender with its name; `None`: there is a mistake.
fn named(value: &Value<'_>, folder: &Path) -> Option<Vec<(String, Drive)>> {
    let expected = "a map of senders, such as senders: { european: 10..180, american: 240..33 }";
    let named = value.named(expected)?;
    if value.has_no_entry() {
        value.wrong("no sender", expected);
    }
    if named.len() > MOST {
        value.wrong_key(counted(named.len(), "sender", "senders"), format!("at most {MOST}"));
        return None;
    }
    let read = |(name, value): (&str, Value<'_>)| {
        sender::read(&value, folder).map(|sender| (name.to_owned(), Drive::Sender(sender)))
    };
    let read: Vec<Option<_>> = named.into_iter().map(read).collect();
    let senders: Option<Vec<_>> = read.into_iter().collect();
    senders.filter(|senders| !senders.is_empty())
}

/// How many sets of parts may serve them; more than there are senders say nothing.
fn variants(value: &Value<'_>, count: Option<usize>) -> Option<usize> {
    let most = count.unwrap_or(MOST);
    let expected = match count {
        Some(1) => "1, since there is one sender".to_owned(),
        Some(count) => {
            format!("a whole number of sets of parts from 1 to {count}, one for each sender at most")
        }
        None => "a whole number of sets of parts from 1 on".to_owned(),
    };
    let variants = value.text(&expected)?.parse().ok().filter(|variants| (1..=most).contains(variants));
    if variants.is_none() {
        value.unlike(expected);
    }
    variants
}
