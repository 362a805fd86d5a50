//! The letter code of IEC 60062: the letter stands where the decimal point would be, `4k7` is 4.7 kΩ.

use super::decimal::{Decimal, split_digits, split_sign};

/// Reads a letter with digits behind it, and as many as there are before it; returns what follows.
///
/// `470R` and `47k` need no rule of their own: they are a number and a unit.
pub(super) fn read<'a>(text: &'a str, letters: &[(char, i32)]) -> Option<(Decimal, &'a str)> {
    let (negative, body) = split_sign(text);
    let (whole, tail) = split_digits(body);
    let letter = tail.chars().next()?;
    let (_, exponent) = letters.iter().find(|(known, _)| *known == letter)?;
    let (fraction, rest) = split_digits(tail.get(letter.len_utf8()..)?);
    if fraction.is_empty() {
        return None;
    }
    Some((Decimal::new(negative, whole, fraction, *exponent), rest))
}
