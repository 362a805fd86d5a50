//! Readings that are corrected by the supply: by hand, and against firmware that is simulated by plain formulas.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::answer::{Answer, Verdict};
use ohmwright::board::{
    Accuracy, Aim, Alarm, Board, Choice, Circuit, Drive, Excitation, Existing, Feed, Gauge, Input, InputId,
    RailId, Reference, Role, SelfHeating, Sender, Setting, Side, Signal,
};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Outlook, Scene, Values};
use ohmwright::curve::Curve;
use ohmwright::examine::answer;
use ohmwright::quantity::{Band, Counts, Fraction, Ohms, Volts, WattsPerKelvin};
use ohmwright::reading::{Firmware, greatest_error_of};
use ohmwright::search;
use ohmwright::series::{Series, candidates};
use support::dice::Dice;
use support::{ideal_board, input, part, rail, signal};

/// A pull-up of 200 Ω to the supply before a sender that reads its ohms from 0 to 200; half of the supply at the second
/// input; a reference of 10 V, 10 bits, no errors.
fn field_board(corrected: bool) -> Board {
    let curve = Curve::new("Ω", vec![(0.0, Ohms(0.0)), (200.0, Ohms(200.0))]).unwrap();
    let sender = Sender { curve, tolerance: Fraction(0.0), accuracy: Accuracy::NONE, self_heating: None };
    let mut tank = input(Circuit::PullUp, Drive::Sender(sender), vec![part(Role::PullUp, 200.0, 0.0)]);
    tank.excitation = Some(Excitation::Supply);
    tank.corrected_by = corrected.then_some(InputId(1));
    let drive = Drive::Signal(Signal { from_supply: true, ..signal(0.0, 20.0) });
    let parts = vec![part(Role::Top, 10e3, 0.0), part(Role::Bottom, 10e3, 0.0)];
    let mut board = ideal_board(tank);
    board.inputs.push(input(Circuit::Divider, drive, parts));
    board.rails = vec![rail("logic", 10.0, 0.0)];
    board.supply.swing = Band { lowest: Volts(12.0), highest: Volts(14.4) };
    board.supply.usual = Volts(12.0);
    board
}

/// Field case: 12 V excites the sender through 200 Ω, and firmware that takes the supply for 12 V shows 100 Ω as 133 Ω at
/// 14.4 V. By hand: 14.4 V · 100/300 = 4.8 V is 491.52 counts, and 200 · 491.5/(1228.8 − 491.5) = 133.324.
#[test]
fn without_correction_a_supply_that_charges_shows_a_third_too_much() {
    let board = field_board(false);
    let tank = &board.inputs[0];
    let values = Values::given(tank);
    let firmware = Firmware::new(&board, tank, &values);
    let shown =
        firmware.readings(Outlook::Life, 100.0, Band { lowest: Counts(409.0), highest: Counts(491.0) });
    assert!((shown.unwrap().highest - 98_300.0 / 737.3).abs() < 1e-9, "{shown:?}");
}

/// By hand: with n1 and n2 for the two counts R = 200 · n1/(2·n2 − n1). At 12 V the pins give 409.6 and 614.4 counts, at
/// 14.4 V 491.52 and 737.28. Half a count on both is worst at 12 V: 200 · 410.1/(2 · 613.9 − 410.1) = 100.3057 and
/// 200 · 409.1/(2 · 614.9 − 409.1) = 99.6954; nominal firmware has 409.5 and 614.5.
#[test]
fn corrected_the_same_reading_is_right_to_within_two_counts() {
    let board = field_board(true);
    let tank = &board.inputs[0];
    let values = Values::given(tank);
    let firmware = Firmware::new(&board, tank, &values);
    let shown = firmware.corrected(Outlook::Life, 100.0).unwrap();
    // The slack of a truncation is a billionth of a count.
    assert!((shown.highest - 82_020.0 / 817.7).abs() < 1e-8, "{shown:?}");
    assert!((shown.lowest - 81_820.0 / 820.7).abs() < 1e-8, "{shown:?}");
    assert!((firmware.reading(Counts(409.0)) - 81_900.0 / 819.5).abs() < 1e-9);
}

/// By hand: 100 mV between the samples at 12 V is 100/12000 of the ratio: the sender sees 12.1 V, the other input 12 V, so
/// that n1 = 413.0133 and n2 = 614.4.
#[test]
fn a_change_between_the_samples_adds_its_share() {
    let mut board = field_board(true);
    board.supply.change_between_samples = Volts(0.1);
    let tank = &board.inputs[0];
    let values = Values::given(tank);
    let shown = Firmware::new(&board, tank, &values).corrected(Outlook::Life, 100.0).unwrap();
    let n1 = 12.1 / 3.0 / 10.0 * 1024.0 + 0.5;
    assert!((shown.highest - 200.0 * n1 / (2.0 * 613.9 - n1)).abs() < 1e-8, "{shown:?}");
    let (n1, n2) = (409.1, 6.05 / 10.0 * 1024.0 + 0.5);
    assert!((shown.lowest - 200.0 * n1 / (2.0 * n2 - n1)).abs() < 1e-8, "{shown:?}");
}

/// By hand: at 0 Ω n1 is 0 whatever the supply, and 0.5 is read: 200 · 0.5/(2·n2 − 0.5), with n2 + 0.5 from 613.9 to
/// 737.78.
#[test]
fn a_count_held_at_the_bottom_still_sees_the_supply_move() {
    let board = field_board(true);
    let values = Values::given(&board.inputs[0]);
    let shown = Firmware::new(&board, &board.inputs[0], &values).corrected(Outlook::Life, 0.0).unwrap();
    assert!((shown.lowest - 100.0 / (2.0 * 737.78 - 0.5)).abs() < 1e-9, "{shown:?}");
    assert!((shown.highest - 100.0 / (2.0 * 613.9 - 0.5)).abs() < 1e-9, "{shown:?}");
}

/// By hand: with a reference of 5 V and a quarter of the supply at the second input 150 Ω are beyond the top at any supply.
/// 1023.5 counts are 4.9976 V, the supply is taken for 11.9902 V to 14.4098 V, and 200 · 4.9976/(V − 4.9976) goes from
/// 106.19 to 142.94.
#[test]
fn a_count_held_at_the_top_reads_less_the_higher_the_supply() {
    let mut board = field_board(true);
    board.rails[0].voltage = Volts(5.0);
    board.inputs[1].parts[0] = part(Role::Top, 30e3, 0.0);
    let values = Values::given(&board.inputs[0]);
    let shown = Firmware::new(&board, &board.inputs[0], &values).corrected(Outlook::Life, 150.0).unwrap();
    let pin = 1023.5 / 1024.0 * 5.0;
    let read = |n2: f64| 200.0 * pin / (n2 / 1024.0 * 20.0 - pin);
    assert!((shown.lowest - read(737.78)).abs() < 1e-8, "{shown:?}");
    assert!((shown.highest - read(613.9)).abs() < 1e-8, "{shown:?}");
    assert!((read(737.78) - 106.19).abs() < 0.01 && (read(613.9) - 142.94).abs() < 0.01);
}

/// What both inputs share on one board.
struct Shared {
    rails: Vec<f64>,
    reference: f64,
    gain: f64,
    supplies: [f64; 2],
}

/// Where in its band a parameter sits, from 0 to 1, one after the other.
type Shares<'s> = &'s mut dyn FnMut() -> f64;

fn at(band: (f64, f64), share: f64) -> f64 {
    // Exactly the ends.
    if share >= 1.0 { band.1 } else { band.0 + (band.1 - band.0) * share }
}

fn within(value: f64, share_of_it: f64, share: f64) -> f64 {
    at((value * (1.0 - share_of_it), value * (1.0 + share_of_it)), share)
}

/// A voltage behind a resistance.
#[derive(Clone, Copy)]
struct Behind(f64, f64);

impl Behind {
    fn series(self, r: f64) -> Self {
        Self(self.0, self.1 + r)
    }

    fn bridge(self, e: f64, r: f64) -> Self {
        Self((self.0 * r + e * self.1) / (self.1 + r), self.1 * r / (self.1 + r))
    }
}

/// The voltage of a pin. The supply is what excites or what is measured; `value` is that of the sender.
fn pin(board: &Board, place: usize, shared: &Shared, value: f64, share: Shares<'_>, is_clamped: bool) -> f64 {
    let (input, supply) = (&board.inputs[place], shared.supplies[place]);
    let wire = at((input.wire.lowest.0, input.wire.highest.0), share());
    let shift = at((input.ground_shift.lowest.0, input.ground_shift.highest.0), share());
    let leakage = at((-board.converter.leakage.0, board.converter.leakage.0), share());
    let mut part = |role: Role| {
        let part = input.parts.iter().find(|part| part.role == role)?;
        let value = Values::given(input).get(role)?.0;
        Some(within(value, part.grade.tolerance.0, share()))
    };
    let mut parts: Vec<(Role, f64)> = Vec::new();
    for role in [
        Role::Line,
        Role::PullUp,
        Role::PullDown,
        Role::Shunt,
        Role::Extension,
        Role::Top,
        Role::Bias,
        Role::Bottom,
        Role::Protection,
    ] {
        parts.extend(part(role).map(|ohms| (role, ohms)));
    }
    let existing = input.existing.map(|known| within(known.to_ground.0, known.tolerance.0, share()));
    let gauge = input.gauge.map(|gauge| within(gauge.resistance.0, gauge.tolerance.0, share()));
    let of = |role: Role| parts.iter().find(|(known, _)| *known == role).map(|(_, ohms)| *ohms);
    let or_0 = |role: Role| of(role).unwrap_or(0.0);
    let far = match &input.drive {
        Drive::Sender(sender) => {
            let shown = value + sender.accuracy.constant * (2.0 * share() - 1.0);
            let ((x0, r0), (x1, r1)) = (sender.curve.first(), sender.curve.last());
            let ohms = r0.0 + (r1.0 - r0.0) * (shown - x0) / (x1 - x0);
            within(ohms.max(0.0), sender.tolerance.0, share())
        }
        Drive::Signal(signal) => signal.resistance.0,
        Drive::Current(_) => panic!("no current here"),
    };
    let mut node = match input.circuit {
        Circuit::PullUp => {
            let node = Behind(shift, far + wire).series(or_0(Role::Line));
            let excitation =
                if input.excitation == Some(Excitation::Supply) { supply } else { shared.rails[0] };
            let node = node.bridge(excitation, of(Role::PullUp).unwrap());
            gauge.map_or(node, |gauge| node.bridge(supply, gauge))
        }
        Circuit::PullDown => {
            Behind(supply, far + wire).series(or_0(Role::Line)).bridge(0.0, of(Role::PullDown).unwrap())
        }
        _ => Behind(supply + shift, far + wire).series(or_0(Role::Extension)),
    };
    if let Some(shunt) = of(Role::Shunt) {
        node = node.bridge(0.0, shunt);
    }
    if let Some(existing) = existing.filter(|_| input.drive.is_sender()) {
        node = node.bridge(0.0, existing);
    }
    node = node.series(or_0(Role::Top));
    if let Some(bias) = of(Role::Bias) {
        node = node.bridge(shared.rails[input.bias_to.unwrap().0], bias);
    }
    if let Some(bottom) = of(Role::Bottom) {
        node = node.bridge(0.0, bottom);
    }
    let node = node.series(or_0(Role::Protection));
    let volts = node.0 + leakage * node.1;
    if !is_clamped {
        return volts;
    }
    let clamp = board.converter.clamp.0;
    volts.max(-clamp).min(shared.rails[board.converter.clamp_rail.0] + clamp)
}

/// The count of an input before truncation, without offset, nonlinearity and noise.
fn count(board: &Board, place: usize, shared: &Shared, value: f64, share: Shares<'_>) -> f64 {
    let volts = pin(board, place, shared, value, share, true);
    volts / shared.reference * full_scale(board) * (1.0 + shared.gain)
}

fn full_scale(board: &Board) -> f64 {
    2_f64.powi(i32::try_from(board.converter.bits).unwrap())
}

/// What the firmware takes for granted.
fn nominal(board: &Board, supply: f64) -> Shared {
    Shared {
        rails: board.rails.iter().map(|rail| rail.voltage.0).collect(),
        reference: match board.converter.reference {
            Reference::Rail(RailId(rail)) => board.rails[rail].voltage.0,
            Reference::Own { voltage, .. } => voltage.0,
        },
        gain: 0.0,
        supplies: [supply; 2],
    }
}

/// What the firmware shows for n1 + 0.5 and n2 + 0.5.
fn shown(board: &Board, [middle, of_supply]: [f64; 2]) -> f64 {
    let reference = nominal(board, 0.0).reference;
    let full = full_scale(board);
    let [zero, one] = [0.0, 1.0].map(|v| pin(board, 1, &nominal(board, v), 0.0, &mut || 0.5, false));
    let measured = match &board.inputs[1].drive {
        Drive::Signal(signal) => [signal.curve.first().1.0, signal.curve.last().1.0],
        _ => panic!("no voltage"),
    };
    let supply = ((of_supply / full * reference - zero) / (one - zero)).clamp(measured[0], measured[1]);
    let shared = nominal(board, supply);
    let volts = |value| pin(board, 0, &shared, value, &mut || 0.5, false);
    let (mut a, mut b) = board.inputs[0].range();
    let sign = board.inputs[0].direction();
    if sign * (volts(b) - volts(a)) <= 0.0 {
        return if sign > 0.0 { b } else { a };
    }
    let wanted = middle / full * reference;
    let below = |value: f64| sign * (volts(value) - wanted) < 0.0;
    if !below(a) {
        return a;
    }
    if below(b) {
        return b;
    }
    for _ in 0..60 {
        let half = f64::midpoint(a, b);
        if below(half) {
            a = half;
        } else {
            b = half;
        }
    }
    f64::midpoint(a, b)
}

/// n + 0.5, held to the ends of the converter.
fn held(board: &Board, middle: f64) -> f64 {
    middle.clamp(0.5, full_scale(board) - 0.5)
}

/// A random board: a sender that the supply excites, and an input that measures that supply.
fn random_board(dice: &mut Dice) -> Board {
    let is_direct = dice.chance(0.15);
    let reference = if is_direct { 30.0 } else { dice.uniform(3.0, 6.0) };
    let lowest = dice.uniform(8.0, 12.0);
    let highest = if dice.chance(0.1) { lowest } else { lowest + dice.uniform(0.5, 8.0) };
    let tank = sender_input(dice, reference / highest);
    let meter = meter_input(dice, is_direct, reference, highest);
    let mut board = ideal_board(tank);
    board.inputs.push(meter);
    board.rails = vec![rail("logic", reference, 0.0), rail("bias", dice.uniform(2.0, 9.0), 0.0)];
    for rail in &mut board.rails {
        rail.tolerance = Fraction(dice.uniform(0.0, 0.04));
    }
    board.supply.swing = Band { lowest: Volts(lowest), highest: Volts(highest) };
    board.supply.usual = Volts(dice.uniform(lowest, highest));
    board.supply.change_between_samples =
        Volts(if dice.chance(0.4) { 0.0 } else { 10_f64.powf(dice.uniform(-2.0, 1.0)) });
    let converter = &mut board.converter;
    converter.bits = [8, 10, 12][dice.below(3)];
    if dice.chance(0.3) {
        converter.reference =
            Reference::Own { voltage: Volts(reference), tolerance: Fraction(dice.uniform(0.0, 0.05)) };
    }
    converter.clamp_rail = RailId(usize::from(dice.chance(0.15)));
    converter.offset = Counts(dice.uniform(0.0, 2.0));
    converter.inl = Counts(dice.uniform(0.0, 1.0));
    converter.noise = Counts(dice.uniform(0.0, 0.5));
    converter.gain = Fraction(if dice.chance(0.3) { 0.0 } else { dice.uniform(0.0, 0.01) });
    converter.leakage.0 = if dice.chance(0.3) { 0.0 } else { 1e-6 };
    board
}

/// What the wire and its ground may do.
fn surroundings(dice: &mut Dice, input: &mut Input) {
    if dice.chance(0.6) {
        input.wire = Band { lowest: Ohms(0.0), highest: Ohms(dice.uniform(0.0, 3.0)) };
    }
    if dice.chance(0.6) {
        let shift = Band::between(dice.uniform(-0.1, 0.1), dice.uniform(-0.1, 0.1));
        input.ground_shift = Band { lowest: Volts(shift.lowest), highest: Volts(shift.highest) };
    }
}

/// A sender of 10 Ω to some kilohms whose pin gets up to about the reference, or beyond.
fn sender_input(dice: &mut Dice, share: f64) -> Input {
    let (low, high) = (dice.uniform(1.0, 50.0), dice.uniform(80.0, 3000.0));
    let tolerance = dice.uniform(0.0, 0.03);
    let points = if dice.chance(0.5) { [low, high] } else { [high, low] };
    let curve = Curve::new("%", vec![(0.0, Ohms(points[0])), (100.0, Ohms(points[1]))]).unwrap();
    let sender = Sender {
        curve,
        tolerance: Fraction(dice.uniform(0.0, 0.03)),
        accuracy: Accuracy::constant(dice.uniform(0.0, 1.0)),
        self_heating: None,
    };
    let is_pulled_up = dice.chance(0.6);
    // At this share of the supply the pin is where the reference is.
    let reach = share.min(0.9) * dice.uniform(0.6, 1.1);
    let mut parts = Vec::new();
    if dice.chance(0.4) {
        parts.push(part(Role::Line, dice.uniform(0.5, 10.0), tolerance));
    }
    let mut gauge = None;
    let circuit = if is_pulled_up {
        parts.push(part(Role::PullUp, high * (1.0 - reach) / reach, tolerance));
        if dice.chance(0.3) {
            let resistance = Ohms(high * dice.uniform(1.0, 5.0) * (1.0 - reach) / reach);
            let tolerance = Fraction(dice.uniform(0.0, 0.05));
            gauge = Some(Gauge { resistance, tolerance, from: Feed::Supply });
        }
        if dice.chance(0.3) {
            parts.push(part(Role::Shunt, high * dice.uniform(1.0, 10.0), tolerance));
        }
        if dice.chance(0.3) {
            parts.push(part(Role::Top, dice.uniform(1e3, 1e4), tolerance));
            parts.push(part(Role::Bottom, dice.uniform(1e4, 1e5), tolerance));
        }
        Circuit::PullUp
    } else {
        parts.push(part(Role::PullDown, low * reach / (1.0 - reach), tolerance));
        Circuit::PullDown
    };
    if dice.chance(0.7) {
        parts.push(part(Role::Protection, dice.uniform(10.0, 2e4), tolerance));
    }
    let mut input = input(circuit, Drive::Sender(sender), parts);
    let is_fed_by_gauge = gauge.is_some() && dice.chance(0.5);
    let rail = Excitation::Rail(RailId(0));
    input.excitation = Some(if is_fed_by_gauge { rail } else { Excitation::Supply });
    input.gauge = gauge;
    input.corrected_by = Some(InputId(1));
    if dice.chance(0.2) {
        let to_ground = Ohms(dice.uniform(1e3, 1e5));
        input.existing = Some(Existing { to_ground, tolerance: Fraction(dice.uniform(0.0, 0.1)) });
    }
    surroundings(dice, &mut input);
    input
}

fn meter_input(dice: &mut Dice, is_direct: bool, reference: f64, highest: f64) -> Input {
    let top = highest * if dice.chance(0.85) { dice.uniform(1.0, 1.3) } else { dice.uniform(0.9, 1.0) };
    let mut signal = Signal { from_supply: true, ..signal(0.0, top) };
    signal.resistance = Ohms(dice.uniform(0.0, 2.0));
    let tolerance = dice.uniform(0.0, 0.02);
    let bottom = dice.uniform(2e3, 2e4);
    let ratio = reference / top * dice.uniform(0.8, 1.02);
    let mut input = if is_direct {
        input(Circuit::Direct, Drive::Signal(signal), Vec::new())
    } else if dice.chance(0.7) {
        let parts = vec![
            part(Role::Top, bottom * (1.0 - ratio) / ratio, tolerance),
            part(Role::Bottom, bottom, tolerance),
        ];
        input(Circuit::Divider, Drive::Signal(signal), parts)
    } else {
        let parts = vec![
            part(Role::Top, bottom * (1.0 - ratio) / ratio * dice.uniform(1.0, 2.0), tolerance),
            part(Role::Bias, bottom * dice.uniform(2.0, 10.0), tolerance),
            part(Role::Bottom, bottom, tolerance),
        ];
        let mut input = input(Circuit::LevelShift, Drive::Signal(signal), parts);
        input.bias_to = Some(RailId(usize::from(dice.chance(0.5))));
        input
    };
    surroundings(dice, &mut input);
    input
}

/// What is shared, at shares of the bands; the last share is that of the change between the samples.
fn shared_at(board: &Board, share: Shares<'_>) -> Shared {
    let rails: Vec<f64> =
        board.rails.iter().map(|rail| within(rail.voltage.0, rail.tolerance.0, share())).collect();
    let reference = match board.converter.reference {
        Reference::Rail(RailId(rail)) => rails[rail],
        Reference::Own { voltage, tolerance } => within(voltage.0, tolerance.0, share()),
    };
    let gain = board.converter.gain.0 * (2.0 * share() - 1.0);
    let (lowest, highest) = (board.supply.swing.lowest.0, board.supply.swing.highest.0);
    let change = board.supply.change_between_samples.0.min(highest - lowest);
    // Both samples inside the swing.
    let low = at((lowest, highest - change), share());
    let moved = at((-change, change), share());
    let supplies = if moved >= 0.0 { [low + moved, low] } else { [low, low - moved] };
    Shared { rails, reference, gain, supplies }
}

/// Bits as shares, one after the other.
fn bits(set: u32) -> impl FnMut() -> f64 {
    let mut place = 0;
    move || {
        place += 1;
        f64::from(set >> (place - 1) & 1)
    }
}

/// How many parameters a function asks for.
fn asked(of: impl Fn(Shares<'_>)) -> u32 {
    let mut count = 0;
    of(&mut || {
        count += 1;
        0.5
    });
    count
}

/// The least and the greatest of what corners of some parameters give.
fn corners(of: impl Fn(Shares<'_>) -> f64) -> [f64; 2] {
    let count = asked(|share| {
        of(share);
    });
    (0..1_u32 << count)
        .map(|set| of(&mut bits(set)))
        .fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], x| [a.min(x), b.max(x)])
}

/// The least and the greatest reading of boards at ends of everything, a truncation taken at its ends; and whether any
/// count or estimate was held on the way.
fn plain_corners(board: &Board, value: f64) -> ([f64; 2], bool) {
    // Up to a whole number a truncation has a slack of a billionth.
    let added = board.converter.added().0 + 0.5;
    let middle = |count: f64, up: bool| if up { count + added + 1e-9 } else { count - added };
    let sets = asked(|share| {
        shared_at(board, share);
    });
    let (mut band, mut is_held) = ([f64::INFINITY, f64::NEG_INFINITY], false);
    for set in 0..1_u32 << sets {
        let shared = shared_at(board, &mut bits(set));
        let of_sender = corners(|share| count(board, 0, &shared, value, share));
        let of_supply = corners(|share| count(board, 1, &shared, 0.0, share));
        for up in [0, 1] {
            let middles = [middle(of_sender[up], up == 1), middle(of_supply[1 - up], up == 0)];
            let fine = middles.map(|middle| held(board, middle));
            is_held |= fine != middles || is_beyond(board, &shared, middles[1]);
            let reading = shown(board, fine);
            band = [band[0].min(reading), band[1].max(reading)];
        }
    }
    (band, is_held)
}

/// Whether the supply may be taken for something beyond what is measured, or a clamp is near.
fn is_beyond(board: &Board, shared: &Shared, of_supply: f64) -> bool {
    let Drive::Signal(signal) = &board.inputs[1].drive else { panic!("no voltage") };
    let [zero, one] = [0.0, 1.0].map(|v| pin(board, 1, &nominal(board, v), 0.0, &mut || 0.5, false));
    let volts = of_supply / full_scale(board) * nominal(board, 0.0).reference;
    let top = shared.rails[board.converter.clamp_rail.0] + board.converter.clamp.0;
    (volts - zero) / (one - zero) > signal.curve.last().1.0 || top < shared.reference * 1.05
}

/// The greatest error of the first input with these parts.
fn greatest_error(board: &Board, values: &Values) -> ohmwright::reading::Found {
    let scene = Scene::new(board, &board.inputs[0], values);
    let ohms = [&scene.nominal.resistances, &scene.situations[Scene::NORMAL].resistances];
    greatest_error_of(&board.inputs[0], &scene, ohms.map(Vec::as_slice)).unwrap()
}

#[test]
fn no_simulated_board_leaves_the_life_band_and_boards_at_the_ends_reach_it() {
    let mut dice = Dice::new(70);
    let (mut attained, mut inside, mut close, mut bands) = (0, 0, 0, 0);
    for round in 0..260 {
        let board = random_board(&mut dice);
        let tank = &board.inputs[0];
        let values = Values::given(tank);
        let firmware = Firmware::new(&board, tank, &values);
        let end = 100.0 * f64::from(u8::from(dice.chance(0.5)));
        for value in [end, dice.uniform(5.0, 95.0), dice.uniform(5.0, 95.0)] {
            let band = firmware.corrected(Outlook::Life, value).unwrap();
            for draw in 0..300 {
                let shares = dice.shares(64);
                let mut shares = shares.into_iter();
                let mut share = || shares.next().unwrap();
                let shared = shared_at(&board, &mut share);
                let middles = [0, 1].map(|place| {
                    let added = board.converter.added().0 * (2.0 * share() - 1.0);
                    let count = count(&board, place, &shared, value, &mut share) + added;
                    held(&board, (count + 1e-9).floor() + 0.5)
                });
                let reading = shown(&board, middles);
                assert!(
                    band.lowest - 1e-9 <= reading && reading <= band.highest + 1e-9,
                    "round {round}, draw {draw}: {reading} outside {band:?} at {value}, {board:#?}"
                );
            }
            let ([lowest, highest], is_held) = plain_corners(&board, value);
            let outside = (band.lowest - lowest).max(highest - band.highest);
            assert!(outside <= 1e-9, "round {round}: {lowest}..{highest} outside {band:?}, {board:#?}");
            let off = (lowest - band.lowest).max(band.highest - highest);
            bands += 1;
            close += usize::from(off <= 1e-9);
            if !is_held {
                assert!(off <= 1e-9, "round {round}: {lowest}..{highest} in {band:?} at {value}, {board:#?}");
                attained += 1;
                inside += usize::from(0.0 < band.lowest && band.highest < 100.0);
            }
        }
    }
    assert!(
        attained > bands / 3 && inside > bands / 5 && close > bands / 2,
        "{attained}, {inside}, {close} of {bands}"
    );
}

#[test]
fn no_simulated_board_is_off_by_more_than_the_greatest_error_and_one_nearly_is() {
    let mut dice = Dice::new(71);
    let mut compared = 0;
    for round in 0..60 {
        let mut board = random_board(&mut dice);
        if dice.chance(0.5) {
            let zone = Band::between(dice.uniform(0.0, 100.0), dice.uniform(0.0, 100.0));
            board.inputs[0].zone = Some(zone);
        }
        let tank = &board.inputs[0];
        let values = Values::given(tank);
        let found = greatest_error(&board, &values);
        let firmware = Firmware::new(&board, tank, &values);
        let off = |[lowest, highest]: [f64; 2], value: f64| (highest - value).max(value - lowest);
        let zone = tank.zone();
        for i in 0..=40 {
            let value = zone.lowest + (zone.highest - zone.lowest) * f64::from(i) / 40.0;
            let band = firmware.corrected(Outlook::Life, value).unwrap();
            assert!(
                off([band.lowest, band.highest], value) <= found.value + 1e-9,
                "round {round} at {value}"
            );
        }
        let (band, is_held) = plain_corners(&board, found.at);
        let reached = off(band, found.at);
        assert!(reached <= found.value + 1e-9, "round {round}: {reached}, {found:?}");
        if !is_held {
            assert!(found.value - reached <= 100.0 / 65_536.0 + 1e-7, "round {round}: {reached}, {found:?}");
            compared += 1;
        }
    }
    assert!(compared > 15, "{compared}");
}

/// A sender that its own current warms has one more source of error, which both ways to look at it know.
#[test]
fn a_sender_that_warms_itself_is_off_by_more_and_not_beyond_the_greatest_error() {
    let mut dice = Dice::new(73);
    let mut further = 0;
    for round in 0..20 {
        let mut board = random_board(&mut dice);
        let values = Values::given(&board.inputs[0]);
        let cold = greatest_error(&board, &values).value;
        if let Drive::Sender(sender) = &mut board.inputs[0].drive {
            let per_kelvin = WattsPerKelvin(dice.uniform(0.005, 0.05));
            sender.self_heating = Some(SelfHeating { per_kelvin, units_per_kelvin: 1.0 });
        }
        let found = greatest_error(&board, &values);
        assert!(found.value >= cold, "round {round}: {cold}, {found:?}");
        further += usize::from(found.value > cold + 0.1);
        let firmware = Firmware::new(&board, &board.inputs[0], &values);
        let off = |value: f64| {
            let band = firmware.corrected(Outlook::Life, value).unwrap();
            (band.highest - value).max(value - band.lowest)
        };
        let most = (0..=40).map(|i| off(f64::from(i) * 2.5)).fold(0.0, f64::max);
        assert!(most <= found.value + 1e-9, "round {round}: {most}, {found:?}");
        assert!(found.value - off(found.at) <= 100.0 / 65_536.0 + 1e-9, "round {round}: {found:?}");
    }
    assert!(further > 6, "{further}");
}

/// A part of the sender's input to be chosen among a dozen values, every other limit off.
fn open_board(dice: &mut Dice) -> (Board, Vec<Values>) {
    let mut board = random_board(dice);
    let tank = &mut board.inputs[0];
    let fed = |role: Role| matches!(role, Role::PullUp | Role::PullDown);
    let given = Values::given(tank);
    let part = tank.parts.iter_mut().find(|part| fed(part.role)).unwrap();
    let (role, ohms) = (part.role, given.get(part.role).unwrap());
    let list = candidates(&[Series::E6], Band { lowest: ohms * 0.1, highest: ohms * 10.0 });
    let all = list.iter().map(|preferred| {
        let mut values = given;
        values.set(role, Some(preferred.ohms));
        values
    });
    let all = all.collect();
    part.choice = Choice::Choose { candidates: list, or_none: false };
    tank.aim = Aim::Error;
    let limits = &mut tank.limits;
    (limits.converter_range, limits.pin_current) = (Setting::Off, Setting::Off);
    (limits.dissipation, limits.part_voltage) = (Setting::Off, Setting::Off);
    (limits.settling, limits.source_resistance) = (Setting::Off, Setting::Off);
    (board, all)
}

#[test]
fn the_smallest_error_is_that_of_a_plain_search_and_a_limit_of_it_holds() {
    let mut dice = Dice::new(72);
    for round in 0..40 {
        let (mut board, all) = open_board(&mut dice);
        let errors: Vec<f64> = all.iter().map(|values| greatest_error(&board, values).value).collect();
        let least = errors.iter().copied().fold(f64::INFINITY, f64::min);
        let best = search::choose(&board, &board.inputs[0]).best.unwrap();
        assert!((-best.aim - least).abs() <= 1e-9 * least.max(1.0), "round {round}: {best:?} {errors:?}");
        // As much as about half of the choices reach, with another aim.
        let mut sorted = errors.clone();
        sorted.sort_by(f64::total_cmp);
        let bound = f64::midpoint(sorted[sorted.len() / 2], sorted[sorted.len() / 2 - 1]);
        board.inputs[0].limits.error = Setting::At(bound);
        board.inputs[0].aim = Aim::Span;
        let outcome = search::choose(&board, &board.inputs[0]);
        let chosen = greatest_error(&board, &outcome.best.unwrap().values).value;
        assert!(chosen <= bound * (1.0 + 1e-9), "round {round}: {chosen} above {bound}");
        let kept = errors.iter().filter(|error| **error <= bound).count() as u64;
        let excluded: u64 = outcome.excluded.iter().map(|excluded| excluded.combinations).sum();
        assert!(excluded <= errors.len() as u64 - kept, "round {round}: {excluded}, {kept} of {errors:?}");
    }
}

fn read(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}"))
}

fn answered(text: &str) -> Answer {
    answer(&read(text), "design")
}

const TANK: &str = "  tank: { circuit: pull-up, sender: 10..200, excitation: supply, corrected_by: battery, \
                    pull_up: { value: 1k, size: 2512 }, alarms: { low: { below: 20, hysteresis: 5 }, full: { above: 80 }, \
                    never: { below: 0 } } }\n";
const BATTERY: &str =
    "  battery: { circuit: divider, from: supply, measures: 0 V .. 20 V, top: choose, bottom: choose }\n";

fn brief(inputs: &[&str]) -> String {
    format!("supply: {{ lowest: 9 V, highest: 16 V }}\ninputs:\n{}", inputs.concat())
}

/// The order of the brief does not matter for what is chosen first, and is kept in the answer.
#[test]
fn what_corrects_is_chosen_first_and_the_answer_keeps_the_order_of_the_brief() {
    let [one, other] = [brief(&[TANK, BATTERY]), brief(&[BATTERY, TANK])].map(|text| answered(&text));
    let names = |answer: &Answer| answer.inputs.0.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), ["tank", "battery"]);
    assert_eq!(names(&other), ["battery", "tank"]);
    let json = |answer: &Answer, at: usize| serde_json::to_value(&answer.inputs.0[at].1).unwrap();
    assert_eq!(json(&one, 0), json(&other, 1));
    let tank = &one.inputs.0[0].1;
    assert!(tank.checkpoints.iter().all(|point| point.reading.is_some()) && tank.error.is_some());
    assert_eq!(tank.remarks.iter().filter(|text| text.contains("corrected by battery")).count(), 1);
    assert_eq!(tank.advice.iter().filter(|text| text.contains("corrected_by")).count(), 0);
    let given = BATTERY.replace("top: choose, bottom: choose", "top: 27k, bottom: 8.2k, protection: 10");
    let fixed = answered(&brief(&[TANK, &given]));
    assert_eq!(fixed.inputs.0[0].1.checkpoints, tank.checkpoints);
}

/// An impossible limit leaves the second input without parts: counts are given, readings are not.
#[test]
fn without_parts_of_what_corrects_there_are_no_readings() {
    let battery = BATTERY.replace("bottom: choose", "bottom: choose, limits: { input_resistance: 900 MΩ }");
    let answer = answered(&brief(&[TANK, &battery]));
    let [(_, tank), (_, battery)] = answer.inputs.0.as_slice() else { panic!("two inputs") };
    assert_eq!(battery.verdict, Verdict::Impossible);
    assert_eq!(tank.verdict, Verdict::Holds);
    assert!(tank.error.is_none() && tank.limits.iter().all(|row| row.limit != "error"));
    assert!(tank.checkpoints.iter().all(|point| point.reading.is_none()) && tank.soft_faults.is_empty());
    assert!(tank.alarms.iter().all(|row| row.count.is_none() && row.comes.is_none() && row.holds.is_none()));
    assert!(
        tank.remarks.iter().any(|text| text.contains("corrected by battery, for which no choice exists"))
    );
    let json = serde_json::to_value(tank).unwrap();
    assert!(json["checkpoints"][0]["reading"].is_null() && json["checkpoints"][0]["count"].is_object());
}

/// The advice to measure the supply names the key, or the input that measures it already.
#[test]
fn a_sender_that_follows_the_supply_is_told_how_to_be_rid_of_it() {
    let plain = TANK.replace("corrected_by: battery, ", "");
    let advice = |inputs: &[&str]| answered(&brief(inputs)).inputs.0[0].1.advice.join("\n");
    assert!(advice(&[&plain]).contains("(`from: supply`) and divide it out (`corrected_by: NAME`)"));
    assert!(advice(&[&plain, BATTERY]).contains("what `battery` measures (`corrected_by: battery`)"));
    let steady = brief(&[&plain]).replace("9 V, highest: 16 V", "12 V, highest: 12.01 V");
    assert!(!answered(&steady).inputs.0[0].1.advice.join("\n").contains("corrected_by"));
}

/// At the ends of the band in which an alarm comes an edge of the reading passes its threshold.
#[test]
fn alarms_come_where_an_edge_of_the_reading_passes_their_threshold() {
    let given = BATTERY.replace("top: choose, bottom: choose", "top: 27k, bottom: 8.2k, protection: 10");
    let board = read(&brief(&[TANK, &given]).replace("pull_up: {", "protection: 10k, pull_up: {"));
    let (tank, answer) = (&board.inputs[0], answer(&board, "check"));
    let values = Values::given(tank);
    let firmware = Firmware::new(&board, tank, &values);
    let alarms = &answer.inputs.0[0].1.alarms;
    let edges = |value: Option<f64>| firmware.corrected(Outlook::Life, value.unwrap()).unwrap();
    for (row, threshold) in alarms.iter().zip([20.0, 80.0]) {
        let comes = row.comes.unwrap();
        assert!((edges(comes.lowest).highest - threshold).abs() < 1e-9, "{row:?}");
        assert!((edges(comes.highest).lowest - threshold).abs() < 1e-9, "{row:?}");
        let goes = row.goes.unwrap();
        assert!((edges(goes.lowest).highest - row.goes_at).abs() < 1e-9, "{row:?}");
        assert!((edges(goes.highest).lowest - row.goes_at).abs() < 1e-9, "{row:?}");
        assert_eq!((row.count, row.goes_count), (None, None));
    }
    assert_eq!((alarms[0].goes_at, alarms[1].goes_at), (25.0, 80.0));
    assert_eq!(alarms[2].comes, None);
    assert_eq!((alarms[2].goes, alarms[2].holds), (None, Some(false)));
    assert_eq!(alarms[2].fails, ["never comes: no reading in the range is beyond its threshold"]);
    let alarm = |side, at| Alarm {
        name: "a".into(),
        side,
        at,
        hysteresis: 0.0,
        certain_at: if side == Side::Below { 0.0 } else { 100.0 },
        quiet_at: if side == Side::Below { 100.0 } else { 0.0 },
    };
    let mut board = board.clone();
    board.inputs[0].alarms = vec![alarm(Side::Above, 99.0), alarm(Side::Below, 1.0)];
    let rows = ohmwright::examine::answer(&board, "check").inputs.0[0].1.alarms.clone();
    assert_eq!(rows[0].comes.unwrap().highest, None);
    assert_eq!(rows[1].comes.unwrap().lowest, None);
}

/// Simulated boards while the value sweeps up and down: none comes or goes outside the bands.
#[test]
fn no_simulated_board_comes_or_goes_outside_the_bands() {
    let mut dice = Dice::new(74);
    let (mut switched, mut judged) = (0, 0);
    for _ in 0..60 {
        let mut board = random_board(&mut dice);
        let alarm = |side, at, hysteresis| Alarm {
            name: "a".into(),
            side,
            at,
            hysteresis,
            certain_at: if side == Side::Below { 0.0 } else { 100.0 },
            quiet_at: if side == Side::Below { 100.0 } else { 0.0 },
        };
        board.inputs[0].alarms = vec![
            alarm(Side::Below, dice.uniform(10.0, 60.0), 20.0),
            alarm(Side::Above, dice.uniform(40.0, 90.0), 15.0),
        ];
        let answer = answer(&board, "check");
        for (alarm, row) in board.inputs[0].alarms.iter().zip(&answer.inputs.0[0].1.alarms) {
            let Some((comes, goes)) = row.comes.zip(row.goes) else { continue };
            judged += 1;
            for _ in 0..10 {
                let shares = dice.shares(64);
                let mut is_on = false;
                for step in 0..=80 {
                    let way = 1.0 - (1.0 - f64::from(step) / 40.0).abs();
                    let value = if alarm.side == Side::Below { 100.0 - 100.0 * way } else { 100.0 * way };
                    let mut shares = shares.iter().copied();
                    let mut share = || shares.next().unwrap();
                    let shared = shared_at(&board, &mut share);
                    let middles = [0, 1].map(|place| {
                        let added = board.converter.added().0 * (2.0 * share() - 1.0);
                        let count = count(&board, place, &shared, value, &mut share) + added;
                        held(&board, (count + 1e-9).floor() + 0.5)
                    });
                    let reading = shown(&board, middles);
                    let threshold = if is_on { alarm.goes_at() } else { alarm.at };
                    let is_beyond =
                        if alarm.side == Side::Below { reading < threshold } else { reading > threshold };
                    let band = if is_on { goes } else { comes };
                    // Beyond only up to the far end of the band, not beyond only from its near end on.
                    let is_low = (alarm.side == Side::Below) == is_beyond;
                    let fine = if is_low {
                        band.highest.is_none_or(|highest| value <= highest + 1e-6)
                    } else {
                        band.lowest.is_none_or(|lowest| value >= lowest - 1e-6)
                    };
                    assert!(fine, "{is_on} to {is_beyond} at {value}: {row:?}, {board:#?}");
                    switched += usize::from(is_on != is_beyond);
                    is_on = is_beyond;
                }
            }
        }
    }
    assert!(judged > 80 && switched > 1000, "{judged}, {switched}");
}

/// How far the supply moves between two samples matters only where something is corrected.
#[test]
fn a_change_of_the_supply_is_assumed_only_where_an_input_is_corrected() {
    let assumed = |text: &str| {
        let board = read(text);
        let keys = board.assumed.iter().filter(|assumed| assumed.key == "supply.change_between_samples");
        keys.map(|assumed| assumed.value.clone()).collect::<Vec<_>>()
    };
    assert_eq!(assumed(&brief(&[TANK, BATTERY])), ["0 V"]);
    assert!(assumed(&brief(&[BATTERY])).is_empty());
    let given = brief(&[TANK, BATTERY]).replace("16 V }", "16 V, change_between_samples: 100 mV }");
    assert!(assumed(&given).is_empty());
    assert_eq!(read(&given).supply.change_between_samples, Volts(0.1));
    assert_eq!(read(&given).inputs[0].corrected_by, Some(InputId(1)));
}
