//! `survive`: the cases that the parts of an input have to survive.

use super::reader::{Keys, Value};
use super::words::{did_you_mean, one_of};
use crate::board::Supply;
use crate::case::Case;

const USUAL: [Case; 2] = [Case::WireOpen, Case::WireToGround];

/// Reads the list.
pub(super) fn read(keys: &mut Keys<'_>, supply: &Supply) -> Vec<Case> {
    let Some(value) = keys.get("survive") else {
        let names: Vec<&str> = USUAL.iter().map(|case| case.name()).collect();
        return keys.assume("survive", USUAL.to_vec(), format!("[{}]", names.join(", ")));
    };
    let mut cases = Vec::new();
    for entry in value.list("a list such as [wire open, wire to supply]").unwrap_or_default() {
        let Some(case) = case(&entry, supply) else { continue };
        if cases.contains(&case) {
            entry.wrong(format!("{} a second time", entry.found()), "each case once");
        } else {
            cases.push(case);
        }
    }
    cases
}

fn case(value: &Value<'_>, supply: &Supply) -> Option<Case> {
    let known: Vec<Case> = Case::ALL.into_iter().filter(|case| *case != Case::Normal).collect();
    let names: Vec<&str> = known.iter().map(|case| case.name()).collect();
    let expected = format!("a case: {}", one_of(&names));
    let name = value.text(&expected)?;
    let Some(case) = known.into_iter().find(|case| case.name() == name) else {
        value.unlike(format!("{expected}{}", did_you_mean(name, &names)));
        return None;
    };
    let example = match case {
        Case::Surge if supply.surges.is_empty() => "surge: 35 V",
        Case::ReversedSupply if supply.reversed.is_none() => "reversed: 14 V",
        Case::JumpStart if supply.jump_start.is_none() => "jump_start: 24 V",
        Case::Cranking if supply.cranking.is_none() => "cranking: 6 V",
        _ => return Some(case),
    };
    value.unlike(format!("its voltage in the supply, such as {example}"));
    None
}
