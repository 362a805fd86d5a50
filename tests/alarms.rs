//! Where alarms come and go, and whether they do where they must.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::answer::{AlarmBand, AlarmRow, InputAnswer, Verdict};
use ohmwright::board::{Alarm, Board, Choice, Side};
use ohmwright::brief::read_text;
use ohmwright::case::Case;
use ohmwright::circuit::{Outlook, Place, Situation, Values, situations_of};
use ohmwright::examine::answer;
use ohmwright::quantity::{Band, Counts, Fraction};
use ohmwright::reading::Firmware;
use ohmwright::worst::{Corner, Ends, count_band};
use support::at_shares;
use support::dice::Dice;

fn examined(text: &str) -> (Board, InputAnswer) {
    let board = read_text(text.as_bytes(), "alarms.yaml").unwrap();
    let input = answer(&board, "check").inputs.0.swap_remove(0).1;
    (board, input)
}

fn alarm<'a>(input: &'a InputAnswer, name: &str) -> &'a AlarmRow {
    input.alarms.iter().find(|alarm| alarm.alarm == name).expect("an alarm of this name")
}

/// A tank that reads 240 Ω to 33 Ω: counts fall as it fills.
const TANK: &str = "inputs:\n  tank:\n    circuit: pull-up\n    sender: { resistance: 240 .. 33, tolerance: 3 % }\n    \
                    pull_up: 300\n    protection: 27k\n    ";

fn life_at(board: &Board, values: &Values, value: f64) -> Situation {
    let place = Place::At(value);
    situations_of(board, &board.inputs[0], values, Case::Normal, Outlook::Life, place).swap_remove(0)
}

/// The truncated counts of all boards at one value.
fn life(board: &Board, value: f64) -> Band<Counts> {
    let input = &board.inputs[0];
    let values = Values::given(input);
    let situation = life_at(board, &values, value);
    board.converter.truncated_band(count_band(&situation, &situation.resistances).unwrap())
}

/// Just outside the band every board has the alarm on, or none has; just inside it is some and some.
#[test]
fn the_band_ends_where_boards_part() {
    let (board, input) =
        examined(&format!("{TANK}alarms: {{ low: {{ below: 30 }}, high: {{ above: 70 }} }}\n"));
    assert!(matches!(board.inputs[0].parts[1].choice, Choice::Fixed(_)));
    let near = 1e-6;
    let low = alarm(&input, "low");
    let (count, comes) = (Counts(low.count.unwrap()), low.comes.unwrap());
    let (lowest, highest) = (comes.lowest.unwrap(), comes.highest.unwrap());
    // Low levels are high counts here: on from `count` upwards.
    assert!(lowest < 30.0 && 30.0 < highest, "{lowest} .. {highest}");
    assert!(life(&board, lowest - near).lowest >= count, "all on below the band");
    assert!(life(&board, lowest + near).lowest < count, "not all on inside");
    assert!(life(&board, highest - near).highest >= count, "some on inside");
    assert!(life(&board, highest + near).highest < count, "none on above the band");
    let high = alarm(&input, "high");
    let (count, comes) = (Counts(high.count.unwrap()), high.comes.unwrap());
    let (lowest, highest) = (comes.lowest.unwrap(), comes.highest.unwrap());
    assert!(life(&board, lowest - near).lowest > count, "none on below the band");
    assert!(life(&board, lowest + near).lowest <= count, "some on inside");
    assert!(life(&board, highest - near).highest > count, "not all on inside");
    assert!(life(&board, highest + near).highest <= count, "all on above the band");
}

/// 0 V to 10 V on 22k/15k: count 0 stands for half a count, 0.5/1024·5 V·37/15 = 6.0 mV, and reads that.
#[test]
fn thresholds_beyond_the_counts_are_told() {
    let text = "inputs:\n  v: { circuit: divider, measures: 0 V .. 10 V, top: 22k, bottom: 15k, protection: 30k,\n       \
                alarms: { lift: { above: 0.005 }, low: { below: 0.005 }, full: { above: 10 }, half: { above: 5 } } }\n";
    let (_, input) = examined(text);
    for (name, told) in [
        ("lift", "is always on: every reading in the range is beyond its threshold"),
        ("low", "never comes: no reading in the range is beyond its threshold"),
        ("full", "never comes: no reading in the range is beyond its threshold"),
    ] {
        let row = alarm(&input, name);
        assert_eq!((row.count, row.comes, row.goes), (None, None, None), "{name}");
        assert_eq!((row.holds, row.fails.as_slice()), (Some(false), [told.to_owned()].as_slice()), "{name}");
    }
    // By hand: the first count that reads above 5 V is n with (n + 0.5)/1024·5·37/15 > 5: n = 415.
    assert_eq!(alarm(&input, "half").count, Some(415.0));
    assert_eq!(alarm(&input, "half").holds, Some(true));
    assert_eq!(input.verdict, Verdict::Fails);
}

/// Half a count above empty, some board never gets there.
#[test]
fn an_alarm_that_some_board_never_gives_has_no_such_end() {
    let (_, input) = examined(&format!("{TANK}alarms: {{ empty: {{ below: 1 }} }}\n"));
    let comes = alarm(&input, "empty").comes.unwrap();
    assert_eq!(comes.lowest, None);
    assert!(comes.highest.is_some_and(|highest| highest > 1.0));
    let why = "may still be silent at 0 %: on the worst board it does not come at all";
    assert_eq!(alarm(&input, "empty").fails, [why]);
}

/// A board of the life band: where each voltage and resistance sits in its band, and the errors of its converter.
struct Specimen {
    voltages: Vec<f64>,
    resistances: Vec<f64>,
    /// Leakage and gain, from −1 to 1.
    leakage: f64,
    gain: f64,
}

impl Specimen {
    fn random(dice: &mut Dice) -> Self {
        let gain = dice.shares(1)[0] * 2.0 - 1.0;
        Self {
            voltages: dice.shares(12),
            resistances: dice.shares(12),
            leakage: dice.shares(1)[0] * 2.0 - 1.0,
            gain,
        }
    }

    /// A board at ends of everything; its converter all up or all down.
    fn corner(set: u32, up: f64) -> Self {
        let share = |place: u32| f64::from(set >> place & 1);
        // The first voltages are ground shift, rails and the supply.
        Self {
            voltages: (0..5).map(share).collect(),
            resistances: (5..10).map(share).collect(),
            leakage: up,
            gain: up,
        }
    }

    /// What the firmware reads from this board; `added` is what offset, nonlinearity and noise add just now.
    fn reading(
        &self,
        board: &Board,
        values: &Values,
        firmware: &Firmware<'_>,
        value: f64,
        added: f64,
    ) -> f64 {
        let situation = at_shares(&life_at(board, values, value), &self.voltages, &self.resistances);
        let corner = Corner::at(&situation, &situation.resistances, Ends::ALL_HIGH);
        let (pin, reference) =
            (corner.pin_voltage(situation.leakage * self.leakage), corner.reference().unwrap());
        let gain = Fraction(board.converter.gain.0 * self.gain);
        let count = board.converter.count(pin, reference, gain) + board.converter.added() * added;
        firmware.reading(board.converter.truncated(count))
    }
}

/// The firmware: on beyond the threshold, off as soon as the reading is no longer beyond threshold and hysteresis.
fn next(alarm: &Alarm, is_on: bool, reading: f64) -> bool {
    let threshold = if is_on { alarm.goes_at() } else { alarm.at };
    match alarm.side {
        Side::Below => reading < threshold,
        Side::Above => reading > threshold,
    }
}

/// Inputs of every circuit with two alarms each.
const BOARDS: [&str; 7] = [
    "tank: { circuit: pull-up, sender: { resistance: 240 .. 33, tolerance: 3 % }, pull_up: 300, protection: 10k, \
     wire: 0..2, ground_shift: 20 mV, alarms: { low: { below: 25, hysteresis: 4 }, full: { above: 75, hysteresis: 1 } } }",
    "tank: { circuit: pull-up, sender: 10 .. 180, excitation: supply, pull_up: 1k, protection: 10k, shunt: 2k2, \
     alarms: { low: { below: 30, hysteresis: 10 }, full: { above: 60, hysteresis: 5 } } }",
    "t: { circuit: pull-down, sender: { unit: °C, ntc: { at: 25 °C, resistance: 10k, beta: 3950 }, range: 0 .. 100 }, \
     pull_down: 4k7, protection: 1k, alarms: { cold: { below: 20, hysteresis: 2 }, hot: { above: 80, hysteresis: 3 } } }",
    "v: { circuit: divider, measures: 0 V .. 20 V, top: 33k, bottom: 10k, protection: 1k, signal_resistance: 100, \
     alarms: { low: { below: 11, hysteresis: 0.4 }, high: { above: 15, hysteresis: 0.2 } } }",
    "v: { circuit: level-shift, measures: -5 V .. 5 V, top: 10k, bias: 10k, bottom: 10k, protection: 1k, \
     alarms: { low: { below: -2, hysteresis: 1 }, high: { above: 3, hysteresis: 0.1 } } }",
    "p: { circuit: burden, measures: 4 mA .. 20 mA, unit: bar, reads: [[4 mA, 0], [20 mA, 10]], burden: 220, \
     protection: 10k, alarms: { low: { below: 2, hysteresis: 0.5 }, high: { above: 8, hysteresis: 0.2 } } }",
    "p: { circuit: direct, measures: 0.5 V .. 4.5 V, unit: bar, reads: [[0.5 V, 10], [4.5 V, 0]], protection: 10k, \
     signal_resistance: 1k, alarms: { low: { below: 2, hysteresis: 0.5 }, high: { above: 8, hysteresis: 0.2 } } }",
];

fn boards() -> impl Iterator<Item = (Board, InputAnswer)> {
    BOARDS.iter().enumerate().map(|(place, text)| {
        let noise = [0, 2][place % 2];
        examined(&format!("supply: {{ lowest: 12 V, usual: 12.5 V, highest: 13 V }}\nconverter: {{ noise: {noise} }}\ninputs:\n  {text}\n"))
    })
}

fn holds(band: AlarmBand, value: f64, slack: f64) -> [bool; 2] {
    [
        band.lowest.is_none_or(|lowest| value >= lowest - slack),
        band.highest.is_none_or(|highest| value <= highest + slack),
    ]
}

/// Boards of the life band, their noise new at every sample, while the value sweeps up and down: none comes before
/// its band or is still silent behind it, none goes before its band or stays behind it.
#[test]
fn no_board_comes_or_goes_outside_the_bands() {
    let mut dice = Dice::new(180);
    let (mut came, mut went) = (0, 0);
    for (board, input) in boards() {
        let values = Values::given(&board.inputs[0]);
        let firmware = Firmware::new(&board, &board.inputs[0], &values);
        let (first, last) = board.inputs[0].range();
        for (alarm, row) in board.inputs[0].alarms.iter().zip(&input.alarms) {
            let (comes, goes) = (row.comes.unwrap(), row.goes.unwrap());
            for _ in 0..60 {
                let specimen = Specimen::random(&mut dice);
                // From the quiet end to the other one and back.
                let ends = if alarm.side == Side::Below { [last, first] } else { [first, last] };
                let way = |share: f64| ends[0] + (ends[1] - ends[0]) * (1.0 - (1.0 - 2.0 * share).abs());
                let mut is_on = false;
                for step in 0..=400 {
                    let value = way(f64::from(step) / 400.0).clamp(first, last);
                    let added = dice.uniform(-1.0, 1.0);
                    let reading = specimen.reading(&board, &values, &firmware, value, added);
                    let was_on = is_on;
                    is_on = next(alarm, was_on, reading);
                    let slack = 1e-9 * (last - first);
                    let [from_low, from_high] = holds(if was_on { goes } else { comes }, value, slack);
                    // It changes only where some board does, and stays only where some board stays.
                    let is_below = (alarm.side == Side::Below) == was_on;
                    let fine = if (was_on != is_on) == is_below { from_low } else { from_high };
                    assert!(fine, "{}: {was_on} to {is_on} at {value}, {comes:?}, {goes:?}", row.alarm);
                    came += usize::from(!was_on && is_on);
                    went += usize::from(was_on && !is_on);
                }
            }
        }
    }
    assert!(came > 700 && went > 700, "{came} came, {went} went");
}

/// Of the boards at ends of everything the first and the last to come, and to go, are those at the ends of the bands.
#[test]
fn corners_reach_the_ends_of_the_bands() {
    for (board, input) in boards() {
        let values = Values::given(&board.inputs[0]);
        let firmware = Firmware::new(&board, &board.inputs[0], &values);
        let (first, last) = board.inputs[0].range();
        for (alarm, row) in board.inputs[0].alarms.iter().zip(&input.alarms) {
            for (band, threshold) in [(row.comes.unwrap(), alarm.at), (row.goes.unwrap(), alarm.goes_at())] {
                assert!(band.lowest.is_some() && band.highest.is_some(), "{}: {band:?}", row.alarm);
                let near = 1e-6 * (last - first);
                let inside = [band.lowest.unwrap() + near, band.highest.unwrap() - near];
                let outside = [band.lowest.unwrap() - near, band.highest.unwrap() + near];
                let at = Alarm { at: threshold, ..alarm.clone() };
                // Whether a value is beyond on some corner and on every one.
                let [some, every] = [0, 1].map(|place| {
                    [inside[place], outside[place]].map(|value| {
                        let corners =
                            (0..1024_u32).flat_map(|set| [1.0, -1.0].map(|up| Specimen::corner(set, up)));
                        let beyond = corners.map(|corner| {
                            next(&at, false, corner.reading(&board, &values, &firmware, value, corner.gain))
                        });
                        let beyond: Vec<bool> = beyond.collect();
                        [beyond.iter().any(|b| *b), beyond.iter().all(|b| *b)]
                    })
                });
                // `some` is the lower end, `every` the upper one, each just inside and just outside.
                let (low, high) = (some, every);
                let expected = match alarm.side {
                    Side::Below => ([[true, false], [true, true]], [[true, false], [false, false]]),
                    Side::Above => ([[true, false], [false, false]], [[true, false], [true, true]]),
                };
                assert_eq!((low, high), expected, "{} {threshold}: {band:?}", row.alarm);
            }
        }
    }
}

/// By hand, as above: the first count that
/// reads above 5 V is 415, and with a hysteresis of 0.1 V it goes at the first that does not read above 4.9 V:
/// (n + 0.5)/1024·5·37/15 = 4.9 at n = 406.33, so that 406 is back.
#[test]
fn it_goes_at_the_first_count_that_is_back() {
    let text = "inputs:\n  v: { circuit: divider, measures: 0 V .. 10 V, top: 22k, bottom: 15k, protection: 30k,\n       \
                alarms: { half: { above: 5, hysteresis: 0.1 }, low: { below: 4.9, hysteresis: 0.1 } } }\n";
    let (_, input) = examined(text);
    let (half, low) = (alarm(&input, "half"), alarm(&input, "low"));
    assert_eq!((half.count, half.goes_at, half.goes_count), (Some(415.0), 4.9, Some(406.0)));
    assert_eq!((low.count, low.goes_at, low.goes_count), (Some(406.0), 5.0, Some(415.0)));
    assert_eq!((half.certain_at, half.quiet_at), (10.0, 0.0));
    assert_eq!((low.certain_at, low.quiet_at), (0.0, 10.0));
}

/// Below 30 with a hysteresis of 6 the alarm of the tank comes up to 38.2 % and goes up to 43.6 %: each value that it must
/// keep is broken by one a little nearer and kept by one a little farther.
#[test]
fn alarms_are_judged_where_the_brief_says() {
    let judged = |keys: &str| {
        let (_, input) =
            examined(&format!("{TANK}alarms: {{ low: {{ below: 30, hysteresis: 6{keys} }} }}\n"));
        let row = alarm(&input, "low").clone();
        assert_eq!(row.holds, Some(row.fails.is_empty()));
        assert_eq!(input.verdict == Verdict::Fails, !row.fails.is_empty());
        row
    };
    let row = judged("");
    assert_eq!(row.holds, Some(true));
    let (comes, goes) = (row.comes.unwrap(), row.goes.unwrap());
    let [comes, goes] = [comes, goes].map(|band| [band.lowest.unwrap(), band.highest.unwrap()]);
    assert!(comes[0] < 30.0 && 30.0 < comes[1] && comes[1] < goes[1] && comes[0] < goes[0]);
    let certain = |at: f64| judged(&format!(", certain_at: {at}")).fails;
    assert!(certain(comes[0] - 0.01).is_empty());
    let [why] = certain(29.0).try_into().unwrap();
    let start = "may still be silent at 29 %: on the worst board it comes only at ";
    assert_eq!(why, format!("{start}{:.0} %", comes[0]));
    assert!(!certain(comes[0] + 0.01).is_empty());
    let quiet = |at: f64| judged(&format!(", quiet_at: {at}")).fails;
    assert!(quiet(goes[1] + 0.01).is_empty());
    let [why] = quiet(40.0).try_into().unwrap();
    assert_eq!(why, format!("may stay on up to {:.1} % although it has to be quiet from 40 %", goes[1]));
    assert!(!quiet(goes[1] - 0.01).is_empty());
    let [why] = quiet(36.0).try_into().unwrap();
    assert!(37.0 < comes[1] && comes[1] < 40.0 && 42.0 < goes[1], "{comes:?} {goes:?}");
    assert_eq!(why, format!("may come already at {:.1} % although it has to be quiet from 36 %", comes[1]));
}

/// A return that only the sound reading reaches, or no value at all that is certain.
#[test]
fn an_alarm_that_may_not_go_again_fails() {
    let text = |alarm: &str| format!("{TANK}alarms: {{ a: {alarm} }}\n");
    let fails = |keys: &str| alarm(&examined(&text(keys)).1, "a").fails.clone();
    let never = "may stay on up to 100 %: on the worst board it never goes again once it is on";
    assert_eq!(fails("{ below: 60, hysteresis: 39.9 }"), [never]);
    let never = "may stay on down to 0 %: on the worst board it never goes again once it is on";
    assert_eq!(fails("{ above: 60, hysteresis: 59.9 }"), [never]);
    assert_eq!(fails("{ below: 99.9 }"), ["may be on at 100 %, where it has to be quiet"]);
    let silent = "may still be silent at 1 %: on the worst board it does not come at all, not even at 0 %";
    assert_eq!(fails("{ below: 2, certain_at: 1 }"), [silent]);
    let row = alarm(&examined(&text("{ below: 60, hysteresis: 39.9 }")).1, "a").clone();
    assert_eq!(row.goes.unwrap().highest, None);
}

/// By hand: 30 % are 177.9 Ω and 381.2 counts, 30.8 % are 176.24 Ω and 379.0 counts. So it comes at 381 and goes at 378: two
/// counts lie between. Noise of two counts spans four.
#[test]
fn alarms_that_flicker_are_remarked() {
    let remarks = |noise: f64, keys: &str| {
        let text =
            format!("converter: {{ noise: {noise} }}\n{TANK}alarms: {{ low: {{ below: 30{keys} }} }}\n");
        let input = examined(&text).1;
        input.remarks.into_iter().filter(|remark| remark.starts_with("alarm")).collect::<Vec<_>>()
    };
    let less = "alarm low: its hysteresis of 0.01 % is less than one count: it may flicker";
    assert_eq!(remarks(0.0, ", hysteresis: 0.01"), [less]);
    assert_eq!(
        remarks(2.0, ""),
        ["alarm low: it has no hysteresis, while noise spans 4 counts: it may flicker"]
    );
    let some = remarks(2.0, ", hysteresis: 0.8");
    assert_eq!(some, ["alarm low: its hysteresis of 0.8 % is 2 counts, while noise spans 4: it may flicker"]);
    for (noise, keys) in
        [(0.0, ""), (0.0, ", hysteresis: 0.8"), (2.0, ", hysteresis: 3"), (1.0, ", hysteresis: 0.8")]
    {
        assert_eq!(remarks(noise, keys), Vec::<String>::new(), "{noise} {keys}");
    }
}
