//! What is on a board, as data and as text.

use serde::Serialize;

use super::page::{Column, Flush, Page};
use super::words::{decimals, percent, plain};
use crate::answer::Assumed;
use crate::identify::{Explanation, Findings, Row, Value, Verdict};
use crate::quantity::{Fraction, Ohms, Volts};

/// The answer to `identify`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct IdentifyAnswer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: &'static str,
    /// The file of readings.
    pub file: String,
    /// What was not given.
    pub assumed: Vec<Assumed>,
    /// What was found.
    #[serde(flatten)]
    pub findings: Findings,
}

/// The answer as text in 80 columns.
pub fn identify_text(answer: &IdentifyAnswer) -> String {
    let findings = &answer.findings;
    let mut page = Page::default();
    page.heading(&format!("{}: {}", answer.file, title(findings)));
    for (i, sentence) in findings.summary.iter().enumerate() {
        page.paragraph(if i == 0 { "" } else { "- " }, sentence);
    }
    if let Some(first) = findings.answer() {
        values(&mut page, first);
    }
    pairs(&mut page, findings);
    if findings.verdict != Verdict::Agree {
        for explanation in &findings.explanations {
            page.gap();
            page.paragraph("", &format!("Possible: {}", explanation.cause));
            values(&mut page, explanation);
        }
    }
    if !findings.remarks.is_empty() {
        page.gap();
        page.items("- ", &findings.remarks);
    }
    assumed(&mut page, &answer.assumed);
    page.finish()
}

const fn title(findings: &Findings) -> &'static str {
    match findings.verdict {
        Verdict::Agree => "the pairs agree",
        Verdict::Contradict => "the pairs contradict each other",
        Verdict::OtherCircuit => "the pairs come from another circuit",
    }
}

/// A number with its unit; a gain is a share, a ratio a plain number.
fn shown(value: f64, unit: &str, name: &str) -> String {
    if value.is_infinite() {
        return "no limit".to_owned();
    }
    match unit {
        "Ω" => Ohms(value).to_string(),
        "V" => Volts(value).to_string(),
        "counts" => format!("{} counts", decimals(value, 1)),
        _ if name == "gain" => signed(value),
        _ => decimals(value, 5),
    }
}

/// A share with its sign.
fn signed(share: f64) -> String {
    format!("{}{}", if share > 0.0 { "+" } else { "" }, Fraction(share))
}

fn values(page: &mut Page, explanation: &Explanation) {
    use Flush::{Left, Right};
    if explanation.values.is_empty() {
        return;
    }
    let columns: [Column; 5] = [
        ("what", Left),
        ("value", Right),
        ("at least", Right),
        ("at most", Right),
        ("standard values", Left),
    ];
    let row = |value: &Value| {
        let [middle, lowest, highest] = [value.value, value.lowest, value.highest];
        let number = |number| shown(number, value.unit, value.name);
        vec![value.name.to_owned(), number(middle), number(lowest), number(highest), standard(value)]
    };
    page.table(&columns, explanation.values.iter().map(row).collect());
    if explanation.checked {
        page.gap();
        page.paragraph(
            "",
            &format!(
                "What remains unexplained is {} of what the stated accuracy allows.",
                percent(explanation.accuracy_used)
            ),
        );
    }
}

fn standard(value: &Value) -> String {
    let list =
        |ohms: &[f64]| ohms.iter().map(|ohm| format!("{:#}", Ohms(*ohm))).collect::<Vec<_>>().join(", ");
    if value.unit != "Ω" || (value.standard_ohm.is_empty() && value.next_ohm.is_empty()) {
        String::new()
    } else if value.standard_ohm.is_empty() {
        format!("none fits; next: {}", list(&value.next_ohm))
    } else {
        list(&value.standard_ohm)
    }
}

/// All pairs with what each says alone, and what the answer leaves of it. Counts stand without their unit.
fn pairs(page: &mut Page, findings: &Findings) {
    use Flush::{Left, Right};
    let (known, alone) = match findings.about {
        "pull-up" => ("resistance", "pull-up alone"),
        "divider" => ("voltage", "ratio alone"),
        _ => ("expected", "difference"),
    };
    let read = if findings.pairs.iter().any(|row| row.read_unit == "V") { "at the pin" } else { "count" };
    let mut columns = vec![("line", Right), (known, Right), (read, Right), (alone, Right), ("within", Left)];
    if findings.answer().is_some() {
        columns.push(("not explained", Right));
    }
    page.table(&columns, findings.pairs.iter().map(|row| pair(row, findings.answer())).collect());
}

fn pair(row: &Row, answer: Option<&Explanation>) -> Vec<String> {
    let exactly = |value: f64, unit: &str| match unit {
        "counts" => plain(value),
        unit => shown(value, unit, ""),
    };
    let rounded = |value: f64, unit: &str| match unit {
        "counts" => decimals(value, 1),
        unit => shown(value, unit, ""),
    };
    let mut cells =
        vec![row.line.to_string(), exactly(row.known, row.known_unit), exactly(row.read, row.read_unit)];
    match (row.alone, row.left_out) {
        (_, Some(why)) => cells.extend(["left out".to_owned(), why.to_owned()]),
        (Some(alone), None) => {
            let [value, lowest, highest] =
                [alone.value, alone.lowest, alone.highest].map(|value| rounded(value, alone.unit));
            cells.extend([value, format!("{lowest} .. {highest}")]);
        }
        (None, None) => cells.extend(["nothing".to_owned(), String::new()]),
    }
    if let Some(answer) = answer {
        let left = answer.deviations.iter().find(|left| left.line == row.line);
        cells.push(left.map_or_else(String::new, |left| rounded(left.read_minus_calculated, row.read_unit)));
    }
    cells
}

fn assumed(page: &mut Page, assumed: &[Assumed]) {
    if assumed.is_empty() {
        return;
    }
    page.gap();
    let each: Vec<String> =
        assumed.iter().map(|assumed| format!("{}\u{a0}{}", assumed.key, assumed.value)).collect();
    page.paragraph("", &format!("Assumed, since not given: {}.", each.join("; ")));
}
