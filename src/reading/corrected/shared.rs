//! What both inputs share, and what is held.

use super::HALF;
use super::firmware::{Estimate, held};
use crate::board::Converter;
use crate::circuit::{Far, Name, Situation, SupplyMeter};
use crate::quantity::{Band, Counts, Fraction, Volts};
use crate::worst::count_band;

/// Everything that both inputs share at one value, for one edge of the reading.
#[derive(Debug)]
pub(crate) struct Shared {
    /// The sender's input, held by no clamp, its converter without error.
    pub(crate) sender: Situation,
    /// 1 plus the gain error.
    pub(crate) gain: f64,
    /// The supply that the firmware takes it for, not held.
    pub(super) supply: Volts,
}

/// One edge of the reading: that of a high pin beside a low estimate of the supply, or the other one.
#[derive(Debug)]
pub(crate) struct Edge {
    /// 1 for a high pin, −1 for a low one.
    pub(crate) up: f64,
    /// Every combination of ends of what is shared.
    pub(crate) shared: Vec<Shared>,
    /// Between these an n1 + 0.5 is held.
    pub(super) counts: Band<f64>,
    /// Between these the supply is held.
    pub(super) supplies: Band<Volts>,
}

impl Edge {
    /// `None`: the pin of the input that measures the supply floats.
    pub(crate) fn new(up: f64, life: &Situation, meter: &SupplyMeter) -> Option<Self> {
        let estimate = Estimate::new(meter);
        let (sender, supply) = (without_error(life), without_error(&meter.varied));
        let converter = &life.converter;
        let mut shared = Vec::new();
        for [of_sender, of_supply] in supplies(up, life, meter.change) {
            for set in combinations(&shared_voltages(life, &meter.varied)) {
                let put = |situation: &Situation, volts| {
                    let start = situation.clone().with(Name::Supply, volts);
                    set.iter().fold(start, |situation, &(name, volts)| situation.with(name, volts))
                };
                let (sender, supply) = (put(&sender, of_sender), put(&supply, of_supply));
                let band = count_band(&supply, &supply.resistances)?;
                let count = if up > 0.0 { band.lowest } else { band.highest };
                for gain in both(converter.gain) {
                    let middle = count.0 * gain - off(converter, -up) * up;
                    shared.push(Shared { sender: sender.clone(), gain, supply: estimate.beyond(middle) });
                }
            }
        }
        let counts = held_counts(&meter.varied, -up);
        let supplies = Band { lowest: estimate.of(counts.lowest), highest: estimate.of(counts.highest) };
        Some(Self { up, shared, counts: held_counts(life, up), supplies })
    }

    /// The further of two in the direction of this edge.
    pub(crate) fn further(&self, a: f64, b: f64) -> f64 {
        if self.up > 0.0 { a.max(b) } else { a.min(b) }
    }

    pub(super) fn nearer(&self, a: f64, b: f64) -> f64 {
        if self.up > 0.0 { a.min(b) } else { a.max(b) }
    }

    /// An n1 + 0.5 as it is held.
    pub(crate) fn held(&self, middle: f64) -> f64 {
        held(middle, self.counts)
    }

    /// The supply that the firmware takes it for.
    pub(crate) fn supply(&self, shared: &Shared) -> Volts {
        held(shared.supply, self.supplies)
    }

    /// What is added to a count at this edge, its truncation included.
    pub(crate) fn off(&self, converter: &Converter) -> f64 {
        off(converter, self.up) * self.up
    }
}

/// Offset, nonlinearity and noise of a count, and how far n + 0.5 may be from the count before truncation.
fn off(converter: &Converter, up: f64) -> f64 {
    converter.added().0 + if up > 0.0 { HALF + Converter::SLACK } else { HALF }
}

/// The supply at the two samples, at the ends of its swing: that of the sender above the other one as far as it may be, or
/// below.
fn supplies(up: f64, life: &Situation, change: Volts) -> Vec<[Volts; 2]> {
    let Some(place) = life.place_named(Name::Supply) else { return Vec::new() };
    let swing = life.sources[place];
    let change = change.min(swing.highest - swing.lowest);
    let low = Band { lowest: swing.lowest, highest: swing.highest - change };
    ends(low).map(|volts| if up > 0.0 { [volts + change, volts] } else { [volts, volts + change] }).collect()
}

/// Voltages that vary and that both inputs hang on or are measured against.
fn shared_voltages(one: &Situation, other: &Situation) -> Vec<(Name, Band<Volts>)> {
    let used = |situation: &Situation, name: Name| {
        situation.place_named(name).is_some_and(|place| {
            let scales =
                matches!(situation.far, Far::Stands { scaled_by: Some((rail, _)), .. } if rail == place);
            let feeds = situation.elements.iter().any(|element| element.bridge_to == Some(place));
            situation.reference == Some(place) || feeds || scales
        })
    };
    let is_common = |name: Name| matches!(name, Name::Rail(_) | Name::Reference);
    one.names
        .iter()
        .zip(&one.sources)
        .filter(|(name, band)| {
            is_common(**name) && !band.is_single() && used(one, **name) && used(other, **name)
        })
        .map(|(name, band)| (*name, *band))
        .collect()
}

fn combinations(voltages: &[(Name, Band<Volts>)]) -> Vec<Vec<(Name, Volts)>> {
    voltages.iter().fold(vec![Vec::new()], |sets, &(name, band)| {
        let with = |set: &Vec<(Name, Volts)>, volts| set.iter().copied().chain([(name, volts)]).collect();
        sets.iter().flat_map(|set| ends(band).map(move |volts| with(set, volts))).collect()
    })
}

fn ends(band: Band<Volts>) -> impl Iterator<Item = Volts> {
    [band.lowest, band.highest].into_iter().take(if band.is_single() { 1 } else { 2 })
}

fn both(gain: Fraction) -> impl Iterator<Item = f64> {
    [1.0 - gain.0, 1.0 + gain.0].into_iter().take(if gain.0 == 0.0 { 1 } else { 2 })
}

/// The situation with a converter without error, and no clamp that ever holds the pin.
fn without_error(situation: &Situation) -> Situation {
    let mut situation = situation.clone();
    situation.converter = Converter {
        clamp: Volts(f64::INFINITY),
        gain: Fraction(0.0),
        offset: Counts(0.0),
        inl: Counts(0.0),
        noise: Counts(0.0),
        ..situation.converter
    };
    situation
}

/// Between which values n + 0.5 is held at an edge: by the ends of the converter, and by a clamp where that narrows the
/// count towards the other edge. A clamp that would bring the edge in is left out, which is the safe side.
fn held_counts(situation: &Situation, up: f64) -> Band<f64> {
    let converter = &situation.converter;
    let (lowest, highest) = (HALF, converter.highest_count().0 + HALF);
    let Some(reference) = situation.reference else { return Band { lowest, highest } };
    let most = situation.sources[reference].highest;
    let held =
        |share: f64| converter.full_scale().0 * share * (1.0 - converter.gain.0) + up * off(converter, up);
    if up > 0.0 {
        return Band { lowest: lowest.max(held(-converter.clamp / most)).min(highest), highest };
    }
    // Where the clamp leads to the reference itself, they move together.
    let rail =
        if reference == situation.clamp_rail { most } else { situation.sources[situation.clamp_rail].lowest };
    Band { lowest, highest: highest.min(held((rail + converter.clamp) / most)).max(lowest) }
}
