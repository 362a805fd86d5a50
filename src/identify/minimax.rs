//! The unknowns that use up the least share of a stated accuracy, and how far they can go within all of it.
//!
//! Truncation and the figures of a data sheet are limits and no standard deviations. So the fit asks by which share t
//! of its accuracy every statement |q·u − y| ≤ t·h has to be stretched, and takes the u for which t is least: Chebyshev's
//! weighted approximation. All statements hold together where t ≤ 1.
//!
//! Both questions are linear programmes in four unknowns, u and t. They are solved in their dual by the exchange of one
//! statement at a time, from a box so wide that a solution on its wall means: nothing bounds this.

/// What is known of the unknowns: |q·u − y| ≤ h.
#[derive(Clone, Copy, Debug)]
pub(super) struct Statement {
    pub(super) q: [f64; 3],
    pub(super) y: f64,
    /// Not negative; 0 makes it an equation.
    pub(super) h: f64,
}

/// The best unknowns.
#[derive(Clone, Copy, Debug)]
pub(super) struct Best {
    pub(super) u: [f64; 3],
    /// The share of the stated accuracy that they use up.
    pub(super) share: f64,
}

/// Shares up to this one explain everything; the slack is for rounding.
pub(super) const EXPLAINS: f64 = 1.0 + 1e-9;

/// The wall of the box. The unknowns are shares and gains, which are around 1.
const WALL: f64 = 1e6;

/// Half-spaces normal·(u, t) ≤ level.
#[derive(Clone, Copy, Debug)]
struct Plane {
    normal: [f64; 4],
    level: f64,
}

const fn plane(normal: [f64; 4], level: f64) -> Plane {
    Plane { normal, level }
}

/// The unknowns with the least share.
pub(super) fn best(statements: &[Statement]) -> Option<Best> {
    let [a, b, c] = walls([1.0; 3]);
    let not_negative = plane([0.0, 0.0, 0.0, -1.0], 0.0);
    let corner = Corner { planes: [a, b, c, not_negative], weights: [0.0, 0.0, 0.0, 1.0] };
    let [u, v, w, share] = corner.climb(&planes(statements))?;
    Some(Best { u: [u, v, w], share })
}

/// The greatest value of `direction`·u within the stated accuracy: infinite where nothing bounds it, none where no u
/// fulfils all statements.
pub(super) fn greatest(statements: &[Statement], direction: [f64; 3]) -> Option<f64> {
    let [a, b, c] = walls(direction);
    let whole_accuracy = plane([0.0, 0.0, 0.0, 1.0], EXPLAINS);
    let [x, y, z] = direction.map(f64::abs);
    let corner = Corner { planes: [a, b, c, whole_accuracy], weights: [x, y, z, 0.0] };
    let [u, v, w, _] = corner.climb(&planes(statements))?;
    let value = direction[0] * u + direction[1] * v + direction[2] * w;
    Some(if value > WALL / 2.0 { f64::INFINITY } else { value })
}

/// The walls of the box on the side to which `direction` points.
fn walls(direction: [f64; 3]) -> [Plane; 3] {
    let wall = |k: usize| {
        let mut normal = [0.0; 4];
        normal[k] = if direction[k] < 0.0 { -1.0 } else { 1.0 };
        plane(normal, WALL)
    };
    [wall(0), wall(1), wall(2)]
}

fn planes(statements: &[Statement]) -> Vec<Plane> {
    let sides = |s: &Statement| {
        let [a, b, c] = s.q;
        [plane([a, b, c, -s.h], s.y), plane([-a, -b, -c, -s.h], -s.y)]
    };
    statements.iter().flat_map(sides).collect()
}

/// Four planes that meet, and weights, not negative, with which their normals add up to the objective: no point inside
/// these four lies farther.
struct Corner {
    planes: [Plane; 4],
    weights: [f64; 4],
}

impl Corner {
    /// Exchanges planes until the corner lies inside all of them.
    fn climb(mut self, planes: &[Plane]) -> Option<[f64; 4]> {
        // What rounding leaves of a plane that is met.
        const SLACK: f64 = 1e-14;
        let most = 200 + 20 * planes.len();
        for round in 0..most {
            let point = solve(self.planes.map(|p| p.normal), self.planes.map(|p| p.level))?;
            let size = 1.0 + point.iter().fold(0.0_f64, |size, x| size.max(x.abs()));
            let outside =
                planes.iter().map(|p| (dot(p.normal, point) - p.level, p)).filter(|o| o.0 > SLACK * size);
            // The farthest plane is soonest done; the first one never goes in circles.
            let entering = if round < most / 2 {
                outside.max_by(|a, b| a.0.total_cmp(&b.0))
            } else {
                outside.into_iter().next()
            };
            let Some((_, entering)) = entering else { return Some(point) };
            self.exchange(*entering)?;
        }
        None
    }

    /// Lets a plane in, and out the one whose weight first comes to 0. None: all planes together leave no room.
    fn exchange(&mut self, entering: Plane) -> Option<()> {
        const LEAST: f64 = 1e-12;
        let normals = self.planes.map(|p| p.normal);
        let share = solve(transposed(normals), entering.normal)?;
        let room = |k: &usize| self.weights[*k] / share[*k];
        let leaving = (0..4).filter(|k| share[*k] > LEAST).min_by(|a, b| {
            // Among equals the larger share keeps the corner well defined.
            room(a).total_cmp(&room(b)).then(share[*b].total_cmp(&share[*a]))
        })?;
        let weight = room(&leaving);
        for (old, share) in self.weights.iter_mut().zip(share) {
            *old = (*old - weight * share).max(0.0);
        }
        self.weights[leaving] = weight;
        self.planes[leaving] = entering;
        Some(())
    }
}

fn dot(a: [f64; 4], b: [f64; 4]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3]
}

fn transposed(m: [[f64; 4]; 4]) -> [[f64; 4]; 4] {
    std::array::from_fn(|i| std::array::from_fn(|j| m[j][i]))
}

/// Solves four equations by elimination with the largest pivot; none if they depend on each other.
fn solve(mut m: [[f64; 4]; 4], mut right: [f64; 4]) -> Option<[f64; 4]> {
    for k in 0..4 {
        let pivot = (k..4).max_by(|&a, &b| m[a][k].abs().total_cmp(&m[b][k].abs()))?;
        m.swap(k, pivot);
        right.swap(k, pivot);
        let (row, value) = (m[k], right[k]);
        if row[k] == 0.0 {
            return None;
        }
        for i in k + 1..4 {
            let factor = m[i][k] / row[k];
            for (below, above) in m[i].iter_mut().zip(row) {
                *below -= factor * above;
            }
            right[i] -= factor * value;
        }
    }
    let mut x = [0.0; 4];
    for k in (0..4).rev() {
        let known: f64 = (k + 1..4).map(|j| m[k][j] * x[j]).sum();
        x[k] = (right[k] - known) / m[k][k];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pinned(k: usize) -> Statement {
        let mut q = [0.0; 3];
        q[k] = 1.0;
        Statement { q, y: 0.0, h: 0.0 }
    }

    /// Within the slack for rounding.
    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-8
    }

    /// By hand: the line nearest to (0, 0), (1, 2), (2, 1) with equal accuracies of 1 has the slope 0.5 of the chord
    /// and passes 0.75 from each point.
    #[test]
    fn the_line_of_chebyshev_through_three_points() {
        let point = |x: f64, y: f64| Statement { q: [x, 0.0, 1.0], y, h: 1.0 };
        let rows = [point(0.0, 0.0), point(1.0, 2.0), point(2.0, 1.0), pinned(1)];
        let found = best(&rows).unwrap();
        assert!(near(found.share, 0.75) && near(found.u[0], 0.5) && near(found.u[2], 0.75), "{found:?}");
        // By hand: within ±1 the steepest line is G = 1 through 1 at x = 1 and 2 at x = 2, the flattest G = 0 through 1.
        assert!(near(greatest(&rows, [1.0, 0.0, 0.0]).unwrap(), 1.0));
        assert!(near(greatest(&rows, [-1.0, 0.0, 0.0]).unwrap(), 0.0));
    }

    #[test]
    fn what_nothing_bounds_is_infinite_and_what_contradicts_is_none() {
        let level = |y: f64| Statement { q: [0.0, 0.0, 1.0], y, h: 1.0 };
        let rows = [level(0.0), pinned(1)];
        assert_eq!(greatest(&rows, [1.0, 0.0, 0.0]), Some(f64::INFINITY));
        assert!(near(greatest(&rows, [0.0, 0.0, 1.0]).unwrap(), 1.0));
        assert_eq!(greatest(&[level(0.0), level(3.0), pinned(1), pinned(0)], [0.0, 0.0, 1.0]), None);
        assert!(near(best(&[level(0.0), level(3.0), pinned(1), pinned(0)]).unwrap().share, 1.5));
    }
}
