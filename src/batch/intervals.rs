//! Where on a line something holds.

/// Steps in which an end is found between two neighbours.
const HALVINGS: u32 = 24;

/// Closed intervals, ascending, without common points.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Intervals(pub(super) Vec<[f64; 2]>);

impl Intervals {
    /// Where a predicate holds that changes at most once between two neighbours of an ascending grid; the ends are found
    /// by halving and are themselves inside.
    pub(super) fn of(grid: &[f64], holds: impl Fn(f64) -> bool) -> Self {
        let mut found = Vec::new();
        let mut start: Option<f64> = None;
        let mut before: Option<(f64, bool)> = None;
        for &x in grid {
            let is_in = holds(x);
            match before {
                None if is_in => start = Some(x),
                Some((last, was_in)) if was_in != is_in => {
                    let edge = if is_in { edge(x, last, &holds) } else { edge(last, x, &holds) };
                    if is_in {
                        start = Some(edge);
                    } else {
                        found.extend(start.take().map(|start| [start, edge]));
                    }
                }
                _ => {}
            }
            before = Some((x, is_in));
        }
        found.extend(start.zip(grid.last()).map(|(start, &end)| [start, end]));
        Self(found)
    }

    /// What both hold.
    pub(super) fn and(&self, other: &Self) -> Self {
        let pairs = self.0.iter().flat_map(|a| other.0.iter().map(move |b| [a[0].max(b[0]), a[1].min(b[1])]));
        Self(pairs.filter(|[from, to]| from <= to).collect())
    }

    pub(super) fn holds(&self, x: f64) -> bool {
        self.0.iter().any(|[from, to]| *from <= x && x <= *to)
    }
}

/// The last place inside, coming from `inside` towards `outside`.
fn edge(mut inside: f64, mut outside: f64, holds: &impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(inside, outside);
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

/// The place that most sets hold: how many, and of such places the interval nearest to `home`.
pub(super) fn best(
    sets: &[Intervals],
    home: f64,
    distance: impl Fn(f64) -> f64,
) -> Option<(usize, [f64; 2])> {
    let mut ends: Vec<f64> = sets.iter().flat_map(|set| set.0.iter().flatten().copied()).collect();
    ends.push(home);
    let holding = |x: f64| sets.iter().filter(|set| set.holds(x)).count();
    let nearest = |a: &f64, b: &f64| distance(*a).total_cmp(&distance(*b));
    let most = ends.iter().map(|&x| holding(x)).max()?;
    let at = ends.iter().copied().filter(|&x| holding(x) == most).min_by(nearest)?;
    // All sets that hold it, together: as far as they go on around it.
    let around = sets.iter().filter_map(|set| set.0.iter().find(|[from, to]| *from <= at && at <= *to));
    let around = around.copied().reduce(|a, b| [a[0].max(b[0]), a[1].min(b[1])])?;
    Some((most, around))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_found_between_neighbours_and_are_inside() {
        let grid: Vec<f64> = (0..=10).map(f64::from).collect();
        let found = Intervals::of(&grid, |x| (2.5..=4.25).contains(&x) || x >= 7.0);
        assert_eq!(found.0.len(), 2);
        assert!((found.0[0][0] - 2.5).abs() < 1e-6 && (found.0[0][1] - 4.25).abs() < 1e-6);
        assert_eq!(found.0[1][1], 10.0);
        assert!(found.holds(found.0[0][0]) && found.0[0][0] >= 2.5);
        let other = Intervals(vec![[0.0, 3.0], [4.0, 8.0]]);
        let both = found.and(&other);
        assert_eq!(both.0.len(), 3);
    }

    #[test]
    fn the_place_that_most_sets_hold_is_the_nearest_one() {
        let sets = [[0.0, 3.0], [2.0, 5.0], [8.0, 9.0]].map(|band| Intervals(vec![band]));
        let found = best(&sets, 10.0, |x| (x - 10.0).abs());
        assert_eq!(found, Some((2, [2.0, 3.0])));
        assert_eq!(best(&sets[2..], 10.0, |x| (x - 10.0).abs()), Some((1, [8.0, 9.0])));
    }
}
