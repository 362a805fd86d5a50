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
    #[inline]
    pub(super) fn draw_each<const LANES: usize>(self, random: &mut impl rand::Rng) -> [f64; LANES] {
        if self == Self::Rectangular {
            let reach = self.reach();
            let drawn: [f64; LANES] = std::array::from_fn(|_| random.random::<f64>());
            return drawn.map(|share| (2.0 * share - 1.0) * reach);
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
