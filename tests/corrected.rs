//! Readings that are corrected by the supply: by hand, and against firmware that is simulated by plain formulas.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::board::{
    Accuracy, Board, Circuit, Drive, Excitation, Existing, Input, InputId, RailId, Reference, Role, Sender,
    Signal,
};
use ohmwright::circuit::{Outlook, Scene, Values};
use ohmwright::curve::Curve;
use ohmwright::quantity::{Band, Counts, Fraction, Ohms, Volts};
use ohmwright::reading::{Firmware, greatest_error_of};
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
            Behind(shift, far + wire).series(or_0(Role::Line)).bridge(supply, of(Role::PullUp).unwrap())
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
    let circuit = if is_pulled_up {
        parts.push(part(Role::PullUp, high * (1.0 - reach) / reach, tolerance));
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
    input.excitation = Some(Excitation::Supply);
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
    let added = board.converter.added().0 + 0.5;
    let sets = asked(|share| {
        shared_at(board, share);
    });
    let (mut band, mut is_held) = ([f64::INFINITY, f64::NEG_INFINITY], false);
    for set in 0..1_u32 << sets {
        let shared = shared_at(board, &mut bits(set));
        let of_sender = corners(|share| count(board, 0, &shared, value, share));
        let of_supply = corners(|share| count(board, 1, &shared, 0.0, share));
        for up in [0, 1] {
            let sign = [-1.0, 1.0][up];
            let middles = [of_sender[up] + sign * added, of_supply[1 - up] - sign * added];
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

#[test]
fn no_simulated_board_leaves_the_life_band_and_boards_at_the_ends_reach_it() {
    let mut dice = Dice::new(70);
    let (mut attained, mut close, mut bands) = (0, 0, 0);
    for round in 0..260 {
        let board = random_board(&mut dice);
        let tank = &board.inputs[0];
        let values = Values::given(tank);
        let firmware = Firmware::new(&board, tank, &values);
        for value in [0.0, dice.uniform(0.0, 100.0), 100.0] {
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
            close += usize::from(off <= 1e-7);
            if !is_held {
                assert!(off <= 1e-7, "round {round}: {lowest}..{highest} in {band:?} at {value}, {board:#?}");
                attained += 1;
            }
        }
    }
    assert!(attained > bands / 3 && close > bands / 2, "{attained}, {close} of {bands}");
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
        let scene = Scene::new(&board, tank, &values);
        let ohms = [&scene.nominal.resistances, &scene.situations[Scene::NORMAL].resistances];
        let found = greatest_error_of(tank, &scene, ohms.map(Vec::as_slice)).unwrap();
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
