//! Briefs: from YAML text, or from a question asked through flags, to a checked [`Board`].
//!
//! The text becomes a tree of [`Node`]s that keeps every scalar as it is written. A small reader takes each key with
//! its target type, puts a documented default where the brief is silent, and notes every mistake with its path; places
//! in the file are looked up only when there is something to report. Nothing is ignored or repaired in silence.
//!
//! Each section of a brief has a file of its own; `rule.rs` holds the bounds of sane values.

mod alarms;
mod ambient;
mod calibration;
mod capacitor;
mod checkpoints;
mod clamp;
mod converter;
mod corrected;
mod dial;
mod far_end;
mod fault;
mod fitted;
mod gauge;
mod grades;
mod guard;
mod input;
mod levels;
mod limits;
mod log;
mod measured;
mod node;
mod parts;
mod path;
mod place;
mod rails;
mod reader;
mod readings;
mod resistors;
mod rule;
mod sender;
mod senders;
mod signal;
mod source;
mod stock;
mod supply;
mod survive;
mod tracks;
mod transmitter;
mod unit;
mod wet;
pub(crate) mod words;
mod yaml;

pub use fault::{Fault, Faults};
pub use node::Node;
pub use readings::Beside;
pub(crate) use readings::{range as readings_range, read_file as read_readings};

use std::io::Read as _;
use std::path::Path;

use self::limits::Bounds;
use self::log::{Log, Notes, fault_of_text};
use self::reader::{Keys, Value};
use crate::board::{Board, Capacitor, Choice, Input, Setting};
use crate::quantity::{Band, ParseQuantityError};

/// Reads the brief in a file.
///
/// # Errors
/// When the file cannot be read, or with everything that is wrong with the brief.
pub fn read_file(path: &Path) -> Result<Board, Faults> {
    let file = path.display().to_string();
    read_text(&bytes_of(path, BRIEF)?, &file)
}

/// Reads a brief; `file` is its name in messages.
///
/// # Errors
/// With everything that is wrong with the brief.
pub fn read_text(text: &[u8], file: &str) -> Result<Board, Faults> {
    let (body, node) = yaml::parse(text).map_err(|trouble| fault_of_text(trouble, file, text))?;
    let folder = Path::new(file).parent().unwrap_or(Path::new(""));
    read_board(&node, folder).map_err(|log| log.into_faults_of_file(file, body))
}

/// Reads a brief from a file in which every part has its value.
///
/// # Errors
/// As [`read_file`], and for every part that is still to be chosen.
pub fn read_complete_file(path: &Path) -> Result<Board, Faults> {
    let board = read_file(path)?;
    let log = Log::default();
    for input in &board.inputs {
        let open = input.parts.iter().filter(|part| matches!(part.choice, Choice::Choose { .. }));
        let capacitor = matches!(input.capacitor, Capacitor::Choose(_)).then_some("capacitor");
        for key in open.map(|part| part.role.key()).chain(capacitor) {
            let place = path::Path::default().key("inputs").key(&input.name).key(key);
            let expected = "a value; or let `design` choose, and give what it writes with `--fitted FILE`";
            log.mistake(&place, place::At::Key, "a part that is still to be chosen", expected);
        }
    }
    if log.is_clean() {
        return Ok(board);
    }
    let bytes = bytes_of(path, BRIEF)?;
    let text = std::str::from_utf8(&bytes).unwrap_or_default();
    Err(log.into_faults_of_file(&path.display().to_string(), text))
}

/// Reads a brief from a file for the choice of tolerance grades. Where it has no price list, an invented one takes its
/// place, and the board says so.
///
/// # Errors
/// As [`read_file`], and when no input limits its error, which is what grades are chosen for.
pub fn read_file_for_grades(path: &Path) -> Result<Board, Faults> {
    let mut board = read_file(path)?;
    if board.inputs.iter().any(|input| matches!(input.limits.error, Setting::At(_))) {
        grades::complete(&mut board);
        return Ok(board);
    }
    let log = Log::default();
    let expected = "what grades are chosen for: how far the reading of at least one input may be off, such as limits: { \
                    error: 5 % } beside it";
    log.mistake(&path::Path::default().key("inputs"), place::At::Key, "no limit of `error`", expected);
    let bytes = bytes_of(path, BRIEF)?;
    let text = std::str::from_utf8(&bytes).unwrap_or_default();
    Err(log.into_faults_of_file(&path.display().to_string(), text))
}

/// Reads a question: the tree of a brief, built from flags. `flags` names the flag for the paths of the tree; a
/// mistake is reported under the flag whose path leads nearest to it.
///
/// # Errors
/// With everything that is wrong with the question.
pub fn read_question(node: &Node, flags: &[(Vec<String>, String)]) -> Result<Board, Faults> {
    read_board(node, Path::new("")).map_err(|log| log.into_faults_of_question(flags))
}

/// Reads a file of fitted values, which take the place of what `board` leaves to be chosen.
///
/// # Errors
/// When the file cannot be read, is meant for another board, names unknown inputs or parts, leaves a part without
/// value, or contradicts the brief.
pub fn read_fitted(path: &Path, board: &Board) -> Result<Board, Faults> {
    let file = path.display().to_string();
    let bytes = bytes_of(path, BRIEF)?;
    let (body, node) = yaml::parse(&bytes).map_err(|trouble| fault_of_text(trouble, &file, &bytes))?;
    let log = Log::default();
    let mut board = board.clone();
    fitted::read(&top(&node, &log), &mut board);
    if log.is_clean() { Ok(board) } else { Err(log.into_faults_of_file(&file, body)) }
}

/// A value inside the range of an input, in its unit or a related one.
pub(crate) fn value_on_dial(input: &Input, text: &str) -> Result<f64, ParseQuantityError> {
    let (first, last) = input.range();
    let dial = dial::Dial::new(input.unit(), Band::between(first, last));
    let value = dial.unit.value(text)?;
    if dial.range.holds(value) {
        return Ok(value);
    }
    let found = format!("{} (outside the range)", words::quoted(text));
    Err(ParseQuantityError { found, expected: format!("a value inside {}", dial.range_text()) })
}

const BRIEF: &str = "a file with a brief";

/// The bytes of a file, no more than just too many.
fn bytes_of(path: &Path, expected: &str) -> Result<Vec<u8>, Faults> {
    let mut bytes = Vec::new();
    let read = std::fs::File::open(path)
        .and_then(|file| file.take(yaml::LARGEST as u64 + 1).read_to_end(&mut bytes));
    match read {
        Ok(_) => Ok(bytes),
        Err(error) => {
            let found = format!("a file that cannot be read ({error})");
            Err(Fault::of_file(&path.display().to_string(), found, expected).into())
        }
    }
}

fn top<'a>(node: &'a Node, log: &'a Log) -> Value<'a> {
    Value { node, path: path::Path::default(), log }
}

/// The board, or the log with its mistakes.
fn read_board(node: &Node, folder: &Path) -> Result<Board, Box<Log>> {
    let log = Log::default();
    let board =
        top(node, &log).keys("a brief, which begins with `board: NAME`").map(|keys| sections(keys, folder));
    match board {
        Some(board) if log.is_clean() => {
            forget_choice(&log, &board);
            stock::remark(&log, &board);
            let Notes { assumed, remarks, doubts } = log.into_notes();
            Ok(Board { assumed, remarks, doubts, ..board })
        }
        _ => Err(Box::new(log)),
    }
}

/// Reads section by section. What has a mistake is read as its default, so that the rest can be read, too; the log
/// keeps such a board from being used.
fn sections(mut keys: Keys<'_>, folder: &Path) -> Board {
    let name = match keys.get("board") {
        Some(value) => value.text("the name of the board").unwrap_or_default().to_owned(),
        None => keys.assume("board", "unnamed".to_owned(), "unnamed"),
    };
    let supply = supply::read(&mut keys);
    let ambient = ambient::read(&mut keys);
    let rails = rails::read(&mut keys);
    let converter = converter::read(&mut keys, &rails);
    let files = stock::Files::new(folder);
    let stock = resistors::read(&mut keys, &ambient, &files);
    let limits = limits::read(&mut keys);
    let bench = ambient::read_bench(&mut keys);
    let around = input::Around {
        supply: supply.supply(),
        ambient: &ambient,
        rails: &rails,
        reference: converter.reference,
        stock: &stock,
        files: &files,
        limits: &limits,
        decade_box: bench.decade_box,
        folder,
    };
    let (inputs, own_limits): (Vec<_>, Vec<_>) = input::read_all(&mut keys, around).into_iter().unzip();
    let bounds = Bounds {
        pin_current: format!("{:#}", converter.pin_current),
        dissipation: format!("{:#} of the derated rating", stock.grade.derate_to),
        settling: format!("{:#}", converter.sampling.settles_to),
    };
    limits::assume(&keys, &limits, &own_limits, &bounds);
    let supply = supply.complete(&inputs, keys.log);
    keys.not_yet(&["variants", "share"]);
    keys.refuse(&["stock"], "it below resistors, or at a part: resistors: { stock: FILE.csv }");
    keys.finish();
    Board {
        name,
        supply,
        ambient,
        rails,
        converter,
        bench,
        inputs,
        grades: stock.grades,
        assumed: Vec::new(),
        remarks: Vec::new(),
        doubts: Vec::new(),
    }
}

/// Where nothing is to be chosen from a series, it does not matter.
fn forget_choice(log: &Log, board: &Board) {
    let mut parts = board.inputs.iter().flat_map(|input| &input.parts);
    if !parts.any(|part| matches!(part.choice, Choice::Choose { .. }) && part.stock.is_none()) {
        log.forget("resistors.series");
        log.forget("resistors.between");
    }
}
