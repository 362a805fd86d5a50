//! Readings of a sender: from the text of a table or of a tree to checked [`Readings`].
//!
//! Both forms are read into a [`Sheet`] of cells that keep their text; what the cells mean is decided in one place, so
//! that a mistake is called the same in both.

mod accuracy;
mod cells;
mod sheet;
mod table;
mod tree;

use std::io::Read as _;
use std::path::Path;

use self::sheet::Form;
use super::fault::{Fault, Faults};
use super::unit::Unit;
use super::yaml::LARGEST;
use crate::learn::Readings;
use crate::quantity::ParseQuantityError;

/// What is said about a file of readings beside it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// `--unit`: the unit of the values.
    pub unit: Option<String>,
    /// `--value-accuracy`: how far every value may be off.
    pub value_accuracy: Option<String>,
    /// `--resistance-accuracy`: how far every resistance may be off, such as `1 % + 2 Ω`.
    pub resistance_accuracy: Option<String>,
}

/// Reads a file of readings.
pub(crate) fn read_file(path: &Path, beside: &Beside) -> Result<Readings, Faults> {
    let file = path.display().to_string();
    let form = form_of(path)
        .ok_or_else(|| Fault::of_file(&file, "a name that does not say what the file is", FORMS))?;
    let mut bytes = Vec::new();
    let read = std::fs::File::open(path).and_then(|f| f.take(LARGEST as u64 + 1).read_to_end(&mut bytes));
    if let Err(error) = read {
        let found = match error.kind() {
            std::io::ErrorKind::NotFound => "that there is no such file".to_owned(),
            _ => format!("a file that cannot be read ({error})"),
        };
        return Err(Fault::of_file(&file, found, "a file with readings").into());
    }
    read_text(&bytes, &file, form, beside)
}

const FORMS: &str = "a table with a name such as readings.csv (or .tsv, .txt), or readings.yaml";

fn form_of(path: &Path) -> Option<Form> {
    match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
        "csv" | "tsv" | "txt" => Some(Form::Table),
        "yaml" | "yml" => Some(Form::Tree),
        _ => None,
    }
}

fn read_text(bytes: &[u8], file: &str, form: Form, beside: &Beside) -> Result<Readings, Faults> {
    if bytes.len() > LARGEST {
        return Err(Fault::of_file(file, "more than 256 KiB", "a file with a few readings").into());
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        let expected = "rows of readings, such as `value °C;resistance Ω` and below it `20;2450`";
        return Err(Fault::of_file(file, "nothing", expected).into());
    }
    match form {
        Form::Table => table::read(bytes, file, beside),
        Form::Tree => tree::read(bytes, file, beside),
    }
}

/// Reads `A .. B` in the unit of the readings.
pub(crate) fn range(text: &str, unit: &str) -> Result<(f64, f64), ParseQuantityError> {
    Unit::new(unit).ends(text)
}
