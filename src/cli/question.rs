//! One-line questions: flags become the tree that a brief file would give, and are read as one.

use clap::{ArgGroup, ArgMatches, Command};

use super::flags::{EXCITATION, Ends, Flag, Group, INPUT, LimitSetting, RAIL, Shape};
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
    /// Flags of which there has to be exactly one; none if there is no such choice.
    pub(super) one_of: &'static [&'static str],
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
        let command = Command::new(self.name).about(self.about).args(args).after_help(self.examples);
        if self.one_of.is_empty() {
            return command;
        }
        command.group(ArgGroup::new("one of").args(self.one_of).required(true))
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
        beside_voltages(matches).map(|()| tree)
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
            tree.put(&["rails", EXCITATION, "voltage"], Node::text(text));
            tree.put(path, Node::text(EXCITATION));
        }
        Shape::Reference if is_voltage(text) => put_below(tree, path, "voltage", Node::text(text)),
        Shape::Sender if text.contains(':') => put_below(tree, path, "points", points(text)),
        Shape::Sender => put_below(tree, path, "resistance", Node::text(text)),
        Shape::Points => tree.put(path, points(text)),
        Shape::Coefficients => tree.put(path, coefficients(text)),
        _ => tree.put(path, Node::text(text)),
    }
}

fn put_below(tree: &mut Node, path: &[&str], key: &str, value: Node) {
    let path: Vec<&str> = path.iter().copied().chain([key]).collect();
    tree.put(&path, value);
}

/// Pairs between commas; what is no pair stays as it is and is refused by the reader.
fn points(text: &str) -> Node {
    let point = |pair: &str| match pair.split_once(':') {
        Some((x, y)) => Node::List(vec![Node::text(x.trim()), Node::text(y.trim())]),
        None => Node::text(pair.trim()),
    };
    Node::List(text.split(',').map(point).collect())
}

/// Coefficients by their names; whatever is missing or too much is told by the reader.
fn coefficients(text: &str) -> Node {
    let names = ["a", "b", "c", "a fourth coefficient"];
    let values = text.split(',').zip(names);
    Node::Map(values.map(|(value, name)| (name.to_owned(), Node::text(value.trim()))).collect())
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

/// Flags that describe a voltage, by how their names begin, and the flag that has to give this voltage.
const OF_VOLTAGES: [(&str, &str, &str); 2] = [
    ("excitation-", "excitation", "a voltage that feeds the sender"),
    ("reference-", "reference", "a voltage that is the reference"),
];

/// What describes a voltage needs it beside itself.
fn beside_voltages(matches: &ArgMatches) -> Result<(), Faults> {
    let given = |name: &str| matches.try_get_one::<String>(name).ok().flatten();
    let mut faults = Vec::new();
    for id in matches.ids() {
        let of = |(start, ..): &&(&str, &str, &str)| id.as_str().starts_with(start);
        let (Some((_, voltage, what)), Some(text)) = (OF_VOLTAGES.iter().find(of), given(id.as_str())) else {
            continue;
        };
        if !given(voltage).is_some_and(|text| is_voltage(text)) {
            faults.push(Fault {
                file: None,
                line: None,
                column: None,
                key: format!("--{id}"),
                found: format!("`{text}` without {what}"),
                expected: format!("--{voltage} with a voltage such as 5V beside it"),
                source_line: None,
            });
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(Faults(faults)) }
}
