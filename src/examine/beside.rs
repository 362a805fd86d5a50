//! What stays connected beside the parts, and what it does to a reading.

use crate::board::{Board, Choice, Clamp, ClampPlace, Feed, Gauge, Input, Neighbour, Role, Wet};
use crate::circuit::{Of, Scene, Values};
use crate::quantity::{Amperes, Band, Counts, Ohms, Volts};
use crate::reading::Nominal;
use crate::worst::{Measure, Sense, worst};

/// What hangs on the input besides its parts, a line each.
pub(super) fn of(board: &Board, input: &Input) -> Vec<String> {
    let gauge = input.gauge.iter().map(|gauge| gauge_line(board, gauge));
    let alone = unexcited(input).map(str::to_owned);
    let wet = input.wet.iter().map(wet_line);
    gauge.chain(alone).chain(wet).chain(input.clamp.iter().map(clamp_line)).collect()
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

fn clamp_line(clamp: &Clamp) -> String {
    let place = match clamp.at {
        ClampPlace::Node => "the node in front of the protection",
        ClampPlace::Pin => "the pin",
    };
    format!(
        "an external clamp holds {place} below {:#} ±{}; it takes {:#} and leaks up to {:#}",
        clamp.upper, clamp.tolerance, clamp.current, clamp.leakage
    )
}

/// A clamp that leaks more than its data sheet says, since it comes close to conducting in normal use.
pub(super) fn leaky(input: &Input, scene: &Scene) -> Option<String> {
    /// The share of its voltage from which a zener diode leaks more and more (common practice).
    const LEAKS_FROM: f64 = 0.8;
    let clamp = input.clamp?;
    let normal = &scene.situations[Scene::NORMAL];
    let least = normal.sources[normal.clamp_rail].lowest;
    let found = worst(Measure::HighestClamped, Sense::AtMost, normal, &normal.resistances)?;
    let highest = Volts(found.value);
    (highest > least * LEAKS_FROM).then(|| {
        format!(
            "up to {highest} in normal use on a clamp that may conduct from {least}: a zener diode leaks from some four \
             fifths of its voltage on, more than `leakage` says, and bends the reading; a clamp of {} or more would not",
            highest * (1.0 / LEAKS_FROM / (1.0 - clamp.tolerance.0)),
        )
    })
}

/// An external clamp beside the pin's own, which conducts first: that is calculated as if the external one were not there.
pub(super) fn own_clamp_first(board: &Board, input: &Input, values: &Values) -> Option<String> {
    let clamp = input.clamp.filter(|clamp| clamp.at == ClampPlace::Pin)?;
    let highest = Band::within(clamp.upper, clamp.tolerance).highest;
    let bare = Input { clamp: None, ..input.clone() };
    let scene = Scene::new(board, &bare, values);
    let first = scene.situations[..scene.bottom()].iter().filter_map(|situation| {
        let own = situation.sources[situation.clamp_rail].lowest + situation.clamp_above;
        let current = worst(Measure::UpperClamp, Sense::AtMost, situation, &situation.resistances)?;
        (highest > own && current.value > 0.0).then_some((situation.case, own, Amperes(current.value)))
    });
    let (case, own, current) = first.max_by(|a, b| a.2.0.total_cmp(&b.2.0))?;
    Some(format!(
        "{}: the pin's own clamp conducts first, from {own} on: up to {current} (the pin takes {}), and the external clamp \
         beside it does nothing; in front of the protection (`at: node`) it would",
        case.name(),
        board.converter.pin_current,
    ))
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
