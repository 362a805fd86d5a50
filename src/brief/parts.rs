//! The resistors of an input: given, to be chosen, or left out.

use super::place::At;
use super::reader::{Keys, Value};
use super::resistors::{Origin, Stock, given_source, grade};
use super::rule::{self, Rule};
use super::signal::SMALL;
use super::source::Source;
use super::stock::Files;
use super::tracks;
use super::words::{near, quoted};
use crate::board::{Choice, Circuit, Grade, Part, Role};
use crate::quantity::{Band, Celsius, Ohms, Quantity, parse_range};

/// Whether a part belongs to its circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Need {
    /// Without it the circuit is none.
    Required,
    /// Left out unless it is named.
    Optional,
    /// Chosen unless it is named.
    Chosen,
}

use Need::{Chosen, Optional, Required};

/// The parts of a circuit in the order of the chain.
pub(super) const fn roles(circuit: Circuit) -> &'static [Role] {
    match circuit {
        Circuit::PullUp => {
            &[Role::Line, Role::PullUp, Role::Shunt, Role::Top, Role::Bottom, Role::Protection]
        }
        Circuit::PullDown => &[Role::Line, Role::PullDown, Role::Protection],
        Circuit::Divider => &[Role::Extension, Role::Top, Role::Bottom, Role::Protection],
        Circuit::LevelShift => &[Role::Top, Role::Bias, Role::Bottom, Role::Protection],
        Circuit::Burden => &[Role::Burden, Role::Protection],
        Circuit::Direct => &[Role::Protection],
    }
}

/// All roles in the order in which a brief names them.
const NAMED: [Role; 10] = [
    Role::PullUp,
    Role::PullDown,
    Role::Shunt,
    Role::Line,
    Role::Extension,
    Role::Top,
    Role::Bias,
    Role::Bottom,
    Role::Burden,
    Role::Protection,
];

const fn need(circuit: Circuit, role: Role) -> Need {
    match (circuit, role) {
        (_, Role::Protection) => Chosen,
        (Circuit::PullUp, Role::PullUp)
        | (Circuit::PullDown, Role::PullDown)
        | (Circuit::Divider, Role::Top | Role::Bottom)
        | (Circuit::LevelShift, Role::Top | Role::Bias | Role::Bottom)
        | (Circuit::Burden, Role::Burden) => Required,
        _ => Optional,
    }
}

/// Why a circuit is none without a part.
const fn why(circuit: Circuit, role: Role) -> &'static str {
    match (circuit, role) {
        (_, Role::PullUp) => {
            "a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while \
             the sender is connected and floats when it is open"
        }
        (_, Role::PullDown) => {
            "a pull-down, such as pull_down: choose; a resistance makes no voltage, so without it the pin stays at the \
             excitation while the sender is connected and floats when it is open"
        }
        (Circuit::LevelShift, Role::Top) => {
            "the part to the source, such as top: 13k or top: choose; without it the node is tied to the measured \
             voltage"
        }
        (_, Role::Bias) => {
            "the part to the rail, such as bias: 8k2 or bias: choose; without it nothing lifts the voltage above ground"
        }
        (Circuit::LevelShift, Role::Bottom) => {
            "the part to ground, such as bottom: 22k or bottom: choose; circuit: divider is the one that lifts nothing"
        }
        (_, Role::Burden) => {
            "the burden, such as burden: 150 Ω or burden: choose; without it the current makes no voltage"
        }
        (_, Role::Top) => {
            "the upper part, such as top: 22k or top: choose; without it the pin is tied to the measured voltage"
        }
        _ => "the lower part, such as bottom: 11k or bottom: choose; without it nothing is divided",
    }
}

/// In series a link of 0 Ω does no harm; from the node to a voltage it is a short.
const fn rule(role: Role) -> &'static Rule<Ohms> {
    match role {
        Role::PullUp | Role::PullDown | Role::Shunt | Role::Bias | Role::Bottom | Role::Burden => {
            &rule::RESISTANCE_ABOVE_ZERO
        }
        Role::Line | Role::Extension | Role::Top | Role::Protection => &rule::RESISTANCE,
    }
}

/// Leaves all parts alone where nobody can say which belong here.
pub(super) fn skip(keys: &mut Keys<'_>) {
    for role in NAMED {
        keys.skip(&[role.key()]);
    }
}

/// Where a part stands in its circuit.
#[derive(Clone, Copy, Debug)]
struct Place {
    role: Role,
    need: Need,
    /// Why a required part must be there.
    why: &'static str,
}

/// What the parts of all inputs have in common.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shelf<'c> {
    pub(super) stock: &'c Stock,
    pub(super) files: &'c Files<'c>,
    pub(super) ambient: &'c Band<Celsius>,
    /// Whether a gauge excites the sender, so that the pull-up may be left out.
    pub(super) excites_itself: bool,
}

impl Shelf<'_> {
    fn part(&self, role: Role, choice: Choice) -> Part {
        let stock = self.stock.source.stock();
        Part { role, choice, grade: self.stock.grade.clone(), has_own_grade: false, tracks: None, stock }
    }
}

/// Reads the parts of an input in the order of its circuit. A part with a mistake is left out of the answer.
pub(super) fn read(keys: &mut Keys<'_>, circuit: Circuit, shelf: Shelf<'_>) -> Vec<Part> {
    let own = roles(circuit);
    let (here, elsewhere): (Vec<Role>, Vec<Role>) = NAMED.iter().partition(|role| own.contains(role));
    let mut parts: Vec<Part> =
        here.into_iter().filter_map(|role| read_role(keys, circuit, role, shelf)).collect();
    let names: Vec<&str> = own.iter().map(|role| role.key()).collect();
    for role in elsewhere {
        let expected = format!("a part of this circuit: {}", super::words::one_of(&names));
        keys.refuse(&[role.key()], &expected);
    }
    if circuit == Circuit::PullUp {
        both_or_neither(keys, &parts);
    }
    parts.sort_by_key(|part| own.iter().position(|role| *role == part.role));
    parts
}

fn read_role(keys: &mut Keys<'_>, circuit: Circuit, role: Role, shelf: Shelf<'_>) -> Option<Part> {
    let (key, need) = (role.key(), need(circuit, role));
    let place = Place { role, need, why: why(circuit, role) };
    let value = match need {
        Required => Some(keys.required(key, place.why)?),
        Optional | Chosen => keys.get(key),
    };
    match value {
        Some(value) => part(&value, place, shelf),
        None if need == Chosen => {
            keys.assume(key, (), "choose");
            let candidates = shelf.stock.source.offers(shelf.stock.between, &shelf.stock.grade);
            let wrong = |(found, expected)| keys.log.mistake(&keys.path.key(key), At::Key, found, expected);
            let candidates = candidates.map_err(wrong).ok()?;
            Some(shelf.part(role, Choice::Choose { candidates, or_none: false }))
        }
        None => Some(shelf.part(role, keys.assume(key, Choice::Absent, "none"))),
    }
}

/// Reads one part.
fn part(value: &Value<'_>, place: Place, shelf: Shelf<'_>) -> Option<Part> {
    let role = place.role;
    if value.as_text().is_none() {
        let expected =
            "choose, none, a resistance such as 150 Ω, or a map such as { choose: 47..2k2, tolerance: 5 % }";
        return described(value.keys(expected)?, place, shelf);
    }
    let choice = if value.is_word("choose") {
        let candidates = shelf.stock.source.offers(shelf.stock.between, &shelf.stock.grade);
        let candidates = candidates.map_err(|(found, expected)| value.wrong(found, expected)).ok()?;
        Choice::Choose { candidates, or_none: false }
    } else if value.is_word("none") {
        if place.need == Required && !(role == Role::PullUp && shelf.excites_itself) {
            value.unlike(place.why);
            return None;
        }
        Choice::Absent
    } else {
        Choice::Fixed(resistance(value, role)?)
    };
    Some(shelf.part(role, choice))
}

/// One resistance, where a word or a range could be meant, too.
fn resistance(value: &Value<'_>, role: Role) -> Option<Ohms> {
    let text = value.text(Ohms::EXPECTED)?;
    if parse_range::<Ohms>(text).is_ok() || Ohms::parse_small_range(text).is_ok() {
        value.wrong(format!("{} (a range)", value.found()), format!("one value, or {{ choose: {text} }}"));
        return None;
    }
    let is_word = text.starts_with(char::is_alphabetic);
    if let Some(word) = near(text, &["choose", "none"]).filter(|_| is_word) {
        value.unlike(format!("choose, none or a resistance such as 150 Ω; did you mean `{word}`?"));
        return None;
    }
    value_of(value, role, rule(role))
}

/// The value of a part. Milliohms are no slip where a large current makes the voltage.
pub(super) fn value_of(value: &Value<'_>, role: Role, rule: &Rule<Ohms>) -> Option<Ohms> {
    if role != Role::Burden {
        return value.quantity(rule);
    }
    let ohms = value.parse(SMALL, Ohms::parse_small)?;
    value.ruled(ohms, rule)
}

/// From what a part is chosen.
fn ends(value: &Value<'_>, role: Role) -> Option<Band<Ohms>> {
    let rule = &rule::RESISTANCE_ABOVE_ZERO;
    if role != Role::Burden {
        return value.band(rule);
    }
    let (lowest, highest) = value.ends(SMALL, Ohms::parse_small_range, Ohms::parse_small)?;
    value.rising(lowest, highest, rule)
}

/// A part with its own grade, series or ends.
fn described(mut keys: Keys<'_>, place: Place, shelf: Shelf<'_>) -> Option<Part> {
    let source = given_source(&mut keys, shelf.files);
    let stock =
        source.clone().unwrap_or_else(|| Some(shelf.stock.source.clone())).and_then(|source| source.stock());
    let has_own_grade = ["tolerance", "tempco", "ageing"].iter().any(|key| keys.has(key));
    let tracks = keys.get("tracks").and_then(|value| tracks::group(&value));
    let grade: Option<Grade> = grade(&mut keys, &shelf.stock.grade, Origin::Board, shelf.ambient);
    let choice = choice(&mut keys, place, shelf, source, grade.as_ref());
    keys.finish();
    Some(Part { role: place.role, choice: choice?, grade: grade?, has_own_grade, tracks, stock })
}

/// The value of a part or what it is chosen from; `source` is what the part itself says of that, if it does.
#[expect(clippy::option_option, reason = "a mistake is something else than silence")]
fn choice(
    keys: &mut Keys<'_>,
    place: Place,
    shelf: Shelf<'_>,
    source: Option<Option<Source>>,
    grade: Option<&Grade>,
) -> Option<Choice> {
    let value = keys.get("value");
    let range = keys.get("choose");
    let between = keys.get("between");
    let or_none = keys.get("or_none");
    let (series, stock) = (keys.get("series"), keys.get("stock"));
    if let Some(value) = value {
        let is_choice = [&range, &between, &or_none, &series, &stock];
        for other in is_choice.into_iter().flatten() {
            other.wrong_key(quoted(other.path.last_key()), "either a value or a choice, not both");
        }
        return resistance(&value, place.role).map(Choice::Fixed);
    }
    let given = range.as_ref().or(between.as_ref());
    let Some(at) = given.or(stock.as_ref()) else {
        let expected = "a value such as value: 150 Ω, or a choice such as choose: 47..2k2";
        keys.log.mistake(&keys.path, At::Key, "neither `value` nor `choose`", expected);
        return None;
    };
    if let (Some(_), Some(second)) = (&range, &between) {
        second.wrong_key("a second range", "the range once, behind choose");
        return None;
    }
    let or_none = or_none.map_or(Some(false), |value| may_be_left_out(&value, place));
    let ends = match given {
        Some(given) => Some(ends(given, place.role)?),
        None => None,
    };
    let source = source.unwrap_or_else(|| Some(shelf.stock.source.clone()))?;
    let candidates = source.offers(ends, grade?);
    let candidates = candidates.map_err(|(found, expected)| at.wrong(found, expected)).ok()?;
    Some(Choice::Choose { candidates, or_none: or_none? })
}

fn may_be_left_out(value: &Value<'_>, place: Place) -> Option<bool> {
    let or_none = value.switch()?;
    if or_none && place.need == Required {
        value.unlike(place.why);
        return None;
    }
    if or_none && matches!(place.role, Role::Top | Role::Bottom) {
        value.unlike("off: top and bottom behind a pull-up are left out together or not at all");
        return None;
    }
    Some(or_none)
}

/// Behind a pull-up `top` and `bottom` make a divider together.
fn both_or_neither(keys: &Keys<'_>, parts: &[Part]) {
    let find = |role| parts.iter().find(|part| part.role == role);
    let (Some(top), Some(bottom)) = (find(Role::Top), find(Role::Bottom)) else { return };
    let absent = |part: &Part| matches!(part.choice, Choice::Absent);
    if absent(top) != absent(bottom) {
        let (there, missing) = if absent(top) { (bottom, top) } else { (top, bottom) };
        keys.log.mistake(
            &keys.path.key(missing.role.key()),
            At::Key,
            "nothing",
            format!(
                "{} beside {}: behind a pull-up they make a divider together",
                missing.role.key(),
                there.role.key()
            ),
        );
    }
}

/// Whether a circuit is none without a part.
pub(super) const fn is_required(circuit: Circuit, role: Role) -> bool {
    matches!(need(circuit, role), Required)
}

/// The rule for the value of a part, and why a required part must be there.
pub(super) const fn rule_and_reason(circuit: Circuit, role: Role) -> (&'static Rule<Ohms>, &'static str) {
    (rule(role), why(circuit, role))
}
