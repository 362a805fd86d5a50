//! Numbers for sentences.

/// Two significant digits.
pub(super) fn rounded(number: f64) -> f64 {
    format!("{number:.1e}").parse().unwrap_or(number)
}

/// A value with as many digits as show a thousandth of the span that it stands in.
pub(super) fn within(value: f64, span: f64, unit: &str) -> String {
    let step = 10_f64.powf((span / 1000.0).log10().floor());
    let places = (-step.log10()).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.places$}");
    // What rounds to 0 has no sign.
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    format!("{} {unit}", if is_zero { text.trim_start_matches('-') } else { &text })
}

/// Two significant digits, not less than the number.
pub(super) fn rounded_up(number: f64) -> f64 {
    if !(number.is_finite() && number > 0.0) {
        return number;
    }
    let unit = 10_f64.powf(number.log10().floor() - 1.0);
    // What is a multiple but for rounding stays what it is.
    let steps = (number / unit - 1e-9).ceil();
    format!("{:.1e}", steps * unit).parse().unwrap_or(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_up_never_makes_less() {
        assert_eq!(rounded_up(0.031_01), 0.032);
        assert_eq!(rounded_up(0.031), 0.031);
        assert_eq!(rounded_up(9.91), 10.0);
        assert_eq!(rounded_up(0.0), 0.0);
        assert_eq!(rounded(0.0349), 0.035);
        assert_eq!(within(53.135_71, 60.0, "°C"), "53.14 °C");
        assert_eq!(within(-0.4, 5000.0, "L"), "0 L");
    }
}
