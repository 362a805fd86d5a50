//! Limits: what a choice must respect.
//!
//! A limit turns an input into checks: a measure in a situation against a bound. The same checks serve the verdict on
//! a fitted board and the search, which runs them over boxes of part values. A new limit is one file and one line in
//! [`LIMITS`].

mod compliance;
mod converter_range;
mod dissipation;
mod error;
mod fault_gap;
mod filter_time;
mod input_resistance;
mod leakage_error;
mod part_voltage;
mod pin_current;
mod rail_backfeed;
mod sender_current;
mod sender_power;
mod settling;
mod source_resistance;
mod supply_current;
mod wetting_current;

pub(crate) use fault_gap::of as fault_gap;

use std::borrow::Cow;

use crate::board::{Board, Input, Part, Role, Setting};
use crate::case::Case;
use crate::circuit::{Of, Scene, Situation};
use crate::quantity::Seconds;
use crate::reading::{Nominal, greatest_error};
use crate::worst::{FarEnd, Measure, Sense, hottest_sender, worst};

/// The unit of what a limit bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Steps of the converter.
    Counts,
    /// A share of the reference.
    Share,
    /// Volts.
    Volts,
    /// Amperes.
    Amperes,
    /// Watts.
    Watts,
    /// Ohms.
    Ohms,
    /// Seconds.
    Seconds,
    /// The unit of what is measured.
    Dial,
}

impl Unit {
    /// The symbol in answers; `dial` is the unit of what is measured.
    pub fn symbol(self, dial: &str) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Self::Counts => "counts",
            Self::Share => "of the reference",
            Self::Volts => "V",
            Self::Amperes => "A",
            Self::Watts => "W",
            Self::Ohms => "Ω",
            Self::Seconds => "s",
            Self::Dial => return Cow::Owned(dial.to_owned()),
        })
    }
}

/// One limit.
#[derive(Debug)]
pub struct Limit {
    /// The key in briefs and the name in answers.
    pub name: &'static str,
    /// Turns an input into checks.
    checks: fn(&mut Checks),
}

/// All limits, in the order in which answers list them.
pub const LIMITS: &[Limit] = &[
    converter_range::LIMIT,
    pin_current::LIMIT,
    dissipation::LIMIT,
    part_voltage::LIMIT,
    settling::LIMIT,
    source_resistance::LIMIT,
    leakage_error::LIMIT,
    sender_current::LIMIT,
    wetting_current::LIMIT,
    sender_power::LIMIT,
    supply_current::LIMIT,
    input_resistance::LIMIT,
    compliance::LIMIT,
    error::LIMIT,
    rail_backfeed::LIMIT,
    fault_gap::LIMIT,
    filter_time::LIMIT,
];

/// What a check looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Watched {
    /// A quantity of the circuit.
    Measure(Measure),
    /// The greatest error of a reading in the zone.
    Error,
    /// Counts between normal use and the situation.
    Gap,
}

impl From<Measure> for Watched {
    fn from(measure: Measure) -> Self {
        Self::Measure(measure)
    }
}

/// A worst value, and where it occurs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// The value, in the unit of the check.
    pub value: f64,
    /// Where in the range, in the unit of what is measured; `None`: the range plays no part.
    pub at: Option<f64>,
}

/// A quantity in a situation against a bound.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// The limit, by its place in [`LIMITS`].
    pub limit: usize,
    /// The part that is looked at, if it is about one.
    pub part: Option<Role>,
    /// What exactly is looked at, where a limit looks at several things.
    pub side: Option<&'static str>,
    /// The situation, by its place in [`Scene::situations`].
    pub situation: usize,
    /// What is looked at.
    pub watched: Watched,
    /// On which side of the bound it has to stay.
    pub sense: Sense,
    /// The bound; `None`: reported only.
    pub allowed: Option<f64>,
    /// The share of the width of the limit that the bound is: in normal use a part may not bear all of its rating, for
    /// a short while more than that.
    pub share: f64,
    /// The unit of value and bound.
    pub unit: Unit,
}

impl Check {
    /// The worst value over everything that may vary, exactly; `None` where there is nothing to measure.
    pub fn worst(&self, input: &Input, scene: &Scene) -> Option<Worst> {
        let situation = &scene.situations[self.situation];
        match self.watched {
            Watched::Measure(measure) => {
                let found = worst(measure, self.sense, situation, &situation.resistances)?;
                let at = if measure == Measure::SenderPower {
                    // A sender dissipates most where it matches what feeds it, wherever in the range that is.
                    let hottest = hottest_sender(situation, &situation.resistances);
                    hottest.map(|ohms| input.drive.value_of(FarEnd(ohms.0)))
                } else {
                    input.end_at(situation, found.ends)
                };
                Some(Worst { value: found.value, at })
            }
            Watched::Error => {
                let nominal = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
                let found = greatest_error(input, &nominal, situation, &situation.resistances, input.zone());
                Some(Worst { value: found.value, at: Some(found.at) })
            }
            Watched::Gap => {
                let normal = &scene.situations[Scene::NORMAL];
                let value =
                    fault_gap::of([normal, situation], [&normal.resistances, &situation.resistances])?;
                Some(Worst { value: value.0, at: None })
            }
        }
    }

    /// Whether a value respects the bound.
    pub fn holds(&self, value: f64) -> bool {
        self.allowed.is_none_or(|allowed| self.sense.holds(value, allowed))
    }

    /// The name of the limit.
    pub fn name(&self) -> &'static str {
        LIMITS[self.limit].name
    }
}

/// Collects the checks of one input.
#[derive(Debug)]
struct Checks<'a> {
    board: &'a Board,
    input: &'a Input,
    scene: &'a Scene,
    limit: usize,
    found: Vec<Check>,
}

/// The checks of every limit for one input.
pub fn checks_of(board: &Board, input: &Input, scene: &Scene) -> Vec<Check> {
    let mut checks = Checks { board, input, scene, limit: 0, found: Vec::new() };
    for (place, limit) in LIMITS.iter().enumerate() {
        checks.limit = place;
        (limit.checks)(&mut checks);
    }
    checks.found
}

impl<'a> Checks<'a> {
    /// Adds a check in normal use; the caller may still name a part or a side.
    fn normal(
        &mut self,
        watched: impl Into<Watched>,
        sense: Sense,
        allowed: Option<f64>,
        unit: Unit,
    ) -> &mut Check {
        self.add(Scene::NORMAL, watched, sense, allowed, unit)
    }

    /// Adds a check in one situation.
    fn add(
        &mut self,
        situation: usize,
        watched: impl Into<Watched>,
        sense: Sense,
        allowed: Option<f64>,
        unit: Unit,
    ) -> &mut Check {
        let watched = watched.into();
        let place = self.found.len();
        let check = Check {
            limit: self.limit,
            part: None,
            side: None,
            situation,
            watched,
            sense,
            allowed,
            share: 1.0,
            unit,
        };
        self.found.push(check);
        &mut self.found[place]
    }

    /// The situations of every case, normal use first; the last one, which serves the bottom of the range, is none.
    fn cases(&self) -> impl Iterator<Item = (usize, &Situation)> + use<'_> {
        self.scene.situations.iter().enumerate().take(self.scene.bottom())
    }

    /// The situations that the parts have to live through: normal use and the cases to be survived, and how long each
    /// lasts.
    fn to_be_survived(&self) -> Vec<(usize, Case, Option<Seconds>)> {
        let survived = |case| case == Case::Normal || self.input.survive.contains(&case);
        let cases = self.cases().filter(|(_, situation)| survived(situation.case));
        cases.map(|(place, situation)| (place, situation.case, situation.lasts)).collect()
    }

    /// The parts that are there, with their places in the chain.
    fn parts(&self) -> Vec<(usize, &'a Part)> {
        let normal = &self.scene.situations[Scene::NORMAL];
        let place = |part: &'a Part| Some((normal.place_of(Of::Part(part.role))?, part));
        self.input.parts.iter().filter_map(place).collect()
    }
}

/// The side of a check that goes by what a part stands for a short while.
pub(crate) const MOMENTARY: &str = "momentary";

impl<Q> Setting<Q> {
    /// The bound, with what the board gives where the setting is the usual one.
    fn bound(self, usual: impl FnOnce() -> Option<Q>) -> Option<Q> {
        match self {
            Self::Off => None,
            Self::Usual => usual(),
            Self::At(bound) => Some(bound),
        }
    }
}
