//! Why it is this choice: what keeps a better one away, what another value would give, or why nothing fits.

use super::{rows, runner_up};
use crate::answer::{ConflictRow, LimitRow, TradeRow};
use crate::board::{Aim, Board, Input, Role, Setting};

use crate::circuit::{Scene, Values};
use crate::limits::checks_of;
use crate::search::{self, Chosen, Conflict, Lifted, Outcome, Subject};
use crate::size::{SIZES, Size};

/// Boxes of values that one solution without a limit may examine, and a conflict in all.
const EFFORT: u64 = 20_000;

/// The same where each box takes long, since an error is found by a look at every count.
const EFFORT_OF_ERRORS: u64 = 2_000;

fn effort(input: &Input) -> u64 {
    if input.aim == Aim::Error { EFFORT_OF_ERRORS } else { EFFORT }
}

/// Says of each limit whether it binds, and what it would give to lift it.
pub(super) fn bind(board: &Board, input: &Input, outcome: &Outcome, limits: &mut [LimitRow]) {
    let lifted = search::lifted(board, input, outcome, effort(input));
    for row in limits.iter_mut().filter(|row| row.allowed.is_some()) {
        let found = lifted.iter().find(|lifted| is_about(row, lifted.subject));
        // A limit that excluded nothing is not among them.
        row.binds = if outcome.complete { found.map_or(Some(false), |lifted| lifted.binds) } else { None };
        let better = found.and_then(|lifted| lifted.better.as_ref());
        row.without_it = better.map(|better| runner_up(input, better));
        row.larger_size = found.and_then(|lifted| larger_size(board, input, lifted)).map(|size| size.name);
    }
}

fn is_about(row: &LimitRow, subject: Subject) -> bool {
    row.limit == subject.name() && row.part == subject.part.map(Role::key)
}

/// The next standard size with which the part would stand what it has to bear in the better choice.
fn larger_size(board: &Board, input: &Input, lifted: &Lifted) -> Option<&'static Size> {
    let better = lifted.better.as_ref()?;
    let set_by_size = match lifted.subject.name() {
        "dissipation" => input.limits.dissipation == Setting::Usual,
        "part_voltage" => input.limits.part_voltage == Setting::Usual,
        _ => false,
    };
    let grade = &input.parts.iter().find(|part| Some(part.role) == lifted.subject.part)?.grade;
    let is_larger = |size: &&Size| size.rating > grade.rating || size.working_voltage > grade.working_voltage;
    if !set_by_size {
        return None;
    }
    SIZES.iter().filter(is_larger).find(|size| holds_with(board, input, lifted.subject, size, &better.values))
}

fn holds_with(board: &Board, input: &Input, subject: Subject, size: &Size, values: &Values) -> bool {
    let mut input = input.clone();
    for part in input.parts.iter_mut().filter(|part| Some(part.role) == subject.part) {
        part.grade.rating = size.rating;
        part.grade.working_voltage = size.working_voltage;
    }
    let scene = Scene::new(board, &input, values);
    let checks = checks_of(board, &input, &scene).into_iter().filter(|check| check.part == subject.part);
    checks
        .filter_map(|check| Some((check.worst(&input, &scene)?.value, check)))
        .all(|(w, check)| check.holds(w))
}

/// What other values of the part that feeds a sender would give.
pub(super) fn trade(board: &Board, input: &Input, best: &Chosen) -> Vec<TradeRow> {
    if !input.drive.is_sender() {
        return Vec::new();
    }
    let Some((role, traded)) = search::trade(board, input, best, effort(input)) else { return Vec::new() };
    let row = |traded: search::Traded| {
        let values = &traded.chosen.values;
        let scene = Scene::new(board, input, values);
        let mut checks = checks_of(board, input, &scene);
        checks.retain(|check| check.allowed.is_some() || check.name() == "sender_current");
        let limits = rows::of(input, &scene, &checks);
        let current = limits.iter().find(|row| row.limit == "sender_current")?.worst;
        let mut fails: Vec<String> = limits.iter().filter(|row| !row.holds).map(named).collect();
        fails.dedup();
        Some(TradeRow {
            along: role.key(),
            choice: runner_up(input, &traded.chosen),
            sender_current_a: current,
            chosen: traded.is_choice,
            holds: fails.is_empty(),
            fails,
        })
    };
    let rows: Vec<TradeRow> = traded.into_iter().filter_map(row).collect();
    // A choice alone is nothing to compare with.
    if rows.len() > 1 { rows } else { Vec::new() }
}

fn named(row: &LimitRow) -> String {
    row.part.map_or_else(|| row.limit.to_owned(), |part| format!("{} of {part}", row.limit))
}

/// Why nothing fits.
pub(super) fn conflict(board: &Board, input: &Input, outcome: &Outcome) -> Conflict {
    if outcome.complete { search::conflict(board, input, EFFORT) } else { Conflict::default() }
}

/// The limits that exclude each other.
pub(super) fn conflict_rows(input: &Input, conflict: &Conflict) -> Vec<ConflictRow> {
    let row = |member: &search::Member| ConflictRow {
        limit: member.subject.name(),
        part: member.subject.part.or(member.least.map(|(role, _)| role)).map(Role::key),
        least_ohm: member.least.map(|(_, ohms)| ohms.0),
        allowed: member.allowed.map(|width| width.value),
        possible_without_it: member.is_enough,
        possible_from: member.possible_from,
        unit: member.allowed.map(|width| width.unit.symbol(input.unit())),
    };
    conflict.members.iter().map(row).collect()
}
