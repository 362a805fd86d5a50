//! Runs the built program.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::NamedTempFile;

/// Flags with which nothing drifts, leaks or deviates.
pub(crate) const IDEAL: &str =
    "--tolerance 0% --tempco 0 --ageing 0% --rail-tolerance 0% --gain 0% --offset 0 --inl 0 --leakage 0";

/// What a finished run has left.
pub(crate) struct Run {
    pub(crate) status: i32,
    pub(crate) results: String,
    pub(crate) messages: String,
}

/// The program, still without arguments.
pub(crate) fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_ohmwright"))
}

/// What a process has left when it ended.
pub(crate) fn finished(output: Output) -> Run {
    Run {
        status: output.status.code().unwrap(),
        results: String::from_utf8(output.stdout).unwrap(),
        messages: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Runs with arguments that are separated by blanks.
pub(crate) fn run(arguments: &str) -> Run {
    run_in(Path::new("."), arguments)
}

/// The same in another folder.
pub(crate) fn run_in(folder: &Path, arguments: &str) -> Run {
    finished(program().args(arguments.split_whitespace()).current_dir(folder).output().unwrap())
}

/// JSON as a tree.
pub(crate) fn parsed(json: &str) -> Value {
    serde_json::from_str(json).unwrap()
}

/// Part of an answer without the reasons for a choice, which only a choice has.
pub(crate) fn without_reasons(value: &Value) -> Value {
    let mut value = value.clone();
    for row in value.as_array_mut().into_iter().flatten().filter_map(Value::as_object_mut) {
        row.retain(|key, _| !["binds", "without_it", "larger_size"].contains(&key.as_str()));
    }
    value
}

/// A number of an answer.
pub(crate) fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// A JSON answer with its exit status.
pub(crate) struct Asked {
    pub(crate) status: i32,
    /// The answer, or for status 2 the mistakes.
    pub(crate) answer: Value,
    /// The input that is looked at.
    input: String,
}

/// Asks a question, its words separated by blanks.
pub(crate) fn ask(question: &str) -> Asked {
    let mut command = program();
    command.args(question.split_whitespace());
    asked(command)
}

/// Asks a question about ideal parts.
pub(crate) fn ask_ideal(question: &str) -> Asked {
    ask(&format!("{question} {IDEAL}"))
}

/// Gives a brief to `design` or `check`.
pub(crate) fn ask_brief(command: &str, brief: &str) -> Asked {
    let mut file = NamedTempFile::new().unwrap();
    file.write_all(brief.as_bytes()).unwrap();
    let mut program = program();
    program.arg(command).arg(file.path());
    asked(program)
}

fn asked(mut command: Command) -> Asked {
    let run = finished(command.args(["--format", "json"]).output().unwrap());
    let answer = parsed(if run.status == 2 { &run.messages } else { &run.results });
    let first = answer["inputs"].as_object().and_then(|inputs| inputs.keys().next());
    let input = first.cloned().unwrap_or_default();
    Asked { status: run.status, answer, input }
}

impl Asked {
    /// Looks at another input than the first.
    pub(crate) fn about(self, input: &str) -> Self {
        assert!(self.answer["inputs"][input].is_object(), "{input}: {}", self.answer);
        Self { input: input.to_owned(), ..self }
    }

    pub(crate) fn input(&self) -> &Value {
        &self.answer["inputs"][&self.input]
    }

    /// A list of the input.
    pub(crate) fn list(&self, key: &str) -> &[Value] {
        self.input()[key].as_array().unwrap_or_else(|| panic!("{key} is no list in {}", self.answer))
    }

    pub(crate) fn ohms(&self, part: &str) -> f64 {
        number(&self.input()["parts"][part]["ohm"])
    }

    pub(crate) fn nominal_span(&self) -> f64 {
        number(&self.input()["span"]["nominal_counts"])
    }

    pub(crate) fn assured_span(&self) -> f64 {
        number(&self.input()["span"]["assured_counts"])
    }

    /// The row of a limit; `about` is its part or its side, or empty.
    pub(crate) fn row(&self, limit: &str, about: &str) -> &Value {
        let fits = |row: &&Value| {
            row["limit"] == limit && (about.is_empty() || row["part"] == about || row["side"] == about)
        };
        self.list("limits").iter().find(fits).unwrap()
    }

    pub(crate) fn worst(&self, limit: &str, about: &str) -> f64 {
        number(&self.row(limit, about)["worst"])
    }

    pub(crate) fn holds(&self, limit: &str, about: &str) -> bool {
        self.row(limit, about)["holds"].as_bool().unwrap()
    }

    pub(crate) fn case(&self, name: &str) -> &Value {
        self.list("cases").iter().find(|case| case["case"] == name).unwrap()
    }

    /// What a part dissipates in a case.
    pub(crate) fn watts(&self, case: &str, part: &str) -> f64 {
        number(&self.case(case)["parts"][part]["dissipation_w"])
    }

    pub(crate) fn checkpoint(&self, value: f64) -> &Value {
        let is_there = |point: &&Value| point["value"].as_f64() == Some(value);
        self.list("checkpoints").iter().find(is_there).unwrap()
    }

    pub(crate) fn nominal_count(&self, value: f64) -> f64 {
        number(&self.checkpoint(value)["count"]["nominal"])
    }
}
