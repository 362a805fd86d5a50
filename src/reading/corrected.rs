//! The reading of a sender that follows the vehicle's supply, where another input measures that supply and the firmware
//! divides it out.
//!
//! The firmware has two counts: n1 of the sender, n2 of the supply. The supply is taken for what the nominal board of the
//! second input makes of n2 + 0.5, held to the ends of what it measures; the reading is the value at which the pin of
//! the nominal sender on that supply stands at n1 + 0.5, held to the ends of the range. A nominal ground shift is part of
//! both nominal boards. A supply so low that the nominal pin would not follow the sender reads as the end of the range at
//! which the pin is high.
//!
//! **What is shared.** Both inputs see the same supply but for its change between the two samples, the same converter
//! with its reference and gain error, and the same rails where both hang on them. Parts, wire, leakage and ground shift
//! are those of each input. Offset, nonlinearity and noise are taken as independent for the two counts, and so is their
//! truncation, as ±0.5 count about n + 0.5: a little on the safe side.
//!
//! **Why ends are enough.** With everything that is shared at one value the two counts have nothing in common, and each
//! has its extremes at corners of its own parameters. Both counts are affine in the supply, in a rail, in one over the
//! reference and in the gain, one at a time, and so are the voltage that n1 stands for and the supply that n2 stands for.
//! The resistance at which the nominal pin stands at that voltage is a quotient of two such functions: a Möbius function
//! of each shared parameter, monotone, and the reading follows it. So the extremes are at ends of the shared parameters.
//! A change between the samples is worst as large as it may be, one sample below the other, with both inside the swing.
//!
//! **What is held.** A count that is held at an end of the converter or by a clamp, or a supply at an end of what is
//! measured, is no longer affine. Holding is taking the lesser or the greater of two readings, one of them with the held
//! value in place of what would be; the greatest of a lesser of two is at most the lesser of their greatest ones. So each
//! edge is found from the edges without holding and with what is held: exact as long as nothing is held, never too
//! narrow otherwise.

use super::Nominal;
use crate::board::{Converter, Drive, Input};
use crate::circuit::{Far, Name, Situation, SupplyMeter};
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms, Volts};
use crate::worst::{Corner, FarEnd, Transfer, count_band, extreme_corners};

/// Half of what is lost when a count is truncated.
const HALF: f64 = 0.5;

/// What the firmware makes of the count of a sender on a supply that it has measured.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reader<'a> {
    /// `None`: the supply is too low to excite anything.
    nominal: Option<Nominal<'a>>,
    /// The end of the range at which the pin is high.
    high: f64,
}

impl<'a> Reader<'a> {
    /// The nominal board on a supply. `resistances` are those of the situation, or others in their place.
    pub(crate) fn new(
        input: &'a Input,
        nominal: &Situation,
        resistances: &[Band<Ohms>],
        supply: Volts,
    ) -> Self {
        let nominal = Nominal::new(input, &nominal.clone().with(Name::Supply, supply), resistances);
        let (first, last) = input.range();
        Self {
            nominal: nominal.follows().then_some(nominal),
            high: if input.direction() > 0.0 { last } else { first },
        }
    }

    /// The reading for a count in the middle of its step: n + 0.5.
    pub(crate) fn reading(&self, middle: f64) -> f64 {
        self.nominal.map_or(self.high, |nominal| nominal.reading(Counts(middle - HALF)))
    }
}

/// The supply as the firmware knows it.
#[derive(Debug)]
pub(crate) struct Estimate<'m> {
    nominal: Nominal<'m>,
    measured: Band<Volts>,
}

impl<'m> Estimate<'m> {
    pub(crate) fn new(meter: &'m SupplyMeter) -> Self {
        let nominal = Nominal::new(&meter.input, &meter.nominal, &meter.nominal.resistances);
        let measured = match &meter.input.drive {
            Drive::Signal(signal) => Band::between(signal.curve.first().1, signal.curve.last().1),
            Drive::Sender(_) | Drive::Current(_) => Band::exactly(Volts(f64::NAN)),
        };
        Self { nominal, measured }
    }

    /// The supply that stands for n + 0.5, not held.
    fn beyond(&self, middle: f64) -> Volts {
        Volts(self.nominal.far_of(Counts(middle - HALF)).0)
    }

    /// The same, held to the ends of what is measured.
    fn of(&self, middle: f64) -> Volts {
        held(self.beyond(middle), self.measured)
    }

    /// What the nominal board makes of the usual supply.
    pub(crate) fn usual(&self, meter: &SupplyMeter) -> Option<Volts> {
        let count = count_band(&meter.nominal, &meter.nominal.resistances)?.lowest;
        Some(self.of(meter.nominal.converter.truncated(count).0 + HALF))
    }
}

fn held<Q: Copy + PartialOrd>(value: Q, band: Band<Q>) -> Q {
    if value < band.lowest {
        band.lowest
    } else if value > band.highest {
        band.highest
    } else {
        value
    }
}

/// Everything that both inputs share at one value, for one edge of the reading.
#[derive(Debug)]
pub(crate) struct Shared {
    /// The sender's input, held by no clamp, its converter without error.
    pub(crate) sender: Situation,
    /// 1 plus the gain error.
    pub(crate) gain: f64,
    /// The supply that the firmware takes it for, not held.
    supply: Volts,
}

/// One edge of the reading: that of a high pin beside a low estimate of the supply, or the other one.
#[derive(Debug)]
pub(crate) struct Edge {
    /// 1 for a high pin, −1 for a low one.
    pub(crate) up: f64,
    /// Every combination of ends of what is shared.
    pub(crate) shared: Vec<Shared>,
    /// Between these an n1 + 0.5 is held.
    counts: Band<f64>,
    /// Between these the supply is held.
    supplies: Band<Volts>,
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

    fn nearer(&self, a: f64, b: f64) -> f64 {
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

/// One board at an edge.
#[derive(Debug)]
struct Limb {
    transfer: Transfer,
    leakage: Amperes,
    /// Counts for each volt at the pin.
    per_volt: f64,
}

/// What is shared at one value, ready to be read.
#[derive(Debug)]
struct Stretch<'a> {
    limbs: Vec<Limb>,
    reader: Reader<'a>,
}

/// One edge, ready to be read anywhere in the range.
#[derive(Debug)]
struct ReadyEdge<'a> {
    edge: Edge,
    off: f64,
    stretches: Vec<Stretch<'a>>,
    /// With the supply furthest off, whatever the sender sees.
    furthest: Reader<'a>,
    /// With the supply held at the other end.
    held: Reader<'a>,
}

/// The least and the greatest corrected reading anywhere in the range.
#[derive(Debug)]
pub(super) struct CorrectedEdges<'a> {
    sign: f64,
    direction: f64,
    edges: [ReadyEdge<'a>; 2],
}

impl<'a> CorrectedEdges<'a> {
    /// The edges in normal use over the range. The resistances are those of the situations, or others in their place.
    /// `None`: a pin floats.
    pub(super) fn new(
        input: &'a Input,
        [nominal, varied]: [&Situation; 2],
        [nominal_ohms, varied_ohms]: [&[Band<Ohms>]; 2],
        meter: &SupplyMeter,
    ) -> Option<Self> {
        let reader = |supply| Reader::new(input, nominal, nominal_ohms, supply);
        let ready = |up| {
            let edge = Edge::new(up, varied, meter)?;
            let stretch = |shared: &Shared| Stretch {
                limbs: limbs(input, shared, varied_ohms, up),
                reader: reader(shared.supply),
            };
            let stretches = edge.shared.iter().map(stretch).collect();
            let estimates = edge.shared.iter().map(|shared| shared.supply);
            let furthest = if up > 0.0 { estimates.reduce(Volts::min) } else { estimates.reduce(Volts::max) };
            let furthest = reader(held(furthest?, edge.supplies));
            let held = reader(if up > 0.0 { edge.supplies.highest } else { edge.supplies.lowest });
            Some(ReadyEdge { off: edge.off(&varied.converter), edge, stretches, furthest, held })
        };
        let edges = [ready(-1.0)?, ready(1.0)?];
        Some(Self { sign: input.circuit.sign(), direction: input.direction(), edges })
    }

    /// Whether the pin follows the sender on every board: else a value that rises may bring down a reading.
    pub(super) fn follow(&self) -> bool {
        let stretches = self.edges.iter().flat_map(|edge| &edge.stretches);
        let mut limbs = stretches.flat_map(|stretch| &stretch.limbs);
        limbs.all(|limb| self.sign * limb.transfer.determinant(limb.leakage) > 0.0)
    }

    /// The readings that may occur while the far element, its wire included, is in a band.
    pub(super) fn readings(&self, far: Band<Ohms>) -> Band<f64> {
        let [low, high] = self.edges.each_ref().map(|edge| edge.reading(far, self.direction));
        Band::between(low, high)
    }
}

impl ReadyEdge<'_> {
    fn reading(&self, far: Band<Ohms>, direction: f64) -> f64 {
        let edge = &self.edge;
        let worst = if edge.up > 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
        let (mut count, mut joint) = (worst, worst);
        // With this sign a reading rises with the pin.
        let read = |reader: &Reader<'_>, middle: f64| direction * reader.reading(middle);
        for stretch in &self.stretches {
            let counts = stretch.limbs.iter().flat_map(|limb| limb.counts(far));
            let middle = counts.fold(worst, |a, b| edge.further(a, b)) + self.off;
            count = edge.further(count, middle);
            joint = edge.further(joint, read(&stretch.reader, middle));
        }
        let nearest = if edge.up > 0.0 { edge.counts.lowest } else { edge.counts.highest };
        let with_supply_held = read(&self.held, count);
        let with_count_held = read(&self.furthest, nearest);
        let held = edge.further(with_supply_held, with_count_held);
        let independent = read(&self.furthest, edge.held(count));
        direction * edge.nearer(independent, edge.further(joint, held))
    }
}

impl Limb {
    /// The counts at both ends of a band: in between is nothing beyond them.
    fn counts(&self, far: Band<Ohms>) -> [f64; 2] {
        [far.lowest, far.highest]
            .map(|ohms| self.transfer.pin(FarEnd(ohms.0), self.leakage).0 * self.per_volt)
    }
}

fn limbs(input: &Input, shared: &Shared, resistances: &[Band<Ohms>], up: f64) -> Vec<Limb> {
    let sender = &shared.sender;
    let [lower, upper] = extreme_corners(sender, resistances);
    let corners = if up > 0.0 { upper } else { lower };
    let limb = |ends| {
        let corner = Corner::at(sender, resistances, ends);
        let reference = corner.reference().unwrap_or(Volts(f64::NAN));
        Limb {
            transfer: corner.transfer(input.drive.is_sender()),
            leakage: sender.leakage * up,
            per_volt: sender.converter.full_scale().0 * shared.gain / reference.0,
        }
    };
    corners.into_iter().map(limb).collect()
}
