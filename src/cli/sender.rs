//! `sender FILE`: learn a sender from readings.

use std::path::{Path, PathBuf};

use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::outcome::Outcome;
use super::output::{Output, Purpose, sections};
use crate::brief::{self, Beside, Fault, Faults};
use crate::learn::{self, Doubt, Kind, Readings, Wishes};
use crate::quantity::Band;
use crate::report::{Format, SENDER_FILE, SenderAnswer, json, sender_file, sender_text};

pub(super) const NAME: &str = "sender";

const EXAMPLES: &str = "Examples:
  ohmwright sender readings.csv
  ohmwright sender readings.csv --value-accuracy 1K --resistance-accuracy 1%
  ohmwright sender readings.csv --resistance-accuracy '1% + 2 ohm'
  ohmwright sender readings.csv --range 0..110 --extrapolate -o coolant.yaml

A table has the names of its columns in the first row, cells separated by comma,
semicolon or tab, and `#` in front of comments:
  temperature °C;resistance Ω
  20;2450
  80;300
The value is also called value, level, pressure or volume, and a unit that is
nothing else (°C, bar, %, kΩ) may stand for the name. Further columns: `value
accuracy`, `resistance accuracy`; one called note or remark is not read.
The same as YAML:
  { unit: °C, readings: [[20, 2450 Ω], [80, 300 Ω]], accuracy: { value: 1 K } }

Exit status: 0 learned; 1 the readings contradict each other beyond their
accuracy; 2 the file cannot be used.";

pub(super) fn command() -> Command {
    let text = |name: &'static str, value: &'static str| Arg::new(name).long(name).value_name(value);
    Command::new(NAME)
        .about("Learn a sender from readings of value and resistance")
        .arg(
            Arg::new("file")
                .value_name("FILE")
                .required(true)
                .value_parser(value_parser!(PathBuf))
                .help("The readings: a table (.csv, .tsv, .txt) or YAML"),
        )
        .arg(text("unit", "UNIT").help("The unit of the values, where the file names none"))
        .arg(
            text("kind", "KIND")
                .value_parser(PossibleValuesParser::new(Kind::ALL.map(Kind::word)))
                .help("Take this kind instead of the one that fits"),
        )
        .arg(
            text("range", "A..B")
                .allow_hyphen_values(true)
                .help("The range the sender is meant for [default: that of the readings]"),
        )
        .arg(
            Arg::new("extrapolate")
                .long("extrapolate")
                .action(ArgAction::SetTrue)
                .help("Let a law go beyond the readings, as far as --range says"),
        )
        .arg(text("value-accuracy", "DISTANCE").help("How far every value may be off, such as 0.5K"))
        .arg(
            text("resistance-accuracy", "ACCURACY")
                .help("How far every resistance may be off, such as 1%, 2ohm or 1%+2ohm"),
        )
        .arg(
            text("output", "FILE")
                .short('o')
                .value_parser(value_parser!(PathBuf))
                .help("Write the sender to this file, for `sender: { file: FILE }` in a brief"),
        )
        .after_help(EXAMPLES)
}

/// What a file of a sender is written for.
const PURPOSE: Purpose = Purpose {
    input: "the file of readings",
    an_input: "a file of readings",
    content: "a sender that this command has written",
    is_content: |text| text.starts_with(SENDER_FILE) && sections(text).next().is_some(),
};

/// Answers the command.
///
/// # Errors
/// When the readings cannot be used, or the sender cannot be written.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let file = matches.get_one::<PathBuf>("file").cloned().unwrap_or_default();
    let text = |name: &str| matches.get_one::<String>(name).cloned();
    let beside = Beside {
        unit: text("unit"),
        value_accuracy: text("value-accuracy"),
        resistance_accuracy: text("resistance-accuracy"),
    };
    let readings = learn::read_file(&file, &beside)?;
    let prepared = |path: &PathBuf| Output::prepare(path, &[&file], &PURPOSE);
    let output = matches.get_one::<PathBuf>("output").map(prepared).transpose()?;
    let wishes = wishes(matches, &readings)?;
    let learned = learn::learn(&readings, &wishes).map_err(|doubt| fault(doubt, &file))?;
    let answer = SenderAnswer::of(&name(&file), &learned);
    let results = match format {
        Format::Text => sender_text(&answer),
        Format::Json => json(&answer),
    };
    let messages = match output {
        Some(output) if learned.contradicts => {
            format!("{}: not written, since the readings contradict each other\n", output.name())
        }
        Some(output) => {
            output.write(&sender_file(&answer))?;
            format!("{}: sender written\n", output.name())
        }
        None => String::new(),
    };
    Ok(Outcome { messages, ..Outcome::judged(results, !learned.contradicts) })
}

/// The file without its folder: the same readings give the same bytes wherever they lie.
fn name(file: &Path) -> String {
    file.file_name().unwrap_or_default().display().to_string().replace(char::is_control, " ")
}

fn wishes(matches: &ArgMatches, readings: &Readings) -> Result<Wishes, Faults> {
    let word = matches.get_one::<String>("kind");
    let kind = word.and_then(|word| Kind::ALL.into_iter().find(|kind| kind.word() == word));
    let range = match matches.get_one::<String>("range") {
        None => None,
        Some(text) => {
            let ends = brief::readings_range(text, readings.unit());
            let (lowest, highest) = ends.map_err(|error| of_flag("--range", error.found, error.expected))?;
            Some(Band { lowest, highest })
        }
    };
    Ok(Wishes { kind, range, extrapolate: matches.get_flag("extrapolate") })
}

fn of_flag(flag: &str, found: String, expected: String) -> Fault {
    Fault { file: None, key: flag.to_owned(), ..Fault::of_file("", found, expected) }
}

fn fault(doubt: Doubt, file: &Path) -> Faults {
    if doubt.about.is_empty() {
        return Fault::of_file(&file.display().to_string(), doubt.found, doubt.expected).into();
    }
    of_flag(doubt.about, doubt.found, doubt.expected).into()
}
