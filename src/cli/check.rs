//! `check BRIEF`: examine a board on which nothing is left to be chosen.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, Command, value_parser};

use super::design::brief_argument;
use super::measured;
use super::outcome::{Outcome, answered};
use super::{progress, purchase, trials};
use crate::board::Board;
use crate::brief::{self, Fault, Faults};
use crate::examine;
use crate::report::Format;

pub(super) const NAME: &str = "check";

const EXAMPLES: &str = "Examples:
  ohmwright check board.yaml
  ohmwright check board.yaml --fitted fitted.yaml
  ohmwright check board.yaml --measured boards.csv
  ohmwright check board.yaml --boards 1000000 --seed 7";

pub(super) fn command() -> Command {
    Command::new(NAME)
        .about("Check a board whose parts are all given, without choosing any")
        .arg(brief_argument())
        .arg(
            Arg::new("fitted")
                .long("fitted")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("The values of the parts, as `design --output` writes them"),
        )
        .arg(measured::argument())
        .args(purchase::arguments().map(|argument| argument.conflicts_with(measured::FLAG)))
        .args(trials::arguments("100000"))
        .after_help(EXAMPLES)
}

/// Answers the command.
///
/// # Errors
/// When a file cannot be used, or parts are still to be chosen.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let brief = matches.get_one::<PathBuf>("brief").cloned().unwrap_or_default();
    let board = match matches.get_one::<PathBuf>("fitted") {
        Some(fitted) => brief::read_fitted(fitted, &brief::read_file(&brief)?)?,
        None => brief::read_complete_file(&brief)?,
    };
    if let Some(file) = matches.get_one::<PathBuf>(measured::FLAG) {
        refuse_senders(&board, &brief)?;
        return measured::judged(&board, file, format);
    }
    let list = purchase::prepared(matches, &[&brief], &[])?;
    let mut answer = progress::shown(&trials::of(matches), progress::inputs(&board), |trials| {
        examine::answer_with(&board, NAME, Some(trials))
    });
    examine::add_purchase(&board, &mut answer, purchase::batch(matches));
    let mut outcome = answered(&answer, format);
    if let Some((list, found)) = list.zip(answer.purchase.as_ref()) {
        outcome.messages += &purchase::written(&list, found)?;
    }
    Ok(outcome)
}

/// What was measured on assembled boards says nothing of the sender that was dialled in.
fn refuse_senders(board: &Board, brief: &Path) -> Result<(), Faults> {
    let Some(input) = board.inputs.iter().find(|input| !input.senders.is_empty()) else { return Ok(()) };
    let fault = Fault {
        key: format!("inputs.{}.senders", input.name),
        ..Fault::of_file(
            &brief.display().to_string(),
            "several senders beside --measured",
            "a brief with the one sender that was dialled in on these boards (`sender`)",
        )
    };
    Err(fault.into())
}
