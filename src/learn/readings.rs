//! Readings: what was read off the thermometer and the ohmmeter, row by row.

use crate::quantity::{Celsius, Fraction, Ohms, Quantity};

/// The most readings that are learned from: each is left out once, and a person has to look at the rows.
pub const MOST: usize = 500;

/// What a meter may be off, the half width of its band: meters are specified as `1 % + 2 Ω`, which is one limit, the sum
/// of both parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeterAccuracy {
    /// The share of the reading.
    pub share: Fraction,
    /// What is added whatever is read.
    pub fixed: Ohms,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The row, counted from 1 without the header.
    pub row: usize,
    /// The line of the file, where a row has a line of its own.
    pub line: Option<usize>,
    /// The value, in the unit of the readings.
    pub value: f64,
    /// The resistance that was measured there.
    pub resistance: Ohms,
    /// How far the value may be off, in the unit.
    pub value_accuracy: Option<f64>,
    /// How far the resistance may be off.
    pub meter: Option<MeterAccuracy>,
}

impl Reading {
    /// The row as messages name it: `row 4 (line 7)`.
    pub fn name(&self) -> String {
        match self.line {
            Some(line) => format!("row {} (line {line})", self.row),
            None => format!("row {}", self.row),
        }
    }

    /// Where it stands, in one word and a number: `line 7`, or `row 4` where it has no line of its own.
    fn place(&self) -> String {
        self.line.map_or_else(|| format!("row {}", self.row), |line| format!("line {line}"))
    }
}

/// Readings of one sender: at least two rows, values rising, resistances rising or falling all the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    unit: String,
    rows: Vec<Reading>,
    /// What was converted or taken for granted while the readings were read.
    pub remarks: Vec<String>,
}

/// Why rows are no readings of a sender.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found {found}; expected {expected}")]
pub struct Disorder {
    /// The row at which it shows, counted from 0.
    pub at: usize,
    /// What is wrong with it.
    pub found: String,
    /// What would settle it.
    pub expected: String,
}

impl Readings {
    /// Checks the order of the rows.
    ///
    /// # Errors
    /// With every row that is out of order, repeats a value, turns back or stands still; or when there are fewer than
    /// two rows or more than [`MOST`].
    pub fn new(unit: impl Into<String>, rows: Vec<Reading>) -> Result<Self, Vec<Disorder>> {
        let unit = unit.into();
        let disorder = disorder(&unit, &rows);
        if disorder.is_empty() { Ok(Self { unit, rows, remarks: Vec::new() }) } else { Err(disorder) }
    }

    /// The unit of the values.
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// The rows, by rising value.
    pub fn rows(&self) -> &[Reading] {
        &self.rows
    }

    /// The value of the first row.
    pub fn lowest(&self) -> f64 {
        self.rows[0].value
    }

    /// The value of the last row.
    pub fn highest(&self) -> f64 {
        self.rows[self.rows.len() - 1].value
    }
}

/// Scales of temperature: what a unit of the values means in kelvin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// °C.
    Celsius,
    /// °F.
    Fahrenheit,
    /// K.
    Kelvin,
}

impl Scale {
    /// The scale of a unit in any of its spellings; `None` if the unit is none of temperature.
    pub fn of(unit: &str) -> Option<Self> {
        // 0 °F is −17.8 °C and 0 K is −273.15 °C, by definition.
        let Celsius(zero) = Celsius::parse(&format!("0 {unit}")).ok()?;
        Some(match zero {
            0.0 => Self::Celsius,
            below if below > -100.0 => Self::Fahrenheit,
            _ => Self::Kelvin,
        })
    }

    /// The usual sign.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::Kelvin => "K",
        }
    }

    /// 0 of the unit in kelvin, and the size of one step.
    pub const fn zero_and_step(self) -> (f64, f64) {
        match self {
            Self::Celsius => (273.15, 1.0),
            Self::Fahrenheit => (459.67 * 5.0 / 9.0, 5.0 / 9.0),
            Self::Kelvin => (0.0, 1.0),
        }
    }

    /// A value in kelvin.
    pub fn kelvin(self, value: f64) -> f64 {
        let (zero, step) = self.zero_and_step();
        zero + step * value
    }

    /// Kelvin as a value.
    pub fn value(self, kelvin: f64) -> f64 {
        let (zero, step) = self.zero_and_step();
        (kelvin - zero) / step
    }

    /// What the number would be if it stood on the other common scale: °F among °C, or °C among °F.
    pub fn unmarked(self, value: f64) -> Option<(f64, Self)> {
        match self {
            Self::Celsius => Some((self.value(Self::Fahrenheit.kelvin(value)), Self::Fahrenheit)),
            Self::Fahrenheit => Some((self.value(Self::Celsius.kelvin(value)), Self::Celsius)),
            Self::Kelvin => None,
        }
    }
}

/// A value as messages show it: a converted one may have many digits.
pub(crate) fn shown(value: f64, unit: &str) -> String {
    format!("{} {unit}", (value * 1e4).round() / 1e4).trim_end().to_owned()
}

/// Everything that keeps rows from being a curve. Rows that cannot be compared with the one before are not.
pub(crate) fn disorder(unit: &str, rows: &[Reading]) -> Vec<Disorder> {
    if rows.len() < 2 {
        let found = if rows.is_empty() { "no readings".to_owned() } else { "one reading".to_owned() };
        let expected = "two readings at least, at both ends of what matters".to_owned();
        return vec![Disorder { at: 0, found, expected }];
    }
    if rows.len() > MOST {
        let found = format!("{} readings", rows.len());
        let expected = format!("at most {MOST}: leave out rows, such as all but every tenth");
        return vec![Disorder { at: MOST, found, expected }];
    }
    if rows.windows(2).all(|pair| pair[1].value < pair[0].value) {
        let found = "rows in falling order of their values".to_owned();
        let expected = "rows in rising order: turn the list round".to_owned();
        return vec![Disorder { at: 1, found, expected }];
    }
    let misplaced: Vec<Disorder> = (1..rows.len()).filter_map(|at| out_of_order(unit, rows, at)).collect();
    // Where a row stands in the wrong place, nothing can be said of the way that the resistance takes.
    if !misplaced.is_empty() {
        return misplaced;
    }
    let rising = rows[rows.len() - 1].resistance > rows[0].resistance;
    (1..rows.len()).filter_map(|at| turning_back(rows, at, rising)).collect()
}

fn out_of_order(unit: &str, rows: &[Reading], at: usize) -> Option<Disorder> {
    let (before, row) = (&rows[at - 1], &rows[at]);
    let (value, resistance) = (shown(row.value, unit), row.resistance);
    let disorder = |found: String, expected: String| Some(Disorder { at, found, expected });
    if row.value == before.value {
        let found = format!(
            "{} with {value} and {resistance:#}, the value of {} with {:#}",
            row.name(),
            before.name(),
            before.resistance
        );
        return disorder(found, one_of_both(before, row));
    }
    if row.value < before.value {
        let found = format!(
            "{}: {value} comes after {} ({})",
            row.place(),
            shown(before.value, unit),
            before.place()
        );
        let mut expected = "rows in rising order of their values".to_owned();
        if let Some(hint) = unmarked(unit, rows, at) {
            expected = format!("{expected}; {hint}");
        }
        return disorder(found, expected);
    }
    None
}

/// Where the resistance does not go on in its direction.
fn turning_back(rows: &[Reading], at: usize, rising: bool) -> Option<Disorder> {
    let (before, row) = (&rows[at - 1], &rows[at]);
    if row.resistance != before.resistance && (row.resistance > before.resistance) == rising {
        return None;
    }
    let odd = if row.resistance == before.resistance { "stands still" } else { "turns back" };
    let found = format!(
        "{}: {:#} comes after {:#} ({}): the curve {odd}",
        row.place(),
        row.resistance,
        before.resistance,
        before.place()
    );
    let way = if rising { "rises" } else { "falls" };
    let expected = format!(
        "a resistance that {way} all the way, or no value could be told from it: measure both rows again, or leave out \
         the one that is wrong"
    );
    Some(Disorder { at, found, expected })
}

/// What settles two readings of one value.
fn one_of_both(a: &Reading, b: &Reading) -> String {
    let mean = (a.resistance + b.resistance) * 0.5;
    let apart = (a.resistance - b.resistance).abs();
    let width =
        |reading: &Reading| reading.meter.map(|meter| reading.resistance * meter.share.0 + meter.fixed);
    match (width(a), width(b)) {
        _ if apart == Ohms(0.0) => "one row for each value: leave one out".to_owned(),
        (Some(first), Some(second)) if apart <= first + second => {
            format!("one row for each value: they agree within their accuracy, so take the mean, {mean}")
        }
        (Some(_), Some(_)) => {
            "one row for each value: they contradict each other beyond their accuracy, so measure \
                               once more and leave out the wrong one"
                .to_owned()
        }
        _ => format!(
            "one row for each value: the mean, {mean}, if both are right; the accuracy of the meter tells whether they \
             can be"
        ),
    }
}

/// Whether the row before would stand in its place on the other scale of temperature.
fn unmarked(unit: &str, rows: &[Reading], at: usize) -> Option<String> {
    let (scale, before) = (Scale::of(unit)?, &rows[at - 1]);
    let (converted, other) = scale.unmarked(before.value)?;
    let fits = converted < rows[at].value && at.checked_sub(2).is_none_or(|i| rows[i].value < converted);
    fits.then(|| {
        format!(
            "{} would fit as {}, which is {}: if that is meant, write its unit",
            before.name(),
            shown(before.value, other.sign()),
            shown((converted * 10.0).round() / 10.0, unit)
        )
    })
}
