//! Quantity to text.

use std::fmt;

use super::decimal::Decimal;
use super::kind::{self, Kind};
use super::{
    Amperes, Celsius, Counts, Farads, Fraction, Joules, Ohms, Pascals, PerKelvin, Seconds, Volts, Watts,
    WattsPerKelvin,
};

/// As many digits as a person reads at a glance.
const SIGNIFICANT: i32 = 4;
/// More decimal digits than this an `f64` does not hold for certain.
const HELD: i32 = 15;

macro_rules! print_as_text {
    ($($name:ident: $kind:ident,)*) => {$(
        /// Four significant digits and a prefix; `{:#}` gives all digits, so that the text reads back as the same
        /// value. A width is respected, a precision is not.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let text = text(self.0, &kind::$kind, f.alternate());
                // `pad` would take a precision as leave to cut the text off.
                if f.precision().is_some() { f.write_str(&text) } else { f.pad(&text) }
            }
        }
    )*};
}

print_as_text! {
    Ohms: RESISTANCE,
    Volts: VOLTAGE,
    Amperes: CURRENT,
    Watts: POWER,
    Joules: ENERGY,
    Farads: CAPACITANCE,
    Seconds: TIME,
    Fraction: SHARE,
    PerKelvin: CHANGE_PER_KELVIN,
    WattsPerKelvin: POWER_PER_KELVIN,
    Celsius: TEMPERATURE,
    Pascals: PRESSURE,
    Counts: STEPS,
}

fn text(value: f64, kind: &Kind, every_digit: bool) -> String {
    if value.is_nan() {
        return "undefined".to_owned();
    }
    if value.is_infinite() {
        return if value > 0.0 { "unlimited" } else { "-unlimited" }.to_owned();
    }
    if value == 0.0 {
        return format!("0 {}", kind.base);
    }
    let shortest = Decimal::shortest(value);
    let decimal = if every_digit { shortest } else { rounded(value, shortest, kind) };
    // Only now, since rounding may reach the next prefix: 999.96 Ω is 1.000 kΩ.
    let (exponent, unit) = printed_unit(&decimal, kind);
    let number = decimal.written(-exponent);
    let unit = if unit == "counts" && number.trim_start_matches('-') == "1" { "count" } else { unit };
    format!("{number} {unit}")
}

/// Four significant digits, but no digit before the decimal point is lost: 65535 counts stay 65535 counts.
/// A number that needs no rounding keeps its few digits, so that 1 kΩ and 1.000 kΩ differ.
fn rounded(value: f64, shortest: Decimal, kind: &Kind) -> Decimal {
    let (exponent, _) = printed_unit(&shortest, kind);
    let whole = shortest.decade() - exponent + 1;
    let significant = whole.clamp(SIGNIFICANT, HELD).unsigned_abs() as usize;
    if shortest.digits.len() <= significant { shortest } else { Decimal::rounded(value, significant) }
}

/// The largest unit of which there is at least one, else the smallest.
fn printed_unit(decimal: &Decimal, kind: &Kind) -> (i32, &'static str) {
    let fitting = kind.printed.iter().find(|(exponent, _)| *exponent <= decimal.decade());
    fitting.or(kind.printed.last()).copied().unwrap_or((0, kind.base))
}
