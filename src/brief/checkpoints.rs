//! `checkpoints`: where the reading is examined.

use super::dial::Dial;
use super::far_end::{FarEnd, dial};
use super::node::Node;
use super::reader::Keys;
use super::unit::number_text;
use crate::quantity::Band;

/// The checkpoints of everything that may be at the far end, each in the order of the range. Given ones lie in the range of
/// every sender; otherwise each sender has its own.
pub(super) fn read(
    keys: &mut Keys<'_>,
    common: Option<&Dial>,
    far_end: Option<&FarEnd>,
    zone: Option<Band<f64>>,
) -> Vec<Vec<f64>> {
    let value = keys.get("checkpoints");
    let (Some(common), Some(far_end)) = (common, far_end) else { return Vec::new() };
    let Some(value) = value else {
        let all: Vec<Vec<f64>> = far_end.drives().map(|(_, drive)| usual(&dial(drive), zone)).collect();
        let is_one = all.windows(2).all(|pair| pair[0] == pair[1]);
        let texts = all.iter().take(1).flatten().map(|point| number_text(*point)).collect::<Vec<_>>();
        let text = if is_one {
            format!("[{}]", texts.join(", "))
        } else {
            "five over the range of each sender, and the ends of the zone".to_owned()
        };
        return keys.assume("checkpoints", all, text);
    };
    let values = value.list("a list such as [0, 25, 50, 75, 100]").unwrap_or_default();
    if value.node == &Node::List(Vec::new()) {
        value.wrong("an empty list", "at least one checkpoint, or the key left out");
    }
    let points = ordered(values.iter().filter_map(|value| common.value(value)).collect());
    far_end.drives().map(|_| points.clone()).collect()
}

/// Five over the range, and the ends of the zone.
fn usual(dial: &Dial, zone: Option<Band<f64>>) -> Vec<f64> {
    let Band { lowest, highest } = dial.range;
    let quarter = |i: u8| {
        let share = f64::from(i) / 4.0;
        // From both ends, so that the ends come out exactly.
        lowest * (1.0 - share) + highest * share
    };
    let ends = zone.into_iter().flat_map(|zone| [zone.lowest, zone.highest]);
    ordered((0..=4).map(quarter).chain(ends).collect())
}

/// In rising order without doubles.
fn ordered(mut points: Vec<f64>) -> Vec<f64> {
    points.sort_by(f64::total_cmp);
    points.dedup();
    points
}
