//! Mistakes in the arguments themselves, for people and for programs.

use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::outcome::Outcome;
use crate::brief::{Fault, Faults};
use crate::report::Format;

/// What to print where the parser of arguments has stopped: a help text, the version, or a mistake.
pub(super) fn outcome(error: &clap::Error, arguments: &[OsString]) -> Outcome {
    let text = error.render().to_string();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => Outcome::of_results(text),
        _ if format_of(arguments) == Format::Json => Outcome::of_faults(&faults(error), Format::Json),
        ErrorKind::MissingRequiredArgument => Outcome::unusable(text + &example(arguments)),
        _ => Outcome::unusable(text),
    }
}

/// The form that was asked for, also where the arguments as a whole cannot be read.
fn format_of(arguments: &[OsString]) -> Format {
    let is = |argument: &OsString, text: &str| argument.to_str() == Some(text);
    let apart = arguments.windows(2).any(|pair| is(&pair[0], "--format") && is(&pair[1], "json"));
    if apart || arguments.iter().any(|argument| is(argument, "--format=json")) {
        Format::Json
    } else {
        Format::Text
    }
}

/// The examples of the command that was asked for.
fn example(arguments: &[OsString]) -> String {
    let command = super::command();
    let asked = arguments.iter().skip(1).find_map(|argument| command.find_subcommand(argument));
    asked.and_then(|command| command.get_after_help()).map(|help| format!("\n{help}\n")).unwrap_or_default()
}

fn faults(error: &clap::Error) -> Faults {
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => Some(texts.join(", ")),
        _ => None,
    };
    // The parser adds the name of the value, `--format <FORMAT>`, and lists alternatives as `<--this <A>|--that <B>>`.
    let flag = text(ContextKind::InvalidArg).unwrap_or_default();
    let key = flag.trim_start_matches('<').split(" <").next().unwrap_or_default().to_owned();
    let (found, expected) = match error.kind() {
        ErrorKind::UnknownArgument => ("an unknown flag".to_owned(), text(ContextKind::SuggestedArg)),
        ErrorKind::InvalidSubcommand => {
            let command = text(ContextKind::InvalidSubcommand).unwrap_or_default();
            (format!("`{command}`, which is no command"), text(ContextKind::SuggestedSubcommand))
        }
        ErrorKind::MissingRequiredArgument => ("nothing".to_owned(), Some(flag)),
        ErrorKind::MissingSubcommand | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            ("no command".to_owned(), text(ContextKind::ValidSubcommand))
        }
        _ => (first_line(error), text(ContextKind::ValidValue)),
    };
    let expected = expected.unwrap_or_else(|| "what `ohmwright --help` shows".to_owned());
    Fault { file: None, line: None, column: None, key, found, expected, source_line: None }.into()
}

fn first_line(error: &clap::Error) -> String {
    let text = error.render().to_string();
    let line = text.lines().next().unwrap_or_default();
    line.trim_start_matches("error: ").to_owned()
}
