//! Random boards: every circuit, every option, parts over six decades, from a fixed seed.

use ohmwright::board::{
    Accuracy, Board, Circuit, Clamp, ClampPlace, Converter, Drive, Excitation, Excursion, Existing, Feed,
    Gauge, Grade, Input, LoopSupply, Momentary, Neighbour, Part, Rail, RailId, Reference, Role, Sender,
    Signal, Transmitter, Wet,
};
use ohmwright::curve::{Affine, Beta, Curve, Law, Platinum, SteinhartHart};
use ohmwright::quantity::{Amperes, Band, Celsius, Counts, Fraction, Ohms, PerKelvin, Seconds, Volts, Watts};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

use super::{grade, ideal_board, input, part, rail};

const CIRCUITS: [Circuit; 6] = [
    Circuit::PullUp,
    Circuit::PullDown,
    Circuit::Divider,
    Circuit::LevelShift,
    Circuit::Burden,
    Circuit::Direct,
];

/// A seeded source of random boards.
pub(crate) struct Dice {
    rng: Xoshiro256PlusPlus,
    /// The span of part values, as powers of ten.
    pub(crate) decades: (f64, f64),
}

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self { rng: Xoshiro256PlusPlus::seed_from_u64(seed), decades: (0.0, 6.0) }
    }

    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.rng.random_bool(probability)
    }

    pub(crate) fn uniform(&mut self, lowest: f64, highest: f64) -> f64 {
        lowest + (highest - lowest) * self.rng.random::<f64>()
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        self.rng.random_range(0..count)
    }

    pub(crate) fn bits(&mut self) -> u32 {
        self.rng.random()
    }

    /// Shares of bands: often at an end, where worst cases are, else anywhere between.
    pub(crate) fn shares(&mut self, count: usize) -> Vec<f64> {
        (0..count)
            .map(|_| match self.below(4) {
                0 => 0.0,
                1 => 1.0,
                _ => self.uniform(0.0, 1.0),
            })
            .collect()
    }

    /// Shares of bands: one anywhere, all others at an end.
    pub(crate) fn edge(&mut self, count: usize) -> Vec<f64> {
        let inside = self.below(count);
        let share = |dice: &mut Self, place| {
            if place == inside { dice.uniform(0.0, 1.0) } else { f64::from(u8::from(dice.chance(0.5))) }
        };
        (0..count).map(|place| share(self, place)).collect()
    }

    /// A value whose logarithm is uniform over the decades.
    fn ohms(&mut self) -> f64 {
        let (lowest, highest) = self.decades;
        10_f64.powf(self.uniform(lowest, highest))
    }

    fn series_ohms(&mut self) -> f64 {
        if self.chance(0.15) { 0.0 } else { self.ohms() }
    }

    fn band(&mut self, lowest: f64, highest: f64) -> Band<f64> {
        let (a, b) = (self.uniform(lowest, highest), self.uniform(lowest, highest));
        if self.chance(0.3) { Band::exactly(a) } else { Band::between(a, b) }
    }

    /// A board with one random input.
    pub(crate) fn board(&mut self) -> Board {
        self.board_of(1)
    }

    /// A board with so many random inputs.
    pub(crate) fn board_of(&mut self, inputs: usize) -> Board {
        let rails: Vec<Rail> = (0..=self.below(3)).map(|place| self.rail(place)).collect();
        let input = self.input(&rails);
        let mut board = ideal_board(input);
        for place in 1..inputs {
            let input = self.input(&rails);
            board.inputs.push(Input { name: format!("input {}", place + 1), ..input });
        }
        board.supply.surges = (0..=self.below(2)).map(|_| self.excursion(-100.0, 100.0)).collect();
        board.supply.jump_start = Some(self.excursion(20.0, 30.0));
        board.supply.cranking = Some(Volts(self.uniform(3.0, 9.0)));
        board.supply.reversed = Some(Volts(self.uniform(5.0, 40.0)));
        board.supply.contact = Volts(self.uniform(5.0, 60.0));
        board.ambient = Band { lowest: Celsius(-20.0), highest: Celsius(self.uniform(40.0, 85.0)) };
        board.converter = self.converter(&rails, board.converter);
        board.rails = rails;
        board
    }

    fn excursion(&mut self, lowest: f64, highest: f64) -> Excursion {
        let time = self.chance(0.5).then(|| Seconds(10_f64.powf(self.uniform(-6.0, 2.0))));
        Excursion { voltage: Volts(self.uniform(lowest, highest)), time }
    }

    fn rail(&mut self, place: usize) -> Rail {
        let mut rail = rail(["logic", "sensors", "analogue"][place], self.uniform(1.8, 12.0), 0.05);
        rail.tolerance = Fraction(self.uniform(0.0, 0.05));
        rail.on_when_reversed = self.chance(0.5);
        rail
    }

    fn any(&mut self, rails: &[Rail]) -> RailId {
        RailId(self.below(rails.len()))
    }

    fn converter(&mut self, rails: &[Rail], ideal: Converter) -> Converter {
        let own = Reference::Own { voltage: Volts(self.uniform(1.0, 5.0)), tolerance: Fraction(0.09) };
        Converter {
            bits: [8, 10, 12, 16][self.below(4)],
            reference: if self.chance(0.3) { own } else { Reference::Rail(self.any(rails)) },
            offset: Counts(self.uniform(0.0, 3.0)),
            gain: Fraction(self.uniform(0.0, 0.01)),
            inl: Counts(1.0),
            noise: Counts(self.uniform(0.0, 1.0)),
            leakage: Amperes(if self.chance(0.3) { 0.0 } else { 10_f64.powf(self.uniform(-9.0, -5.5)) }),
            clamp: Volts(self.uniform(0.1, 0.7)),
            clamp_rail: self.any(rails),
            ..ideal
        }
    }

    fn input(&mut self, rails: &[Rail]) -> Input {
        let circuit = CIRCUITS[self.below(CIRCUITS.len())];
        let drive = match circuit {
            Circuit::PullUp | Circuit::PullDown => self.sender(),
            Circuit::Divider | Circuit::LevelShift | Circuit::Direct => self.signal(rails),
            Circuit::Burden => self.transmitter(rails),
        };
        let drive_is_sender = drive.is_sender();
        let mut input = input(circuit, drive, self.parts(circuit));
        if drive_is_sender {
            let rail = Excitation::Rail(self.any(rails));
            input.excitation = Some(if self.chance(0.3) { Excitation::Supply } else { rail });
        }
        if circuit == Circuit::LevelShift {
            input.bias_to = Some(self.any(rails));
        }
        if self.chance(0.3) {
            input.existing =
                Some(Existing { to_ground: Ohms(self.ohms()), tolerance: Fraction(self.uniform(0.0, 0.2)) });
        }
        if circuit == Circuit::PullUp && self.chance(0.35) {
            input.gauge = Some(self.gauge(rails));
            if self.chance(0.3) {
                input.parts.retain(|part| part.role != Role::PullUp);
            }
        }
        if self.chance(0.25) {
            let to = if self.chance(0.5) { Neighbour::Ground } else { Neighbour::Supply };
            input.wet = Some(Wet { to, resistance: Ohms(10_f64.powf(self.uniform(2.0, 5.5))) });
        }
        if self.chance(0.25) {
            input.clamp = Some(Clamp {
                upper: Volts(self.uniform(1.0, 12.0)),
                tolerance: Fraction(self.uniform(0.0, 0.1)),
                current: Amperes(10_f64.powf(self.uniform(-3.0, -1.0))),
                leakage: Amperes(if self.chance(0.2) { 0.0 } else { 10_f64.powf(self.uniform(-8.0, -4.5)) }),
                at: if self.chance(0.6) { ClampPlace::Node } else { ClampPlace::Pin },
            });
        }
        let (wire, shift) = (self.band(0.0, 3.0), self.band(-1.0, 1.0));
        if self.chance(0.7) {
            input.wire = Band { lowest: Ohms(wire.lowest), highest: Ohms(wire.highest) };
        }
        if self.chance(0.7) {
            input.ground_shift = Band { lowest: Volts(shift.lowest), highest: Volts(shift.highest) };
        }
        input
    }

    fn gauge(&mut self, rails: &[Rail]) -> Gauge {
        let from = match self.below(4) {
            0 => Feed::Supply,
            1 => Feed::Rail(self.any(rails)),
            _ => Feed::Stabiliser {
                voltage: Volts(self.uniform(3.0, 12.0)),
                tolerance: Fraction(self.uniform(0.0, 0.2)),
                pulsed: self.chance(0.6),
            },
        };
        Gauge { resistance: Ohms(self.ohms()), tolerance: Fraction(self.uniform(0.0, 0.2)), from }
    }

    pub(crate) fn sender(&mut self) -> Drive {
        let first = self.series_ohms();
        let last = first + self.ohms();
        let points = vec![(0.0, Ohms(first)), (100.0, Ohms(last))];
        let points = if self.chance(0.5) {
            points.iter().rev().map(|&(value, ohms)| (100.0 - value, ohms)).collect()
        } else {
            points
        };
        let accuracy = self.uniform(0.0, 3.0);
        // An end that is small against the range keeps few of its digits on the way along the curve.
        let (least, most) = (first, last);
        let end = least - (most - least) * accuracy / 100.0;
        let keeps_digits = end <= 0.0 || most < 100.0 * end;
        Drive::Sender(Sender {
            curve: Curve::new("%", points).expect("rises or falls"),
            tolerance: Fraction(self.uniform(0.0, 0.1)),
            accuracy: if keeps_digits { Accuracy::constant(accuracy) } else { Accuracy::NONE },
            self_heating: None,
        })
    }

    /// A sender with a bent curve: a thermistor, platinum, or a cubic through points, with a tank behind it or not.
    pub(crate) fn curved_sender(&mut self) -> Drive {
        let range = Band { lowest: self.uniform(-40.0, 60.0), highest: self.uniform(80.0, 150.0) };
        let kelvin = 273.15;
        let law: Law = match self.below(4) {
            0 => Platinum { r0: Ohms([100.0, 1000.0][self.below(2)]) }.into(),
            1 => {
                let beta = self.uniform(2500.0, 5000.0);
                Beta { t0: Celsius(25.0), r0: Ohms(10_f64.powf(self.uniform(2.0, 5.0))), beta }.into()
            }
            // A thermistor of about 10 kΩ whose Beta value rises with its temperature.
            _ => SteinhartHart {
                a: 1.0 / (kelvin + 25.0) - 9.21 * 2.34e-4 - 781.2 * 8.8e-8,
                b: 2.34e-4 * self.uniform(0.9, 1.1),
                c: 8.8e-8 * self.uniform(0.0, 3.0),
            }
            .into(),
        };
        let curve = if self.chance(0.3) {
            Curve::monotone("°C", self.points(range)).expect("rises or falls")
        } else {
            Curve::of_law("°C", Affine::CELSIUS, law, range).expect("a law that holds over the range")
        };
        let curve = if self.chance(0.2) {
            let middle = f64::midpoint(range.lowest, range.highest);
            let rows = [(range.lowest, 0.0), (middle, self.uniform(10.0, 90.0)), (range.highest, 100.0)];
            curve.through_shape("L", &rows).expect("a shape that rises")
        } else {
            curve
        };
        Drive::Sender(Sender {
            curve,
            tolerance: Fraction(self.uniform(0.0, 0.05)),
            accuracy: Accuracy::constant(self.uniform(0.0, 1.0)),
            self_heating: None,
        })
    }

    /// A few points whose resistances rise or fall all the way.
    fn points(&mut self, range: Band<f64>) -> Vec<(f64, Ohms)> {
        let count = 3 + self.below(4);
        let mut ohms = 10_f64.powf(self.uniform(1.0, 3.0));
        let falls = self.chance(0.7);
        let mut points = Vec::new();
        for i in 0..count {
            let share = i as f64 / (count - 1) as f64;
            points.push((range.lowest + (range.highest - range.lowest) * share, Ohms(ohms)));
            ohms *= self.uniform(1.05, 3.0);
        }
        if falls {
            let values: Vec<f64> = points.iter().map(|point| point.0).collect();
            points.reverse();
            for (point, value) in points.iter_mut().zip(values) {
                point.0 = value;
            }
        }
        points
    }

    /// A sensor that is fed by a rail stays between ground and that rail; any other voltage may have any sign.
    fn signal(&mut self, rails: &[Rail]) -> Drive {
        let scales_with = self.chance(0.3).then(|| self.any(rails));
        let (lowest, highest) = scales_with.map_or((-10.0, 40.0), |id| (0.0, rails[id.0].voltage.0));
        let first = if self.chance(0.3) { 0.0 } else { self.uniform(lowest, highest) };
        let last = self.uniform(lowest, highest);
        let curve = Curve::new("%", vec![(0.0, Volts(first)), (100.0, Volts(last))]);
        Drive::Signal(Signal {
            curve: curve.expect("two different ends"),
            from_supply: scales_with.is_none() && self.chance(0.4),
            scales_with,
            resistance: Ohms(if self.chance(0.3) { 0.0 } else { self.ohms() }),
        })
    }

    fn transmitter(&mut self, rails: &[Rail]) -> Drive {
        let first = if self.chance(0.3) { 0.0 } else { self.uniform(0.0, 0.025) };
        let points = vec![(0.0, Amperes(first)), (100.0, Amperes(self.uniform(0.0, 0.025)))];
        let loop_supply = match self.below(3) {
            0 => LoopSupply::Supply,
            1 => LoopSupply::Rail(self.any(rails)),
            _ => LoopSupply::Own(Band::within(
                Volts(self.uniform(5.0, 30.0)),
                Fraction(self.uniform(0.0, 0.1)),
            )),
        };
        Drive::Current(Transmitter {
            curve: Curve::new("%", points).expect("two different ends"),
            compliance: self.chance(0.5).then(|| Volts(self.uniform(1.0, 20.0))),
            loop_supply,
        })
    }

    fn parts(&mut self, circuit: Circuit) -> Vec<Part> {
        let mut parts = Vec::new();
        let mut maybe = |dice: &mut Self, role, probability| {
            if dice.chance(probability) {
                let ohms = match role {
                    Role::PullUp
                    | Role::PullDown
                    | Role::Shunt
                    | Role::Bias
                    | Role::Bottom
                    | Role::Burden => dice.ohms(),
                    _ => dice.series_ohms(),
                };
                let mut part = part(role, ohms, 0.0);
                part.grade = dice.grade();
                parts.push(part);
            }
        };
        match circuit {
            Circuit::PullUp => {
                maybe(self, Role::Line, 0.5);
                maybe(self, Role::PullUp, 1.0);
                maybe(self, Role::Shunt, 0.5);
                if self.chance(0.5) {
                    maybe(self, Role::Top, 1.0);
                    maybe(self, Role::Bottom, 1.0);
                }
            }
            Circuit::PullDown => {
                maybe(self, Role::Line, 0.5);
                maybe(self, Role::PullDown, 1.0);
            }
            Circuit::Divider => {
                maybe(self, Role::Extension, 0.5);
                maybe(self, Role::Top, 1.0);
                maybe(self, Role::Bottom, 1.0);
            }
            Circuit::LevelShift => {
                maybe(self, Role::Top, 1.0);
                maybe(self, Role::Bias, 1.0);
                maybe(self, Role::Bottom, 1.0);
            }
            Circuit::Burden => maybe(self, Role::Burden, 1.0),
            Circuit::Direct => {}
        }
        maybe(self, Role::Protection, 0.8);
        parts
    }

    /// Puts parts into one or two groups; those of one group are of one grade.
    pub(crate) fn track(&mut self, input: &mut Input) {
        let two = self.chance(0.3) && input.parts.len() > 3;
        for part in &mut input.parts {
            let group = if two && self.chance(0.5) { "a" } else { "b" };
            part.tracks = self.chance(0.8).then(|| group.to_owned());
        }
        for group in ["a", "b"] {
            let is_in = |part: &&mut Part| part.tracks.as_deref() == Some(group);
            let Some(grade) = input.parts.iter_mut().find(is_in).map(|part| part.grade.clone()) else {
                continue;
            };
            for part in input.parts.iter_mut().filter(is_in) {
                part.grade.clone_from(&grade);
            }
        }
    }

    fn momentary(&mut self) -> Momentary {
        Momentary {
            power: Watts(self.uniform(0.1, 1.0)),
            voltage: Volts(self.uniform(100.0, 400.0)),
            time: Seconds(10_f64.powf(self.uniform(-3.0, 1.0))),
        }
    }

    fn grade(&mut self) -> Grade {
        Grade {
            tempco: PerKelvin(self.uniform(0.0, 200e-6)),
            ageing: Fraction(self.uniform(0.0, 0.03)),
            momentary: self.chance(0.5).then(|| self.momentary()),
            ..grade(self.uniform(0.0, 0.1))
        }
    }
}
