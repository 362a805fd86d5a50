//! `design BRIEF`: choose everything that is marked `choose`.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::fitted;
use super::outcome::{Outcome, answered};
use super::output::Output;
use super::{progress, trials};
use crate::answer::Verdict;
use crate::brief::{self, Faults};
use crate::examine;
use crate::report::Format;

pub(super) const NAME: &str = "design";

const EXAMPLES: &str = "Examples:
  ohmwright design board.yaml
  ohmwright design board.yaml --output fitted.yaml
  ohmwright design board.yaml --grades
  ohmwright design board.yaml --format json";

pub(super) fn command() -> Command {
    Command::new(NAME)
        .about("Choose all parts of a board that its brief marks `choose`")
        .arg(brief_argument())
        .arg(
            Arg::new("output")
                .long("output")
                .short('o')
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("Write the chosen values to this file, for `check --fitted`"),
        )
        .arg(Arg::new("grades").long("grades").action(ArgAction::SetTrue).help(
            "Choose the cheapest tolerance grade of every part with which all limits hold, from `resistors: grades`",
        ))
        .args(trials::arguments("0"))
        .after_help(EXAMPLES)
}

/// The brief, which `design` and `check` read.
pub(super) fn brief_argument() -> Arg {
    Arg::new("brief")
        .value_name("BRIEF")
        .required(true)
        .value_parser(value_parser!(PathBuf))
        .help("The YAML file that describes the board")
}

/// Answers the command.
///
/// # Errors
/// When the brief cannot be used, or the values cannot be written.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let brief = matches.get_one::<PathBuf>("brief").cloned().unwrap_or_default();
    let with_grades = matches.get_flag("grades");
    let board = if with_grades { brief::read_file_for_grades(&brief)? } else { brief::read_file(&brief)? };
    // The output is examined before anything is calculated.
    let prepared = |path: &PathBuf| Output::prepare(path, &brief, &fitted::PURPOSE);
    let output = matches.get_one::<PathBuf>("output").map(prepared).transpose()?;
    let examine = if with_grades { examine::answer_with_grades } else { examine::answer_with };
    let answer = progress::shown(&trials::of(matches), progress::inputs(&board), |trials| {
        examine(&board, NAME, Some(trials))
    });
    let mut outcome = answered(&answer, format);
    if let Some(output) = output {
        outcome.messages = if answer.verdict == Verdict::Impossible {
            format!("{}: not written, since no choice exists\n", output.name())
        } else {
            output.write(&fitted::content(&answer))?;
            format!("{}: fitted values written\n", output.name())
        };
    }
    Ok(outcome)
}
