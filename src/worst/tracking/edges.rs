//! The boards at the edges of a count, wherever the far end stands.

use super::vertices::{Vertex, at_each_corner};
use super::{Groups, Slice};
use crate::chain::Source;
use crate::circuit::{Far, Situation};
use crate::quantity::{Amperes, Band, Ohms, Volts};
use crate::worst::corner::{Corner, Ends};
use crate::worst::{Transfer, extreme_corners, peak_at_clamp};

/// Slices of one group; with several groups each gets fewer.
const SLICES: [usize; 3] = [64, 12, 5];

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
        let [lower, upper] = extreme_corners(situation, resistances);
        return [(lower, false), (upper, true)].map(|(corners, up)| {
            let board =
                |ends| EdgeBoard::of(&Corner::at(situation, resistances, ends), of_resistance, leakage(up));
            corners.into_iter().map(board).collect()
        });
    };
    let far = far_band(situation, resistances, of_resistance);
    [false, true].map(|up| {
        let edge = Edge { groups: &groups, of_resistance, leakage: leakage(up), up, far };
        let (boards, is_settled) = edge.boards(&groups.whole());
        if is_settled {
            return boards;
        }
        let slices = groups.slices(SLICES[groups.each.len().min(SLICES.len()) - 1]);
        slices.iter().flat_map(|slice| edge.boards(slice).0).collect()
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
    /// The boards of a slice that no other one of it is beyond, and whether all of them are boards that there are.
    fn boards(&self, slice: &Slice) -> (Vec<EdgeBoard>, bool) {
        let bands = self.groups.bands(slice);
        let tracked = self.groups.tracked;
        let mut kept: Vec<Ends> = extreme_corners(self.groups.situation, &bands)[usize::from(self.up)]
            .iter()
            .map(|ends| ends.without(tracked))
            .collect();
        kept.sort_unstable();
        kept.dedup();
        let see = |corner: &Corner<'_>| {
            let is_kept = kept.contains(&corner.ends().without(tracked));
            is_kept.then(|| EdgeBoard::of(corner, self.of_resistance, self.leakage))
        };
        let (mut found, mut is_settled) = (Vec::new(), true);
        for vertices in at_each_corner(self.groups, slice, see) {
            let outer = [0, self.groups.sizes().iter().product::<usize>() - 1];
            let levels = self.levels(&vertices);
            for (place, (level, board)) in levels.iter().enumerate() {
                let is_beyond = |(other, (_, than)): (usize, &(usize, EdgeBoard))| {
                    other != place
                        && self.is_beyond(than, board)
                        // Of equals one is kept, an outer one if there is one.
                        && (!self.is_beyond(board, than) || rank(levels[other].0, outer, other) < rank(*level, outer, place))
                };
                if !levels.iter().enumerate().any(is_beyond) {
                    is_settled &= outer.contains(level);
                    found.push(*board);
                }
            }
        }
        (found, is_settled)
    }

    /// The levels at one corner of the rest.
    fn levels(&self, vertices: &[Vertex<Option<EdgeBoard>>]) -> Vec<(usize, EdgeBoard)> {
        let mut levels: Vec<(usize, EdgeBoard)> = Vec::new();
        for vertex in vertices {
            let Some(board) = vertex.seen else { continue };
            match levels.iter_mut().find(|(level, _)| *level == vertex.level) {
                Some((_, sum)) => *sum = self.joined(sum, &board),
                None => levels.push((vertex.level, board)),
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

    /// Whether one board is beyond another, or as far, wherever the far end stands. The difference of the two pins has the
    /// sign of a square function of the far end, which is not below 0 where its three Bernstein coefficients are not.
    fn is_beyond(&self, one: &EdgeBoard, other: &EdgeBoard) -> bool {
        const ROUNDING: f64 = 1e-14;
        let wider = |a: Volts, b: Volts| if self.up { a >= b } else { a <= b };
        if !wider(one.window.lowest, other.window.lowest) || !wider(one.window.highest, other.window.highest)
        {
            return false;
        }
        let numbers = |board: &EdgeBoard, far: f64| {
            let at = |source: Source| {
                let [n, d, m] = source.numbers();
                [n + self.leakage.0 * m, d]
            };
            let (base, by) = (at(board.transfer.base), at(board.transfer.by));
            [base[0] + far * by[0], base[1] + far * by[1]]
        };
        let Band { lowest, highest } = self.far;
        let ([a, b], [c, d]) = (
            [one, other].map(|board| numbers(board, lowest)),
            [one, other].map(|board| numbers(board, highest)),
        );
        let sign = if self.up { 1.0 } else { -1.0 };
        let holds = |terms: &[(f64, f64)]| {
            let sum: f64 = terms.iter().map(|(plus, minus)| plus - minus).sum();
            let size: f64 = terms.iter().map(|(plus, minus)| plus.abs() + minus.abs()).sum();
            sign * sum >= -ROUNDING * size
        };
        holds(&[(a[0] * b[1], b[0] * a[1])])
            && holds(&[(c[0] * d[1], d[0] * c[1])])
            && holds(&[(a[0] * d[1], d[0] * a[1]), (c[0] * b[1], b[0] * c[1])])
    }
}

/// The order in which one of equals is kept.
fn rank(level: usize, outer: [usize; 2], place: usize) -> (bool, usize) {
    (!outer.contains(&level), place)
}
