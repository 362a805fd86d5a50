//! How a board is when it is calibrated, and what of it stays as it is from then on.

use super::{Far, Name, Of, Outlook, Place, Situation, Values, situations_of};
use crate::board::{Board, Calibration, Drive, Input};
use crate::case::Case;
use crate::quantity::{Amperes, Band, Fraction, Ohms, Volts};
use crate::worst::FarEnd;

/// An input on the bench while it is calibrated: at the temperatures of the bench, with new parts, the nominal wire, no
/// shift of ground, the usual supply, and with the contact of a pulsed gauge closed.
#[derive(Clone, Debug)]
pub struct Workbench {
    /// What is dialled.
    pub calibration: Calibration,
    /// The nominal board there.
    pub nominal: Situation,
    /// The board with everything that may vary there; what is dialled, with its error, lies in its range.
    pub varied: Situation,
    /// What stays as it is on one board, from its calibration to the end of its life.
    pub steady: Vec<Steady>,
    /// The wire in front of a sender, in what is dialled.
    wire: Ohms,
}

/// Something that differs from board to board, but stays as it is on each of them.
#[derive(Clone, Debug, PartialEq)]
pub enum Steady {
    /// The tolerance of a part, or of all parts that track each other, by their places in the chain.
    Parts {
        /// The places.
        elements: Vec<usize>,
        /// How far they may be off, either sign, by one factor.
        tolerance: Fraction,
    },
    /// A rail that drives the pin or is the reference.
    Rail {
        /// What it is called in the situations.
        name: Name,
        /// Where it may be.
        band: Band<Volts>,
    },
}

impl Workbench {
    /// `None`: the input is not calibrated.
    pub fn of(board: &Board, input: &Input, values: &Values) -> Option<Self> {
        let calibration = input.calibration.clone()?;
        let situation =
            |outlook| situations_of(board, input, values, Case::Normal, outlook, Place::Range).swap_remove(0);
        let nominal = situation(Outlook::Nominal).with(Name::Shift, Volts(0.0));
        let mut varied = situation(Outlook::Bench);
        varied.wire = nominal.wire;
        varied.resistances[0] = nominal.resistances[0];
        if let Some(place) = varied.place_of(Of::Gauge) {
            // A pulsed gauge is closed.
            varied.resistances[place].highest =
                input.gauge.map_or(varied.resistances[place].highest, |gauge| {
                    Band::within(gauge.resistance, gauge.tolerance).highest
                });
        }
        let wire = if input.drive.is_sender() { nominal.wire.lowest } else { Ohms(0.0) };
        let steady = steady(input, &varied);
        let mut bench = Self { calibration, nominal, varied, steady, wire };
        bench.widen(input);
        Some(bench)
    }

    /// What stands at the far end at a point, the wire of a sender included.
    pub fn far_at(&self, input: &Input, point: f64) -> FarEnd {
        FarEnd(input.drive.far_at(point).0 + self.wire.0)
    }

    /// What may stand there instead, since what is dialled may be off.
    pub fn dialled(&self, input: &Input, point: f64) -> Band<f64> {
        let (ideal, accuracy) = (input.drive.far_at(point).0, self.calibration.accuracy.0);
        let end = |sign: f64| ideal * (1.0 + sign * accuracy) + self.wire.0;
        Band::between(end(-1.0), end(1.0))
    }

    /// Puts what is dialled into the range of the situation.
    fn widen(&mut self, input: &Input) {
        for &point in &self.calibration.points {
            let Band { lowest, highest } = self.dialled(input, point);
            let varied = &mut self.varied;
            match (varied.far, &input.drive) {
                (_, Drive::Sender(_)) => {
                    let band = Band { lowest: Ohms(lowest), highest: Ohms(highest) };
                    varied.resistances[0] = varied.resistances[0].joined(band);
                }
                (Far::Stands { source, .. }, _) => {
                    let band = Band { lowest: Volts(lowest), highest: Volts(highest) };
                    varied.sources[source] = varied.sources[source].joined(band);
                }
                (Far::Flows(flows), _) => {
                    let band = Band { lowest: Amperes(lowest), highest: Amperes(highest) };
                    varied.far = Far::Flows(flows.joined(band));
                }
                (Far::Open, _) => {}
            }
        }
    }
}

fn steady(input: &Input, varied: &Situation) -> Vec<Steady> {
    let mut found: Vec<Steady> = Vec::new();
    for (place, element) in varied.elements.iter().enumerate() {
        let Of::Part(role) = element.of else { continue };
        let Some(part) = input.parts.iter().find(|part| part.role == role) else { continue };
        let group = varied.tracking.iter().find(|group| group.contains(&place));
        let elements = group.cloned().unwrap_or_else(|| vec![place]);
        let tolerance = part.grade.tolerance;
        // A group is entered with its first part.
        if tolerance.0 > 0.0 && elements[0] == place {
            found.push(Steady::Parts { elements, tolerance });
        }
    }
    for (place, (&name, &band)) in varied.names.iter().zip(&varied.sources).enumerate() {
        let feeds = varied.elements.iter().any(|element| element.bridge_to == Some(place));
        let is_far = matches!(varied.far, Far::Stands { source, scaled_by, .. }
            if source == place || scaled_by.is_some_and(|(rail, _)| rail == place));
        let counts = feeds || is_far || varied.reference == Some(place);
        if counts && matches!(name, Name::Rail(_)) && !band.is_single() {
            found.push(Steady::Rail { name, band });
        }
    }
    found
}
