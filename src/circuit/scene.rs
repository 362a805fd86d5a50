//! Everything that one input with given parts is examined in.

use super::{Far, Outlook, Place, Situation, SupplyMeter, Values, Workbench, cases_of, situations_of};
use crate::board::{Board, Drive, Input};
use crate::case::Case;
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::Ends;

/// All situations of one input over its life, and the two ends of its range.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Normal use over the whole range first, then the cases in order, then [`Scene::bottom`].
    pub situations: Vec<Situation>,
    /// The same sender without error at the first and at the last value of its range.
    pub range_ends: [Situation; 2],
    /// Normal use over the whole range at nominal values.
    pub nominal: Situation,
    /// The input that corrects this one over its life, if one does and its parts are known.
    pub meter: Option<SupplyMeter>,
    /// The input while it is calibrated, if it is.
    pub workbench: Option<Workbench>,
}

impl Scene {
    /// Sets up the situations of an input.
    pub fn new(board: &Board, input: &Input, values: &Values) -> Self {
        let life = |case, place| situations_of(board, input, values, case, Outlook::Life, place);
        let mut situations: Vec<_> =
            cases_of(board, input).into_iter().flat_map(|case| life(case, Place::Range)).collect();
        situations.push(bottom(input, &situations[Self::NORMAL]));
        let (first, last) = input.range();
        let end = |value| life(Case::Normal, Place::Exactly(value)).swap_remove(0);
        let nominal =
            situations_of(board, input, values, Case::Normal, Outlook::Nominal, Place::Range).swap_remove(0);
        let meter = SupplyMeter::of(board, input, Outlook::Life);
        let workbench = Workbench::of(board, input, values);
        Self { situations, range_ends: [end(first), end(last)], nominal, meter, workbench }
    }

    /// The place of normal use in `situations`.
    pub const NORMAL: usize = 0;

    /// The place of normal use as far as the bottom of the converter's range is concerned: where the range starts at
    /// 0 Ω or 0 V, what may carry the pin below 0 is left out.
    pub fn bottom(&self) -> usize {
        self.situations.len() - 1
    }
}

fn bottom(input: &Input, normal: &Situation) -> Situation {
    let mut situation = normal.clone();
    if input.starts_at_zero() {
        situation.leakage = Amperes(0.0);
        if let Far::Stands { shift, .. } = situation.far {
            situation.sources[shift] = Band::exactly(Volts(0.0));
        }
    }
    situation
}

impl Input {
    /// The first and the last value of the range, in the unit.
    pub fn range(&self) -> (f64, f64) {
        self.drive.range()
    }

    /// The part of the range that matters most: all of it, unless the brief names one.
    pub fn zone(&self) -> Band<f64> {
        let (first, last) = self.range();
        self.zone.unwrap_or(Band::between(first, last))
    }

    /// Whether one end of the range is 0 Ω, 0 V or 0 A, and 0 V at the pin, too.
    pub(crate) fn starts_at_zero(&self) -> bool {
        let nothing = match &self.drive {
            Drive::Sender(sender) => sender.curve.first().1.min(sender.curve.last().1) == Ohms(0.0),
            Drive::Signal(signal) => signal.curve.first().1.min(signal.curve.last().1) == Volts(0.0),
            Drive::Current(transmitter) => {
                transmitter.curve.first().1.min(transmitter.curve.last().1) == Amperes(0.0)
            }
        };
        self.circuit.plan().keeps_zero && nothing
    }

    /// 1 where the pin rises from the first to the last value of the range, else −1.
    pub fn direction(&self) -> f64 {
        self.far_direction() * self.circuit.sign()
    }

    /// 1 where the resistance, the voltage or the current at the far end rises from the first to the last value of the
    /// range, else −1.
    pub fn far_direction(&self) -> f64 {
        let rises = match &self.drive {
            Drive::Sender(sender) => sender.curve.last().1 > sender.curve.first().1,
            Drive::Signal(signal) => signal.curve.last().1 > signal.curve.first().1,
            Drive::Current(transmitter) => transmitter.curve.last().1 > transmitter.curve.first().1,
        };
        if rises { 1.0 } else { -1.0 }
    }

    /// The unit of what is measured.
    pub fn unit(&self) -> &str {
        match &self.drive {
            Drive::Sender(sender) => sender.curve.unit(),
            Drive::Signal(signal) => signal.curve.unit(),
            Drive::Current(transmitter) => transmitter.curve.unit(),
        }
    }

    /// The end of the range at which a corner of a situation sits, in the unit; `None` where the range plays no part.
    pub fn end_at(&self, situation: &Situation, ends: Ends) -> Option<f64> {
        let (first, last) = self.range();
        let (rising, high) = match (&self.drive, situation.far) {
            (_, Far::Open) => return None,
            (Drive::Sender(sender), _) => {
                if situation.resistances[0].is_single() {
                    return None;
                }
                (sender.curve.last().1 > sender.curve.first().1, ends.resistance_is_high(0))
            }
            (Drive::Current(transmitter), Far::Flows(current)) => {
                if current.is_single() {
                    return None;
                }
                (transmitter.curve.last().1 > transmitter.curve.first().1, ends.current_is_high())
            }
            // The end of the wire lies on a voltage.
            (Drive::Current(_), _) | (Drive::Signal(_), Far::Flows(_)) => return None,
            (Drive::Signal(signal), Far::Stands { source, .. }) => {
                if situation.sources[source].is_single() {
                    return None;
                }
                (signal.curve.last().1 > signal.curve.first().1, ends.source_is_high(source))
            }
        };
        Some(if rising == high { last } else { first })
    }
}
