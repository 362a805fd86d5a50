//! Tolerance grades and what they cost.

use super::page::{Flush, Page};
use super::words::{count_of, digits, rounded, value};
use crate::answer::{GradeAnswer, GradeRow, GradesAnswer, GradesOfInput, SameGradeRow, Verdict};
use crate::quantity::{Fraction, PerKelvin};

use Flush::{Left, Right};

/// The grade of every part, what it does for the error of each input, and what one grade for all would cost.
pub(super) fn section(page: &mut Page, grades: &GradesAnswer) {
    page.heading("Tolerance grades");
    let columns = [
        ("input", Left),
        ("part", Left),
        ("tolerance", Right),
        ("tempco", Right),
        ("ageing", Right),
        ("price", Right),
    ];
    page.table(&columns, grades.parts.iter().map(part_row).collect());
    page.gap();
    page.paragraph("", &total(grades));
    page.paragraph("", &same_for_all(grades));
    let columns = [
        ("input", Left),
        ("error with the grade of all", Right),
        ("with these", Right),
        ("allowed", Right),
        ("", Left),
    ];
    page.table(&columns, grades.inputs.0.iter().map(|(name, input)| input_row(name, input)).collect());
}

fn part_row(row: &GradeRow) -> Vec<String> {
    let GradeAnswer { tolerance, tempco, ageing } = row.grade;
    vec![
        row.input.clone(),
        row.part.to_owned(),
        format!("±{}", Fraction(tolerance)),
        PerKelvin(tempco).to_string(),
        Fraction(ageing).to_string(),
        row.price.map_or_else(|| "given".to_owned(), money),
    ]
}

/// A price with every digit.
fn money(price: f64) -> String {
    price.to_string()
}

fn total(grades: &GradesAnswer) -> String {
    let priced = grades.parts.iter().filter(|row| row.price.is_some()).count();
    let parts = count_of(priced as u64, "part", "parts");
    let proof = match grades.search.proof {
        "complete" => "the least with which all that can hold holds, proven",
        _ => "not proven to be the least, since the search was stopped",
    };
    let looks = count_of(grades.search.examined as u64, "choice", "choices");
    format!("All {parts} together: {}, {proof}; {looks} examined in the worst case.", money(grades.price))
}

fn same_for_all(grades: &GradesAnswer) -> String {
    let held = grades.same_for_all.iter().filter(|row| row.holds);
    match held.min_by(|a, b| a.price.total_cmp(&b.price)) {
        Some(row) => {
            format!("With one grade for all of them {} is the cheapest: {}.", named(row), money(row.price))
        }
        None => "No single grade of the list would do for all of them.".to_owned(),
    }
}

fn named(row: &SameGradeRow) -> String {
    let GradeAnswer { tolerance, tempco, .. } = row.grade;
    format!("±{} with {}", Fraction(tolerance), PerKelvin(tempco))
}

fn input_row(name: &str, input: &GradesOfInput) -> Vec<String> {
    let unit = &input.unit;
    let error = |error: Option<f64>| error.map_or_else(|| "-".to_owned(), |e| value(rounded(e), unit));
    let remark = match (input.verdict, input.error_at_best) {
        (Verdict::Holds, _) => String::new(),
        (Verdict::Fails, _) => "not found".to_owned(),
        (Verdict::Impossible, Some(best)) => format!("impossible: {} at best", digits(best)),
        (Verdict::Impossible, None) => "impossible".to_owned(),
    };
    vec![name.to_owned(), error(input.error_before), error(input.error), error(input.allowed), remark]
}

/// The verdict for the first line of the page, where grades decide it.
pub(super) fn title(grades: &GradesAnswer) -> Option<&'static str> {
    (grades.verdict == Verdict::Impossible).then_some("no choice of grades keeps all limits")
}

/// One sentence for each input whose limits the grades do not keep.
pub(super) fn failures(grades: &GradesAnswer) -> Vec<String> {
    let sentence = |(name, input): &(String, GradesOfInput)| {
        let best = input.error_at_best.map_or_else(String::new, |best| {
            let allowed =
                input.allowed.map(|allowed| format!(", allowed is {}", value(allowed, &input.unit)));
            let best = value(rounded(best), &input.unit);
            format!(
                ": with the best for every part a reading is off by up to {best}{}",
                allowed.unwrap_or_default()
            )
        });
        match input.verdict {
            Verdict::Holds => None,
            Verdict::Fails => {
                Some(format!("NOT FOUND: {name}: the search for its grades was stopped; some may do."))
            }
            Verdict::Impossible => {
                Some(format!("IMPOSSIBLE: {name}: no grades of the list keep its limits{best}."))
            }
        }
    };
    grades.inputs.0.iter().filter_map(sentence).collect()
}
