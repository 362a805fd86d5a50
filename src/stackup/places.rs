//! Where in a zone something is greatest.

use super::stack::Stack;
use crate::quantity::Band;
use crate::reading::Found;

/// Parts into which each smooth stretch is cut before its greatest place is closed in on.
const CUTS: u32 = 8;

/// The greatest value of a function that is smooth between `kinks`: each stretch is cut into equal parts, and around
/// every place that is higher than its neighbours the greatest is closed in on by golden sections.
pub(super) fn greatest_of(zone: Band<f64>, mut kinks: Vec<f64>, of: impl Fn(f64) -> f64) -> Found {
    kinks.retain(|kink| zone.holds(*kink));
    kinks.extend([zone.lowest, zone.highest]);
    kinks.sort_by(f64::total_cmp);
    kinks.dedup();
    let mut best = Found { value: f64::NEG_INFINITY, at: zone.lowest };
    for pair in kinks.windows(2) {
        let width = (pair[1] - pair[0]) / f64::from(CUTS);
        let places: Vec<f64> = (0..=CUTS)
            .map(|cut| if cut == CUTS { pair[1] } else { pair[0] + width * f64::from(cut) })
            .collect();
        let values: Vec<f64> = places.iter().map(|&place| of(place)).collect();
        for (&at, &value) in places.iter().zip(&values) {
            if value > best.value {
                best = Found { value, at };
            }
        }
        for middle in 0..places.len() {
            let (left, right) = (middle.saturating_sub(1), (middle + 1).min(places.len() - 1));
            let is_peak = values[middle] >= values[left] && values[middle] >= values[right];
            if is_peak && values[middle] > 0.5 * best.value {
                let found = closed_in(&of, places[left], places[right]);
                // An end that is as high but for rounding is the plainer answer.
                if found.value > best.value * (1.0 + 1e-9) {
                    best = found;
                }
            }
        }
    }
    best
}

/// The greatest place between two values between which there is one peak.
fn closed_in(of: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> Found {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let (mut left, mut right) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut low, mut high) = (of(left), of(right));
    for _ in 0..48 {
        if low < high {
            (a, left, low) = (left, right, high);
            right = a + GOLDEN * (b - a);
            high = of(right);
        } else {
            (b, right, high) = (right, left, low);
            left = b - GOLDEN * (b - a);
            low = of(left);
        }
    }
    if low > high { Found { value: low, at: left } } else { Found { value: high, at: right } }
}

impl Stack<'_> {
    /// The values in a zone at which a reading may have a corner: the knots of the curve.
    pub(super) fn kinks(&self, zone: Band<f64>) -> Vec<f64> {
        self.input().drive.knots().into_iter().filter(|knot| zone.holds(*knot)).collect()
    }

    /// The values at which what one board takes for the value passes a knot of the curve: its error has a corner there.
    pub(super) fn kinks_of(&self, zone: Band<f64>, reading: impl Fn(f64) -> f64) -> Vec<f64> {
        let passed = |knot: f64| {
            let (mut a, mut b) = (zone.lowest, zone.highest);
            if reading(a) >= knot || reading(b) < knot {
                return None;
            }
            for _ in 0..60 {
                let middle = f64::midpoint(a, b);
                if reading(middle) < knot {
                    a = middle;
                } else {
                    b = middle;
                }
            }
            Some(b)
        };
        self.input().drive.knots().into_iter().filter_map(passed).collect()
    }
}
