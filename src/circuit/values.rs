//! Part values, and the limits between which a real part lies.

use super::Outlook;
use crate::board::{Board, Choice, Grade, Input, Role};
use crate::quantity::{Band, Celsius, Fraction, Ohms, PerKelvin};

/// The nominal values of the parts of one input; `None`: not there.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Values([Option<Ohms>; Role::COUNT]);

impl Role {
    /// How many roles there are.
    pub const COUNT: usize = 10;
}

impl Values {
    /// The values that the brief gives; parts to be chosen are not there yet.
    pub fn given(input: &Input) -> Self {
        let mut values = Self::default();
        for part in &input.parts {
            if let Choice::Fixed(ohms) = part.choice {
                values.set(part.role, Some(ohms));
            }
        }
        values
    }

    /// The value of a part.
    pub fn get(&self, role: Role) -> Option<Ohms> {
        self.0[role as usize]
    }

    /// Puts a part in, or leaves it out.
    pub fn set(&mut self, role: Role, value: Option<Ohms>) {
        self.0[role as usize] = value;
    }

    /// How many parts are there.
    pub fn count(&self) -> usize {
        self.0.iter().flatten().count()
    }
}

/// Temperatures in which a part is looked at, as the largest distance from 25 °C, where parts are specified.
#[derive(Clone, Copy, Debug)]
pub struct Climate {
    kelvins: f64,
}

impl Climate {
    /// The climate of a band of temperatures.
    pub fn of(temperatures: Band<Celsius>) -> Self {
        const SPECIFIED_AT: f64 = 25.0;
        Self {
            kelvins: (temperatures.lowest.0 - SPECIFIED_AT)
                .abs()
                .max((temperatures.highest.0 - SPECIFIED_AT).abs()),
        }
    }
}

impl Climate {
    /// The change of a part with this temperature coefficient, either sign.
    pub fn drift(self, tempco: PerKelvin) -> Fraction {
        Fraction(tempco.0 * self.kelvins)
    }
}

/// The limits of a part: R·(1 ± tolerance)·(1 ± ageing)·(1 ± tempco·ΔT). New parts on the bench have not aged.
pub fn limits_of(nominal: Ohms, grade: &Grade, board: &Board, outlook: Outlook) -> Band<Ohms> {
    let (climate, ageing) = match outlook {
        Outlook::Nominal => return Band::exactly(nominal),
        Outlook::Bench => (Climate::of(board.bench.temperature), 0.0),
        Outlook::Life => (Climate::of(board.ambient), grade.ageing.0),
    };
    let drift = climate.drift(grade.tempco).0;
    let end = |sign: f64| {
        nominal * ((1.0 + sign * grade.tolerance.0) * (1.0 + sign * ageing) * (1.0 + sign * drift))
    };
    Band { lowest: end(-1.0), highest: end(1.0) }
}
