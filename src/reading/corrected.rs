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

mod firmware;
mod shared;

pub(crate) use firmware::{Estimate, Reader};
pub(crate) use shared::{Edge, Shared};

use crate::board::Input;
use crate::circuit::{Situation, SupplyMeter};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::{EdgeBoard, FarEnd, Transfer, edge_boards};
use firmware::held;

/// Half of what is lost when a count is truncated.
const HALF: f64 = 0.5;

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
    let [lower, upper] = edge_boards(sender, resistances, input.drive.is_sender());
    let boards = if up > 0.0 { upper } else { lower };
    let limb = |board: EdgeBoard| Limb {
        transfer: board.transfer,
        leakage: sender.leakage * up,
        per_volt: sender.converter.full_scale().0 * shared.gain / board.reference.0,
    };
    boards.into_iter().map(limb).collect()
}
