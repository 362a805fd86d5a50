//! The cheapest tolerance grades of a board.
//!
//! The values come first, as without grades, but for the limit of `error`, which the grades have to keep. Then every part
//! gets its grade, and everything is examined on the board with these grades.

use std::collections::BTreeMap;

use super::{Choices, alarms, choices, rails, searched, whole, with_values};
use crate::answer::{
    Answer, GradeAnswer, GradeRow, GradesAnswer, GradesOfInput, GradesSearch, InputAnswer, Ordered,
    SameGradeRow, Verdict,
};
use crate::board::{Board, Grade, Input, InputId, Offer, Setting};
use crate::circuit::Values;
use crate::reading::Firmware;
use crate::share::{Graded, GradedPart, Needs, PartId, SameForAll, error_of, grade, is_limited_together};
use crate::stackup::Trials;

/// Chooses everything that is to be chosen, then the cheapest grades of [`Board::grades`] with which every limit holds.
/// Where that list is empty this is [`super::answer_with`].
pub fn answer_with_grades(board: &Board, command: &str, trials: Option<&Trials<'_>>) -> Answer {
    if board.grades.is_empty() {
        return super::answer_with(board, command, trials);
    }
    let choices = choices(&without_error_limits(board));
    let fitted = with_values(board, choices.iter().map(Some));
    let graded = grade(
        &fitted,
        &Needs {
            ties: &ties(board),
            beside: Some(&alarms_hold),
            together: is_limited_together(board).then_some(&rails_hold as _),
        },
    );
    let (mut board, mut after) = (board.clone(), fitted.clone());
    graded.put_into(&mut board);
    graded.put_into(&mut after);
    board.remarks.push(
        "the values are the best with the grade of `resistors` and without the limit of `error`; the grades were chosen \
         for them, and all that is said here holds with these grades. `design` without `--grades` says what other values \
         would do"
            .to_owned(),
    );
    let answers =
        board.inputs.iter().zip(&choices).map(|(input, choice)| examined(&after, input, choice, trials));
    let answers = answers.collect();
    let mut answer = whole(&board, command, answers, &choices);
    let grades = told(&board, [&fitted, &after], &graded);
    answer.verdict = answer.verdict.max(grades.verdict);
    answer.grades = Some(grades);
    answer
}

/// Parts that share one grade: those of one network or one reel.
fn ties(board: &Board) -> Vec<Vec<PartId>> {
    let mut ties: BTreeMap<&str, Vec<PartId>> = BTreeMap::new();
    for (place, input) in board.inputs.iter().enumerate() {
        for part in &input.parts {
            if let Some(group) = &part.tracks {
                ties.entry(group).or_default().push((InputId(place), part.role));
            }
        }
    }
    ties.into_values().collect()
}

/// Whether every alarm of an input comes and goes where it must.
fn alarms_hold(board: &Board, id: InputId) -> bool {
    let input = &board.inputs[id.0];
    input.alarms.is_empty() || input.views().iter().all(|view| view_holds(board, view))
}

fn view_holds(board: &Board, input: &Input) -> bool {
    let values = Values::given(input);
    let firmware = Firmware::new(board, input, &values);
    alarms::of(board, input, &firmware).iter().all(|row| row.holds != Some(false))
}

/// The limit of `error` is left to the grades; an aim is not.
fn without_error_limits(board: &Board) -> Board {
    let mut board = board.clone();
    for input in &mut board.inputs {
        input.limits.error = Setting::Off;
    }
    board
}

/// Whether the rails take what all inputs feed back together.
fn rails_hold(board: &Board) -> bool {
    let inputs = board.inputs.iter().filter(|input| !input.is_open());
    let with_values = |view: Input| {
        let values = Values::given(&view);
        (view, values)
    };
    let fitted: Vec<Vec<_>> =
        inputs.map(|input| input.views().into_iter().map(with_values).collect()).collect();
    rails::of(board, &fitted).iter().all(|row| row.holds)
}

/// The answer for one input. What other values would do was found with other grades, and would not agree with the rest.
fn examined(board: &Board, input: &Input, choice: &Choices, trials: Option<&Trials<'_>>) -> InputAnswer {
    match (choice, choice.best()) {
        (Choices::Searched(outcome), Some(best)) => InputAnswer {
            search: Some(searched(outcome)),
            ..super::examined(board, input, best, None, trials)
        },
        _ => choice.examined(board, input, trials),
    }
}

fn said(grade: &Grade) -> GradeAnswer {
    GradeAnswer { tolerance: grade.tolerance.0, tempco: grade.tempco.0, ageing: grade.ageing.0 }
}

/// The section of the answer, from the board before and after.
fn told(board: &Board, [before, after]: [&Board; 2], graded: &Graded) -> GradesAnswer {
    let name = |id: InputId| board.inputs[id.0].name.clone();
    let row = |part: &GradedPart| {
        let fitted = board.inputs[part.input.0].parts.iter().find(|other| other.role == part.role)?;
        Some(GradeRow {
            input: name(part.input),
            part: part.role.key(),
            grade: said(&fitted.grade),
            price: part.offer.map(|offer| board.grades[offer].price.in_currency()),
        })
    };
    let of_input = |id: InputId| {
        let input = &board.inputs[id.0];
        let impossible = graded.impossible.iter().find(|(other, _)| *other == id);
        let verdict = match impossible {
            Some(_) => Verdict::Impossible,
            None if graded.unsettled.contains(&id) => Verdict::Fails,
            None => Verdict::Holds,
        };
        let told = GradesOfInput {
            verdict,
            error_before: error_of(before, id),
            error: error_of(after, id),
            error_at_best: impossible.and_then(|(_, error)| *error),
            allowed: match input.limits.error {
                Setting::At(allowed) => Some(allowed),
                Setting::Off | Setting::Usual => None,
            },
            unit: input.unit().to_owned(),
        };
        (input.name.clone(), told)
    };
    let mut ids: Vec<InputId> = graded.parts.iter().map(|part| part.input).collect();
    ids.extend(graded.impossible.iter().map(|(id, _)| *id));
    ids.sort_by_key(|id| id.0);
    ids.dedup();
    let inputs: Vec<_> = ids.into_iter().map(of_input).collect();
    let same = |same: &SameForAll| {
        let Offer { tolerance, tempco, ageing, .. } = board.grades[same.offer];
        SameGradeRow {
            grade: GradeAnswer { tolerance: tolerance.0, tempco: tempco.0, ageing: ageing.0 },
            price: same.price.in_currency(),
            holds: same.holds,
        }
    };
    let found = &graded.found;
    GradesAnswer {
        verdict: inputs.iter().map(|(_, input)| input.verdict).max().unwrap_or(Verdict::Holds),
        price: graded.price.in_currency(),
        parts: graded.parts.iter().filter_map(row).collect(),
        inputs: Ordered(inputs),
        same_for_all: graded.same_for_all.iter().map(same).collect(),
        search: GradesSearch {
            examined: found.judged,
            cuts: found.cuts,
            programmes: found.programmes,
            proof: if found.complete { "complete" } else { "stopped" },
        },
    }
}
