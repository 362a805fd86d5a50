//! The file of fitted values: written whole or not at all, and never over anything else.

use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::answer::{Answer, InputAnswer, PartAnswer};
use crate::brief::{Fault, Faults};
use crate::quantity::Ohms;

/// The largest file that is looked at before it is replaced; a fitted file is far smaller.
const LARGEST: u64 = 256 * 1024;

/// A file that may be written.
#[derive(Debug)]
pub(super) struct Output {
    /// As the user calls it.
    asked: PathBuf,
    /// Where links lead.
    target: PathBuf,
}

impl Output {
    /// Makes sure that the file may be written and is no input.
    ///
    /// # Errors
    /// When it is the brief or anything else but an older file of fitted values, or its folder does not exist.
    pub(super) fn prepare(asked: &Path, brief: &Path) -> Result<Self, Faults> {
        let refused =
            |found: &str, expected: &str| Err(Fault::of_file(&shown(asked), found, expected).into());
        if !asked.exists() {
            let name = asked.file_name();
            return match (folder(asked).canonicalize(), name) {
                (Ok(folder), Some(name)) if folder.is_dir() => {
                    Ok(Self { asked: asked.to_owned(), target: folder.join(name) })
                }
                _ => refused("no such folder", "a file in a folder that exists"),
            };
        }
        let target = asked.canonicalize().map_err(|error| failed(asked, &error))?;
        if brief.canonicalize().is_ok_and(|brief| brief == target) {
            return refused("the brief itself", "another file, since a brief is never written over");
        }
        if !target.is_file() {
            return refused("something that is no file", "the name of a file");
        }
        if !holds_fitted(&target).map_err(|error| failed(asked, &error))? {
            let expected = "a new file, or one that holds nothing but fitted values";
            return refused("a file with other content, which is not written over", expected);
        }
        Ok(Self { asked: asked.to_owned(), target })
    }

    /// The file as the user calls it.
    pub(super) fn name(&self) -> String {
        shown(&self.asked)
    }

    /// Writes all chosen and given values.
    ///
    /// # Errors
    /// When the file cannot be written; whatever stood there is then still there.
    pub(super) fn write(&self, answer: &Answer) -> Result<(), Faults> {
        self.replace(&content(answer)).map_err(|error| failed(&self.asked, &error).into())
    }

    /// A finished file takes the place of the old one in a single step.
    fn replace(&self, text: &str) -> io::Result<()> {
        let mut file = new_file(folder(&self.target))?;
        file.write_all(text.as_bytes())?;
        file.as_file().sync_all()?;
        file.persist(&self.target)?;
        Ok(())
    }
}

/// A file beside its target, with the permissions of any new file.
fn new_file(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    let usual = <Permissions as std::os::unix::fs::PermissionsExt>::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(usual);
    builder.prefix(".ohmwright").tempfile_in(folder)
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// The file as the user calls it, and why it cannot be written. An error that carries more names the file that was to
/// take its place, which means nothing to anybody and differs each time.
fn failed(path: &Path, error: &io::Error) -> Fault {
    let found = error.get_ref().map_or_else(|| error.to_string(), |_| error.kind().to_string());
    Fault::of_file(&shown(path), found, "a file that can be written")
}

/// Whether a file holds fitted values and nothing else: no other section stands at the start of a line.
fn holds_fitted(path: &Path) -> io::Result<bool> {
    if fs::metadata(path)?.len() > LARGEST {
        return Ok(false);
    }
    let bytes = fs::read(path)?;
    let Ok(text) = std::str::from_utf8(&bytes) else { return Ok(false) };
    let sections = || text.lines().filter(|line| !line.is_empty() && !line.starts_with([' ', '#']));
    let is_fitted = |line: &str| line.starts_with("fitted:");
    Ok(sections().any(is_fitted) && sections().all(|line| is_fitted(line) || line.starts_with("board:")))
}

/// The file in full.
fn content(answer: &Answer) -> String {
    let inputs: String = answer.inputs.0.iter().map(|(name, input)| section(name, input)).collect();
    format!("board: {}\nfitted:\n{inputs}", quoted(&answer.board))
}

/// The resistors of one input; capacitors are given in the brief and never chosen.
fn section(name: &str, input: &InputAnswer) -> String {
    let resistors = input.parts.0.iter().filter_map(|(role, part)| match part {
        None if role == "capacitor" => None,
        None => Some(format!("    {role}: none\n")),
        Some(PartAnswer::Resistor { ohm, .. }) => Some(format!("    {role}: {:#}\n", Ohms(*ohm))),
        Some(PartAnswer::Capacitor { .. }) => None,
    });
    format!("  {}:\n{}", quoted(name), resistors.collect::<String>())
}

/// A name as YAML reads it back: plain where nothing can be mistaken, else in double quotes.
fn quoted(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '-');
    let is_plain = name.starts_with(char::is_alphabetic) && name.chars().all(plain) && !name.ends_with(' ');
    let is_word = ["true", "false", "yes", "no", "on", "off", "null", "y", "n"]
        .iter()
        .any(|word| name.eq_ignore_ascii_case(word));
    if is_plain && !is_word {
        return name.to_owned();
    }
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_quoted_where_yaml_would_misread_them() {
        assert_eq!(quoted("house battery"), "house battery");
        assert_eq!(quoted("Öl-Druck 2"), "Öl-Druck 2");
        for name in ["12 V", "a: b", "#1", "no", "\"x\"", "a\\b", "{x}", "-", "x ", ""] {
            let text = quoted(name);
            assert!(text.starts_with('"') && text.ends_with('"'), "{text}");
            let read: String = serde_yaml::from_str(&text).unwrap();
            assert_eq!(read, name);
        }
    }
}
