//! What the reading is worth: three views, and what each source of error does to it.

mod disagreement;
mod grade;

use crate::answer::{
    Drawn as DrawnRow, GreatestError, Histogram, InputAnswer, MonteCarlo, NextGrade, RankedRow, SourceName,
    SourceRow, StackUp, View, Yield,
};
use crate::board::{Board, Input, Setting};
use crate::circuit::{Outlook, Values};
use crate::quantity::Band;
use crate::reading::{Firmware, Found, greatest_bench_error};
use crate::stackup::{
    Batch, Distribution, Drawn, Draws, Owner, Source, Stack, Trials, greatest_root_sum, rank, root_sum,
    wilson,
};

/// The share of random boards that a view speaks of.
const COVERED: f64 = 0.95;

/// Fewer random boards disagree by chance.
const ENOUGH: u64 = 1000;

/// Steps of the histogram.
const BARS: usize = 16;

/// Puts the stack-up of an input into its answer; `trials` says how many random boards are drawn, none if there are none.
pub(super) fn add(
    board: &Board,
    input: &Input,
    values: &Values,
    firmware: &Firmware<'_>,
    trials: &Trials<'_>,
    answer: &mut InputAnswer,
) {
    let (Some(life), Some(bench)) =
        (Stack::new(board, input, values, Outlook::Life), Stack::new(board, input, values, Outlook::Bench))
    else {
        return;
    };
    let Some(error) = answer.error else { return };
    let zone = input.zone();
    let bench_error = greatest_bench_error(board, input, values, firmware);
    for point in &mut answer.checkpoints {
        let Some(reading) = &mut point.reading else { continue };
        let (of_life, of_bench) = (root_sum(&life, point.value), root_sum(&bench, point.value));
        reading.root_sum_of_squares = Some(super::readings(of_life.band));
        reading.second_order = of_life.second_order.map(|second| super::readings(second.band));
        reading.bench_root_sum_of_squares = Some(super::readings(of_bench.band));
    }
    let views = |stack: &Stack<'_>, worst: GreatestError| View {
        worst_case: worst,
        root_sum_of_squares: greatest(greatest_root_sum(stack, zone)),
        monte_carlo: None,
    };
    let mut stack_up = StackUp {
        life: views(&life, error),
        bench: views(&bench, greatest(bench_error)),
        sources: life.sources().iter().map(|source| source_row(board, input, source)).collect(),
        disagreements: Vec::new(),
    };
    let ranked = rank(&life, zone, error.at);
    answer.ranking = ranked
        .iter()
        .map(|ranked| RankedRow {
            of: name_of(board, input, &ranked.source),
            error_alone: ranked.error_alone,
            at: ranked.at,
            share: ranked.share,
            next_grade: grade::better(board, input, values, ranked, error.greatest).map(|better| NextGrade {
                to: better.to,
                unit: better.unit,
                error: better.error,
                gain: error.greatest - better.error,
            }),
        })
        .collect();
    if trials.boards > 0 {
        let points: Vec<f64> = answer.checkpoints.iter().map(|point| point.value).collect();
        let allowed = match input.limits.error {
            Setting::At(allowed) => Some(allowed),
            Setting::Off | Setting::Usual => None,
        };
        let batch = |stack: &Stack<'_>, most: f64| {
            let drawn = Drawn {
                values: &stack.places(&points),
                zone,
                allowed,
                greatest: most.max(f64::MIN_POSITIVE),
                draws: Draws::AsSpread,
            };
            Batch::draw(stack, &drawn, trials)
        };
        let of_life = batch(&life, error.greatest);
        let of_bench = batch(&bench, bench_error.value);
        for point in &mut answer.checkpoints {
            let Some(reading) = &mut point.reading else { continue };
            reading.monte_carlo = covered(&of_life, point.value).map(super::readings);
            reading.bench_monte_carlo = covered(&of_bench, point.value).map(super::readings);
        }
        stack_up.life.monte_carlo = Some(DrawnRow { greatest: of_life.error_of(COVERED) });
        stack_up.bench.monte_carlo = Some(DrawnRow { greatest: of_bench.error_of(COVERED) });
        answer.monte_carlo = Some(monte_carlo(&of_life, &of_bench, allowed, trials));
    }
    if trials.boards >= ENOUGH {
        stack_up.disagreements = disagreement::explained(board, input, answer, &ranked);
    }
    answer.stack_up = Some(stack_up);
}

fn greatest(found: Found) -> GreatestError {
    GreatestError { greatest: found.value, at: found.at }
}

fn covered(batch: &Batch, value: f64) -> Option<Band<f64>> {
    let distance = |place: &&crate::stackup::DrawnPlace| (place.value - value).abs();
    batch.places.iter().min_by(|a, b| distance(a).total_cmp(&distance(b))).map(|place| place.coverage)
}

fn monte_carlo(life: &Batch, bench: &Batch, allowed: Option<f64>, trials: &Trials<'_>) -> MonteCarlo {
    let share = |batch: &Batch| {
        batch.good.map(|good| {
            let band = wilson(good, batch.boards);
            Yield {
                value: good as f64 / batch.boards as f64,
                lowest: band.lowest.0,
                highest: band.highest.0,
                confidence: COVERED,
            }
        })
    };
    let bars = life.errors.chunks(life.errors.len() / BARS);
    MonteCarlo {
        seed: trials.seed,
        boards: life.boards,
        allowed_error: allowed,
        share: share(life),
        bench_share: share(bench),
        histogram: Histogram {
            edges: (0..=BARS).map(|edge| life.greatest * edge as f64 / BARS as f64).collect(),
            boards: bars.map(|steps| steps.iter().sum()).collect(),
        },
    }
}

fn source_row(board: &Board, input: &Input, source: &Source) -> SourceRow {
    let [lowest, highest] = source.spread.limits();
    SourceRow {
        of: name_of(board, input, source),
        lowest,
        highest,
        unit: source.cause.unit(),
        distribution: match source.spread.distribution {
            Distribution::Rectangular => "rectangular",
            Distribution::Normal { .. } => "normal",
            Distribution::TwoStates => "two states",
        },
    }
}

/// The name of a source; that of the input which corrects this one names it.
fn name_of(board: &Board, input: &Input, source: &Source) -> SourceName {
    let meter = input.corrected_by.and_then(|id| board.inputs.get(id.0));
    let (part, rail) = match source.owner {
        Owner::Input => (None, None),
        Owner::Part(role) => (Some(role.key()), None),
        Owner::Rail(place) => (None, Some(board.rails[place].name.clone())),
    };
    let of = if source.of_meter { meter } else { Some(input) };
    let parts = of.into_iter().flat_map(|of| &of.parts);
    let tracks = parts.filter(|known| Some(known.role.key()) == part).find_map(|known| known.tracks.clone());
    SourceName {
        source: source.cause.name(),
        part,
        tracks,
        rail,
        input: meter.filter(|_| source.of_meter).map(|meter| meter.name.clone()),
        calibrated_at: source.point,
    }
}
