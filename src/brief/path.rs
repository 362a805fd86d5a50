//! Where in the tree of a brief something stands.

use std::fmt;

/// One step down the tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// To the value of a key.
    Key(String),
    /// To a repetition of a key: the second time it stands there is `Repeat(key, 1)`.
    Repeat(String, usize),
    /// To an entry of a list, counted from 0.
    Item(usize),
}

/// The way from the top of the tree. Printed as `inputs.diesel.sender.points[3]`, entries counted from 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Path(Vec<Step>);

impl Path {
    pub(super) fn steps(&self) -> &[Step] {
        &self.0
    }

    fn then(&self, step: Step) -> Self {
        let mut steps = self.0.clone();
        steps.push(step);
        Self(steps)
    }

    pub(super) fn key(&self, key: &str) -> Self {
        self.then(Step::Key(key.to_owned()))
    }

    pub(super) fn repeat(&self, key: &str, times_before: usize) -> Self {
        self.then(Step::Repeat(key.to_owned(), times_before))
    }

    pub(super) fn item(&self, index: usize) -> Self {
        self.then(Step::Item(index))
    }

    /// The last key on the way; empty at the top.
    pub(super) fn last_key(&self) -> &str {
        let key = |step: &'_ Step| matches!(step, Step::Key(_) | Step::Repeat(..));
        match self.0.iter().rev().find(|step| key(step)) {
            Some(Step::Key(key) | Step::Repeat(key, _)) => key,
            _ => "",
        }
    }

    /// How many keys of `keys` lead this way from the top, if all of them do.
    pub(super) fn starts_with(&self, keys: &[String]) -> bool {
        keys.len() <= self.0.len()
            && keys.iter().zip(&self.0).all(|(key, step)| match step {
                Step::Key(name) | Step::Repeat(name, _) => name == key,
                Step::Item(_) => false,
            })
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            match step {
                Step::Item(index) => write!(f, "[{}]", index + 1)?,
                Step::Key(key) | Step::Repeat(key, _) => {
                    let dot = if i == 0 { "" } else { "." };
                    write!(f, "{dot}{}", super::words::short(key))?;
                }
            }
        }
        Ok(())
    }
}
