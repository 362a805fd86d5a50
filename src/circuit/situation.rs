//! One input in one case: the chain with everything that may vary.

use super::soft_fault::SoftFault;
use super::state::{Power, State, Wiring, states};
use super::{Of, To, Values, Way, limits_of};
use crate::board::{
    Board, Circuit, ClampPlace, Converter, Drive, Excitation, Feed, Gauge, Input, LoopSupply, Neighbour,
    Part, RailId, Reference, Role, Sender, Signal, Transmitter,
};
use crate::case::Case;
use crate::quantity::{Amperes, Band, Fraction, Ohms, Seconds, Volts};

/// How much of what may vary is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outlook {
    /// Nothing varies: nominal values, the middle of each band, the usual supply.
    Nominal,
    /// What a new board may show on the test bench.
    Bench,
    /// What a good board may show over its life and climate.
    Life,
}

/// Where the measured quantity is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Anywhere in its range.
    Range,
    /// At this value in the unit.
    At(f64),
    /// At this value in the unit, and the sender up to so far above it, since its own current warms it.
    Warm(f64, f64),
    /// At this value in the unit, and the sender without error.
    Exactly(f64),
}

/// What is at the far end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Far {
    /// Nothing.
    Open,
    /// A voltage: that of a source, times a rail over its nominal value, plus the ground shift.
    Stands {
        /// The source, by its place in [`Situation::sources`].
        source: usize,
        /// The rail that it is proportional to, by its place, and the nominal voltage of that rail.
        scaled_by: Option<(usize, Volts)>,
        /// The ground shift, by its place.
        shift: usize,
    },
    /// A current into the wire, whatever the voltage.
    Flows(Band<Amperes>),
}

/// An element of the chain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// What it is.
    pub of: Of,
    /// What a bridge leads to, by its place in [`Situation::sources`]; `None`: in series.
    pub bridge_to: Option<usize>,
    /// Whose current flows into the circuit there.
    pub fed_by: FedBy,
}

/// What feeds an element.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FedBy {
    /// Neither the vehicle's supply nor a rail of the board.
    Nothing,
    /// A rail of the board.
    Rail(RailId),
    /// The vehicle's supply.
    Supply,
}

impl From<Excitation> for FedBy {
    fn from(excitation: Excitation) -> Self {
        match excitation {
            Excitation::Rail(id) => Self::Rail(id),
            Excitation::Supply => Self::Supply,
        }
    }
}

/// One input in one case. Voltages that occur in several places (a rail that is excitation and reference at once)
/// stand once in `sources`, so that they move together.
#[derive(Clone, Debug)]
pub struct Situation {
    /// The case.
    pub case: Case,
    /// How long it lasts; `None`: for good, or not known.
    pub lasts: Option<Seconds>,
    /// How much of what may vary is looked at.
    pub outlook: Outlook,
    /// Where the wire lies.
    wiring: Wiring,
    /// Every voltage that occurs.
    pub sources: Vec<Band<Volts>>,
    /// What each of them is.
    pub names: Vec<Name>,
    /// What is at the far end.
    pub far: Far,
    /// The chain from the far end to the pin.
    pub elements: Vec<Element>,
    /// The resistance of each element.
    pub resistances: Vec<Band<Ohms>>,
    /// The parts of the chain that track each other, by their places: those of one group stand at the same share of their
    /// bands. Groups of which the chain has a single part are left out.
    pub tracking: Vec<Vec<usize>>,
    /// The source that the upper clamp leads to, by its place: a rail, or the voltage of an external clamp.
    pub clamp_rail: usize,
    /// How far above that source the upper clamp begins to conduct.
    pub clamp_above: Volts,
    /// How many elements are in front of the node that is clamped: all, unless an external clamp is in front of the
    /// protection.
    pub clamped_at: usize,
    /// The rail of the pin's own clamp behind that protection, by its place.
    pub own_rail: Option<usize>,
    /// The reference of the converter, by its place; `None`: the converter is down.
    pub reference: Option<usize>,
    /// Leakage of the pin and of an external clamp together, either sign.
    pub leakage: Amperes,
    /// The share of the leakage that is the pin's own, and flows through what is between the clamped node and the pin.
    pub pin_share: f64,
    /// The converter.
    pub converter: Converter,
    /// The share of the far element that is wire.
    pub wire: Band<Ohms>,
    /// A sender that hangs on a rail while its other wire lies on the supply; it feeds that rail past the node.
    pub chafed_sender: Option<ChafedSender>,
}

/// A sender between the far end and the rail that it hangs on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChafedSender {
    /// The rail.
    pub rail: RailId,
    /// Its place in [`Situation::sources`].
    pub source: usize,
    /// The least resistance of sender and wire.
    pub least: Ohms,
}

impl Situation {
    /// The place of a part in the chain.
    pub fn place_of(&self, of: Of) -> Option<usize> {
        self.elements.iter().position(|e| e.of == of)
    }

    /// The place of a voltage in `sources`.
    pub fn place_named(&self, name: Name) -> Option<usize> {
        self.names.iter().position(|known| *known == name)
    }

    /// The same with a voltage at one value, if it occurs.
    #[must_use]
    pub fn with(mut self, name: Name, volts: Volts) -> Self {
        if let Some(place) = self.place_named(name) {
            self.sources[place] = Band::exactly(volts);
        }
        self
    }

    /// Whether the wire lies on the supply, on a rail or on what feeds its loop.
    pub fn is_chafed(&self) -> bool {
        matches!(self.wiring, Wiring::Supply | Wiring::Rail(_) | Wiring::Loop(_))
    }

    /// Whether something may be fed back into a rail: it feeds a part or the sender, or the clamp leads to it.
    pub fn reaches(&self, rail: RailId) -> bool {
        self.source_of(rail).is_some()
    }

    /// The place in `sources` of a rail that something may be fed back into.
    pub fn source_of(&self, rail: RailId) -> Option<usize> {
        let feeds = self.elements.iter().any(|element| element.fed_by == FedBy::Rail(rail));
        let feeds_sender = self.chafed_sender.is_some_and(|sender| sender.rail == rail);
        let is_led_to = self.clamp_leads_to(rail) || self.own_clamp_leads_to(rail);
        self.place_named(Name::Rail(rail.0)).filter(|_| feeds || feeds_sender || is_led_to)
    }

    /// Whether the upper clamp leads to a rail: an external one leads to ground.
    pub fn clamp_leads_to(&self, rail: RailId) -> bool {
        self.names[self.clamp_rail] == Name::Rail(rail.0)
    }

    /// Whether the pin's own clamp behind an external one leads to a rail.
    pub fn own_clamp_leads_to(&self, rail: RailId) -> bool {
        self.own_rail.is_some_and(|place| self.names[place] == Name::Rail(rail.0))
    }
}

/// The situations of one case; empty if the case does not exist for the input.
pub fn situations_of(
    board: &Board,
    input: &Input,
    values: &Values,
    case: Case,
    outlook: Outlook,
    place: Place,
) -> Vec<Situation> {
    states(board, input, case)
        .into_iter()
        .map(|state| Builder::new(board, input, outlook, state.power).build(values, case, state, place))
        .collect()
}

/// Normal use on the nominal board with something wrong that no count gives away.
pub fn with_soft_fault(
    board: &Board,
    input: &Input,
    values: &Values,
    fault: SoftFault,
    place: Place,
) -> Situation {
    let state = State::of(Wiring::Soft(fault), Power::On);
    Builder::new(board, input, Outlook::Nominal, state.power).build(values, Case::Normal, state, place)
}

/// Whether the sender leads to its excitation, and not to remote ground.
fn hangs_on_excitation(input: &Input) -> bool {
    input.circuit == Circuit::PullDown
}

/// What a voltage stands for, so that the same voltage is entered once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Name {
    /// A rail of the board, by its place.
    Rail(usize),
    /// A reference of the converter's own.
    Reference,
    /// The vehicle's supply.
    Supply,
    /// A stabiliser of gauges.
    Stabiliser,
    /// An external clamp.
    Clamp,
    /// The ground of the board.
    Ground,
    /// What stands at the far end.
    Far,
    /// Remote ground.
    Shift,
}

/// The resistance of what is open.
const OPEN: Ohms = Ohms(f64::INFINITY);

/// What may be wet in front of every circuit.
const CONNECTOR: [(Of, Way); 1] = [(Of::Wet, Way::Bridge(To::Neighbour))];

/// Collects the voltages of a situation.
struct Builder<'a> {
    board: &'a Board,
    input: &'a Input,
    outlook: Outlook,
    power: Power,
    sources: Vec<(Name, Band<Volts>)>,
}

impl<'a> Builder<'a> {
    const fn new(board: &'a Board, input: &'a Input, outlook: Outlook, power: Power) -> Self {
        Self { board, input, outlook, power, sources: Vec::new() }
    }

    fn build(mut self, values: &Values, case: Case, state: State, place: Place) -> Situation {
        let converter = self.board.converter;
        let wiring = state.wiring;
        let shift = self.shift();
        let (far, far_resistance) = self.far(wiring, place, shift);
        let mut elements = vec![Element { of: Of::Far, bridge_to: None, fed_by: self.far_fed_by(wiring) }];
        let mut resistances = vec![far_resistance];
        if let Wiring::Soft(fault) = wiring {
            let bridge_to = self.fault_leads_to(fault, shift);
            elements.push(Element { of: Of::Fault, bridge_to, fed_by: FedBy::Nothing });
            resistances.push(Band::exactly(fault.resistance()));
        }
        for &(of, way) in CONNECTOR.iter().chain(self.input.circuit.plan().elements) {
            if let Some(resistance) = self.resistance(of, values) {
                elements.push(Element { of, bridge_to: self.bridge(way), fed_by: self.fed_by(way) });
                resistances.push(resistance);
            }
        }
        let tracking = self.tracking(&elements);
        let chafed_sender = self.chafed_sender(wiring, place);
        let clamped_at = self.clamped_at(&elements);
        let own_rail = (clamped_at < elements.len()).then(|| self.rail(converter.clamp_rail));
        let (clamp_rail, clamp_above) = self.upper_clamp();
        let reference = self.reference(converter.reference);
        let leakage = converter.leakage + self.input.clamp.map_or(Amperes(0.0), |clamp| clamp.leakage);
        Situation {
            case,
            lasts: state.lasts,
            outlook: self.outlook,
            wiring,
            far,
            elements,
            resistances,
            tracking,
            clamp_rail,
            clamp_above,
            clamped_at,
            own_rail,
            reference,
            leakage: if self.outlook == Outlook::Nominal { Amperes(0.0) } else { leakage },
            pin_share: if leakage.0 > 0.0 { converter.leakage / leakage } else { 1.0 },
            converter,
            wire: self.wire(),
            chafed_sender,
            names: self.sources.iter().map(|(name, _)| *name).collect(),
            sources: self.sources.into_iter().map(|(_, band)| band).collect(),
        }
    }

    /// The groups of parts that track each other in a chain.
    fn tracking(&self, elements: &[Element]) -> Vec<Vec<usize>> {
        let mut groups: Vec<(&str, Vec<usize>)> = Vec::new();
        for part in &self.input.parts {
            let place = elements.iter().position(|element| element.of == Of::Part(part.role));
            let (Some(name), Some(place)) = (part.tracks.as_deref(), place) else { continue };
            match groups.iter_mut().find(|(known, _)| *known == name) {
                Some((_, places)) => places.push(place),
                None => groups.push((name, vec![place])),
            }
        }
        groups.into_iter().map(|(_, places)| places).filter(|places| places.len() > 1).collect()
    }

    /// How many elements are in front of the node that is clamped. The protection is the last part of every circuit.
    fn clamped_at(&self, elements: &[Element]) -> usize {
        let is_protected = elements.last().is_some_and(|last| last.of == Of::Part(Role::Protection));
        let at_node = self.input.clamp.is_some_and(|clamp| clamp.at == ClampPlace::Node);
        elements.len() - usize::from(at_node && is_protected)
    }

    /// The source that the upper clamp leads to, and from how far above it conducts. An external clamp is there whatever
    /// the rails do.
    fn upper_clamp(&mut self) -> (usize, Volts) {
        let converter = self.board.converter;
        let Some(clamp) = self.input.clamp else {
            return (self.rail(converter.clamp_rail), converter.clamp);
        };
        let band = match self.outlook {
            Outlook::Nominal => Band::exactly(clamp.upper),
            Outlook::Bench | Outlook::Life => Band::within(clamp.upper, clamp.tolerance),
        };
        (self.enter(Name::Clamp, band), Volts(0.0))
    }

    /// The place of a voltage, entered at its first use.
    fn enter(&mut self, name: Name, band: Band<Volts>) -> usize {
        if let Some(place) = self.sources.iter().position(|(known, _)| *known == name) {
            return place;
        }
        self.sources.push((name, band));
        self.sources.len() - 1
    }

    fn rail_is_up(&self, id: RailId) -> bool {
        match self.power {
            Power::On | Power::At(_) => true,
            Power::Off | Power::GroundLost(_) => false,
            Power::Reversed(_) => self.board.rails[id.0].on_when_reversed,
        }
    }

    fn rail(&mut self, id: RailId) -> usize {
        let rail = &self.board.rails[id.0];
        let band = match (self.rail_is_up(id), self.outlook) {
            (false, _) => Band::exactly(Volts(0.0)),
            (true, Outlook::Nominal) => Band::exactly(rail.voltage),
            (true, _) => rail.band(),
        };
        self.enter(Name::Rail(id.0), band)
    }

    /// A reference of its own is up when the rail of the clamp is: both are the converter's supply.
    fn reference(&mut self, reference: Reference) -> Option<usize> {
        match reference {
            Reference::Rail(id) => self.rail_is_up(id).then(|| self.rail(id)),
            Reference::Own { voltage, tolerance } => {
                let band = match self.outlook {
                    Outlook::Nominal => Band::exactly(voltage),
                    _ => Band::within(voltage, tolerance),
                };
                self.rail_is_up(self.board.converter.clamp_rail).then(|| self.enter(Name::Reference, band))
            }
        }
    }

    /// The vehicle's supply as the board sees it.
    fn supply(&self) -> Band<Volts> {
        let supply = &self.board.supply;
        match self.power {
            Power::On | Power::Off if self.outlook == Outlook::Life => supply.swing,
            Power::On | Power::Off => Band::exactly(supply.usual),
            Power::At(volts) => Band::exactly(volts),
            Power::Reversed(reversed) => Band::exactly(-reversed),
            Power::GroundLost(_) => Band::exactly(Volts(0.0)),
        }
    }

    fn bridge(&mut self, way: Way) -> Option<usize> {
        match way {
            Way::Series => None,
            Way::Bridge(To::Ground) => Some(self.ground()),
            Way::Bridge(To::Excitation) => Some(self.excitation()),
            Way::Bridge(To::Bias) => Some(match self.input.bias_to {
                Some(id) => self.rail(id),
                None => self.ground(),
            }),
            Way::Bridge(To::Gauge) => Some(self.gauge_feed()),
            Way::Bridge(To::Neighbour) => Some(match self.input.wet.map(|wet| wet.to) {
                Some(Neighbour::Supply) => self.vehicle(),
                Some(Neighbour::Ground) | None => self.ground(),
            }),
        }
    }

    /// The place of the voltage that feeds the gauge.
    fn gauge_feed(&mut self) -> usize {
        match self.input.gauge.map(|gauge| gauge.from) {
            Some(Feed::Rail(id)) => self.rail(id),
            Some(Feed::Supply) => self.vehicle(),
            Some(Feed::Stabiliser { voltage, tolerance, .. }) => {
                let band = self.stabiliser(voltage, tolerance);
                self.enter(Name::Stabiliser, band)
            }
            None => self.ground(),
        }
    }

    /// What a stabiliser in the cluster of gauges gives, against the ground of the board. It hangs on the vehicle: a board
    /// that is off does not turn it off, a surge does not pass it. What it makes of a reversed supply, and whether its
    /// ground is lost with that of the board, nobody knows: it may be dead, or as far below as it can get.
    fn stabiliser(&self, voltage: Volts, tolerance: Fraction) -> Band<Volts> {
        let own = match self.outlook {
            Outlook::Life => Band::within(voltage, tolerance),
            Outlook::Bench | Outlook::Nominal => Band::exactly(voltage),
        };
        let dead = Band::exactly(Volts(0.0));
        match self.power {
            Power::On | Power::Off | Power::At(_) => own,
            Power::Reversed(reversed) => dead.joined(Band::exactly(-reversed)),
            Power::GroundLost(highest) => {
                dead.joined(Band { lowest: own.lowest - highest, highest: own.highest - highest })
            }
        }
    }

    fn far_fed_by(&self, wiring: Wiring) -> FedBy {
        if self.input.drive.is_supply() {
            FedBy::Supply
        } else if hangs_on_excitation(self.input) && wiring.is_connected() {
            self.input.excitation.map_or(FedBy::Nothing, FedBy::from)
        } else {
            FedBy::Nothing
        }
    }

    fn chafed_sender(&mut self, wiring: Wiring, place: Place) -> Option<ChafedSender> {
        let Drive::Sender(sender) = &self.input.drive else { return None };
        let Some(Excitation::Rail(rail)) = self.input.excitation else { return None };
        (matches!(wiring, Wiring::Supply | Wiring::Rail(_)) && hangs_on_excitation(self.input)).then(|| {
            let least = (self.sender(sender, place) + self.wire()).lowest;
            ChafedSender { rail, source: self.rail(rail), least }
        })
    }

    /// The place of the voltage that excites the sender.
    fn excitation(&mut self) -> usize {
        match self.input.excitation {
            Some(Excitation::Rail(id)) => self.rail(id),
            Some(Excitation::Supply) => self.vehicle(),
            None => self.ground(),
        }
    }

    /// The place of the vehicle's supply.
    fn vehicle(&mut self) -> usize {
        let band = self.supply();
        self.enter(Name::Supply, band)
    }

    fn ground(&mut self) -> usize {
        self.enter(Name::Ground, Band::exactly(Volts(0.0)))
    }

    fn fed_by(&self, way: Way) -> FedBy {
        match way {
            Way::Bridge(To::Excitation) => self.input.excitation.map_or(FedBy::Nothing, FedBy::from),
            Way::Bridge(To::Bias) => self.input.bias_to.map_or(FedBy::Nothing, FedBy::Rail),
            Way::Bridge(To::Gauge) => match self.input.gauge.map(|gauge| gauge.from) {
                Some(Feed::Rail(id)) => FedBy::Rail(id),
                Some(Feed::Supply | Feed::Stabiliser { .. }) => FedBy::Supply,
                None => FedBy::Nothing,
            },
            Way::Bridge(To::Neighbour) => match self.input.wet.map(|wet| wet.to) {
                Some(Neighbour::Supply) => FedBy::Supply,
                Some(Neighbour::Ground) | None => FedBy::Nothing,
            },
            Way::Series | Way::Bridge(To::Ground) => FedBy::Nothing,
        }
    }

    fn resistance(&self, of: Of, values: &Values) -> Option<Band<Ohms>> {
        match of {
            Of::Far | Of::Fault => None,
            Of::Part(role) => {
                let part: &Part = self.input.parts.iter().find(|part| part.role == role)?;
                values.get(role).map(|nominal| limits_of(nominal, &part.grade, self.board, self.outlook))
            }
            Of::Existing => self.input.existing.map(|existing| match self.outlook {
                Outlook::Nominal => Band::exactly(existing.to_ground),
                _ => Band::within(existing.to_ground, existing.tolerance),
            }),
            Of::Gauge => self.input.gauge.map(|gauge| self.gauge(&gauge)),
            Of::Wet => self.input.wet.map(|wet| match self.outlook {
                Outlook::Life => Band { lowest: wet.resistance, highest: OPEN },
                // New boards, and what firmware knows, are dry.
                Outlook::Bench | Outlook::Nominal => Band::exactly(OPEN),
            }),
        }
    }

    /// The resistance of a gauge. A pulsed one is fed or open, which are the two ends of the band from its resistance to
    /// open: what is worst at an end of every band is worst in one of these two states. Firmware knows one table only:
    /// that with the contact closed.
    fn gauge(&self, gauge: &Gauge) -> Band<Ohms> {
        if self.outlook == Outlook::Nominal {
            return Band::exactly(gauge.resistance);
        }
        let band = Band::within(gauge.resistance, gauge.tolerance);
        if gauge.is_pulsed() { Band { highest: OPEN, ..band } } else { band }
    }

    /// Remote ground against board ground. With the board's ground lost the case itself says where it is.
    fn shift(&mut self) -> usize {
        let band = match (self.power, self.outlook) {
            (Power::GroundLost(highest), _) => Band::exactly(-highest),
            (_, Outlook::Life) => self.input.ground_shift,
            (_, Outlook::Bench) => Band::exactly(Volts(0.0)),
            (_, Outlook::Nominal) => Band::exactly(middle(self.input.ground_shift)),
        };
        self.enter(Name::Shift, band)
    }

    fn far(&mut self, wiring: Wiring, place: Place, shift: usize) -> (Far, Band<Ohms>) {
        let short = Band::exactly(Ohms(0.0));
        match wiring {
            Wiring::Open => (Far::Open, short),
            Wiring::Ground => (self.stands(Band::exactly(Volts(0.0)), None, shift), short),
            Wiring::Supply => {
                let contact = Band::exactly(self.contact());
                (self.stands(contact, None, shift), short)
            }
            Wiring::Rail(id) => (self.stands_on(|builder| builder.rail(id)), short),
            Wiring::Loop(supply) => (self.stands_on(|builder| builder.loop_supply(supply)), self.wire()),
            Wiring::Sound | Wiring::Soft(_) => {
                // The input outlives this call, so the drive is borrowed past `self`.
                let input = self.input;
                match &input.drive {
                    Drive::Sender(sender) => {
                        let resistance = self.sender(sender, place) + self.wire();
                        let far = if hangs_on_excitation(input) {
                            // Both wires come to the board.
                            self.stands_on(Self::excitation)
                        } else {
                            self.stands(Band::exactly(Volts(0.0)), None, shift)
                        };
                        (far, resistance)
                    }
                    Drive::Signal(signal) => {
                        let resistance = Band::exactly(signal.resistance) + self.wire();
                        (self.signal(signal, place, shift), resistance)
                    }
                    Drive::Current(transmitter) => {
                        (Far::Flows(self.current(transmitter, place)), self.wire())
                    }
                }
            }
        }
    }

    fn stands(&mut self, band: Band<Volts>, scaled_by: Option<(usize, Volts)>, shift: usize) -> Far {
        Far::Stands { source: self.enter(Name::Far, band), scaled_by, shift }
    }

    /// On a voltage of the board, which does not shift.
    fn stands_on(&mut self, source: impl FnOnce(&mut Self) -> usize) -> Far {
        let (source, shift) = (source(self), self.ground());
        Far::Stands { source, scaled_by: None, shift }
    }

    /// The place of what feeds the loop of a transmitter.
    fn loop_supply(&mut self, supply: LoopSupply) -> usize {
        match supply {
            LoopSupply::Rail(id) => self.rail(id),
            LoopSupply::Supply => {
                let band = self.supply();
                self.enter(Name::Supply, band)
            }
            LoopSupply::Own(band) => self.enter(Name::Far, band),
        }
    }

    /// What a soft fault leads to: across a sender to where the sender leads, else to remote ground.
    fn fault_leads_to(&mut self, fault: SoftFault, shift: usize) -> Option<usize> {
        match fault {
            SoftFault::Series(_) => None,
            SoftFault::Across(_) if hangs_on_excitation(self.input) => Some(self.excitation()),
            SoftFault::Across(_) => Some(shift),
        }
    }

    /// The highest voltage that the wire meets; the wire of a measured supply meets that supply.
    fn contact(&self) -> Volts {
        match &self.input.drive {
            Drive::Signal(signal) if signal.from_supply => {
                self.board.supply.contact.max(signal.curve.first().1).max(signal.curve.last().1)
            }
            _ => self.board.supply.contact,
        }
    }

    fn wire(&self) -> Band<Ohms> {
        match self.outlook {
            Outlook::Life => self.input.wire,
            Outlook::Bench => Band::exactly(Ohms(0.0)),
            Outlook::Nominal => Band::exactly(middle(self.input.wire)),
        }
    }

    fn sender(&self, sender: &Sender, place: Place) -> Band<Ohms> {
        let curve = &sender.curve;
        let at = |value: f64, warmth: f64| match self.outlook {
            Outlook::Nominal => Band::exactly(curve.at(value)),
            Outlook::Bench => Band::within(curve.at(value), self.board.bench.decade_box),
            Outlook::Life => sender.life_at(value, warmth),
        };
        match place {
            Place::Exactly(value) => Band::exactly(curve.at(value)),
            Place::At(value) => at(value, 0.0),
            Place::Warm(value, warmth) => at(value, warmth),
            Place::Range => at(curve.first().0, 0.0).joined(at(curve.last().0, 0.0)),
        }
    }

    fn signal(&mut self, signal: &Signal, place: Place, shift: usize) -> Far {
        let curve = &signal.curve;
        let band = match (self.power, place) {
            (Power::At(volts), _) if signal.from_supply => Band::exactly(volts),
            (Power::Reversed(reversed), _) if signal.from_supply => Band::exactly(-reversed),
            (_, Place::At(value) | Place::Warm(value, _) | Place::Exactly(value)) => {
                Band::exactly(curve.at(value))
            }
            (_, Place::Range) => Band::between(curve.first().1, curve.last().1),
        };
        match (signal.scales_with, self.power) {
            (None, _) => self.stands(band, None, shift),
            // Without its ground a sensor may be dead or give anything: it is fed from somewhere else now.
            (Some(_), Power::GroundLost(_)) => {
                self.stands(band.joined(Band::exactly(Volts(0.0))), None, shift)
            }
            (Some(id), _) => {
                let scaled_by = Some((self.rail(id), self.board.rails[id.0].voltage));
                self.stands(band, scaled_by, shift)
            }
        }
    }
}

impl Builder<'_> {
    fn current(&self, transmitter: &Transmitter, place: Place) -> Band<Amperes> {
        let curve = &transmitter.curve;
        let band = match place {
            Place::At(value) | Place::Warm(value, _) | Place::Exactly(value) => {
                Band::exactly(curve.at(value))
            }
            Place::Range => Band::between(curve.first().1, curve.last().1),
        };
        match self.power {
            // The loop may be dead.
            Power::GroundLost(_) => band.joined(Band::exactly(Amperes(0.0))),
            _ => band,
        }
    }
}

impl Sender {
    /// The resistances over life at a value, up to so far above which the sender sits.
    pub(crate) fn life_at(&self, value: f64, warmth: f64) -> Band<Ohms> {
        // As the share of an accuracy is below 1, both ends rise with the value.
        let off = self.accuracy.at(value);
        let ends = Band::between(self.curve.at(value - off), self.curve.at(value + off + warmth));
        let spread = |ohms: Ohms| Band::within(ohms.max(Ohms(0.0)), self.tolerance);
        spread(ends.lowest).joined(spread(ends.highest))
    }
}

/// The middle of a band: what firmware takes for it.
fn middle<Q>(band: Band<Q>) -> Q
where
    Q: Copy + std::ops::Add<Output = Q> + std::ops::Mul<f64, Output = Q>,
{
    (band.lowest + band.highest) * 0.5
}
