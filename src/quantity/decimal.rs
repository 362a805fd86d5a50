//! Decimal numbers as text, so that a prefix shifts the point and never costs a digit.

/// A decimal number: `digits` times ten to the power `exponent`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Decimal {
    pub(super) negative: bool,
    /// At least one, without leading zeros unless it is a lone `0`.
    pub(super) digits: String,
    pub(super) exponent: i32,
}

/// Largest power of ten that is looked at; far beyond what an `f64` holds, far below an overflow of `i32`.
const FARTHEST: i32 = 1_000_000;

impl Decimal {
    /// Reads the number at the start of the text and returns it with what follows.
    pub(super) fn scan(text: &str) -> Option<(Self, &str)> {
        let (negative, body) = split_sign(text);
        let (whole, after) = split_digits(body);
        let (fraction, after) = match after.strip_prefix('.') {
            Some(tail) => split_digits(tail),
            None => ("", after),
        };
        if whole.is_empty() && fraction.is_empty() {
            return None;
        }
        let (power, rest) = split_exponent(after).unwrap_or((0, after));
        Some((Self::new(negative, whole, fraction, power), rest))
    }

    /// `whole.fraction` times ten to the power `power`; both are digits only.
    pub(super) fn new(negative: bool, whole: &str, fraction: &str, power: i32) -> Self {
        let all = format!("{whole}{fraction}");
        let significant = all.trim_start_matches('0');
        let digits = if significant.is_empty() { "0" } else { significant };
        // The text of a number is far shorter than 2^31 digits; if not, it is out of range anyway.
        let places = i32::try_from(fraction.len()).unwrap_or(FARTHEST);
        Self { negative, digits: digits.to_owned(), exponent: power.saturating_sub(places) }
    }

    /// The fewest digits that still tell this number from every other `f64`.
    pub(super) fn shortest(value: f64) -> Self {
        Self::from_scientific(&format!("{value:e}"))
    }

    /// The number rounded to so many significant digits.
    pub(super) fn rounded(value: f64, significant: usize) -> Self {
        Self::from_scientific(&format!("{value:.*e}", significant.saturating_sub(1)))
    }

    /// Reads what `{:e}` prints of a finite number.
    fn from_scientific(text: &str) -> Self {
        let zero = Self { negative: false, digits: "0".to_owned(), exponent: 0 };
        Self::scan(text).map_or(zero, |(decimal, _)| decimal)
    }

    pub(super) fn is_zero(&self) -> bool {
        self.digits.bytes().all(|digit| digit == b'0')
    }

    /// The power of ten of the first digit: 2 for 470.
    pub(super) fn decade(&self) -> i32 {
        self.exponent.saturating_add(self.count()).saturating_sub(1)
    }

    fn count(&self) -> i32 {
        i32::try_from(self.digits.len()).unwrap_or(FARTHEST)
    }

    /// The number times ten to the power `shift`, correctly rounded.
    pub(super) fn to_f64(&self, shift: i32) -> f64 {
        if self.is_zero() {
            return 0.0;
        }
        let sign = if self.negative { "-" } else { "" };
        let text = format!("{sign}{}e{}", self.digits, self.exponent.saturating_add(shift));
        // Sign, digits and exponent always form a number; what is too large becomes infinite and is refused later.
        text.parse().unwrap_or(f64::NAN)
    }

    /// The number times ten to the power `shift`, as a person writes it.
    pub(super) fn written(&self, shift: i32) -> String {
        let sign = if self.negative { "-" } else { "" };
        let digits = &self.digits;
        let point = self.count().saturating_add(self.exponent).saturating_add(shift);
        let body = if self.is_zero() {
            "0".to_owned()
        } else if !(-6..=15).contains(&point) {
            let (first, others) = digits.split_at(1);
            let point_and = if others.is_empty() { "" } else { "." };
            format!("{first}{point_and}{others}e{}", point.saturating_sub(1))
        } else if point <= 0 {
            format!("0.{}{digits}", "0".repeat(point.unsigned_abs() as usize))
        } else if point >= self.count() {
            format!("{digits}{}", "0".repeat((point - self.count()).unsigned_abs() as usize))
        } else {
            let (whole, fraction) = digits.split_at(point.unsigned_abs() as usize);
            format!("{whole}.{fraction}")
        };
        format!("{sign}{body}")
    }
}

/// Takes the sign off; a typographic minus is as good as a hyphen.
pub(super) fn split_sign(text: &str) -> (bool, &str) {
    if let Some(body) = text.strip_prefix(['-', '\u{2212}']) {
        (true, body)
    } else {
        (false, text.strip_prefix('+').unwrap_or(text))
    }
}

/// Splits after the leading digits.
pub(super) fn split_digits(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text.split_at(end)
}

/// Reads `e-3`; an `e` without digits is no exponent.
fn split_exponent(text: &str) -> Option<(i32, &str)> {
    let (negative, body) = split_sign(text.strip_prefix(['e', 'E'])?);
    let (digits, rest) = split_digits(body);
    if digits.is_empty() {
        return None;
    }
    let power = digits.parse().unwrap_or(FARTHEST).min(FARTHEST);
    Some((if negative { -power } else { power }, rest))
}
