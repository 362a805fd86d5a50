//! What alone would explain a board that is outside.
//!
//! For every cause the values are found with which a count may be read while everything else is anywhere in its bench
//! band, each count by itself. The cause that explains most counts of the board is the most likely one, among several the
//! one that needs the fewest of its own tolerances. What explains as many is named beside it: one count cannot tell a
//! pull-up from a reference.

use super::answer::Suspect;
use super::bench::Allowed;
use super::cause::{Cause, Out};
use super::intervals::{Intervals, best};
use super::{Assembled, Batch, Measured, What};
use crate::board::{Board, InputId, Role};
use crate::quantity::{Band, Counts, Ohms};
use crate::series::{Preferred, Series, candidates};

/// The most causes that are named for one input.
const MOST: usize = 4;

/// A count that was read.
#[derive(Clone, Copy)]
struct Read {
    input: InputId,
    at: f64,
    count: Counts,
    inside: bool,
}

/// A part that was measured.
#[derive(Clone, Copy)]
struct Part {
    input: InputId,
    role: Role,
    ohms: Ohms,
    inside: bool,
}

/// A board that is outside.
struct Outlier<'a> {
    board: &'a Board,
    reads: Vec<Read>,
    parts: Vec<Part>,
}

/// Suspects of a board: parts that are measured to be out, then what explains the counts that are left.
pub(super) fn of(board: &Board, batch: &Batch, allowed: &[Allowed], one: &Assembled) -> Vec<Suspect> {
    let mut outlier = Outlier { board, reads: Vec::new(), parts: Vec::new() };
    for ((column, allowed), measured) in batch.columns.iter().zip(allowed).zip(&one.measured) {
        let Some(measured) = *measured else { continue };
        let (input, inside) = (column.input, allowed.holds(measured));
        match (column.what, measured) {
            (What::Part(role), Measured::Part(ohms)) => {
                outlier.parts.push(Part { input, role, ohms, inside });
            }
            (What::Count(at), Measured::Count(count)) => {
                outlier.reads.push(Read { input, at, count, inside });
            }
            _ => {}
        }
    }
    outlier.suspects()
}

impl Outlier<'_> {
    fn suspects(&self) -> Vec<Suspect> {
        let mut suspects = Vec::new();
        let mut unexplained = self.inputs_outside();
        for part in self.parts.iter().filter(|part| !part.inside) {
            let Some(suspect) = self.measured(part) else { continue };
            if suspect.explains == suspect.counts {
                unexplained.retain(|input| *input != part.input);
            }
            suspects.push(suspect);
        }
        match unexplained.as_slice() {
            [] => {}
            [only] => suspects.extend(self.ranked(&self.causes(*only, true))),
            several => {
                let shared = self.ranked(&Cause::shared(self.board));
                if shared.first().is_some_and(|first| first.explains == first.counts) {
                    suspects.extend(shared);
                } else {
                    suspects
                        .extend(several.iter().flat_map(|input| self.ranked(&self.causes(*input, false))));
                }
            }
        }
        suspects
    }

    /// Inputs of which a count is outside.
    fn inputs_outside(&self) -> Vec<InputId> {
        let mut inputs = Vec::new();
        for read in self.reads.iter().filter(|read| !read.inside) {
            if !inputs.contains(&read.input) {
                inputs.push(read.input);
            }
        }
        inputs
    }

    /// Causes of one input, what all share among them if it is the only one outside. A part that was measured is known.
    fn causes(&self, input: InputId, with_shared: bool) -> Vec<Cause> {
        let is_known =
            |cause: &Cause| self.parts.iter().any(|part| cause.out == Out::Part(part.input, part.role));
        let own = Cause::of_input(self.board, input).into_iter().filter(|cause| !is_known(cause));
        let shared = if with_shared { Cause::shared(self.board) } else { Vec::new() };
        own.chain(shared).collect()
    }

    /// The counts that a cause has to explain: those of its input, or all.
    fn concerned<'s>(&'s self, cause: &Cause) -> impl Iterator<Item = &'s Read> {
        let input = cause.input();
        self.reads.iter().filter(move |read| input.is_none_or(|input| input == read.input))
    }

    fn explaining(&self, cause: &Cause) -> Vec<Intervals> {
        let of =
            |read: &Read| cause.explaining(self.board, &self.board.inputs[read.input.0], read.at, read.count);
        self.concerned(cause).map(of).collect()
    }

    /// Counts of other inputs that are inside without any cause.
    fn inside_elsewhere(&self, cause: &Cause) -> usize {
        let Some(input) = cause.input() else { return 0 };
        self.reads.iter().filter(|read| read.input != input && read.inside).count()
    }

    /// Causes that explain most, the one that needs the fewest tolerances first. None if nothing explains more than what
    /// is inside anyway.
    fn ranked(&self, causes: &[Cause]) -> Vec<Suspect> {
        let mut found: Vec<Suspect> = causes.iter().filter_map(|cause| self.suspect(cause)).collect();
        let most = found.iter().map(|suspect| suspect.explains).max().unwrap_or_default();
        let inside = self.reads.iter().filter(|read| read.inside).count();
        found.retain(|suspect| suspect.explains == most && most > inside);
        found.sort_by(|a, b| a.tolerances.total_cmp(&b.tolerances));
        found.truncate(MOST);
        found
    }

    fn suspect(&self, cause: &Cause) -> Option<Suspect> {
        let sets = self.explaining(cause);
        let (most, around) = best(&sets, cause.nominal, |x| cause.tolerances(x))?;
        let explains = most + self.inside_elsewhere(cause);
        let tolerances = around.map(|x| cause.tolerances(x));
        let nearest = usize::from(tolerances[0] > tolerances[1]);
        let [lowest, highest] = around.map(|x| cause.bound(x));
        let is_part = matches!(cause.out, Out::Part(..));
        let would_be = match (lowest, highest) {
            (Some(lowest), Some(highest)) if is_part => (lowest * highest).sqrt(),
            (Some(lowest), Some(highest)) => f64::midpoint(lowest, highest),
            _ => around[nearest],
        };
        let standard = is_part.then(|| standard(around, would_be, cause.nominal)).flatten();
        Some(Suspect {
            lowest,
            highest,
            tolerances: tolerances[nearest],
            standard_ohm: standard.map(|ohms| ohms.0),
            ..self.named(cause, would_be, explains)
        })
    }

    /// A part that was measured to be out.
    fn measured(&self, part: &Part) -> Option<Suspect> {
        let cause = Cause::of_part(self.board, part.input, part.role)?;
        let x = part.ohms.0;
        let explained = self.explaining(&cause).iter().filter(|set| set.holds(x)).count();
        // What is out elsewhere is not its fault.
        let others = self.reads.iter().filter(|read| read.input != part.input).count();
        Some(Suspect {
            lowest: Some(x),
            highest: Some(x),
            tolerances: cause.tolerances(x),
            measured: true,
            ..self.named(&cause, x, explained + others)
        })
    }

    /// The suspect as far as its name and its value say.
    fn named(&self, cause: &Cause, would_be: f64, explains: usize) -> Suspect {
        let (suspect, unit) = match cause.out {
            Out::Part(_, role) => (role.key().to_owned(), "Ω"),
            Out::Leakage(_) => ("leakage".to_owned(), "A"),
            Out::Rail(id) => (format!("rail {}", self.board.rails[id.0].name), "V"),
            Out::Reference => ("reference".to_owned(), "V"),
            Out::Supply => ("supply of the bench".to_owned(), "V"),
            Out::Gain => ("converter gain".to_owned(), ""),
            Out::Offset => ("converter offset".to_owned(), "counts"),
        };
        let off_by = match cause.out {
            Out::Gain => Some(would_be),
            Out::Leakage(_) | Out::Offset => None,
            _ if cause.nominal == 0.0 => None,
            _ => Some(would_be / cause.nominal - 1.0),
        };
        Suspect {
            input: cause.input().map(|id| self.board.inputs[id.0].name.clone()),
            suspect,
            would_be,
            unit,
            off_by,
            explains,
            counts: self.reads.len(),
            ..Suspect::default()
        }
    }
}

/// The standard value that may stand there by mistake: one of a few of the coarsest series that has any in the band.
fn standard([lowest, highest]: [f64; 2], near: f64, nominal: f64) -> Option<Ohms> {
    const FEW: usize = 3;
    let within = Band { lowest: Ohms(lowest), highest: Ohms(highest) };
    let far = |ohms: Ohms| (ohms.0 / near).ln().abs();
    [Series::E12, Series::E24, Series::E96].into_iter().find_map(|series| {
        let values: Vec<Preferred> = candidates(&[series], within);
        let others = values.iter().map(|value| value.ohms).filter(|ohms| *ohms != Ohms(nominal));
        let nearest = others.min_by(|a, b| far(*a).total_cmp(&far(*b)));
        nearest.filter(|_| values.len() <= FEW)
    })
}
