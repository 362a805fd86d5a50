//! What stays connected beside the parts, and what it does to a reading.

use crate::board::{Board, Feed, Gauge, Input};
use crate::circuit::{Of, Scene};
use crate::quantity::{Band, Counts, Ohms};
use crate::reading::Nominal;

/// What hangs on the input besides its parts, a line each.
pub(super) fn of(board: &Board, input: &Input) -> Vec<String> {
    input.gauge.iter().map(|gauge| gauge_line(board, gauge)).collect()
}

fn gauge_line(board: &Board, gauge: &Gauge) -> String {
    let from = match gauge.from {
        Feed::Supply => "the vehicle's supply".to_owned(),
        Feed::Rail(id) => format!("rail `{}`", board.rails[id.0].name),
        Feed::Stabiliser { voltage, tolerance, pulsed } => {
            let kind = if pulsed { "a pulsing stabiliser" } else { "a stabiliser" };
            format!("{kind} of {voltage:#} ±{tolerance}")
        }
    };
    format!(
        "the old gauge stays connected: {:#} ±{} from {from} to the node",
        gauge.resistance, gauge.tolerance
    )
}

/// A gauge whose stabiliser pulses: what firmware takes for the count, with the contact closed, against what the same
/// board counts with the contact open.
pub(super) fn pulsing(input: &Input, scene: &Scene) -> Option<String> {
    input.gauge.filter(Gauge::is_pulsed)?;
    let place = scene.nominal.place_of(Of::Gauge)?;
    let mut open = scene.nominal.resistances.clone();
    open[place] = Band::exactly(Ohms(f64::INFINITY));
    let [closed, open] =
        [&scene.nominal.resistances, &open].map(|bands| Nominal::new(input, &scene.nominal, bands));
    let most = closed.farthest_from(&open);
    (most.value > 0.0).then(|| {
        format!(
            "the gauge's stabiliser pulses: on the nominal board the reading moves by up to {:.1} between closed and \
             open contact, most at {} {}; the table is for the closed contact: average, or sample in step with it",
            Counts(most.value),
            super::remarks::rounded(most.at),
            input.unit(),
        )
    })
}
