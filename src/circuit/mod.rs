//! From an input and a case to the chain that stands for it.
//!
//! Every circuit is the same chain: the far end (a sender to remote ground, or a signal), the wire, and then the
//! elements that the circuit lists up to the pin. A case only changes what is at the far end and where the rails
//! are. A new circuit is one file and one line in [`CIRCUITS`].

mod burden;
mod calibration;
mod direct;
mod divider;
mod level_shift;
mod meter;
mod pull_down;
mod pull_up;
mod scene;
mod situation;
mod soft_fault;
mod state;
mod values;

pub use calibration::{Steady, Workbench};
pub use meter::SupplyMeter;
pub use scene::Scene;
pub use situation::{
    ChafedSender, Element, Far, FedBy, Name, Outlook, Place, Situation, situations_of, with_soft_fault,
};
pub use soft_fault::SoftFault;
pub use state::{cases_of, is_tied_to_supply};
pub use values::{Climate, Values, limits_of};

use crate::board::{Circuit, Role};

/// What an element of the chain is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// The sender or the resistance of the source, and the wire.
    Far,
    /// A soft fault of the wire.
    Fault,
    /// A wet connector, right behind the wire of any circuit.
    Wet,
    /// A part of the input.
    Part(Role),
    /// What already hangs on the node.
    Existing,
    /// The old gauge that stays connected.
    Gauge,
}

/// What a resistor from the node leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum To {
    /// The ground of the board.
    Ground,
    /// What excites the sender.
    Excitation,
    /// The rail that lifts a level shift.
    Bias,
    /// What feeds the old gauge.
    Gauge,
    /// What a wet connector leads to.
    Neighbour,
}

/// How an element is connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// In the path from the far end to the pin.
    Series,
    /// From the path to a voltage.
    Bridge(To),
}

/// One circuit: its name, what it serves, and its elements from the far end to the pin.
#[derive(Debug)]
pub struct Plan {
    /// Which circuit this is.
    pub circuit: Circuit,
    /// The name in briefs and answers.
    pub name: &'static str,
    /// Whether the pin rises with the resistance, voltage or current at the far end; otherwise it falls.
    pub rises: bool,
    /// Whether 0 Ω, 0 V or 0 A at the far end is 0 V at the pin.
    pub keeps_zero: bool,
    /// Elements behind the far end and the connector, in the order of the chain. Elements that an input does not have are skipped.
    pub elements: &'static [(Of, Way)],
}

/// All circuits, in the order of [`Circuit`].
pub const CIRCUITS: &[Plan] =
    &[pull_up::PLAN, pull_down::PLAN, divider::PLAN, level_shift::PLAN, burden::PLAN, direct::PLAN];

impl Circuit {
    /// The plan of the circuit.
    pub fn plan(self) -> &'static Plan {
        &CIRCUITS[self as usize]
    }

    /// 1 where the pin rises with what is at the far end, −1 where it falls.
    pub fn sign(self) -> f64 {
        if self.plan().rises { 1.0 } else { -1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_circuit_finds_its_plan() {
        let all = [
            Circuit::PullUp,
            Circuit::PullDown,
            Circuit::Divider,
            Circuit::LevelShift,
            Circuit::Burden,
            Circuit::Direct,
        ];
        for circuit in all {
            assert_eq!(circuit.plan().circuit, circuit);
        }
    }
}
