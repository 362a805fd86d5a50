//! `check BRIEF --measured FILE`: judge assembled boards.

use std::path::{Path, PathBuf};

use clap::{Arg, value_parser};

use super::check;
use super::outcome::Outcome;
use crate::answer::Verdict;
use crate::batch::{self, BatchAnswer};
use crate::board::Board;
use crate::brief::Faults;
use crate::examine;
use crate::report::{Format, batch_text, json};

pub(super) const FLAG: &str = "measured";

pub(super) fn argument() -> Arg {
    Arg::new(FLAG).long(FLAG).value_name("FILE").value_parser(value_parser!(PathBuf)).help(
        "A table of what was measured on assembled boards, one a line: judge them against the bench band",
    )
}

/// Judges the boards of a file; the verdict is theirs.
pub(super) fn judged(board: &Board, file: &Path, format: Format) -> Result<Outcome, Faults> {
    let measured = batch::read_file(file, board)?;
    let findings = batch::judge(board, &measured);
    let holds = findings.batch.outside == 0;
    let answer = BatchAnswer {
        ohmwright: env!("CARGO_PKG_VERSION"),
        command: check::NAME,
        board: board.name.clone(),
        verdict: if holds { Verdict::Holds } else { Verdict::Fails },
        check: examine::answer(board, check::NAME).verdict,
        findings,
    };
    let results = match format {
        Format::Text => batch_text(&answer),
        Format::Json => json(&answer),
    };
    Ok(Outcome::judged(results, holds))
}
