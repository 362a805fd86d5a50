//! What is refused before the text is handed to the YAML parser: everything that a brief does not need and that
//! makes a small file cost minutes or hides what it says.
//!
//! The scanner knows just enough of YAML to tell where a value begins. Quotes must close on their line and text in
//! brackets must not run on to the next line; so what it takes for text is text for the parser, too.

use super::place::{Place, Trouble};

/// The deepest nesting of brackets and indentation.
const DEEPEST: usize = 64;

/// Looks through the text of a brief.
///
/// # Errors
/// For control characters, anchors, aliases, tags, block scalars, merge keys, complex keys, quotes that do not close
/// on their line, deep nesting and a second document.
pub(super) fn check(text: &str) -> Result<(), Trouble> {
    let mut guard = Guard::default();
    for (number, line) in text.split('\n').enumerate() {
        let line = line.strip_suffix('\r').unwrap_or(line);
        guard.line(&Line { number: number + 1, chars: line.chars().collect() })?;
    }
    guard.end()
}

struct Line {
    number: usize,
    chars: Vec<char>,
}

impl Line {
    fn place(&self, at: usize) -> Place {
        Place { line: self.number, column: at + 1 }
    }

    fn trouble(&self, at: usize, found: impl Into<String>, expected: &str) -> Trouble {
        Trouble { place: Some(self.place(at)), found: found.into(), expected: expected.to_owned() }
    }

    fn is_blank(&self, at: usize) -> bool {
        self.chars.get(at).is_none_or(|c| *c == ' ' || *c == '\t')
    }

    fn starts(&self, at: usize, word: &str) -> bool {
        word.chars().enumerate().all(|(i, c)| self.chars.get(at + i) == Some(&c))
    }
}

#[derive(Default)]
struct Guard {
    /// Open brackets and where they stand.
    brackets: Vec<(char, Place)>,
    /// Columns of the blocks that the present line stands in.
    indents: Vec<usize>,
    /// Whether the last line ended in unquoted text inside brackets.
    running_on: bool,
    /// How far the one document has come.
    document: Document,
}

#[derive(Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
enum Document {
    /// Nothing but blanks and comments so far.
    #[default]
    Ahead,
    /// Only its mark `---` so far.
    Marked,
    Begun,
    /// Behind its closing mark `...`.
    Ended,
}

impl Guard {
    fn line(&mut self, line: &Line) -> Result<(), Trouble> {
        if let Some(at) = line.chars.iter().position(|c| is_unprintable(*c)) {
            let found = format!("the control character U+{:04X}", u32::from(line.chars[at]));
            return Err(line.trouble(at, found, "plain text"));
        }
        let Some(first) = line.chars.iter().position(|c| *c != ' ') else { return Ok(()) };
        let token = (first..line.chars.len()).find(|i| !line.is_blank(*i));
        let Some(token) = token.filter(|i| line.chars[*i] != '#') else { return Ok(()) };
        if token != first {
            return Err(line.trouble(first, "a tab", "spaces as indentation"));
        }
        if first == 0 && line.is_blank(3) && (line.starts(0, "---") || line.starts(0, "...")) {
            return self.mark(line);
        }
        if self.document == Document::Ended {
            return Err(line.trouble(first, "a second document", "one brief in one file"));
        }
        if self.running_on && !matches!(line.chars[first], ',' | ']' | '}' | ':') {
            return Err(line.trouble(
                first,
                "text inside brackets that goes on in the next line",
                "a comma before it, or the text on one line",
            ));
        }
        self.document = Document::Begun;
        self.running_on = false;
        self.indent(line, first)?;
        self.tokens(line, first)
    }

    /// `---` or `...` at the beginning of a line.
    fn mark(&mut self, line: &Line) -> Result<(), Trouble> {
        if line.chars[0] == '.' {
            self.document = Document::Ended;
            return Ok(());
        }
        if self.document > Document::Ahead {
            return Err(line.trouble(0, "a second document", "one brief in one file"));
        }
        self.document = Document::Marked;
        self.tokens(line, 3)
    }

    fn indent(&mut self, line: &Line, column: usize) -> Result<(), Trouble> {
        if !self.brackets.is_empty() {
            return Ok(());
        }
        while self.indents.last().is_some_and(|outer| *outer >= column) {
            self.indents.pop();
        }
        self.indents.push(column);
        self.depth(line, column)
    }

    fn depth(&self, line: &Line, at: usize) -> Result<(), Trouble> {
        if self.brackets.len() + self.indents.len() > DEEPEST {
            return Err(line.trouble(at, "more than 64 levels", "a brief, which needs no more than eight"));
        }
        Ok(())
    }

    fn tokens(&mut self, line: &Line, from: usize) -> Result<(), Trouble> {
        let mut at = from;
        while at < line.chars.len() {
            let inside = !self.brackets.is_empty();
            let c = line.chars[at];
            at = match c {
                ' ' | '\t' => at + 1,
                '#' if at == 0 || line.is_blank(at - 1) => return Ok(()),
                '"' | '\'' => quote_end(line, at)?,
                '[' | '{' => {
                    self.brackets.push((c, line.place(at)));
                    self.depth(line, at)?;
                    at + 1
                }
                ']' | '}' => self.close(line, at)?,
                ',' if inside => at + 1,
                ':' if inside || line.is_blank(at + 1) => at + 1,
                '-' if line.is_blank(at + 1) => {
                    self.indent(line, at + 1)?;
                    at + 1
                }
                _ => {
                    refuse(line, at, inside)?;
                    let end = plain_end(line, at, inside);
                    self.running_on = inside && line.chars[end..].iter().all(|c| *c == ' ' || *c == '\t');
                    end
                }
            };
        }
        Ok(())
    }

    fn close(&mut self, line: &Line, at: usize) -> Result<usize, Trouble> {
        let closes = line.chars[at];
        match self.brackets.pop() {
            Some((open, _)) if (open == '[') == (closes == ']') => Ok(at + 1),
            Some((open, place)) => {
                let wanted = if open == '[' { ']' } else { '}' };
                let found = format!("`{closes}` for the `{open}` of line {}", place.line);
                Err(line.trouble(at, found, &format!("`{wanted}`")))
            }
            None => Err(line.trouble(at, format!("`{closes}` that closes nothing"), "brackets in pairs")),
        }
    }

    fn end(self) -> Result<(), Trouble> {
        if let Some((open, place)) = self.brackets.last() {
            return Err(Trouble {
                place: Some(*place),
                found: format!("`{open}` that is never closed"),
                expected: "brackets in pairs".to_owned(),
            });
        }
        if self.document > Document::Ahead {
            return Ok(());
        }
        let expected = "a brief, which begins with `board: NAME`".to_owned();
        Err(Trouble { place: None, found: "nothing but blanks and comments".to_owned(), expected })
    }
}

/// Characters that a text file does not hold, and line breaks that not every program counts as such.
fn is_unprintable(c: char) -> bool {
    (c.is_control() && c != '\t')
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// Refuses what may begin a value in YAML but not in a brief.
fn refuse(line: &Line, at: usize, inside: bool) -> Result<(), Trouble> {
    let c = line.chars[at];
    let word: String = line.chars[at..].iter().take_while(|c| !" \t,[]{}".contains(**c)).collect();
    let plain = "the value itself; a brief has no anchors, aliases, tags or block scalars (text that begins with \
                 such a sign belongs in quotes)";
    let what = match c {
        '&' => "an anchor",
        '*' => "an alias",
        '!' => "a tag",
        '|' | '>' => "a block scalar",
        '%' | '@' | '`' => {
            return Err(line.trouble(at, format!("a bare `{c}`"), &format!("it in quotes: \"{word}\"")));
        }
        '?' if inside || line.is_blank(at + 1) => {
            return Err(line.trouble(at, "`?`", "a plain key, a colon and a value"));
        }
        '<' if is_merge_key(line, at) => {
            return Err(line.trouble(at, "a merge key `<<`", "the keys themselves"));
        }
        _ => return Ok(()),
    };
    Err(line.trouble(at, format!("{} ({what})", super::words::quoted(&word)), plain))
}

fn is_merge_key(line: &Line, at: usize) -> bool {
    let after = (at + 2..line.chars.len()).find(|i| !line.is_blank(*i));
    line.starts(at, "<<") && after.is_some_and(|i| line.chars[i] == ':')
}

/// Behind the closing quotation mark.
fn quote_end(line: &Line, from: usize) -> Result<usize, Trouble> {
    let mark = line.chars[from];
    let mut at = from + 1;
    while let Some(c) = line.chars.get(at) {
        let doubled = mark == '\'' && line.starts(at, "''");
        if (mark == '"' && *c == '\\') || doubled {
            at += 2;
        } else if *c == mark {
            return Ok(at + 1);
        } else {
            at += 1;
        }
    }
    Err(line.trouble(from, "a quotation mark that is not closed on its line", "quotation marks in pairs"))
}

/// Behind unquoted text: before a comment, a colon with a blank, or what separates values inside brackets.
fn plain_end(line: &Line, from: usize, inside: bool) -> usize {
    let ends = |at: usize| {
        let c = line.chars[at];
        (c == ':' && line.is_blank(at + 1))
            || (c == '#' && line.is_blank(at - 1))
            || (inside && ",[]{}".contains(c))
            || (inside && c == ':' && line.chars.get(at + 1).is_some_and(|c| ",[]{}".contains(*c)))
    };
    (from + 1..line.chars.len()).find(|at| ends(*at)).unwrap_or(line.chars.len())
}
