//! The file of fitted values.

use super::output::{Purpose, sections};
use crate::answer::{Answer, GradeAnswer, GradesAnswer, InputAnswer, Ordered, PartAnswer, SetOfParts};
use crate::quantity::{Farads, Fraction, Ohms, PerKelvin};

/// What a file of fitted values is written for.
pub(super) const PURPOSE: Purpose =
    Purpose { input: "the brief", an_input: "a brief", content: "fitted values", is_content: holds_fitted };

/// Whether a text holds fitted values and nothing else: no other section stands at the start of a line.
fn holds_fitted(text: &str) -> bool {
    let is_fitted = |line: &str| line.starts_with("fitted:");
    sections(text).any(is_fitted) && sections(text).all(|line| is_fitted(line) || line.starts_with("board:"))
}

/// The file in full.
pub(super) fn content(answer: &Answer) -> String {
    let section = |(name, input): &(String, InputAnswer)| section(name, input, answer);
    let inputs: String = answer.inputs.0.iter().map(section).collect();
    format!("board: {}\nfitted:\n{inputs}", quoted(&answer.board))
}

/// The parts of one input, or of each set where there are several.
fn section(name: &str, input: &InputAnswer, answer: &Answer) -> String {
    let asked = answer.variants.iter().find(|row| row.input == name && row.chosen);
    let grades = answer.grades.as_ref();
    let parts = match asked {
        Some(row) if row.sets.len() > 1 => {
            let sets: String = row.sets.iter().map(|set| of_set(name, set, grades)).collect();
            format!("    variants:\n{sets}")
        }
        _ => lines("    ", name, &input.parts, grades),
    };
    format!("  {}:\n{parts}", quoted(name))
}

/// One of several sets of parts.
fn of_set(name: &str, set: &SetOfParts, grades: Option<&GradesAnswer>) -> String {
    let senders: Vec<String> = set.senders.iter().map(|sender| quoted(sender)).collect();
    let parts = lines("        ", name, &set.parts, grades);
    format!("      - senders: [{}]\n{parts}", senders.join(", "))
}

/// A line for each part; a capacitor only where it was chosen, a grade likewise.
fn lines(
    indent: &str,
    name: &str,
    parts: &Ordered<Option<PartAnswer>>,
    grades: Option<&GradesAnswer>,
) -> String {
    let rows = || grades.iter().flat_map(|grades| &grades.parts);
    let grade = |role: &str| rows().find(|row| row.input == name && row.part == role && row.price.is_some());
    let parts = parts.0.iter().filter_map(|(role, part)| match part {
        None if role == "capacitor" => None,
        None => Some(format!("{indent}{role}: none\n")),
        Some(PartAnswer::Resistor { ohm, .. }) => Some(match grade(role) {
            Some(row) => format!("{indent}{role}: {}\n", with_grade(Ohms(*ohm), row.grade)),
            None => format!("{indent}{role}: {:#}\n", Ohms(*ohm)),
        }),
        Some(PartAnswer::Capacitor { farad, chosen }) => {
            chosen.then(|| format!("{indent}{role}: {:#}\n", Farads(*farad)))
        }
    });
    parts.collect()
}

fn with_grade(ohms: Ohms, grade: GradeAnswer) -> String {
    let (tolerance, ageing) = (Fraction(grade.tolerance), Fraction(grade.ageing));
    let tempco = PerKelvin(grade.tempco);
    format!("{{ value: {ohms:#}, tolerance: {tolerance:#}, tempco: {tempco:#}, ageing: {ageing:#} }}")
}

/// A name as YAML reads it back: plain where nothing can be mistaken, else in double quotes.
fn quoted(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '-');
    let is_plain = name.starts_with(char::is_alphabetic) && name.chars().all(plain) && !name.ends_with(' ');
    let is_word = ["true", "false", "yes", "no", "on", "off", "null", "y", "n"]
        .iter()
        .any(|word| name.eq_ignore_ascii_case(word));
    if is_plain && !is_word {
        return name.to_owned();
    }
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_quoted_where_yaml_would_misread_them() {
        assert_eq!(quoted("house battery"), "house battery");
        assert_eq!(quoted("Öl-Druck 2"), "Öl-Druck 2");
        for name in ["12 V", "a: b", "#1", "no", "\"x\"", "a\\b", "{x}", "-", "x ", ""] {
            let text = quoted(name);
            assert!(text.starts_with('"') && text.ends_with('"'), "{text}");
            let read: String = serde_yaml::from_str(&text).unwrap();
            assert_eq!(read, name);
        }
    }
}
