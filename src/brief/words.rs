//! Small helpers for sentences.

/// The most characters of a brief that a message repeats.
const REPEATED: usize = 60;

/// The text set off from a sentence, shortened where it is long.
pub(crate) fn quoted(text: &str) -> String {
    format!("`{}`", short(text))
}

/// The text, shortened where it is long; whatever would disturb a line is shown as a blank.
pub(super) fn short(text: &str) -> String {
    let calm = |c: char| if c.is_control() { ' ' } else { c };
    if text.chars().count() <= REPEATED {
        return text.chars().map(calm).collect();
    }
    text.chars().take(REPEATED - 1).map(calm).chain(['…']).collect()
}

/// The most words that a message lists.
const LISTED: usize = 12;

/// `a, b or c`; a long list ends in `…`.
pub(crate) fn one_of<S: AsRef<str>>(words: &[S]) -> String {
    let words: Vec<String> = words.iter().take(LISTED + 1).map(|word| short(word.as_ref())).collect();
    match words.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        words if words.len() > LISTED => format!("{}, …", words[..LISTED].join(", ")),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}

/// `1 row`, `3 rows`.
pub(crate) fn counted(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// ``; did you mean `wire`?`` where a word comes near to `found`, else nothing.
pub(crate) fn did_you_mean<S: AsRef<str>>(found: &str, words: &[S]) -> String {
    near(found, words).map(|word| format!("; did you mean `{}`?", short(word))).unwrap_or_default()
}

/// The word that comes nearest to `found`, if one comes near.
pub(super) fn near<'w, S: AsRef<str>>(found: &str, words: &'w [S]) -> Option<&'w str> {
    if found.chars().count() > REPEATED {
        return None;
    }
    let plain = |text: &str| text.to_lowercase().replace(['-', ' '], "_");
    let found = plain(found);
    words
        .iter()
        .map(|word| (strsim::damerau_levenshtein(&found, &plain(word.as_ref())), word.as_ref()))
        .filter(|(distance, word)| distance * 3 <= word.chars().count().max(3))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        assert_eq!(near("pul_up", &["pull_up", "shunt"]), Some("pull_up"));
        assert_eq!(near("Pull-Up", &["pull_up", "shunt"]), Some("pull_up"));
        assert_eq!(near("colour", &["pull_up", "shunt"]), None);
        assert_eq!(near("xy", &["at", "top"]), None);
    }

    #[test]
    fn lists_read_as_a_sentence() {
        assert_eq!(one_of(&["a"]), "a");
        assert_eq!(one_of(&["a", "b", "c"]), "a, b or c");
        assert_eq!(one_of(&["x"; 40]), "x, x, x, x, x, x, x, x, x, x, x, x, …");
        assert_eq!(counted(1, "row", "rows"), "1 row");
        assert_eq!(counted(0, "row", "rows"), "0 rows");
    }

    #[test]
    fn long_text_is_cut_to_sixty_characters() {
        let cut = short(&"Ω".repeat(100));
        assert_eq!(cut.chars().count(), 60);
        assert!(cut.ends_with('…'));
    }
}
