//! A page of text: wrapped paragraphs and tables in 80 columns.

use comfy_table::{
    Cell, CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Table, TableStyle, presets,
};

/// Columns of a page, as on the narrowest terminals in use.
const WIDTH: u16 = 80;

/// Only a thin line below the heads.
const STYLE: TableStyle = presets::NOTHING.header_separator(LineStyle::none().fill('─').junction('─'));

/// On which side a column is flush.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Flush {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A column: its head and its side.
pub(super) type Column = (&'static str, Flush);

/// A page that is filled from top to bottom.
#[derive(Debug, Default)]
pub(super) struct Page(String);

impl Page {
    /// The text, ending with one new line.
    pub(super) fn finish(self) -> String {
        self.0
    }

    /// An empty line, unless the page is empty or ends with one.
    pub(super) fn gap(&mut self) {
        if !self.0.is_empty() && !self.0.ends_with("\n\n") {
            self.0.push('\n');
        }
    }

    /// A head with a line below it.
    pub(super) fn heading(&mut self, text: &str) {
        self.gap();
        self.paragraph("", text);
        let longest = text.chars().count().min(usize::from(WIDTH));
        self.line(&"═".repeat(longest));
    }

    /// One line as it is.
    pub(super) fn line(&mut self, text: &str) {
        self.0.push_str(text.trim_end());
        self.0.push('\n');
    }

    /// A wrapped paragraph; its first line starts with `mark`, the others below the text behind it.
    pub(super) fn paragraph(&mut self, mark: &str, text: &str) {
        let indent = " ".repeat(mark.chars().count());
        let room = usize::from(WIDTH) - indent.len();
        for (i, line) in wrapped(text, room).iter().enumerate() {
            let start = if i == 0 { mark } else { &indent };
            self.line(&format!("{start}{line}"));
        }
    }

    /// A list of remarks.
    pub(super) fn items(&mut self, mark: &str, texts: &[String]) {
        for text in texts {
            self.paragraph(mark, text);
        }
    }

    /// A table. All columns are as wide as their content but the last, which wraps.
    pub(super) fn table(&mut self, columns: &[Column], rows: Vec<Vec<String>>) {
        self.gap();
        let mut table = Table::new();
        table.load_style(STYLE).set_width(WIDTH).set_content_arrangement(ContentArrangement::Dynamic);
        table.set_header(columns.iter().map(|(head, _)| Cell::new(head)));
        for row in rows {
            table.add_row(row);
        }
        let last = columns.len().saturating_sub(1);
        for (i, (column, (_, flush))) in table.column_iter_mut().zip(columns).enumerate() {
            column.set_cell_alignment(match flush {
                Flush::Left => CellAlignment::Left,
                Flush::Right => CellAlignment::Right,
            });
            column.set_padding((0, if i == last { 0 } else { 2 }));
            if i != last {
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
        for line in table.lines() {
            self.line(&line);
        }
    }
}

/// Lines of at most `room` characters, broken between words; a longer word stands alone.
fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    // Not `split_whitespace`, which would also break at the no-break space inside a large number.
    for word in text.split([' ', '\n']).filter(|word| !word.is_empty()) {
        let Some(line) = lines.last_mut() else { break };
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > room {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paragraphs_hang_below_their_text() {
        let mut page = Page::default();
        page.paragraph("! ", &"word ".repeat(20));
        let text = page.finish();
        assert_eq!(text, format!("! {}\n  {}\n", ["word"; 15].join(" "), ["word"; 5].join(" ")));
    }

    #[test]
    fn a_long_word_is_not_split() {
        let long = "x".repeat(100);
        assert_eq!(wrapped(&format!("a {long} b"), 10), ["a", long.as_str(), "b"]);
    }

    #[test]
    fn only_the_last_column_of_a_table_wraps_and_only_between_words() {
        let mut page = Page::default();
        let columns = [("limit", Flush::Left), ("worst", Flush::Right), ("where", Flush::Left)];
        let place = "the wire lies on the supply ".repeat(4);
        page.table(&columns, vec![vec!["converter_range".to_owned(), "12 counts".to_owned(), place]]);
        let text = page.finish();
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        let words: Vec<&str> = text.split_whitespace().collect();
        assert_eq!(words.iter().filter(|word| **word == "supply").count(), 4, "{text}");
        assert!(text.contains("\nconverter_range  12 counts  the wire"), "{text}");
    }
}
