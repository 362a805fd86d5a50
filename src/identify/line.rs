//! Readings on a straight line: y = G·x + o, gain and offset kept apart.

use super::answer::Explanation;
use super::minimax::{EXPLAINS, Statement, best, greatest};
use super::scale::{Scale, Shared};
use super::verdict::Kind;

/// One reading with what it should be proportional to, a share of the full scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub(super) line: usize,
    pub(super) x: f64,
    pub(super) read: Shared,
}

/// What is not held within the accuracy of the converter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Free {
    pub(super) gain: bool,
    pub(super) offset: bool,
}

impl Free {
    pub(super) fn unknowns(self) -> usize {
        usize::from(self.gain) + usize::from(self.offset)
    }
}

/// A value with its ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub(super) value: f64,
    pub(super) lowest: f64,
    pub(super) highest: f64,
}

impl Ends {
    pub(super) fn new(value: f64, (lowest, highest): (f64, f64)) -> Self {
        Self { value, lowest, highest }
    }

    pub(super) fn times(self, factor: f64) -> Self {
        Self { value: self.value * factor, lowest: self.lowest * factor, highest: self.highest * factor }
    }

    pub(super) fn minus(self, other: f64) -> Self {
        Self { value: self.value - other, lowest: self.lowest - other, highest: self.highest - other }
    }
}

/// Gain and offset (a share of the full scale) that explain the points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) share: f64,
    pub(super) gain: Ends,
    pub(super) offset: Ends,
}

fn statements(points: &[Point], scale: &Scale, free: Free) -> Vec<Statement> {
    let of_point =
        |point: &Point| Statement { q: [point.x, 0.0, 1.0], y: point.read.share, h: point.read.accuracy };
    let mut statements: Vec<Statement> = points.iter().map(of_point).collect();
    statements.push(Statement { q: [0.0, 1.0, 0.0], y: 0.0, h: 0.0 });
    if !free.gain {
        statements.push(Statement { q: [1.0, 0.0, 0.0], y: 1.0, h: scale.gain });
    }
    if !free.offset {
        statements.push(Statement { q: [0.0, 0.0, 1.0], y: 0.0, h: scale.offset });
    }
    statements
}

/// Pairs that should lie on a line.
pub(super) struct Straight {
    pub(super) scale: Scale,
    pub(super) explain: fn(&[Point], &Scale) -> Vec<Explanation>,
}

impl Kind for Straight {
    type Point = Point;

    fn line_of(&self, point: &Point) -> usize {
        point.line
    }

    fn explain(&self, points: &[Point]) -> Vec<Explanation> {
        (self.explain)(points, &self.scale)
    }

    fn strain(&self, points: &[Point]) -> f64 {
        // Through two points there is always a line.
        let any = Free { gain: true, offset: points.len() > 2 };
        best(&statements(points, &self.scale, any)).map_or(f64::INFINITY, |best| best.share)
    }
}

/// The line through the points, if there is one within their accuracy.
pub(super) fn line(points: &[Point], scale: &Scale, free: Free) -> Option<Line> {
    let statements = statements(points, scale, free);
    let found = best(&statements).filter(|best| best.share <= EXPLAINS)?;
    let ends = |value: f64, direction: [f64; 3]| {
        // The best point itself is always inside; where rounding says otherwise, it stands for the end.
        let highest = greatest(&statements, direction).map_or(value, |end| end.max(value));
        let lowest = greatest(&statements, direction.map(|x| -x)).map_or(value, |end| (-end).min(value));
        Ends { value, lowest, highest }
    };
    Some(Line {
        share: found.share,
        gain: ends(found.u[0], [1.0, 0.0, 0.0]),
        offset: ends(found.u[2], [0.0, 0.0, 1.0]),
    })
}
