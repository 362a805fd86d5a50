//! The file of a sender, which a brief includes.

use super::page::glued;
use super::sender::{Coefficients, Ends, SenderAnswer};
use crate::learn::Kind;
use crate::quantity::{Celsius, Fraction, Ohms};

/// How every file of a sender begins.
pub const SENDER_FILE: &str = "# A sender that ohmwright has learned from";

/// Columns of a comment.
const WIDTH: usize = 80;

/// The file in full.
pub fn sender_file(answer: &SenderAnswer) -> String {
    let count = answer.readings.len();
    let ends = answer.readings.first().zip(answer.readings.last());
    let between = ends.map_or_else(String::new, |(first, last)| {
        format!(" from {} {unit} to {} {unit}", first.value, last.value, unit = answer.unit)
    });
    let mut text = String::new();
    let origin = SENDER_FILE.trim_start_matches(['#', ' ']);
    comment(&mut text, &format!("{origin} {}: {count} readings{between}.", answer.file));
    comment(&mut text, &answer.reason);
    match &answer.uncertainty_from {
        Some(from) => comment(&mut text, &format!("With 95 % confidence, {from}.")),
        None => comment(&mut text, "How far it is off is unknown: no tolerance or accuracy stands here."),
    }
    text.replace('\u{a0}', " ") + &answer.sender + &doubts(&answer.warnings)
}

fn comment(text: &mut String, sentence: &str) {
    let mut line = String::from("#");
    for word in glued(sentence).split(' ').filter(|word| !word.is_empty()) {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            text.push_str(&line);
            text.push('\n');
            line = String::from("#");
        }
        line.push(' ');
        line.push_str(word);
    }
    text.push_str(&line);
    text.push('\n');
}

/// What a number is worth in a file: twelve significant digits move the curve by less than 1e-9 of itself.
fn digits(number: f64) -> f64 {
    format!("{number:.11e}").parse().unwrap_or(number)
}

/// What is doubtful, for every brief that includes the file.
fn doubts(warnings: &[String]) -> String {
    let mut lines = if warnings.is_empty() { Vec::new() } else { vec!["doubts:".to_owned()] };
    lines.extend(warnings.iter().map(|warning| format!("  - {}", quoted(warning))));
    lines.into_iter().map(|line| line + "\n").collect()
}

/// The keys of a sender as a brief has them.
pub(super) fn entries(answer: &SenderAnswer) -> String {
    let unit = answer.unit.as_str();
    let mut lines = vec![format!("unit: {}", unit_text(unit))];
    if let Some(coefficients) = answer.coefficients {
        let Ends { lowest, highest } = answer.range;
        lines.extend(law(coefficients));
        lines.push(format!("range: {lowest} {unit} .. {highest} {unit}"));
    } else {
        lines.push("points:".to_owned());
        lines.extend(answer.readings.iter().map(|row| format!("  - [{}, {:#}]", row.value, Ohms(row.ohm))));
        let word = if answer.kind == Kind::Monotone { "monotone" } else { "linear" };
        lines.push(format!("interpolation: {word}"));
    }
    lines.extend(answer.tolerance.map(|share| format!("tolerance: {:#}", Fraction(share))));
    lines.extend(answer.accuracy.map(|value| accuracy(value, unit)));
    lines.join("\n") + "\n"
}

/// With its unit, unless YAML would take that for something else.
fn accuracy(value: f64, unit: &str) -> String {
    let is_plain = !unit.is_empty() && unit.chars().all(|c| c.is_alphanumeric() || "°%/".contains(c));
    if is_plain { format!("accuracy: {value} {unit}") } else { format!("accuracy: {value}") }
}

fn law(coefficients: Coefficients) -> Vec<String> {
    match coefficients {
        Coefficients::Beta { at_celsius, ohm, beta_kelvin } => vec![
            "ntc:".to_owned(),
            format!("  at: {:#}", Celsius(digits(at_celsius))),
            format!("  resistance: {:#}", Ohms(digits(ohm))),
            format!("  beta: {} K", digits(beta_kelvin)),
        ],
        Coefficients::SteinhartHart { a, b, c } => {
            vec![
                "steinhart_hart:".to_owned(),
                format!("  a: {:e}", digits(a)),
                format!("  b: {:e}", digits(b)),
                format!("  c: {:e}", digits(c)),
            ]
        }
        Coefficients::Platinum { ohm } => vec![format!("platinum: {:#}", Ohms(digits(ohm)))],
    }
}

/// A unit as YAML reads it back: plain where nothing can be mistaken, else in double quotes.
fn unit_text(unit: &str) -> String {
    if ["°C", "°F", "K", "bar", "psi", "kPa"].contains(&unit) { unit.to_owned() } else { quoted(unit) }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
