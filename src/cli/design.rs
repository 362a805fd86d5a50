//! `design BRIEF`: choose everything that is marked `choose`.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::fitted;
use super::outcome::{Outcome, family_answered};
use super::output::Output;
use super::{progress, purchase, sharing, trials};
use crate::answer::{Answer, FamilyAnswer, Verdict};
use crate::board::Board;
use crate::brief::{self, Fault, Faults};
use crate::examine;
use crate::report::Format;
use crate::stackup::Trials;

pub(super) const NAME: &str = "design";

const EXAMPLES: &str = "Examples:
  ohmwright design board.yaml
  ohmwright design board.yaml --output fitted.yaml
  ohmwright design board.yaml --grades
  ohmwright design board.yaml --share --loss 2%
  ohmwright design board.yaml --batch 20 --purchase list.csv
  ohmwright design fore.yaml aft.yaml --share --output f.yaml --output a.yaml";

pub(super) fn command() -> Command {
    Command::new(NAME)
        .about("Choose all parts of a board that its brief marks `choose`, or of several boards")
        .arg(
            brief_argument()
                .num_args(1..)
                .help("The YAML file that describes the board; several: a family of boards"),
        )
        .arg(
            Arg::new("output")
                .long("output")
                .short('o')
                .value_name("FILE")
                .action(ArgAction::Append)
                .value_parser(value_parser!(PathBuf))
                .help("Write the chosen values to this file, for `check --fitted`; once for each brief"),
        )
        .arg(Arg::new("grades").long("grades").action(ArgAction::SetTrue).conflicts_with(sharing::FLAG).help(
            "Choose the cheapest tolerance grade of every part with which all limits hold, from `resistors: grades`",
        ))
        .args(sharing::arguments())
        .args(purchase::arguments())
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
/// When a brief cannot be used, or the values cannot be written.
pub(super) fn run(matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
    let briefs: Vec<&Path> = paths(matches, "brief");
    let boards = read(&briefs, matches.get_flag("grades"))?;
    // The files to be written are examined before anything is calculated.
    let outputs = outputs(&paths(matches, "output"), &briefs)?;
    let list = purchase::prepared(matches, &briefs, &outputs)?;
    let batch = purchase::batch(matches);
    let inputs = boards.iter().map(progress::inputs).sum();
    let mut family =
        progress::shown(&trials::of(matches), inputs, |trials| chosen(&boards, matches, batch, trials));
    examine::bought(&boards, &mut family, batch);
    let mut outcome = family_answered(&family, format);
    for (output, answer) in outputs.iter().zip(&family.boards) {
        outcome.messages += &written(output, answer)?;
    }
    let bought = family.purchase.as_ref().or_else(|| family.boards.first()?.purchase.as_ref());
    if let Some((list, found)) = list.zip(bought) {
        outcome.messages += &purchase::written(&list, found)?;
    }
    Ok(outcome)
}

fn paths<'m>(matches: &'m ArgMatches, name: &str) -> Vec<&'m Path> {
    matches.get_many::<PathBuf>(name).into_iter().flatten().map(PathBuf::as_path).collect()
}

/// All boards, or all mistakes of all briefs. Their names tell the boards apart.
fn read(briefs: &[&Path], with_grades: bool) -> Result<Vec<Board>, Faults> {
    let read = if with_grades { brief::read_file_for_grades } else { brief::read_file };
    let (boards, faults): (Vec<_>, Vec<_>) = briefs.iter().map(|brief| read(brief)).partition(Result::is_ok);
    let faults: Vec<Fault> = faults.into_iter().filter_map(Result::err).flat_map(|faults| faults.0).collect();
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    let boards: Vec<Board> = boards.into_iter().flatten().collect();
    for (place, board) in boards.iter().enumerate() {
        if let Some(before) = boards[..place].iter().position(|other| other.name == board.name) {
            let found = format!("`{}`, as in {}", board.name, briefs[before].display());
            let expected = "boards of different names, each brief once";
            let fault = Fault::of_file(&briefs[place].display().to_string(), &found, expected);
            return Err(Fault { key: "board".into(), ..fault }.into());
        }
    }
    Ok(boards)
}

/// The files of fitted values: none, or one for each brief.
fn outputs(asked: &[&Path], briefs: &[&Path]) -> Result<Vec<Output>, Faults> {
    if !asked.is_empty() && asked.len() != briefs.len() {
        let found = format!(
            "--output given {} times, with {} in all",
            asked.len(),
            if briefs.len() == 1 { "1 brief".to_owned() } else { format!("{} briefs", briefs.len()) }
        );
        let last = asked[asked.len() - 1].display().to_string();
        return Err(Fault::of_file(&last, &found, "one --output for each brief, in their order").into());
    }
    let mut outputs: Vec<Output> = Vec::new();
    for path in asked {
        let output = Output::prepare(path, briefs, &fitted::PURPOSE)?;
        output.differs_from(&outputs)?;
        outputs.push(output);
    }
    Ok(outputs)
}

/// The answers for all boards.
fn chosen(boards: &[Board], matches: &ArgMatches, batch: u64, trials: &Trials<'_>) -> FamilyAnswer {
    if let Some(asked) = sharing::asked(matches, batch) {
        return examine::answer_shared(boards, NAME, Some(trials), asked);
    }
    let examined =
        if matches.get_flag("grades") { examine::answer_with_grades } else { examine::answer_with };
    examine::alone(NAME, boards.iter().map(|board| examined(board, NAME, Some(trials))).collect())
}

/// Writes the values of one board, and says so.
fn written(output: &Output, answer: &Answer) -> Result<String, Faults> {
    if answer.verdict == Verdict::Impossible {
        return Ok(format!("{}: not written, since no choice exists\n", output.name()));
    }
    output.write(&fitted::content(answer))?;
    Ok(format!("{}: fitted values written\n", output.name()))
}
