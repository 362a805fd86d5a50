//! A page of text: wrapped paragraphs and tables in 80 columns.

use comfy_table::{
    Cell, CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Table, TableStyle, Width, presets,
};

/// Columns of a page, as on the narrowest terminals in use.
const WIDTH: u16 = 80;

/// Only a thin line below the heads.
const STYLE: TableStyle = presets::NOTHING.header_separator(LineStyle::none().fill('─'));

/// On which side a column is flush.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Flush {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A column: its head and its side.
pub(super) type Column<'a> = (&'a str, Flush);

/// A page that is filled from top to bottom.
#[derive(Debug, Default)]
pub(super) struct Page(String);

impl Page {
    /// The text, ending with one new line. No-break spaces have done their work.
    pub(super) fn finish(self) -> String {
        self.0.replace('\u{a0}', " ")
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

    /// A table. All columns are as wide as their content but the last, which wraps between words.
    pub(super) fn table(&mut self, columns: &[Column<'_>], rows: Vec<Vec<String>>) {
        self.gap();
        let mut table = Table::new();
        table.load_style(STYLE).set_width(WIDTH).set_content_arrangement(ContentArrangement::Dynamic);
        table.set_header(columns.iter().map(|(head, _)| Cell::new(head)));
        let longest = rows.iter().filter_map(|row| row.last()).map(|cell| longest_word(cell)).max();
        for row in rows {
            table.add_row(row.iter().map(|cell| glued(cell)));
        }
        let last = columns.len().saturating_sub(1);
        for (i, (column, (_, flush))) in table.column_iter_mut().zip(columns).enumerate() {
            column.set_cell_alignment(match flush {
                Flush::Left => CellAlignment::Left,
                Flush::Right => CellAlignment::Right,
            });
            column.set_padding((0, if i == last { 0 } else { 2 }));
            column.set_constraint(if i == last {
                ColumnConstraint::LowerBoundary(Width::Fixed(longest.unwrap_or_default()))
            } else {
                ColumnConstraint::ContentWidth
            });
        }
        for line in table.lines() {
            self.line(&line);
        }
    }
}

/// Symbols that stay with the number before them.
const UNITS: [&str; 35] = [
    "%", "Ω", "kΩ", "MΩ", "V", "mV", "kV", "A", "mA", "µA", "nA", "W", "mW", "µW", "nW", "F", "µF", "nF",
    "pF", "s", "ms", "µs", "°C", "counts", "bar", "°F", "K", "psi", "kPa", "mbar", "L", "gal", "mΩ", "GΩ",
    "times",
];

/// The text with a no-break space between each number and its unit.
pub(super) fn glued(text: &str) -> String {
    let mut glued = String::new();
    for word in text.split(' ') {
        let unit = word.trim_end_matches([',', '.', ';', ':', ')']);
        let is_unit = glued.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&unit);
        if !glued.is_empty() {
            glued.push(if is_unit { '\u{a0}' } else { ' ' });
        }
        glued.push_str(word);
    }
    glued
}

/// The width of the longest word, a number and its unit taken as one.
fn longest_word(text: &str) -> u16 {
    let longest = glued(text).split(' ').map(|word| word.chars().count()).max().unwrap_or_default();
    u16::try_from(longest).unwrap_or(WIDTH).min(WIDTH)
}

/// Lines of at most `room` characters, broken between words; a longer word stands alone.
fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    // Not `split_whitespace`, which would also break at no-break spaces.
    for word in glued(text).split([' ', '\n']).filter(|word| !word.is_empty()) {
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
    fn numbers_stay_with_their_units() {
        assert_eq!(wrapped("exceeds 100 °C. Then 5 parts", 12), ["exceeds", "100\u{a0}°C. Then", "5 parts"]);
    }

    #[test]
    fn a_narrow_last_column_keeps_its_words_whole() {
        let mut page = Page::default();
        page.table(
            &[("a", Flush::Left), ("b", Flush::Left)],
            vec![vec!["x".repeat(74), "wire to ground".to_owned()]],
        );
        let text = page.finish();
        assert!(["wire", "to", "ground"].iter().all(|word| text.contains(word)), "{text}");
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
