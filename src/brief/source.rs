//! Where the values of parts come from: standard series or a stock file.

use std::sync::Arc;

use itertools::Itertools;

use super::reader::band_text;
use super::words::counted;
use crate::board::{Grade, Reel, StockFile};
use crate::quantity::{Band, Ohms};
use crate::series::{Preferred, Series, candidates, neighbours};

/// Where values come from.
#[derive(Clone, Debug)]
pub(super) enum Source {
    /// Standard series.
    Series(Vec<Series>),
    /// A stock file: nothing else can be had.
    Stock(Arc<StockFile>),
}

/// Why there is nothing to choose from: what was found and what would be right.
pub(super) type Nothing = (String, String);

impl Source {
    /// The stock file, if it is one.
    pub(super) fn stock(&self) -> Option<Arc<StockFile>> {
        match self {
            Self::Series(_) => None,
            Self::Stock(file) => Some(Arc::clone(file)),
        }
    }

    /// The values between two ends that serve a part of a grade: ascending, without doubles, never empty. Without ends all
    /// of a stock file are meant.
    ///
    /// # Errors
    /// When there are none.
    pub(super) fn offers(
        &self,
        between: Option<Band<Ohms>>,
        grade: &Grade,
    ) -> Result<Vec<Preferred>, Nothing> {
        let between = between.unwrap_or(ANY);
        match self {
            Self::Series(series) => of_series(series, between),
            Self::Stock(file) => of_stock(file, between, grade),
        }
    }
}

/// Everything but a link of 0 Ω, which nobody chooses.
const ANY: Band<Ohms> = Band { lowest: Ohms(f64::MIN_POSITIVE), highest: Ohms(f64::MAX) };

fn of_series(series: &[Series], between: Band<Ohms>) -> Result<Vec<Preferred>, Nothing> {
    let candidates = candidates(series, between);
    if !candidates.is_empty() {
        return Ok(candidates);
    }
    let names: Vec<&str> = series.iter().map(|series| series.name()).collect();
    let near = neighbours(series, between.lowest);
    let near = [near.below, near.above].into_iter().flatten().map(|near| near.ohms);
    Err(out_of_range(between, &names.join(" and "), near))
}

fn out_of_range(between: Band<Ohms>, of: &str, near: impl Iterator<Item = Ohms>) -> Nothing {
    let near: Vec<String> = near.map(|ohms| format!("{ohms:#}")).collect();
    let are = if near.len() == 1 { "is" } else { "are" };
    (
        format!("{} with no value of {of} in it", band_text(&between)),
        format!("a range with a value in it; the nearest {are} {}", near.join(" and ")),
    )
}

fn of_stock(file: &StockFile, between: Band<Ohms>, grade: &Grade) -> Result<Vec<Preferred>, Nothing> {
    let inside = || file.reels.iter().filter(|reel| between.holds(reel.ohms));
    let serving = inside().filter(|reel| reel.serves(grade)).map(|reel| reel.ohms);
    let values = serving.sorted_by(|a, b| a.0.total_cmp(&b.0)).dedup().map(Preferred::of).collect_vec();
    if !values.is_empty() {
        return Ok(values);
    }
    let inside: Vec<&Reel> = inside().collect();
    if !inside.is_empty() {
        return Err(none_serves(file, &inside, grade));
    }
    let ohms = || file.reels.iter().map(|reel| reel.ohms).filter(|ohms| *ohms > Ohms(0.0));
    let below = ohms().filter(|ohms| *ohms < between.lowest).reduce(Ohms::max);
    let above = ohms().filter(|ohms| *ohms > between.highest).reduce(Ohms::min);
    let near: Vec<Ohms> = below.into_iter().chain(above).collect();
    if near.is_empty() {
        let expected = "a row with a resistance above 0 Ω".to_owned();
        return Err((format!("{}, in which nothing is but links of 0 Ω", file.name), expected));
    }
    Err(out_of_range(between, &file.name, near.into_iter()))
}

fn none_serves(file: &StockFile, rows: &[&Reel], grade: &Grade) -> Nothing {
    let wide = |reel: &Reel| reel.tolerance.unwrap_or_default().0;
    let nearest = rows
        .iter()
        .min_by(|a, b| a.shortcomings(grade).cmp(&b.shortcomings(grade)).then(wide(a).total_cmp(&wide(b))));
    let nearest = nearest.map(|reel| format!("; the nearest is line {}: {}", reel.line, said(reel)));
    let rows = counted(rows.len(), "row has", "rows have");
    let asked = format!(
        "±{:#}, {:#}, {:#} and {:#}",
        grade.tolerance, grade.tempco, grade.rating, grade.working_voltage
    );
    (
        format!("no row of {} that serves ({rows} a value in the range)", file.name),
        format!("a row at least as good as the part: {asked}{}", nearest.unwrap_or_default()),
    )
}

/// A row in words.
fn said(reel: &Reel) -> String {
    let tolerance = reel.tolerance.map(|tolerance| format!("±{tolerance:#}"));
    let tempco = reel.tempco.map(|tempco| format!("{tempco:#}"));
    let size = reel.size.map(|size| format!("{} ({:#}, {:#})", size.name, size.rating, size.working_voltage));
    [Some(format!("{:#}", reel.ohms)), tolerance, tempco, size].into_iter().flatten().join(", ")
}
