//! Calibrated readings: by hand, and against boards that are calibrated and read by plain formulas.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::answer::InputAnswer;
use ohmwright::board::{
    Accuracy, Board, Calibration, Circuit, Drive, Excitation, Existing, Feed, Gauge, Input, LoopSupply,
    Neighbour, RailId, Reference, Role, Sender, Transmitter, Wet,
};
use ohmwright::circuit::{Outlook, Scene, Values};
use ohmwright::curve::Curve;
use ohmwright::examine::answer_with;
use ohmwright::quantity::{Amperes, Band, Celsius, Counts, Fraction, Ohms, PerKelvin, Volts};
use ohmwright::reading::{Firmware, greatest_error_of};
use ohmwright::stackup::Trials;
use support::dice::Dice;
use support::{ideal_board, input, part, rail, sender, signal};

fn calibrated(mut input: Input, points: &[f64], accuracy: f64) -> Input {
    input.calibration = Some(Calibration { points: points.to_vec(), accuracy: Fraction(accuracy) });
    input
}

/// The readings over life at a value.
fn life(board: &Board, value: f64) -> Band<f64> {
    let values = Values::given(&board.inputs[0]);
    Firmware::new(board, &board.inputs[0], &values).adjusted(Outlook::Life, value).unwrap()
}

/// The greatest error over life.
fn greatest(board: &Board) -> f64 {
    let input = &board.inputs[0];
    let scene = Scene::new(board, input, &Values::given(input));
    let ohms = [&scene.nominal.resistances, &scene.situations[Scene::NORMAL].resistances];
    greatest_error_of(input, &scene, [ohms[0], ohms[1]]).unwrap().value
}

fn divider(tolerance: f64, points: &[f64]) -> Board {
    let parts = vec![part(Role::Top, 20e3, tolerance), part(Role::Bottom, 10e3, tolerance)];
    let input = input(Circuit::Divider, Drive::Signal(signal(0.0, 14.0)), parts);
    let mut board = ideal_board(calibrated(input, points, 0.0));
    board.converter.bits = 24;
    board
}

/// By hand: a divider that has not drifted is a straight line through two points, whatever its parts; what is left is the
/// truncation of three counts, and between the points no more than two halves of it: 1 count of 15 V/1024, and as the span
/// may be 1.4 % less than nominal, 1.4 % more. To find the place costs a 2^−15th of the range, the grid of boards 1e-4 of 10 V.
#[test]
fn two_points_leave_nothing_of_a_divider_but_truncation() {
    let mut board = divider(0.01, &[2.0, 12.0]);
    board.converter.bits = 10;
    board.inputs[0].zone = Some(Band { lowest: 2.0, highest: 12.0 });
    let count = 15.0 / 1024.0;
    let error = greatest(&board);
    assert!(error > count && error < 1.014 * count + 14.0 / 32_768.0 + 1e-3, "{error} against {count}");
    let off = life(&board, 7.0).highest - 7.0;
    assert!(off > count && off < 1.014 * count + 1e-3, "{off}");
    board.inputs[0].calibration = None;
    // By hand: 0.99·20 kΩ over 1.01·10 kΩ divides by 2.9604 instead of 3, and 12 V reads 12.16; the step adds half a count.
    let without = greatest(&board);
    assert!((without - 12.0 * (3.0 / 2.960_396_04 - 1.0)).abs() < 1.02 * count, "{without}");
}

/// By hand: V = y·b/(t + b), over the reference; all of that is one factor. The least counts for a volt are 0.934/1.05·0.98 =
/// 0.872 of the nominal ones, so that two halves of a count are 1.15 nominal ones.
#[test]
fn one_point_takes_away_the_whole_ratio_of_a_divider() {
    let mut board = divider(0.05, &[12.0]);
    board.converter.reference = Reference::Own { voltage: Volts(5.0), tolerance: Fraction(0.05) };
    board.converter.gain = Fraction(0.02);
    let band = life(&board, 12.0);
    let count = 15.0 / 2_f64.powi(24);
    assert!(band.highest - 12.0 < 1.25 * count && 12.0 - band.lowest < 1.25 * count, "{band:?}");
    // An offset is no factor: 2 counts at 12 V are taken for a factor, which takes off 1 at 6 V, where they are 2, too. To
    // that comes half a count of truncation here, and half of one there.
    board.converter.offset = Counts(2.0);
    let off = life(&board, 6.0).highest - 6.0;
    assert!(off > 1.75 * 1.1 * count && off < 1.75 * 1.3 * count, "{}", off / count);
}

/// By hand, for 240 Ω to 33 Ω behind 303 Ω instead of 300 Ω, calibrated at both ends: in the middle, at 136.5 Ω,
/// ρ = 0.5·(303 + 33)/(303 + 136.5) = 0.382253, so that the corrected count is 0.444444 − 0.382253·0.345345 = 0.312435 of full
/// scale, which 300 Ω read as 300·0.312435/0.687565 = 136.324 Ω: 50.085 %. Behind 297 Ω it is 49.914 %.
#[test]
fn two_points_leave_the_curvature_of_a_pull_up() {
    let parts = vec![part(Role::PullUp, 300.0, 0.01)];
    let mut board =
        ideal_board(calibrated(input(Circuit::PullUp, sender(240.0, 33.0), parts), &[0.0, 100.0], 0.0));
    board.converter.bits = 24;
    let shown = |pull_up: f64| {
        let rho = 0.5 * (pull_up + 33.0) / (pull_up + 136.5);
        let count = 240.0 / 540.0 - rho * (240.0 / 540.0 - 33.0 / 333.0);
        (240.0 - 300.0 * count / (1.0 - count)) / 2.07
    };
    assert!((shown(303.0) - 50.085).abs() < 1e-3 && (shown(297.0) - 49.914).abs() < 1e-3);
    let band = life(&board, 50.0);
    assert!((band.highest - shown(303.0)).abs() < 1e-3, "{band:?}");
    assert!((band.lowest - shown(297.0)).abs() < 1e-3, "{band:?}");
    for end in [0.0, 100.0] {
        let band = life(&board, end);
        assert!((band.highest - end).abs() < 1e-3 && (band.lowest - end).abs() < 1e-3, "{band:?}");
    }
}

/// By hand: the same pull-up has aged by 1 %: the pin at 136.5 Ω of 300·1.01 Ω is 136.5/439.5, and what was calibrated at 300 Ω
/// reads 300·0.310580/0.689420 = 135.149 Ω: 50.653 %.
#[test]
fn ageing_is_not_calibrated_out() {
    let mut pull_up = part(Role::PullUp, 300.0, 0.0);
    pull_up.grade.ageing = Fraction(0.01);
    let input = input(Circuit::PullUp, sender(240.0, 33.0), vec![pull_up]);
    let mut board = ideal_board(calibrated(input, &[0.0, 100.0], 0.0));
    board.converter.bits = 24;
    assert!((life(&board, 50.0).highest - 50.653).abs() < 2e-3, "{:?}", life(&board, 50.0));
}

/// By hand: the calibrator is 1 % too high at 10 V and right at 2 V: 10 V were taken for 10.1 V, and what is between them is
/// read (x − 2)·8/8.1 + 2.
#[test]
fn the_error_of_the_calibrator_is_that_of_its_line() {
    let mut board = divider(0.0, &[2.0, 10.0]);
    board.inputs[0].calibration.as_mut().unwrap().accuracy = Fraction(0.01);
    let band = life(&board, 10.0);
    // At 2 V it may be off by 0.02 V, at 10 V by 0.1 V.
    assert!((band.highest - (2.0 + (10.0 - 2.02) * 8.0 / (9.9 - 2.02))).abs() < 1e-5, "{band:?}");
    assert!((band.lowest - (2.0 + (10.0 - 2.02) * 8.0 / (10.1 - 2.02))).abs() < 1e-5, "{band:?}");
}

#[test]
fn points_within_a_count_cannot_be_relied_on() {
    let mut board = divider(0.01, &[7.0, 7.01]);
    board.converter.bits = 8;
    assert!((greatest(&board) - 14.0).abs() < 1e-9);
    let band = life(&board, 7.0);
    assert_eq!((band.lowest, band.highest), (0.0, 14.0));
}

/// Where in its band a parameter sits, from 0 to 1.
type Shares<'s> = &'s mut dyn FnMut() -> f64;

fn at(low: f64, high: f64, share: f64) -> f64 {
    // Exactly the ends.
    if share >= 1.0 { high } else { low + (high - low) * share }
}

/// How a board is looked at.
#[derive(Clone, Copy, PartialEq)]
enum State {
    Nominal,
    Calibrated,
    Bench,
    Life,
}

/// What stays as it is on one board.
struct Steady {
    tolerances: Vec<f64>,
    rails: Vec<f64>,
    reference: f64,
    gain: f64,
    offset: f64,
}

impl Steady {
    fn of(board: &Board, share: Shares<'_>) -> Self {
        let input = &board.inputs[0];
        let mut tolerances: Vec<f64> = Vec::new();
        for (place, part) in input.parts.iter().enumerate() {
            let tracked = input.parts[..place]
                .iter()
                .position(|other| other.tracks.is_some() && other.tracks == part.tracks);
            let own = at(1.0 - part.grade.tolerance.0, 1.0 + part.grade.tolerance.0, share());
            tolerances.push(tracked.map_or(own, |first| tolerances[first]));
        }
        let within =
            |value: f64, part: f64, share: f64| at(value * (1.0 - part), value * (1.0 + part), share);
        let rails: Vec<f64> =
            board.rails.iter().map(|rail| within(rail.voltage.0, rail.tolerance.0, share())).collect();
        let reference = match board.converter.reference {
            Reference::Rail(RailId(rail)) => rails[rail],
            Reference::Own { voltage, tolerance } => within(voltage.0, tolerance.0, share()),
        };
        let converter = &board.converter;
        let gain = at(-converter.gain.0, converter.gain.0, share());
        let offset = at(-converter.offset.0, converter.offset.0, share());
        Self { tolerances, rails, reference, gain, offset }
    }
}

/// A voltage behind a resistance.
#[derive(Clone, Copy)]
struct Behind(f64, f64);

impl Behind {
    fn series(self, r: f64) -> Self {
        Self(self.0, self.1 + r)
    }

    fn bridge(self, e: f64, r: f64) -> Self {
        if r.is_infinite() {
            return self;
        }
        Self((self.0 * r + e * self.1) / (self.1 + r), self.1 * r / (self.1 + r))
    }
}

/// The voltage of the pin with this at the far end, the wire left out.
fn pin(board: &Board, steady: &Steady, far: f64, state: State, share: Shares<'_>) -> f64 {
    let input = &board.inputs[0];
    let is_life = state == State::Life;
    let mut vary = |low: f64, high: f64, nominal: f64, varies: bool| {
        let share = share();
        if varies { at(low, high, share) } else { nominal }
    };
    let middle = |band: Band<Ohms>| f64::midpoint(band.lowest.0, band.highest.0);
    let bench_wire = if state == State::Bench { 0.0 } else { middle(input.wire) };
    let wire = vary(input.wire.lowest.0, input.wire.highest.0, bench_wire, is_life);
    let shift = input.ground_shift;
    let nominal_shift =
        if state == State::Nominal { f64::midpoint(shift.lowest.0, shift.highest.0) } else { 0.0 };
    let shift = vary(shift.lowest.0, shift.highest.0, nominal_shift, is_life);
    let leakage = board.converter.leakage.0;
    let leakage = vary(-leakage, leakage, 0.0, state != State::Nominal);
    let swing = board.supply.swing;
    let supply = vary(swing.lowest.0, swing.highest.0, board.supply.usual.0, is_life);
    let climate = if is_life { board.ambient } else { board.bench.temperature };
    let kelvins = (climate.lowest.0 - 25.0).abs().max((climate.highest.0 - 25.0).abs());
    let mut drifts: Vec<f64> = Vec::new();
    for (place, part) in input.parts.iter().enumerate() {
        let tracked = input.parts[..place]
            .iter()
            .position(|other| other.tracks.is_some() && other.tracks == part.tracks);
        let drift = part.grade.tempco.0 * kelvins;
        let drift = vary(1.0 - drift, 1.0 + drift, 1.0, state != State::Nominal);
        let aged = vary(1.0 - part.grade.ageing.0, 1.0 + part.grade.ageing.0, 1.0, is_life);
        drifts.push(tracked.map_or(drift * aged, |first| drifts[first]));
    }
    let values = Values::given(input);
    let of = |role: Role| {
        let place = input.parts.iter().position(|part| part.role == role)?;
        Some(values.get(role)?.0 * steady.tolerances[place] * drifts[place])
    };
    let or_0 = |role: Role| of(role).unwrap_or(0.0);
    let existing = input.existing.map(|known| {
        let (is, off) = (known.to_ground.0, known.tolerance.0);
        vary(is * (1.0 - off), is * (1.0 + off), is, state != State::Nominal)
    });
    let gauge = input.gauge.map(|gauge| {
        let (is, off) = (gauge.resistance.0, gauge.tolerance.0);
        vary(is * (1.0 - off), is * (1.0 + off), is, state != State::Nominal)
    });
    let excitation = match input.excitation {
        Some(Excitation::Supply) => supply,
        _ => steady.rails[0],
    };
    // A wet connector is open on the bench.
    let wet = input.wet.map(|wet| (wet.to, 1.0 / vary(0.0, 1.0 / wet.resistance.0, 0.0, is_life)));
    let damp = |node: Behind| {
        wet.map_or(node, |(to, ohms)| node.bridge(if to == Neighbour::Supply { supply } else { 0.0 }, ohms))
    };
    let mut node = match (input.circuit, &input.drive) {
        (Circuit::PullUp, _) => {
            let node = damp(Behind(shift, far + wire)).series(or_0(Role::Line));
            let node = gauge.map_or(node, |gauge| node.bridge(supply, gauge));
            node.bridge(excitation, of(Role::PullUp).unwrap())
        }
        (Circuit::PullDown, _) => {
            let node = damp(Behind(excitation, far + wire)).series(or_0(Role::Line));
            node.bridge(0.0, of(Role::PullDown).unwrap())
        }
        // A current through its burden is a voltage behind it.
        (Circuit::Burden, _) => Behind(far * of(Role::Burden).unwrap(), of(Role::Burden).unwrap()),
        (_, Drive::Signal(signal)) => {
            damp(Behind(far + shift, signal.resistance.0 + wire)).series(or_0(Role::Extension))
        }
        _ => panic!("no such input here"),
    };
    if let Some(shunt) = of(Role::Shunt) {
        node = node.bridge(0.0, shunt);
    }
    if let Some(existing) = existing.filter(|_| input.drive.is_sender()) {
        node = node.bridge(0.0, existing);
    }
    node = node.series(or_0(Role::Top));
    if let Some(bias) = of(Role::Bias) {
        node = node.bridge(steady.rails[input.bias_to.unwrap().0], bias);
    }
    if let Some(bottom) = of(Role::Bottom) {
        node = node.bridge(0.0, bottom);
    }
    let node = node.series(or_0(Role::Protection));
    let clamp = board.converter.clamp.0;
    (node.0 + leakage * node.1).max(-clamp).min(steady.rails[board.converter.clamp_rail.0] + clamp)
}

fn full_scale(board: &Board) -> f64 {
    2_f64.powi(i32::try_from(board.converter.bits).unwrap())
}

/// The truncated count of one board plus one half.
fn middle(board: &Board, steady: &Steady, far: f64, state: State, share: Shares<'_>) -> f64 {
    let volts = pin(board, steady, far, state, share);
    let converter = &board.converter;
    let count = volts / steady.reference * full_scale(board) * (1.0 + steady.gain) + steady.offset;
    let inl = at(-converter.inl.0, converter.inl.0, share());
    let noise = at(-converter.noise.0, converter.noise.0, share());
    (count + inl + noise + 1e-9).floor().clamp(0.0, full_scale(board) - 1.0) + 0.5
}

fn far_at(board: &Board, value: f64) -> f64 {
    board.inputs[0].drive.far_at(value).0
}

/// The nominal count of what stands at the far end.
fn nominal_count(board: &Board, nominal: &Steady, far: f64, state: State) -> f64 {
    let volts = match state {
        State::Calibrated => {
            let mut board = board.clone();
            board.converter.leakage = Amperes(0.0);
            board.inputs[0].ground_shift = Band::exactly(Volts(0.0));
            pin(&board, nominal, far, State::Nominal, &mut || 0.5)
        }
        _ => pin(board, nominal, far, State::Nominal, &mut || 0.5),
    };
    volts / nominal.reference * full_scale(board)
}

/// What the firmware of one board reads for a count, or `None` where its calibration says nothing.
fn corrected(board: &Board, nominal: &Steady, seen: &[f64], count: f64) -> Option<f64> {
    let points = &board.inputs[0].calibration.as_ref().unwrap().points;
    let known: Vec<f64> = points
        .iter()
        .map(|&point| nominal_count(board, nominal, far_at(board, point), State::Calibrated))
        .collect();
    if let (&[n1, n2], &[m1, m2]) = (known.as_slice(), seen) {
        let rises = (m2 - m1) * (n2 - n1) > 0.0;
        return rises.then(|| n1 + (count - m1) * (n2 - n1) / (m2 - m1));
    }
    let (first, last) = board.inputs[0].range();
    let keeps_zero = !matches!(board.inputs[0].circuit, Circuit::PullDown | Circuit::LevelShift);
    let starts_at_zero = far_at(board, first) == 0.0 || far_at(board, last) == 0.0;
    if keeps_zero && starts_at_zero && far_at(board, points[0]) != 0.0 {
        Some(count * known[0] / seen[0])
    } else {
        Some(count + known[0] - seen[0])
    }
}

/// The value at which the nominal board shows a count, held to the range.
fn read(board: &Board, nominal: &Steady, count: f64) -> f64 {
    let (mut a, mut b) = board.inputs[0].range();
    let sign = board.inputs[0].direction();
    let below = |value: f64| {
        sign * (nominal_count(board, nominal, far_at(board, value), State::Nominal) - count) < 0.0
    };
    if !below(a) {
        return a;
    }
    if below(b) {
        return b;
    }
    for _ in 0..55 {
        let half = f64::midpoint(a, b);
        if below(half) {
            a = half;
        } else {
            b = half;
        }
    }
    f64::midpoint(a, b)
}

/// What one board reads at a value, over life or later on the bench.
fn reading(board: &Board, nominal: &Steady, value: f64, state: State, share: Shares<'_>) -> f64 {
    let steady = Steady::of(board, share);
    let calibration = board.inputs[0].calibration.as_ref().unwrap();
    let accuracy = calibration.accuracy.0;
    let mut seen = Vec::new();
    for &point in &calibration.points {
        let far = far_at(board, point);
        let dialled = at(far * (1.0 - accuracy), far * (1.0 + accuracy), share());
        seen.push(middle(board, &steady, dialled, State::Calibrated, share));
    }
    let far = match &board.inputs[0].drive {
        Drive::Sender(sender) if state == State::Life => {
            let accuracy = sender.accuracy.constant;
            let shown = sender.curve.at(value + at(-accuracy, accuracy, share())).0.max(0.0);
            at(shown * (1.0 - sender.tolerance.0), shown * (1.0 + sender.tolerance.0), share())
        }
        Drive::Sender(_) => {
            let (ideal, off) = (far_at(board, value), board.bench.decade_box.0);
            at(ideal * (1.0 - off), ideal * (1.0 + off), share())
        }
        _ => far_at(board, value),
    };
    let count = middle(board, &steady, far, state, share);
    let corrected = corrected(board, nominal, &seen, count).expect("a calibration that can be relied on");
    read(board, nominal, corrected)
}

/// What the firmware takes for granted.
fn nominal(board: &Board) -> Steady {
    let mut ideal = board.clone();
    for rail in &mut ideal.rails {
        rail.tolerance = Fraction(0.0);
    }
    if let Reference::Own { tolerance, .. } = &mut ideal.converter.reference {
        *tolerance = Fraction(0.0);
    }
    ideal.converter.gain = Fraction(0.0);
    ideal.converter.offset = Counts(0.0);
    for part in &mut ideal.inputs[0].parts {
        part.grade.tolerance = Fraction(0.0);
    }
    Steady::of(&ideal, &mut || 0.5)
}

/// A random board with one input and a calibration that can be relied on.
fn random_board(dice: &mut Dice) -> Board {
    let reference = dice.uniform(3.0, 6.0);
    let input = match dice.below(6) {
        0 | 1 => pull_up(dice),
        2 => pull_down(dice),
        3 => burden(dice, reference),
        4 => divided(dice, reference),
        _ => shifted(dice, reference),
    };
    let mut board = ideal_board(input);
    board.rails =
        vec![rail("logic", reference, dice.uniform(0.0, 0.03)), rail("bias", dice.uniform(2.0, 9.0), 0.02)];
    board.ambient = Band { lowest: Celsius(-20.0), highest: Celsius(dice.uniform(40.0, 70.0)) };
    board.bench.decade_box = Fraction(1e-3);
    let usual = dice.uniform(11.0, 14.0);
    board.supply.usual = Volts(usual);
    board.supply.swing =
        Band { lowest: Volts(usual * dice.uniform(0.97, 1.0)), highest: Volts(usual * 1.03) };
    let converter = &mut board.converter;
    converter.bits = [10, 12, 14][dice.below(3)];
    if dice.chance(0.3) {
        converter.reference =
            Reference::Own { voltage: Volts(reference), tolerance: Fraction(dice.uniform(0.0, 0.05)) };
    }
    converter.offset = Counts(dice.uniform(0.0, 3.0));
    converter.inl = Counts(dice.uniform(0.0, 1.0));
    converter.noise = Counts(dice.uniform(0.0, 0.5));
    converter.gain = Fraction(if dice.chance(0.3) { 0.0 } else { dice.uniform(0.0, 0.01) });
    converter.leakage.0 = if dice.chance(0.3) { 0.0 } else { 1e-6 };
    let (first, last) = board.inputs[0].range();
    let value = |share: f64| first + (last - first) * share;
    let points = match dice.below(4) {
        0 => vec![value(0.0), value(1.0)],
        1 | 2 => vec![value(dice.uniform(0.0, 0.3)), value(dice.uniform(0.6, 1.0))],
        _ => vec![value(dice.uniform(0.3, 1.0))],
    };
    board.inputs[0] = calibrated(board.inputs[0].clone(), &points, [0.0, 1e-3, 5e-3][dice.below(3)]);
    board
}

/// Parts of one of the usual grades, some of which track each other.
fn graded(dice: &mut Dice, mut input: Input) -> Input {
    let (tolerance, tempco, ageing) =
        [(0.05, 200e-6, 0.03), (0.01, 100e-6, 0.01), (0.001, 25e-6, 0.003)][dice.below(3)];
    let track = dice.chance(0.15);
    for part in &mut input.parts {
        part.grade.tolerance = Fraction(tolerance);
        part.grade.tempco = PerKelvin(tempco);
        part.grade.ageing = Fraction(ageing);
        part.tracks = (track && part.role != Role::Protection).then(|| "network".to_owned());
    }
    if dice.chance(0.5) && input.circuit != Circuit::Burden {
        input.wire = Band { lowest: Ohms(0.0), highest: Ohms(dice.uniform(0.0, 2.0)) };
    }
    if dice.chance(0.15) && input.circuit != Circuit::Burden {
        let to = if dice.chance(0.5) { Neighbour::Supply } else { Neighbour::Ground };
        input.wet = Some(Wet { to, resistance: Ohms(dice.uniform(5e4, 5e5)) });
    }
    if dice.chance(0.5) && !matches!(input.circuit, Circuit::Burden | Circuit::PullDown) {
        let shift = Band::between(dice.uniform(-0.05, 0.05), dice.uniform(-0.05, 0.05));
        input.ground_shift = Band { lowest: Volts(shift.lowest), highest: Volts(shift.highest) };
    }
    input
}

fn random_sender(dice: &mut Dice, low: f64, high: f64) -> Drive {
    let points = if dice.chance(0.5) { [low, high] } else { [high, low] };
    let curve = if dice.chance(0.5) {
        let middle = dice.uniform(0.3, 0.7) * (points[0] + points[1]);
        Curve::new(
            "%",
            vec![
                (0.0, Ohms(points[0])),
                (50.0, Ohms(middle.clamp(low * 1.1, high * 0.9))),
                (100.0, Ohms(points[1])),
            ],
        )
    } else {
        Curve::new("%", vec![(0.0, Ohms(points[0])), (100.0, Ohms(points[1]))])
    };
    Drive::Sender(Sender {
        curve: curve.unwrap(),
        tolerance: Fraction(dice.uniform(0.0, 0.02)),
        accuracy: Accuracy::constant(dice.uniform(0.0, 0.5)),
        self_heating: None,
    })
}

fn pull_up(dice: &mut Dice) -> Input {
    let low = if dice.chance(0.3) { 0.0 } else { dice.uniform(1.0, 50.0) };
    let high = dice.uniform(150.0, 2000.0);
    let mut parts = vec![part(Role::PullUp, high * dice.uniform(0.5, 2.0), 0.0)];
    if dice.chance(0.3) {
        parts.push(part(Role::Shunt, high * dice.uniform(1.0, 10.0), 0.0));
    }
    if dice.chance(0.3) {
        parts.insert(0, part(Role::Line, dice.uniform(0.5, 10.0), 0.0));
    }
    if dice.chance(0.6) {
        parts.push(part(Role::Protection, dice.uniform(1e3, 2e4), 0.0));
    }
    let mut input = input(Circuit::PullUp, random_sender(dice, low, high), parts);
    input.excitation = Some(Excitation::Rail(RailId(0)));
    let feed = dice.below(5);
    if feed == 0 {
        let tolerance = Fraction(dice.uniform(0.0, 0.02));
        input.gauge =
            Some(Gauge { resistance: Ohms(high * dice.uniform(8.0, 20.0)), tolerance, from: Feed::Supply });
    } else if feed == 1 {
        input.excitation = Some(Excitation::Supply);
        input.parts.iter_mut().filter(|part| part.role == Role::PullUp).for_each(|part| {
            part.choice = ohmwright::board::Choice::Fixed(Ohms(high * 4.0));
        });
    }
    if dice.chance(0.2) {
        let to_ground = Ohms(high * dice.uniform(5.0, 100.0));
        input.existing = Some(Existing { to_ground, tolerance: Fraction(dice.uniform(0.0, 0.05)) });
    }
    graded(dice, input)
}

fn pull_down(dice: &mut Dice) -> Input {
    let (low, high) = (dice.uniform(10.0, 50.0), dice.uniform(150.0, 2000.0));
    let mut parts = vec![part(Role::PullDown, high * dice.uniform(0.5, 2.0), 0.0)];
    if dice.chance(0.6) {
        parts.push(part(Role::Protection, dice.uniform(1e3, 2e4), 0.0));
    }
    let mut input = input(Circuit::PullDown, random_sender(dice, low, high), parts);
    input.excitation = Some(Excitation::Rail(RailId(0)));
    graded(dice, input)
}

fn burden(dice: &mut Dice, reference: f64) -> Input {
    let curve = Curve::new("bar", vec![(0.0, Amperes(4e-3)), (10.0, Amperes(20e-3))]).unwrap();
    let drive = Drive::Current(Transmitter { curve, compliance: None, loop_supply: LoopSupply::Supply });
    let parts = vec![
        part(Role::Burden, reference / 20e-3 * dice.uniform(0.6, 0.9), 0.0),
        part(Role::Protection, 1e4, 0.0),
    ];
    graded(dice, input(Circuit::Burden, drive, parts))
}

fn divided(dice: &mut Dice, reference: f64) -> Input {
    let top = dice.uniform(10.0, 40.0);
    let bottom = dice.uniform(2e3, 2e4);
    let ratio = reference / top * dice.uniform(0.7, 0.95);
    let mut parts =
        vec![part(Role::Top, bottom * (1.0 - ratio) / ratio, 0.0), part(Role::Bottom, bottom, 0.0)];
    if dice.chance(0.4) {
        parts.insert(0, part(Role::Extension, bottom * dice.uniform(0.1, 0.3), 0.0));
    }
    let mut signal = signal(if dice.chance(0.6) { 0.0 } else { 2.0 }, top);
    signal.resistance = Ohms(if dice.chance(0.5) { 0.0 } else { 50.0 });
    graded(dice, input(Circuit::Divider, Drive::Signal(signal), parts))
}

fn shifted(dice: &mut Dice, reference: f64) -> Input {
    let bottom = dice.uniform(5e3, 2e4);
    let parts = vec![
        part(Role::Top, bottom * dice.uniform(1.5, 3.0), 0.0),
        part(Role::Bias, bottom * dice.uniform(1.0, 2.0), 0.0),
        part(Role::Bottom, bottom, 0.0),
    ];
    let most = reference * dice.uniform(0.4, 0.8);
    let mut input = input(Circuit::LevelShift, Drive::Signal(signal(-most, most)), parts);
    input.bias_to = Some(RailId(usize::from(dice.chance(0.3))));
    graded(dice, input)
}

/// The furthest reading upwards or downwards that is found by going from end to end of one parameter after the other.
fn climbed(board: &Board, nominal: &Steady, value: f64, up: f64, dice: &mut Dice) -> f64 {
    let mut parameters = 0;
    let count = &mut || {
        parameters += 1;
        0.5
    };
    reading(board, nominal, value, State::Life, count);
    let read = |shares: &[f64]| {
        let mut left = shares.iter();
        up * reading(board, nominal, value, State::Life, &mut || *left.next().unwrap())
    };
    let mut furthest = f64::NEG_INFINITY;
    for _ in 0..2 {
        let mut shares: Vec<f64> = (0..parameters).map(|_| dice.below(2) as f64).collect();
        let mut best = read(&shares);
        for _ in 0..3 {
            for place in 0..parameters {
                shares[place] = 1.0 - shares[place];
                let other = read(&shares);
                if other > best {
                    best = other;
                } else {
                    shares[place] = 1.0 - shares[place];
                }
            }
        }
        furthest = furthest.max(best);
    }
    up * furthest
}

/// How much of the band is attained: with a converter so fine that steps hide nothing, by boards whose parameters all are at ends.
/// What is bounded is the rest, and it is small.
#[test]
fn boards_come_near_the_ends_of_the_bands() {
    let mut dice = Dice::new(7);
    let mut shares = Vec::new();
    for _ in 0..40 {
        let mut board = random_board(&mut dice);
        let converter = &mut board.converter;
        let finer = f64::from(20 - converter.bits).exp2();
        converter.bits = 20;
        (converter.offset, converter.inl, converter.noise) =
            (converter.offset * finer, converter.inl * finer, converter.noise * finer);
        let input = &board.inputs[0];
        let values = Values::given(input);
        let firmware = Firmware::new(&board, input, &values);
        if !firmware.can_be_calibrated() {
            continue;
        }
        let nominal = nominal(&board);
        let (first, last) = input.range();
        for share in [0.2, 0.5, 0.9] {
            let value = at(first, last, share);
            let band = firmware.adjusted(Outlook::Life, value).unwrap();
            let slack = 1e-6 * (last - first);
            for (up, end) in [(1.0, band.highest), (-1.0, band.lowest)] {
                let found = climbed(&board, &nominal, value, up, &mut dice);
                assert!(up * found <= up * end + slack, "{found} beyond {end} at {value}: {board:#?}");
                // At an end of the range there is no further.
                if first < end && end < last {
                    shares.push(((found - value) / (end - value), value, up, board.inputs[0].circuit));
                }
            }
        }
    }
    shares.sort_by(|a, b| a.0.total_cmp(&b.0));
    let near = shares.iter().filter(|share| share.0 > 0.95).count();
    assert!(near * 10 > shares.len() * 9, "{near} of {}", shares.len());
    assert!(shares[0].0 > 0.85, "{:?}", shares[0]);
}

/// Boards at random and at corners never leave the band, over life and later on the bench.
#[test]
fn no_board_reads_outside_the_bands() {
    let mut dice = Dice::new(20_261);
    let mut unreliable = 0;
    for _ in 0..60 {
        let board = random_board(&mut dice);
        let input = &board.inputs[0];
        let values = Values::given(input);
        let firmware = Firmware::new(&board, input, &values);
        if !firmware.can_be_calibrated() {
            unreliable += 1;
            continue;
        }
        let nominal = nominal(&board);
        let error = greatest(&board);
        let (first, last) = input.range();
        for state in [State::Life, State::Bench] {
            let outlook = if state == State::Life { Outlook::Life } else { Outlook::Bench };
            for _ in 0..3 {
                let value = at(first, last, [0.0, 0.25, 0.5, 0.83, 1.0][dice.below(5)]);
                let band = firmware.adjusted(outlook, value).unwrap();
                for trial in 0..150 {
                    let mut share =
                        || if trial % 3 == 0 { dice.uniform(0.0, 1.0) } else { dice.below(2) as f64 };
                    let shown = reading(&board, &nominal, value, state, &mut share);
                    let slack = 1e-6 * (last - first);
                    assert!(
                        band.lowest - slack <= shown && shown <= band.highest + slack,
                        "{shown} in {band:?} at {value}: {board:#?}"
                    );
                    assert!(
                        state == State::Bench || (shown - value).abs() <= error + slack,
                        "{shown} at {value}: {error}"
                    );
                }
            }
        }
    }
    assert!(unreliable < 10, "{unreliable}");
}

/// A sender of a river launch with cheap parts that are calibrated.
const BRIEF: &str = "
ambient: { lowest: -10 °C, highest: 60 °C }
converter: { bits: 12, noise: 1 count, leakage: 50 nA }
resistors: { tolerance: 5 %, tempco: 200 ppm/K, ageing: 0.5 % }
inputs:
  diesel:
    circuit: pull-up
    sender: 240 .. 33
    pull_up: 300
    protection: 10k
    limits: { error: 2 }
    alarms: { low: { below: 20, hysteresis: 4 } }
";

fn read_brief(line: &str) -> Board {
    let text = format!("{BRIEF}    {line}\n");
    ohmwright::brief::read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

fn answered(board: &Board, boards: u64) -> InputAnswer {
    answer_with(board, "check", Some(&Trials::new(boards, 1))).inputs.0.remove(0).1
}

#[test]
fn without_calibration_everything_is_as_it_was() {
    let json = |line: &str| serde_json::to_string(&answered(&read_brief(line), 2000)).unwrap();
    assert_eq!(json("calibration: none"), json("# nothing"));
    assert!(!json("calibration: none").contains("calibrat"));
}

/// What is dialled comes from the decade box of the bench, unless the brief says otherwise; and what is assumed is said.
#[test]
fn the_accuracy_of_the_decade_box_is_assumed() {
    let board = read_brief("calibration: { at: [100, 0] }");
    let calibration = board.inputs[0].calibration.as_ref().unwrap();
    assert_eq!(calibration, &Calibration { points: vec![0.0, 100.0], accuracy: Fraction(0.001) });
    let assumed = board.assumed.iter().find(|assumed| assumed.key == "inputs.diesel.calibration.accuracy");
    assert_eq!(assumed.unwrap().value, "0.1 %");
    let one = read_brief("calibration: { at: 50 %, accuracy: 1 % }");
    assert_eq!(one.inputs[0].calibration, Some(Calibration { points: vec![50.0], accuracy: Fraction(0.01) }));
}

/// A sender that moves little is calibrated all the same, whatever else hangs on its node.
#[test]
fn little_span_is_no_reason_to_distrust() {
    let text = "
converter: { bits: 12, leakage: 10 nA }
inputs:
  oil:
    circuit: pull-up
    sender: { platinum: 1000 Ω, range: 0 °C .. 100 °C }
    pull_up: 1k
    existing: { to_ground: 320 kΩ, tolerance: 5 % }
    protection: 1k
    calibration: { at: [0, 100], accuracy: 0.05 % }
";
    let board = ohmwright::brief::read_text(text.as_bytes(), "b.yaml").unwrap();
    let calibration = answered(&board, 0).calibration.unwrap();
    assert!(calibration.reliable, "{calibration:?}");
    assert!(calibration.remains.greatest < 0.8 * calibration.without.greatest, "{calibration:?}");
}

#[test]
fn all_views_see_the_calibration() {
    let answer = answered(&read_brief("calibration: { at: [0, 100], accuracy: 0.1 % }"), 40_000);
    let stack_up = answer.stack_up.as_ref().unwrap();
    // What stays is one source, what does not is one for life and one for each point.
    let of = |cause: &str| {
        let rows = stack_up.sources.iter().filter(|row| row.of.source == cause);
        rows.map(|row| row.of.calibrated_at).collect::<Vec<_>>()
    };
    assert_eq!(
        (of("tolerance"), of("rail"), of("gain"), of("offset")),
        (vec![None; 2], vec![None], vec![None], vec![None])
    );
    // Counts fall with the value, so that the second point is that of the lowest.
    assert_eq!(of("leakage"), [None, Some(100.0), Some(0.0)]);
    assert_eq!(of("calibrator"), [Some(100.0), Some(0.0)]);
    assert_eq!((of("tempco").len(), of("ageing").len(), of("truncation").len()), (6, 2, 3));
    for point in &answer.checkpoints {
        let reading = point.reading.unwrap();
        let (drawn, root) = (reading.monte_carlo.unwrap(), reading.root_sum_of_squares.unwrap());
        assert!(drawn.lowest >= reading.life.lowest && drawn.highest <= reading.life.highest, "{reading:?}");
        assert!(reading.bench.lowest >= reading.life.lowest && reading.bench.highest <= reading.life.highest);
        if (20.0..=80.0).contains(&point.value) {
            let ratio = (drawn.highest - drawn.lowest) / (root.highest - root.lowest);
            assert!((0.8..1.15).contains(&ratio), "{ratio} {reading:?}");
        }
    }
    let [worst, root, drawn] = [
        stack_up.life.worst_case.greatest,
        stack_up.life.root_sum_of_squares.greatest,
        stack_up.life.monte_carlo.unwrap().greatest,
    ];
    assert!(worst > root && worst > drawn, "{worst} {root} {drawn}");
    let [low] = &answer.alarms[..] else { panic!("one alarm") };
    let comes = low.comes.unwrap();
    let (first, last) = (comes.lowest.unwrap(), comes.highest.unwrap());
    assert!(first < 20.0 && 20.0 < last && last - first < 2.2 * worst, "{comes:?}");
    // No count alone decides.
    assert_eq!(low.count, None);
}

/// By hand, as above: behind 285 Ω the middle is at ρ = 0.5·(285 + 33)/(285 + 136.5) = 0.377224, that is a count of 0.314172, or
/// 137.427 Ω, which reads 49.552 %.
#[test]
fn the_answer_says_what_remains() {
    let answer = answered(&read_brief("calibration: { at: [0, 100], accuracy: 0.1 % }"), 0);
    let calibration = answer.calibration.unwrap();
    assert!(calibration.reliable);
    assert_eq!(calibration.remains.greatest, answer.error.unwrap().greatest);
    let of =
        |cause: &str| calibration.by.iter().find(|row| row.cause == cause).map_or(0.0, |row| row.greatest);
    assert!((0.448..0.468).contains(&of("tolerance")), "{calibration:?}");
    assert!((0.3..0.7).contains(&of("ageing")), "{calibration:?}");
    let sum: f64 = calibration.by.iter().map(|row| row.greatest).sum();
    assert!(calibration.remains.greatest < 1.1 * sum, "{sum} {calibration:?}");
    assert!(calibration.without.greatest > 3.0 * calibration.remains.greatest, "{calibration:?}");
    assert!(calibration.good_parts.error.greatest > 0.5, "{calibration:?}");
}

/// The same seed gives the same boards whatever the threads.
#[test]
fn random_boards_are_calibrated_alike_in_every_thread() {
    let board = read_brief("calibration: { at: 0, accuracy: 0.1 % }");
    let json = |threads| {
        let trials = Trials { threads, ..Trials::new(9000, 3) };
        serde_json::to_string(&answer_with(&board, "check", Some(&trials))).unwrap()
    };
    assert_eq!(json(1), json(3));
}

#[test]
fn what_cannot_be_relied_on_is_said() {
    let answer = answered(&read_brief("calibration: { at: [50, 50.01], accuracy: 0.1 % }"), 1000);
    assert!(!answer.calibration.unwrap().reliable);
    assert_eq!(answer.error.unwrap().greatest, 100.0);
    assert!(
        answer.remarks.iter().any(|remark| remark.contains("cannot be relied on")),
        "{:?}",
        answer.remarks
    );
}
