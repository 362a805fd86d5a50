//! An input that measures the vehicle's supply, for another one that follows it.

use super::{Far, Name, Outlook, Place, Situation, Values, situations_of};
use crate::board::{Board, Choice, Input, InputId};
use crate::case::Case;
use crate::quantity::{Band, Volts};

/// The input that corrects another one, in normal use.
#[derive(Clone, Debug)]
pub struct SupplyMeter {
    /// The input.
    pub input: Input,
    /// The input with everything that may vary; its far end stands on the supply.
    pub varied: Situation,
    /// The input at nominal values, on the usual supply.
    pub nominal: Situation,
    /// By how much the supply may change between the two samples, either way.
    pub change: Volts,
}

impl SupplyMeter {
    /// The input that corrects `input`. `None`: nothing corrects it, or the parts of what does are not known.
    pub fn of(board: &Board, input: &Input, outlook: Outlook) -> Option<Self> {
        let InputId(place) = input.corrected_by?;
        let meter = board.inputs.get(place)?;
        if meter.parts.iter().any(|part| matches!(part.choice, Choice::Choose { .. })) {
            return None;
        }
        let (swing, change) = match outlook {
            Outlook::Life => (board.supply.swing, board.supply.change_between_samples),
            Outlook::Bench | Outlook::Nominal => (Band::exactly(board.supply.usual), Volts(0.0)),
        };
        Some(Self {
            input: meter.clone(),
            varied: on_supply(board, meter, outlook, swing)?,
            nominal: on_supply(board, meter, Outlook::Nominal, Band::exactly(board.supply.usual))?,
            change,
        })
    }
}

/// Normal use with the far end on the supply.
fn on_supply(board: &Board, meter: &Input, outlook: Outlook, supply: Band<Volts>) -> Option<Situation> {
    let values = Values::given(meter);
    let mut situation = situations_of(board, meter, &values, Case::Normal, outlook, Place::Range).pop()?;
    let Far::Stands { source, .. } = situation.far else { return None };
    situation.sources[source] = supply;
    situation.names[source] = Name::Supply;
    Some(situation)
}
