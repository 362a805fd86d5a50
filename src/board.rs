//! The checked board: types only.
//!
//! A [`Board`] can be trusted: the reader of briefs has checked every range, name and unit, and has put a documented
//! default where the brief is silent. Nothing here knows about files or text.

mod senders;
mod stock;

use std::sync::Arc;

pub use senders::{Assembly, NamedSender};
pub use stock::{Reel, StockFile};

use crate::case::Case;
use crate::curve::Curve;
use crate::quantity::{
    Amperes, Band, Celsius, Counts, Farads, Fraction, Ohms, PerKelvin, Seconds, Volts, Watts, WattsPerKelvin,
};
use crate::series::Preferred;

/// A board with everything that the calculations need.
#[derive(Clone, Debug)]
pub struct Board {
    /// The name of the board.
    pub name: String,
    /// What feeds the board.
    pub supply: Supply,
    /// Temperatures in which the board lives.
    pub ambient: Band<Celsius>,
    /// Regulated supplies; never empty.
    pub rails: Vec<Rail>,
    /// The converter behind all inputs.
    pub converter: Converter,
    /// What the test bench is like.
    pub bench: Bench,
    /// The inputs in the order of the brief; their names differ.
    pub inputs: Vec<Input>,
    /// Tolerance grades to choose from, in the order of the brief; empty: none are given.
    pub grades: Vec<Offer>,
    /// Every default that was put where the brief is silent.
    pub assumed: Vec<Assumed>,
    /// What the reader has to say about the brief: keys that are read but not yet used in full.
    pub remarks: Vec<String>,
    /// What the reader doubts: readings of a sender that may not be what they seem.
    pub doubts: Vec<String>,
}

/// A default that was put where the brief is silent.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// The full key, such as `inputs.diesel.wire`.
    pub key: String,
    /// The value in the notation of the brief, such as `0 Ω`.
    pub value: String,
}

/// What feeds the board, and what reaches a wire when something chafes.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// The swing in normal use.
    pub swing: Band<Volts>,
    /// The usual voltage, inside the swing.
    pub usual: Volts,
    /// The highest voltage that a chafed wire can meet.
    pub contact: Volts,
    /// The surges, each examined by itself; none: surges are not examined.
    pub surges: Vec<Excursion>,
    /// The magnitude of a reversed supply.
    pub reversed: Option<Volts>,
    /// What jump leads bring.
    pub jump_start: Option<Excursion>,
    /// What the starter leaves.
    pub cranking: Option<Volts>,
    /// By how much it may change between the samples of two inputs, either way.
    pub change_between_samples: Volts,
}

/// A supply that is not as it should be for a while: it is taken as a steady voltage from a source without resistance,
/// and its duration counts for what a part stands and for the energy in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Excursion {
    /// Its voltage, of either sign.
    pub voltage: Volts,
    /// How long it lasts; `None`: not known.
    pub time: Option<Seconds>,
}

/// A rail of the board, by its place in [`Board::rails`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RailId(pub usize);

/// A regulated supply on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// The name.
    pub name: String,
    /// The nominal voltage.
    pub voltage: Volts,
    /// How far the voltage may be off, everything included.
    pub tolerance: Fraction,
    /// What the rail can sink.
    pub sink_current: Amperes,
    /// What the rest of the board draws from the rail at least.
    pub least_load: Amperes,
    /// Whether the rail stays up when the supply is reversed.
    pub on_when_reversed: bool,
}

impl Rail {
    /// The voltages that the rail may have.
    pub fn band(&self) -> Band<Volts> {
        Band::within(self.voltage, self.tolerance)
    }

    /// What may be fed into the rail before it rises: what it can sink, and what the board draws from it in any case.
    pub fn takes(&self) -> Amperes {
        self.sink_current + self.least_load
    }
}

/// What the converter measures against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reference {
    /// A rail: ratiometric with whatever that rail excites.
    Rail(RailId),
    /// A reference of its own.
    Own {
        /// The nominal voltage.
        voltage: Volts,
        /// How far it may be off, everything included.
        tolerance: Fraction,
    },
}

/// The converter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converter {
    /// The resolution: 1 to 32 bits.
    pub bits: u32,
    /// What full scale is.
    pub reference: Reference,
    /// The part of the input voltage that is to be trusted; `None`: all.
    pub usable: Option<Band<Volts>>,
    /// The share of full scale to be kept free at both ends.
    pub headroom: Fraction,
    /// Offset error, either sign.
    pub offset: Counts,
    /// Gain error, either sign.
    pub gain: Fraction,
    /// Integral nonlinearity, either sign.
    pub inl: Counts,
    /// Noise, either sign.
    pub noise: Counts,
    /// Leakage of the pin, either sign.
    pub leakage: Amperes,
    /// How far outside 0 .. clamp rail the pin conducts.
    pub clamp: Volts,
    /// The rail that the upper clamp leads to.
    pub clamp_rail: RailId,
    /// The current that the pin survives.
    pub pin_current: Amperes,
    /// How the converter samples.
    pub sampling: Sampling,
}

impl Converter {
    /// 2^bits.
    pub fn full_scale(&self) -> Counts {
        Counts((1_u64 << self.bits.min(53)) as f64)
    }

    /// 2^bits − 1, the highest count there is.
    pub fn highest_count(&self) -> Counts {
        self.full_scale() - Counts(1.0)
    }
}

/// The sampling capacitor and how long it is connected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampling {
    /// The sampling capacitor.
    pub capacitor: Farads,
    /// The resistance of the sampling switch.
    pub resistance: Ohms,
    /// How long the capacitor is connected to the pin.
    pub time: Seconds,
    /// The time between two samples.
    pub period: Seconds,
    /// What may be missing at the end.
    pub settles_to: Counts,
}

/// The test bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bench {
    /// Temperatures on the bench.
    pub temperature: Band<Celsius>,
    /// How far the decade box may be off.
    pub decade_box: Fraction,
}

/// How the parts of an input are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Circuit {
    /// A sender to ground, pulled up.
    PullUp,
    /// A sender to its excitation, pulled down.
    PullDown,
    /// A voltage, divided.
    Divider,
    /// A voltage of either sign, lifted by a rail.
    LevelShift,
    /// A current through a resistor.
    Burden,
    /// A voltage, straight on the pin.
    Direct,
}

/// What stands at the far end of the wire.
#[derive(Clone, Debug)]
pub enum Drive {
    /// A resistance to remote ground, or to its excitation.
    Sender(Sender),
    /// A voltage against remote ground.
    Signal(Signal),
    /// A current into the board.
    Current(Transmitter),
}

impl Drive {
    /// Whether a vehicle supply is what is measured.
    pub fn is_supply(&self) -> bool {
        matches!(self, Self::Signal(signal) if signal.from_supply)
    }
}

/// A sender: a resistance that follows what is measured.
#[derive(Clone, Debug)]
pub struct Sender {
    /// Value in the unit to resistance.
    pub curve: Curve<Ohms>,
    /// How far its resistance may be off.
    pub tolerance: Fraction,
    /// How far its value may be off.
    pub accuracy: Accuracy,
    /// How its own current warms it; `None`: not known.
    pub self_heating: Option<SelfHeating>,
}

/// How the current through a sender warms it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SelfHeating {
    /// The power that warms it by one kelvin above what it measures.
    pub per_kelvin: WattsPerKelvin,
    /// How many units of the dial one kelvin is: 1.8 on a dial in °F.
    pub units_per_kelvin: f64,
}

impl SelfHeating {
    /// By how much a power warms the sender, in the unit of the dial.
    pub fn warmth(&self, power: Watts) -> f64 {
        power.0 / self.per_kelvin.0 * self.units_per_kelvin
    }
}

/// How far a value may be off, in the unit of the dial: `constant + share · |value − zero|`.
///
/// That is how IEC 60751 grades platinum: class B is ±(0.3 + 0.005·|t|) °C.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Accuracy {
    /// The part that is the same everywhere, not negative.
    pub constant: f64,
    /// The part that grows with the distance from `zero`, as a share of it, from 0 to less than 1.
    pub share: f64,
    /// The value from which that distance counts.
    pub zero: f64,
}

impl Accuracy {
    /// Without error.
    pub const NONE: Self = Self::constant(0.0);

    /// The same everywhere.
    pub const fn constant(constant: f64) -> Self {
        Self { constant, share: 0.0, zero: 0.0 }
    }

    /// How far this value may be off.
    pub fn at(&self, value: f64) -> f64 {
        self.constant + self.share * (value - self.zero).abs()
    }
}

/// A voltage that follows what is measured.
#[derive(Clone, Debug)]
pub struct Signal {
    /// Value in the unit to voltage.
    pub curve: Curve<Volts>,
    /// Whether the voltage is a vehicle supply: surge, contact and a board that is off reach it.
    pub from_supply: bool,
    /// The rail that feeds the sensor, if its output is proportional to it.
    pub scales_with: Option<RailId>,
    /// The resistance of the source.
    pub resistance: Ohms,
}

/// A transmitter: it drives a current that follows what is measured.
#[derive(Clone, Debug)]
pub struct Transmitter {
    /// Value in the unit to current.
    pub curve: Curve<Amperes>,
    /// The highest voltage against which it drives its highest current; `None`: not known.
    pub compliance: Option<Volts>,
    /// What feeds its loop.
    pub loop_supply: LoopSupply,
}

/// What feeds the loop of a transmitter, against the ground of the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LoopSupply {
    /// The vehicle's supply, over its whole swing.
    Supply,
    /// A rail of the board.
    Rail(RailId),
    /// A supply of its own.
    Own(Band<Volts>),
}

/// An input of the board, by its place in [`Board::inputs`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InputId(pub usize);

/// What excites a sender.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Excitation {
    /// A rail of the board.
    Rail(RailId),
    /// The vehicle's supply, over its whole swing.
    Supply,
}

/// One pin of the converter with the parts in front of it.
#[derive(Clone, Debug)]
pub struct Input {
    /// The name.
    pub name: String,
    /// How the parts are connected.
    pub circuit: Circuit,
    /// What is at the far end; of several senders the first.
    pub drive: Drive,
    /// Several senders that the parts have to serve, in the order of the brief; empty: there is but one.
    pub senders: Vec<NamedSender>,
    /// How many sets of parts may serve these senders, at least 1.
    pub variants: usize,
    /// The sets of parts where there are several; empty: all senders are served by `parts`.
    pub assemblies: Vec<Assembly>,
    /// What excites the sender; `None` where nothing does.
    pub excitation: Option<Excitation>,
    /// The input that measures the vehicle's supply, which the firmware divides out of the reading of this one.
    pub corrected_by: Option<InputId>,
    /// The rail that lifts a level shift; `None` where nothing is lifted.
    pub bias_to: Option<RailId>,
    /// What already hangs on the measuring node.
    pub existing: Option<Existing>,
    /// The old gauge that stays connected to the measuring node.
    pub gauge: Option<Gauge>,
    /// A wet connector at the wire.
    pub wet: Option<Wet>,
    /// An external clamp, which takes the place of the converter's upper one.
    pub clamp: Option<Clamp>,
    /// The resistance of the wire.
    pub wire: Band<Ohms>,
    /// Remote ground against the ground of the board.
    pub ground_shift: Band<Volts>,
    /// What the sender sits in.
    pub fluid: Option<Fluid>,
    /// The parts in the order in which the circuit lists them; parts that are left out are listed as absent.
    pub parts: Vec<Part>,
    /// The capacitor at the pin.
    pub capacitor: Capacitor,
    /// The part of the range that matters most, in the unit; `None`: all of it.
    pub zone: Option<Band<f64>>,
    /// What makes one choice better than another.
    pub aim: Aim,
    /// Where the reading is examined, in the unit, in the order of the range.
    pub checkpoints: Vec<f64>,
    /// Cases that the parts have to survive.
    pub survive: Vec<Case>,
    /// What a choice must respect.
    pub limits: Limits,
    /// Thresholds in the firmware.
    pub alarms: Vec<Alarm>,
    /// How each board is calibrated; `None`: it is not.
    pub calibration: Option<Calibration>,
}

/// How the firmware of each board is told what it should read.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The points that are dialled on the bench, in the unit: one or two, ascending.
    pub points: Vec<f64>,
    /// How far the resistance, the voltage or the current that is dialled may be off, at each point by itself.
    pub accuracy: Fraction,
}

impl Input {
    /// Whether any of its parts is to be chosen.
    pub fn is_open(&self) -> bool {
        self.parts.iter().any(|part| matches!(part.choice, Choice::Choose { .. }))
    }
}

/// The capacitor at the pin, or from what it is to be chosen.
#[derive(Clone, Debug, PartialEq)]
pub enum Capacitor {
    /// Not there.
    Absent,
    /// Given.
    Fixed(Farads),
    /// To be chosen: standard values, ascending, never empty.
    Choose(Vec<Farads>),
}

impl Capacitor {
    /// The value; of values to choose from the largest, with which most resistors settle.
    pub fn largest(&self) -> Option<Farads> {
        match self {
            Self::Absent => None,
            Self::Fixed(farads) => Some(*farads),
            Self::Choose(candidates) => candidates.last().copied(),
        }
    }
}

/// What makes one choice of parts better than another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The assured span, as large as possible.
    Span,
    /// The least counts per unit in the zone, as many as possible.
    Resolution,
    /// The greatest error in the zone, as small as possible.
    Error,
    /// The bend of the count in the middle of the zone, as small as possible.
    Straight,
}

impl Aim {
    /// The word in briefs and answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Span => "span",
            Self::Resolution => "resolution",
            Self::Error => "error",
            Self::Straight => "straight",
        }
    }
}

/// What already hangs on the measuring node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Existing {
    /// Resistance from the node to ground.
    pub to_ground: Ohms,
    /// How far it may be off, everything included.
    pub tolerance: Fraction,
}

/// An old gauge that stays connected: a resistance from its feed to the measuring node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// The resistance of its coil, all that lies between feed and node.
    pub resistance: Ohms,
    /// How far it may be off, everything included.
    pub tolerance: Fraction,
    /// What feeds it.
    pub from: Feed,
}

impl Gauge {
    /// Whether its feed goes on and off all the time.
    pub fn is_pulsed(&self) -> bool {
        matches!(self.from, Feed::Stabiliser { pulsed: true, .. })
    }
}

/// What feeds a gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// The vehicle's supply.
    Supply,
    /// A rail of the board.
    Rail(RailId),
    /// A stabiliser in the cluster of gauges, which the vehicle's supply feeds.
    Stabiliser {
        /// Its nominal voltage against the ground of the board.
        voltage: Volts,
        /// How far that may be off, everything included.
        tolerance: Fraction,
        /// Whether it is a contact that opens and closes, so that the gauge is fed or open.
        pulsed: bool,
    },
}

/// An external clamp to ground, a zener diode or a suppressor: it holds its node below a voltage of its own, with the board
/// on or off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clamp {
    /// The voltage from which it conducts.
    pub upper: Volts,
    /// How far that may be off, everything included.
    pub tolerance: Fraction,
    /// The current that it survives.
    pub current: Amperes,
    /// What it leaks below its voltage, either sign.
    pub leakage: Amperes,
    /// Where it is.
    pub at: ClampPlace,
}

/// Where an external clamp is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClampPlace {
    /// At the measuring node, in front of `protection`.
    Node,
    /// At the pin, behind `protection`.
    Pin,
}

/// A wet connector: between the end of the wire and a neighbour anything from a resistance to open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wet {
    /// The neighbour.
    pub to: Neighbour,
    /// The least resistance.
    pub resistance: Ohms,
}

/// What lies beside the wire in a connector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Neighbour {
    /// The ground of the board.
    Ground,
    /// The vehicle's supply.
    Supply,
}

/// What a sender sits in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fluid {
    /// Petrol.
    Petrol,
    /// Diesel.
    Diesel,
    /// Oil.
    Oil,
    /// Water or coolant.
    Water,
    /// Anything else.
    Other,
}

/// What a part does in its circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// In series on the wire side of the measuring node.
    Line,
    /// From the excitation to the measuring node.
    PullUp,
    /// From the measuring node to ground, below a sender that hangs on its excitation.
    PullDown,
    /// From the measuring node to ground.
    Shunt,
    /// In series in front of an existing divider.
    Extension,
    /// The upper part of a divider.
    Top,
    /// From the measuring node to a rail, which lifts the node.
    Bias,
    /// The lower part of a divider.
    Bottom,
    /// From the measuring node to ground, where a current makes a voltage.
    Burden,
    /// Between the measuring node and the pin.
    Protection,
}

impl Role {
    /// The key of the part in briefs and answers.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::PullUp => "pull_up",
            Self::PullDown => "pull_down",
            Self::Shunt => "shunt",
            Self::Extension => "extension",
            Self::Top => "top",
            Self::Bias => "bias",
            Self::Bottom => "bottom",
            Self::Burden => "burden",
            Self::Protection => "protection",
        }
    }
}

/// One resistor of an input.
#[derive(Clone, Debug)]
pub struct Part {
    /// What it does.
    pub role: Role,
    /// Its value, or from what it is to be chosen.
    pub choice: Choice,
    /// How good it is and what it stands.
    pub grade: Grade,
    /// Whether the brief names a tolerance, a tempco or an ageing of its own for it, so that no other grade is chosen.
    pub has_own_grade: bool,
    /// The group that it tracks in, by name: parts of one network or one reel, all of one grade, that are off by one common
    /// factor. `None`: it is off by itself.
    pub tracks: Option<String>,
    /// The stock file that it is taken from; `None`: it is bought wherever it can be had.
    pub stock: Option<Arc<StockFile>>,
}

/// The value of a part, or from what it is to be chosen.
#[derive(Clone, Debug)]
pub enum Choice {
    /// Not there.
    Absent,
    /// Given.
    Fixed(Ohms),
    /// To be chosen.
    Choose {
        /// Standard values or those of a stock file, ascending, never empty.
        candidates: Vec<Preferred>,
        /// Whether it may be left out.
        or_none: bool,
    },
}

/// How good a part is and what it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// How far a new part may be off.
    pub tolerance: Fraction,
    /// Its change with temperature, either sign.
    pub tempco: PerKelvin,
    /// Its change over life, either sign.
    pub ageing: Fraction,
    /// Dissipation that it stands up to `derated_from`.
    pub rating: Watts,
    /// The voltage that it stands.
    pub working_voltage: Volts,
    /// Ambient temperature from which the rating falls.
    pub derated_from: Celsius,
    /// Ambient temperature at which nothing is left of the rating.
    pub derated_to_zero: Celsius,
    /// The share of the derated rating that may be used in normal use.
    pub derate_to: Fraction,
    /// What it stands for a short while; `None`: not known.
    pub momentary: Option<Momentary>,
}

/// A tolerance grade that can be had, and its price.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offer {
    /// How far a new part may be off.
    pub tolerance: Fraction,
    /// Its change with temperature, either sign.
    pub tempco: PerKelvin,
    /// Its change over life, either sign.
    pub ageing: Fraction,
    /// What one part costs.
    pub price: Price,
}

impl Offer {
    /// A part of this grade that stands what the other one stands.
    pub fn of(&self, other: &Grade) -> Grade {
        Grade { tolerance: self.tolerance, tempco: self.tempco, ageing: self.ageing, ..other.clone() }
    }
}

/// A price in ten-thousandths of whatever currency the brief means: whole, so that sums are exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Price(pub u64);

impl Price {
    /// How many of it make one of the currency.
    pub const UNITS: u64 = 10_000;

    /// In the currency, for answers: never to be calculated with.
    pub fn in_currency(self) -> f64 {
        self.0 as f64 / Self::UNITS as f64
    }
}

/// What a part stands for a short while, from the short-time overload test of its data sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Momentary {
    /// Dissipation up to the temperature at which the rating begins to fall.
    pub power: Watts,
    /// Voltage.
    pub voltage: Volts,
    /// For how long.
    pub time: Seconds,
}

impl Grade {
    /// What the part stands at an ambient temperature: all of the rating up to `derated_from`, then linearly down to
    /// nothing at `derated_to_zero`, as in the derating curve of chip resistor data sheets.
    pub fn derated(&self, ambient: Celsius) -> Watts {
        self.rating * self.left(ambient)
    }

    /// The share of its ratings that is left at an ambient temperature.
    pub fn left(&self, ambient: Celsius) -> f64 {
        let width = self.derated_to_zero - self.derated_from;
        ((self.derated_to_zero - ambient) / width).clamp(0.0, 1.0)
    }

    /// What the part stands for as long as something lasts, if that is known and not too long.
    pub fn momentary_for(&self, lasts: Option<Seconds>) -> Option<Momentary> {
        self.momentary.filter(|momentary| lasts.is_some_and(|time| time <= momentary.time))
    }
}

/// Whether a limit is watched, and with what bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting<Q> {
    /// Not watched.
    Off,
    /// Watched with the bound that the board itself gives.
    Usual,
    /// Watched with this bound.
    At(Q),
}

/// What a choice must respect, and how each limit is set for one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The whole range stays inside the converter's.
    pub converter_range: Setting<()>,
    /// Current into the clamps of the pin, in every case. Usual: the converter's.
    pub pin_current: Setting<Amperes>,
    /// Dissipation of each part. Usual: its derated rating.
    pub dissipation: Setting<Watts>,
    /// Voltage across each part. Usual: its working voltage.
    pub part_voltage: Setting<Volts>,
    /// The sample settles. Usual: to `sampling.settles_to`.
    pub settling: Setting<Counts>,
    /// Source resistance at the pin, at most.
    pub source_resistance: Setting<Ohms>,
    /// What leakage does to the count, at most.
    pub leakage_error: Setting<Counts>,
    /// Current through the sender or out of the source, at most.
    pub sender_current: Setting<Amperes>,
    /// The same current, at least.
    pub wetting_current: Setting<Amperes>,
    /// Dissipation of the sender, at most.
    pub sender_power: Setting<Watts>,
    /// Current that the input draws from the vehicle's supply, at most.
    pub supply_current: Setting<Amperes>,
    /// Resistance that the far end sees, at least.
    pub input_resistance: Setting<Ohms>,
    /// What a transmitter has to drive its current against, at most. Usual: what it is made for.
    pub compliance: Setting<Volts>,
    /// How far a reading in the zone may be off, in the unit.
    pub error: Setting<f64>,
    /// What the input feeds back into a rail, at most. Usual: what the rail takes.
    pub rail_backfeed: Setting<Amperes>,
    /// Time constant of the source and the capacitor at the pin, at least.
    pub filter_time: Setting<Seconds>,
    /// Counts between normal use and a wire that is broken or lies on ground or supply, at least.
    pub fault_gap: Setting<Counts>,
}

/// A threshold in the firmware.
#[derive(Clone, Debug, PartialEq)]
pub struct Alarm {
    /// The name.
    pub name: String,
    /// On which side of the threshold it comes.
    pub side: Side,
    /// The threshold, in the unit.
    pub at: f64,
    /// How far the reading must return before it goes, in the unit.
    pub hysteresis: f64,
    /// Here and beyond, towards the alarm, it must have come on every board.
    pub certain_at: f64,
    /// Here and beyond, away from the alarm, it must be off on every board.
    pub quiet_at: f64,
}

impl Alarm {
    /// The threshold of the reading at which it goes again: as soon as the reading is no longer beyond it.
    pub fn goes_at(&self) -> f64 {
        match self.side {
            Side::Below => self.at + self.hysteresis,
            Side::Above => self.at - self.hysteresis,
        }
    }
}

/// On which side of a threshold an alarm comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// It comes below the threshold.
    Below,
    /// It comes above the threshold.
    Above,
}
