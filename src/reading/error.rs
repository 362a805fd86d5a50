//! The greatest error of a reading.

use super::calibrated::{CalibratedEdges, plain};
use super::corrected::CorrectedEdges;
use super::edges::Edges;
use super::heat::Heat;
use super::nominal::{Found, Nominal};
use super::{Firmware, at, warmth_at};
use crate::board::{Accuracy, Board, Drive, Input};
use crate::circuit::{Outlook, Place, Scene, Situation, Values};
use crate::quantity::{Band, Counts, Ohms};

/// Counts beyond which neighbours are looked at together.
const CELLS: f64 = 65_536.0;

/// Looks at a value after which a bound of a calibrated reading is taken as it is.
const LOOKS: usize = 1 << 15;

/// The greatest error of a reading over the zone of an input, corrected by its supply, calibrated, or neither. The
/// resistances are those of the nominal and of the life situation of the scene, or others in their place; a calibrated
/// reading goes by those of the scene. `None`: the reading is corrected by an input whose parts are not known.
pub fn greatest_error_of(input: &Input, scene: &Scene, [nominal, life]: [&[Band<Ohms>]; 2]) -> Option<Found> {
    let situations = [&scene.nominal, &scene.situations[Scene::NORMAL]];
    if let Some(bench) = &scene.workbench {
        let edges = CalibratedEdges::new(input, situations[0], situations[1], bench);
        let heat = heat_of(input, situations[1]);
        let far = |value| far_over_life(input, situations[1], heat.as_ref(), value);
        return Some(of_calibrated(input, edges.as_ref(), far));
    }
    if input.corrected_by.is_none() {
        let nominal = Nominal::new(input, situations[0], nominal);
        return Some(greatest_error(input, &nominal, situations[1], life, input.zone()));
    }
    let Drive::Sender(sender) = &input.drive else { return None };
    let edges = CorrectedEdges::new(input, situations, [nominal, life], scene.meter.as_ref()?)?;
    let (first, last) = input.range();
    if !edges.follow() {
        return Some(Found { value: last - first, at: first });
    }
    let heat = sender.self_heating.map(|per| Heat::new(situations[1], life, per));
    let readings = |value: f64| {
        let warmth = heat.as_ref().map_or(0.0, |heat| warmth_at(input, sender, heat, value));
        edges.readings(sender.life_at(value, warmth) + situations[1].wire)
    };
    Some(greatest_between(input.zone(), (last - first) / CELLS, usize::MAX, readings))
}

/// The greatest error of a calibrated reading over the zone: all of the range where the calibration cannot be relied on.
fn of_calibrated(
    input: &Input,
    edges: Option<&CalibratedEdges<'_>>,
    far: impl Fn(f64) -> Band<f64>,
) -> Found {
    let (first, last) = input.range();
    let Some(edges) = edges.filter(|edges| edges.is_reliable()) else {
        return Found { value: (last - first).abs(), at: first };
    };
    let fineness = (last - first).abs() / CELLS;
    greatest_between(input.zone(), fineness, LOOKS, |value| edges.readings(far(value)))
}

/// What warms a sender over life, if its own current does.
fn heat_of(input: &Input, life: &Situation) -> Option<Heat> {
    let Drive::Sender(sender) = &input.drive else { return None };
    sender.self_heating.map(|per| Heat::new(life, &life.resistances, per))
}

/// Where the far end of an input may stand over life while a value is measured, the wire of a sender included.
fn far_over_life(input: &Input, life: &Situation, heat: Option<&Heat>, value: f64) -> Band<f64> {
    let Drive::Sender(sender) = &input.drive else { return Band::exactly(input.drive.far_at(value).0) };
    let warmth = heat.map_or(0.0, |heat| warmth_at(input, sender, heat, value));
    plain(sender.life_at(value, warmth) + life.wire)
}

/// The greatest error of a reading over the zone on the bench, where a decade box stands in for the sender.
pub(crate) fn greatest_bench_error(
    board: &Board,
    input: &Input,
    values: &Values,
    firmware: &Firmware<'_>,
) -> Found {
    let (first, last) = input.range();
    let zone = input.zone();
    if let Some(calibrated) = firmware.calibrated() {
        let far = |value| far_on_bench(board, input, value);
        return of_calibrated(input, calibrated.bench.as_ref(), far);
    }
    if input.corrected_by.is_some() {
        let readings = |value| {
            firmware.corrected(Outlook::Bench, value).unwrap_or(Band { lowest: first, highest: last })
        };
        return greatest_between(zone, (last - first) / CELLS, usize::MAX, readings);
    }
    let mut boxed = input.clone();
    if let Drive::Sender(sender) = &mut boxed.drive {
        sender.tolerance = board.bench.decade_box;
        sender.accuracy = Accuracy::NONE;
        sender.self_heating = None;
    }
    let bench = at(board, input, values, Outlook::Bench, Place::Range);
    greatest_error(&boxed, firmware.nominal(), &bench, &bench.resistances, zone)
}

/// What a decade box, or what else stands in on the bench, may be instead of the far end at a value.
pub(super) fn far_on_bench(board: &Board, input: &Input, value: f64) -> Band<f64> {
    let far = input.drive.far_at(value).0;
    if input.drive.is_sender() { Band::within(far, board.bench.decade_box) } else { Band::exactly(far) }
}

/// The greatest error where both edges of the reading rise with the value: between two values the upper edge is at most
/// what it is at the second, and the true value at least the first. The zone is cut in halves until that bound is no more
/// than `fineness` above an error that occurs, or until so many places were looked at; the bound is what is given.
fn greatest_between(
    zone: Band<f64>,
    fineness: f64,
    looks: usize,
    readings: impl Fn(f64) -> Band<f64>,
) -> Found {
    let mut found = Found { value: 0.0, at: zone.lowest };
    let mut look = |at: f64| {
        let band = readings(at);
        let value = (band.highest - at).max(at - band.lowest);
        if value > found.value {
            found = Found { value, at };
        }
        (found, (at, band))
    };
    let ends = [zone.lowest, zone.highest].map(|at| look(at).1);
    let (mut cells, mut most, mut looked) = (vec![ends], 0.0_f64, 0);
    let bound = |[(a, low), (b, high)]: [(f64, Band<f64>); 2]| (high.highest - a).max(b - low.lowest);
    while !cells.is_empty() {
        if looked >= looks {
            most = cells.into_iter().map(bound).fold(most, f64::max);
            break;
        }
        looked += cells.len();
        let mut halves = Vec::new();
        for [a, b] in cells {
            let (found, middle) = look(f64::midpoint(a.0, b.0));
            for half in [[a, middle], [middle, b]] {
                let bound = bound(half);
                if bound > found.value + fineness {
                    halves.push(half);
                } else {
                    most = most.max(bound);
                }
            }
        }
        cells = halves;
    }
    Found { value: found.value.max(most), ..found }
}

/// The greatest |reading − true value| over a part of the range, everything of the life band included, and the true value
/// at which it occurs.
///
/// A truncated count n may occur between the value at which the upper edge of the life band reaches n and that at which
/// the lower edge reaches n + 1; its reading is off most at one of the two. All counts are tried, so the worst place is
/// found and not sampled. Of more than 2^16 counts neighbours are taken together: what is given is then at most
/// a 2^−16th of the range too large.
pub fn greatest_error(
    input: &Input,
    nominal: &Nominal<'_>,
    life: &Situation,
    resistances: &[Band<Ohms>],
    zone: Band<f64>,
) -> Found {
    let (first, last) = input.range();
    let Some(edges) = Edges::new(input, life, resistances) else {
        // The count says nothing: a reading, held to the range, may be off by all of it.
        return Found { value: last - first, at: first };
    };
    let direction = input.direction();
    let ascending =
        if direction > 0.0 { zone } else { Band { lowest: -zone.highest, highest: -zone.lowest } };
    let top = life.converter.highest_count().0;
    let from = first_where(top, |n| edges.ends(n, direction) > ascending.lowest);
    let to = first_where(top, |n| edges.starts(n + 1.0, direction) > ascending.highest).min(top);
    let step = ((to - from + 1.0) / CELLS).ceil().max(1.0);
    let mut worst = Found { value: 0.0, at: zone.lowest };
    let mut n = from;
    while n <= to {
        let end = (n + step - 1.0).min(to);
        let values = edges.values(n, end, direction);
        // Counts beyond come in again only where a sender would have run away with its own warmth.
        if values.lowest > ascending.highest {
            break;
        }
        let (low, high) = (values.lowest.max(ascending.lowest), values.highest.min(ascending.highest));
        let readings = [n, end].map(|count| direction * nominal.reading(Counts(count)));
        for (value, at) in [(readings[1] - low, low), (high - readings[0], high)] {
            if value > worst.value && low <= high {
                worst = Found { value, at: direction * at };
            }
        }
        n += step;
    }
    worst
}

/// The first whole number up to `top` for which something holds that holds from there on; one more if there is none.
fn first_where(top: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut a, mut b) = (0.0, top + 1.0);
    while a < b {
        let middle = f64::floor(f64::midpoint(a, b));
        if holds(middle) {
            b = middle;
        } else {
            a = middle + 1.0;
        }
    }
    a
}
