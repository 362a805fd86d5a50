//! What was found, as data.
//!
//! The fields stand in the order in which the JSON form prints them; numbers are in SI base units unless a unit
//! stands beside them, values of what is measured are in the input's unit, shares are 0..1. Nothing is calculated
//! here or after here.

mod calibration;
mod purchase;
mod senders;
mod share;
mod stack_up;

pub use calibration::{CalibrationAnswer, CauseRow, GoodParts};
pub use purchase::{PurchaseAnswer, PurchasePart, PurchaseResistor, PurchaseRow, ReelAnswer};
pub use senders::{SenderAnswer, SetOfParts, VariantsRow};
pub use share::{FamilyAnswer, ShareAnswer, ShareTradeRow, SharedInput, SharedValue};
pub use stack_up::{
    Drawn, Histogram, MonteCarlo, NextGrade, RankedRow, SourceName, SourceRow, StackUp, View, Yield,
};

use std::borrow::Cow;

use serde::ser::{Serialize, SerializeMap, Serializer};

/// A map that keeps its order.
#[derive(Clone, Debug, PartialEq)]
pub struct Ordered<T>(pub Vec<(String, T)>);

impl<T> Default for Ordered<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Ordered<T> {
    /// Whether nothing is there.
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<T: Serialize> Serialize for Ordered<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (key, value) in &self.0 {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

/// Whether everything holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// All limits hold.
    Holds,
    /// A limit does not hold.
    Fails,
    /// No choice exists.
    Impossible,
}

impl Verdict {
    /// The word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Fails => "fails",
            Self::Impossible => "impossible",
        }
    }
}

/// The whole answer.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Answer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: String,
    /// The name of the board.
    pub board: String,
    /// The worst verdict of all inputs.
    pub verdict: Verdict,
    /// Defaults that were put where the brief is silent.
    pub assumed: Vec<Assumed>,
    /// What may hurt somebody or something.
    pub cautions: Vec<String>,
    /// What else there is to say.
    pub remarks: Vec<String>,
    /// One answer an input, in the order of the brief.
    pub inputs: Ordered<InputAnswer>,
    /// How many sets of parts the inputs with several senders need, and for which senders.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<VariantsRow>,
    /// The tolerance grades, where they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grades: Option<GradesAnswer>,
    /// What all inputs together feed back into the rails.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rails: Vec<RailRow>,
    /// The values that all inputs share, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<ShareAnswer>,
    /// What has to be bought, for a board that a brief describes.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub purchase: Option<PurchaseAnswer>,
}

/// A default that was put where the brief is silent.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Assumed {
    /// The full key.
    pub key: String,
    /// The value in the notation of the brief.
    pub value: String,
}

/// The cheapest tolerance grades with which every limit holds.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct GradesAnswer {
    /// `holds`, or `impossible` where no choice of grades keeps the limits of an input.
    pub verdict: Verdict,
    /// What all parts cost together, those left out whose grade the brief gives.
    pub price: f64,
    /// The parts that are there, in the order of the board.
    pub parts: Vec<GradeRow>,
    /// What the grades do for each input that has its parts.
    pub inputs: Ordered<GradesOfInput>,
    /// What one grade of the list for all these parts would cost, in the order of the list.
    pub same_for_all: Vec<SameGradeRow>,
    /// How the choice was found.
    pub search: GradesSearch,
}

/// A part with its grade.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct GradeRow {
    /// The input.
    pub input: String,
    /// The part.
    pub part: &'static str,
    /// Its grade.
    #[serde(flatten)]
    pub grade: GradeAnswer,
    /// What it costs; null: the brief gives its grade.
    pub price: Option<f64>,
}

/// A tolerance grade.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct GradeAnswer {
    /// How far a new part may be off, a share.
    pub tolerance: f64,
    /// Its change with temperature, either sign, a share per kelvin.
    pub tempco: f64,
    /// Its change over life, a share.
    pub ageing: f64,
}

/// What the grades do for one input.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct GradesOfInput {
    /// `holds`; `fails`: no choice was found before the search was stopped; `impossible`: there is none.
    pub verdict: Verdict,
    /// The greatest error with the grade that the brief gives for all parts, in the unit; null: it is not known.
    pub error_before: Option<f64>,
    /// The greatest error with the grades that were chosen.
    pub error: Option<f64>,
    /// The greatest error with the best grade of the list for every part, where the limits cannot be kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error_at_best: Option<f64>,
    /// The limit; null: there is none.
    pub allowed: Option<f64>,
    /// The unit of all of these.
    pub unit: String,
}

/// One grade for all parts.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SameGradeRow {
    /// The grade.
    #[serde(flatten)]
    pub grade: GradeAnswer,
    /// What all parts cost then.
    pub price: f64,
    /// Whether everything holds then that can hold.
    pub holds: bool,
}

/// How the grades were found.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct GradesSearch {
    /// Choices whose limits were looked at, each input apart.
    pub examined: usize,
    /// What these looks excluded, in rows of the programme.
    pub cuts: usize,
    /// Integer programmes that were solved.
    pub programmes: usize,
    /// `complete`: the price is proven to be the least.
    pub proof: &'static str,
}

/// What one event feeds back into one rail.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RailRow {
    /// The rail.
    pub rail: String,
    /// The event: a case that reaches several inputs at once, or the wire of one of them.
    pub event: &'static str,
    /// The input whose wire lies on the supply.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wire: Option<String>,
    /// What is fed back in all, in amperes.
    pub fed_back_a: f64,
    /// What the rail takes before it rises, in amperes.
    pub takes_a: f64,
    /// The bound of `rail_backfeed`, if it is limited, in amperes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed_a: Option<f64>,
    /// The voltage to which the rail may rise if that is more than it takes, in volts.
    pub lifted_to_v: Option<f64>,
    /// Whether the limit holds.
    pub holds: bool,
    /// The inputs that take part.
    pub by: Vec<FedInput>,
}

/// What one input feeds back.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct FedInput {
    /// The input.
    pub input: String,
    /// In amperes.
    pub fed_back_a: f64,
}

/// The answer for one input.
#[derive(Clone, Debug, serde::Serialize)]
pub struct InputAnswer {
    /// How the parts are connected.
    pub circuit: &'static str,
    /// The unit of what is measured.
    pub unit: String,
    /// What the choice aims at.
    pub aim: &'static str,
    /// Whether everything holds.
    pub verdict: Verdict,
    /// The parts by role in the order of the circuit, and the capacitor; empty if no choice exists.
    pub parts: Ordered<Option<PartAnswer>>,
    /// Counts between the ends of the range.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span: Option<Span>,
    /// How finely the converter sees the zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resolution: Option<Resolution>,
    /// How far a reading in the zone may be off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error: Option<GreatestError>,
    /// What the nominal count would be read as without a table: by a straight line between the ends of the zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub straight_line: Option<StraightLine>,
    /// What the reading is worth over the zone, in three views.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stack_up: Option<StackUp>,
    /// What its calibration leaves of the error; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calibration: Option<CalibrationAnswer>,
    /// Each limit with its worst case.
    pub limits: Vec<LimitRow>,
    /// Counts that occur in normal use, truncated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub working_band: Option<CountBand>,
    /// Counts and readings over the range.
    pub checkpoints: Vec<Checkpoint>,
    /// Each case that exists for the input, normal use left out.
    pub cases: Vec<CaseRow>,
    /// What the reading shows with a fault that no count gives away.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub soft_faults: Vec<SoftFaultRow>,
    /// Where alarms come and go.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub alarms: Vec<AlarmRow>,
    /// What each source of error does to the reading, the worst first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ranking: Vec<RankedRow>,
    /// What random boards show.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub monte_carlo: Option<MonteCarlo>,
    /// The sender that all that is said of the input itself is about: of several the one that loses most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<String>,
    /// Each of several senders.
    #[serde(skip_serializing_if = "<Ordered<SenderAnswer>>::is_empty")]
    pub senders: Ordered<SenderAnswer>,
    /// What the input draws from the vehicle's supply with the board off, in amperes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply_current_board_off_a: Option<f64>,
    /// What other values of the part that feeds a sender would give.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub trade: Vec<TradeRow>,
    /// What may help where resistors alone do not do.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub advice: Vec<String>,
    /// What else there is to say.
    pub remarks: Vec<String>,
    /// What may hurt somebody or something.
    pub cautions: Vec<String>,
    /// If nothing fits: the fewest limits that exclude each other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub conflict: Vec<ConflictRow>,
    /// How the choice was searched; absent where nothing was to be chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub search: Option<Search>,
    /// The best choices with other values.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runners_up: Option<Vec<RunnerUp>>,
}

/// One part.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(untagged)]
pub enum PartAnswer {
    /// A resistor.
    Resistor {
        /// Nominal value.
        ohm: f64,
        /// Tolerance, a share.
        tolerance: f64,
        /// The series it was chosen from, or `stock`: a stock file.
        series: Option<String>,
        /// Whether it was chosen.
        chosen: bool,
        /// The group that it tracks in.
        #[serde(skip_serializing_if = "Option::is_none")]
        tracks: Option<String>,
    },
    /// A capacitor.
    Capacitor {
        /// Nominal value.
        farad: f64,
        /// Whether it was chosen.
        #[serde(skip_serializing_if = "std::ops::Not::not")]
        chosen: bool,
    },
}

/// Counts between the ends of the range.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Span {
    /// With everything at its nominal value.
    pub nominal_counts: f64,
    /// In the worst case.
    pub assured_counts: f64,
}

/// How finely the converter sees what is measured, with everything at its nominal value.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Resolution {
    /// The fewest counts for one unit in the zone.
    pub least_counts_per_unit: f64,
    /// Where they are so few.
    pub at: f64,
    /// At the lower end of the zone.
    pub at_lowest: f64,
    /// At the upper end of the zone.
    pub at_highest: f64,
    /// The zone: from here,
    pub from: f64,
    /// to here.
    pub to: f64,
}

/// The greatest error of a reading in the zone, everything of the life band included.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct GreatestError {
    /// How far a reading may be off, in the unit.
    pub greatest: f64,
    /// The true value at which it may be so far off.
    pub at: f64,
}

/// What a straight line between the ends of the zone would make of the nominal count.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct StraightLine {
    /// How far it is off at its worst place, signed, in the unit.
    pub off: f64,
    /// The true value there.
    pub at: f64,
    /// How strongly the count bends in the middle of the zone: its second derivative over its first, per unit. Absent
    /// where the sender is given by straight lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bend_per_unit: Option<f64>,
}

/// A limit with its worst case.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LimitRow {
    /// The limit.
    pub limit: &'static str,
    /// The part, if it is about one.
    pub part: Option<&'static str>,
    /// What exactly is looked at, where the limit looks at several things.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<&'static str>,
    /// The case in which it is worst.
    pub case: &'static str,
    /// The value of what is measured at which it is worst, where that plays a part.
    pub at: Option<f64>,
    /// The worst value; null: unlimited.
    pub worst: f64,
    /// What is allowed; null: reported only.
    pub allowed: Option<f64>,
    /// What is left.
    pub margin: Option<f64>,
    /// The unit of the three.
    pub unit: Cow<'static, str>,
    /// Whether it holds.
    pub holds: bool,
    /// Whether it keeps a better choice away; absent where nothing was chosen, or it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub binds: Option<bool>,
    /// The best choice without this limit, everything else as it is, if the limit binds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_it: Option<RunnerUp>,
    /// The next standard size of the part with which that choice would hold.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub larger_size: Option<&'static str>,
}

/// One value of the part that feeds a sender, with the other parts chosen best for it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct TradeRow {
    /// The part whose values are compared.
    pub along: &'static str,
    /// The parts, and what they are worth.
    #[serde(flatten)]
    pub choice: RunnerUp,
    /// The greatest current through the sender in normal use, in amperes.
    pub sender_current_a: f64,
    /// Whether it is the choice.
    pub chosen: bool,
    /// Whether all limits hold.
    pub holds: bool,
    /// Limits that do not hold, in words.
    pub fails: Vec<String>,
}

/// One of the limits that exclude each other.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ConflictRow {
    /// The limit.
    pub limit: &'static str,
    /// The part that it is about, or whose value decides over it.
    pub part: Option<&'static str>,
    /// The smallest resistance of that part that this limit alone grants.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_ohm: Option<f64>,
    /// How wide the limit is; absent where no number says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<f64>,
    /// Whether a choice exists without this limit, everything else as it is; null: not known.
    pub possible_without_it: Option<bool>,
    /// The width from which a choice exists, everything else as it is; null: there is none.
    pub possible_from: Option<f64>,
    /// The unit of the two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<Cow<'static, str>>,
}

/// A band of counts.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct CountBand {
    /// The lowest count.
    pub lowest: f64,
    /// The highest count.
    pub highest: f64,
}

/// A band of readings in the unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct ReadingBand {
    /// The lowest reading.
    pub lowest: f64,
    /// The highest reading.
    pub highest: f64,
}

/// Counts and readings at one value.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Checkpoint {
    /// The value, in the unit.
    pub value: f64,
    /// The resistance of the sender there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sender_ohm: Option<f64>,
    /// The voltage of the source there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source_volt: Option<f64>,
    /// The current of the transmitter there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source_ampere: Option<f64>,
    /// Nominal counts for one unit, the fewer of both sides of a corner of the curve.
    pub counts_per_unit: f64,
    /// What the converter gives.
    pub count: CheckpointCount,
    /// What the firmware shows; null: it is corrected by an input for which no choice exists.
    pub reading: Option<CheckpointReading>,
}

/// What the converter gives at one value.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct CheckpointCount {
    /// Nominal, before truncation.
    pub nominal: f64,
    /// Over life, truncated.
    pub life: CountBand,
    /// On the bench, truncated.
    pub bench: CountBand,
}

/// What the firmware shows at one value.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct CheckpointReading {
    /// Nominal.
    pub nominal: f64,
    /// Over life.
    pub life: ReadingBand,
    /// On the bench.
    pub bench: ReadingBand,
    /// With a coverage of 95 % over life by the root sum of squares.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub root_sum_of_squares: Option<ReadingBand>,
    /// The same with the terms of second order, where they matter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_order: Option<ReadingBand>,
    /// The middle 95 % of random boards over life.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub monte_carlo: Option<ReadingBand>,
    /// With a coverage of 95 % on the bench by the root sum of squares.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bench_root_sum_of_squares: Option<ReadingBand>,
    /// The middle 95 % of random boards on the bench.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bench_monte_carlo: Option<ReadingBand>,
}

/// One case.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct CaseRow {
    /// The case.
    pub case: &'static str,
    /// Counts, truncated; null: the pin floats or the converter is down.
    pub count: Option<CountBand>,
    /// Whether the pin floats: any count.
    pub floating: bool,
    /// Whether the counts tell it from normal use; null: there is no count.
    pub distinguishable: Option<bool>,
    /// Counts between the band of the case and the working band; zero or less: they touch or overlap.
    pub gap_counts: Option<f64>,
    /// The middle of the gap.
    pub threshold: Option<f64>,
    /// Other faults of the wire that may show the same counts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub alike: Vec<&'static str>,
    /// The larger of the two clamp currents.
    pub pin_current_a: f64,
    /// Whether the parts are asked to survive it.
    pub survive: bool,
    /// What each part has to bear.
    pub parts: Ordered<Load>,
}

/// What a part has to bear.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Load {
    /// Dissipation.
    pub dissipation_w: f64,
    /// Dissipation times duration, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub energy_j: Option<f64>,
    /// Voltage across it.
    pub voltage_v: f64,
}

/// A fault that moves the reading on the nominal board, while no count gives it away.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SoftFaultRow {
    /// The fault.
    pub fault: String,
    /// The reading at each checkpoint.
    pub readings: Vec<SoftReading>,
}

/// What the firmware shows at one value.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct SoftReading {
    /// The value, in the unit.
    pub value: f64,
    /// What is shown, in the unit.
    pub reading: f64,
}

/// An alarm.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct AlarmRow {
    /// Its name.
    pub alarm: String,
    /// The threshold of the reading beyond which it comes, in the unit.
    pub at: f64,
    /// Here and beyond, towards the alarm, it must have come on every board.
    pub certain_at: f64,
    /// The first truncated count at which the reading is beyond the threshold; null: no count is or all are, or the count
    /// alone does not decide, since the reading is corrected by the supply.
    pub count: Option<f64>,
    /// Values of what is measured at which it may come, in the unit; null: it is always on, or never comes.
    pub comes: Option<AlarmBand>,
    /// The threshold of the reading at which it goes again: with its hysteresis.
    pub goes_at: f64,
    /// Here and beyond, away from the alarm, it must be off on every board.
    pub quiet_at: f64,
    /// The first truncated count at which it goes; null likewise.
    pub goes_count: Option<f64>,
    /// Values of what is measured at which it may go, in the unit; null: it never comes, or never goes.
    pub goes: Option<AlarmBand>,
    /// Whether it comes and goes where it must; null: there are no readings.
    pub holds: Option<bool>,
    /// Why it does not.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fails: Vec<String>,
}

/// Values of what is measured at which an alarm may come, or go.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct AlarmBand {
    /// The lowest value; null: on some board it does not come, or go, at all.
    pub lowest: Option<f64>,
    /// The highest value; null likewise.
    pub highest: Option<f64>,
}

/// How the choice was searched.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Search {
    /// Combinations of values in the space.
    pub combinations: u64,
    /// Boxes of values and single combinations that were examined.
    pub examined: u64,
    /// `complete`: the choice is proven best.
    pub proof: &'static str,
    /// If nothing fits: which limit excluded how many combinations.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub excluded: Vec<Excluded>,
}

/// How many combinations a limit excluded, each combination counted at the first limit that excluded it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Excluded {
    /// The limit.
    pub limit: &'static str,
    /// The part, if it is about one.
    pub part: Option<&'static str>,
    /// The case.
    pub case: &'static str,
    /// Combinations.
    pub combinations: u64,
}

/// A choice with other values.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct RunnerUp {
    /// The chosen parts.
    pub parts: Ordered<Option<PartValue>>,
    /// Its assured span.
    pub assured_counts: f64,
    /// Its fewest counts per unit in the zone, where that is the aim.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_counts_per_unit: Option<f64>,
    /// Its greatest error in the zone, where that is the aim.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub greatest_error: Option<f64>,
    /// Its bend in the middle of the zone, where that is the aim.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bend_per_unit: Option<f64>,
}

/// The value of a part.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct PartValue {
    /// Nominal value.
    pub ohm: f64,
}
