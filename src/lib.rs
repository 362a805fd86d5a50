//! Chooses and checks the resistors in front of the converter inputs of instrument boards for old vehicles, boats and
//! machines.
//!
//! A board is described by a brief. [`brief`] turns its text into a checked [`board::Board`]; [`examine::answer`] chooses
//! what is to be chosen, examines every input in every case, and gives an [`answer::Answer`]; [`report`] renders it.
//!
//! ```
//! use ohmwright::{answer::Verdict, brief, examine};
//!
//! let text = b"inputs: { tank: { circuit: pull-up, sender: 240 .. 33, pull_up: choose } }";
//! let board = brief::read_text(text, "tank.yaml").map_err(|faults| faults.to_string())?;
//! let answer = examine::answer(&board, "design");
//! assert_eq!(answer.verdict, Verdict::Holds);
//! # Ok::<(), String>(())
//! ```
//!
//! The model is a chain of projective sources ([`chain`]) that a circuit and a case describe ([`circuit`]); worst cases
//! over it are exact ([`worst`]); limits ([`limits`]) judge them; the search ([`search`]) proves its choice.

pub mod answer;
pub mod batch;
pub mod board;
pub mod brief;
pub mod case;
pub mod chain;
pub mod circuit;
pub mod cli;
pub mod converter;
pub mod curve;
pub mod examine;
pub mod identify;
pub mod learn;
pub mod limits;
pub mod purchase;
pub mod quantity;
pub mod reading;
pub mod report;
pub mod search;
pub mod series;
pub mod share;
pub mod size;
pub mod stackup;
mod table;
pub mod worst;
