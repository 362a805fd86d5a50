//! What a case does to the wire of an input and to the supply of the board.

use super::soft_fault::SoftFault;
use crate::board::{Board, Drive, Excitation, Excursion, Feed, Input, LoopSupply, Neighbour, RailId};
use crate::case::Case;
use crate::quantity::{Seconds, Volts};

/// The wire of an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Wiring {
    Sound,
    /// As it should be, but for what no count gives away.
    Soft(SoftFault),
    Open,
    Ground,
    Supply,
    /// On the supply of its loop.
    Loop(LoopSupply),
    Rail(RailId),
}

impl Wiring {
    /// Whether what is measured is still connected.
    pub(super) const fn is_connected(self) -> bool {
        matches!(self, Self::Sound | Self::Soft(_))
    }
}

/// The supply of the board.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Power {
    On,
    /// Another voltage, with the rails up.
    At(Volts),
    Reversed(Volts),
    Off,
    /// Board ground sits this far above remote ground, and so does the supply.
    GroundLost(Volts),
}

/// What a case does to wire and supply.
#[derive(Clone, Copy)]
pub(super) struct State {
    pub(super) wiring: Wiring,
    pub(super) power: Power,
    pub(super) lasts: Option<Seconds>,
}

impl State {
    pub(super) const fn of(wiring: Wiring, power: Power) -> Self {
        Self { wiring, power, lasts: None }
    }

    const fn during(excursion: Excursion) -> Self {
        Self { wiring: Wiring::Sound, power: Power::At(excursion.voltage), lasts: excursion.time }
    }
}

/// The states in which a case is examined; none if the case does not exist for this input.
pub(super) fn states(board: &Board, input: &Input, case: Case) -> Vec<State> {
    use Wiring::{Ground, Loop, Open, Rail, Sound, Supply};
    let supply = &board.supply;
    let is_tied = is_tied_to_supply(input);
    let with_power = |wiring| vec![State::of(wiring, Power::On)];
    match case {
        Case::Normal => with_power(Sound),
        Case::WireOpen => with_power(Open),
        Case::WireToGround => with_power(Ground),
        Case::WireToSupply => with_power(Supply),
        Case::BoardOff => vec![State::of(Sound, Power::Off), State::of(Supply, Power::Off)],
        Case::GroundLost => vec![State::of(Sound, Power::GroundLost(supply.swing.highest))],
        Case::TransmitterShort => match &input.drive {
            Drive::Current(transmitter) => with_power(Loop(transmitter.loop_supply)),
            Drive::Sender(_) | Drive::Signal(_) => Vec::new(),
        },
        Case::WireToRail => {
            (0..board.rails.len()).map(|rail| State::of(Rail(RailId(rail)), Power::On)).collect()
        }
        Case::ReversedSupply if !is_tied && !has_stabiliser(input) => Vec::new(),
        Case::Surge | Case::JumpStart | Case::Cranking if !is_tied => Vec::new(),
        Case::Surge => supply.surges.iter().copied().map(State::during).collect(),
        Case::JumpStart => supply.jump_start.into_iter().map(State::during).collect(),
        Case::ReversedSupply => {
            supply.reversed.into_iter().map(|volts| State::of(Sound, Power::Reversed(volts))).collect()
        }
        Case::Cranking => {
            supply.cranking.into_iter().map(|volts| State::of(Sound, Power::At(volts))).collect()
        }
    }
}

/// Whether a stabiliser of its own feeds a gauge: it keeps surges away, but nobody knows what it makes of a reversed supply.
fn has_stabiliser(input: &Input) -> bool {
    input.gauge.is_some_and(|gauge| matches!(gauge.from, Feed::Stabiliser { .. }))
}

/// Whether the vehicle's supply excites or drives the input, feeds its gauge, or comes through a wet connector. A stabiliser
/// keeps what happens to the supply from its gauge.
pub fn is_tied_to_supply(input: &Input) -> bool {
    let feeds_gauge = input.gauge.is_some_and(|gauge| gauge.from == Feed::Supply);
    let comes_in = input.wet.is_some_and(|wet| wet.to == Neighbour::Supply);
    input.drive.is_supply() || input.excitation == Some(Excitation::Supply) || feeds_gauge || comes_in
}

/// The cases that exist for an input, in order.
pub fn cases_of(board: &Board, input: &Input) -> Vec<Case> {
    Case::ALL.into_iter().filter(|&case| !states(board, input, case).is_empty()).collect()
}
