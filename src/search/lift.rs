//! Limits that are lifted, to see what they cost.

use super::space::Root;
use crate::board::{Board, Input, Role, Setting};
use crate::case::Case;
use crate::circuit::Scene;
use crate::limits::{Check, LIMITS, Unit};
use crate::worst::Sense;

/// One limit, with everything that it looks at; of a limit of parts that of one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Subject {
    /// The limit, by its place in [`LIMITS`].
    pub limit: usize,
    /// The part, if it is about one.
    pub part: Option<Role>,
}

impl Subject {
    /// The limit that a check belongs to.
    pub fn of(check: &Check) -> Self {
        Self { limit: check.limit, part: check.part }
    }

    /// The name of the limit.
    pub fn name(self) -> &'static str {
        LIMITS[self.limit].name
    }

    /// Whether one number says how wide it is: the range of the converter has two ends.
    pub fn has_value(self) -> bool {
        self.name() != "converter_range"
    }

    /// Where it stands in the order of limits, then of parts in the circuit.
    fn place(self, input: &Input) -> (usize, usize) {
        let part = input.parts.iter().position(|part| Some(part.role) == self.part);
        (self.limit, part.unwrap_or_default())
    }
}

/// How wide a limit is: the bound that a brief sets, or what the board gives; of a dissipation that is what the part
/// stands at the highest ambient temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// The value.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// On which side of it something has to stay.
    pub sense: Sense,
}

/// The share of the width of a limit that a check allows: of what a part stands not all in normal use, unless the brief
/// sets a bound of its own.
pub(super) fn share_of(input: &Input, scene: &Scene, check: &Check) -> f64 {
    let is_normal = scene.situations[check.situation].case == Case::Normal;
    let is_rating = check.unit == Unit::Watts && input.limits.dissipation == Setting::Usual;
    let part = input.parts.iter().find(|part| Some(part.role) == check.part);
    match part {
        Some(part) if is_normal && is_rating => part.grade.derate_to.0,
        _ => 1.0,
    }
}

/// How wide a limit is in a set of checks; `None` where no number says it.
pub(super) fn width_of(subject: Subject, roots: &[Root<'_>]) -> Option<Width> {
    let of = |root: &Root<'_>| {
        let check = root.checks.iter().find(|check| Subject::of(check) == subject)?;
        let share = share_of(root.input, &root.scene, check);
        Some(Width { value: check.allowed? / share, unit: check.unit, sense: check.sense })
    };
    if subject.has_value() { roots.iter().find_map(of) } else { None }
}

/// All limits that are on, in their order.
pub(super) fn subjects_of(input: &Input, roots: &[Root<'_>]) -> Vec<Subject> {
    let mut subjects: Vec<Subject> = Vec::new();
    for check in roots.iter().flat_map(|root| &root.checks) {
        let subject = Subject::of(check);
        if !subjects.contains(&subject) {
            subjects.push(subject);
        }
    }
    subjects.sort_by_key(|subject| subject.place(input));
    subjects
}

/// The roots of a search without the limits that are lifted.
pub(super) fn roots_without<'a>(
    board: &Board,
    input: &'a Input,
    is_lifted: impl Fn(Subject) -> bool,
) -> Vec<Root<'a>> {
    let mut roots = Root::all(board, input);
    for root in &mut roots {
        root.checks.retain(|check| !is_lifted(Subject::of(check)));
        root.ceiling = root.find_ceiling();
    }
    roots
}
