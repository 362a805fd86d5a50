//! Everything that may be off at one input, and what the firmware shows of it.

use super::calibrated::{Calibrated, Lines};
use super::channel::{Boards, Channel, FarBoards, LANES, Lanes, Whose, each};
use super::source::{Cause, Owner, Source, Spread};
use crate::board::{Board, Converter, Drive, Input};
use crate::circuit::{Name, Outlook, Place, Situation, SupplyMeter, Values, Workbench};
use crate::quantity::{Band, Counts, Volts};
use crate::reading::{Estimate, Nominal, Reader, at, warmth};
use crate::worst::FarEnd;

/// Half of what is lost when a count is truncated.
pub(super) const HALF: f64 = 0.5;

/// The sources of the input that measures the supply.
const OF_METER: Whose = Whose { of_meter: true, point: None };

/// The stack-up of one input with given parts: its sources of error, and its readings as a function of them.
#[derive(Debug)]
pub struct Stack<'a> {
    board: &'a Board,
    input: &'a Input,
    values: &'a Values,
    outlook: Outlook,
    nominal_situation: Situation,
    nominal: Nominal<'a>,
    sources: Vec<Source>,
    own: Channel,
    meter: Option<Meter>,
    calibrated: Option<Calibrated>,
}

/// The input that measures the supply.
#[derive(Debug)]
struct Meter {
    situations: SupplyMeter,
    channel: Channel,
    /// The swing in which both samples lie.
    swing: Band<Volts>,
    usual: Volts,
    /// The place of the supply among the sources, and that of its change between the samples.
    supply: Option<usize>,
    change: Option<usize>,
}

/// One value of what is measured.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    /// In the unit.
    pub(super) value: f64,
    /// What stands at the far end on the nominal board, without wire.
    pub(super) far: f64,
    /// How far the sender may be off there, in the unit.
    pub(super) accuracy: f64,
    /// How far its own warmth may shift it, in the unit.
    pub(super) warmth: f64,
}

impl Spot {
    /// Whether the sender shows what is measured, but for the factor of its resistance.
    pub(super) fn is_exact(&self) -> bool {
        self.accuracy == 0.0 && self.warmth == 0.0
    }
}

/// Some boards with both of their inputs, if there are two.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    pub(super) own: Boards,
    meter: Option<Boards>,
    supply: Lanes,
    lines: Option<Box<Lines>>,
}

impl<'a> Stack<'a> {
    /// The stack-up over life or on the bench. `None`: the pin floats, or the reading is corrected by an input whose parts
    /// are not known.
    pub fn new(board: &'a Board, input: &'a Input, values: &'a Values, outlook: Outlook) -> Option<Self> {
        let situation = |outlook| at(board, input, values, outlook, Place::Range);
        let (nominal, varied) = (situation(Outlook::Nominal), situation(outlook));
        let mut sources = Vec::new();
        let mut own = Channel::new(board, input, [&nominal, &varied], &mut sources, Whose::default())?;
        let mut meter = match input.corrected_by {
            None => None,
            Some(_) => Some(Meter::new(board, input, outlook, &mut sources)?),
        };
        own.truncated(&mut sources, Whose::default());
        if let Some(meter) = &mut meter {
            meter.channel.truncated(&mut sources, OF_METER);
        }
        let calibrated = match Workbench::of(board, input, values) {
            None => None,
            Some(bench) => Some(Calibrated::new(board, input, &bench, &mut sources)?),
        };
        Some(Self {
            board,
            input,
            values,
            outlook,
            nominal: Nominal::new(input, &nominal, &nominal.resistances),
            nominal_situation: nominal,
            sources,
            own,
            meter,
            calibrated,
        })
    }

    /// The sources of error.
    pub fn sources(&self) -> &[Source] {
        &self.sources
    }

    /// The input.
    pub fn input(&self) -> &'a Input {
        self.input
    }

    /// Over life or on the bench.
    pub fn outlook(&self) -> Outlook {
        self.outlook
    }

    /// The converter.
    pub(super) fn converter(&self) -> &Converter {
        &self.nominal_situation.converter
    }

    /// What the firmware holds for the board.
    pub(super) fn nominal(&self) -> &Nominal<'a> {
        &self.nominal
    }

    /// Whether a count alone does not say what is read: the reading follows the supply that another input measures, or is
    /// calibrated.
    pub(super) fn is_adjusted(&self) -> bool {
        self.meter.is_some() || self.calibrated.is_some()
    }

    /// One value of what is measured.
    pub(super) fn spot(&self, value: f64) -> Spot {
        let life = self.outlook == Outlook::Life;
        let (accuracy, warmth) = match &self.input.drive {
            Drive::Sender(sender) if life => {
                (sender.accuracy.at(value), warmth(self.board, self.input, self.values, value))
            }
            _ => (0.0, 0.0),
        };
        Spot { value, far: self.input.drive.far_at(value).0, accuracy, warmth }
    }

    /// The band of the count before truncation at a value, exactly.
    pub(super) fn exact_counts(&self, value: f64) -> Option<Band<Counts>> {
        let situation = at(self.board, self.input, self.values, self.outlook, Place::At(value));
        crate::worst::count_band(&situation, &situation.resistances)
    }

    /// Some boards with these deviations of all sources.
    pub(super) fn boards(&self, deviations: &[Lanes]) -> Pair {
        let own = self.own.boards(deviations);
        let lines = self.calibrated.as_ref().map(|calibrated| Box::new(calibrated.lines(deviations)));
        let Some(meter) = &self.meter else {
            return Pair { own, meter: None, supply: [0.0; LANES], lines };
        };
        let by = |source: Option<usize>, i: usize| source.map_or(0.0, |source| deviations[source][i]);
        let supply = each(|i| {
            let supply = meter.usual.0 + by(meter.supply, i) + by(meter.change, i);
            supply.max(meter.swing.lowest.0).min(meter.swing.highest.0)
        });
        Pair { own, meter: Some(meter.channel.boards(deviations)), supply, lines }
    }

    /// What stands at the far ends of some boards at a value, wire included.
    #[inline]
    pub(super) fn far(&self, spot: &Spot, boards: &FarBoards) -> Lanes {
        let Drive::Sender(sender) = &self.input.drive else { return [spot.far; LANES] };
        if spot.is_exact() {
            return each(|i| spot.far * boards.factor[i] + boards.wire[i]);
        }
        each(|i| {
            let shown = spot.value + spot.accuracy * boards.accuracy[i] + spot.warmth * boards.warmth[i];
            sender.curve.at(shown).0.max(0.0) * boards.factor[i] + boards.wire[i]
        })
    }

    /// The reading of the nominal board at a value, truncated.
    pub(super) fn nominal_reading(&self, spot: &Spot) -> f64 {
        let [reading, ..] = self.readings(spot, &self.boards(&vec![[0.0; LANES]; self.sources.len()]));
        reading
    }

    /// The readings of some boards at a value, truncated as the converter does it.
    pub(super) fn readings(&self, spot: &Spot, boards: &Pair) -> Lanes {
        let converter = &self.nominal_situation.converter;
        let truncated = |count: f64| converter.truncated(Counts(count));
        let own = boards.own.counts(&self.far(spot, &boards.own.far));
        if let Some(lines) = &boards.lines {
            return each(|i| {
                let corrected = lines.truncated[i].of(truncated(own[i]).0 + HALF);
                if corrected.is_nan() {
                    return self.furthest_from(spot.value);
                }
                self.nominal.reading(Counts(corrected - HALF))
            });
        }
        let Some((meter, of_meter)) = self.meter.as_ref().zip(boards.meter) else {
            return own.map(|count| self.nominal.reading(truncated(count)));
        };
        let estimate = Estimate::new(&meter.situations);
        let supplies = of_meter.counts(&boards.supply);
        each(|i| {
            let supply = estimate.of(truncated(supplies[i]).0 + HALF);
            self.reader(supply).reading(truncated(own[i]).0 + HALF)
        })
    }

    /// What some boards take the far end for at a value, wire left out, before truncation. `is_open`: as if no clamp
    /// held a pin and no count were held by the converter.
    ///
    /// It is a Möbius function of each source of which the channel is one: the nominal inverse of a Möbius function.
    pub(super) fn estimates(&self, spot: &Spot, boards: &Pair, is_open: bool) -> Lanes {
        let far = self.far(spot, &boards.own.far);
        let top = self.nominal_situation.converter.highest_count().0;
        let seen = |boards: &Boards, far: &Lanes| {
            if is_open { boards.open_counts(far) } else { boards.counts(far).map(|c| c.clamp(0.0, top)) }
        };
        let own = seen(&boards.own, &far);
        if let Some(lines) = &boards.lines {
            let lines = if is_open { &lines.open } else { &lines.held };
            return each(|i| self.nominal.far_of(Counts(lines[i].of(own[i]) - HALF)).0);
        }
        let Some((meter, of_meter)) = self.meter.as_ref().zip(boards.meter) else {
            return own.map(|count| self.nominal.far_of(Counts(count - HALF)).0);
        };
        let estimate = Estimate::new(&meter.situations);
        let supplies = seen(&of_meter, &boards.supply);
        each(|i| {
            let supply = if is_open { estimate.beyond(supplies[i]) } else { estimate.of(supplies[i]) };
            self.reader(supply).far(own[i]).0
        })
    }

    /// The reading at a value as a smooth function of the deviations: before truncation, held by nothing, the curve going
    /// on as it bends at the value. At a knot the side counts on which a reading moves more.
    pub(super) fn model(&self, spot: &Spot) -> impl Fn(&[f64]) -> f64 + use<'_, 'a> {
        let spot = *spot;
        let drive = &self.input.drive;
        let [below, above] = drive.slopes(spot.value);
        let slope = if below.abs() < above.abs() { below } else { above };
        let bend = drive.bend(spot.value);
        move |deviations| {
            let lanes: Vec<Lanes> = deviations.iter().map(|&deviation| [deviation; LANES]).collect();
            let [far, ..] = self.estimates(&spot, &self.boards(&lanes), true);
            let first = (far - spot.far) / slope;
            // The inverse of a curve with slope s and second derivative b·s: x = f/s − b/2·(f/s)².
            spot.value + first - bend / 2.0 * first * first
        }
    }

    /// The value that the far end stands for, held to the range.
    pub(super) fn value_of(&self, far: f64) -> f64 {
        self.input.drive.value_of(FarEnd(far))
    }

    /// The end of the range that is further from a value: what may be read where the counts of a calibration say nothing.
    fn furthest_from(&self, value: f64) -> f64 {
        let (first, last) = self.input.range();
        if (last - value).abs() > (first - value).abs() { last } else { first }
    }

    fn reader(&self, supply: Volts) -> Reader<'a> {
        Reader::new(self.input, &self.nominal_situation, &self.nominal_situation.resistances, supply)
    }
}

impl Meter {
    fn new(board: &Board, input: &Input, outlook: Outlook, sources: &mut Vec<Source>) -> Option<Self> {
        let meter = SupplyMeter::of(board, input, outlook)?;
        let place = meter.varied.place_named(Name::Supply)?;
        let swing = meter.varied.sources[place];
        let situations = [&meter.nominal, &meter.varied];
        let channel = Channel::new(board, &meter.input, situations, sources, OF_METER)?;
        let supply = sources.iter().position(|source| source.cause == Cause::Supply);
        let change = (meter.change.0 > 0.0).then(|| {
            let spread = Spread::within(meter.change.0);
            let (cause, owner) = (Cause::SupplyChange, Owner::Input);
            sources.push(Source { cause, owner, of_meter: false, point: None, spread });
            sources.len() - 1
        });
        Some(Self { situations: meter, channel, swing, usual: board.supply.usual, supply, change })
    }
}
