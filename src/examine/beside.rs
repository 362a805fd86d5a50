//! What stays connected beside the parts, and what it does to a reading.

use crate::board::{Board, Choice, Feed, Gauge, Input, Neighbour, Role, Wet};
use crate::circuit::{Of, Scene};
use crate::quantity::{Band, Counts, Ohms};
use crate::reading::Nominal;

/// What hangs on the input besides its parts, a line each.
pub(super) fn of(board: &Board, input: &Input) -> Vec<String> {
    let gauge = input.gauge.iter().map(|gauge| gauge_line(board, gauge));
    let alone = unexcited(input).map(str::to_owned);
    gauge.chain(alone).chain(input.wet.iter().map(wet_line)).collect()
}

/// A gauge that alone excites the sender and comes and goes.
fn unexcited(input: &Input) -> Option<&'static str> {
    let pull_up = input.parts.iter().find(|part| part.role == Role::PullUp)?;
    let is_alone = matches!(pull_up.choice, Choice::Absent);
    (is_alone && input.gauge.is_some_and(|gauge| gauge.is_pulsed())).then_some(
        "with the contact of its stabiliser open nothing excites the sender, and the pin reads 0: keep a pull_up beside \
         the gauge",
    )
}

fn wet_line(wet: &Wet) -> String {
    let to = match wet.to {
        Neighbour::Ground => "ground",
        Neighbour::Supply => "the vehicle's supply",
    };
    format!(
        "its connector may be wet: from {:#} to open, to {to}; on the bench and in the firmware it is dry",
        wet.resistance
    )
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
