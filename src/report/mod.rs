//! Renders an answer, as text for people or as JSON for programs; nothing is calculated here.

mod alarms;
mod batch;
mod calibration;
mod cases;
mod chart;
mod grades;
mod identify;
mod input;
mod json;
mod limits;
mod page;
mod purchase;
mod rails;
mod reasons;
mod sender;
mod sender_file;
mod senders;
mod series;
mod share;
mod stack_up;
mod text;
mod words;

pub use batch::batch_text;
pub use identify::{IdentifyAnswer, identify_text};
pub use json::json;
pub use sender::{CandidateAnswer, Coefficients, Ends, PlaceAnswer, RowAnswer, SenderAnswer, sender_text};
pub use sender_file::{SENDER_FILE, sender_file};
pub use series::{Content, Neighbour, OneSeries, SeriesAnswer, series_text};
pub use text::{family_text, text};

use crate::answer::Answer;

/// How an answer is rendered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// For people: 80 columns, no colour.
    #[default]
    Text,
    /// For programs.
    Json,
}

/// The answer in the asked form, ending with a new line.
pub fn render(answer: &Answer, format: Format) -> String {
    match format {
        Format::Text => text(answer),
        Format::Json => json(answer),
    }
}
