//! `check BRIEF`: examine a board on which nothing is left to be chosen.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, Command, value_parser};

use super::design::brief_argument;
use super::outcome::{Outcome, answered};
use crate::board::{Board, Choice};
use crate::brief::{self, Fault, Faults};
use crate::examine;
use crate::report::Format;

pub(super) const NAME: &str = "check";

const EXAMPLES: &str = "Examples:
  ohmwright check board.yaml
  ohmwright check board.yaml --fitted fitted.yaml";

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
        .after_help(EXAMPLES)
}

/// Answers the command.
///
/// # Errors
/// When a file cannot be used, or parts are still to be chosen.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let brief = matches.get_one::<PathBuf>("brief").cloned().unwrap_or_default();
    let board = brief::read_file(&brief)?;
    let board = match matches.get_one::<PathBuf>("fitted") {
        Some(fitted) => brief::read_fitted(fitted, &board)?,
        None => board,
    };
    nothing_to_choose(&board, &brief)?;
    Ok(answered(&examine::answer(&board, NAME), format))
}

/// Every part that is still to be chosen is a mistake.
fn nothing_to_choose(board: &Board, file: &Path) -> Result<(), Faults> {
    let expected = "a value; or let `design` choose, and give what it writes with `--fitted FILE`";
    let open = board.inputs.iter().flat_map(|input| {
        let to_choose = input.parts.iter().filter(|part| matches!(part.choice, Choice::Choose { .. }));
        to_choose.map(|part| Fault {
            key: format!("inputs.{}.{}", input.name, part.role.key()),
            ..Fault::of_file(&file.display().to_string(), "a part that is still to be chosen", expected)
        })
    });
    let faults: Vec<Fault> = open.collect();
    if faults.is_empty() { Ok(()) } else { Err(Faults(faults)) }
}
