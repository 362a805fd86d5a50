//! Corners of the box in which the parameters of a situation lie.

use super::transfer::Transfer;
use crate::chain::{Drive, Source};
use crate::circuit::{ChafedSender, Far, Situation};
use crate::quantity::{Amperes, Band, Ohms, Volts, Watts};

/// The longest chain, that of a pull-up with a soft fault, and more voltages than any circuit has.
pub(crate) const MOST: usize = 12;

/// At which end of its band each parameter sits: resistances in the low half, voltages in the high half, the current of
/// the far end behind them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Ends(u32);

impl Ends {
    /// Every parameter at its upper end.
    pub const ALL_HIGH: Self = Self(u32::MAX);

    /// The bit of the first voltage.
    pub(super) const SOURCES: usize = 16;

    /// The bit of the current that flows at the far end.
    pub(super) const CURRENT: usize = 31;

    /// Whether the resistance of this element is at its upper end.
    pub fn resistance_is_high(self, element: usize) -> bool {
        self.is_high(element)
    }

    /// Whether this voltage is at its upper end.
    pub fn source_is_high(self, source: usize) -> bool {
        self.is_high(Self::SOURCES + source)
    }

    /// Whether the current that flows at the far end is at its upper end.
    pub fn current_is_high(self) -> bool {
        self.is_high(Self::CURRENT)
    }

    pub(super) fn is_high(self, bit: usize) -> bool {
        self.0 >> bit & 1 == 1
    }

    /// The same with those parameters at their lower ends that are at their upper ends in `others`.
    pub(super) fn without(self, others: Self) -> Self {
        Self(self.0 & !others.0)
    }

    pub(super) fn set(&mut self, bit: usize, high: bool) {
        self.0 = self.0 & !(1 << bit) | u32::from(high) << bit;
    }
}

/// One board: every parameter of a situation at one value.
#[derive(Clone, Debug)]
pub struct Corner<'a> {
    situation: &'a Situation,
    sources: [Volts; MOST],
    /// The current that flows at the far end, if one does.
    current: Amperes,
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
            current: Amperes(0.0),
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
        if let Far::Flows(band) = situation.far {
            corner.current = if ends.current_is_high() { band.highest } else { band.lowest };
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

    /// Puts other values in some places.
    pub(crate) fn put(&mut self, values: impl Iterator<Item = (usize, Ohms)>) {
        for (element, r) in values {
            self.resistances[element] = r;
        }
        self.run_from(0);
    }

    fn far(&self) -> Source {
        match self.situation.far {
            Far::Open => Source::OPEN,
            Far::Flows(_) => Source::current(self.current),
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
        self.states[element + 1] = self.past(self.states[element], element, self.resistances[element]);
    }

    /// A source as seen from behind one more element.
    fn past(&self, source: Source, element: usize, r: Ohms) -> Source {
        match self.situation.elements[element].bridge_to {
            None => source.series(r),
            Some(to) => source.bridge(self.sources[to], r),
        }
    }

    /// What the pin sees.
    pub fn pin(&self) -> Source {
        self.states[self.situation.elements.len()]
    }

    /// The pin as a function of what is at the far end: of the resistance of the far element where `of_resistance`
    /// says so, else of the voltage or the current of the source.
    pub(crate) fn transfer(&self, of_resistance: bool) -> Transfer {
        let through = |start: Source, from: usize| {
            (from..self.situation.clamped_at).fold(start, |s, k| self.past(s, k, self.resistances[k]))
        };
        let transfer = |base: Source, by: Source| Transfer {
            base: base.series(self.lead()),
            by: by.series(self.lead()),
            is_stiff: base.is_stiff() && by.is_stiff(),
        };
        if of_resistance {
            return transfer(through(self.far(), 1), through(Source::OPEN, 1));
        }
        let scale = match self.situation.far {
            Far::Stands { scaled_by: Some((rail, nominal)), .. } => self.sources[rail] / nominal,
            Far::Stands { .. } | Far::Open => 1.0,
            Far::Flows(_) => {
                let one_ampere = through(Source::of_numbers([1.0, 0.0, 0.0]), 0);
                return transfer(through(Source::OPEN, 0), one_ampere);
            }
        };
        let base = through(Source::voltage(self.shift()), 0);
        transfer(base, through(Source::of_numbers([scale, 0.0, 0.0]), 0))
    }

    /// What the pin would see of 1 V at the far end with every other voltage at 0.
    pub(crate) fn far_alone(&self) -> Source {
        let elements = self.situation.elements.iter().zip(self.resistances);
        elements.fold(Source::voltage(Volts(1.0)), |source, (element, r)| match element.bridge_to {
            None => source.series(r),
            Some(_) => source.bridge(Volts(0.0), r),
        })
    }

    /// What the pin would see with what a bridge leads to at 0 V.
    pub(crate) fn pin_without(&self, element: usize) -> Source {
        let bridged = self.states[element].bridge(Volts(0.0), self.resistances[element]);
        (element + 1..self.situation.elements.len())
            .fold(bridged, |s, k| self.past(s, k, self.resistances[k]))
    }

    /// The voltage of remote ground.
    pub(crate) fn shift(&self) -> Volts {
        match self.situation.far {
            Far::Open | Far::Flows(_) => Volts(0.0),
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

    /// The voltages between which no clamp conducts at the node that is clamped: the pin, or the node in front of the
    /// protection.
    pub fn window(&self) -> Band<Volts> {
        let situation = self.situation;
        Band {
            lowest: -situation.converter.clamp,
            highest: self.sources[situation.clamp_rail] + situation.clamp_above,
        }
    }

    /// The voltages between which the pin stays wherever the far end is: those of the clamped node and the drop of the
    /// leakage behind it, or no bounds where nothing but a stiff voltage is on that node.
    pub(crate) fn clamped_window(&self, transfer: &Transfer, leakage: Amperes) -> Band<Volts> {
        if transfer.is_stiff {
            return Band { lowest: Volts(f64::NEG_INFINITY), highest: Volts(f64::INFINITY) };
        }
        let (window, drop) = (self.window(), leakage * self.lead());
        Band { lowest: window.lowest + drop, highest: window.highest + drop }
    }

    /// What the node that is clamped sees.
    pub(crate) fn clamped_node(&self) -> Source {
        self.states[self.situation.clamped_at]
    }

    /// The resistance between the clamped node and the pin, none where the pin itself is clamped.
    fn behind_clamp(&self) -> Ohms {
        let place = self.situation.clamped_at;
        if place < self.situation.elements.len() { self.resistances[place] } else { Ohms(0.0) }
    }

    /// The resistance behind the clamped node through which all of the leakage would drop as much as the pin's share of it
    /// does.
    fn lead(&self) -> Ohms {
        self.behind_clamp() * self.situation.pin_share
    }

    /// The pin as the leakage sees it. The protection in series leaves n and d alone, so that with a current i₁ into the
    /// pin and i₂ into the clamped node it is at (n + i₁·m(pin) + i₂·m(node))/d: as if both flowed through a part of the
    /// protection.
    pub(crate) fn leaking(&self) -> Source {
        self.clamped_node().series(self.lead())
    }

    /// The voltage of the pin while its upper clamp conducts.
    pub(super) fn held_pin(&self, leakage: Amperes) -> Volts {
        self.window().highest + leakage * self.lead()
    }

    /// The voltage of the pin as it would be without clamps, with a leakage current.
    pub fn open_pin(&self, leakage: Amperes) -> Volts {
        self.leaking().pushed_by(leakage)
    }

    /// The voltage of the pin with a leakage current into it, held by the clamps. A pin that floats is held nowhere:
    /// not a number. A stiff voltage is not held either.
    pub fn pin_voltage(&self, leakage: Amperes) -> Volts {
        let (node, window) = (self.clamped_node(), self.window());
        // While a clamp conducts, only the leakage of the pin flows behind it.
        let drop = leakage * self.lead();
        match self.hold(node, leakage) {
            _ if node.is_floating() => Volts(f64::NAN),
            _ if node.is_stiff() => self.open_pin(leakage),
            Hold::Upper => window.highest + drop,
            Hold::Lower => window.lowest + drop,
            Hold::Nothing => self.open_pin(leakage),
        }
    }

    /// The current into the upper clamp.
    pub fn upper_clamp_current(&self) -> Amperes {
        self.clamped_node().current_into(self.window().highest).max(Amperes(0.0))
    }

    /// The current out of the lower clamp.
    pub fn lower_clamp_current(&self) -> Amperes {
        (-self.clamped_node().current_into(self.window().lowest)).max(Amperes(0.0))
    }

    /// The current into the pin's own upper clamp, which is still there behind an external one and the protection: what it
    /// would be without the external clamp, but no more than the voltage of that drives through the protection. Both rise
    /// and fall alike with what they share, so that the smaller of them is monotone too.
    pub fn own_clamp_current(&self) -> Amperes {
        let Some(rail) = self.situation.own_rail else { return Amperes(0.0) };
        let own = self.sources[rail] + self.situation.converter.clamp;
        let between = self.window().highest - own;
        if between.0 <= 0.0 {
            return Amperes(0.0);
        }
        let alone = self.pin().current_into(own).max(Amperes(0.0));
        let protection = self.behind_clamp();
        if protection.0 == 0.0 { alone } else { alone.min(between / protection) }
    }

    /// What holds a node that sees `node`: a clamp, past which it would go, the leakage included.
    fn hold(&self, node: Source, leakage: Amperes) -> Hold {
        let window = self.window();
        if node.excess_with(leakage, window.highest) > 0.0 {
            Hold::Upper
        } else if node.excess_with(leakage, window.lowest) < 0.0 {
            Hold::Lower
        } else {
            Hold::Nothing
        }
    }

    /// What holds the clamped node, and the determinant of the chain as it is then: every voltage and every current is a
    /// quotient with it below, and both are sums of products of resistances in which each occurs once at most. Followed
    /// along the chain, d·m' + d'·m of what is on both sides of a place is the same everywhere: with a current into the
    /// clamped node that is its d, and with a voltage its m.
    pub(super) fn determinant(&self, leakage: Amperes) -> (Hold, f64) {
        let [_, d, m] = self.clamped_node().numbers();
        let hold = self.held_by(leakage);
        (hold, if hold == Hold::Nothing { d } else { m })
    }

    /// What drives an element whatever its own value in a band, with what holds the node; `None`: a clamp begins to conduct
    /// between its ends.
    pub(super) fn drive_over(
        &self,
        element: usize,
        own: Band<Ohms>,
        leakage: Amperes,
    ) -> Option<(Hold, Drive)> {
        let [low, high] = [own.lowest, own.highest].map(|r| self.hold(self.node_with(element, r), leakage));
        (low == high).then(|| (low, self.drive(element, low, leakage)))
    }

    /// What holds the clamped node.
    fn held_by(&self, leakage: Amperes) -> Hold {
        self.hold(self.clamped_node(), leakage)
    }

    /// What the chain sees of the clamped node: a clamp, or the leakage current into the node.
    fn load(&self, hold: Hold, leakage: Amperes) -> Source {
        match hold {
            Hold::Upper => Source::voltage(self.window().highest),
            Hold::Lower => Source::voltage(self.window().lowest),
            Hold::Nothing => Source::current(leakage),
        }
    }

    /// What an element sees of the side of the pin, whose clamped node is held by `hold`. Behind that node there is only the
    /// leakage of the pin.
    fn near(&self, element: usize, hold: Hold, leakage: Amperes) -> Source {
        if element >= self.situation.clamped_at {
            return Source::current(leakage * self.situation.pin_share);
        }
        let behind = (element + 1..self.situation.clamped_at).rev();
        behind.fold(self.load(hold, leakage), |near, k| self.past(near, k, self.resistances[k]))
    }

    /// The voltage against which a transmitter drives its current: the node and the drop of the wire. With a current
    /// that flows whatever the voltage, it is a Möbius function of each parameter as every node voltage is.
    pub fn far_voltage(&self, leakage: Amperes) -> Volts {
        let near = self.near(0, self.held_by(leakage), leakage);
        near.series(self.resistances[0]).pushed_by(self.current)
    }

    /// What drives an element, with the pin held by `hold`: the chain on its far side against the chain on the side
    /// of the pin; for a bridge its voltage against both together. Positive is towards the pin, or into the path.
    fn drive(&self, element: usize, hold: Hold, leakage: Amperes) -> Drive {
        let near = self.near(element, hold, leakage);
        let far = self.states[element];
        match self.situation.elements[element].bridge_to {
            None => far.against(near),
            // A clamp does not hold a stiff wire.
            Some(to) if far.is_stiff() => Source::voltage(self.sources[to]).against(far),
            Some(to) => Source::voltage(self.sources[to]).against(far.beside(near)),
        }
    }

    /// The current through an element: in series towards the pin, of a bridge into the path. The leakage flows into
    /// the node of the pin.
    pub fn current(&self, element: usize, leakage: Amperes) -> Amperes {
        self.drive(element, self.held_by(leakage), leakage).current(self.resistances[element])
    }

    /// The current through a sender from the far end into the rail that it hangs on.
    pub(super) fn current_of(&self, sender: ChafedSender) -> Amperes {
        Source::voltage(self.sources[sender.source]).against(self.states[0]).current(sender.least) * -1.0
    }

    /// The voltage across an element, in the direction of its current.
    pub fn voltage(&self, element: usize, leakage: Amperes) -> Volts {
        self.drive(element, self.held_by(leakage), leakage).voltage(self.resistances[element])
    }

    /// Dissipation of an element.
    pub fn power(&self, element: usize, leakage: Amperes) -> Watts {
        self.drive(element, self.held_by(leakage), leakage).power(self.resistances[element])
    }

    /// Dissipation of the sender without its wire.
    pub fn sender_power(&self, leakage: Amperes) -> Watts {
        let band = self.situation.wire;
        let wire = if self.ends.resistance_is_high(0) { band.highest } else { band.lowest };
        let drive = self.drive(0, self.held_by(leakage), leakage);
        drive.behind_also(wire).power(self.resistances[0] - wire)
    }

    /// What drives the far element as long as no clamp conducts.
    pub(crate) fn drive_of_far(&self, leakage: Amperes) -> Drive {
        self.drive(0, Hold::Nothing, leakage)
    }

    /// The greatest dissipation of an element, less the share `lead` in front of it, while its own value runs over
    /// `own` and everything else stays. What drives it is the same as long as no clamp starts or stops to conduct, so
    /// the band is cut where one does.
    pub fn greatest_power(&self, element: usize, own: Band<Ohms>, lead: Ohms, leakage: Amperes) -> Watts {
        let (low, high) = (self.node_with(element, own.lowest), self.node_with(element, own.highest));
        let between = |hold, a: Ohms, b: Ohms| {
            self.drive(element, hold, leakage).behind_also(lead).greatest_power(a - lead, b - lead)
        };
        let (start, end) = (self.hold(low, leakage), self.hold(high, leakage));
        if start == end {
            return between(start, own.lowest, own.highest);
        }
        let window = self.window();
        let cut = |hold| {
            let bound = if hold == Hold::Upper { window.highest } else { window.lowest };
            let (a, b) = (low.excess_with(leakage, bound), high.excess_with(leakage, bound));
            // The excess is affine in the resistance.
            own.lowest + (own.highest - own.lowest) * (a / (a - b))
        };
        let mut power = Watts(0.0);
        let (mut from, mut to) = (own.lowest, own.highest);
        if start != Hold::Nothing {
            from = cut(start);
            power = power.max(between(start, own.lowest, from));
        }
        if end != Hold::Nothing {
            to = cut(end);
            power = power.max(between(end, to, own.highest));
        }
        power.max(between(Hold::Nothing, from, to))
    }

    /// What the pin would see with another value in one place.
    pub(crate) fn pin_with(&self, element: usize, r: Ohms) -> Source {
        self.seen_with(element, r, self.situation.elements.len())
    }

    /// What the clamped node would see with another value in one place. What is behind it does not move it.
    fn node_with(&self, element: usize, r: Ohms) -> Source {
        let node = self.situation.clamped_at;
        if element < node { self.seen_with(element, r, node) } else { self.clamped_node() }
    }

    fn seen_with(&self, element: usize, r: Ohms, elements: usize) -> Source {
        let behind = self.past(self.states[element], element, r);
        (element + 1..elements).fold(behind, |s, k| self.past(s, k, self.resistances[k]))
    }
}

/// What holds the pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Hold {
    Upper,
    Lower,
    Nothing,
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
        choose_current(corners, resistances, see);
        return;
    }
    let single = corners.iter().all(|c| c.situation.sources[source].is_single());
    for high in [false, true] {
        for corner in corners.iter_mut() {
            let band = corner.situation.sources[source];
            corner.sources[source] = if high { band.highest } else { band.lowest };
            corner.ends.set(Ends::SOURCES + source, high);
        }
        choose_source(corners, resistances, source + 1, see);
        if single {
            break;
        }
    }
}

fn choose_current<const LANES: usize>(
    corners: &mut [Corner; LANES],
    resistances: [&[Band<Ohms>]; LANES],
    see: &mut impl FnMut(&[Corner; LANES]),
) {
    let flows = |corner: &Corner| match corner.situation.far {
        Far::Flows(band) => band,
        Far::Open | Far::Stands { .. } => Band::exactly(Amperes(0.0)),
    };
    let single = corners.iter().all(|corner| flows(corner).is_single());
    for high in [false, true] {
        for corner in corners.iter_mut() {
            let band = flows(corner);
            corner.current = if high { band.highest } else { band.lowest };
            corner.ends.set(Ends::CURRENT, high);
            corner.states[0] = corner.far();
        }
        choose_resistance(corners, resistances, 0, see);
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

/// Visits every corner of the box of one situation.
pub(crate) fn visit_corners(
    situation: &Situation,
    resistances: &[Band<Ohms>],
    mut see: impl FnMut(&Corner<'_>),
) {
    visit([situation], [resistances], |[corner]| see(corner));
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
