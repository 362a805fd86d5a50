//! Corners of the box in which the parameters of a situation lie.

use crate::chain::Source;
use crate::circuit::{Far, Situation};
use crate::quantity::{Amperes, Band, Ohms, Volts, Watts};

/// The longest chain and the most voltages that any circuit has.
const MOST: usize = 10;

/// At which end of its band each parameter sits: resistances in the low half, voltages in the high half.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Ends(u32);

impl Ends {
    /// Every parameter at its upper end.
    pub const ALL_HIGH: Self = Self(u32::MAX);

    /// Whether the resistance of this element is at its upper end.
    pub fn resistance_is_high(self, element: usize) -> bool {
        self.0 >> element & 1 == 1
    }

    /// Whether this voltage is at its upper end.
    pub fn source_is_high(self, source: usize) -> bool {
        self.0 >> (16 + source) & 1 == 1
    }

    fn set(&mut self, bit: usize, high: bool) {
        self.0 = self.0 & !(1 << bit) | u32::from(high) << bit;
    }
}

/// One board: every parameter of a situation at one value.
#[derive(Clone, Debug)]
pub struct Corner<'a> {
    situation: &'a Situation,
    sources: [Volts; MOST],
    resistances: [Ohms; MOST],
    /// What is seen from behind each element, towards the far end; the first is the far end itself.
    states: [Source; MOST + 1],
    ends: Ends,
}

impl<'a> Corner<'a> {
    fn new(situation: &'a Situation) -> Self {
        debug_assert!(situation.elements.len() <= MOST && situation.sources.len() <= MOST);
        Self {
            situation,
            sources: [Volts(0.0); MOST],
            resistances: [Ohms(0.0); MOST],
            states: [Source::OPEN; MOST + 1],
            ends: Ends::default(),
        }
    }

    /// The corner at given ends.
    pub fn at(situation: &'a Situation, resistances: &[Band<Ohms>], ends: Ends) -> Self {
        let mut corner = Self::new(situation);
        corner.ends = ends;
        for (i, band) in situation.sources.iter().enumerate() {
            corner.sources[i] = if ends.source_is_high(i) { band.highest } else { band.lowest };
        }
        for (k, band) in resistances.iter().enumerate() {
            corner.resistances[k] = if ends.resistance_is_high(k) { band.highest } else { band.lowest };
        }
        corner.run_from(0);
        corner
    }

    /// The ends of the bands that the corner sits at.
    pub fn ends(&self) -> Ends {
        self.ends
    }

    /// The situation.
    pub fn situation(&self) -> &'a Situation {
        self.situation
    }

    /// The same board with one resistance changed.
    #[must_use]
    pub fn with_resistance(&self, element: usize, r: Ohms) -> Self {
        let mut other = self.clone();
        other.resistances[element] = r;
        other.run_from(element);
        other
    }

    fn far(&self) -> Source {
        match self.situation.far {
            Far::Open => Source::OPEN,
            Far::Stands { source, scaled_by, shift } => {
                let scale = scaled_by.map_or(1.0, |(rail, nominal)| self.sources[rail] / nominal);
                Source::voltage(self.sources[source] * scale + self.sources[shift])
            }
        }
    }

    fn run_from(&mut self, first: usize) {
        if first == 0 {
            self.states[0] = self.far();
        }
        for element in first..self.situation.elements.len() {
            self.step(element);
        }
    }

    fn step(&mut self, element: usize) {
        let before = self.states[element];
        let r = self.resistances[element];
        self.states[element + 1] = match self.situation.elements[element].bridge_to {
            None => before.series(r),
            Some(to) => before.bridge(self.sources[to], r),
        };
    }

    /// What the pin sees.
    pub fn pin(&self) -> Source {
        self.states[self.situation.elements.len()]
    }

    /// What the pin would see of 1 V at the far end with every other voltage at 0.
    pub(crate) fn far_alone(&self) -> Source {
        let elements = self.situation.elements.iter().zip(self.resistances);
        elements.fold(Source::voltage(Volts(1.0)), |state, (element, r)| match element.bridge_to {
            None => state.series(r),
            Some(_) => state.bridge(Volts(0.0), r),
        })
    }

    /// The voltage of remote ground.
    pub(crate) fn shift(&self) -> Volts {
        match self.situation.far {
            Far::Open => Volts(0.0),
            Far::Stands { shift, .. } => self.sources[shift],
        }
    }

    /// What is seen from behind the given number of elements, counted from the far end.
    pub fn seen_behind(&self, elements: usize) -> Source {
        self.states[elements]
    }

    /// The value of an element.
    pub fn resistance(&self, element: usize) -> Ohms {
        self.resistances[element]
    }

    /// The reference of the converter; `None`: it is down.
    pub fn reference(&self) -> Option<Volts> {
        self.situation.reference.map(|place| self.sources[place])
    }

    /// The voltages between which the pin does not conduct.
    pub fn window(&self) -> Band<Volts> {
        let clamp = self.situation.converter.clamp;
        Band { lowest: -clamp, highest: self.sources[self.situation.clamp_rail] + clamp }
    }

    /// The voltage of the pin with a leakage current into it, held by the clamps. A pin that floats is held nowhere:
    /// not a number.
    pub fn pin_voltage(&self, leakage: Amperes) -> Volts {
        let (pin, window) = (self.pin(), self.window());
        if pin.is_floating() {
            return Volts(f64::NAN);
        }
        let leakage = if self.conducts() { Amperes(0.0) } else { leakage };
        pin.pushed_by(leakage).max(window.lowest).min(window.highest)
    }

    /// Whether a clamp of the pin conducts.
    pub fn conducts(&self) -> bool {
        self.pin().excess_over(self.window().highest) > 0.0 || self.pin().excess_over(self.window().lowest) < 0.0
    }

    /// The current into the upper clamp of the pin.
    pub fn upper_clamp_current(&self) -> Amperes {
        self.pin().current_into(self.window().highest).max(Amperes(0.0))
    }

    /// The current out of the lower clamp of the pin.
    pub fn lower_clamp_current(&self) -> Amperes {
        (-self.pin().current_into(self.window().lowest)).max(Amperes(0.0))
    }

    /// The voltage of the pin and the current that flows into it.
    fn at_pin(&self, leakage: Amperes) -> (Volts, Amperes) {
        let (pin, window) = (self.pin(), self.window());
        if pin.is_floating() {
            (Volts(0.0), Amperes(0.0))
        } else if pin.excess_over(window.highest) > 0.0 {
            (window.highest, pin.current_into(window.highest))
        } else if pin.excess_over(window.lowest) < 0.0 {
            (window.lowest, pin.current_into(window.lowest))
        } else {
            (pin.pushed_by(leakage), -leakage)
        }
    }

    /// Walks back from the pin to one element: the current through it (series: towards the pin; bridge: into the
    /// path). The leakage flows into the node of the pin.
    pub fn current(&self, element: usize, leakage: Amperes) -> Amperes {
        let (mut v, mut i) = self.at_pin(leakage);
        for k in (element..self.situation.elements.len()).rev() {
            let r = self.resistances[k];
            let through = match self.situation.elements[k].bridge_to {
                None => {
                    v = v + i * r;
                    i
                }
                Some(to) => {
                    let (from_left, through) = self.states[k].split(v, i, self.sources[to], r);
                    i = from_left;
                    through
                }
            };
            if k == element {
                return through;
            }
        }
        i
    }

    /// Dissipation of an element.
    pub fn power(&self, element: usize, leakage: Amperes) -> Watts {
        let i = self.current(element, leakage);
        i * self.resistances[element] * i
    }

    /// The greatest dissipation of an element while its own value runs over `own` and everything else stays.
    ///
    /// With the rest of the circuit as a source of resistance Rs, P = V²·R/(R + Rs)² peaks at R = Rs. The rest is such
    /// a source as long as no clamp starts or stops to conduct, so the band is cut where one does.
    pub fn greatest_power(&self, element: usize, own: Band<Ohms>, leakage: Amperes) -> Watts {
        let low = self.with_resistance(element, own.lowest);
        if own.is_single() {
            return low.power(element, leakage);
        }
        let high = self.with_resistance(element, own.highest);
        let window = self.window();
        let mut cuts = vec![own.lowest];
        for bound in [window.lowest, window.highest] {
            let (a, b) = (low.pin().excess_over(bound), high.pin().excess_over(bound));
            // The excess is affine in the resistance.
            if a * b < 0.0 {
                cuts.push(own.lowest + (own.highest - own.lowest) * (a / (a - b)));
            }
        }
        cuts.push(own.highest);
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
        cuts.windows(2)
            .map(|cut| self.greatest_power_between(element, cut[0], cut[1], leakage))
            .fold(Watts(0.0), Watts::max)
    }

    fn greatest_power_between(&self, element: usize, a: Ohms, b: Ohms, leakage: Amperes) -> Watts {
        let (at_a, at_b) = (self.with_resistance(element, a), self.with_resistance(element, b));
        let (ia, ib) = (at_a.current(element, leakage), at_b.current(element, leakage));
        let ends = (ia * a * ia).max(ib * b * ib);
        // i = V/(R + Rs) at both ends gives the source: Rs = (ib·b − ia·a)/(ia − ib), V = ia·(a + Rs).
        let matching = (ib * b - ia * a) / (ia - ib);
        if a < matching && matching < b {
            let v = ia * (a + matching);
            ends.max(v * (v / (matching * 4.0)))
        } else {
            ends
        }
    }
}

/// An extreme, and the ends at which it occurs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme<Q> {
    /// The value.
    pub value: Q,
    /// Where.
    pub ends: Ends,
}

/// Visits every corner of the box. Several situations that differ in nothing but their values run in step, at the
/// same ends of their bands.
pub(super) fn visit<const LANES: usize>(
    situations: [&Situation; LANES],
    resistances: [&[Band<Ohms>]; LANES],
    mut see: impl FnMut(&[Corner; LANES]),
) {
    let mut corners = situations.map(Corner::new);
    choose_source(&mut corners, resistances, 0, &mut see);
}

fn choose_source<const LANES: usize>(
    corners: &mut [Corner; LANES],
    resistances: [&[Band<Ohms>]; LANES],
    source: usize,
    see: &mut impl FnMut(&[Corner; LANES]),
) {
    if source == corners[0].situation.sources.len() {
        for corner in corners.iter_mut() {
            corner.states[0] = corner.far();
        }
        choose_resistance(corners, resistances, 0, see);
        return;
    }
    let single = corners.iter().all(|c| c.situation.sources[source].is_single());
    for high in [false, true] {
        for corner in corners.iter_mut() {
            let band = corner.situation.sources[source];
            corner.sources[source] = if high { band.highest } else { band.lowest };
            corner.ends.set(16 + source, high);
        }
        choose_source(corners, resistances, source + 1, see);
        if single {
            break;
        }
    }
}

fn choose_resistance<const LANES: usize>(
    corners: &mut [Corner; LANES],
    resistances: [&[Band<Ohms>]; LANES],
    element: usize,
    see: &mut impl FnMut(&[Corner; LANES]),
) {
    if element == corners[0].situation.elements.len() {
        see(corners);
        return;
    }
    let single = resistances.iter().all(|bands| bands[element].is_single());
    for high in [false, true] {
        for (corner, bands) in corners.iter_mut().zip(resistances) {
            let band = bands[element];
            corner.resistances[element] = if high { band.highest } else { band.lowest };
            corner.ends.set(element, high);
            corner.step(element);
        }
        choose_resistance(corners, resistances, element + 1, see);
        if single {
            break;
        }
    }
}

/// The greatest value of a function that is monotone in each parameter, exactly.
pub fn greatest<Q: Copy + PartialOrd>(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of: impl Fn(&Corner) -> Q,
) -> Option<Extreme<Q>> {
    extreme(situation, resistances, of, |a, b| a > b)
}

/// The least value of a function that is monotone in each parameter, exactly.
pub fn least<Q: Copy + PartialOrd>(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of: impl Fn(&Corner) -> Q,
) -> Option<Extreme<Q>> {
    extreme(situation, resistances, of, |a, b| a < b)
}

/// `None` where no corner gives a number.
fn extreme<Q: Copy + PartialOrd>(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    of: impl Fn(&Corner) -> Q,
    beats: impl Fn(Q, Q) -> bool,
) -> Option<Extreme<Q>> {
    let mut found: Option<Extreme<Q>> = None;
    visit([situation], [resistances], |[corner]| {
        let value = of(corner);
        // A value that does not equal itself is not a number: nothing is there.
        let is_number = value.partial_cmp(&value).is_some();
        if is_number && found.is_none_or(|best| beats(value, best.value)) {
            found = Some(Extreme { value, ends: corner.ends });
        }
    });
    found
}
