//! `file`: a sender that stands in a file of its own, or the readings that it is learned from.

use std::path::Path;

use super::super::fault::Fault;
use super::super::log::{Log, fault_of_text};
use super::super::node::Node;
use super::super::path;
use super::super::reader::{Keys, Value};
use super::super::{bytes_of, yaml};
use super::{KINDS, read_keys};
use crate::board::Sender;
use crate::learn;

/// Reads the file that `value` names, seen from the folder of the brief. Mistakes in it are told with its own name and
/// lines, its defaults as those of the sender that includes it.
pub(super) fn read(keys: &Keys<'_>, value: &Value<'_>, folder: &Path) -> Option<Sender> {
    let name = value.text("the name of a file, such as coolant.yaml or readings.csv")?;
    let path = folder.join(name);
    if let Err(error) = std::fs::metadata(&path) {
        value.wrong(
            format!("{}, a file that cannot be read ({error})", value.found()),
            "a file with a sender or its readings; its name is seen from the folder of the brief",
        );
        return None;
    }
    let is_tree =
        path.extension().is_some_and(|e| e.eq_ignore_ascii_case("yaml") || e.eq_ignore_ascii_case("yml"));
    if is_tree {
        let file = path.display().to_string();
        let bytes = bytes_of(&path, "a file with a sender or its readings")
            .map_err(|faults| value.log.foreign(faults))
            .ok()?;
        let parsed = yaml::parse(&bytes).map_err(|trouble| fault_of_text(trouble, &file, &bytes).into());
        let (text, node) = parsed.map_err(|faults| value.log.foreign(faults)).ok()?;
        if !has_readings(&node) {
            return sender(keys, value, &file, text, &node);
        }
    }
    let learn::FromFile { sender, doubts, remarks } =
        learn::sender_from_file(&path).map_err(|faults| value.log.foreign(faults)).ok()?;
    for doubt in doubts {
        value.log.doubt(format!("{}: {doubt}", keys.path));
    }
    for remark in remarks {
        value.log.remark(format!("{}: {remark}", keys.path));
    }
    Some(sender)
}

/// What whoever has learned the sender doubts of it.
fn doubts(keys: &mut Keys<'_>) {
    const TEXTS: &str = "a list of sentences";
    let Some(list) = keys.get("doubts") else { return };
    for doubt in list.list(TEXTS).unwrap_or_default() {
        if let Some(text) = doubt.text(TEXTS) {
            doubt.log.doubt(text);
        }
    }
}

fn has_readings(node: &Node) -> bool {
    matches!(node, Node::Map(entries) if entries.iter().any(|(key, _)| key == "readings"))
}

/// Reads a file that holds the keys of a sender.
fn sender(keys: &Keys<'_>, value: &Value<'_>, file: &str, text: &str, node: &Node) -> Option<Sender> {
    let log = Log::default();
    let top = Value { node, path: path::Path::default(), log: &log };
    // A file that names another file would be read for ever if that named the first.
    let names_a_file = matches!(node, Node::Map(entries) if entries.iter().any(|(key, _)| key == "file"));
    if names_a_file {
        let fault = Fault::of_file(file, "`file`, the name of another file", "the keys of the sender itself");
        value.log.foreign(fault.into());
        return None;
    }
    let sender = top.keys(KINDS).and_then(|mut keys| {
        doubts(&mut keys);
        read_keys(keys, Path::new(""))
    });
    if !log.is_clean() {
        value.log.foreign(log.into_faults_of_file(file, text));
        return None;
    }
    let notes = log.into_notes();
    for doubt in notes.doubts {
        value.log.doubt(format!("{}: {doubt}", keys.path));
    }
    for default in notes.assumed.iter().filter(|default| !keys.has(&default.key)) {
        value.log.assume(&keys.path.key(&default.key), default.value.as_str());
    }
    sender
}
