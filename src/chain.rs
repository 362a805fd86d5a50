//! The projective source: a chain of resistors and voltages as seen from its end.
//!
//! Every circuit is a series-parallel ladder seen from the pin, built up step by step from the far end. The state is
//! three numbers (n, d, m), which mean that the node sits at v = (n + i·m)/d when a current i is pushed into it. It
//! is a Thévenin source in homogeneous coordinates: nothing is divided until the end, so that 0 Ω, an open wire and
//! a current source need no special case.

use crate::quantity::{Amperes, Ohms, Volts, Watts};

/// A source at a node, in projective form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    n: f64,
    d: f64,
    m: f64,
}

impl Source {
    /// Nothing is connected.
    pub const OPEN: Self = Self { n: 0.0, d: 0.0, m: 1.0 };

    /// A stiff voltage.
    pub const fn voltage(emf: Volts) -> Self {
        Self { n: emf.0, d: 1.0, m: 0.0 }
    }

    /// A stiff current into the node.
    pub const fn current(current: Amperes) -> Self {
        Self { n: current.0, d: 0.0, m: 1.0 }
    }

    /// The source behind a resistor in series: m grows by r·d.
    #[must_use]
    pub fn series(self, r: Ohms) -> Self {
        Self { m: self.m + r.0 * self.d, ..self }
    }

    /// The source with a resistor from its node to the voltage `e`:
    /// n' = n·r + e·m, d' = d·r + m, m' = m·r (Millman's theorem without its divisions). An open bridge, of unlimited
    /// resistance, changes nothing: that is where the three numbers over r end up.
    #[must_use]
    pub fn bridge(self, e: Volts, r: Ohms) -> Self {
        if r.0.is_infinite() {
            return self;
        }
        Self { n: self.n * r.0 + e.0 * self.m, d: self.d * r.0 + self.m, m: self.m * r.0 }
    }

    /// Whether nothing holds the node: it may sit at any voltage.
    pub fn is_floating(self) -> bool {
        self.d == 0.0
    }

    /// The voltage of the node with nothing pushed into it; not a number if it floats.
    pub fn emf(self) -> Volts {
        Volts(self.n / self.d)
    }

    /// The resistance of the source; unlimited if the node floats.
    pub fn resistance(self) -> Ohms {
        Ohms(self.m / self.d)
    }

    /// The voltage of the node with a current pushed into it.
    pub fn pushed_by(self, i: Amperes) -> Volts {
        Volts((self.n + i.0 * self.m) / self.d)
    }

    /// By how much the open node would sit above `v`, times d: has the sign of emf − v without a division.
    pub(crate) fn excess_over(self, v: Volts) -> f64 {
        self.n - v.0 * self.d
    }

    /// The same with a current pushed into the node.
    pub(crate) fn excess_with(self, i: Amperes, v: Volts) -> f64 {
        self.n + i.0 * self.m - v.0 * self.d
    }

    /// Whether nothing can move the node.
    pub(crate) fn is_stiff(self) -> bool {
        self.m == 0.0
    }

    /// The current that the source delivers into a node held at `v`. Nothing flows from a floating source; a stiff
    /// source delivers without limit.
    pub fn current_into(self, v: Volts) -> Amperes {
        let excess = self.excess_over(v);
        if excess == 0.0 { Amperes(0.0) } else { Amperes(excess / self.m) }
    }

    /// The source with these three numbers.
    pub(crate) const fn of_numbers([n, d, m]: [f64; 3]) -> Self {
        Self { n, d, m }
    }

    /// The three numbers n, d, m.
    pub(crate) const fn numbers(self) -> [f64; 3] {
        [self.n, self.d, self.m]
    }

    /// The sum of the three numbers of two sources.
    pub(crate) fn plus(self, other: Self) -> Self {
        Self { n: self.n + other.n, d: self.d + other.d, m: self.m + other.m }
    }

    /// The two sources on both sides of one node, as one.
    #[must_use]
    pub fn beside(self, other: Self) -> Self {
        Self {
            n: self.n * other.m + other.n * self.m,
            d: self.d * other.m + other.d * self.m,
            m: self.m * other.m,
        }
    }

    /// What drives a resistor between this source and another.
    pub fn against(self, other: Self) -> Drive {
        Drive {
            emf: self.n * other.d - other.n * self.d,
            behind: self.m * other.d + other.m * self.d,
            scale: self.d * other.d,
        }
    }
}

/// What drives one resistor of a chain, in projective form: the current through a resistance r is
/// emf/(behind + r·scale), so the resistor sees a voltage emf/scale behind a resistance behind/scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    emf: f64,
    behind: f64,
    scale: f64,
}

impl Drive {
    /// The sum of the numbers of two drives.
    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            emf: self.emf + other.emf,
            behind: self.behind + other.behind,
            scale: self.scale + other.scale,
        }
    }

    /// The current through a resistance put in that place. Where nothing drives it or it is open, nothing flows.
    pub fn current(self, r: Ohms) -> Amperes {
        if self.emf == 0.0 || r.0.is_infinite() {
            return Amperes(0.0);
        }
        Amperes(self.emf / (self.behind + r.0 * self.scale))
    }

    /// The voltage across a resistance put in that place. Between two stiff voltages that is their difference, however
    /// small the resistance, and so it is across what is open.
    pub fn voltage(self, r: Ohms) -> Volts {
        if self.behind == 0.0 || r.0.is_infinite() {
            Volts(self.emf / self.scale)
        } else {
            self.current(r) * r
        }
    }

    /// What drives a resistance put in that place behind another one.
    #[must_use]
    pub fn behind_also(self, r: Ohms) -> Self {
        Self { behind: self.behind + r.0 * self.scale, ..self }
    }

    /// The dissipation in a resistance put in that place.
    pub fn power(self, r: Ohms) -> Watts {
        if self.emf == 0.0 || r.0.is_infinite() { Watts(0.0) } else { self.voltage(r) * self.current(r) }
    }

    /// The resistance between `a` and `b` that dissipates most, as [`Drive::greatest_power`].
    pub fn hottest(self, a: Ohms, b: Ohms) -> Ohms {
        let matching = Ohms(self.behind / self.scale);
        if a < matching && matching < b {
            matching
        } else if self.power(a) > self.power(b) {
            a
        } else {
            b
        }
    }

    /// The greatest dissipation in a resistance between `a` and `b`: P = V²·R/(R + Rs)² rises up to R = Rs, where the
    /// resistor matches its source, and falls from there.
    pub fn greatest_power(self, a: Ohms, b: Ohms) -> Watts {
        let matching = Ohms(self.behind / self.scale);
        let ends = self.power(a).max(self.power(b));
        if a < matching && matching < b { ends.max(self.power(matching)) } else { ends }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn divider_of_equal_resistors_halves() {
        // By hand: 10 V over 1 kΩ + 1 kΩ is 5 V behind 500 Ω.
        let s = Source::voltage(Volts(10.0)).series(Ohms(1e3)).bridge(Volts(0.0), Ohms(1e3));
        assert_eq!(s.emf(), Volts(5.0));
        assert_eq!(s.resistance(), Ohms(500.0));
        assert_eq!(s.pushed_by(Amperes(1e-3)), Volts(5.5));
        assert_eq!(s.current_into(Volts(0.0)), Amperes(0.01));
    }

    #[test]
    fn open_wire_leaves_the_bridge_alone() {
        let s = Source::OPEN.series(Ohms(7.0)).bridge(Volts(5.0), Ohms(300.0));
        assert_eq!(s.emf(), Volts(5.0));
        assert_eq!(s.resistance(), Ohms(300.0));
        assert!(Source::OPEN.series(Ohms(7.0)).is_floating());
    }

    #[test]
    fn an_open_bridge_changes_nothing() {
        let s = Source::voltage(Volts(10.0)).series(Ohms(1e3));
        let open = Ohms(f64::INFINITY);
        assert_eq!(s.bridge(Volts(5.0), open), s);
        let drive = Source::voltage(Volts(5.0)).against(s);
        assert_eq!((drive.current(open), drive.power(open)), (Amperes(0.0), Watts(0.0)));
        assert_eq!(drive.voltage(open), Volts(-5.0));
        // Nothing is open towards nothing.
        let drive = Source::voltage(Volts(5.0)).against(Source::current(Amperes(1e-3)));
        assert_eq!((drive.current(open), drive.power(open)), (Amperes(0.0), Watts(0.0)));
    }

    #[test]
    fn current_source_into_a_burden() {
        // 20 mA in 250 Ω is 5 V, the burden itself is the source resistance.
        let s = Source::current(Amperes(0.02)).bridge(Volts(0.0), Ohms(250.0));
        assert_eq!(s.emf(), Volts(5.0));
        assert_eq!(s.resistance(), Ohms(250.0));
    }

    #[test]
    fn short_to_a_stiff_source_wins() {
        let s = Source::voltage(Volts(25.0)).bridge(Volts(5.0), Ohms(300.0));
        assert_eq!(s.emf(), Volts(25.0));
        assert_eq!(s.resistance(), Ohms(0.0));
        assert_eq!(s.current_into(Volts(5.5)), Amperes(f64::INFINITY));
    }
}
