//! The boards at the edges of a count, wherever the far end stands.

use super::{Groups, Slice};
use crate::chain::Source;
use crate::circuit::{Far, Situation};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::corner::{Corner, Ends};
use crate::worst::{Transfer, extreme_corners, peak_at_clamp};

/// Slices of one group; with several groups each gets fewer.
const SLICES: [usize; 3] = [64, 10, 5];

/// A board that may be at an edge of the count, as a function of the far end. With parts that track each other it is a
/// level of a slice, between which the boards of the slice lie: no board is beyond all of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EdgeBoard {
    pub(crate) transfer: Transfer,
    pub(crate) reference: Volts,
    /// Between these voltages no clamp holds the pin.
    pub(crate) window: Band<Volts>,
}

impl EdgeBoard {
    fn of(corner: &Corner<'_>, of_resistance: bool, leakage: Amperes) -> Self {
        let transfer = corner.transfer(of_resistance);
        Self {
            transfer,
            reference: corner.reference().unwrap_or(Volts(f64::NAN)),
            window: corner.clamped_window(&transfer, leakage),
        }
    }
}

/// The boards at the lower and those at the upper edge of the count. `of_resistance`: the resistance of the far end moves,
/// otherwise its voltage or its current.
pub(crate) fn edge_boards(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of_resistance: bool,
) -> [Vec<EdgeBoard>; 2] {
    let leakage = |up: bool| if up { situation.leakage } else { -situation.leakage };
    let Some(groups) = Groups::of(situation, resistances) else {
        let corners = extreme_corners(situation, resistances);
        return edge_boards_at(situation, resistances, of_resistance, &corners);
    };
    let far = far_band(situation, resistances, of_resistance);
    [false, true].map(|up| {
        let edge = Edge { groups: &groups, of_resistance, leakage: leakage(up), up, far };
        let corners = edge.corners();
        let (boards, is_settled) = edge.boards(&corners, &groups.whole());
        if is_settled {
            return boards;
        }
        let slices = groups.slices(SLICES[groups.each.len().min(SLICES.len()) - 1]);
        let boards: Vec<EdgeBoard> = slices.iter().flat_map(|slice| edge.boards(&corners, slice).0).collect();
        edge.outermost(boards.iter().copied()).into_iter().map(|place| boards[place]).collect()
    })
}

/// The boards at the lower and those at the upper edge, where it is known at which corners they are: those of a box around
/// this one will do. No parts track each other.
pub(crate) fn edge_boards_at(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of_resistance: bool,
    [lower, upper]: &[Vec<Ends>; 2],
) -> [Vec<EdgeBoard>; 2] {
    [(lower, -situation.leakage), (upper, situation.leakage)].map(|(corners, leakage)| {
        let board =
            |&ends: &Ends| EdgeBoard::of(&Corner::at(situation, resistances, ends), of_resistance, leakage);
        corners.iter().map(board).collect()
    })
}

/// Whether a clamp takes hold on some board where its count would be greatest.
pub(crate) fn has_peak_at_clamp(situation: &Situation, resistances: &[Band<Ohms>]) -> bool {
    let Some(groups) = Groups::of(situation, resistances) else {
        return peak_at_clamp(situation, resistances).is_some();
    };
    let has_peak = |bands: &[Band<Ohms>]| peak_at_clamp(situation, bands).is_some();
    // What holds for parts that are off by themselves holds for those that track.
    has_peak(resistances)
        && groups
            .slices(SLICES[groups.each.len().min(SLICES.len()) - 1])
            .iter()
            .any(|slice| has_peak(&groups.bands(slice)))
}

/// Where the far end may stand.
fn far_band(situation: &Situation, resistances: &[Band<Ohms>], of_resistance: bool) -> Band<f64> {
    match situation.far {
        _ if of_resistance => Band { lowest: resistances[0].lowest.0, highest: resistances[0].highest.0 },
        Far::Stands { source, .. } => {
            let band = situation.sources[source];
            Band { lowest: band.lowest.0, highest: band.highest.0 }
        }
        Far::Flows(band) => Band { lowest: band.lowest.0, highest: band.highest.0 },
        Far::Open => Band::exactly(0.0),
    }
}

struct Edge<'a> {
    groups: &'a Groups<'a>,
    of_resistance: bool,
    leakage: Amperes,
    up: bool,
    far: Band<f64>,
}

impl Edge<'_> {
    /// The corners of what is off by itself at which the edge may be. A direction that is the same whatever the parts that
    /// track, each by itself, is the same in every slice.
    fn corners(&self) -> Vec<Ends> {
        let Groups { situation, resistances, tracked, .. } = *self.groups;
        let all = &extreme_corners(situation, resistances)[usize::from(self.up)];
        let mut corners: Vec<Ends> = all.iter().map(|ends| ends.without(tracked)).collect();
        corners.sort_unstable();
        corners.dedup();
        corners
    }

    /// The boards of a slice that no other one of it is beyond, and whether all of them are boards that there are.
    fn boards(&self, corners: &[Ends], slice: &Slice) -> (Vec<EdgeBoard>, bool) {
        let bands = self.groups.bands(slice);
        let outer = [0, self.groups.sizes().iter().product::<usize>() - 1];
        let (mut found, mut is_settled) = (Vec::new(), true);
        for &corner in corners {
            let mut levels = self.levels(&bands, corner);
            // Of equals the first is kept.
            levels.sort_by_key(|(level, _)| (!outer.contains(level), *level));
            let real = levels.iter().take_while(|(level, _)| outer.contains(level)).count();
            let mut kept = self.outermost(levels.iter().map(|(_, board)| *board));
            if let [(0, low), (_, high), ..] = levels.as_slice()
                && real == 2
            {
                kept.retain(|&place| place < real || !self.are_beyond([low, high], &levels[place].1));
            }
            is_settled &= kept.iter().all(|place| *place < real);
            found.extend(kept.into_iter().map(|place| levels[place].1));
        }
        (found, is_settled)
    }

    /// The places of those boards that no other one is beyond; of equals that of the first.
    fn outermost(&self, boards: impl Iterator<Item = EdgeBoard>) -> Vec<usize> {
        let mut kept: Vec<(usize, EdgeBoard)> = Vec::new();
        for (place, board) in boards.enumerate() {
            if !kept.iter().any(|(_, other)| self.is_beyond(other, &board)) {
                kept.retain(|(_, other)| !self.is_beyond(&board, other));
                kept.push((place, board));
            }
        }
        kept.into_iter().map(|(place, _)| place).collect()
    }

    /// The levels at one corner of the rest.
    fn levels(&self, bands: &[Band<Ohms>], corner: Ends) -> Vec<(usize, EdgeBoard)> {
        let tracked: Vec<usize> = self.groups.each.iter().copied().flatten().copied().collect();
        let mut levels: Vec<(usize, EdgeBoard)> = Vec::new();
        for vertex in 0..1_usize << tracked.len() {
            let mut ends = corner;
            for (bit, &element) in tracked.iter().enumerate() {
                ends.set(element, vertex >> bit & 1 == 1);
            }
            let board = EdgeBoard::of(
                &Corner::at(self.groups.situation, bands, ends),
                self.of_resistance,
                self.leakage,
            );
            let level = self.groups.level(ends);
            match levels.iter_mut().find(|(known, _)| *known == level) {
                Some((_, sum)) => *sum = self.joined(sum, &board),
                None => levels.push((level, board)),
            }
        }
        levels
    }

    /// The sum of two boards, with the wider window on the side that counts.
    fn joined(&self, a: &EdgeBoard, b: &EdgeBoard) -> EdgeBoard {
        let further = |a: Volts, b: Volts| if self.up { a.max(b) } else { a.min(b) };
        EdgeBoard {
            transfer: Transfer {
                base: a.transfer.base.plus(b.transfer.base),
                by: a.transfer.by.plus(b.transfer.by),
                is_stiff: a.transfer.is_stiff,
            },
            reference: a.reference,
            window: Band {
                lowest: further(a.window.lowest, b.window.lowest),
                highest: further(a.window.highest, b.window.highest),
            },
        }
    }

    /// Whether one board is beyond another, or as far, wherever the far end stands.
    fn is_beyond(&self, one: &EdgeBoard, other: &EdgeBoard) -> bool {
        self.is_wider(one, other) && self.lead(one, other, self.far).is_beyond()
    }

    /// Whether of two boards always the one or the other is beyond a third. Boards that differ in one factor often cross all
    /// at one place: before it the one end of the band is beyond all of them, after it the other.
    fn are_beyond(&self, pair: [&EdgeBoard; 2], other: &EdgeBoard) -> bool {
        let [one, two] = pair;
        if !self.is_wider(one, other) || !self.is_wider(two, other) {
            return false;
        }
        let crossings = self
            .lead(one, two, self.far)
            .roots()
            .map(|share| self.far.lowest + (self.far.highest - self.far.lowest) * share);
        let mut places = vec![self.far.lowest, self.far.highest];
        places.extend(crossings);
        places.sort_by(f64::total_cmp);
        places.windows(2).all(|ends| {
            let far = Band { lowest: ends[0], highest: ends[1] };
            pair.into_iter().any(|board| self.lead(board, other, far).is_beyond())
        })
    }

    /// Whether the clamps hold one board no earlier than another, where that counts.
    fn is_wider(&self, one: &EdgeBoard, other: &EdgeBoard) -> bool {
        let wider = |a: Volts, b: Volts| if self.up { a >= b } else { a <= b };
        let (a, b) = (one.window, other.window);
        // Over different references the pins do not compare.
        one.reference == other.reference && wider(a.lowest, b.lowest) && wider(a.highest, b.highest)
    }

    /// By how much one board leads another over a stretch of the far end.
    fn lead(&self, one: &EdgeBoard, other: &EdgeBoard, far: Band<f64>) -> Lead {
        let numbers = |board: &EdgeBoard, far: f64| {
            let at = |source: Source| {
                let [n, d, m] = source.numbers();
                [n + self.leakage.0 * m, d]
            };
            let (base, by) = (at(board.transfer.base), at(board.transfer.by));
            [base[0] + far * by[0], base[1] + far * by[1]]
        };
        let [a, c] = [far.lowest, far.highest].map(|far| numbers(one, far));
        let [b, d] = [far.lowest, far.highest].map(|far| numbers(other, far));
        let sign = if self.up { 1.0 } else { -1.0 };
        let of = |terms: &[(f64, f64)]| {
            let sum: f64 = terms.iter().map(|(plus, minus)| plus - minus).sum();
            let size: f64 = terms.iter().map(|(plus, minus)| plus.abs() + minus.abs()).sum();
            (sign * sum, size)
        };
        Lead([
            of(&[(a[0] * b[1], b[0] * a[1])]),
            of(&[(0.5 * a[0] * d[1], 0.5 * d[0] * a[1]), (0.5 * c[0] * b[1], 0.5 * b[0] * c[1])]),
            of(&[(c[0] * d[1], d[0] * c[1])]),
        ])
    }
}

/// The difference of the pins of two boards times what is below both: a square function of the far end, by its three Bernstein
/// coefficients over a stretch of it, each with the size of what it is the difference of.
struct Lead([(f64, f64); 3]);

impl Lead {
    /// Whether it is nowhere below 0, but for rounding.
    fn is_beyond(&self) -> bool {
        const ROUNDING: f64 = 1e-14;
        self.0.iter().all(|(value, size)| *value >= -ROUNDING * size)
    }

    /// Where it is 0, as shares of the stretch.
    fn roots(&self) -> impl Iterator<Item = f64> + use<> {
        let [(a, _), (b, _), (c, _)] = self.0;
        // a·(1 − t)² + 2·b·t·(1 − t) + c·t² = 0 for t/(1 − t): the two roots without cancellation.
        let root = (b * b - a * c).sqrt();
        let q = -(b + b.signum() * root);
        let shares = [q / c, a / q].map(|ratio| ratio / (1.0 + ratio));
        shares.into_iter().filter(|share| 0.0 < *share && *share < 1.0)
    }
}
