//! Disturbances of a vehicle's supply at the levels of standards.
//!
//! Load dump: ISO 16750-2 gives the voltage itself, alternator included; of test A (no suppression) the upper end, of
//! test B the suppressed one (24 V: the typical value of what the customer specifies). Pulses: ISO 7637-2, the highest
//! levels of its 2011 edition. What they add to the supply is taken on top of its 13.5 V or 27 V. Negative ones and
//! voltages of either kind of which the figures do not say what they start from are taken on the safe side: those below
//! 0 V from 0 V, those above on top of the supply. Source resistances (2 Ω to 50 Ω for the pulses) are left out, which is
//! the safe side, too.

use crate::board::Excursion;
use crate::quantity::{Seconds, Volts};

/// A surge at the level of a standard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Level {
    /// The standard, the system, and the disturbance.
    pub(crate) name: &'static str,
    voltage: Volts,
    time: Seconds,
}

impl Level {
    /// What is examined.
    pub(crate) const fn excursion(&self) -> Excursion {
        Excursion { voltage: self.voltage, time: Some(self.time) }
    }
}

/// The supply while the alternator runs, by ISO 7637-2.
const UA_12: f64 = 13.5;
const UA_24: f64 = 27.0;

const fn level(name: &'static str, volts: f64, seconds: f64) -> Level {
    Level { name, voltage: Volts(volts), time: Seconds(seconds) }
}

/// All surges that have a name.
pub(crate) const SURGES: [Level; 14] = [
    level("ISO 16750-2 12 V load dump A", 101.0, 0.4),
    level("ISO 16750-2 12 V load dump B", 35.0, 0.4),
    level("ISO 16750-2 24 V load dump A", 202.0, 0.35),
    level("ISO 16750-2 24 V load dump B", 58.0, 0.35),
    level("ISO 7637-2 12 V pulse 1", -150.0, 2e-3),
    level("ISO 7637-2 12 V pulse 2a", UA_12 + 112.0, 50e-6),
    level("ISO 7637-2 12 V pulse 2b", UA_12 + 10.0, 0.2),
    level("ISO 7637-2 12 V pulse 3a", -220.0, 150e-9),
    level("ISO 7637-2 12 V pulse 3b", UA_12 + 150.0, 150e-9),
    level("ISO 7637-2 24 V pulse 1", -600.0, 1e-3),
    level("ISO 7637-2 24 V pulse 2a", UA_24 + 112.0, 50e-6),
    level("ISO 7637-2 24 V pulse 2b", UA_24 + 20.0, 0.2),
    level("ISO 7637-2 24 V pulse 3a", -300.0, 150e-9),
    level("ISO 7637-2 24 V pulse 3b", UA_24 + 300.0, 150e-9),
];

/// What stands for a level of ISO 16750-2 where there is only one.
pub(super) const STANDARD: &str = "ISO 16750-2";

/// Jump start of a 12 V system: ISO 16750-2.
pub(super) const JUMP_START: Excursion = Excursion { voltage: Volts(24.0), time: Some(Seconds(60.0)) };

/// The lowest voltage of the starting profile of ISO 16750-2, 12 V and 24 V systems, as a library of transient models
/// has it by default; the standard has more severe levels.
pub(super) const CRANKING: Volts = Volts(6.0);
