//! `stock`: a file of the values that can be had, in which a part is looked for.

mod table;

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::log::Log;
use super::reader::Value;
use super::{bytes_of, yaml};
use crate::board::{Board, StockFile};
use crate::brief::{Fault, Faults};

const EXPECTED: &str =
    "a stock file: a table with a column `value`; its name is seen from the folder of the brief";

/// The stock files of a brief, each read once.
#[derive(Debug)]
pub(super) struct Files<'c> {
    folder: &'c Path,
    /// What was read before; none where there were mistakes.
    read: RefCell<Vec<(PathBuf, Option<Arc<StockFile>>)>>,
}

impl<'c> Files<'c> {
    /// Files whose names are seen from a folder.
    pub(super) fn new(folder: &'c Path) -> Self {
        Self { folder, read: RefCell::new(Vec::new()) }
    }

    /// Reads the file that a value names. Its mistakes are told once, with its own name and lines.
    pub(super) fn read(&self, value: &Value<'_>) -> Option<Arc<StockFile>> {
        let path = self.folder.join(value.text(EXPECTED)?);
        let place = path.canonicalize().unwrap_or_else(|_| path.clone());
        if let Some((_, known)) = self.read.borrow().iter().find(|(known, _)| *known == place) {
            return known.clone();
        }
        if path.is_dir() {
            value.wrong(format!("{}, a folder", value.found()), EXPECTED);
            return None;
        }
        if let Err(error) = std::fs::metadata(&path) {
            value.wrong(format!("{}, a file that cannot be read ({error})", value.found()), EXPECTED);
            return None;
        }
        let file = of_file(&path).map_err(|faults| value.log.foreign(faults)).ok();
        let file = file.map(|file| Arc::new(StockFile { place: place.clone(), ..file }));
        self.read.borrow_mut().push((place, file.clone()));
        file
    }
}

fn of_file(path: &Path) -> Result<StockFile, Faults> {
    let name = path.display().to_string();
    let bytes = bytes_of(path, EXPECTED)?;
    if bytes.len() > yaml::LARGEST {
        let found = format!("more than {} KiB", yaml::LARGEST / 1024);
        return Err(Fault::of_file(&name, found, "a table of what is in stock, one reel a line").into());
    }
    table::read(&bytes, &name)
}

/// Says where rows are better than what is calculated with.
pub(super) fn remark(log: &Log, board: &Board) {
    let mut told: Vec<&str> = Vec::new();
    for part in board.inputs.iter().flat_map(|input| &input.parts) {
        let Some(stock) = &part.stock else { continue };
        let is_better = stock.reels.iter().any(|reel| reel.serves(&part.grade) && reel.exceeds(&part.grade));
        if is_better && !told.contains(&stock.name.as_str()) {
            told.push(&stock.name);
            log.remark(format!(
                "parts from {} are calculated with the tolerance, tempco and size of the brief: where a row is better \
                 than that, everything here is on the safe side",
                stock.name
            ));
        }
    }
}
