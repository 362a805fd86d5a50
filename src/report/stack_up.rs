//! What a reading is worth: the three views side by side, random boards, and which source does what.

use super::page::Flush::{Left, Right};
use super::page::Page;
use super::words::{digits, grouped, percent, places_for, plain, quantity, readings, rounded, value};
use crate::answer::{
    Checkpoint, GreatestError, Histogram, InputAnswer, MonteCarlo, RankedRow, ReadingBand, SourceName,
    SourceRow, Yield,
};

/// Sources that are listed; what is left does less than any of them.
const LISTED: usize = 12;

/// Everything about the stack-up of one input.
pub(super) fn section(page: &mut Page, input: &InputAnswer) {
    let Some(stack_up) = &input.stack_up else { return };
    let unit = &input.unit;
    let off = |error: GreatestError| {
        format!("±{} at {}", value(rounded(error.greatest), unit), plain(rounded(error.at)))
    };
    let mut rows = vec![
        ("worst case", off(stack_up.life.worst_case), off(stack_up.bench.worst_case)),
        (
            "root sum of squares, 95 %",
            off(stack_up.life.root_sum_of_squares),
            off(stack_up.bench.root_sum_of_squares),
        ),
    ];
    if let Some((life, bench)) = stack_up.life.monte_carlo.zip(stack_up.bench.monte_carlo) {
        let off = |greatest: f64| format!("±{}", value(rounded(greatest), unit));
        rows.push(("95 % of random boards keep", off(life.greatest), off(bench.greatest)));
    }
    let columns = [("greatest error", Left), ("in life", Left), ("new, on the bench", Left)];
    let rows = rows.into_iter().map(|(view, life, bench)| vec![view.to_owned(), life, bench]);
    page.table(&columns, rows.collect());
    views(page, input);
    if !stack_up.disagreements.is_empty() {
        page.gap();
        page.paragraph("", "Where root sum of squares and random boards differ:");
        page.items("- ", &stack_up.disagreements);
    }
    if let Some(drawn) = &input.monte_carlo {
        random_boards(page, drawn, unit);
    }
    ranking(page, input, &stack_up.sources);
}

/// Readings at each checkpoint in the three views.
fn views(page: &mut Page, input: &InputAnswer) {
    let values = || input.checkpoints.iter().map(|point| point.value);
    let range = values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min);
    let places = places_for(range);
    let band = |band: Option<ReadingBand>| band.map_or("-".to_owned(), |band| readings(band, places));
    let row = |point: &Checkpoint| {
        let reading = point.reading.as_ref()?;
        let cells = [Some(reading.life), reading.root_sum_of_squares, reading.monte_carlo];
        let second = reading.second_order.map(|second| readings(second, places)).unwrap_or_default();
        let cells = cells.map(band).into_iter().chain([second]);
        Some([value(point.value, &input.unit)].into_iter().chain(cells).collect::<Vec<_>>())
    };
    let mut rows: Vec<Vec<String>> = input.checkpoints.iter().filter_map(row).collect();
    let mut columns = vec![
        ("value", Right),
        ("worst case", Left),
        ("root sum of squares", Left),
        ("random boards", Left),
        ("second order", Left),
    ];
    // Columns with nothing in them are left out, the last first.
    for (column, nothing) in [(4, ""), (3, "-")] {
        if rows.iter().all(|row| row[column] == nothing) {
            columns.remove(column);
            for row in &mut rows {
                row.remove(column);
            }
        }
    }
    page.table(&columns, rows);
}

fn random_boards(page: &mut Page, drawn: &MonteCarlo, unit: &str) {
    page.gap();
    let boards = grouped(drawn.boards);
    match (drawn.allowed_error, drawn.share, drawn.bench_share) {
        (Some(allowed), Some(life), Some(bench)) => page.paragraph(
            "",
            &format!(
                "Of {boards} random boards (seed {}) {} keep the allowed error of ±{} over their life, {} when new on \
                 the bench.",
                drawn.seed,
                share(&life),
                value(allowed, unit),
                share(&bench)
            ),
        ),
        _ => page.paragraph(
            "",
            &format!(
                "{boards} random boards (seed {}). With an allowed error (limits: error) this says how many keep it.",
                drawn.seed
            ),
        ),
    }
    histogram(page, &drawn.histogram, unit);
}

/// A share with its interval. What is nearly all is not rounded up to all.
fn share(share: &Yield) -> String {
    let text = |value: f64| {
        let percent = value * 100.0;
        let places = if (0.1..=99.9).contains(&percent) { 1 } else { 3 };
        let text = format!("{percent:.places$}");
        // A board that fails is never lost in rounding.
        if value < 1.0 && text.starts_with("100") { "99.999".to_owned() } else { text }
    };
    format!("{} % ({} to {} %)", text(share.value), text(share.lowest), text(share.highest))
}

/// One line for each step, as long as there are boards in it.
fn histogram(page: &mut Page, histogram: &Histogram, unit: &str) {
    const WIDEST: f64 = 40.0;
    let most = histogram.boards.iter().copied().max().unwrap_or(0).max(1);
    page.gap();
    page.paragraph("", &format!("The worst error of each board in {unit}, up to the worst case:"));
    for (edges, &boards) in histogram.edges.windows(2).zip(&histogram.boards) {
        let length = (boards as f64 / most as f64 * WIDEST).ceil() as usize;
        let step = format!("{} .. {}", digits(edges[0]), digits(edges[1]));
        let line = format!("  {step:>19} {:>11} {}", grouped(boards), "#".repeat(length));
        page.line(line.trim_end());
    }
}

fn ranking(page: &mut Page, input: &InputAnswer, sources: &[SourceRow]) {
    if input.ranking.is_empty() {
        return;
    }
    let columns = [
        ("source of error", Left),
        ("limits", Left),
        ("alone", Right),
        ("share", Right),
        ("one grade better saves", Left),
    ];
    let row = |ranked: &RankedRow| {
        let limits = sources.iter().find(|source| source.of == ranked.of);
        let better = ranked.next_grade.map(|grade| {
            format!("{}: {}", limit(grade.to, grade.unit), value(rounded(grade.gain), &input.unit))
        });
        vec![
            name(&ranked.of),
            limits.map(limits_of).unwrap_or_default(),
            format!("±{}", value(rounded(ranked.error_alone), &input.unit)),
            percent(ranked.share),
            better.unwrap_or_default(),
        ]
    };
    page.table(&columns, input.ranking.iter().take(LISTED).map(row).collect());
    if input.ranking.len() > LISTED {
        let left = input.ranking.len() - LISTED;
        page.gap();
        let most = value(rounded(input.ranking[LISTED].error_alone), &input.unit);
        page.paragraph("", &format!("{left} more, each of ±{most} at most, are in the answer for programs."));
    }
}

fn name(of: &SourceName) -> String {
    let group = |part: &str| of.tracks.as_ref().map_or(part.to_owned(), |group| format!("{part} ({group})"));
    let owner = of.part.map(group).or_else(|| of.rail.clone());
    let own = owner.map_or_else(|| of.source.to_owned(), |owner| format!("{}, {owner}", of.source));
    let own = of.calibrated_at.map_or(own.clone(), |point| format!("{own}, calibrated at {}", plain(point)));
    of.input.as_ref().map_or(own.clone(), |input| format!("{own} ({input})"))
}

fn limits_of(source: &SourceRow) -> String {
    let (low, high) = (source.lowest, source.highest);
    if (low + high).abs() <= 1e-9 * (high - low).abs() {
        return limit(high, source.unit);
    }
    // Each end with its unit, since a prefix may differ.
    format!("{}..{}", signed(low, source.unit), signed(high, source.unit))
}

/// A limit of either sign.
fn limit(half: f64, unit: &str) -> String {
    format!("±{}", signed(half, unit))
}

fn signed(limit: f64, unit: &str) -> String {
    match unit {
        "share" => format!("{} %", digits(limit * 100.0)),
        "per kelvin" => format!("{} ppm/K", digits(limit * 1e6)),
        unit if unit.starts_with("share of") => percent(limit),
        unit => quantity(limit, unit),
    }
}
