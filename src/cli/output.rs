//! A file that a command writes: whole or not at all, and never over anything else.

use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::brief::{Fault, Faults};

/// The largest file that is looked at before it is replaced; what is written here is far smaller.
const LARGEST: u64 = 256 * 1024;

/// What a file is written for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Purpose {
    /// What the command reads: `the brief`.
    pub(super) input: &'static str,
    /// The same with its article: `a brief`.
    pub(super) an_input: &'static str,
    /// What the command writes: `fitted values`.
    pub(super) content: &'static str,
    /// Whether a text is nothing but that.
    pub(super) is_content: fn(&str) -> bool,
}

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
    /// When it is an input or anything else but an older file of the same purpose, or its folder does not exist.
    pub(super) fn prepare(asked: &Path, inputs: &[&Path], purpose: &Purpose) -> Result<Self, Faults> {
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
        let is_target = |input: &&Path| input.canonicalize().is_ok_and(|input| input == target);
        if inputs.iter().any(is_target) {
            let expected = format!("another file, since {} is never written over", purpose.an_input);
            return refused(&format!("{} itself", purpose.input), &expected);
        }
        if !target.is_file() {
            return refused("something that is no file", "the name of a file");
        }
        if !holds(&target, purpose).map_err(|error| failed(asked, &error))? {
            let expected = format!("a new file, or one that holds nothing but {}", purpose.content);
            return refused("a file with other content, which is not written over", &expected);
        }
        Ok(Self { asked: asked.to_owned(), target })
    }

    /// The file as the user calls it.
    pub(super) fn name(&self) -> String {
        shown(&self.asked)
    }

    /// Whether both lead to one file.
    ///
    /// # Errors
    /// When one of the others is the same file.
    pub(super) fn differs_from(&self, others: &[Self]) -> Result<(), Faults> {
        if others.iter().any(|other| other.target == self.target) {
            let found = "the file of `--output`";
            return Err(Fault::of_file(&self.name(), found, "another file for each of the two").into());
        }
        Ok(())
    }

    /// Writes the text.
    ///
    /// # Errors
    /// When the file cannot be written; whatever stood there is then still there.
    pub(super) fn write(&self, text: &str) -> Result<(), Faults> {
        self.replace(text).map_err(|error| failed(&self.asked, &error).into())
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

/// Whether a file holds what is to be written and nothing else.
fn holds(path: &Path, purpose: &Purpose) -> io::Result<bool> {
    if fs::metadata(path)?.len() > LARGEST {
        return Ok(false);
    }
    let bytes = fs::read(path)?;
    Ok(std::str::from_utf8(&bytes).is_ok_and(purpose.is_content))
}

/// The lines that begin a section at the start of a line.
pub(super) fn sections(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter(|line| !line.is_empty() && !line.starts_with([' ', '#']))
}
