//! What a count is worth in the unit of the dial: the firmware's inverse, its resolution, and its greatest error.

mod calibrated;
mod corrected;
mod dial;
mod edges;
mod error;
mod heat;
mod nominal;

pub(crate) use calibrated::{Line, Rule};
pub(crate) use corrected::{Edge, Estimate, Reader, Shared};
pub(crate) use error::greatest_bench_error;
pub use error::{greatest_error, greatest_error_of};
pub use nominal::{Found, Nominal};

use crate::board::{Board, Drive, Input, Sender};
use crate::case::Case;
use crate::circuit::{Outlook, Place, Situation, SupplyMeter, Values, Workbench, situations_of};
use crate::quantity::{Band, Counts, Ohms};
use crate::worst::count_band;
use calibrated::{CalibratedEdges, plain};
use corrected::CorrectedEdges;
use error::far_on_bench;
use heat::Heat;

/// An input as the firmware knows it: nominal parts, nominal reference, no errors.
#[derive(Debug)]
pub struct Firmware<'a> {
    board: &'a Board,
    input: &'a Input,
    values: &'a Values,
    nominal: Nominal<'a>,
    supply: Supply<'a>,
    calibrated: Option<Calibrated<'a>>,
}

/// Edges of the readings of an input that is calibrated. `None`: its pin floats.
#[derive(Debug)]
struct Calibrated<'a> {
    life: Option<CalibratedEdges<'a>>,
    bench: Option<CalibratedEdges<'a>>,
}

impl<'a> Calibrated<'a> {
    fn new(board: &Board, input: &'a Input, values: &Values) -> Option<Self> {
        let bench = Workbench::of(board, input, values)?;
        let nominal = at(board, input, values, Outlook::Nominal, Place::Range);
        let edges = |outlook| {
            let varied = at(board, input, values, outlook, Place::Range);
            CalibratedEdges::new(input, &nominal, &varied, &bench)
        };
        Some(Self { life: edges(Outlook::Life), bench: edges(Outlook::Bench) })
    }

    fn is_reliable(&self) -> bool {
        let edges = [&self.life, &self.bench];
        edges.into_iter().all(|edges| edges.as_ref().is_some_and(CalibratedEdges::is_reliable))
    }
}

/// What the firmware knows of the vehicle's supply.
#[derive(Debug)]
enum Supply<'a> {
    /// It takes it for the usual one.
    Usual,
    /// It measures it, by parts that are not known.
    Unknown,
    /// It measures it.
    Measured(Box<Measured<'a>>),
}

#[derive(Debug)]
struct Measured<'a> {
    /// On the usual supply.
    usual: Reader<'a>,
    life: CorrectedEdges<'a>,
    bench: CorrectedEdges<'a>,
}

impl<'a> Measured<'a> {
    fn new(board: &Board, input: &'a Input, values: &Values) -> Option<Self> {
        let nominal = at(board, input, values, Outlook::Nominal, Place::Range);
        let edges = |outlook| {
            let varied = at(board, input, values, outlook, Place::Range);
            let meter = SupplyMeter::of(board, input, outlook)?;
            let ohms = [nominal.resistances.as_slice(), &varied.resistances];
            CorrectedEdges::new(input, [&nominal, &varied], ohms, &meter)
        };
        let meter = SupplyMeter::of(board, input, Outlook::Nominal)?;
        let usual = Estimate::new(&meter).usual(&meter)?;
        Some(Self {
            usual: Reader::new(input, &nominal, &nominal.resistances, usual),
            life: edges(Outlook::Life)?,
            bench: edges(Outlook::Bench)?,
        })
    }
}

impl<'a> Firmware<'a> {
    /// The firmware of an input with these parts.
    pub fn new(board: &'a Board, input: &'a Input, values: &'a Values) -> Self {
        let situation = at(board, input, values, Outlook::Nominal, Place::Range);
        let nominal = Nominal::new(input, &situation, &situation.resistances);
        let supply = match input.corrected_by {
            None => Supply::Usual,
            Some(_) => Measured::new(board, input, values)
                .map_or(Supply::Unknown, |measured| Supply::Measured(Box::new(measured))),
        };
        let calibrated = Calibrated::new(board, input, values);
        Self { board, input, values, nominal, supply, calibrated }
    }

    /// What it holds for the board.
    pub fn nominal(&self) -> &Nominal<'a> {
        &self.nominal
    }

    /// Whether there are readings: what corrects them has its parts.
    pub fn has_readings(&self) -> bool {
        !matches!(self.supply, Supply::Unknown)
    }

    /// The edges of calibrated readings; `None`: they are not.
    fn calibrated(&self) -> Option<&Calibrated<'a>> {
        self.calibrated.as_ref()
    }

    /// Whether what a calibration tells the firmware can be used on every board; so it can where there is none.
    pub fn can_be_calibrated(&self) -> bool {
        self.calibrated.as_ref().is_none_or(Calibrated::is_reliable)
    }

    /// Whether a count alone does not say what is read: another count or that of a calibration has a say.
    pub fn is_adjusted(&self) -> bool {
        self.input.corrected_by.is_some() || self.calibrated.is_some()
    }

    /// The reading for a truncated count, as [`Nominal::reading`]; one that is corrected by the supply with the usual one.
    pub fn reading(&self, count: Counts) -> f64 {
        match &self.supply {
            Supply::Measured(measured) => measured.usual.reading(count.0 + 0.5),
            Supply::Usual | Supply::Unknown => self.nominal.reading(count),
        }
    }

    /// The readings at a value, of the band of truncated counts that occur there. `None`: they are corrected by an input
    /// whose parts are not known.
    pub fn readings(&self, outlook: Outlook, value: f64, counts: Band<Counts>) -> Option<Band<f64>> {
        match &self.supply {
            Supply::Usual if self.calibrated.is_some() => self.adjusted(outlook, value),
            Supply::Usual => Some(Band::between(self.reading(counts.lowest), self.reading(counts.highest))),
            Supply::Unknown => None,
            Supply::Measured(_) => self.adjusted(outlook, value),
        }
    }

    /// The readings at a value that are corrected by the supply or calibrated; `None` where none are.
    pub fn adjusted(&self, outlook: Outlook, value: f64) -> Option<Band<f64>> {
        let Some(calibrated) = &self.calibrated else { return self.corrected(outlook, value) };
        let (first, last) = self.input.range();
        let (edges, far) = match outlook {
            Outlook::Nominal => return None,
            Outlook::Bench => (&calibrated.bench, far_on_bench(self.board, self.input, value)),
            Outlook::Life => {
                let life = at(self.board, self.input, self.values, outlook, Place::At(value));
                let far = self.input.drive.far_at(value).0;
                let is_sender = self.input.drive.is_sender();
                (&calibrated.life, if is_sender { plain(life.resistances[0]) } else { Band::exactly(far) })
            }
        };
        Some(edges.as_ref().map_or(Band::between(first, last), |edges| edges.readings(far)))
    }

    /// The readings at a value that are corrected by the supply; `None` where none are.
    pub fn corrected(&self, outlook: Outlook, value: f64) -> Option<Band<f64>> {
        let Supply::Measured(measured) = &self.supply else { return None };
        let far = at(self.board, self.input, self.values, outlook, Place::At(value)).resistances[0];
        match outlook {
            Outlook::Nominal => None,
            Outlook::Bench => Some(measured.bench.readings(far)),
            Outlook::Life => Some(measured.life.readings(far)),
        }
    }

    /// Whether the count rises with the value.
    pub fn rises(&self) -> bool {
        self.input.direction() > 0.0
    }

    /// The band of the count before truncation at a value, over life.
    pub fn life_band(&self, value: f64) -> Option<Band<Counts>> {
        let situation = at(self.board, self.input, self.values, Outlook::Life, Place::At(value));
        count_band(&situation, &situation.resistances)
    }

    /// The value at which an edge of the life band passes `count`, held to the range. The edges are monotone in the
    /// value, so halving the range finds it to the last digit.
    pub fn crossing(&self, count: Counts, edge: impl Fn(Band<Counts>) -> Counts) -> f64 {
        let rises = self.rises();
        self.passed(|value| self.life_band(value).is_some_and(|band| edge(band) >= count) == rises)
    }

    /// The value from which on something holds, held to the range.
    pub fn passed(&self, beyond: impl Fn(f64) -> bool) -> f64 {
        let (mut a, mut b) = self.input.range();
        if beyond(a) {
            return a;
        }
        if !beyond(b) {
            return b;
        }
        loop {
            let middle = a + (b - a) / 2.0;
            if middle <= a || middle >= b {
                return b;
            }
            if beyond(middle) {
                b = middle;
            } else {
                a = middle;
            }
        }
    }
}

/// Normal use with the measured quantity at one place. A sender that its own current warms may stand higher there over
/// life; on the bench something else stands in for it.
pub(crate) fn at(board: &Board, input: &Input, values: &Values, outlook: Outlook, place: Place) -> Situation {
    let normal = |place| situations_of(board, input, values, Case::Normal, outlook, place).swap_remove(0);
    let (Drive::Sender(sender), Outlook::Life, Place::At(value)) = (&input.drive, outlook, place) else {
        return normal(place);
    };
    if sender.self_heating.is_none() {
        return normal(place);
    }
    normal(Place::Warm(value, warmth(board, input, values, value)))
}

/// How far above a value the sender may sit over life, since its own current warms it; 0 if it is not known to.
pub(crate) fn warmth(board: &Board, input: &Input, values: &Values, value: f64) -> f64 {
    let Drive::Sender(sender) = &input.drive else { return 0.0 };
    let Some(heating) = sender.self_heating else { return 0.0 };
    let range = situations_of(board, input, values, Case::Normal, Outlook::Life, Place::Range).swap_remove(0);
    warmth_at(input, sender, &Heat::new(&range, &range.resistances, heating), value)
}

/// How far above a value the sender may sit that is warmed by its own current.
fn warmth_at(input: &Input, sender: &Sender, heat: &Heat, value: f64) -> f64 {
    let shown = value + sender.accuracy.at(value);
    // The side of the band that warmth reaches: the tolerance adds to it there.
    let spread = 1.0 + input.far_direction() * sender.tolerance.0;
    settled(|above: f64| heat.warmth((sender.curve.at(shown + above) * spread).max(Ohms(0.0))))
}

/// The warmth at which a sender settles: it gives off what it takes in.
fn settled(warmth: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while warmth(high) > high && high < 1e6 {
        high *= 2.0;
    }
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if warmth(middle) > middle {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}
