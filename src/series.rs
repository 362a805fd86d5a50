//! The standard series of IEC 60063, alone and joined.
//!
//! A value is held as an integer of three digits and a power of ten until it becomes ohms, so that 11.3 kΩ is 11300 Ω
//! exactly.

use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use crate::quantity::{Band, Fraction, Ohms};

/// IEC 60063:2015, tables 1 and 2: `series,value`, one decade from 1.00 to 9.99 each.
const TABLE: &str = include_str!("../e-series/e-series.csv");

/// Powers of ten of the values that are offered: 100 times ten to the power −8 is 1 µΩ, to the power 10 it is 1 TΩ.
const POWERS: std::ops::RangeInclusive<i32> = -8..=10;

/// A series of IEC 60063; its number is the number of values in a decade. Coarser series come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Series {
    /// 3 values in a decade.
    E3,
    /// 6 values in a decade.
    E6,
    /// 12 values in a decade.
    E12,
    /// 24 values in a decade.
    E24,
    /// 48 values in a decade.
    E48,
    /// 96 values in a decade.
    E96,
    /// 192 values in a decade.
    E192,
}

impl Series {
    /// All series, the coarsest first.
    pub const ALL: [Self; 7] = [Self::E3, Self::E6, Self::E12, Self::E24, Self::E48, Self::E96, Self::E192];

    /// The name in the standard.
    pub const fn name(self) -> &'static str {
        match self {
            Self::E3 => "E3",
            Self::E6 => "E6",
            Self::E12 => "E12",
            Self::E24 => "E24",
            Self::E48 => "E48",
            Self::E96 => "E96",
            Self::E192 => "E192",
        }
    }

    /// The number of values in a decade.
    pub const fn values_per_decade(self) -> u32 {
        3 << self as u32
    }

    /// The tolerance that the series was made for, so that neighbouring values just meet; E3 is for anything wider than
    /// 20 %. Common practice: parts are sold closer than their series, seldom wider.
    pub const fn usual_tolerance(self) -> Option<Fraction> {
        match self {
            Self::E3 => None,
            Self::E6 => Some(Fraction(0.2)),
            Self::E12 => Some(Fraction(0.1)),
            Self::E24 => Some(Fraction(0.05)),
            Self::E48 => Some(Fraction(0.02)),
            Self::E96 => Some(Fraction(0.01)),
            Self::E192 => Some(Fraction(0.005)),
        }
    }

    /// The number of digits that tell values of the series apart: two up to E24, three from E48 on.
    pub const fn counting_digits(self) -> usize {
        if (self as u32) <= Self::E24 as u32 { 2 } else { 3 }
    }
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Why a text names no series.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found {found}, expected {expected}")]
pub struct ParseSeriesError {
    /// What stands there.
    pub found: String,
    /// The series there are, or the one that must be meant.
    pub expected: String,
}

impl FromStr for Series {
    type Err = ParseSeriesError;

    /// Reads `E24`; a small `e` will do.
    fn from_str(text: &str) -> Result<Self, ParseSeriesError> {
        let text = text.trim();
        let known = Self::ALL.into_iter().find(|series| series.name().eq_ignore_ascii_case(text));
        known.ok_or_else(|| ParseSeriesError {
            found: if text.is_empty() { "nothing".to_owned() } else { format!("`{}`", text.escape_debug()) },
            expected: match near_miss(text) {
                Some(series) => format!("E3, E6, E12, E24, E48, E96 or E192; {series} is the nearest"),
                None => "E3, E6, E12, E24, E48, E96 or E192".to_owned(),
            },
        })
    }
}

/// The series whose number is nearest to the one in the text: `24`, `E-24`, `E 24`, `E25`.
fn near_miss(text: &str) -> Option<Series> {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let number: u32 = digits.parse().ok()?;
    Series::ALL.into_iter().min_by_key(|series| series.values_per_decade().abs_diff(number))
}

/// A value on offer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Preferred {
    /// Its value.
    pub ohms: Ohms,
    /// The coarsest of the asked series that has it; `None`: none has it, which only a stock file can bring.
    pub series: Option<Series>,
}

impl Preferred {
    /// What the coarsest of all series makes of a value.
    pub fn of(ohms: Ohms) -> Self {
        Self { ohms, series: neighbours(&Series::ALL, ohms).exact.and_then(|exact| exact.series) }
    }

    /// How fine the series is, from 0 for the coarsest: what no series has is rarest and comes last.
    pub fn fineness(&self) -> usize {
        self.series.map_or(Series::ALL.len(), |series| series as usize)
    }
}

/// One decade of a series, ascending, as integers from 100 to 999: 4.7 is 470.
pub fn list(series: Series) -> &'static [u16] {
    static DECADES: LazyLock<[Vec<u16>; 7]> = LazyLock::new(|| Series::ALL.map(read_decade));
    &DECADES[series as usize]
}

/// The rows of one series. The table is part of the program; its tests count the rows that could be read.
fn read_decade(series: Series) -> Vec<u16> {
    let rows = TABLE.lines().filter_map(|row| row.split_once(','));
    rows.filter(|(name, _)| *name == series.name())
        .filter_map(|(_, value)| value.trim().replace('.', "").parse().ok())
        .collect()
}

/// One decade of several series: ascending, without doubles, each value with the coarsest series that has it.
fn joined(series: &[Series]) -> Vec<(u16, Series)> {
    let mut coarsest: [Option<Series>; 1000] = [None; 1000];
    for &series in series {
        for &digits in list(series) {
            let known = &mut coarsest[usize::from(digits)];
            *known = Some(known.map_or(series, |other| other.min(series)));
        }
    }
    (0..).zip(coarsest).filter_map(|(digits, series)| Some((digits, series?))).collect()
}

/// A function that gives `digits` times ten to the power `power`. Both factors are exact, so one operation rounds
/// correctly.
fn scaled_by(power: i32) -> impl Fn(u16) -> Ohms {
    let factor = 10_f64.powi(power.abs());
    move |digits| Ohms(if power < 0 { f64::from(digits) / factor } else { f64::from(digits) * factor })
}

/// The values of the series between two ends, both included: ascending, without doubles.
///
/// Values from 1 µΩ up to, but not including, 10 TΩ are offered; a band that starts at 0 starts at the least of them.
pub fn candidates(series: &[Series], between: Band<Ohms>) -> Vec<Preferred> {
    let decade = joined(series);
    let mut values = Vec::new();
    for power in POWERS {
        let ohms = scaled_by(power);
        if ohms(100) <= between.highest && between.lowest < ohms(1000) {
            let whole_decade =
                decade.iter().map(|&(digits, series)| Preferred { ohms: ohms(digits), series: Some(series) });
            values.extend(whole_decade);
        }
    }
    values.retain(|preferred| between.holds(preferred.ohms));
    values
}

/// Where a value stands in a series.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Neighbours {
    /// The next smaller standard value.
    pub below: Option<Preferred>,
    /// The value itself, if it is a standard one.
    pub exact: Option<Preferred>,
    /// The next larger standard value.
    pub above: Option<Preferred>,
}

/// The standard values next to a value, which must be more than 0 and finite; else there are none.
pub fn neighbours(series: &[Series], of: Ohms) -> Neighbours {
    if !(of.0 > 0.0 && of.0.is_finite()) {
        return Neighbours::default();
    }
    // No series has gaps wider than a factor of 2.2.
    let around = candidates(series, Band { lowest: of / 3.0, highest: of * 3.0 });
    let below = around.iter().rev().find(|preferred| preferred.ohms < of);
    let exact = around.iter().find(|preferred| preferred.ohms == of);
    let above = around.iter().find(|preferred| preferred.ohms > of);
    Neighbours { below: below.copied(), exact: exact.copied(), above: above.copied() }
}

/// How far a value lies above (positive) or below another, as a share of the other.
pub fn deviation(of: Ohms, from: Ohms) -> Fraction {
    Fraction((of - from) / from)
}
