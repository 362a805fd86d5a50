//! The command line: one file per command, each from its question over the library to a report.

mod burden;
mod check;
mod design;
mod divider;
mod extend;
mod fitted;
mod flags;
mod identify;
mod level_shift;
mod measured;
mod outcome;
mod output;
mod progress;
mod pull_up;
mod purchase;
mod question;
mod sender;
mod series;
mod sharing;
mod trials;
mod usage;

use std::ffi::OsString;

use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgMatches, Command};

pub use outcome::Outcome;

use crate::brief::Faults;
use crate::report::Format;
use question::Question;

/// One-line questions.
const QUESTIONS: [&Question; 5] =
    [&pull_up::QUESTION, &divider::QUESTION, &extend::QUESTION, &level_shift::QUESTION, &burden::QUESTION];

const EXAMPLES: &str = "Examples:
  ohmwright pull-up --sender 240..33
  ohmwright divider --measures 0..32V --from supply
  ohmwright design board.yaml --output fitted.yaml

Exit status: 0 all limits hold; 1 a limit does not hold, or no choice exists;
2 the question or file cannot be used.
`ohmwright COMMAND --help` explains every flag of a command.";

/// All commands with their flags.
pub fn command() -> Command {
    let format = Arg::new("format")
        .long("format")
        .value_name("FORMAT")
        .value_parser(PossibleValuesParser::new(["text", "json"]))
        .default_value("text")
        .global(true)
        .help("For people (text) or for programs (json)");
    Command::new("ohmwright")
        .version(clap::crate_version!())
        .about("Chooses and checks the resistors in front of the converter inputs of instrument boards")
        .arg(format)
        .subcommands(QUESTIONS.map(Question::command))
        .subcommands([design::command(), check::command()])
        .subcommands([sender::command(), identify::command(), series::command()])
        .subcommand_required(true)
        .arg_required_else_help(true)
        .disable_help_subcommand(true)
        .color(clap::ColorChoice::Never)
        .max_term_width(80)
        .after_help(EXAMPLES)
}

/// Answers the arguments of a command line, the first of which is the name of the program.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Outcome {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    match command().try_get_matches_from(&arguments) {
        Ok(matches) => {
            let asked_json = matches.get_one::<String>("format").is_some_and(|format| format == "json");
            let format = if asked_json { Format::Json } else { Format::Text };
            dispatch(&matches, format).unwrap_or_else(|faults| Outcome::of_faults(&faults, format))
        }
        Err(error) => usage::outcome(&error, &arguments),
    }
}

fn dispatch(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let Some((name, matches)) = matches.subcommand() else { return Ok(Outcome::default()) };
    match name {
        design::NAME => design::run(matches, format),
        check::NAME => check::run(matches, format),
        sender::NAME => sender::run(matches, format),
        series::NAME => Ok(series::run(matches, format)),
        identify::NAME => identify::run(matches, format),
        _ => match QUESTIONS.iter().find(|question| question.name == name) {
            Some(question) => question.run(matches, format),
            None => Ok(Outcome::default()),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_definition_of_the_commands_is_sound() {
        command().help_expected(true).debug_assert();
    }
}
