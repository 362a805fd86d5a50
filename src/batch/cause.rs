//! What alone may be out, and what the converter would show then.

use super::bench::on_the_bench;
use super::intervals::Intervals;
use crate::board::{Board, Converter, Input, InputId, Rail, RailId, Reference, Role};
use crate::circuit::{Name, Of, Outlook, Situation, Values, limits_of};
use crate::quantity::{Amperes, Band, Counts, Fraction, Ohms, Volts};
use crate::worst::count_band;

/// What may be out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Out {
    /// A part of one input.
    Part(InputId, Role),
    /// What leaks into the pin of one input.
    Leakage(InputId),
    /// A rail.
    Rail(RailId),
    /// The vehicle's supply, as the bench gives it.
    Supply,
    /// A reference of the converter's own.
    Reference,
    /// The gain of the converter.
    Gain,
    /// Its offset.
    Offset,
}

/// Something that may be out, with its nominal value and its tolerance in its own unit.
#[derive(Clone, Debug)]
pub(super) struct Cause {
    pub(super) out: Out,
    pub(super) nominal: f64,
    /// How far it may be off either way.
    tolerance: f64,
    /// The values that are looked at, ascending.
    grid: Vec<f64>,
}

/// Where nothing is tolerated, the least that counts as one tolerance: a share of a value, an offset, a leakage.
const LEAST_SHARE: f64 = 1e-3;
const LEAST_OFFSET: f64 = 1.0;
const LEAST_LEAKAGE: f64 = 1e-7;

impl Cause {
    /// One part of an input that is there.
    pub(super) fn of_part(board: &Board, id: InputId, role: Role) -> Option<Self> {
        let input = &board.inputs[id.0];
        let part = input.parts.iter().find(|part| part.role == role)?;
        let nominal = Values::given(input).get(role)?;
        let limits = limits_of(nominal, &part.grade, board, Outlook::Bench);
        Some(Self::near(Out::Part(id, role), nominal.0, (limits.highest - nominal).0, 6))
    }

    /// The parts and the leakage of one input. The resistor in front of the pin moves counts by leakage alone, of which
    /// nobody knows how much there is: it has no entry of its own.
    pub(super) fn of_input(board: &Board, id: InputId) -> Vec<Self> {
        let roles = board.inputs[id.0].parts.iter().map(|part| part.role);
        let seen = roles.filter(|role| *role != Role::Protection);
        let parts = seen.filter_map(|role| Self::of_part(board, id, role));
        let most = board.converter.leakage.0.max(LEAST_LEAKAGE);
        let steps = (0..=32).map(|k| most * 10_f64.powf(f64::from(k) / 8.0));
        let ascending: Vec<f64> = steps.collect();
        let grid = ascending.iter().rev().map(|x| -x).chain([0.0]).chain(ascending.iter().copied()).collect();
        let leakage = Self { out: Out::Leakage(id), nominal: 0.0, tolerance: most, grid };
        parts.chain([leakage]).collect()
    }

    /// What all inputs share.
    pub(super) fn shared(board: &Board) -> Vec<Self> {
        let rail = |(place, rail): (usize, &Rail)| {
            Self::near(Out::Rail(RailId(place)), rail.voltage.0, rail.voltage.0 * rail.tolerance.0, 1)
        };
        let own = match board.converter.reference {
            Reference::Own { voltage, tolerance } => {
                Some(Self::near(Out::Reference, voltage.0, voltage.0 * tolerance.0, 1))
            }
            Reference::Rail(_) => None,
        };
        let Converter { gain, offset, .. } = board.converter;
        let gain = Self {
            out: Out::Gain,
            nominal: 0.0,
            tolerance: gain.0.max(LEAST_SHARE),
            grid: decades(1.0, 1).iter().map(|x| x - 1.0).collect(),
        };
        let full = board.converter.full_scale().0;
        let offset = Self {
            out: Out::Offset,
            nominal: 0.0,
            tolerance: offset.0.max(LEAST_OFFSET),
            grid: (-64..=64).map(|k| full * f64::from(k) / 64.0).collect(),
        };
        let supply = Self::near(Out::Supply, board.supply.usual.0, 0.0, 1);
        board.rails.iter().enumerate().map(rail).chain(own).chain([gain, offset, supply]).collect()
    }

    /// A value that may be off by so many decades.
    fn near(out: Out, nominal: f64, tolerance: f64, span: i32) -> Self {
        Self { out, nominal, tolerance: tolerance.max(LEAST_SHARE * nominal), grid: decades(nominal, span) }
    }

    /// The input that alone sees it.
    pub(super) fn input(&self) -> Option<InputId> {
        match self.out {
            Out::Part(id, _) | Out::Leakage(id) => Some(id),
            Out::Rail(_) | Out::Reference | Out::Supply | Out::Gain | Out::Offset => None,
        }
    }

    /// So many times its tolerance a value is off.
    pub(super) fn tolerances(&self, value: f64) -> f64 {
        (value - self.nominal).abs() / self.tolerance
    }

    /// An end of what explains, unless nothing beyond was looked at.
    pub(super) fn bound(&self, value: f64) -> Option<f64> {
        let is_end = self.grid.first() == Some(&value) || self.grid.last() == Some(&value);
        (!is_end).then_some(value)
    }

    /// The values with which alone a count may be read at a value on the dial: everything else anywhere in its bench band.
    pub(super) fn explaining(&self, board: &Board, input: &Input, at: f64, read: Counts) -> Intervals {
        let bench = on_the_bench(board, input, at);
        let band = |x: f64| self.band(bench.clone(), x);
        // Each edge is monotone between two neighbours.
        let reached = |x: f64| band(x).is_none_or(|band| band.highest >= read);
        let begun = |x: f64| band(x).is_none_or(|band| band.lowest <= read);
        Intervals::of(&self.grid, reached).and(&Intervals::of(&self.grid, begun))
    }

    /// The truncated counts on the bench with this at a value; `None`: the pin may float.
    fn band(&self, mut bench: Situation, x: f64) -> Option<Band<Counts>> {
        let converter = bench.converter;
        let added = converter.added();
        let exact = match self.out {
            Out::Part(_, role) => {
                if let Some(place) = bench.place_of(Of::Part(role)) {
                    bench.resistances[place] = Band::exactly(Ohms(x));
                }
                count_band(&bench, &bench.resistances)?
            }
            Out::Leakage(_) => {
                // Each edge takes the leakage with its own sign.
                let mut with = |leakage: f64| {
                    bench.leakage = Amperes(leakage);
                    count_band(&bench, &bench.resistances)
                };
                Band { lowest: with(-x)?.lowest, highest: with(x)?.highest }
            }
            Out::Rail(RailId(place)) => with(bench, Name::Rail(place), x)?,
            Out::Reference => with(bench, Name::Reference, x)?,
            Out::Supply => with(bench, Name::Supply, x)?,
            Out::Gain => {
                bench.converter.gain = Fraction(0.0);
                let band = count_band(&bench, &bench.resistances)?;
                Band {
                    lowest: (band.lowest + added) * (1.0 + x) - added,
                    highest: (band.highest - added) * (1.0 + x) + added,
                }
            }
            Out::Offset => {
                bench.converter.offset = Counts(0.0);
                let band = count_band(&bench, &bench.resistances)?;
                Band { lowest: band.lowest + Counts(x), highest: band.highest + Counts(x) }
            }
        };
        Some(converter.truncated_band(exact))
    }
}

fn with(bench: Situation, name: Name, volts: f64) -> Option<Band<Counts>> {
    let bench = bench.with(name, Volts(volts));
    count_band(&bench, &bench.resistances)
}

/// Values up to so many decades about one, sixteen a decade.
fn decades(about: f64, span: i32) -> Vec<f64> {
    const STEPS: i32 = 16;
    (-span * STEPS..=span * STEPS).map(|k| about * 10_f64.powf(f64::from(k) / f64::from(STEPS))).collect()
}
