//! `tracks`: parts of one network or one reel, which are off by one common factor.

use super::place::At;
use super::reader::Value;
use super::words::quoted;
use crate::board::{Grade, Input, Part};

/// Reads the name of a group; `none`: the part is off by itself.
pub(super) fn group(value: &Value<'_>) -> Option<String> {
    let name = value.text("the name of a group, such as tracks: network")?;
    (!value.is_word("none")).then(|| name.to_owned())
}

/// A part in a group, and the input that it belongs to.
#[derive(Clone, Copy)]
struct Member<'a> {
    input: &'a str,
    part: &'a Part,
    group: &'a str,
}

impl Member<'_> {
    fn place(&self) -> String {
        format!("inputs.{}.{}", self.input, self.part.role.key())
    }
}

/// Whether the parts of a group may share a factor: they have to be of one grade. A group of one part is no mistake, but
/// its name may be misspelt. `section` is the one of all inputs.
pub(super) fn check(inputs: &[Input], section: &Value<'_>) {
    let members: Vec<Member<'_>> = inputs.iter().flat_map(of_input).collect();
    for (place, member) in members.iter().enumerate() {
        let mut others = members.iter().enumerate().filter(|(_, other)| other.group == member.group);
        match others.next() {
            Some((first, known)) if first < place => is_alike(known, member, section),
            _ if others.next().is_none() => alone(member, section),
            _ => {}
        }
    }
}

fn of_input(input: &Input) -> impl Iterator<Item = Member<'_>> {
    input
        .parts
        .iter()
        .filter_map(move |part| Some(Member { input: &input.name, part, group: part.tracks.as_deref()? }))
}

/// What two parts have to have in common to be off by one factor, in words; `None`: all of it.
fn difference(one: &Grade, other: &Grade) -> Option<[String; 2]> {
    let both = |name: &str, values: [String; 2]| {
        let [a, b] = values;
        (a != b).then(|| [format!("{name} {a}"), format!("{name} {b}")])
    };
    let of = |text: fn(&Grade) -> String| [text(one), text(other)];
    both("tolerance", of(|grade| format!("{:#}", grade.tolerance)))
        .or_else(|| both("tempco", of(|grade| format!("{:#}", grade.tempco))))
        .or_else(|| both("ageing", of(|grade| format!("{:#}", grade.ageing))))
}

fn is_alike(known: &Member<'_>, member: &Member<'_>, section: &Value<'_>) {
    let Some([wanted, found]) = difference(&known.part.grade, &member.part.grade) else { return };
    let path = section.path.key(member.input).key(member.part.role.key()).key("tracks");
    let found = format!("{} with {found}", quoted(member.group));
    let expected = format!(
        "{wanted}, as {} in the same group has: parts that track each other share tolerance, tempco and ageing",
        known.place()
    );
    section.log.mistake(&path, At::Value, found, expected);
}

fn alone(member: &Member<'_>, section: &Value<'_>) {
    section.log.remark(format!(
        "{} tracks {}, and no other part does: is the name of the group spelt right?",
        member.place(),
        quoted(member.group)
    ));
}
