//! A small chart of characters.

use super::words::{decimals, places_for};
use crate::quantity::Ohms;

/// Rows and columns of the area in which the curve runs.
const ROWS: usize = 14;
const COLUMNS: usize = 66;

/// Readings as `o`, the curve as `·`.
#[derive(Debug)]
pub(super) struct Chart<'a> {
    /// Value and resistance of each reading, ascending in value.
    pub(super) readings: &'a [(f64, f64)],
    /// The same of many places of the curve, ascending in value.
    pub(super) curve: &'a [(f64, f64)],
    /// The unit of the values.
    pub(super) unit: &'a str,
}

impl Chart<'_> {
    /// At most 80 columns and 18 rows. The resistance has a logarithmic axis where it spans more than a decade.
    pub(super) fn lines(&self) -> Vec<String> {
        let all = || self.readings.iter().chain(self.curve);
        let (left, right) = ends(all().map(|point| point.0));
        let (low, high) = ends(all().map(|point| point.1));
        let is_log = low > 0.0 && high / low > 10.0;
        let height = |ohms: f64| {
            if is_log { (ohms / low).ln() / (high / low).ln() } else { (ohms - low) / (high - low) }
        };
        let mut cells = vec![vec![' '; COLUMNS]; ROWS];
        let marks = [('·', self.curve), ('o', self.readings)];
        for (mark, (value, ohms)) in
            marks.iter().flat_map(|(mark, points)| points.iter().map(move |p| (*mark, *p)))
        {
            let column = cell((value - left) / (right - left), COLUMNS);
            let row = ROWS - 1 - cell(height(ohms), ROWS);
            cells[row][column] = mark;
        }
        let axis =
            |share: f64| if is_log { low * (high / low).powf(share) } else { low + (high - low) * share };
        let label = |row: usize| match row {
            0 => Ohms(high).to_string(),
            row if row == ROWS / 2 => Ohms(axis(1.0 - row as f64 / (ROWS - 1) as f64)).to_string(),
            row if row == ROWS - 1 => Ohms(low).to_string(),
            _ => String::new(),
        };
        let mut lines =
            vec![format!("{:>11}{}", "", if is_log { "resistance, logarithmic" } else { "resistance" })];
        for (row, cells) in cells.iter().enumerate() {
            let cells: String = cells.iter().collect();
            lines.push(format!("{:>10} ┤{}", label(row), cells.trim_end()));
        }
        lines.push(format!("{:>10} └{}", "", "─".repeat(COLUMNS)));
        lines.push(format!("{:>12}{}", "", self.below(left, right)));
        lines
    }

    /// Both ends and the middle of the values.
    fn below(&self, left: f64, right: f64) -> String {
        let places = places_for(right - left).saturating_sub(1);
        let text = |value: f64| decimals(value, places);
        let (first, middle) = (text(left), text(f64::midpoint(left, right)));
        let last = format!("{} {}", text(right), self.unit);
        let count = |text: &str| text.chars().count();
        let half = (COLUMNS / 2).saturating_sub(count(&middle) / 2);
        let line = format!("{first:<half$}{middle}");
        let gap = (COLUMNS + 1).saturating_sub(count(&line) + count(&last)).max(1);
        format!("{line}{}{last}", " ".repeat(gap))
    }
}

fn ends(numbers: impl Iterator<Item = f64>) -> (f64, f64) {
    numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
}

/// The cell of a share of the axis.
fn cell(share: f64, cells: usize) -> usize {
    let last = (cells - 1) as f64;
    (share * last).round().clamp(0.0, last) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_fits_a_terminal() {
        let points: Vec<(f64, f64)> =
            (0..=100).map(|i| (f64::from(i) - 40.0, 300_000.0 * (-0.05 * f64::from(i)).exp())).collect();
        let lines = Chart { readings: &points[..3], curve: &points, unit: "°C" }.lines();
        assert!(lines.len() <= 18, "{}", lines.len());
        assert!(lines.iter().all(|line| line.chars().count() <= 80), "{lines:#?}");
        assert!(lines[1].contains("300 kΩ ┤o"), "{}", lines[1]);
        assert!(lines[0].contains("logarithmic"));
        assert!(lines[16].contains("-40") && lines[16].ends_with("60 °C"), "{}", lines[16]);
    }
}
