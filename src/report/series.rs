//! Standard values and the neighbours of a value, as data and as text.

use serde::Serialize;

use super::page::{Column, Flush, Page};
use super::words::decimals;
use crate::quantity::{Fraction, Ohms};

/// What was asked about standard series.
#[derive(Clone, Debug, Serialize)]
pub struct SeriesAnswer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: &'static str,
    /// The value whose neighbours were asked for, in ohms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_ohm: Option<f64>,
    /// One answer a series, in the order of the question.
    pub series: Vec<OneSeries>,
}

/// One series.
#[derive(Clone, Debug, Serialize)]
pub struct OneSeries {
    /// Its name.
    pub series: &'static str,
    /// The tolerance that it was made for, a share; null: wider than 20 %.
    pub usual_tolerance: Option<f64>,
    /// What it has to offer.
    #[serde(flatten)]
    pub content: Content,
}

/// What a series has to offer.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Content {
    /// One decade.
    Decade {
        /// From 1 to less than 10.
        decade: Vec<f64>,
        /// Digits behind the point that are usual for this series.
        #[serde(skip)]
        places: usize,
    },
    /// All values between two ends.
    Values {
        /// In ohms.
        values_ohm: Vec<f64>,
    },
    /// The neighbours of a value.
    Neighbours {
        /// The next smaller value.
        below: Option<Neighbour>,
        /// The value itself.
        equal: Option<Neighbour>,
        /// The next larger value.
        above: Option<Neighbour>,
    },
}

/// A standard value next to another value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Neighbour {
    /// In ohms.
    pub ohm: f64,
    /// How far it lies above (positive) or below that value, a share of it.
    pub deviation: f64,
}

/// The answer as text in 80 columns.
pub fn series_text(answer: &SeriesAnswer) -> String {
    let mut page = Page::default();
    if let Some(value) = answer.value_ohm {
        neighbours(&mut page, Ohms(value), &answer.series);
    } else {
        for series in &answer.series {
            values(&mut page, series);
        }
    }
    page.finish()
}

fn values(page: &mut Page, series: &OneSeries) {
    let (count, texts): (usize, Vec<String>) = match &series.content {
        Content::Decade { decade, places } => {
            (decade.len(), decade.iter().map(|value| decimals(*value, *places)).collect())
        }
        Content::Values { values_ohm } => {
            (values_ohm.len(), values_ohm.iter().map(|value| glued(Ohms(*value))).collect())
        }
        Content::Neighbours { .. } => return,
    };
    let kind = if matches!(series.content, Content::Decade { .. }) { "a decade" } else { "in all" };
    let values = if count == 1 { "value" } else { "values" };
    page.heading(&format!("{}: {count} {values} {kind}, made for {}", series.series, tolerance(series)));
    page.paragraph("", &texts.join("  "));
}

/// A quantity that no line break takes apart.
fn glued(value: Ohms) -> String {
    format!("{value:#}").replace(' ', "\u{a0}")
}

fn tolerance(series: &OneSeries) -> String {
    series
        .usual_tolerance
        .map_or_else(|| "wider than ±20 %".to_owned(), |share| format!("±{}", Fraction(share)))
}

fn neighbours(page: &mut Page, value: Ohms, series: &[OneSeries]) {
    use Flush::{Left, Right};
    page.heading(&format!("{value:#} and the standard values next to it"));
    let columns: [Column; 5] =
        [("series", Left), ("made for", Right), ("below", Right), ("equal", Right), ("above", Left)];
    let rows = series.iter().map(|series| {
        let Content::Neighbours { below, equal, above } = &series.content else { return Vec::new() };
        let mut row = vec![series.series.to_owned(), tolerance(series)];
        row.extend([below, equal, above].map(|neighbour| neighbour.map_or_else(|| "-".to_owned(), shown)));
        row
    });
    page.table(&columns, rows.collect());
}

fn shown(neighbour: Neighbour) -> String {
    let value = Ohms(neighbour.ohm);
    if neighbour.deviation == 0.0 {
        return format!("{value:#}");
    }
    format!("{value:#} ({} %)", signed(neighbour.deviation * 100.0))
}

/// With its sign and two decimals.
fn signed(value: f64) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    format!("{sign}{}", decimals(value, 2))
}
