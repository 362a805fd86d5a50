//! Fitted values: what really stands on a board, in place of what was to be chosen.

mod variants;

use super::log::Log;
use super::parts::{is_required, rule_and_reason, value_of};
use super::path::Path;
use super::place::At;
use super::reader::{Keys, Value};
use super::resistors::leaves_something;
use super::rule::{self, Rule};
use super::words::{did_you_mean, near, one_of, quoted};
use crate::board::{Board, Capacitor, Choice, Circuit, Input, Part, Role};
use crate::quantity::{Band, Celsius, Farads, Ohms, Quantity};

/// The key of the capacitor, which is no resistor.
const CAPACITOR: &str = "capacitor";
/// The key of several sets of parts.
const VARIANTS: &str = "variants";

/// Puts the fitted values into a board.
pub(super) fn read(top: &Value<'_>, board: &mut Board) {
    let Some(mut keys) = top.keys("a map with `board` and `fitted`") else { return };
    name(&mut keys, &board.name);
    let expected = "a map such as fitted: { diesel: { pull_up: 300 Ω, protection: 27 kΩ } }";
    if let Some(section) = keys.required("fitted", expected) {
        let names: Vec<String> = board.inputs.iter().map(|input| input.name.clone()).collect();
        let named = section.named(expected).unwrap_or_default();
        let (mut misspelled, ambient) = (Vec::new(), board.ambient);
        for (name, value) in &named {
            if let Some(input) = board.inputs.iter_mut().find(|input| input.name == *name) {
                misspelled.extend(fit_input(value, input, &ambient));
            } else {
                let expected =
                    format!("an input of the board: {}{}", one_of(&names), did_you_mean(name, &names));
                value.wrong_key(quoted(name), expected);
            }
        }
        // A wrong name may stand for any input that is not named: its parts are asked for once the name is right.
        let all_known = named.iter().all(|(name, _)| names.iter().any(|known| known == name));
        let is_named = |input: &&Input| named.iter().any(|(name, _)| *name == input.name);
        for input in board.inputs.iter().filter(|input| all_known || is_named(input)) {
            still_open(&section.path.key(&input.name), section.log, input, &misspelled);
        }
    }
    keys.finish();
}

fn name(keys: &mut Keys<'_>, board: &str) {
    let expected = format!("the name of the board that the brief describes: {}", quoted(board));
    let Some(value) = keys.required("board", expected.clone()) else { return };
    if let Some(name) = value.text(&expected)
        && name != board
    {
        value.wrong(format!("{} (another board)", quoted(name)), expected);
    }
}

/// Fits one input, in one way or in several; gives the places that misspelled parts were meant for.
fn fit_input(value: &Value<'_>, input: &mut Input, ambient: &Band<Celsius>) -> Vec<Path> {
    let expected = "a map such as { pull_up: 300 Ω, protection: 27 kΩ }";
    let named = value.named(expected).unwrap_or_default();
    if named.iter().any(|(key, _)| *key == VARIANTS) {
        return variants::fit(named, input, ambient);
    }
    fit_parts(value, named, input, ambient)
}

/// Fits the parts of one input.
fn fit_parts(
    value: &Value<'_>,
    named: Vec<(&str, Value<'_>)>,
    input: &mut Input,
    ambient: &Band<Celsius>,
) -> Vec<Path> {
    let mut misspelled = Vec::new();
    let mut roles: Vec<&'static str> = input.parts.iter().map(|part| part.role.key()).collect();
    roles.push(CAPACITOR);
    for (key, fitted) in named {
        if let Some(part) = input.parts.iter_mut().find(|part| part.role.key() == key) {
            fit_part(&fitted, input.circuit, part, ambient);
        } else if key == CAPACITOR {
            fit_capacitor(&fitted, &mut input.capacitor);
        } else {
            let expected = format!("a part of this input: {}{}", one_of(&roles), did_you_mean(key, &roles));
            fitted.wrong_key(quoted(key), expected);
            misspelled.extend(near(key, &roles).map(|meant| value.path.key(meant)));
        }
    }
    top_and_bottom(value, input);
    misspelled
}

/// Fits a part: a resistance, `none`, or a map with a grade beside the value.
fn fit_part(value: &Value<'_>, circuit: Circuit, part: &mut Part, ambient: &Band<Celsius>) {
    if value.as_text().is_some() {
        return fit_value(value, circuit, part);
    }
    let expected = "a resistance such as 300 Ω, none, or a map such as { value: 300 Ω, tolerance: 0.5 % }";
    let Some(mut keys) = value.keys(expected) else { return };
    if let Some(value) = keys.required("value", "the fitted value, such as value: 300 Ω") {
        fit_value(&value, circuit, part);
    }
    let grade = &mut part.grade;
    fit_grade(&mut keys, "tolerance", &rule::SHARE_BELOW_ONE, part.has_own_grade, &mut grade.tolerance);
    fit_grade(&mut keys, "tempco", &rule::TEMPCO, part.has_own_grade, &mut grade.tempco);
    fit_grade(&mut keys, "ageing", &rule::SHARE_BELOW_ONE, part.has_own_grade, &mut grade.ageing);
    leaves_something(&keys, grade.tempco, ambient);
    keys.finish();
}

/// One figure of a grade, which takes the place of that for all parts; a part with a grade of its own keeps it.
fn fit_grade<Q>(keys: &mut Keys<'_>, key: &'static str, rule: &Rule<Q>, is_own: bool, figure: &mut Q)
where
    Q: Quantity + Copy + PartialEq + std::fmt::Display,
{
    let Some(value) = keys.get(key) else { return };
    let Some(fitted) = value.quantity(rule) else { return };
    if is_own && fitted != *figure {
        contradicts(&value, &format!("{figure:#}"));
    }
    *figure = fitted;
}

fn fit_value(value: &Value<'_>, circuit: Circuit, part: &mut Part) {
    let (rule, reason) = rule_and_reason(circuit, part.role);
    let fitted = if value.is_word("none") {
        if is_required(circuit, part.role) && !matches!(part.choice, Choice::Absent) {
            return value.unlike(reason);
        }
        None
    } else {
        let Some(ohms) = value_of(value, part.role, rule) else { return };
        Some(ohms)
    };
    match (&part.choice, fitted) {
        (Choice::Choose { .. }, Some(ohms)) => part.choice = Choice::Fixed(ohms),
        (Choice::Choose { .. }, None) => part.choice = Choice::Absent,
        (Choice::Fixed(given), _) if fitted != Some(*given) => contradicts(value, &format!("{given:#}")),
        (Choice::Absent, Some(_)) => contradicts(value, "none"),
        _ => {}
    }
}

fn fit_capacitor(value: &Value<'_>, capacitor: &mut Capacitor) {
    let fitted = if value.is_word("none") {
        Capacitor::Absent
    } else {
        let Some(farads) = value.quantity(&rule::CAPACITANCE_ABOVE_ZERO) else { return };
        Capacitor::Fixed(farads)
    };
    match capacitor {
        Capacitor::Choose(_) => *capacitor = fitted,
        Capacitor::Fixed(given) if fitted != Capacitor::Fixed(*given) => {
            contradicts(value, &format!("{given:#}"));
        }
        Capacitor::Absent if fitted != Capacitor::Absent => contradicts(value, "none"),
        _ => {}
    }
}

fn contradicts(value: &Value<'_>, given: &str) {
    value.wrong(
        format!("{} (not what the brief says)", value.found()),
        format!("{given}, which the brief gives"),
    );
}

/// A divider behind a pull-up has both its parts or none.
fn top_and_bottom(value: &Value<'_>, input: &Input) {
    let part = |role: Role| input.parts.iter().find(|part| part.role == role);
    let absent = |part: &Part| matches!(part.choice, Choice::Absent);
    if let (Some(top), Some(bottom)) = (part(Role::Top), part(Role::Bottom))
        && absent(top) != absent(bottom)
    {
        value.wrong_key("one of top and bottom", "both or neither: they make a divider together");
    }
}

/// Parts to be chosen that the file gives no value for; `place` is that of the input or of one of its sets.
fn still_open(place: &Path, log: &Log, input: &Input, misspelled: &[Path]) {
    let ask = |key: &str, example: String| {
        let path = place.key(key);
        let has_mistake = log.has_mistake_at(&path) || log.has_mistake_at(&path.key("value"));
        if !has_mistake && !misspelled.contains(&path) {
            let expected = format!("the fitted value, such as {key}: {example}, or none");
            log.mistake(&path, At::Key, "nothing", expected);
        }
    };
    for part in input.parts.iter().filter(|part| matches!(part.choice, Choice::Choose { .. })) {
        ask(part.role.key(), format!("{:#}", Ohms(300.0)));
    }
    if matches!(input.capacitor, Capacitor::Choose(_)) {
        ask(CAPACITOR, format!("{:#}", Farads(100e-9)));
    }
}
