//! What each quantity is called, the units it is read in and the units it is printed in.

use super::decimal::Decimal;

/// How a number with its unit becomes a number of base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Scale {
    /// Times a power of ten.
    Ten(i32),
    /// Pound-force per square inch.
    Psi,
    /// Degrees Fahrenheit to degrees Celsius.
    Fahrenheit,
    /// Kelvin to degrees Celsius.
    Kelvin,
}

use Scale::{Fahrenheit, Kelvin, Psi, Ten};

/// 0.45359237 kg · 9.80665 m/s² / (0.0254 m)²: pound, standard gravity and inch are exact by definition.
const PASCALS_PER_PSI: f64 = 6_894.757_293_168_361;

impl Scale {
    /// The number of base units; infinite if it is too large to be held.
    pub(super) fn apply(self, number: &Decimal) -> f64 {
        match self {
            Ten(exponent) => number.to_f64(exponent),
            Psi => number.to_f64(0) * PASCALS_PER_PSI,
            Fahrenheit => fahrenheit(number).unwrap_or_else(|| (number.to_f64(0) - 32.0) * 5.0 / 9.0),
            Kelvin => kelvin(number).unwrap_or_else(|| number.to_f64(0) - 273.15),
        }
    }
}

/// Degrees Celsius from degrees Fahrenheit with a single rounding; `None` if the number is too long for that.
fn fahrenheit(number: &Decimal) -> Option<f64> {
    let (steps, places) = above(number, 3_200)?;
    let ninths = 10_i128.checked_pow(places)?.checked_mul(9)?;
    Some(steps.checked_mul(5)? as f64 / ninths as f64)
}

/// Degrees Celsius from kelvin with a single rounding; `None` if the number is too long for that.
fn kelvin(number: &Decimal) -> Option<f64> {
    let (steps, places) = above(number, 27_315)?;
    let digits = steps.unsigned_abs().to_string();
    Some(Decimal::new(steps < 0, &digits, "", -i32::try_from(places).ok()?).to_f64(0))
}

/// How far the number lies above so many hundredths, as an integer and its decimal places: 353.15 K is 80 °C exactly,
/// which the difference of two `f64` need not be. `None` if the number is too long for that.
fn above(number: &Decimal, hundredths: i128) -> Option<(i128, u32)> {
    let places = u32::try_from((-number.exponent).max(2)).ok()?;
    let power = u32::try_from(number.exponent.checked_add(i32::try_from(places).ok()?)?).ok()?;
    let steps = number.digits.parse::<i128>().ok()?.checked_mul(10_i128.checked_pow(power)?)?;
    let steps = if number.negative { -steps } else { steps };
    let offset = hundredths.checked_mul(10_i128.checked_pow(places - 2)?)?;
    Some((steps.checked_sub(offset)?, places))
}

/// What a number without a unit means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Bare {
    /// It is counted in this power of ten of the base unit.
    Counts(i32),
    /// 0 is 0 in every unit; anything else is an error.
    OnlyZero,
    /// An error: not even 0 says which temperature is meant.
    Nothing,
}

/// A unit as it is typed, after [`super::spelling::unit`], and what it stands for.
pub(super) type Unit = (&'static str, Scale);

/// All that reading and printing need to know of one quantity.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    /// With its article: `a voltage`.
    pub(super) name: &'static str,
    /// The name with an example: `a voltage such as 3.3 V`.
    pub(super) expected: &'static str,
    /// Units that are read.
    pub(super) units: &'static [Unit],
    /// Letters that stand for unit or prefix and decimal point, IEC 60062.
    pub(super) letters: &'static [(char, i32)],
    /// The unit symbol that may follow a letter code.
    pub(super) symbol: &'static str,
    /// Units that are printed, the largest first.
    pub(super) printed: &'static [(i32, &'static str)],
    /// The unit that is printed behind 0.
    pub(super) base: &'static str,
    /// What a number alone means.
    pub(super) bare: Bare,
    /// Whether values below 0 exist.
    pub(super) signed: bool,
}

const OHM_UNITS: [Unit; 11] = [
    ("mΩ", Ten(-3)),
    ("Ω", Ten(0)),
    ("kΩ", Ten(3)),
    ("KΩ", Ten(3)),
    ("MΩ", Ten(6)),
    ("GΩ", Ten(9)),
    ("R", Ten(0)),
    ("k", Ten(3)),
    ("K", Ten(3)),
    ("M", Ten(6)),
    ("G", Ten(9)),
];

/// Resistances among which a milliohm is no slip of the shift key.
pub(super) const SMALL_RESISTANCE: Kind = Kind {
    name: "a resistance",
    expected: "a resistance such as 0.5 Ω or 50 mΩ",
    units: &OHM_UNITS,
    letters: &[('R', 0), ('k', 3), ('K', 3), ('M', 6), ('G', 9)],
    symbol: "Ω",
    printed: &[(9, "GΩ"), (6, "MΩ"), (3, "kΩ"), (0, "Ω")],
    base: "Ω",
    bare: Bare::Counts(0),
    signed: false,
};

pub(super) const RESISTANCE: Kind = Kind {
    expected: "a resistance such as 4.7 kΩ or 4k7",
    units: OHM_UNITS.split_at(1).1,
    ..SMALL_RESISTANCE
};

/// What most quantities have in common.
const PLAIN: Kind = Kind {
    name: "",
    expected: "",
    units: &[],
    letters: &[],
    symbol: "",
    printed: &[],
    base: "",
    bare: Bare::Counts(0),
    signed: true,
};

pub(super) const VOLTAGE: Kind = Kind {
    name: "a voltage",
    expected: "a voltage such as 3.3 V",
    units: &[("V", Ten(0)), ("mV", Ten(-3)), ("µV", Ten(-6)), ("kV", Ten(3))],
    printed: &[(3, "kV"), (0, "V"), (-3, "mV"), (-6, "µV")],
    base: "V",
    ..PLAIN
};

pub(super) const CURRENT: Kind = Kind {
    name: "a current",
    expected: "a current such as 20 mA",
    units: &[("A", Ten(0)), ("mA", Ten(-3)), ("µA", Ten(-6)), ("nA", Ten(-9)), ("kA", Ten(3))],
    printed: &[(3, "kA"), (0, "A"), (-3, "mA"), (-6, "µA"), (-9, "nA")],
    base: "A",
    ..PLAIN
};

pub(super) const POWER: Kind = Kind {
    name: "a power",
    expected: "a power such as 125 mW",
    units: &[("W", Ten(0)), ("mW", Ten(-3)), ("µW", Ten(-6)), ("nW", Ten(-9)), ("kW", Ten(3))],
    printed: &[(3, "kW"), (0, "W"), (-3, "mW"), (-6, "µW"), (-9, "nW")],
    base: "W",
    signed: false,
    ..PLAIN
};

pub(super) const ENERGY: Kind = Kind {
    name: "an energy",
    printed: &[(0, "J"), (-3, "mJ"), (-6, "µJ"), (-9, "nJ")],
    base: "J",
    signed: false,
    ..PLAIN
};

pub(super) const CAPACITANCE: Kind = Kind {
    name: "a capacitance",
    expected: "a capacitance such as 33 nF or 4n7",
    units: &[
        ("F", Ten(0)),
        ("mF", Ten(-3)),
        ("µF", Ten(-6)),
        ("nF", Ten(-9)),
        ("pF", Ten(-12)),
        ("µ", Ten(-6)),
        ("n", Ten(-9)),
        ("p", Ten(-12)),
    ],
    letters: &[('µ', -6), ('u', -6), ('n', -9), ('p', -12)],
    symbol: "F",
    printed: &[(0, "F"), (-6, "µF"), (-9, "nF"), (-12, "pF")],
    base: "F",
    signed: false,
    ..PLAIN
};

pub(super) const TIME: Kind = Kind {
    name: "a time",
    expected: "a time such as 2.5 s or 12 µs",
    units: &[("s", Ten(0)), ("ms", Ten(-3)), ("µs", Ten(-6)), ("ns", Ten(-9))],
    printed: &[(0, "s"), (-3, "ms"), (-6, "µs"), (-9, "ns")],
    base: "s",
    signed: false,
    ..PLAIN
};

pub(super) const SHARE: Kind = Kind {
    name: "a share",
    expected: "a share such as 1 %",
    units: &[("%", Ten(-2))],
    printed: &[(-2, "%")],
    base: "%",
    bare: Bare::OnlyZero,
    ..PLAIN
};

pub(super) const CHANGE_PER_KELVIN: Kind = Kind {
    name: "a change with temperature",
    expected: "a change with temperature such as 100 ppm/K",
    units: &[
        ("ppm/K", Ten(-6)),
        ("ppm/°C", Ten(-6)),
        ("ppm/C", Ten(-6)),
        ("%/K", Ten(-2)),
        ("%/°C", Ten(-2)),
        ("%/C", Ten(-2)),
    ],
    printed: &[(-6, "ppm/K")],
    base: "ppm/K",
    bare: Bare::Counts(-6),
    ..PLAIN
};

pub(super) const POWER_PER_KELVIN: Kind = Kind {
    name: "a dissipation for each kelvin",
    expected: "a dissipation for each kelvin such as 2 mW/K",
    units: &[
        ("W/K", Ten(0)),
        ("mW/K", Ten(-3)),
        ("µW/K", Ten(-6)),
        ("W/°C", Ten(0)),
        ("mW/°C", Ten(-3)),
        ("µW/°C", Ten(-6)),
        ("W/C", Ten(0)),
        ("mW/C", Ten(-3)),
        ("µW/C", Ten(-6)),
    ],
    printed: &[(0, "W/K"), (-3, "mW/K"), (-6, "µW/K")],
    base: "W/K",
    signed: false,
    ..PLAIN
};

pub(super) const TEMPERATURE: Kind = Kind {
    name: "a temperature",
    expected: "a temperature such as 80 °C",
    units: &[
        ("°C", Ten(0)),
        ("C", Ten(0)),
        ("degC", Ten(0)),
        ("°F", Fahrenheit),
        ("F", Fahrenheit),
        ("degF", Fahrenheit),
        ("K", Kelvin),
    ],
    printed: &[(0, "°C")],
    base: "°C",
    bare: Bare::Nothing,
    ..PLAIN
};

pub(super) const PRESSURE: Kind = Kind {
    name: "a pressure",
    expected: "a pressure such as 2 bar",
    units: &[
        ("Pa", Ten(0)),
        ("hPa", Ten(2)),
        ("kPa", Ten(3)),
        ("MPa", Ten(6)),
        ("bar", Ten(5)),
        ("mbar", Ten(2)),
        ("psi", Psi),
    ],
    printed: &[(5, "bar")],
    base: "bar",
    ..PLAIN
};

pub(super) const STEPS: Kind = Kind {
    name: "a number of counts",
    expected: "a number of counts such as 2 counts",
    units: &[("counts", Ten(0)), ("count", Ten(0))],
    printed: &[(0, "counts")],
    base: "counts",
    ..PLAIN
};

/// All kinds, to name what a unit would be right for; `F` is the farad first, a temperature without its sign second.
const ALL: [&Kind; 12] = [
    &RESISTANCE,
    &VOLTAGE,
    &CURRENT,
    &POWER,
    &CAPACITANCE,
    &TIME,
    &SHARE,
    &CHANGE_PER_KELVIN,
    &POWER_PER_KELVIN,
    &TEMPERATURE,
    &PRESSURE,
    &STEPS,
];

impl Kind {
    /// What the unit stands for.
    pub(super) fn scale(&self, unit: &str) -> Option<Scale> {
        self.units.iter().find(|(name, _)| *name == unit).map(|(_, scale)| *scale)
    }

    /// Whether this is a prefix without a unit, like the `k` of `47k`.
    pub(super) fn is_multiplier(&self, unit: &str) -> bool {
        let mut letters = unit.chars();
        matches!((letters.next(), letters.next()), (Some(letter), None) if self.multiplies(letter))
    }

    /// Whether the letter alone is a prefix of this quantity.
    pub(super) fn multiplies(&self, letter: char) -> bool {
        self.letters.iter().any(|(known, exponent)| *known == letter && *exponent != 0)
    }

    /// The name of the quantity that has this unit.
    pub(super) fn named_by(unit: &str) -> Option<&'static str> {
        ALL.iter().find(|kind| kind.scale(unit).is_some() && !kind.is_multiplier(unit)).map(|kind| kind.name)
    }
}
