//! What the firmware of random boards has made of their calibration.

use super::channel::{Channel, LANES, Lanes, Whose, each};
use super::source::Source;
use super::stack::HALF;
use crate::board::{Board, Input};
use crate::circuit::Workbench;
use crate::quantity::Counts;
use crate::reading::{Line, Rule};

/// The points of a calibration, ready to be calculated on any board.
#[derive(Debug)]
pub(super) struct Calibrated {
    rule: Rule,
    points: Vec<Point>,
}

/// One point.
#[derive(Debug)]
struct Point {
    channel: Channel,
    /// What is dialled there, the wire left out.
    far: f64,
    is_sender: bool,
}

/// What each of some boards makes of a count plus one half; not a number where its calibration says nothing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lines {
    /// With truncated counts at the points.
    pub(super) truncated: [Line; LANES],
    /// With counts before truncation.
    pub(super) held: [Line; LANES],
    /// The same as if nothing held them.
    pub(super) open: [Line; LANES],
}

impl Calibrated {
    /// The calibration of an input, whose sources are put among the others. `None`: its pin floats.
    pub(super) fn new(
        board: &Board,
        input: &Input,
        bench: &Workbench,
        sources: &mut Vec<Source>,
    ) -> Option<Self> {
        let (rule, values) = Rule::of(input, bench);
        let point = |value: f64| {
            let whose = Whose { of_meter: false, point: Some(value) };
            let mut channel = Channel::new(board, input, [&bench.nominal, &bench.varied], sources, whose)?;
            channel.truncated(sources, whose);
            let far = input.drive.far_at(value).0;
            Some(Point { channel, far, is_sender: input.drive.is_sender() })
        };
        let points: Option<Vec<Point>> = values.into_iter().map(point).collect();
        Some(Self { rule, points: points? })
    }

    /// What some boards make of their calibration.
    pub(super) fn lines(&self, deviations: &[Lanes]) -> Lines {
        const NOTHING: Line = Line { at_zero: f64::NAN, slope: f64::NAN };
        let seen: Vec<[Lanes; 3]> = self.points.iter().map(|point| point.counts(deviations)).collect();
        let lines = |of: usize| {
            std::array::from_fn(|lane| {
                let mut counts = [0.0; 2];
                for (count, seen) in counts.iter_mut().zip(&seen) {
                    *count = seen[of][lane];
                }
                self.rule.line(&counts[..seen.len()]).unwrap_or(NOTHING)
            })
        };
        Lines { truncated: lines(0), held: lines(1), open: lines(2) }
    }
}

impl Point {
    /// The counts of some boards: truncated plus one half, before truncation, and as if nothing held them.
    fn counts(&self, deviations: &[Lanes]) -> [Lanes; 3] {
        let boards = self.channel.boards(deviations);
        let far = each(|i| {
            let dialled = self.far * boards.far.factor[i];
            if self.is_sender { dialled + boards.far.wire[i] } else { dialled }
        });
        let converter = self.channel.converter();
        let (counts, top) = (boards.counts(&far), converter.highest_count().0);
        [
            counts.map(|count| converter.truncated(Counts(count)).0 + HALF),
            counts.map(|count| count.clamp(0.0, top)),
            boards.open_counts(&far),
        ]
    }
}
