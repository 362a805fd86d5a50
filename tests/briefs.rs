//! Right briefs: what they mean, what is assumed where they are silent, and fitted values.
#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests end a test by a panic")]

use std::io::Write as _;

use ohmwright::board::{
    Accuracy, Alarm, Board, Capacitor, Choice, Circuit, Drive, Excitation, Excursion, Fluid, Input, Limits,
    LoopSupply, Momentary, Part, RailId, Reference, Role, SelfHeating, Sender, Setting, Side, Signal,
};
use ohmwright::brief::{Node, read_fitted, read_question, read_text};
use ohmwright::case::Case;
use ohmwright::quantity::{
    Amperes, Band, Celsius, Counts, Farads, Fraction, Ohms, PerKelvin, Seconds, Volts, Watts, WattsPerKelvin,
};
use ohmwright::series::{Series, candidates};

const RIVER_LAUNCH: &str = r#"
board: river launch instrument board
supply: { lowest: 9 V, usual: 13.2 V, highest: 16 V, contact: 29 V, surge: 35 V }
ambient: { lowest: -10 °C, highest: 70 °C }
rails:
  logic: { voltage: 5 V, tolerance: 2 % }
converter: { bits: 10, reference: logic, leakage: 1 µA, pin_current: 1 mA }
resistors: { series: E24, tolerance: 1 %, tempco: 100 ppm/K, size: "0805" }
inputs:
  diesel:
    circuit: pull-up
    fluid: diesel
    sender: { unit: "%", points: [[0, 240 Ω], [50, 103 Ω], [100, 33 Ω]], tolerance: 3 % }
    pull_up: choose
    protection: { choose: 1k .. 47k }
    alarms: { low: { below: 12.5, hysteresis: 2 }, empty: { below: 3 } }
  house battery:
    circuit: divider
    from: supply
    measures: 0 V .. 32 V
    top: 22k
    bottom: 11k
    extension: choose
"#;

#[track_caller]
fn read(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

/// A board with one input of these keys.
#[track_caller]
fn input(keys: &str) -> Input {
    read(&format!("inputs: {{ a: {{ {keys} }} }}\n")).inputs.remove(0)
}

fn sender(input: &Input) -> &Sender {
    match &input.drive {
        Drive::Sender(sender) => sender,
        Drive::Signal(_) | Drive::Current(_) => panic!("no sender"),
    }
}

fn signal(input: &Input) -> &Signal {
    match &input.drive {
        Drive::Signal(signal) => signal,
        Drive::Sender(_) | Drive::Current(_) => panic!("no signal"),
    }
}

fn part(input: &Input, role: Role) -> &Part {
    input.parts.iter().find(|part| part.role == role).unwrap()
}

fn ends(part: &Part) -> (usize, Ohms, Ohms) {
    match &part.choice {
        Choice::Choose { candidates, .. } => {
            (candidates.len(), candidates[0].ohms, candidates[candidates.len() - 1].ohms)
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_board_of_the_river_launch() {
    let board = read(RIVER_LAUNCH);
    assert_eq!(board.name, "river launch instrument board");
    assert_eq!(board.supply.swing, Band { lowest: Volts(9.0), highest: Volts(16.0) });
    assert_eq!(board.supply.usual, Volts(13.2));
    assert_eq!(board.supply.contact, Volts(29.0));
    assert_eq!(board.supply.surges, [Excursion { voltage: Volts(35.0), time: None }]);
    assert_eq!(board.supply.reversed, None);
    assert_eq!(board.ambient, Band { lowest: Celsius(-10.0), highest: Celsius(70.0) });
    assert_eq!(board.rails.len(), 1);
    assert_eq!((board.rails[0].name.as_str(), board.rails[0].voltage), ("logic", Volts(5.0)));
    assert_eq!(board.rails[0].tolerance, Fraction(0.02));
    let converter = board.converter;
    assert_eq!((converter.bits, converter.reference), (10, Reference::Rail(RailId(0))));
    assert_eq!((converter.leakage, converter.pin_current), (Amperes(1e-6), Amperes(1e-3)));
    assert_eq!(
        (converter.offset, converter.gain, converter.inl),
        (Counts(2.0), Fraction(0.005), Counts(1.0))
    );
    assert_eq!(board.bench.decade_box, Fraction(0.001));
    let names: Vec<&str> = board.inputs.iter().map(|input| input.name.as_str()).collect();
    assert_eq!(names, ["diesel", "house battery"]);
    assert_eq!(board.remarks, Vec::<String>::new());
}

#[test]
fn the_diesel_input_of_the_river_launch() {
    let board = read(RIVER_LAUNCH);
    let diesel = &board.inputs[0];
    assert_eq!((diesel.circuit, diesel.fluid), (Circuit::PullUp, Some(Fluid::Diesel)));
    assert_eq!(diesel.excitation, Some(Excitation::Rail(RailId(0))));
    let sender = sender(diesel);
    assert_eq!(sender.curve.unit(), "%");
    assert_eq!(sender.curve.points(), [(0.0, Ohms(240.0)), (50.0, Ohms(103.0)), (100.0, Ohms(33.0))]);
    assert_eq!((sender.tolerance, sender.accuracy), (Fraction(0.03), Accuracy::NONE));
    let roles: Vec<Role> = diesel.parts.iter().map(|part| part.role).collect();
    assert_eq!(roles, [Role::Line, Role::PullUp, Role::Shunt, Role::Top, Role::Bottom, Role::Protection]);
    // Five decades of E24 and the upper end itself; 1k .. 47k: 24 values to 9.1k and 17 from 10k to 47k.
    assert_eq!(ends(part(diesel, Role::PullUp)), (121, Ohms(10.0), Ohms(1e6)));
    assert_eq!(ends(part(diesel, Role::Protection)), (41, Ohms(1000.0), Ohms(47_000.0)));
    assert!(matches!(part(diesel, Role::Shunt).choice, Choice::Absent));
    let grade = &part(diesel, Role::PullUp).grade;
    assert_eq!(
        (grade.tolerance, grade.tempco, grade.ageing),
        (Fraction(0.01), PerKelvin(100e-6), Fraction(0.01))
    );
    assert_eq!((grade.rating, grade.working_voltage), (Watts(0.125), Volts(150.0)));
    assert_eq!(diesel.capacitor, Capacitor::Fixed(Farads(100e-9)));
    assert_eq!(diesel.checkpoints, [0.0, 25.0, 50.0, 75.0, 100.0]);
    assert_eq!(diesel.survive, [Case::WireOpen, Case::WireToGround]);
    let alarm = |name: &str, at, hysteresis| Alarm {
        name: name.to_owned(),
        side: Side::Below,
        at,
        hysteresis,
        certain_at: 0.0,
        quiet_at: 100.0,
    };
    assert_eq!(diesel.alarms, [alarm("low", 12.5, 2.0), alarm("empty", 3.0, 0.0)]);
    assert_eq!(diesel.limits, usual_limits());
}

fn usual_limits() -> Limits {
    Limits {
        converter_range: Setting::Usual,
        pin_current: Setting::Usual,
        dissipation: Setting::Usual,
        part_voltage: Setting::Usual,
        settling: Setting::Usual,
        source_resistance: Setting::Off,
        leakage_error: Setting::Off,
        sender_current: Setting::Off,
        wetting_current: Setting::Off,
        supply_current: Setting::Off,
        sender_power: Setting::Off,
        input_resistance: Setting::Off,
        compliance: Setting::Usual,
        error: Setting::Off,
        rail_backfeed: Setting::Off,
        filter_time: Setting::Off,
        fault_gap: Setting::Off,
    }
}

#[test]
fn the_battery_input_of_the_river_launch() {
    let board = read(RIVER_LAUNCH);
    let battery = &board.inputs[1];
    let signal = signal(battery);
    assert_eq!((battery.circuit, battery.excitation), (Circuit::Divider, None));
    assert_eq!(signal.curve.points(), [(0.0, Volts(0.0)), (32.0, Volts(32.0))]);
    assert_eq!((signal.curve.unit(), signal.from_supply, signal.scales_with), ("V", true, None));
    assert_eq!(signal.resistance, Ohms(0.0));
    let roles: Vec<Role> = battery.parts.iter().map(|part| part.role).collect();
    assert_eq!(roles, [Role::Extension, Role::Top, Role::Bottom, Role::Protection]);
    assert!(matches!(part(battery, Role::Top).choice, Choice::Fixed(Ohms(22_000.0))));
    assert!(matches!(part(battery, Role::Bottom).choice, Choice::Fixed(Ohms(11_000.0))));
    assert_eq!(battery.checkpoints, [0.0, 8.0, 16.0, 24.0, 32.0]);
}

/// The defaults as the documentation of briefs gives them, in the order of its template.
#[test]
fn every_default_is_listed_in_the_order_of_the_template() {
    let board = read(RIVER_LAUNCH);
    let assumed: Vec<String> =
        board.assumed.iter().map(|assumed| format!("{}: {}", assumed.key, assumed.value)).collect();
    let expected = "supply.reversed: none
supply.jump_start: none
supply.cranking: none
rails.logic.sink_current: 0 A
rails.logic.least_load: 0 A
rails.logic.when_reversed: off
converter.usable: all
converter.headroom: 0 %
converter.offset: 2 counts
converter.gain: 0.5 %
converter.inl: 1 count
converter.noise: 0 counts
converter.clamp: 500 mV
converter.clamp_rail: logic
converter.sampling.capacitor: 14 pF
converter.sampling.resistance: 10 kΩ
converter.sampling.time: 12 µs
converter.sampling.period: 10 ms
converter.sampling.settles_to: 0.5 counts
resistors.between: 10 Ω .. 1 MΩ
resistors.ageing: 1 %
resistors.derated_from: 70 °C
resistors.derated_to_zero: 155 °C
resistors.derate_to: 60 %
resistors.momentary: off
limits.converter_range: on
limits.pin_current: 1 mA
limits.dissipation: 60 % of the derated rating
limits.part_voltage: the working voltage of the part
limits.settling: 0.5 counts
bench.temperature: 20 °C .. 30 °C
bench.decade_box: 0.1 %
inputs.diesel.sender.interpolation: linear
inputs.diesel.sender.accuracy: 0
inputs.diesel.excitation: logic
inputs.diesel.wire: 0 Ω
inputs.diesel.ground_shift: 0 V
inputs.diesel.shunt: none
inputs.diesel.line: none
inputs.diesel.top: none
inputs.diesel.bottom: none
inputs.diesel.capacitor: 100 nF
inputs.diesel.zone: 0 .. 100 %
inputs.diesel.aim: span
inputs.diesel.survive: [wire open, wire to ground]
inputs.diesel.alarms.low.certain_at: 0 %
inputs.diesel.alarms.low.quiet_at: 100 %
inputs.diesel.alarms.empty.hysteresis: 0
inputs.diesel.alarms.empty.certain_at: 0 %
inputs.diesel.alarms.empty.quiet_at: 100 %
inputs.diesel.checkpoints: [0, 25, 50, 75, 100]
inputs.diesel.calibration: none
inputs.house battery.reads: itself
inputs.house battery.scales_with: none
inputs.house battery.signal_resistance: 0 Ω
inputs.house battery.wire: 0 Ω
inputs.house battery.ground_shift: 0 V
inputs.house battery.protection: choose
inputs.house battery.capacitor: 100 nF
inputs.house battery.zone: 0 .. 32 V
inputs.house battery.aim: span
inputs.house battery.survive: [wire open, wire to ground]
inputs.house battery.checkpoints: [0, 8, 16, 24, 32]
inputs.house battery.calibration: none";
    assert_eq!(assumed.join("\n"), expected);
}

#[test]
fn a_silent_brief_is_a_board_of_defaults() {
    let board = read("inputs: { a: { circuit: direct, measures: 0..5 } }\n");
    let assumed = |key: &str| {
        board.assumed.iter().find(|assumed| assumed.key == key).map(|assumed| assumed.value.as_str())
    };
    assert_eq!(assumed("board"), Some("unnamed"));
    assert_eq!(assumed("supply.lowest"), Some("9 V"));
    assert_eq!(assumed("supply.usual"), Some("13.2 V"));
    assert_eq!(assumed("supply.highest"), Some("25 V"));
    assert_eq!(assumed("supply.contact"), Some("25 V"));
    assert_eq!(assumed("supply.surge"), Some("none"));
    assert_eq!(assumed("ambient.lowest"), Some("-20 °C"));
    assert_eq!(assumed("ambient.highest"), Some("70 °C"));
    assert_eq!(assumed("rails.logic.voltage"), Some("5 V"));
    assert_eq!(assumed("rails.logic.tolerance"), Some("2 %"));
    assert_eq!(assumed("converter.bits"), Some("10"));
    assert_eq!(assumed("converter.reference"), Some("logic"));
    assert_eq!(assumed("converter.leakage"), Some("1 µA"));
    assert_eq!(assumed("converter.pin_current"), Some("1 mA"));
    assert_eq!(assumed("resistors.series"), Some("E24"));
    assert_eq!(assumed("resistors.tolerance"), Some("1 %"));
    assert_eq!(assumed("resistors.tempco"), Some("100 ppm/K"));
    assert_eq!(assumed("resistors.size"), Some("0805"));
    assert_eq!(assumed("inputs.a.from"), Some("sensor"));
    // What this circuit does not have is not listed.
    assert_eq!(assumed("inputs.a.shunt"), None);
    assert_eq!(assumed("inputs.a.excitation"), None);
}

/// Defaults written out are the same board, and nothing is assumed any more but limits, which have words of their own.
#[test]
fn defaults_written_out_change_nothing() {
    for text in [RIVER_LAUNCH, "inputs: { a: { circuit: direct, measures: 0..5 } }\n"] {
        let board = read(text);
        let mut tree = tree_of(text);
        for assumed in board.assumed.iter().filter(|assumed| !assumed.key.starts_with("limits.")) {
            let path: Vec<&str> = assumed.key.split('.').collect();
            let entries = assumed.value.strip_prefix('[').and_then(|list| list.strip_suffix(']'));
            let value = match entries {
                Some(entries) => Node::List(entries.split(", ").map(Node::text).collect()),
                None => Node::text(&assumed.value),
            };
            tree.put(&path, value);
        }
        let again = read_question(&tree, &[]).unwrap_or_else(|faults| panic!("{faults}"));
        assert!(
            again.assumed.iter().all(|assumed| assumed.key.starts_with("limits.")),
            "{:?}",
            again.assumed
        );
        // The zone is the whole range either way, but now it is said.
        let plain = |board: &Board| {
            let mut board = board.clone();
            board.assumed.clear();
            board.inputs.iter_mut().for_each(|input| input.zone = None);
            format!("{board:?}")
        };
        assert_eq!(plain(&board), plain(&again));
    }
}

/// The tree of a brief, read by the YAML parser alone: all scalars of these briefs are plain text.
fn tree_of(text: &str) -> Node {
    fn node(value: serde_yaml::Value) -> Node {
        match value {
            serde_yaml::Value::Mapping(map) => Node::Map(
                map.into_iter().map(|(key, value)| (key.as_str().unwrap().to_owned(), node(value))).collect(),
            ),
            serde_yaml::Value::Sequence(list) => Node::List(list.into_iter().map(node).collect()),
            serde_yaml::Value::String(text) => Node::Text(text),
            serde_yaml::Value::Number(number) => Node::text(number.to_string()),
            other => panic!("{other:?}"),
        }
    }
    node(serde_yaml::from_str(text).unwrap())
}

#[test]
fn a_chafed_wire_meets_the_greatest_measured_supply() {
    let contact = |inputs: &str| read(&format!("inputs: {{ {inputs} }}\n")).supply.contact;
    let battery = "a: { circuit: direct, from: supply, measures: 0 V .. 32 V }";
    assert_eq!(contact(battery), Volts(32.0));
    assert_eq!(contact("a: { circuit: direct, measures: 0 V .. 32 V }"), Volts(25.0));
    assert_eq!(contact("a: { circuit: direct, from: supply, measures: 0 V .. 15 V }"), Volts(25.0));
    let given = read(&format!("supply: {{ contact: 29 V }}\ninputs: {{ {battery} }}\n"));
    assert_eq!(given.supply.contact, Volts(29.0));
}

#[test]
fn the_order_of_a_senders_ends_is_kept() {
    for (text, first, last) in [
        ("{ resistance: 240 Ω .. 33 Ω }", 240.0, 33.0),
        ("33..240", 33.0, 240.0),
        ("{ resistance: [240, 33] }", 240.0, 33.0),
    ] {
        let input = input(&format!("circuit: pull-up, pull_up: choose, sender: {text}"));
        let points = [(0.0, Ohms(first)), (100.0, Ohms(last))];
        assert_eq!(sender(&input).curve.points(), points, "{text}");
        assert_eq!(sender(&input).curve.unit(), "%");
    }
}

#[test]
fn values_of_a_dial_are_converted_to_its_unit() {
    let keys = "circuit: pull-up, pull_up: choose, zone: 176 °F .. 120 °C, \
                sender: { unit: °C, points: [[0, 5.9 kΩ], [353.15 K, 500], [120 °C, 150]], accuracy: 2 K }";
    let input = input(keys);
    let points = [(0.0, Ohms(5900.0)), (80.0, Ohms(500.0)), (120.0, Ohms(150.0))];
    assert_eq!(sender(&input).curve.points(), points);
    assert_eq!(sender(&input).accuracy, Accuracy::constant(2.0));
    assert_eq!(input.zone, Some(Band { lowest: 80.0, highest: 120.0 }));
    // Five over the range and the ends of the zone, each once.
    assert_eq!(input.checkpoints, [0.0, 30.0, 60.0, 80.0, 90.0, 120.0]);
}

#[test]
fn the_unit_may_stand_behind_the_values() {
    let input = input("circuit: pull-up, pull_up: choose, sender: { points: [[0 L, 303], [55 L, 35]] }");
    assert_eq!(sender(&input).curve.unit(), "L");
}

fn sender_of(text: &str) -> Sender {
    sender(&input(&format!("circuit: pull-up, pull_up: choose, sender: {text}"))).clone()
}

#[track_caller]
fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "found {found}, wanted {wanted}");
}

#[test]
fn a_thermistor_follows_its_law() {
    let ntc = "ntc: { at: 25 °C, resistance: 10 kΩ, beta: 3950 K }";
    let read = sender_of(&format!("{{ {ntc}, range: -20 °C .. 120 °C, self_heating: 2 mW/K, accuracy: 1 }}"));
    assert_eq!((read.curve.unit(), read.curve.knots()), ("°C", vec![-20.0, 120.0]));
    assert_eq!(read.curve.at(25.0), Ohms(10_000.0));
    // By hand: 10 kΩ · exp(3950 · (1/273.15 − 1/298.15)).
    near(read.curve.at(0.0).0, 33_620.60, 0.005);
    let heating = SelfHeating { per_kelvin: WattsPerKelvin(0.002), units_per_kelvin: 1.0 };
    assert_eq!(read.self_heating, Some(heating));
    assert_eq!(read.accuracy, Accuracy::constant(1.0));
    // The same sender on a dial in °F, its range given in °C, and the temperature left to its default.
    let dial = "unit: °F, ntc: { resistance: 10 kΩ, beta: 3950 }";
    let fahrenheit = sender_of(&format!("{{ {dial}, range: -20 °C .. 120 °C }}"));
    assert_eq!((fahrenheit.curve.unit(), fahrenheit.curve.knots()), ("°F", vec![-4.0, 248.0]));
    near(fahrenheit.curve.at(32.0).0, 33_620.60, 0.005);
    assert_eq!(sender_of(&format!("{{ {dial}, range: -4 .. 248 }}")).curve, fahrenheit.curve);
    // Public header typical.hpp, Matthew Knight, 2019: 10030.217595116217 Ω at 0 °C.
    let read = sender_of("{ steinhart_hart: { a: 1.40e-3, b: 2.37e-4, c: 9.90e-8 }, range: -10 .. 30 °C }");
    near(read.curve.at(0.0).0, 10_030.217_595_116_217, 1e-6);
    assert_eq!(read.curve.describe(), "Steinhart-Hart");
}

#[test]
fn classes_of_platinum_are_accuracies_on_the_dial() {
    let read = |keys: &str| sender_of(&format!("{{ platinum: 1000 Ω, {keys} }}"));
    // IEC 60751: ±(0.1 + 0.0017·|t|) °C for class AA, then 0.15 and 0.002, 0.3 and 0.005, 0.6 and 0.01.
    let aa = read("class: AA, range: -50 °C .. 200 °C").accuracy;
    assert_eq!(aa, Accuracy { constant: 0.1, share: 0.0017, zero: 0.0 });
    let a = read("class: A, range: -50 °C .. 200 °C").accuracy;
    assert_eq!(a, Accuracy { constant: 0.15, share: 0.002, zero: 0.0 });
    let b = read("class: B, unit: °F, range: -50 °C .. 200 °C").accuracy;
    near(b.at(32.0), 0.3 * 1.8, 1e-12);
    near(b.at(212.0), 0.8 * 1.8, 1e-12);
    near(b.at(-58.0), 0.55 * 1.8, 1e-12);
    let c = read("class: C, unit: K, range: 0 °C .. 200 °C").accuracy;
    near(c.at(373.15), 1.6, 1e-12);
    assert_eq!(read("class: none, range: -50 °C .. 200 °C").accuracy, Accuracy::NONE);
    assert_eq!(read("range: -50 °C .. 200 °C").curve.at(0.0), Ohms(1000.0));
}

#[test]
fn defaults_of_a_law_are_listed() {
    let sender = "{ platinum: 100, range: 0 °C .. 90 °C }";
    let board =
        read(&format!("inputs: {{ a: {{ circuit: pull-up, pull_up: choose, sender: {sender} }} }}\n"));
    let assumed = board.assumed.iter().map(|assumed| format!("{}: {}", assumed.key, assumed.value));
    let assumed: Vec<String> = assumed.filter(|line| line.contains("sender")).collect();
    let expected = ["unit: °C", "tolerance: 0 %", "class: none", "accuracy: 0", "self_heating: none"];
    assert_eq!(assumed, expected.map(|line| format!("inputs.a.sender.{line}")));
}

#[test]
fn a_cubic_goes_through_the_same_points() {
    let points = "points: [[0 L, 303], [20 L, 209], [40 L, 138], [55 L, 35]]";
    let linear = sender_of(&format!("{{ {points} }}")).curve;
    let cubic = sender_of(&format!("{{ {points}, interpolation: monotone }}")).curve;
    assert_eq!(cubic.points(), linear.points());
    assert_ne!(cubic.at(10.0), linear.at(10.0));
    assert_eq!(cubic.describe(), "cubic through 4 points");
}

#[test]
fn a_shape_makes_volume_of_level() {
    // By hand: half the travel of 240 .. 33 Ω is 136.5 Ω.
    let half = Ohms(136.5);
    for (text, unit, full) in [
        ("{ resistance: 240..33, unit: L, shape: [[0, 0], [50, 20], [100, 55]] }", "L", 55.0),
        ("{ resistance: 240..33, shape: [[0, 0], [50, 20 L], [100, 55]] }", "L", 55.0),
        ("{ resistance: 240..33, shape: [[0, 0], [50, 20], [100, 55]] }", "%", 55.0),
        ("{ unit: cm, points: [[0, 240], [30, 33]], shape: [[0, 0], [15, 20 L], [30, 55 L]] }", "L", 55.0),
        ("{ resistance: 240..33, unit: gal, shape: [[0, 0], [50, 20], [100, 55 gal]] }", "gal", 55.0),
        // The imperial gallon is 4.54609 L by definition.
        ("{ resistance: 240..33, unit: L, shape: [[0, 0], [50, 20], [100, 10 imp gal]] }", "L", 45.4609),
    ] {
        let curve = sender_of(text).curve;
        assert_eq!(curve.unit(), unit, "{text}");
        assert_eq!(curve.points(), [(0.0, Ohms(240.0)), (20.0, half), (full, Ohms(33.0))], "{text}");
    }
}

#[test]
fn gauges_of_the_trade_are_converted() {
    // Common practice, no published source: coolant 195 .. 220 °F, oil pressure 25 .. 65 psi.
    let coolant = sender_of("{ unit: °C, points: [[195 °F, 500], [220 °F, 300]] }").curve;
    near(coolant.first().0, 90.6, 0.05);
    near(coolant.last().0, 104.4, 0.05);
    let oil = sender_of("{ unit: bar, points: [[25 psi, 103], [65 psi, 60]] }").curve;
    near(oil.first().0, 1.72, 0.005);
    near(oil.last().0, 4.48, 0.005);
    // Given twice, the first value counts.
    let twice = sender_of("{ points: [[90.6 °C (195 °F), 500], [104.4 °C (220 °F), 300]] }").curve;
    assert_eq!((twice.unit(), twice.first().0, twice.last().0), ("°C", 90.6, 104.4));
}

#[test]
fn a_voltage_means_what_its_rows_say() {
    let read = |keys: &str| signal(&input(&format!("circuit: direct, unit: A, {keys}"))).curve.clone();
    let rows = "reads: [[0.5 V, -100], [4.5 V, 100]]";
    assert_eq!(read(rows).points(), [(-100.0, Volts(0.5)), (100.0, Volts(4.5))]);
    // A falling voltage: rows with falling values are the same curve the other way round.
    let falling = "reads: [[0.5 V, 100], [4.5 V, -100 A]]";
    assert_eq!(read(falling).points(), [(-100.0, Volts(4.5)), (100.0, Volts(0.5))]);
    // Half of the voltages, half of the values.
    let part = format!("measures: 2.5 V .. 4.5 V, {rows}");
    assert_eq!(read(&part).points(), [(0.0, Volts(2.5)), (100.0, Volts(4.5))]);
}

#[test]
fn wires_and_grounds_are_single_values_or_ranges() {
    let read = |keys: &str| input(&format!("circuit: direct, measures: 0..5, {keys}"));
    let band = |a, b| Band { lowest: Ohms(a), highest: Ohms(b) };
    assert_eq!(read("wire: 50 mΩ").wire, band(0.05, 0.05));
    assert_eq!(read("wire: 0 Ω .. 2 Ω").wire, band(0.0, 2.0));
    assert_eq!(read("wire: [0, 500 mΩ]").wire, band(0.0, 0.5));
    let volts = |a, b| Band { lowest: Volts(a), highest: Volts(b) };
    assert_eq!(read("ground_shift: 50 mV").ground_shift, volts(-0.05, 0.05));
    assert_eq!(read("ground_shift: -10 mV .. 50 mV").ground_shift, volts(-0.01, 0.05));
}

#[test]
fn parts_are_given_in_many_ways() {
    let read = |text: &str| {
        let input = input(&format!("circuit: direct, measures: 0..5, protection: {text}"));
        part(&input, Role::Protection).clone()
    };
    assert!(matches!(read("none").choice, Choice::Absent));
    assert!(matches!(read("0").choice, Choice::Fixed(Ohms(0.0))));
    assert!(matches!(read("4k7").choice, Choice::Fixed(Ohms(4700.0))));
    let given = read("{ value: 150 Ω, tolerance: 5 %, size: 2512 }");
    assert!(matches!(given.choice, Choice::Fixed(Ohms(150.0))));
    assert_eq!((given.grade.tolerance, given.grade.rating), (Fraction(0.05), Watts(1.0)));
    let chosen = read("{ choose: 47..2k2, or_none: true, series: [E24, E12], rating: 500 mW, ageing: 0 % }");
    let Choice::Choose { candidates: offered, or_none: true } = &chosen.choice else { panic!("{chosen:?}") };
    let band = Band { lowest: Ohms(47.0), highest: Ohms(2200.0) };
    assert_eq!(*offered, candidates(&[Series::E12, Series::E24], band));
    assert_eq!((chosen.grade.rating, chosen.grade.working_voltage), (Watts(0.5), Volts(150.0)));
    assert_eq!(chosen.grade.ageing, Fraction(0.0));
}

/// Lower figures of manufacturers' catalogues for thick film chip resistors.
#[test]
fn sizes_stand_what_catalogues_say() {
    for (size, watts, volts) in [
        ("\"0201\"", 1.0 / 20.0, 15.0),
        ("\"0402\"", 1.0 / 16.0, 50.0),
        ("0603", 1.0 / 10.0, 50.0),
        ("0805", 1.0 / 8.0, 150.0),
        ("1206", 1.0 / 4.0, 200.0),
        ("\"1210\"", 1.0 / 3.0, 200.0),
        ("2010", 3.0 / 4.0, 200.0),
        ("2512", 1.0, 200.0),
    ] {
        let board = format!(
            "resistors: {{ size: {size} }}\ninputs: {{ a: {{ circuit: direct, measures: 0..5 }} }}\n"
        );
        let grade = read(&board).inputs[0].parts[0].grade.clone();
        assert_eq!((grade.rating, grade.working_voltage), (Watts(watts), Volts(volts)), "{size}");
    }
}

#[test]
fn limits_of_an_input_come_before_those_of_the_board() {
    let limits = |board: &str, keys: &str| {
        read(&format!("{board}\ninputs: {{ a: {{ circuit: direct, measures: 0..5{keys} }} }}\n")).inputs[0]
            .limits
    };
    assert_eq!(limits("", ""), usual_limits());
    let without_capacitor = limits("", ", capacitor: none").source_resistance;
    assert_eq!(without_capacitor, Setting::At(Ohms(10e3)));
    assert_eq!(limits("", ", limits: { source_resistance: on }").source_resistance, Setting::At(Ohms(10e3)));
    let off = limits("limits: off", ", limits: { pin_current: on, settling: 2 counts }");
    assert_eq!((off.pin_current, off.settling), (Setting::Usual, Setting::At(Counts(2.0))));
    assert_eq!((off.dissipation, off.converter_range), (Setting::Off, Setting::Off));
    let board =
        limits("limits: { sender_current: 20 mA, pin_current: 2 mA }", ", limits: { pin_current: off }");
    assert_eq!((board.sender_current, board.pin_current), (Setting::At(Amperes(0.02)), Setting::Off));
}

#[test]
fn a_surge_has_its_time() {
    let text = "supply: { surge: [35 V, 101 V], surge_time: 400 ms, contact: 20 V }\n\
                inputs: { a: { circuit: direct, measures: 0..5, survive: [surge] } }\n";
    let board = read(text);
    let surge = |volts| Excursion { voltage: Volts(volts), time: Some(Seconds(0.4)) };
    assert_eq!(board.supply.surges, [surge(35.0), surge(101.0)]);
    assert_eq!(board.remarks, ["supply.contact 20 V lies below supply.highest 25 V: taken as it stands"]);
}

fn supply(keys: &str) -> ohmwright::board::Supply {
    read(&format!("supply: {{ {keys} }}\ninputs: {{ a: {{ circuit: direct, measures: 0..5 }} }}\n")).supply
}

/// ISO 16750-2: 79 V .. 101 V for 40 ms .. 400 ms and 151 V .. 202 V for 100 ms .. 350 ms without suppression;
/// 35 V with it, for 24 V a typical 58 V.
#[test]
fn load_dumps_have_the_levels_of_their_standard() {
    let level = |name: &str| {
        let surges = supply(&format!("surge: ISO 16750-2 {name}")).surges;
        (surges.len(), surges[0].voltage, surges[0].time.unwrap())
    };
    assert_eq!(level("12 V load dump A"), (1, Volts(101.0), Seconds(0.4)));
    assert_eq!(level("24 V load dump A"), (1, Volts(202.0), Seconds(0.35)));
    assert_eq!(level("12 V load dump B"), (1, Volts(35.0), Seconds(0.4)));
    assert_eq!(level("24 V load dump B"), (1, Volts(58.0), Seconds(0.35)));
}

/// ISO 7637-2 with the highest levels: pulses above 0 V on top of 13.5 V and 27 V, those below from 0 V.
#[test]
fn pulses_have_the_levels_of_their_standard() {
    let levels = |system: u32| {
        let names = ["1", "2a", "2b", "3a", "3b"].map(|pulse| format!("ISO 7637-2 {system} V pulse {pulse}"));
        let surges = supply(&format!("surge: [{}]", names.join(", "))).surges;
        surges.iter().map(|surge| (surge.voltage.0, surge.time.unwrap().0)).collect::<Vec<_>>()
    };
    assert_eq!(levels(12), [(-150.0, 2e-3), (125.5, 50e-6), (23.5, 0.2), (-220.0, 150e-9), (163.5, 150e-9)]);
    assert_eq!(levels(24), [(-600.0, 1e-3), (139.0, 50e-6), (47.0, 0.2), (-300.0, 150e-9), (327.0, 150e-9)]);
}

/// ISO 16750-2: jump start at 24 V for 60 s; the starting profile comes down to 6 V.
#[test]
fn jump_start_and_cranking_are_voltages_or_those_of_a_standard() {
    let standard = supply("jump_start: ISO 16750-2, cranking: ISO 16750-2");
    assert_eq!(standard.jump_start, Some(Excursion { voltage: Volts(24.0), time: Some(Seconds(60.0)) }));
    assert_eq!(standard.cranking, Some(Volts(6.0)));
    let given = supply("jump_start: 28 V, cranking: 7 V");
    assert_eq!(given.jump_start, Some(Excursion { voltage: Volts(28.0), time: None }));
    assert_eq!(given.cranking, Some(Volts(7.0)));
    let none = supply("jump_start: none, surge: none");
    assert_eq!((none.jump_start, none.cranking, none.surges.len()), (None, None, 0));
}

#[test]
fn parts_of_a_group_may_belong_to_several_inputs() {
    let text = |group: &str| {
        format!(
            "inputs:\n  a: {{ circuit: divider, measures: 0..5, top: {{ value: 10k, tracks: network }}, bottom: 10k }}\n  \
             b: {{ circuit: divider, measures: 0..5, top: {{ value: 10k, tracks: {group} }}, bottom: {{ choose: 1k .. 2k, \
             tracks: none }} }}\n"
        )
    };
    let board = read(&text("network"));
    assert_eq!(board.remarks, Vec::<String>::new());
    let groups: Vec<_> = board.inputs.iter().map(|input| part(input, Role::Top).tracks.as_deref()).collect();
    assert_eq!(groups, [Some("network"); 2]);
    assert_eq!(part(&board.inputs[1], Role::Bottom).tracks, None);
    let remark = |place, group| {
        format!(
            "inputs.{place} tracks `{group}`, and no other part does: is the name of the group spelt right?"
        )
    };
    let misspelt = read(&text("netwrok"));
    assert_eq!(misspelt.remarks, [remark("a.top", "network"), remark("b.top", "netwrok")]);
}

#[test]
fn cranking_says_that_the_rails_are_taken_to_be_up() {
    let text = "supply: { cranking: 6 V }\ninputs: { a: { circuit: direct, measures: 0..5 } }\n";
    let expected =
        ["cranking: whether the rails hold at a supply of 6 V is not known here; they are taken to be up"];
    assert_eq!(read(text).remarks, expected);
}

#[test]
fn a_loop_is_fed_by_the_supply_a_rail_or_a_supply_of_its_own() {
    let fed_by = |key: &str| {
        let text =
            format!("inputs: {{ a: {{ circuit: burden, measures: 4 mA .. 20 mA, burden: 150{key} }} }}\n");
        let Drive::Current(transmitter) = read(&text).inputs.remove(0).drive else { panic!("a transmitter") };
        transmitter.loop_supply
    };
    assert_eq!(fed_by(""), LoopSupply::Supply);
    assert_eq!(fed_by(", loop: supply"), LoopSupply::Supply);
    assert_eq!(fed_by(", loop: logic"), LoopSupply::Rail(RailId(0)));
    let own = fed_by(", loop: { voltage: 24 V, tolerance: 5 % }");
    assert_eq!(own, LoopSupply::Own(Band { lowest: Volts(24.0 * 0.95), highest: Volts(24.0 * 1.05) }));
}

#[test]
fn a_momentary_rating_is_that_of_the_part_or_of_all() {
    let text = "resistors: { momentary: { power: 0.78 W, voltage: 300 V, time: 5 s } }\n\
                inputs: { a: { circuit: divider, measures: 0..32, top: 22k, bottom: { value: 11k, momentary: off },\n  \
                protection: { value: 1k, momentary: { power: 0.5 W, voltage: 200 V, time: 1 s } },\n  \
                extension: { value: 1k, size: 1206 } } }\n";
    let momentary = |watts, volts, seconds| {
        Some(Momentary { power: Watts(watts), voltage: Volts(volts), time: Seconds(seconds) })
    };
    let input = read(text).inputs.remove(0);
    let of = |role| input.parts.iter().find(|part| part.role == role).unwrap().grade.momentary;
    assert_eq!(of(Role::Top), momentary(0.78, 300.0, 5.0));
    assert_eq!(of(Role::Bottom), None);
    assert_eq!(of(Role::Protection), momentary(0.5, 200.0, 1.0));
    // Another size stands something else, which nobody has said.
    assert_eq!(of(Role::Extension), None);
}

#[test]
fn references_and_rails_are_found_by_name() {
    let text = "rails: { a: { voltage: 3.3 V }, b: { voltage: 5 V, when_reversed: on } }\n\
                converter: { reference: { voltage: 1.1 V, tolerance: 9 % }, clamp_rail: b }\n\
                inputs:\n  x: { circuit: pull-up, sender: 240..33, pull_up: 100, excitation: supply }\n  \
                y: { circuit: direct, measures: 0..1, scales_with: b }\n  \
                z: { circuit: pull-up, sender: 240..33, pull_up: 100 }\n";
    let board = read(text);
    let own = Reference::Own { voltage: Volts(1.1), tolerance: Fraction(0.09) };
    assert_eq!((board.converter.reference, board.converter.clamp_rail), (own, RailId(1)));
    assert!(board.rails[1].on_when_reversed && !board.rails[0].on_when_reversed);
    assert_eq!(board.inputs[0].excitation, Some(Excitation::Supply));
    assert_eq!(signal(&board.inputs[1]).scales_with, Some(RailId(1)));
    // A reference of its own excites nothing: the first rail does.
    assert_eq!(board.inputs[2].excitation, Some(Excitation::Rail(RailId(0))));
}

/// Reads fitted values for the river launch from a file.
fn fit(text: &str) -> Result<Board, String> {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    let name = file.path().display().to_string();
    read_fitted(file.path(), &read(RIVER_LAUNCH)).map_err(|faults| {
        let mut lines = Vec::new();
        for mut fault in faults.0 {
            fault.source_line = None;
            lines.push(fault.to_string().replace(&name, "f.yaml"));
        }
        lines.join("\n")
    })
}

#[test]
fn fitted_values_take_the_place_of_choices() {
    let text = "board: river launch instrument board\nfitted:\n  \
                diesel: { pull_up: 300 Ω, protection: 27 kΩ, shunt: none }\n  \
                house battery: { extension: 11.3 kΩ, protection: none, top: 22k }\n";
    let board = fit(text).unwrap();
    let choice = |input: usize, role| part(&board.inputs[input], role).choice.clone();
    assert!(matches!(choice(0, Role::PullUp), Choice::Fixed(Ohms(300.0))));
    assert!(matches!(choice(0, Role::Protection), Choice::Fixed(Ohms(27_000.0))));
    assert!(matches!(choice(0, Role::Shunt), Choice::Absent));
    assert!(matches!(choice(1, Role::Extension), Choice::Fixed(Ohms(11_300.0))));
    assert!(matches!(choice(1, Role::Protection), Choice::Absent));
    assert!(matches!(choice(1, Role::Top), Choice::Fixed(Ohms(22_000.0))));
}

#[test]
fn fitted_values_that_do_not_belong_are_faults() {
    let text = "board: other board\nfitted:\n  diesel: { pull_up: none, protecton: 1k, shunt: 1k }\n  \
                house: { top: 22k }\n  house battery: { top: 33k, extension: 10k }\n";
    let expected = "f.yaml:1:8: board: found `other board` (another board); expected the name of the board that the brief describes: `river launch instrument board`
f.yaml:3:22: fitted.diesel.pull_up: found `none`; expected a pull-up, such as pull_up: choose; a resistance makes no voltage, so without it the pin reads 0 V while the sender is connected and floats when it is open
f.yaml:3:28: fitted.diesel.protecton: found `protecton`; expected a part of this input: line, pull_up, shunt, top, bottom, protection or capacitor; did you mean `protection`?
f.yaml:3:50: fitted.diesel.shunt: found `1k` (not what the brief says); expected none, which the brief gives
f.yaml:4:3: fitted.house: found `house`; expected an input of the board: diesel or house battery
f.yaml:5:3: fitted.house battery.protection: found nothing; expected the fitted value, such as protection: 300 Ω, or none
f.yaml:5:25: fitted.house battery.top: found `33k` (not what the brief says); expected 22 kΩ, which the brief gives";
    assert_eq!(fit(text).unwrap_err(), expected);
    let text = "board: river launch instrument board\n";
    let expected = "f.yaml: fitted: found nothing; expected a map such as fitted: { diesel: { pull_up: 300 Ω, protection: 27 kΩ } }";
    assert_eq!(fit(text).unwrap_err(), expected);
    let text = "board: river launch instrument board\nfitted: { diesel: { pull_up: 300, protection: 1k } }\n";
    let expected = "f.yaml:2:1: fitted.house battery.extension: found nothing; expected the fitted value, such as extension: 300 Ω, or none
f.yaml:2:1: fitted.house battery.protection: found nothing; expected the fitted value, such as protection: 300 Ω, or none";
    assert_eq!(fit(text).unwrap_err(), expected);
}

#[test]
fn a_fitted_part_may_have_a_grade() {
    let text = "board: river launch instrument board\nfitted:\n  \
                diesel: { pull_up: { value: 300 Ω, tolerance: 0.5 %, tempco: 50 ppm/K, ageing: 0.2 % }, protection: 27 kΩ }\n  \
                house battery: { extension: { value: 43k, tolerance: 2 % }, top: { value: 22k }, protection: { value: none } }\n";
    let board = fit(text).unwrap();
    let grade = |input: usize, role| {
        let grade = &part(&board.inputs[input], role).grade;
        (grade.tolerance.0, grade.tempco.0, grade.ageing.0)
    };
    assert!(matches!(part(&board.inputs[0], Role::PullUp).choice, Choice::Fixed(Ohms(300.0))));
    assert_eq!(grade(0, Role::PullUp), (0.005, 50e-6, 0.002));
    // What is left out is as for all parts.
    assert_eq!(grade(0, Role::Protection), (0.01, 100e-6, 0.01));
    assert_eq!(grade(1, Role::Extension), (0.02, 100e-6, 0.01));
    assert_eq!(grade(1, Role::Top), (0.01, 100e-6, 0.01));
}

#[test]
fn wrong_grades_of_fitted_parts_are_faults() {
    let text = "board: river launch instrument board\nfitted:\n  \
                diesel: { pull_up: { tolerance: 0.5 % }, protection: [1k] }\n  \
                house battery: { extension: { value: 43k, tolerance: 2, tempo: 1 }, protection: { value: 1, ageing: 100 % } }\n";
    let expected = "f.yaml:3:11: fitted.diesel.pull_up.value: found nothing; expected the fitted value, such as value: 300 Ω
f.yaml:3:56: fitted.diesel.protection: found a list; expected a resistance such as 300 Ω, none, or a map such as { value: 300 Ω, tolerance: 0.5 % }
f.yaml:4:56: fitted.house battery.extension.tolerance: found `2` (a share needs its unit); expected `200 %` or `2 %`, whichever is meant
f.yaml:4:59: fitted.house battery.extension.tempo: found `tempo`; expected a key known here; did you mean `tempco`?
f.yaml:4:103: fitted.house battery.protection.ageing: found `100 %`; expected a share from 0 % to less than 100 %";
    assert_eq!(fit(text).unwrap_err(), expected);
    // A part with a grade of its own keeps it.
    let brief = read(&RIVER_LAUNCH.replace("top: 22k", "top: { value: 22k, tolerance: 0.1 % }"));
    let mut file = tempfile::NamedTempFile::new().unwrap();
    let text = "board: river launch instrument board\nfitted:\n  diesel: { pull_up: 300, protection: 1k }\n  \
                house battery: { extension: 43k, protection: 1k, top: { value: 22k, tolerance: 1 % } }\n";
    file.write_all(text.as_bytes()).unwrap();
    let faults = read_fitted(file.path(), &brief).unwrap_err();
    let fault = &faults.0[0];
    assert_eq!(
        (fault.key.as_str(), fault.found.as_str(), fault.expected.as_str()),
        (
            "fitted.house battery.top.tolerance",
            "`1 %` (not what the brief says)",
            "0.1 %, which the brief gives"
        )
    );
}

#[test]
fn a_level_that_a_voltage_means_may_go_through_the_shape_of_a_tank() {
    let text = "inputs: { a: { circuit: direct, unit: \"%\", reads: [[0.5 V, 0], [4.5 V, 100]], \
                shape: [[0, 0 L], [50, 20 L], [100, 80 L]] } }\n";
    let board = read(text);
    let Drive::Signal(signal) = &board.inputs[0].drive else { panic!("a voltage") };
    assert_eq!((signal.curve.unit(), signal.curve.knots()), ("L", vec![0.0, 20.0, 80.0]));
    // By hand: 50 L is half way from 50 % to 100 %, 75 %, and that is 3.5 V.
    assert_eq!(signal.curve.at(50.0), Volts(3.5));
}

#[test]
fn a_range_in_fahrenheit_makes_a_dial_in_fahrenheit() {
    let read = sender_of("{ ntc: { resistance: 10 kΩ, beta: 3950 }, range: 32..212 °F }");
    assert_eq!((read.curve.unit(), read.curve.first().0, read.curve.last().0), ("°F", 32.0, 212.0));
    let listed = sender_of("{ ntc: { resistance: 10 kΩ, beta: 3950 }, range: [32 °F, 212 °F] }");
    assert_eq!(listed.curve, read.curve);
}
