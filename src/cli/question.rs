//! One-line questions: flags become the tree that a brief file would give, and are read as one.

use clap::{ArgMatches, Command};

use super::flags::{Ends, Flag, Group, INPUT, LimitSetting, RAIL, Shape};
use super::outcome::{Outcome, answered};
use crate::board::Board;
use crate::brief::{self, Fault, Faults, Node};
use crate::examine;
use crate::quantity::Volts;
use crate::report::Format;

/// One kind of question.
#[derive(Debug)]
pub(super) struct Question {
    /// The command.
    pub(super) name: &'static str,
    /// What it does, in one line.
    pub(super) about: &'static str,
    /// The circuit.
    pub(super) circuit: &'static str,
    /// Flags without which there is no question.
    pub(super) required: &'static [&'static str],
    /// Parts that are chosen unless a flag says otherwise.
    pub(super) chosen: &'static [&'static str],
    /// Its flags by heading.
    pub(super) groups: &'static [&'static Group],
    /// Examples, one a line.
    pub(super) examples: &'static str,
}

impl Question {
    /// The command for the parser of arguments.
    pub(super) fn command(&self) -> Command {
        let args = self.groups.iter().flat_map(|group| group.args());
        let args = args.map(|arg| {
            let required = self.required.contains(&arg.get_id().as_str());
            arg.required(required)
        });
        Command::new(self.name).about(self.about).args(args).after_help(self.examples)
    }

    /// Answers the question.
    ///
    /// # Errors
    /// When the question cannot be used.
    pub(super) fn run(&self, matches: &ArgMatches, format: Format) -> Result<Outcome, Faults> {
        let board = self.board(matches)?;
        Ok(answered(&examine::answer(&board, self.name), format))
    }

    fn board(&self, matches: &ArgMatches) -> Result<Board, Faults> {
        brief::read_question(&self.tree(matches)?, &self.keys())
    }

    /// Every flag with its key, so that mistakes are told in the words of the question.
    fn keys(&self) -> Vec<(Vec<String>, String)> {
        let flags = self.groups.iter().flat_map(|group| group.flags);
        flags
            .map(|flag| (flag.path().into_iter().map(str::to_owned).collect(), format!("--{}", flag.name)))
            .collect()
    }

    fn tree(&self, matches: &ArgMatches) -> Result<Node, Faults> {
        let mut tree = Node::map();
        tree.put(&["board"], Node::text(self.name));
        tree.put(&["inputs", INPUT, "circuit"], Node::text(self.circuit));
        for part in self.chosen {
            tree.put(&["inputs", INPUT, part], Node::text("choose"));
        }
        for flag in self.groups.iter().flat_map(|group| group.flags) {
            put(&mut tree, flag, matches);
        }
        excitation_fits(matches).map(|()| tree)
    }
}

/// Puts the value of a flag where a brief has it.
fn put(tree: &mut Node, flag: &Flag, matches: &ArgMatches) {
    let path = flag.path();
    match flag.shape {
        Shape::VoltageEnds | Shape::TemperatureEnds => {
            let Some((lowest, highest)) = matches.get_one::<Ends>(flag.name) else { return };
            for (key, value) in [("lowest", lowest), ("highest", highest)] {
                let path: Vec<&str> = path.iter().copied().chain([key]).collect();
                tree.put(&path, Node::text(value));
            }
        }
        Shape::Limit => {
            for (name, value) in matches.get_many::<LimitSetting>(flag.name).into_iter().flatten() {
                if name.is_empty() {
                    tree.put(&["limits"], Node::text(value));
                } else {
                    let path: Vec<&str> = path.iter().copied().chain([name.as_str()]).collect();
                    tree.put(&path, Node::text(value));
                }
            }
        }
        _ => {
            let Some(text) = matches.get_one::<String>(flag.name) else { return };
            put_text(tree, flag.shape, &path, text);
        }
    }
}

fn put_text(tree: &mut Node, shape: Shape, path: &[&str], text: &str) {
    match shape {
        Shape::List => tree.put(path, list(text)),
        Shape::TextOrList if text.contains(',') => tree.put(path, list(text)),
        Shape::Part if text.contains("..") => {
            tree.put(path, Node::Map(vec![("choose".to_owned(), Node::text(text))]));
        }
        Shape::Excitation if is_voltage(text) => {
            // The first rail is the reference, so it has to stand in front, with its defaults.
            if !names_rail(tree) {
                tree.put(&["rails", RAIL], Node::map());
            }
            tree.put(&["rails", "excitation", "voltage"], Node::text(text));
            tree.put(path, Node::text("excitation"));
        }
        _ => tree.put(path, Node::text(text)),
    }
}

/// Entries between commas.
fn list(text: &str) -> Node {
    Node::List(text.split(',').map(|entry| Node::text(entry.trim())).collect())
}

/// Whether a text means a voltage, right or wrong, and not a name.
fn is_voltage(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))
        || text.parse::<Volts>().is_ok()
}

fn names_rail(tree: &Node) -> bool {
    matches!(tree, Node::Map(entries) if entries.iter().any(|(key, _)| key == "rails"))
}

/// A tolerance of the excitation needs a voltage that it belongs to.
fn excitation_fits(matches: &ArgMatches) -> Result<(), Faults> {
    let given = |name| matches.try_get_one::<String>(name).ok().flatten();
    let (Some(tolerance), voltage) = (given("excitation-tolerance"), given("excitation")) else {
        return Ok(());
    };
    if voltage.is_some_and(|text| is_voltage(text)) {
        return Ok(());
    }
    let fault = Fault {
        file: None,
        line: None,
        column: None,
        key: "--excitation-tolerance".to_owned(),
        found: format!("`{tolerance}` without a voltage that feeds the sender"),
        expected: "--excitation with a voltage such as 5V beside it".to_owned(),
        source_line: None,
    };
    Err(fault.into())
}
