//! What is wrong with a text, in words for a person at the bench.

use super::ParseQuantityError;
use super::decimal::Decimal;
use super::kind::{Bare, Kind};
use super::letter_code;

/// How much of a text is repeated in a message.
const LONGEST_QUOTE: usize = 40;

/// The text as it stands, short and on one line.
fn quoted(text: &str) -> String {
    let shown: String = text.chars().take(LONGEST_QUOTE).flat_map(char::escape_debug).collect();
    let more = if text.chars().count() > LONGEST_QUOTE { "…" } else { "" };
    format!("`{shown}{more}`")
}

/// The text, what is odd about it, and what would be right.
pub(super) fn refusal(text: &str, odd: &str, expected: impl Into<String>) -> ParseQuantityError {
    ParseQuantityError { found: format!("{} ({odd})", quoted(text)), expected: expected.into() }
}

/// Texts that cannot be a quantity of any kind, for reasons worth naming.
pub(super) fn of_text(text: &str, kind: &Kind) -> Option<ParseQuantityError> {
    let lower = text.to_ascii_lowercase();
    let unsigned = lower.trim_start_matches(['-', '+', '\u{2212}']);
    if text.is_empty() {
        Some(ParseQuantityError { found: "nothing".to_owned(), expected: kind.expected.to_owned() })
    } else if text.contains("..") {
        Some(refusal(text, "a range", format!("one value: {}", kind.expected)))
    } else if matches!(unsigned.trim_start_matches('.'), "nan" | "inf" | "infinity") {
        Some(refusal(text, "not a finite number", kind.expected))
    } else if unsigned.starts_with("0x") {
        Some(refusal(text, "a hexadecimal number", format!("{}, in decimal digits", kind.expected)))
    } else if text.contains(',') {
        Some(comma(text, kind))
    } else if text.contains('_') && Decimal::scan(text).is_some() {
        Some(refusal(text, "an underscore in the number", one_piece(&text.replace('_', ""))))
    } else {
        None
    }
}

/// `4,7` has a decimal comma; what `1,000` means nobody can know.
fn comma(text: &str, kind: &Kind) -> ParseQuantityError {
    let (without, with_point) = (text.replace(',', ""), text.replace(',', "."));
    let Some((before, after)) = text.split_once(',') else {
        return refusal(text, "a comma", kind.expected);
    };
    let after_digits = after.chars().take_while(char::is_ascii_digit).count();
    if !before.ends_with(|c: char| c.is_ascii_digit()) || after_digits == 0 {
        refusal(text, "a comma", kind.expected)
    } else if after.contains(',') {
        refusal(text, "commas in the number", one_piece(&without))
    } else if after_digits == 3 {
        refusal(text, "a comma", format!("`{with_point}` or `{without}`, whichever is meant"))
    } else {
        refusal(text, "a decimal comma", format!("a decimal point: `{with_point}`"))
    }
}

fn one_piece(number: &str) -> String {
    format!("the number in one piece: {}", quoted(number))
}

/// A text that does not start with a number.
pub(super) fn of_missing_number(text: &str, kind: &Kind) -> ParseQuantityError {
    refusal(text, "no number", kind.expected)
}

/// A number alone where it could mean several things.
pub(super) fn of_missing_unit(text: &str, number: &Decimal, kind: &Kind) -> ParseQuantityError {
    let odd = format!("{} needs its unit", kind.name);
    let written = number.written(0);
    if kind.bare == Bare::OnlyZero {
        refusal(text, &odd, format!("`{} %` or `{written} %`, whichever is meant", number.written(2)))
    } else {
        refusal(text, &odd, format!("`{written} °C`, `{written} °F` or `{written} K`"))
    }
}

/// What follows the number is no unit of this kind.
pub(super) fn of_unit(text: &str, number: &Decimal, unit: &str, kind: &Kind) -> ParseQuantityError {
    if kind.symbol == "Ω"
        && let Some(milli) = milli(text, number, unit)
    {
        return milli_or_mega(text, &milli);
    }
    let starts_with_digit = unit.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    if starts_with_digit && text.contains(char::is_whitespace) {
        return refusal(text, "a blank inside the number", one_piece(&without_blanks_in_number(text)));
    }
    let in_other_case = |known: &str| known != unit && known.to_lowercase() == unit.to_lowercase();
    if let Some((known, _)) = kind.units.iter().find(|(known, _)| in_other_case(known)) {
        let odd = format!("`{unit}` is not `{known}`");
        return refusal(text, &odd, format!("`{} {known}`, if that is meant", number.written(0)));
    }
    of_rest(text, unit, kind)
}

/// What follows a complete value does not belong there.
pub(super) fn of_rest(text: &str, rest: &str, kind: &Kind) -> ParseQuantityError {
    if let Some(error) = letter_too_many(text, rest, kind) {
        error
    } else if let Some(name) = Kind::named_by(rest) {
        refusal(text, name, kind.expected)
    } else {
        refusal(text, &format!("`{}` is no unit of {}", rest.escape_debug(), kind.name), kind.expected)
    }
}

/// The number of milliohms, if a small m can be meant: `5 mΩ`, `5m`, `4m7`.
fn milli(text: &str, number: &Decimal, unit: &str) -> Option<Decimal> {
    let code = letter_code::read(text, &[('m', 0)]).filter(|(_, rest)| rest.is_empty());
    code.map(|(value, _)| value).or_else(|| matches!(unit, "m" | "mΩ").then(|| number.clone()))
}

fn milli_or_mega(text: &str, milli: &Decimal) -> ParseQuantityError {
    let expected = format!(
        "`{} MΩ` for mega or `{} Ω` for milli, whichever is meant",
        milli.written(0),
        milli.written(-3)
    );
    refusal(text, "m is milli, M is mega", expected)
}

/// `47KK`, `4k7k`, `4K7J`: one letter more than the value needs, a multiplier or a tolerance.
fn letter_too_many(text: &str, unit: &str, kind: &Kind) -> Option<ParseQuantityError> {
    let last = unit.chars().last()?;
    let before = text.strip_suffix(last)?;
    // `100k5 V` is a value with another unit, `100k5V` may be anything.
    if before.ends_with(char::is_whitespace) && Kind::named_by(unit).is_some() {
        return None;
    }
    let before = before.trim_end();
    let value_stands = super::parse::read(before, kind).is_ok();
    let ends_in_letter = letter_code::read(before, kind.letters).is_some()
        || before.ends_with(|c| kind.letters.iter().any(|(known, _)| *known == c));
    (value_stands && ends_in_letter && last.is_ascii_alphabetic()).then(|| {
        let odd = format!("`{last}` is a letter too many");
        refusal(text, &odd, format!("one letter, such as `{before}`; a tolerance stands on its own"))
    })
}

/// `1 000 Ω` becomes `1000 Ω`.
fn without_blanks_in_number(text: &str) -> String {
    let mut joined = String::new();
    let mut rest = text.chars().peekable();
    while let Some(sign) = rest.next() {
        let after_digit = joined.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        let before_digit = rest.peek().is_some_and(|next| next.is_ascii_digit() || *next == '.');
        if !(sign.is_whitespace() && after_digit && before_digit) {
            joined.push(sign);
        }
    }
    joined
}

/// A value that no `f64` holds, or that does not exist.
pub(super) fn of_value(text: &str, number: &Decimal, value: f64, kind: &Kind) -> Option<ParseQuantityError> {
    if !value.is_finite() {
        Some(refusal(text, "too large a number", kind.expected))
    } else if value == 0.0 && number.decade() < -300 && !number.is_zero() {
        Some(refusal(text, "too small a number", kind.expected))
    } else if value < 0.0 && !kind.signed {
        Some(refusal(text, "negative", format!("{}, not below 0", kind.expected)))
    } else {
        None
    }
}
