//! The reading of an input that is calibrated.
//!
//! On the bench the far end is put to a value or two, and the firmware keeps the truncated counts m1 (and m2) that its
//! board shows there. It knows the nominal counts N1 (and N2) before truncation, and corrects every count before its table:
//!
//! - two points: c = N1 + ((n + 0.5) − (m1 + 0.5))·(N2 − N1)/(m2 − m1);
//! - one point on a circuit that keeps zero, whose range starts there: c = (n + 0.5)·N1/(m1 + 0.5), since only a factor can be
//!   off; the point must not be that zero itself;
//! - one point elsewhere: c = (n + 0.5) + N1 − (m1 + 0.5).
//!
//! The reading is the nominal inverse of c, held to the range.
//!
//! **What is shared.** On one board the tolerance of its parts, its rails, reference, gain and offset are the same on the
//! bench and in life. Everything else is taken as independent at each point and in life: what temperature does to the
//! parts, nonlinearity, noise, truncation (±0.5 count), leakage, and what is known of an old gauge or an existing resistance.
//!
//! **What is exact.** With all that is shared at one value, the three counts have nothing in common. Each has its extremes
//! at corners of its own parameters, c is monotone in each count, and so is its extreme in the gain, in a reference that is
//! no rail and in the offset: ends are enough. With two points the offset cancels; where the converter holds a count, it is
//! left out with its range to either side.
//!
//! **What is bounded.** What is shared otherwise, tolerances and rails, enters twice or three times, and the extreme may lie
//! inside. It is looked for on a grid of boards, and what a board between them may add is bounded by second derivatives:
//! see [`margin`]. So what is given is never too good; it is above what a board attains by that margin, which the
//! grid is made fine enough for.

mod grid;
mod margin;

use super::nominal::Nominal;
use crate::board::{Converter, Input};
use crate::circuit::{Name, Situation, Workbench};
use crate::quantity::{Amperes, Band, Counts, Ohms};
use crate::worst::{Corner, EdgeBoard, Ends, FarEnd, Transfer};
use grid::Grid;
use margin::Margin;

/// Half of what is lost when a count is truncated.
const HALF: f64 = 0.5;

/// How the firmware corrects a count, from the nominal counts at the points; rising.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Rule {
    /// By a straight line through two points.
    Line {
        /// The nominal counts before truncation.
        nominal: [f64; 2],
    },
    /// By a factor.
    Factor {
        /// The nominal count before truncation.
        nominal: f64,
    },
    /// By a constant.
    Constant {
        /// The nominal count before truncation.
        nominal: f64,
    },
}

/// What a rule makes of a count plus one half: a straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) at_zero: f64,
    pub(crate) slope: f64,
}

impl Line {
    pub(crate) fn of(self, middle: f64) -> f64 {
        self.at_zero + self.slope * middle
    }
}

impl Rule {
    /// The rule of an input, and its points in the order of the rule.
    pub(crate) fn of(input: &Input, bench: &Workbench) -> (Self, Vec<f64>) {
        let mut points = bench.calibration.points.clone();
        let mut nominal: Vec<f64> = points.iter().map(|&point| nominal_count(input, bench, point)).collect();
        if let [first, second] = nominal.as_mut_slice() {
            if second < first {
                points.reverse();
                (*first, *second) = (*second, *first);
            }
            return (Self::Line { nominal: [*first, *second] }, points);
        }
        let (point, nominal) = (points[0], nominal[0]);
        let is_zero = input.drive.far_at(point) == FarEnd(0.0);
        let is_factor = input.starts_at_zero() && !is_zero;
        (if is_factor { Self::Factor { nominal } } else { Self::Constant { nominal } }, points)
    }

    /// The line for the counts at the points, each plus one half. `None`: they say nothing.
    pub(crate) fn line(self, seen: &[f64]) -> Option<Line> {
        match (self, seen) {
            (Self::Line { nominal: [low, high] }, &[a, b]) if b > a && high > low => {
                let slope = (high - low) / (b - a);
                Some(Line { at_zero: low - a * slope, slope })
            }
            (Self::Factor { nominal }, &[a]) if a > 0.0 => Some(Line { at_zero: 0.0, slope: nominal / a }),
            (Self::Constant { nominal }, &[a]) => Some(Line { at_zero: nominal - a, slope: 1.0 }),
            _ => None,
        }
    }
}

/// The nominal count before truncation at a point.
fn nominal_count(input: &Input, bench: &Workbench, point: f64) -> f64 {
    let corner = Corner::at(&bench.nominal, &bench.nominal.resistances, Ends::default());
    let pin = corner.transfer(input.drive.is_sender()).pin(bench.far_at(input, point), Amperes(0.0));
    let reference = corner.reference().map_or(f64::NAN, |volts| volts.0);
    bench.nominal.converter.full_scale().0 * pin.0 / reference
}

/// The boards at the edges of a count.
type EdgeBoards = [Vec<EdgeBoard>; 2];

/// One board of the grid with its converter at one end.
#[derive(Debug)]
struct Scaled {
    /// The board, by its place.
    board: usize,
    /// Counts for each volt at the pin.
    per_volt: f64,
    /// The offset, where it does not cancel.
    offset: f64,
    /// What its firmware may have made of its calibration.
    lines: Vec<Line>,
}

/// The least and the greatest calibrated reading anywhere in the range.
#[derive(Debug)]
pub(super) struct CalibratedEdges<'a> {
    nominal: Nominal<'a>,
    range: (f64, f64),
    leakage: Amperes,
    boards: Vec<EdgeBoards>,
    scaled: Vec<Scaled>,
    errors: Errors,
    margin: Margin,
    /// What any board may have made of its calibration, where nothing is known of it; empty: not looked at.
    any: Vec<Line>,
    /// Whether the counts at the points are always apart, and the pin follows the far end.
    is_reliable: bool,
}

/// What is added to counts.
#[derive(Clone, Copy, Debug)]
struct Errors {
    /// Nonlinearity, noise and truncation, either sign.
    each: f64,
    /// The offset, either sign.
    offset: f64,
    /// The highest count.
    top: f64,
    /// Whether the offset cancels.
    cancels: bool,
}

impl Errors {
    /// Counts plus one half that a board may show, less its offset where that cancels: the lesser of the first two, and the
    /// greater of the others. What holds a count at an end of the converter only ever widens the band here.
    fn shown(&self, [low, high]: [f64; 2], offset: f64) -> [[f64; 2]; 2] {
        let (least, most) = (HALF + self.hidden(), self.top + HALF - self.hidden());
        let [low, high] = [low + offset - self.each, high + offset + self.each];
        [[low, low.min(most)], [high, high.max(least)]]
    }

    /// How far an offset that cancels may shift the ends of the converter.
    fn hidden(&self) -> f64 {
        if self.cancels { self.offset } else { 0.0 }
    }

    /// Counts plus one half that any board may show, by itself.
    fn held(&self, [low, high]: [f64; 2]) -> [f64; 2] {
        let off = self.offset + self.each;
        [low - off, high + off].map(|count| count.clamp(HALF, self.top + HALF))
    }
}

impl<'a> CalibratedEdges<'a> {
    /// The edges over the range in a situation: over life, or later on the bench. `None`: a pin floats, or the converter is
    /// down.
    pub(super) fn new(
        input: &'a Input,
        nominal: &Situation,
        varied: &Situation,
        bench: &Workbench,
    ) -> Option<Self> {
        let (rule, points) = Rule::of(input, bench);
        let margin = Margin::new(input, varied, bench, &rule, &points)?;
        let grid = Grid::new(&bench.steady, &margin.steps);
        let converter = &varied.converter;
        let errors = Errors {
            each: converter.inl.0 + converter.noise.0 + HALF + Converter::SLACK,
            offset: converter.offset.0,
            top: converter.highest_count().0,
            cancels: !matches!(rule, Rule::Factor { .. }),
        };
        let of_resistance = input.drive.is_sender();
        let on_bench = grid.boards(&bench.varied, of_resistance);
        let mut edges = Self {
            nominal: Nominal::new(input, nominal, &nominal.resistances),
            range: input.range(),
            leakage: varied.leakage,
            boards: grid.boards(varied, of_resistance),
            scaled: Vec::new(),
            errors,
            is_reliable: margin.is_reliable,
            margin,
            any: Vec::new(),
        };
        let sign = input.circuit.sign();
        let follows = |boards: &EdgeBoards, leakage: Amperes| {
            let limbs = boards.iter().zip([-leakage, leakage]);
            limbs
                .flat_map(|(limbs, leakage)| limbs.iter().map(move |limb| (limb, leakage)))
                .all(|(limb, leakage)| sign * limb.transfer.determinant(leakage) > 0.0)
        };
        edges.is_reliable &= edges.boards.iter().all(|boards| follows(boards, varied.leakage))
            && on_bench.iter().all(|boards| follows(boards, bench.varied.leakage));
        edges.calibrate(input, bench, rule, &points, &on_bench);
        Some(edges)
    }

    /// What the firmware of each board may have made of its calibration.
    fn calibrate(
        &mut self,
        input: &Input,
        bench: &Workbench,
        rule: Rule,
        points: &[f64],
        on_bench: &[EdgeBoards],
    ) {
        let dialled: Vec<Band<f64>> = points.iter().map(|&point| bench.dialled(input, point)).collect();
        let mut any: Vec<[f64; 2]> = vec![[f64::INFINITY, f64::NEG_INFINITY]; points.len()];
        for (board, limbs) in on_bench.iter().enumerate() {
            let pins: Vec<[f64; 2]> =
                dialled.iter().map(|&band| pins(limbs, band, bench.varied.leakage)).collect();
            for per_volt in scales(&bench.varied, limbs) {
                let counts: Vec<[f64; 2]> =
                    pins.iter().map(|pins| pins.map(|volts| volts * per_volt)).collect();
                for (any, counts) in any.iter_mut().zip(&counts) {
                    *any = [any[0].min(counts[0]), any[1].max(counts[1])];
                }
                let offset = self.errors.offset;
                let offsets =
                    if self.errors.cancels || offset == 0.0 { vec![0.0] } else { vec![-offset, offset] };
                for offset in offsets {
                    let seen: Vec<Vec<f64>> =
                        counts.iter().map(|&counts| distinct(self.errors.shown(counts, offset))).collect();
                    let lines: Vec<Option<Line>> = sets(&seen).iter().map(|seen| rule.line(seen)).collect();
                    self.is_reliable &= lines.iter().all(Option::is_some);
                    let lines = lines.into_iter().flatten().collect();
                    self.scaled.push(Scaled { board, per_volt, offset, lines });
                }
            }
        }
        // Parts that track may have their extremes between two boards of the grid.
        if bench.varied.tracking.is_empty() {
            let seen: Vec<Vec<f64>> = any.iter().map(|&counts| self.errors.held(counts).to_vec()).collect();
            let lines: Option<Vec<Line>> = sets(&seen).iter().map(|seen| rule.line(seen)).collect();
            self.any = lines.unwrap_or_default();
        }
    }

    /// Whether the calibration can be relied on: the counts at its points are apart on every board.
    pub(super) fn is_reliable(&self) -> bool {
        self.is_reliable
    }

    /// The readings that may occur while the far end, the wire of a sender included, is in a band; all of the range where
    /// the calibration cannot be relied on.
    pub(super) fn readings(&self, far: Band<f64>) -> Band<f64> {
        if !self.is_reliable {
            return Band::between(self.range.0, self.range.1);
        }
        let [low, high] = self.corrected(far);
        let margin = self.margin.counts(far);
        let reading = |middle: f64| self.nominal.reading(Counts(middle - HALF));
        Band::between(reading(low - margin), reading(high + margin))
    }

    /// The least and the greatest corrected count on the grid.
    fn corrected(&self, far: Band<f64>) -> [f64; 2] {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut any = [f64::INFINITY, f64::NEG_INFINITY];
        let (mut board, mut volts) = (usize::MAX, [f64::NAN; 2]);
        for scaled in &self.scaled {
            if scaled.board != board {
                (board, volts) = (scaled.board, pins(&self.boards[scaled.board], far, self.leakage));
            }
            let counts = volts.map(|volts| volts * scaled.per_volt);
            any = [any[0].min(counts[0]), any[1].max(counts[1])];
            let [lows, highs] = self.errors.shown(counts, scaled.offset);
            // Every line rises.
            let (least, most) = (lows[0].min(lows[1]), highs[0].max(highs[1]));
            for line in &scaled.lines {
                low = low.min(line.of(least));
                high = high.max(line.of(most));
            }
        }
        if self.any.is_empty() {
            return [low, high];
        }
        let [least, most] = self.errors.held(any);
        let of = |middle: f64| self.any.iter().map(move |line| line.of(middle));
        [
            low.max(of(least).fold(f64::INFINITY, f64::min)),
            high.min(of(most).fold(f64::NEG_INFINITY, f64::max)),
        ]
    }
}

/// The voltages at the pin of a board between which it lies while the far end is in a band. What holds the pin from below
/// does not lower its least voltage, nor the other way round.
fn pins([lower, upper]: &EdgeBoards, far: Band<f64>, leakage: Amperes) -> [f64; 2] {
    let ends = |transfer: &Transfer, leakage| {
        let [a, b] = [far.lowest, far.highest].map(|far| transfer.pin(FarEnd(far), leakage).0);
        [a.min(b), a.max(b)]
    };
    let least = |limb: &EdgeBoard| ends(&limb.transfer, -leakage)[0].min(limb.window.highest.0);
    let most = |limb: &EdgeBoard| ends(&limb.transfer, leakage)[1].max(limb.window.lowest.0);
    [
        lower.iter().map(least).fold(f64::INFINITY, f64::min),
        upper.iter().map(most).fold(f64::NEG_INFINITY, f64::max),
    ]
}

/// Counts for each volt, at the ends of the gain and of a reference that is no rail.
fn scales(situation: &Situation, limbs: &EdgeBoards) -> Vec<f64> {
    let converter = &situation.converter;
    let Some(place) = situation.reference else { return Vec::new() };
    let references = if situation.names[place] == Name::Reference {
        vec![situation.sources[place].lowest.0, situation.sources[place].highest.0]
    } else {
        // A rail is at one value on one board.
        limbs.iter().flatten().take(1).map(|limb| limb.reference.0).collect()
    };
    let gains = [1.0 - converter.gain.0, 1.0 + converter.gain.0];
    let full = converter.full_scale().0;
    let mut scales: Vec<f64> =
        references.iter().flat_map(|reference| gains.map(|gain| full * gain / reference)).collect();
    scales.sort_by(f64::total_cmp);
    scales.dedup();
    // In between lies nothing that is worse than at both ends.
    if let [least, .., most] = scales[..] { vec![least, most] } else { scales }
}

/// Each value once.
fn distinct(values: [[f64; 2]; 2]) -> Vec<f64> {
    let mut values = values.as_flattened().to_vec();
    values.sort_by(f64::total_cmp);
    values.dedup();
    values
}

/// One of each.
fn sets(of_each: &[Vec<f64>]) -> Vec<Vec<f64>> {
    of_each.iter().fold(vec![Vec::new()], |sets, values| {
        let with = |set: &Vec<f64>, value: f64| set.iter().copied().chain([value]).collect();
        sets.iter().flat_map(|set| values.iter().map(move |&value| with(set, value))).collect()
    })
}

/// What stands at the far end of a sender, as plain numbers.
pub(super) fn plain(ohms: Band<Ohms>) -> Band<f64> {
    Band { lowest: ohms.lowest.0, highest: ohms.highest.0 }
}
