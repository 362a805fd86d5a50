//! One input as a function of everything that may be off: eight boards at a time.
//!
//! The chain of an input is linear in the three numbers of its source, so on one board the pin is a Möbius function of
//! the far end; what is found for a board once serves every value of what is measured.

use super::source::{Cause, Distribution, Owner, Source, Spread};
use crate::board::{Board, Converter, Drive, Input, Part, Role};
use crate::circuit::{Climate, Far, Name, Of, Outlook, Situation};
use crate::quantity::{Band, Ohms};
use crate::worst::{Corner, Ends};

/// Boards that are calculated at once; plain arrays, which the compiler turns into vector instructions.
pub(super) const LANES: usize = 8;

/// One number for each board.
pub(super) type Lanes = [f64; LANES];

/// One expression for each board.
pub(super) fn each(of: impl Fn(usize) -> f64) -> Lanes {
    std::array::from_fn(of)
}

/// What a source acts on. Each deviation is 0 on the nominal board.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Effect {
    /// Multiplies the resistance of an element by 1 + deviation.
    Resistance(usize),
    /// Multiplies the conductance of an element by 1 + deviation.
    Conductance(usize),
    /// Adds to the conductance of an element, in siemens.
    Leak(usize),
    /// Adds to a voltage, by its place.
    Voltage(usize),
    /// Multiplies the resistance of the sender by 1 + deviation.
    Sender,
    /// Shifts what the sender shows, in multiples of its accuracy.
    Accuracy,
    /// Shifts what the sender shows, in multiples of what its own current may do.
    Warmth,
    /// Adds to the wire, in ohms.
    Wire,
    /// Leakage, in amperes.
    Leakage,
    /// Multiplies a count by 1 + deviation.
    Gain,
    /// Adds counts.
    Count,
}

/// How an element is connected.
#[derive(Clone, Copy, Debug)]
enum Step {
    Series(f64),
    Bridge {
        to: usize,
        ohms: f64,
    },
    /// A bridge that may be open: its conductance may be 0.
    Openable {
        to: usize,
        siemens: f64,
    },
}

/// What is at the far end.
#[derive(Clone, Copy, Debug)]
enum Start {
    /// A sender to a voltage.
    Sender { source: usize, shift: usize },
    /// A voltage behind a resistance.
    Signal { scaled_by: Option<(usize, f64)>, shift: usize, ohms: f64 },
    /// A current.
    Current,
}

/// One input, ready to be calculated on any board.
#[derive(Clone, Debug)]
pub(super) struct Channel {
    start: Start,
    steps: Vec<Step>,
    voltages: Vec<f64>,
    reference: usize,
    clamp_rail: usize,
    clamp_above: f64,
    clamped_at: usize,
    pin_share: f64,
    converter: Converter,
    wire: f64,
    effects: Vec<(usize, Effect)>,
}

/// The pin of some boards as a function of what is at the far end, and what their sender and wire do.
#[derive(Clone, Copy, Debug)]
pub(super) struct Boards {
    /// The pin is at (a0 + a1·far)/(d0 + d1·far).
    a0: Lanes,
    a1: Lanes,
    d0: Lanes,
    d1: Lanes,
    /// Where m0 + m1·far is 0 a stiff voltage is on the clamped node, which nothing holds.
    m0: Lanes,
    m1: Lanes,
    /// Whether that may be so on any of the boards.
    may_be_stiff: bool,
    /// Between these voltages no clamp holds it.
    low: Lanes,
    high: Lanes,
    per_volt: Lanes,
    added: Lanes,
    pub(super) far: FarBoards,
}

/// The counts of some boards as a function of what the nominal sender would be, or of a voltage or a current: all that does
/// not depend on the value is put together once for a board.
#[derive(Clone, Copy, Debug)]
pub(super) struct Along {
    /// The count is (p0 + p1·far)/(q0 + q1·far) + `added`, its first part held between two bounds.
    p0: Lanes,
    p1: Lanes,
    q0: Lanes,
    q1: Lanes,
    low: Lanes,
    high: Lanes,
    added: Lanes,
}

impl Along {
    /// The counts before truncation with this at the far end, without error.
    #[inline]
    pub(super) fn counts(&self, far: f64) -> Lanes {
        each(|i| {
            let count = (self.p0[i] + self.p1[i] * far) / (self.q0[i] + self.q1[i] * far);
            let held = if count > self.low[i] { count } else { self.low[i] };
            let held = if held < self.high[i] { held } else { self.high[i] };
            held + self.added[i]
        })
    }
}

/// What the senders and wires of some boards do.
#[derive(Clone, Copy, Debug)]
pub(super) struct FarBoards {
    /// The resistance of the sender by its table.
    pub(super) factor: Lanes,
    /// In multiples of its accuracy.
    pub(super) accuracy: Lanes,
    /// In multiples of its greatest warmth.
    pub(super) warmth: Lanes,
    /// In ohms.
    pub(super) wire: Lanes,
}

/// Whose sources are collected.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Whose {
    /// Those of the input that corrects this one.
    pub(super) of_meter: bool,
    /// Those of this input while it is calibrated at a point.
    pub(super) point: Option<f64>,
}

/// Collects the sources of a channel.
struct Collector<'a> {
    sources: &'a mut Vec<Source>,
    effects: Vec<(usize, Effect)>,
    whose: Whose,
}

impl Collector<'_> {
    /// A source of this channel alone. What cannot be off is none.
    fn add(&mut self, cause: Cause, owner: Owner, spread: Spread, effect: Effect) {
        if spread.standard != 0.0 || spread.middle != 0.0 {
            self.effects.push((self.sources.len(), effect));
            let Whose { of_meter, point } = self.whose;
            self.sources.push(Source { cause, owner, of_meter, point, spread });
        }
    }

    /// A source of this input that is the same while it is calibrated.
    fn keep(&mut self, cause: Cause, owner: Owner, spread: Spread, effect: Effect) {
        if self.whose.point.is_some() {
            self.share(cause, owner, spread, effect);
        } else {
            self.add(cause, owner, spread, effect);
        }
    }

    /// A source that another channel may have entered before: it is one and the same.
    fn share(&mut self, cause: Cause, owner: Owner, spread: Spread, effect: Effect) {
        let varies = spread.standard != 0.0 || spread.middle != 0.0;
        let known = |source: &Source| varies && source.cause == cause && source.owner == owner;
        match self.sources.iter().position(known) {
            Some(place) => self.effects.push((place, effect)),
            None => self.add(cause, owner, spread, effect),
        }
    }
}

impl Channel {
    /// The channel of an input in normal use over its range, with everything that varies between the two situations put
    /// among the sources. `None`: its pin floats, or its converter is down.
    pub(super) fn new(
        board: &Board,
        input: &Input,
        [nominal, varied]: [&Situation; 2],
        sources: &mut Vec<Source>,
        whose: Whose,
    ) -> Option<Self> {
        let start = match (nominal.far, &input.drive) {
            (Far::Stands { source, shift, .. }, Drive::Sender(_)) => Start::Sender { source, shift },
            (Far::Stands { scaled_by, shift, .. }, Drive::Signal(signal)) => Start::Signal {
                scaled_by: scaled_by.map(|(rail, volts)| (rail, volts.0)),
                shift,
                ohms: signal.resistance.0,
            },
            (Far::Flows(_), Drive::Current(_)) => Start::Current,
            _ => return None,
        };
        let corner = Corner::at(nominal, &nominal.resistances, Ends::default());
        if corner.pin().is_floating() {
            return None;
        }
        let mut collector = Collector { sources, effects: Vec::new(), whose };
        collector.parts(board, input, varied);
        collector.branches(input, [nominal, varied]);
        collector.voltages(varied, nominal);
        collector.far(board, input, [nominal, varied]);
        collector.converter(varied);
        Some(Self {
            start,
            steps: nominal.elements.iter().zip(&nominal.resistances).skip(1).map(step_of).collect(),
            voltages: nominal.sources.iter().map(|band| band.lowest.0).collect(),
            reference: nominal.reference?,
            clamp_rail: nominal.clamp_rail,
            clamp_above: nominal.clamp_above.0,
            clamped_at: nominal.clamped_at,
            pin_share: nominal.pin_share,
            converter: nominal.converter,
            wire: nominal.wire.lowest.0,
            effects: collector.effects,
        })
    }

    /// Enters what is lost when a count is truncated: half a count to either side of n + 0.5. Random boards are truncated
    /// as they are and leave this source at 0.
    pub(super) fn truncated(&mut self, sources: &mut Vec<Source>, whose: Whose) {
        let effects = std::mem::take(&mut self.effects);
        let mut collector = Collector { sources, effects, whose };
        collector.add(Cause::Truncation, Owner::Input, Spread::within(0.5), Effect::Count);
        self.effects = collector.effects;
    }

    /// The converter.
    pub(super) fn converter(&self) -> &Converter {
        &self.converter
    }

    /// Some boards with these deviations of all sources.
    pub(super) fn boards(&self, deviations: &[Lanes]) -> Boards {
        const MOST: usize = crate::worst::MOST;
        let mut factor = [[1.0; LANES]; MOST];
        let mut conductance = [[1.0; LANES]; MOST];
        let mut leak = [[0.0; LANES]; MOST];
        let mut voltages = [[0.0; LANES]; MOST];
        for (lanes, &volts) in voltages.iter_mut().zip(&self.voltages) {
            *lanes = [volts; LANES];
        }
        let mut far = FarBoards {
            factor: [1.0; LANES],
            accuracy: [0.0; LANES],
            warmth: [0.0; LANES],
            wire: [self.wire; LANES],
        };
        let (mut leakage, mut gain, mut added) = ([0.0; LANES], [1.0; LANES], [0.0; LANES]);
        for &(source, effect) in &self.effects {
            let by = &deviations[source];
            match effect {
                Effect::Resistance(element) => scale(&mut factor[element], by),
                Effect::Conductance(element) => scale(&mut conductance[element], by),
                Effect::Leak(element) => add(&mut leak[element], by),
                Effect::Voltage(place) => add(&mut voltages[place], by),
                Effect::Sender => scale(&mut far.factor, by),
                Effect::Accuracy => add(&mut far.accuracy, by),
                Effect::Warmth => add(&mut far.warmth, by),
                Effect::Wire => add(&mut far.wire, by),
                Effect::Leakage => add(&mut leakage, by),
                Effect::Gain => scale(&mut gain, by),
                Effect::Count => add(&mut added, by),
            }
        }
        let [mut base, mut by] = self.starts(&voltages, &far.wire);
        let mut lead = [0.0; LANES];
        for (at, step) in self.steps.iter().enumerate() {
            let element = at + 1;
            if element >= self.clamped_at {
                if let Step::Series(ohms) = *step {
                    lead = each(|i| ohms * factor[element][i] * self.pin_share);
                }
                break;
            }
            match *step {
                Step::Series(ohms) => {
                    let r = each(|i| ohms * factor[element][i]);
                    base.series(&r);
                    by.series(&r);
                }
                Step::Bridge { to, ohms } => {
                    let r = each(|i| ohms * factor[element][i]);
                    base.bridge(&voltages[to], &r);
                    by.bridge(&voltages[to], &r);
                }
                Step::Openable { to, siemens } => {
                    let g =
                        each(|i| siemens * conductance[element][i] / factor[element][i] + leak[element][i]);
                    base.conduct(&voltages[to], &g);
                    by.conduct(&voltages[to], &g);
                }
            }
        }
        let (m0, m1) = (base.m, by.m);
        base.series(&lead);
        by.series(&lead);
        let full = self.converter.full_scale().0;
        let below = self.converter.clamp.0;
        let low = each(|i| leakage[i] * lead[i] - below);
        let high = each(|i| voltages[self.clamp_rail][i] + self.clamp_above + leakage[i] * lead[i]);
        Boards {
            a0: each(|i| base.n[i] + leakage[i] * base.m[i]),
            a1: each(|i| by.n[i] + leakage[i] * by.m[i]),
            d0: base.d,
            d1: by.d,
            m0,
            m1,
            may_be_stiff: m0.contains(&0.0),
            low,
            high,
            per_volt: each(|i| full * gain[i] / voltages[self.reference][i]),
            added,
            far,
        }
    }

    /// What is seen from behind the far end, as base + far·by.
    fn starts(&self, voltages: &[Lanes], wire: &Lanes) -> [State; 2] {
        let none = [0.0; LANES];
        let one = [1.0; LANES];
        match self.start {
            Start::Sender { source, shift } => [
                State { n: each(|i| voltages[source][i] + voltages[shift][i]), d: one, m: none },
                State { n: none, d: none, m: one },
            ],
            Start::Signal { scaled_by, shift, ohms } => [
                State { n: voltages[shift], d: one, m: each(|i| ohms + wire[i]) },
                State {
                    n: scaled_by.map_or(one, |(rail, nominal)| each(|i| voltages[rail][i] / nominal)),
                    d: none,
                    m: none,
                },
            ],
            Start::Current => [State { n: none, d: none, m: one }, State { n: one, d: none, m: none }],
        }
    }
}

impl Boards {
    /// The counts before truncation with these at the far end, sender and wire included.
    #[inline]
    pub(super) fn counts(&self, far: &Lanes) -> Lanes {
        if self.may_be_stiff && each(|i| self.m0[i] + self.m1[i] * far[i]).contains(&0.0) {
            return self.counts_of_stiff(far);
        }
        each(|i| {
            let pin = (self.a0[i] + self.a1[i] * far[i]) / (self.d0[i] + self.d1[i] * far[i]);
            let held = if pin > self.low[i] { pin } else { self.low[i] };
            let held = if held < self.high[i] { held } else { self.high[i] };
            held * self.per_volt[i] + self.added[i]
        })
    }

    /// The boards along the range, the factor of their senders and their wires included where a sender is read. `None`: on
    /// some board a stiff voltage may be on the clamped node.
    pub(super) fn along(&self, is_sender: bool) -> Option<Along> {
        if self.may_be_stiff {
            return None;
        }
        let (factor, wire) =
            if is_sender { (self.far.factor, self.far.wire) } else { ([1.0; LANES], [0.0; LANES]) };
        Some(Along {
            p0: each(|i| (self.a0[i] + self.a1[i] * wire[i]) * self.per_volt[i]),
            p1: each(|i| self.a1[i] * factor[i] * self.per_volt[i]),
            q0: each(|i| self.d0[i] + self.d1[i] * wire[i]),
            q1: each(|i| self.d1[i] * factor[i]),
            low: each(|i| self.low[i] * self.per_volt[i]),
            high: each(|i| self.high[i] * self.per_volt[i]),
            added: self.added,
        })
    }

    /// The same where on some board a stiff voltage is on the clamped node.
    fn counts_of_stiff(&self, far: &Lanes) -> Lanes {
        let open = self.open_counts(far);
        let free = Self { may_be_stiff: false, ..*self };
        let held = free.counts(far);
        each(|i| if self.m0[i] + self.m1[i] * far[i] == 0.0 { open[i] } else { held[i] })
    }

    /// The same with no clamp that holds the pin.
    pub(super) fn open_counts(&self, far: &Lanes) -> Lanes {
        each(|i| {
            let pin = (self.a0[i] + self.a1[i] * far[i]) / (self.d0[i] + self.d1[i] * far[i]);
            pin * self.per_volt[i] + self.added[i]
        })
    }
}

/// A projective source on some boards; see [`crate::chain::Source`].
#[derive(Clone, Copy, Debug)]
struct State {
    n: Lanes,
    d: Lanes,
    m: Lanes,
}

impl State {
    #[inline]
    fn series(&mut self, r: &Lanes) {
        self.m = each(|i| self.m[i] + r[i] * self.d[i]);
    }

    #[inline]
    fn bridge(&mut self, e: &Lanes, r: &Lanes) {
        self.n = each(|i| self.n[i] * r[i] + e[i] * self.m[i]);
        self.d = each(|i| self.d[i] * r[i] + self.m[i]);
        self.m = each(|i| self.m[i] * r[i]);
    }

    #[inline]
    fn conduct(&mut self, e: &Lanes, g: &Lanes) {
        self.n = each(|i| self.n[i] + e[i] * self.m[i] * g[i]);
        self.d = each(|i| self.d[i] + self.m[i] * g[i]);
    }
}

#[inline]
fn scale(lanes: &mut Lanes, by: &Lanes) {
    *lanes = each(|i| lanes[i] * (1.0 + by[i]));
}

#[inline]
fn add(lanes: &mut Lanes, by: &Lanes) {
    *lanes = each(|i| lanes[i] + by[i]);
}

fn step_of((element, band): (&crate::circuit::Element, &Band<Ohms>)) -> Step {
    let ohms = band.lowest.0;
    match element.bridge_to {
        None => Step::Series(ohms),
        Some(to) if matches!(element.of, Of::Gauge | Of::Wet) => Step::Openable { to, siemens: 1.0 / ohms },
        Some(to) => Step::Bridge { to, ohms },
    }
}

impl Collector<'_> {
    /// Tolerance, change with temperature and ageing of each part.
    fn parts(&mut self, board: &Board, input: &Input, varied: &Situation) {
        let (climate, ages) = match varied.outlook {
            Outlook::Nominal => return,
            Outlook::Bench => (Climate::of(board.bench.temperature), false),
            Outlook::Life => (Climate::of(board.ambient), true),
        };
        for (element, of) in varied.elements.iter().map(|element| element.of).enumerate() {
            let Of::Part(role) = of else { continue };
            let Some(part) = input.parts.iter().find(|part| part.role == role) else { continue };
            let ageing = if ages { part.grade.ageing.0 } else { 0.0 };
            for (cause, half) in [
                (Cause::Tolerance, part.grade.tolerance.0),
                (Cause::Tempco, climate.drift(part.grade.tempco).0),
                (Cause::Ageing, ageing),
            ] {
                self.of_part(cause, first_of_group(input, part, varied), Spread::within(half), element);
            }
        }
    }

    /// A source of a part. Parts that track are off by one factor, which goes by the first of them; those of two inputs are
    /// taken as independent.
    fn of_part(&mut self, cause: Cause, role: Role, spread: Spread, element: usize) {
        let (owner, effect) = (Owner::Part(role), Effect::Resistance(element));
        let Whose { of_meter, point } = self.whose;
        // A tolerance is the same while the board is calibrated.
        let point = point.filter(|_| cause != Cause::Tolerance);
        let known = |source: &Source| {
            source.cause == cause
                && source.owner == owner
                && source.of_meter == of_meter
                && source.point == point
        };
        match self.sources.iter().position(known) {
            Some(place) => self.effects.push((place, effect)),
            None => self.add(cause, owner, spread, effect),
        }
    }

    /// What else hangs on the node.
    fn branches(&mut self, input: &Input, [nominal, varied]: [&Situation; 2]) {
        for (place, element) in varied.elements.iter().enumerate() {
            let (band, is) = (varied.resistances[place], nominal.resistances[place].lowest);
            match element.of {
                Of::Existing => {
                    let spread = Spread::between(band.lowest / is - 1.0, band.highest / is - 1.0);
                    self.add(Cause::Existing, Owner::Input, spread, Effect::Resistance(place));
                }
                Of::Gauge => {
                    let Some(gauge) = input.gauge else { continue };
                    let tolerance = Spread::within(gauge.tolerance.0);
                    self.add(Cause::Gauge, Owner::Input, tolerance, Effect::Resistance(place));
                    // It is closed while the board is calibrated.
                    if gauge.is_pulsed() && self.whose.point.is_none() {
                        // Nominally closed; open takes all of its conductance.
                        let spread =
                            Spread { middle: -0.5, standard: 0.5, distribution: Distribution::TwoStates };
                        self.add(Cause::GaugeContact, Owner::Input, spread, Effect::Conductance(place));
                    }
                }
                Of::Wet => {
                    let spread = Spread::between(1.0 / band.highest.0, 1.0 / band.lowest.0);
                    self.add(Cause::Wet, Owner::Input, spread, Effect::Leak(place));
                }
                Of::Far | Of::Fault | Of::Part(_) => {}
            }
        }
    }

    /// Voltages that are not what they nominally are.
    fn voltages(&mut self, varied: &Situation, nominal: &Situation) {
        for (place, (name, band)) in varied.names.iter().zip(&varied.sources).enumerate() {
            let is = nominal.sources[place].lowest;
            let spread = Spread::between((band.lowest - is).0, (band.highest - is).0);
            let effect = Effect::Voltage(place);
            match *name {
                Name::Rail(rail) => self.share(Cause::Rail, Owner::Rail(rail), spread, effect),
                Name::Reference => self.share(Cause::Reference, Owner::Input, spread, effect),
                Name::Supply => self.share(Cause::Supply, Owner::Input, spread, effect),
                Name::Stabiliser => self.add(Cause::Stabiliser, Owner::Input, spread, effect),
                Name::Clamp => self.add(Cause::Clamp, Owner::Input, spread, effect),
                Name::Shift => self.add(Cause::GroundShift, Owner::Input, spread, effect),
                // What is measured, and what all voltages are counted from.
                Name::Far | Name::Ground => {}
            }
        }
    }

    /// The sender or what stands in for it, and the wire.
    fn far(&mut self, board: &Board, input: &Input, [nominal, varied]: [&Situation; 2]) {
        if !matches!(input.drive, Drive::Current(_)) {
            let is = nominal.wire.lowest;
            let spread = Spread::between((varied.wire.lowest - is).0, (varied.wire.highest - is).0);
            self.add(Cause::Wire, Owner::Input, spread, Effect::Wire);
        }
        if let (Some(_), Some(calibration)) = (self.whose.point, &input.calibration) {
            let spread = Spread::within(calibration.accuracy.0);
            self.add(Cause::Calibrator, Owner::Input, spread, Effect::Sender);
            return;
        }
        let Drive::Sender(sender) = &input.drive else { return };
        match varied.outlook {
            Outlook::Nominal => {}
            Outlook::Bench => {
                let spread = Spread::within(board.bench.decade_box.0);
                self.add(Cause::DecadeBox, Owner::Input, spread, Effect::Sender);
            }
            Outlook::Life => {
                let tolerance = Spread::within(sender.tolerance.0);
                self.add(Cause::SenderTolerance, Owner::Input, tolerance, Effect::Sender);
                if sender.accuracy.constant != 0.0 || sender.accuracy.share != 0.0 {
                    self.add(Cause::SenderAccuracy, Owner::Input, Spread::within(1.0), Effect::Accuracy);
                }
                if sender.self_heating.is_some() {
                    self.add(Cause::SelfHeating, Owner::Input, Spread::between(0.0, 1.0), Effect::Warmth);
                }
            }
        }
    }

    /// The errors of the converter; gain is that of both inputs.
    fn converter(&mut self, varied: &Situation) {
        /// A figure of noise is taken as its peak, three standard deviations (common practice).
        const PEAK: f64 = 3.0;
        let converter = &varied.converter;
        let input = Owner::Input;
        self.add(Cause::Leakage, input, Spread::within(varied.leakage.0), Effect::Leakage);
        self.share(Cause::Gain, input, Spread::within(converter.gain.0), Effect::Gain);
        self.keep(Cause::Offset, input, Spread::within(converter.offset.0), Effect::Count);
        self.add(Cause::Inl, input, Spread::within(converter.inl.0), Effect::Count);
        let noise = Spread {
            middle: 0.0,
            standard: converter.noise.0 / PEAK,
            distribution: Distribution::Normal { cut: PEAK },
        };
        self.add(Cause::Noise, input, noise, Effect::Count);
    }
}

/// The first part in the chain that tracks with a part: itself, if none does.
fn first_of_group(input: &Input, part: &Part, situation: &Situation) -> Role {
    let tracks = |other: &&Part| other.tracks.is_some() && other.tracks == part.tracks;
    let of_group = input.parts.iter().filter(tracks);
    let present = of_group.filter(|other| situation.place_of(Of::Part(other.role)).is_some());
    present.map(|other| other.role).next().unwrap_or(part.role)
}
