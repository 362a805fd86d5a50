//! The circuit of an input in a case as one would draw it, from the data of the board alone.

use ohmwright::board::{
    Board, Circuit, ClampPlace, Drive, Excitation, Feed, Input, LoopSupply, Neighbour, RailId, Reference,
    Role, Sender, Signal, Transmitter,
};
use ohmwright::case::Case;
use ohmwright::circuit::{Far, Of, Situation, SoftFault};
use ohmwright::worst::Ends;

use super::network::{Branch, GROUND, Network};

/// What is wrong with the wire.
#[derive(Clone, Copy, PartialEq)]
enum Wire {
    Sound,
    /// Sound, but for this.
    Soft(SoftFault),
    Open,
    /// Its end lies on this voltage against remote ground.
    On(f64),
    /// Its end lies on a rail of the board.
    OnRail(usize),
    /// Its end lies, through its resistance, on what feeds its loop.
    OnLoop(LoopSupply),
}

impl Wire {
    fn is_connected(self) -> bool {
        matches!(self, Self::Sound | Self::Soft(_))
    }
}

/// What a case does to an input.
#[derive(Clone, Copy)]
pub(crate) struct Circumstances {
    wire: Wire,
    case: Case,
    /// The supply, where the case says what it is.
    supply: Option<f64>,
}

/// All circumstances of a case; none if the case does not exist for the input.
pub(crate) fn circumstances(board: &Board, case: Case) -> Vec<Circumstances> {
    let input = &board.inputs[0];
    let gauge_on_supply = matches!(input.gauge, Some(gauge) if gauge.from == Feed::Supply);
    let tied = from_supply(input)
        || input.excitation == Some(Excitation::Supply)
        || gauge_on_supply
        || wet_to_supply(input);
    let measured = match &input.drive {
        Drive::Signal(signal) if signal.from_supply => {
            signal.curve.points().iter().map(|point| point.1.0).fold(f64::MIN, f64::max)
        }
        _ => f64::MIN,
    };
    let contact = Wire::On(board.supply.contact.0.max(measured));
    let wires = match case {
        Case::Normal | Case::GroundLost => vec![Wire::Sound],
        Case::WireOpen => vec![Wire::Open],
        Case::WireToGround => vec![Wire::On(0.0)],
        Case::WireToSupply => vec![contact],
        Case::BoardOff => vec![Wire::Sound, contact],
        Case::TransmitterShort => match &input.drive {
            Drive::Current(transmitter) => vec![Wire::OnLoop(transmitter.loop_supply)],
            _ => Vec::new(),
        },
        Case::WireToRail => (0..board.rails.len()).map(Wire::OnRail).collect(),
        Case::Surge | Case::ReversedSupply | Case::JumpStart | Case::Cranking => {
            let stabilised = input.gauge.is_some_and(|gauge| matches!(gauge.from, Feed::Stabiliser { .. }));
            let meets = tied || stabilised && case == Case::ReversedSupply;
            let supplies = if meets { supplies(board, case) } else { Vec::new() };
            let of = |supply| Circumstances { wire: Wire::Sound, case, supply: Some(supply) };
            return supplies.into_iter().map(of).collect();
        }
    };
    wires.into_iter().map(|wire| Circumstances { wire, case, supply: None }).collect()
}

/// What a case makes of the supply.
fn supplies(board: &Board, case: Case) -> Vec<f64> {
    let supply = &board.supply;
    match case {
        Case::Surge => supply.surges.iter().map(|surge| surge.voltage.0).collect(),
        Case::ReversedSupply => supply.reversed.iter().map(|volts| -volts.0).collect(),
        Case::JumpStart => supply.jump_start.iter().map(|start| start.voltage.0).collect(),
        Case::Cranking => supply.cranking.iter().map(|volts| volts.0).collect(),
        _ => Vec::new(),
    }
}

/// Normal use with a soft fault.
pub(crate) fn with_soft_fault(fault: SoftFault) -> Circumstances {
    Circumstances { wire: Wire::Soft(fault), case: Case::Normal, supply: None }
}

fn from_supply(input: &Input) -> bool {
    matches!(&input.drive, Drive::Signal(signal) if signal.from_supply)
}

fn wet_to_supply(input: &Input) -> bool {
    matches!(input.wet, Some(wet) if wet.to == Neighbour::Supply)
}

/// A voltage that may lie anywhere in a band.
#[derive(Clone, Copy, PartialEq)]
enum Voltage {
    Rail(usize),
    Reference,
    Supply,
    Stabiliser,
    Clamp,
    Far,
    Shift,
}

/// Says for each element and voltage whether it is at the upper end of its band.
struct Sides<'a> {
    wire: Wire,
    situation: &'a Situation,
    board: &'a Board,
    ends: Ends,
}

impl Sides<'_> {
    fn resistance(&self, of: Of, (lowest, highest): (f64, f64)) -> f64 {
        let place = self.situation.place_of(of).expect("the drawing has an element that the chain lacks");
        if self.ends.resistance_is_high(place) { highest } else { lowest }
    }

    fn voltage(&self, voltage: Voltage, (lowest, highest): (f64, f64)) -> f64 {
        let places = self.places(voltage);
        assert!(places.windows(2).all(|pair| pair[0] == pair[1]), "one voltage stands in two places");
        // A voltage of one value has no side.
        if places.first().is_some_and(|&place| self.ends.source_is_high(place)) { highest } else { lowest }
    }

    /// Everywhere that the voltage is used in the chain.
    fn places(&self, voltage: Voltage) -> Vec<usize> {
        let situation = self.situation;
        let leads_to =
            |role| situation.place_of(Of::Part(role)).and_then(|place| situation.elements[place].bridge_to);
        let hangs = match situation.far {
            Far::Stands { source, .. }
                if self.wire.is_connected() && self.board.inputs[0].circuit == Circuit::PullDown =>
            {
                Some(source)
            }
            _ => None,
        };
        let excitation = leads_to(Role::PullUp).or(hangs);
        let excited_by = self.board.inputs[0].excitation;
        let gauge = situation.place_of(Of::Gauge).and_then(|place| situation.elements[place].bridge_to);
        let gauge_from = self.board.inputs[0].gauge.map(|gauge| gauge.from);
        let mut places = Vec::new();
        match (voltage, situation.far) {
            (Voltage::Rail(rail), far) => {
                if self.board.converter.clamp_rail == RailId(rail) {
                    let is_own = self.board.inputs[0].clamp.is_none();
                    places.extend(is_own.then_some(situation.clamp_rail));
                    places.extend(situation.own_rail);
                }
                if self.board.converter.reference == Reference::Rail(RailId(rail)) {
                    places.extend(situation.reference);
                }
                if excited_by == Some(Excitation::Rail(RailId(rail))) {
                    places.extend(excitation);
                }
                let chafed = situation.chafed_sender.filter(|chafed| chafed.rail == RailId(rail));
                places.extend(chafed.map(|chafed| chafed.source));
                if gauge_from == Some(Feed::Rail(RailId(rail))) {
                    places.extend(gauge);
                }
                if self.board.inputs[0].bias_to == Some(RailId(rail)) {
                    places.extend(leads_to(Role::Bias));
                }
                if let (Far::Stands { scaled_by: Some((place, _)), .. }, Drive::Signal(signal)) =
                    (far, &self.board.inputs[0].drive)
                    && signal.scales_with == Some(RailId(rail))
                {
                    places.push(place);
                }
                if let Far::Stands { source, .. } = far
                    && [Wire::OnRail(rail), Wire::OnLoop(LoopSupply::Rail(RailId(rail)))].contains(&self.wire)
                {
                    places.push(source);
                }
            }
            (Voltage::Reference, _) => places.extend(situation.reference),
            (Voltage::Supply, Far::Stands { source, .. })
                if self.wire == Wire::OnLoop(LoopSupply::Supply) =>
            {
                places.push(source);
            }
            (Voltage::Supply, _) => {
                if excited_by == Some(Excitation::Supply) {
                    places.extend(excitation);
                }
                if gauge_from == Some(Feed::Supply) {
                    places.extend(gauge);
                }
                if wet_to_supply(&self.board.inputs[0]) {
                    places.extend(
                        situation.place_of(Of::Wet).and_then(|place| situation.elements[place].bridge_to),
                    );
                }
            }
            (Voltage::Stabiliser, _) => places.extend(gauge),
            (Voltage::Clamp, _) => places.push(situation.clamp_rail),
            (Voltage::Far, Far::Stands { source, .. }) => places.push(source),
            (Voltage::Shift, Far::Stands { shift, .. }) => places.push(shift),
            (Voltage::Far | Voltage::Shift, Far::Open | Far::Flows(_)) => {}
        }
        places
    }
}

/// An input in a case, drawn.
pub(crate) struct Drawing {
    pub(crate) network: Network,
    pub(crate) pin: usize,
    /// Where the clamp is, and what leaks there beside the pin.
    pub(crate) clamped: usize,
    pub(crate) clamp_leakage: f64,
    /// Where the pin's own clamp conducts behind an external one, and the protection between them.
    pub(crate) own: Option<(f64, Of)>,
    /// Elements with the branches they are made of.
    pub(crate) elements: Vec<(Of, Vec<usize>)>,
    /// The voltages at which the clamps begin to conduct.
    pub(crate) window: (f64, f64),
    pub(crate) reference: Option<f64>,
    /// What the vehicle's supply feeds.
    pub(crate) from_supply: Vec<Of>,
    /// What a rail feeds.
    pub(crate) from_rails: Vec<Of>,
    /// The same with its rail.
    pub(crate) fed: Vec<(RailId, Of)>,
    /// A sender between a wire that lies on the supply and a rail: the rail and the current into it.
    pub(crate) chafed: Vec<(RailId, f64)>,
    /// What a sound far end is connected to, without that far end, and the place where it connects.
    pub(crate) seen_from_far: Option<(Network, usize)>,
}

/// Draws a situation at some ends of its bands.
pub(crate) fn draw(board: &Board, state: Circumstances, situation: &Situation, ends: Ends) -> Drawing {
    let input = &board.inputs[0];
    let pen = Pen {
        board,
        input,
        state,
        sides: Sides { wire: state.wire, situation, board, ends },
        network: Network::new(),
        elements: Vec::new(),
        from_supply: Vec::new(),
        from_rails: Vec::new(),
        fed: Vec::new(),
        chafed: Vec::new(),
    };
    pen.draw()
}

struct Pen<'a> {
    board: &'a Board,
    input: &'a Input,
    state: Circumstances,
    sides: Sides<'a>,
    network: Network,
    elements: Vec<(Of, Vec<usize>)>,
    from_supply: Vec<Of>,
    from_rails: Vec<Of>,
    fed: Vec<(RailId, Of)>,
    chafed: Vec<(RailId, f64)>,
}

impl Pen<'_> {
    fn draw(mut self) -> Drawing {
        let plug = self.network.node();
        let far = self.far(plug);
        let wire_end = self.soft_fault(plug);
        if from_supply(self.input) {
            self.from_supply.push(Of::Far);
        }
        self.wet(wire_end);
        let pin = match self.input.circuit {
            Circuit::PullUp => self.pull_up(wire_end),
            Circuit::PullDown => self.pull_down(wire_end),
            Circuit::Divider => self.divider(wire_end),
            Circuit::LevelShift => self.level_shift(wire_end),
            Circuit::Burden => {
                self.bridge(Role::Burden, GROUND, wire_end);
                self.existing(wire_end);
                self.series(Role::Protection, wire_end)
            }
            Circuit::Direct => {
                self.existing(wire_end);
                self.series(Role::Protection, wire_end)
            }
        };
        let clamp = self.board.converter.clamp.0;
        let own_bound = self.rail(self.board.converter.clamp_rail) + clamp;
        let protection = self.elements.iter().find(|(of, _)| *of == Of::Part(Role::Protection));
        let before = protection.map_or(pin, |(_, branches)| self.network.branches[branches[0]].from);
        let (upper, clamped, clamp_leakage) = match self.input.clamp {
            None => (own_bound, pin, 0.0),
            Some(external) => {
                let (v, t) = (external.upper.0, external.tolerance.0);
                let upper = self.sides.voltage(Voltage::Clamp, (v * (1.0 - t), v * (1.0 + t)));
                let clamped = if external.at == ClampPlace::Node { before } else { pin };
                (upper, clamped, external.leakage.0)
            }
        };
        let own = (clamped != pin).then_some((own_bound, Of::Part(Role::Protection)));
        let window = (-clamp, upper);
        let reference = self.reference();
        let seen_from_far = self.seen_from_far(&far);
        self.elements.push((Of::Far, far));
        Drawing {
            network: self.network,
            pin,
            clamped,
            clamp_leakage,
            own,
            elements: self.elements,
            window,
            reference,
            from_supply: self.from_supply,
            from_rails: self.from_rails,
            fed: self.fed,
            chafed: self.chafed,
            seen_from_far,
        }
    }

    /// A node at the excitation, which feeds this element.
    fn excitation(&mut self, of: Of) -> usize {
        let rail = self.excited();
        match self.input.excitation {
            Some(Excitation::Supply) => self.from_supply.push(of),
            Some(Excitation::Rail(id)) => {
                self.from_rails.push(of);
                self.fed.push((id, of));
            }
            None => {}
        }
        rail
    }

    fn excited(&mut self) -> usize {
        let volts = match self.input.excitation {
            Some(Excitation::Rail(id)) => self.rail(id),
            Some(Excitation::Supply) => self.sides.voltage(Voltage::Supply, self.supply()),
            None => 0.0,
        };
        let rail = self.network.node();
        self.network.voltage(GROUND, rail, volts);
        rail
    }

    /// A bad contact in the wire, or moisture from the wire to where the sender leads, else to remote ground.
    fn soft_fault(&mut self, plug: usize) -> usize {
        let Wire::Soft(fault) = self.state.wire else { return plug };
        let (to, wire_end) = match fault {
            SoftFault::Series(_) => {
                let behind = self.network.node();
                (behind, behind)
            }
            SoftFault::Across(_) if self.input.circuit == Circuit::PullDown => (self.excited(), plug),
            SoftFault::Across(_) => (self.remote_ground(), plug),
        };
        // The chain counts towards the pin, and out of a bridge into the path.
        let (from, to) = if to == wire_end { (plug, to) } else { (to, plug) };
        let branch = self.network.resistor(from, to, fault.resistance().0);
        self.elements.push((Of::Fault, vec![branch]));
        wire_end
    }

    fn remote_ground(&mut self) -> usize {
        let node = self.network.node();
        let shift = self.sides.voltage(Voltage::Shift, self.shift());
        self.network.voltage(GROUND, node, shift);
        node
    }

    fn pull_down(&mut self, wire_end: usize) -> usize {
        self.chafed_sender();
        let node = self.series(Role::Line, wire_end);
        self.bridge(Role::PullDown, GROUND, node);
        self.existing(node);
        self.series(Role::Protection, node)
    }

    /// The sender is still there while its wire lies on the supply.
    fn chafed_sender(&mut self) {
        let volts = match self.state.wire {
            Wire::On(volts) if self.state.case != Case::WireToGround => {
                volts + self.sides.voltage(Voltage::Shift, self.shift())
            }
            Wire::OnRail(rail) => self.rail(RailId(rail)),
            _ => return,
        };
        let (Some(Excitation::Rail(id)), Drive::Sender(sender)) = (self.input.excitation, &self.input.drive)
        else {
            return;
        };
        let least = sender_range(sender).0 + self.input.wire.lowest.0;
        let above = volts - self.rail(id);
        if above > 0.0 {
            self.chafed.push((id, above / least));
        }
    }

    fn pull_up(&mut self, wire_end: usize) -> usize {
        let node = self.series(Role::Line, wire_end);
        self.gauge(node);
        if self.has(Role::PullUp) {
            let rail = self.excitation(Of::Part(Role::PullUp));
            self.bridge(Role::PullUp, rail, node);
        }
        self.bridge(Role::Shunt, GROUND, node);
        self.existing(node);
        let behind = self.series(Role::Top, node);
        self.bridge(Role::Bottom, GROUND, behind);
        self.series(Role::Protection, behind)
    }

    fn has(&self, role: Role) -> bool {
        self.input.parts.iter().any(|part| part.role == role)
    }

    /// The old gauge from what feeds it to the node, or only its place if its contact is open.
    fn gauge(&mut self, node: usize) {
        let Some(gauge) = self.input.gauge else { return };
        let (volts, pulsed) = match gauge.from {
            Feed::Rail(id) => (self.rail(id), false),
            Feed::Supply => (self.sides.voltage(Voltage::Supply, self.supply()), false),
            Feed::Stabiliser { voltage, tolerance, pulsed } => {
                (self.sides.voltage(Voltage::Stabiliser, self.stabiliser(voltage.0, tolerance.0)), pulsed)
            }
        };
        match gauge.from {
            Feed::Rail(id) => {
                self.from_rails.push(Of::Gauge);
                self.fed.push((id, Of::Gauge));
            }
            Feed::Supply | Feed::Stabiliser { .. } => self.from_supply.push(Of::Gauge),
        }
        let (r, t) = (gauge.resistance.0, gauge.tolerance.0);
        let highest = if pulsed { f64::INFINITY } else { r * (1.0 + t) };
        let ohms = self.sides.resistance(Of::Gauge, (r * (1.0 - t), highest));
        let feed = self.network.node();
        self.network.voltage(GROUND, feed, volts);
        self.leak(Of::Gauge, feed, node, ohms);
    }

    /// A wet connector from the end of the wire to its neighbour.
    fn wet(&mut self, wire_end: usize) {
        let Some(wet) = self.input.wet else { return };
        let neighbour = match wet.to {
            Neighbour::Ground => GROUND,
            Neighbour::Supply => {
                let volts = self.sides.voltage(Voltage::Supply, self.supply());
                let supply = self.network.node();
                self.network.voltage(GROUND, supply, volts);
                self.from_supply.push(Of::Wet);
                supply
            }
        };
        let ohms = self.sides.resistance(Of::Wet, (wet.resistance.0, f64::INFINITY));
        self.leak(Of::Wet, neighbour, wire_end, ohms);
    }

    /// A resistor that may be open.
    fn leak(&mut self, of: Of, from: usize, node: usize, ohms: f64) {
        let branches =
            if ohms.is_infinite() { Vec::new() } else { vec![self.network.resistor(from, node, ohms)] };
        self.elements.push((of, branches));
    }

    /// A stabiliser in the cluster hangs on the vehicle. With the supply reversed or the board's ground lost it may be dead.
    fn stabiliser(&self, volts: f64, tolerance: f64) -> (f64, f64) {
        let (low, high) = (volts * (1.0 - tolerance), volts * (1.0 + tolerance));
        let lost = self.board.supply.swing.highest.0;
        match self.state.case {
            Case::ReversedSupply => (-self.board.supply.reversed.expect("the case exists").0, 0.0),
            Case::GroundLost => (low - lost, f64::max(high - lost, 0.0)),
            _ => (low, high),
        }
    }

    fn divider(&mut self, wire_end: usize) -> usize {
        let extended = self.series(Role::Extension, wire_end);
        let node = self.series(Role::Top, extended);
        self.bridge(Role::Bottom, GROUND, node);
        self.existing(node);
        self.series(Role::Protection, node)
    }

    fn level_shift(&mut self, wire_end: usize) -> usize {
        let node = self.series(Role::Top, wire_end);
        let volts = self.input.bias_to.map_or(0.0, |id| self.rail(id));
        let rail = self.network.node();
        self.network.voltage(GROUND, rail, volts);
        self.bridge(Role::Bias, rail, node);
        self.from_rails.push(Of::Part(Role::Bias));
        self.fed.extend(self.input.bias_to.map(|id| (id, Of::Part(Role::Bias))));
        self.bridge(Role::Bottom, GROUND, node);
        self.existing(node);
        self.series(Role::Protection, node)
    }

    /// A part from `node` to a new node; without the part that is the same node.
    fn series(&mut self, role: Role, node: usize) -> usize {
        let Some(ohms) = self.part(role) else { return node };
        let next = self.network.node();
        let branch = self.network.resistor(node, next, ohms);
        self.elements.push((Of::Part(role), vec![branch]));
        next
    }

    fn bridge(&mut self, role: Role, from: usize, node: usize) {
        if let Some(ohms) = self.part(role) {
            let branch = self.network.resistor(from, node, ohms);
            self.elements.push((Of::Part(role), vec![branch]));
        }
    }

    fn existing(&mut self, node: usize) {
        if let Some(existing) = self.input.existing {
            let (r, t) = (existing.to_ground.0, existing.tolerance.0);
            let ohms = self.sides.resistance(Of::Existing, (r * (1.0 - t), r * (1.0 + t)));
            let branch = self.network.resistor(GROUND, node, ohms);
            self.elements.push((Of::Existing, vec![branch]));
        }
    }

    /// R·(1 ± tolerance)·(1 ± ageing)·(1 ± tempco·ΔT).
    fn part(&self, role: Role) -> Option<f64> {
        let part = self.input.parts.iter().find(|part| part.role == role)?;
        let ohmwright::board::Choice::Fixed(value) = part.choice else { return None };
        let (cold, hot) = (self.board.ambient.lowest.0, self.board.ambient.highest.0);
        let kelvins = (25.0 - cold).abs().max((hot - 25.0).abs());
        let errors = [part.grade.tolerance.0, part.grade.ageing.0, part.grade.tempco.0 * kelvins];
        let lowest: f64 = errors.iter().map(|error| 1.0 - error).product();
        let highest: f64 = errors.iter().map(|error| 1.0 + error).product();
        Some(self.sides.resistance(Of::Part(role), (value.0 * lowest, value.0 * highest)))
    }

    fn far(&mut self, wire_end: usize) -> Vec<usize> {
        if self.state.wire == Wire::Open {
            return Vec::new();
        }
        let remote_ground = self.remote_ground();
        match self.state.wire {
            Wire::On(volts) => return vec![self.network.voltage(remote_ground, wire_end, volts)],
            Wire::OnRail(rail) => {
                let volts = self.rail(RailId(rail));
                return vec![self.network.voltage(GROUND, wire_end, volts)];
            }
            _ => {}
        }
        let wire = self.sides.resistance(Of::Far, (self.input.wire.lowest.0, self.input.wire.highest.0));
        let plug = self.network.node();
        if let Wire::OnLoop(supply) = self.state.wire {
            let volts = self.loop_supply(supply);
            self.network.voltage(GROUND, plug, volts);
            return vec![self.network.resistor(plug, wire_end, wire)];
        }
        let branches = match &self.input.drive {
            Drive::Sender(sender) => {
                let ohms = self.sides.resistance(Of::Far, sender_range(sender));
                let hangs_on = match self.input.circuit {
                    Circuit::PullDown => self.excitation(Of::Far),
                    _ => remote_ground,
                };
                vec![self.network.resistor(hangs_on, plug, ohms)]
            }
            Drive::Current(transmitter) => {
                self.network.push(plug, self.current(transmitter));
                Vec::new()
            }
            Drive::Signal(signal) => {
                let source = self.network.node();
                let volts = self.signal(signal);
                self.network.voltage(remote_ground, source, volts);
                vec![self.network.resistor(source, plug, signal.resistance.0)]
            }
        };
        let wire = self.network.resistor(plug, wire_end, wire);
        [branches, vec![wire]].concat()
    }

    fn loop_supply(&self, supply: LoopSupply) -> f64 {
        match supply {
            LoopSupply::Supply => self.sides.voltage(Voltage::Supply, self.supply()),
            LoopSupply::Rail(id) => self.rail(id),
            LoopSupply::Own(band) => self.sides.voltage(Voltage::Far, (band.lowest.0, band.highest.0)),
        }
    }

    fn current(&self, transmitter: &Transmitter) -> f64 {
        let ends = [transmitter.curve.first().1.0, transmitter.curve.last().1.0];
        // The loop may be dead where the ground of the board is lost.
        let least = if self.state.case == Case::GroundLost { 0.0 } else { f64::INFINITY };
        let (lowest, highest) = (ends[0].min(ends[1]).min(least), ends[0].max(ends[1]));
        if self.sides.ends.current_is_high() { highest } else { lowest }
    }

    fn signal(&self, signal: &Signal) -> f64 {
        let ends = (signal.curve.points()[0].1.0, signal.curve.points()[signal.curve.points().len() - 1].1.0);
        let ground_lost = self.state.case == Case::GroundLost;
        // Riding on a ground that is lost a sensor fed by a rail may show anything, or be dead.
        let lowest = if ground_lost && signal.scales_with.is_some() { 0.0 } else { f64::INFINITY };
        let band = (ends.0.min(ends.1).min(lowest), ends.0.max(ends.1));
        let volts = match self.state.supply {
            Some(supply) if signal.from_supply => supply,
            _ => self.sides.voltage(Voltage::Far, band),
        };
        match signal.scales_with {
            Some(id) if !ground_lost => volts * self.rail(id) / self.board.rails[id.0].voltage.0,
            _ => volts,
        }
    }

    fn shift(&self) -> (f64, f64) {
        if self.state.case == Case::GroundLost {
            let highest = self.board.supply.swing.highest.0;
            (-highest, -highest)
        } else {
            (self.input.ground_shift.lowest.0, self.input.ground_shift.highest.0)
        }
    }

    fn supply(&self) -> (f64, f64) {
        let supply = &self.board.supply;
        match (self.state.supply, self.state.case) {
            (Some(volts), _) => (volts, volts),
            // The ground of the board sits at the supply.
            (None, Case::GroundLost) => (0.0, 0.0),
            _ => (supply.swing.lowest.0, supply.swing.highest.0),
        }
    }

    fn is_up(&self, id: RailId) -> bool {
        match self.state.case {
            Case::BoardOff | Case::GroundLost => false,
            Case::ReversedSupply => self.board.rails[id.0].on_when_reversed,
            _ => true,
        }
    }

    fn rail(&self, id: RailId) -> f64 {
        if !self.is_up(id) {
            return 0.0;
        }
        let rail = &self.board.rails[id.0];
        let (v, t) = (rail.voltage.0, rail.tolerance.0);
        self.sides.voltage(Voltage::Rail(id.0), (v * (1.0 - t), v * (1.0 + t)))
    }

    fn reference(&self) -> Option<f64> {
        match self.board.converter.reference {
            Reference::Rail(id) => self.is_up(id).then(|| self.rail(id)),
            Reference::Own { voltage, tolerance } => self.is_up(self.board.converter.clamp_rail).then(|| {
                let (v, t) = (voltage.0, tolerance.0);
                self.sides.voltage(Voltage::Reference, (v * (1.0 - t), v * (1.0 + t)))
            }),
        }
    }

    /// The sender or source is cut off, and the wire is as short as it can be.
    fn seen_from_far(&self, far: &[usize]) -> Option<(Network, usize)> {
        let (source, wire) = match *far {
            [source, wire] => (Some(source), wire),
            // A transmitter is no branch: it only pushes a current into the wire.
            [wire] if matches!(self.input.drive, Drive::Current(_)) => (None, wire),
            _ => return None,
        };
        let mut network = self.network.without_voltages();
        if let Some(source) = source {
            network.branches[source] = Branch { from: GROUND, to: GROUND, ohms: 1.0, emf: 0.0 };
        }
        network.branches[wire].ohms = self.input.wire.lowest.0;
        let plug = network.branches[wire].from;
        Some((network, plug))
    }
}

/// From the lower to the higher end of a straight sender, with its accuracy in the unit and its tolerance in ohms.
fn sender_range(sender: &Sender) -> (f64, f64) {
    let points = sender.curve.points();
    assert_eq!(points.len(), 2, "only straight senders are drawn");
    let ((x, a), (y, b)) = ((points[0].0, points[0].1.0), (points[1].0, points[1].1.0));
    let beyond = ((b - a) / (y - x)).abs() * sender.accuracy.constant;
    let lowest = (a.min(b) - beyond).max(0.0) * (1.0 - sender.tolerance.0);
    let highest = (a.max(b) + beyond) * (1.0 + sender.tolerance.0);
    (lowest, highest)
}
