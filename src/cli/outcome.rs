//! What a command gives back, and how it reaches the outside.

use std::io::{self, Write};
use std::process::ExitCode;

use serde::Serialize;

use crate::answer::{Answer, FamilyAnswer, Verdict};
use crate::brief::{Fault, Faults};
use crate::report::{Format, family_text, json, render};

/// All limits hold.
const HOLDS: u8 = 0;
/// A limit does not hold, or no choice exists.
const FAILS: u8 = 1;
/// The question or file cannot be used.
const UNUSABLE: u8 = 2;

/// Texts for standard output and standard error, and the exit status.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// The result.
    pub results: String,
    /// Everything else.
    pub messages: String,
    /// 0: all limits hold; 1: a limit does not hold, or no choice exists; 2: the question or file cannot be used.
    pub status: u8,
}

impl Outcome {
    /// A result that is no verdict.
    pub(super) fn of_results(results: String) -> Self {
        Self { results, messages: String::new(), status: HOLDS }
    }

    /// A result with a verdict.
    pub(super) fn judged(results: String, holds: bool) -> Self {
        let status = if holds { HOLDS } else { FAILS };
        Self { results, messages: String::new(), status }
    }

    /// A question or file that cannot be used: nothing but messages.
    pub(super) fn unusable(messages: String) -> Self {
        Self { results: String::new(), messages, status: UNUSABLE }
    }

    /// Mistakes of a question or file, in the asked form.
    pub(super) fn of_faults(faults: &Faults, format: Format) -> Self {
        Self::unusable(match format {
            Format::Text => format!("{faults}\n"),
            Format::Json => json(&Errors { errors: &faults.0 }),
        })
    }

    /// Writes both texts and gives the exit status. A reader who has seen enough and closes the pipe changes nothing.
    #[must_use]
    pub fn print(self) -> ExitCode {
        let written = write(&mut io::stdout().lock(), &self.results);
        let trouble = written
            .err()
            .map(|error| format!("standard output: found {error}; expected a place that takes the result\n"));
        let status = if trouble.is_some() { UNUSABLE } else { self.status };
        let messages = self.messages + &trouble.unwrap_or_default();
        // Where even messages cannot be written there is nobody left to tell.
        let _ = write(&mut io::stderr().lock(), &messages);
        ExitCode::from(status)
    }
}

/// Mistakes as programs read them.
#[derive(Debug, Serialize)]
struct Errors<'a> {
    errors: &'a [Fault],
}

/// An answer in the asked form with the status of its verdict.
pub(super) fn answered(answer: &Answer, format: Format) -> Outcome {
    let status = if answer.verdict == Verdict::Holds { HOLDS } else { FAILS };
    Outcome { results: render(answer, format), messages: String::new(), status }
}

/// The answers for some boards; that for one board alone is as if nobody had spoken of several.
pub(super) fn family_answered(family: &FamilyAnswer, format: Format) -> Outcome {
    if let [answer] = family.boards.as_slice() {
        return answered(answer, format);
    }
    let results = match format {
        Format::Text => family_text(family),
        Format::Json => json(family),
    };
    Outcome::judged(results, family.verdict == Verdict::Holds)
}

fn write(out: &mut impl Write, text: &str) -> io::Result<()> {
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A writer that always fails in the same way.
    struct Broken(io::ErrorKind);

    impl Write for Broken {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(self.0.into())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn only_a_closed_pipe_is_a_quiet_end() {
        assert!(write(&mut Broken(io::ErrorKind::BrokenPipe), "text").is_ok());
        assert!(write(&mut Broken(io::ErrorKind::StorageFull), "text").is_err());
    }
}
