//! Sources of error: what may be off, how far, and how it is spread.

use rand::RngExt;
use rand_distr::StandardNormal;

use crate::board::Role;

/// How the values of a source are spread between its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// Anything between two limits, equally likely: what is left where only limits are known (JCGM 100, 4.3.7).
    Rectangular,
    /// Normal, cut off at so many standard deviations to either side; infinite: not cut off.
    Normal {
        /// Where it is cut off.
        cut: f64,
    },
    /// One of two values, equally likely: a contact that is open or closed.
    TwoStates,
}

impl Distribution {
    /// How many standard deviations the limits are from the middle.
    pub fn reach(self) -> f64 {
        match self {
            Self::Rectangular => 3.0_f64.sqrt(),
            Self::Normal { cut } => cut,
            Self::TwoStates => 1.0,
        }
    }

    /// One value, in standard deviations from the middle.
    pub(super) fn draw(self, random: &mut impl rand::Rng) -> f64 {
        match self {
            Self::Rectangular => (2.0 * random.random::<f64>() - 1.0) * self.reach(),
            Self::Normal { cut } => loop {
                let drawn: f64 = random.sample(StandardNormal);
                if drawn.abs() <= cut {
                    return drawn;
                }
            },
            Self::TwoStates => at_an_end(random),
        }
    }
}

impl Distribution {
    /// One value for each of some boards, in standard deviations from the middle.
    ///
    /// Equally likely values come two from each 64-bit number: 32 bits are steps of 2.3·10⁻¹⁰ of the width between the
    /// limits, far below what a spread is known to. They are the middles of equal steps, so that their mean is that of the
    /// limits and none lies outside these.
    #[inline]
    pub(super) fn draw_each<const LANES: usize>(self, random: &mut impl rand::Rng) -> [f64; LANES] {
        /// What signed numbers of 32 bits reach.
        const HALF_WIDTH: f64 = 2_147_483_648.0;
        if self == Self::Rectangular {
            let mut steps = [0_i32; LANES];
            for two in steps.chunks_mut(2) {
                let bits = random.next_u64();
                for (step, half) in two.iter_mut().zip([bits, bits >> 32]) {
                    *step = half as i32;
                }
            }
            let per_step = self.reach() / HALF_WIDTH;
            return steps.map(|step| (f64::from(step) + 0.5) * per_step);
        }
        std::array::from_fn(|_| self.draw(random))
    }
}

/// −1 or 1.
pub(super) fn at_an_end(random: &mut impl rand::Rng) -> f64 {
    if random.random::<bool>() { 1.0 } else { -1.0 }
}

/// How far a quantity may be from its nominal value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The middle between the limits, less the nominal value.
    pub middle: f64,
    /// The standard uncertainty.
    pub standard: f64,
    /// How the values are spread.
    pub distribution: Distribution,
}

impl Spread {
    /// Equally likely within ± `half` of nominal.
    pub fn within(half: f64) -> Self {
        Self::between(-half, half)
    }

    /// Equally likely between two deviations from nominal.
    pub fn between(lowest: f64, highest: f64) -> Self {
        let distribution = Distribution::Rectangular;
        Self {
            middle: f64::midpoint(lowest, highest),
            standard: (highest - lowest) / 2.0 / distribution.reach(),
            distribution,
        }
    }

    /// Both limits, as deviations from nominal.
    pub fn limits(&self) -> [f64; 2] {
        let half = self.standard * self.distribution.reach();
        [self.middle - half, self.middle + half]
    }
}

/// What is behind a source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The tolerance of a new part.
    Tolerance,
    /// Its change with temperature.
    Tempco,
    /// Its change over life.
    Ageing,
    /// A rail.
    Rail,
    /// The reference of the converter, if it is no rail.
    Reference,
    /// The vehicle's supply.
    Supply,
    /// What the supply changes between two samples.
    SupplyChange,
    /// A stabiliser of gauges.
    Stabiliser,
    /// An external clamp.
    Clamp,
    /// Remote ground.
    GroundShift,
    /// What already hangs on the node.
    Existing,
    /// The resistance of the old gauge.
    Gauge,
    /// The contact of a pulsed gauge.
    GaugeContact,
    /// A wet connector.
    Wet,
    /// The wire.
    Wire,
    /// The sender's resistance.
    SenderTolerance,
    /// The value that the sender stands for.
    SenderAccuracy,
    /// The sender's own warmth.
    SelfHeating,
    /// What stands in for the sender on the bench.
    DecadeBox,
    /// What stands in for the far end while the board is calibrated.
    Calibrator,
    /// Leakage of the pin.
    Leakage,
    /// Gain of the converter.
    Gain,
    /// Its offset.
    Offset,
    /// Its nonlinearity.
    Inl,
    /// Its noise.
    Noise,
    /// What is lost when a count is truncated.
    Truncation,
}

impl Cause {
    /// The name in answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tolerance => "tolerance",
            Self::Tempco => "tempco",
            Self::Ageing => "ageing",
            Self::Rail => "rail",
            Self::Reference => "reference",
            Self::Supply => "supply",
            Self::SupplyChange => "supply change",
            Self::Stabiliser => "stabiliser",
            Self::Clamp => "clamp",
            Self::GroundShift => "ground shift",
            Self::Existing => "existing",
            Self::Gauge => "gauge",
            Self::GaugeContact => "gauge contact",
            Self::Wet => "wet connector",
            Self::Wire => "wire",
            Self::SenderTolerance => "sender tolerance",
            Self::SenderAccuracy => "sender accuracy",
            Self::SelfHeating => "self heating",
            Self::DecadeBox => "decade box",
            Self::Calibrator => "calibrator",
            Self::Leakage => "leakage",
            Self::Gain => "gain",
            Self::Offset => "offset",
            Self::Inl => "inl",
            Self::Noise => "noise",
            Self::Truncation => "truncation",
        }
    }
}

impl Cause {
    /// The unit of its limits.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Tolerance
            | Self::Tempco
            | Self::Ageing
            | Self::Existing
            | Self::Gauge
            | Self::SenderTolerance
            | Self::DecadeBox
            | Self::Calibrator
            | Self::Gain => "share",
            Self::Rail
            | Self::Reference
            | Self::Supply
            | Self::SupplyChange
            | Self::Stabiliser
            | Self::Clamp
            | Self::GroundShift => "V",
            Self::GaugeContact => "share of its conductance",
            Self::Wet => "S",
            Self::Wire => "Ω",
            Self::SenderAccuracy => "share of its accuracy",
            Self::SelfHeating => "share of its greatest warmth",
            Self::Leakage => "A",
            Self::Offset | Self::Inl | Self::Noise | Self::Truncation => "counts",
        }
    }
}

/// Where a source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// The converter, the wire, the sender: there is one of each for an input.
    Input,
    /// A part.
    Part(Role),
    /// A rail, by its place on the board.
    Rail(usize),
}

/// One source of error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// What is behind it.
    pub cause: Cause,
    /// Where it is.
    pub owner: Owner,
    /// Whether it is one of the input that corrects this one, and not of this one.
    pub of_meter: bool,
    /// The point, in the unit, at whose calibration it was at work, if it was only there.
    pub point: Option<f64>,
    /// How far it may be off, in the unit of what it acts on.
    pub spread: Spread,
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use rand::{SeedableRng, TryRng};

    use super::Distribution;
    use crate::stackup::trials::Generator;

    /// Gives one number for ever.
    struct Given(u64);

    impl TryRng for Given {
        type Error = Infallible;

        fn try_next_u32(&mut self) -> Result<u32, Infallible> {
            Ok(self.0 as u32)
        }

        fn try_next_u64(&mut self) -> Result<u64, Infallible> {
            Ok(self.0)
        }

        fn try_fill_bytes(&mut self, _: &mut [u8]) -> Result<(), Infallible> {
            Ok(())
        }
    }

    /// By hand: the lowest and the highest number of 32 bits are half a step, 2⁻³² of the reach, inside the limits; 0 is half
    /// a step above the middle. An odd number of boards leaves a half unused.
    #[test]
    fn both_halves_of_a_number_are_drawn_and_stay_between_the_limits() {
        let (reach, half_step) = (3.0_f64.sqrt(), 0.5_f64.powi(32));
        let (lowest, highest) = (-reach * (1.0 - half_step), reach * (1.0 - half_step));
        let drawn: [f64; 4] = Distribution::Rectangular.draw_each(&mut Given(0x7FFF_FFFF_8000_0000));
        for (found, expected) in drawn.into_iter().zip([lowest, highest, lowest, highest]) {
            assert!((found - expected).abs() < 1e-15, "{found} {expected}");
        }
        let drawn: [f64; 3] = Distribution::Rectangular.draw_each(&mut Given(0xFFFF_FFFF_0000_0000));
        let step = reach * half_step;
        for (found, expected) in drawn.into_iter().zip([step, -step, step]) {
            assert!((found - expected).abs() < 1e-24, "{found} {expected}");
        }
    }

    /// Boards beside each other share a number, and must not share their luck: pairs of them over 8 × 8 equal cells.
    #[test]
    fn neighbours_from_one_number_are_independent() {
        const PAIRS: u32 = 640_000;
        let mut random = Generator::seed_from_u64(1);
        let mut seen = [[0_u32; 8]; 8];
        let reach = Distribution::Rectangular.reach();
        let cell = |value: f64| ((value / reach + 1.0) * 4.0) as usize;
        for _ in 0..PAIRS / 4 {
            let drawn: [f64; 8] = Distribution::Rectangular.draw_each(&mut random);
            for two in drawn.chunks(2) {
                seen[cell(two[0])][cell(two[1])] += 1;
            }
        }
        let expected = f64::from(PAIRS) / 64.0;
        let square = |&boards: &u32| (f64::from(boards) - expected).powi(2) / expected;
        let chi_square: f64 = seen.as_flattened().iter().map(square).sum();
        // 63 degrees of freedom: above 132 and below 23 once in a million each (approximation of Wilson and Hilferty, by hand).
        assert!((23.0..132.0).contains(&chi_square), "{chi_square}");
    }
}
