//! The single parts of a board, and what each has to bear.

use super::Use;
use crate::board::{Board, Capacitor as Given, Choice, Grade, Input, Part, Role, StockFile};
use crate::circuit::{Scene, Situation, Values};
use crate::limits::{Check, Watched, checks_of};
use crate::quantity::{Farads, Ohms, Volts, Watts};
use crate::worst::{Measure, greatest, pin_band};

/// One resistor.
#[derive(Clone, Debug)]
pub(super) struct Piece<'a> {
    pub(super) ohms: Ohms,
    pub(super) grade: &'a Grade,
    /// The group that it tracks in, if there are others in it, with the board that the name belongs to.
    pub(super) tracks: Option<(usize, &'a str)>,
    /// The stock file that it comes from, if a row of it serves.
    pub(super) stock: Option<&'a StockFile>,
    /// The stock file that it should come from, if no row of it serves.
    pub(super) missing_in: Option<&'a StockFile>,
    pub(super) power: Watts,
    pub(super) voltage: Volts,
    pub(super) used: Use,
}

/// One capacitor.
#[derive(Clone, Debug)]
pub(super) struct Capacitor {
    pub(super) farads: Farads,
    pub(super) voltage: Volts,
    pub(super) used: Use,
}

pub(super) fn scene_of(board: &Board, input: &Input) -> Scene {
    Scene::new(board, input, &Values::given(input))
}

/// The resistors of an input; `place` is that of the board.
pub(super) fn resistors<'a>(
    place: usize,
    board: &'a Board,
    input: &'a Input,
    scene: &Scene,
) -> Vec<Piece<'a>> {
    let loads = loads(board, input, scene);
    let greatest = |role: Role, of: fn(&Load) -> f64| {
        loads.iter().filter(|load| load.role == role).map(of).fold(0.0, f64::max)
    };
    let there = input.parts.iter().filter_map(|part| match part.choice {
        Choice::Fixed(ohms) => Some((part, ohms)),
        Choice::Absent | Choice::Choose { .. } => None,
    });
    let piece = |(part, ohms): (&'a Part, Ohms)| Piece {
        ohms,
        grade: &part.grade,
        tracks: part.tracks.as_deref().filter(|group| has_company(board, group)).map(|group| (place, group)),
        stock: part.stock.as_deref().filter(|_| part.reel(ohms).is_some()),
        missing_in: part.stock.as_deref().filter(|_| part.reel(ohms).is_none()),
        power: Watts(greatest(part.role, |load| load.power)),
        voltage: Volts(greatest(part.role, |load| load.voltage)),
        used: Use { board: place, input: input.name.clone(), part: part.role.key() },
    };
    there.map(piece).collect()
}

/// Whether several parts of a board are in a group.
fn has_company(board: &Board, group: &str) -> bool {
    let parts = board.inputs.iter().flat_map(|input| &input.parts);
    let is_in =
        |part: &&Part| part.tracks.as_deref() == Some(group) && !matches!(part.choice, Choice::Absent);
    parts.filter(is_in).nth(1).is_some()
}

/// What a part bears in one situation: watts, or volts.
struct Load {
    role: Role,
    power: f64,
    voltage: f64,
}

/// From the checks that judge the board: normal use and the cases to be survived.
fn loads(board: &Board, input: &Input, scene: &Scene) -> Vec<Load> {
    let load = |check: &Check| {
        let role = check.part?;
        let (power, voltage) = match check.watched {
            Watched::Measure(Measure::Power(_)) => (1.0, 0.0),
            Watched::Measure(Measure::Voltage(_)) => (0.0, 1.0),
            _ => return None,
        };
        let worst = check.worst(input, scene)?.value;
        Some(Load { role, power: power * worst, voltage: voltage * worst })
    };
    checks_of(board, input, scene).iter().filter_map(load).collect()
}

/// The capacitor of an input with what its pin reaches in any case.
pub(super) fn capacitor(place: usize, input: &Input, scene: &Scene) -> Option<Capacitor> {
    let Given::Fixed(farads) = input.capacitor else { return None };
    let voltages = scene.situations[..scene.bottom()].iter().filter_map(pin_voltage);
    let voltage = voltages.fold(Volts(0.0), Volts::max);
    Some(Capacitor {
        farads,
        voltage,
        used: Use { board: place, input: input.name.clone(), part: "capacitor" },
    })
}

/// The greatest voltage of the pin, of either sign. A pin that may float is driven by its leakage alone, as far as the
/// clamps let it.
fn pin_voltage(situation: &Situation) -> Option<Volts> {
    let resistances = &situation.resistances;
    if let Some(band) = pin_band(situation, resistances) {
        return Some(band.highest.abs().max(band.lowest.abs()));
    }
    let held = greatest(situation, resistances, |corner| {
        let window = corner.window();
        window.highest.max(-window.lowest)
    });
    Some(held?.value)
}
