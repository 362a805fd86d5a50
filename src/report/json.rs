//! JSON for programs.

use serde::Serialize;

/// The value as JSON, its keys in the order of its fields; infinite numbers become `null`.
pub fn json(value: &impl Serialize) -> String {
    // Answers have text keys only and are written to memory, so nothing can go wrong; if it does, say so as JSON.
    let text = serde_json::to_string_pretty(value);
    text.unwrap_or_else(|error| format!("{{ \"errors\": [ {{ \"found\": {:?} }} ] }}", error.to_string()))
        + "\n"
}
