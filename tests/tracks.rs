//! Parts that track each other: one factor for all parts of a group.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use ohmwright::board::{Board, Circuit, Drive, Part, RailId, Role};
use ohmwright::case::Case;
use ohmwright::circuit::{Far, Of, Outlook, Place, Situation, Values, cases_of, situations_of};
use ohmwright::quantity::{Band, Counts, Farads, Fraction, Volts};
use ohmwright::reading::{Nominal, greatest_error};
use ohmwright::worst::{
    Corner, Ends, Measure, Sense, count_band, edge_at, least_span, pin_band, span_at, worst,
};
use support::dice::Dice;
use support::{at_shares, both_ends, ideal_board, input, life, normal_use, part, sender, signal};

fn tracking(group: &str, part: Part) -> Part {
    Part { tracks: Some(group.to_owned()), ..part }
}

fn divider(tracks: bool, tolerance: f64) -> Board {
    let own = |role| {
        let part = part(role, 100e3, tolerance);
        if tracks { tracking("network", part) } else { part }
    };
    let signal = Drive::Signal(signal(0.0, 10.0));
    ideal_board(input(Circuit::Divider, signal, vec![own(Role::Top), own(Role::Bottom)]))
}

fn at_ten_volts(board: &Board) -> Band<Volts> {
    let situation = life(board, Case::Normal, Place::At(10.0)).swap_remove(0);
    pin_band(&situation, &situation.resistances).unwrap()
}

/// Field case: 100k/100k of 5 % is off by −5 % to +5 %, and a matched pair cancels. By hand: 10 V·95/(95 + 105) = 4.75 V
/// and 10 V·105/(105 + 95) = 5.25 V; matched it is half whatever the factor.
#[test]
fn a_matched_pair_cancels() {
    let apart = at_ten_volts(&divider(false, 0.05));
    assert!((apart.lowest.0 - 4.75).abs() < 1e-12 && (apart.highest.0 - 5.25).abs() < 1e-12, "{apart:?}");
    let matched = at_ten_volts(&divider(true, 0.05));
    assert!((matched.lowest.0 - 5.0).abs() < 1e-12 && (matched.highest.0 - 5.0).abs() < 1e-12, "{matched:?}");
}

/// By hand: with 100 kΩ in front that does not track, off by 5 % as well, the pin is at 10 V·f/(2·f + g): between
/// 9.5/(1.9 + 1.05) and 10.5/(2.1 + 0.95).
#[test]
fn what_does_not_track_does_not_cancel() {
    let mut board = divider(true, 0.05);
    board.inputs[0].parts.insert(0, part(Role::Extension, 100e3, 0.05));
    let band = at_ten_volts(&board);
    assert!((band.lowest.0 - 9.5 / 2.95).abs() < 1e-9, "{band:?}");
    assert!((band.highest.0 - 10.5 / 3.05).abs() < 1e-9, "{band:?}");
}

/// One part of a group alone is off by itself.
#[test]
fn a_group_of_one_changes_nothing() {
    let mut board = divider(false, 0.05);
    board.inputs[0].parts[0].tracks = Some("network".to_owned());
    assert_eq!(at_ten_volts(&board), at_ten_volts(&divider(false, 0.05)));
    assert!(normal_use(&board).tracking.is_empty());
}

/// The pin of 5 V through 100 Ω·f on a 100 Ω sender, with 10 kΩ and 10 kΩ·f behind: by hand
/// V = 5·R‖/(100·f + R‖)·f/(1 + f), R‖ = 100 ‖ (10000 + 10000·f). Its slope changes its sign inside the band.
#[test]
fn a_peak_between_the_ends_is_found() {
    let pin = |f: f64| {
        let load = 10e3 + 10e3 * f;
        let node = 100.0 * load / (100.0 + load);
        5.0 * node / (100.0 * f + node) * f / (1.0 + f)
    };
    let mut board = ideal_board(input(
        Circuit::PullUp,
        sender(100.0, 1e3),
        vec![
            tracking("reel", part(Role::PullUp, 100.0, 0.2)),
            part(Role::Top, 10e3, 0.0),
            tracking("reel", part(Role::Bottom, 10e3, 0.2)),
        ],
    ));
    let at = |board: &Board| {
        let situation = life(board, Case::Normal, Place::At(0.0)).swap_remove(0);
        pin_band(&situation, &situation.resistances).unwrap()
    };
    let all = (0..=2_000_000).map(|k| pin(0.8 + 0.4 * f64::from(k) / 2e6));
    let most = all.clone().fold(0.0, f64::max);
    let least = all.fold(f64::INFINITY, f64::min);
    assert!(most > pin(0.8).max(pin(1.2)) * (1.0 + 1e-4), "the peak has to be inside");
    let band = at(&board);
    assert!(band.highest.0 >= most && band.highest.0 <= most * (1.0 + 1e-9), "{band:?} {most}");
    assert!((band.lowest.0 - least).abs() <= 1e-9 * least, "{band:?} {least}");
    board.inputs[0].parts[0].tracks = None;
    assert!(at(&board).highest.0 > most * 1.1, "apart it is much more");
}

/// A random board with parts that track each other.
fn board_with_groups(dice: &mut Dice) -> Option<Board> {
    let mut board = dice.board();
    dice.track(&mut board.inputs[0]);
    (!normal_use(&board).tracking.is_empty()).then_some(board)
}

/// Shares of all resistances, those of one group alike.
fn shares(situation: &Situation, dice: &mut Dice) -> [Vec<f64>; 2] {
    let draw = if dice.chance(0.5) { Dice::shares } else { Dice::edge };
    let (voltages, mut ohms) = (draw(dice, situation.sources.len()), draw(dice, situation.elements.len()));
    for group in &situation.tracking {
        for &element in group {
            ohms[element] = ohms[group[0]];
        }
    }
    [voltages, ohms]
}

fn measures(situation: &Situation) -> Vec<(Measure, Sense)> {
    let mut found = vec![
        (Measure::UpperClamp, Sense::AtMost),
        (Measure::LowerClamp, Sense::AtMost),
        (Measure::OwnClamp, Sense::AtMost),
        (Measure::HighestClamped, Sense::AtMost),
        (Measure::SourceResistance, Sense::AtMost),
        (Measure::SettlingTime { settles_to: Counts(0.5) }, Sense::AtMost),
        (Measure::Missing { capacitor: Farads(100e-9) }, Sense::AtMost),
        (Measure::TimeConstant { capacitor: Farads(100e-9) }, Sense::AtLeast),
        (Measure::LowestPin, Sense::AtLeast),
        (Measure::HighestPin, Sense::AtMost),
        (Measure::FarCurrent, Sense::AtMost),
        (Measure::FarCurrent, Sense::AtLeast),
        (Measure::SupplyCurrent, Sense::AtMost),
        (Measure::SupplyDrain, Sense::AtMost),
        (Measure::InputResistance, Sense::AtLeast),
        (Measure::FedBack(RailId(0)), Sense::AtMost),
    ];
    if matches!(situation.far, Far::Flows(_)) {
        found.push((Measure::FarVoltage, Sense::AtMost));
    }
    if situation.reference.is_some() {
        found.push((Measure::TopCount, Sense::AtMost));
        found.push((Measure::LowestShare, Sense::AtLeast));
        found.push((Measure::HighestShare, Sense::AtMost));
        found.push((Measure::LeakageError, Sense::AtMost));
    }
    for (place, element) in situation.elements.iter().enumerate() {
        if matches!(element.of, Of::Part(_) | Of::Existing) {
            found.push((Measure::Power(place), Sense::AtMost));
            found.push((Measure::Voltage(place), Sense::AtMost));
        }
    }
    if situation.elements[0].of == Of::Far && situation.wire.is_single() && situation.wire.lowest.0 == 0.0 {
        found.push((Measure::SenderPower, Sense::AtMost));
    }
    found
}

/// What a measure may be off by for rounding: voltages are differences of those that there are.
fn rounding(measure: Measure, situation: &Situation, value: f64) -> f64 {
    let volts = situation.sources.iter().map(|b| b.lowest.0.abs().max(b.highest.0.abs())).fold(1.0, f64::max);
    let least = situation.resistances.iter().map(|b| b.lowest.0).filter(|&r| r > 0.0).fold(1e9, f64::min);
    let size = match measure {
        Measure::LowestPin
        | Measure::HighestPin
        | Measure::HighestClamped
        | Measure::Voltage(_)
        | Measure::LowestShare
        | Measure::HighestShare => volts,
        Measure::TopCount => volts * situation.converter.full_scale().0,
        Measure::UpperClamp
        | Measure::LowerClamp
        | Measure::OwnClamp
        | Measure::FedBack(_)
        | Measure::FarCurrent
        | Measure::SupplyCurrent
        | Measure::SupplyDrain => volts / least,
        Measure::Power(_) | Measure::SenderPower => 2.0 * volts * (value.abs() / least).sqrt(),
        _ => 0.0,
    };
    1e-12 * size.max(value.abs())
}

fn value(measure: Measure, sense: Sense, one: &Situation) -> f64 {
    measure.at(&Corner::at(one, &one.resistances, Ends::default()), sense)
}

fn apart(situation: &Situation) -> Situation {
    let mut situation = situation.clone();
    situation.tracking.clear();
    situation
}

/// Boards out of the box never leave the worst case, which is nowhere wider than with every part by itself.
#[test]
fn no_board_leaves_the_worst_case() {
    let mut dice = Dice::new(301);
    let (mut tried, mut narrower) = (0, 0);
    while tried < 150 {
        dice.decades = if dice.chance(0.5) { (0.0, 6.0) } else { (2.0, 4.0) };
        let Some(board) = board_with_groups(&mut dice) else { continue };
        tried += 1;
        let cases = cases_of(&board, &board.inputs[0]);
        let other = cases[dice.below(cases.len())];
        for situation in [Case::Normal, other].into_iter().flat_map(|case| life(&board, case, Place::Range)) {
            let by_itself = apart(&situation);
            let bounds: Vec<_> = measures(&situation)
                .into_iter()
                .filter_map(|(m, s)| Some((m, s, worst(m, s, &situation, &situation.resistances)?.value)))
                .collect();
            for &(measure, sense, bound) in &bounds {
                let wide = worst(measure, sense, &by_itself, &by_itself.resistances).unwrap().value;
                let over = if sense == Sense::AtMost { bound - wide } else { wide - bound };
                assert!(
                    over.is_nan() || over <= 1e-9 * wide.abs() + rounding(measure, &situation, wide),
                    "{measure:?}: {bound:e} wider than {wide:e}"
                );
                narrower += usize::from(over < -1e-3 * wide.abs());
            }
            let pin = pin_band(&situation, &situation.resistances);
            let count = count_band(&situation, &situation.resistances);
            for _ in 0..200 {
                let [volts, ohms] = shares(&situation, &mut dice);
                let one = at_shares(&situation, &volts, &ohms);
                for &(measure, sense, bound) in &bounds {
                    let value = value(measure, sense, &one);
                    let over = if sense == Sense::AtMost { value - bound } else { bound - value };
                    assert!(
                        over.is_nan() || over <= rounding(measure, &situation, bound),
                        "{measure:?} {:?}: {value:e} beyond {bound:e} by {over:e}\n{:?}\n{:?}",
                        situation.case,
                        situation.resistances,
                        situation.tracking
                    );
                }
                let corner = Corner::at(&one, &one.resistances, Ends::default());
                for up in [-1.0, 1.0] {
                    if let Some(pin) = pin {
                        let at = corner.pin_voltage(situation.leakage * up).0;
                        assert!(pin.lowest.0 - 1e-10 <= at && at <= pin.highest.0 + 1e-10, "{pin:?} {at}");
                    }
                    if let Some(count) = count {
                        let at = edge_at(&corner, up).0;
                        let slack = 1e-10 * at.abs().max(1.0);
                        assert!(
                            count.lowest.0 - slack <= at && at <= count.highest.0 + slack,
                            "{count:?} {at}"
                        );
                    }
                }
            }
        }
    }
    assert!(narrower > 100, "{narrower}");
}

/// Every corner of what is off by itself, with the factor of the group at a share.
fn corners(situation: &Situation, share: f64) -> Vec<Situation> {
    let voltages = situation.sources.len();
    let tracked = |k: usize| situation.tracking.iter().flatten().any(|&element| element == k);
    let wide: Vec<usize> = (0..voltages + situation.elements.len())
        .filter(|&k| match k.checked_sub(voltages) {
            None => !situation.sources[k].is_single(),
            Some(k) => !situation.resistances[k].is_single() && !tracked(k),
        })
        .collect();
    let is_wide = matches!(situation.far, Far::Flows(band) if !band.is_single());
    let wide = [wide, is_wide.then_some(0).into_iter().collect()].concat();
    let corner = |bits: usize| {
        let mut shares = vec![0.0; voltages];
        shares.extend((0..situation.elements.len()).map(|k| if tracked(k) { share } else { 0.0 }));
        for (bit, &k) in wide.iter().enumerate() {
            shares[k] = f64::from(u8::from(bits >> bit & 1 == 1));
        }
        at_shares(situation, &shares[..voltages], &shares[voltages..])
    };
    (0..1 << wide.len()).map(corner).collect()
}

/// The worst case is attained, to what a fine row of factors can show: whoever takes the parts of a group by themselves, or
/// the ends of its band alone, is found out.
#[test]
fn some_board_comes_close_to_the_worst_case() {
    const STEPS: usize = 40;
    let mut dice = Dice::new(302);
    let (mut tried, mut inside) = (0, 0);
    while tried < 60 {
        dice.decades = (1.5, 3.5);
        let Some(mut board) = board_with_groups(&mut dice) else { continue };
        for part in board.inputs[0].parts.iter_mut().filter(|part| part.tracks.is_some()) {
            part.grade.tolerance = Fraction(0.3);
        }
        let situation = normal_use(&board);
        if situation.tracking.len() > 1 || situation.sources.len() + situation.elements.len() > 12 {
            continue;
        }
        tried += 1;
        let rows: Vec<Vec<Situation>> =
            (0..=STEPS).map(|step| corners(&situation, step as f64 / STEPS as f64)).collect();
        for (measure, sense) in measures(&situation) {
            // Between corners these have peaks of their own, or nothing is there, or the safe side is given.
            let has_own_peak = match measure {
                Measure::Power(element) => {
                    !situation.tracking[0].contains(&element) && !situation.resistances[element].is_single()
                }
                Measure::SenderPower
                | Measure::FarCurrent
                | Measure::SupplyCurrent
                | Measure::SupplyDrain => true,
                Measure::FedBack(_) => matches!(situation.far, Far::Stands { scaled_by: Some(_), .. }),
                _ => false,
            };
            let is_bent = matches!(situation.far, Far::Stands { scaled_by: Some(_), .. })
                && matches!(measure, Measure::Power(_) | Measure::Voltage(_));
            if has_own_peak || is_bent {
                continue;
            }
            let bound = worst(measure, sense, &situation, &situation.resistances).unwrap().value;
            let worst_of = |row: &Vec<Situation>| {
                let values = row.iter().map(|one| value(measure, sense, one)).filter(|value| !value.is_nan());
                values.reduce(if sense == Sense::AtMost { f64::max } else { f64::min }).unwrap()
            };
            let all: Vec<f64> = rows.iter().map(worst_of).collect();
            let best =
                all.iter().copied().reduce(if sense == Sense::AtMost { f64::max } else { f64::min }).unwrap();
            if !best.is_finite() {
                continue;
            }
            // Halfway between two factors a peak is higher by an eighth of the second difference.
            let bend = all.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs()).fold(0.0, f64::max);
            let slack = bend + 1e-9 * best.abs() + rounding(measure, &situation, best);
            assert!(
                (bound - best).abs() <= slack,
                "{measure:?} {sense:?}: {bound:e} against {best:e} ± {slack:e}"
            );
            let ends = if sense == Sense::AtMost { all[0].max(all[STEPS]) } else { all[0].min(all[STEPS]) };
            inside += usize::from((best - ends).abs() > 1e-6 * ends.abs());
        }
    }
    assert!(inside > 5, "the worst case was inside the band {inside} times");
}

/// The span of no board is less, and some board comes close.
#[test]
fn no_span_is_less_than_the_least() {
    let mut dice = Dice::new(303);
    let (mut tried, mut close) = (0, 0);
    while tried < 200 {
        dice.decades = (1.5, 4.5);
        let Some(board) = board_with_groups(&mut dice) else { continue };
        tried += 1;
        let [first, last] = both_ends(&board);
        let sign = board.inputs[0].direction();
        let least = least_span(&first, &last, [&first.resistances, &last.resistances], sign).span.0 * sign;
        let [a, b] = [&first, &last].map(apart);
        let wide = least_span(&a, &b, [&a.resistances, &b.resistances], sign).span.0 * sign;
        assert!(least >= wide - 1e-9 * wide.abs().max(1.0), "{least} below {wide}, every part by itself");
        let mut found = f64::INFINITY;
        for _ in 0..300 {
            let [volts, ohms] = shares(&first, &mut dice);
            let [a, b] = [&first, &last].map(|end| at_shares(end, &volts, &ohms));
            let [a, b] = [&a, &b].map(|one| Corner::at(one, &one.resistances, Ends::default()));
            for up in [-1.0, 1.0] {
                for gain in [-1.0, 1.0] {
                    let gain = Fraction(first.converter.gain.0 * gain);
                    found = found.min(span_at(&a, &b, first.leakage * up, gain).0 * sign);
                }
            }
        }
        // A span that turns round somewhere is worth nothing there.
        let slack = 1e-9 * least.abs().max(1.0);
        assert!(found.max(0.0) >= least.max(0.0) - slack, "{found} below {least}");
        close += usize::from((found - least).abs() <= 0.02 * least.abs().max(1.0));
    }
    assert!(close > 100, "{close} of {tried} came close");
}

/// A matched pair has no error of its own: what is left is the truncation, half a count. By hand: a count of a 10 V range
/// halved on 5 V and 10 bits is 10 V/1024.
#[test]
fn a_matched_pair_reads_as_if_it_were_exact() {
    let error = |board: &Board| {
        let input = &board.inputs[0];
        let nominal =
            situations_of(board, input, &Values::given(input), Case::Normal, Outlook::Nominal, Place::Range);
        let firmware = Nominal::new(input, &nominal[0], &nominal[0].resistances);
        let normal = normal_use(board);
        greatest_error(input, &firmware, &normal, &normal.resistances, input.zone()).value
    };
    let half = 10.0 / 1024.0 / 2.0;
    let matched = error(&divider(true, 0.05));
    assert!((matched - half).abs() < 1e-6, "{matched}");
    let apart = error(&divider(false, 0.05));
    assert!((apart - 0.5).abs() < 0.02, "{apart}");
}

/// Readings of boards out of the box are never off by more than the greatest error, which is nowhere greater than with every
/// part by itself.
#[test]
fn no_reading_is_off_by_more_than_the_greatest_error() {
    let mut dice = Dice::new(304);
    let (mut tried, mut smaller) = (0, 0);
    while tried < 60 {
        dice.decades = (1.5, 4.5);
        let Some(mut board) = board_with_groups(&mut dice) else { continue };
        board.converter.bits = 8;
        tried += 1;
        let input = &board.inputs[0];
        let values = Values::given(input);
        let nominal =
            situations_of(&board, input, &values, Case::Normal, Outlook::Nominal, Place::Range).remove(0);
        let firmware = Nominal::new(input, &nominal, &nominal.resistances);
        let normal = normal_use(&board);
        let error =
            |life: &Situation| greatest_error(input, &firmware, life, &life.resistances, input.zone()).value;
        let (most, wide) = (error(&normal), error(&apart(&normal)));
        let (first, last) = input.range();
        let range = (last - first).abs();
        assert!(most <= wide + 1e-6 * range, "{most} above {wide}, every part by itself");
        smaller += usize::from(most < wide - 1e-3 * range);
        for _ in 0..10 {
            let at = dice.uniform(first, last);
            let there = life(&board, Case::Normal, Place::At(at)).swap_remove(0);
            for _ in 0..30 {
                let [volts, ohms] = shares(&there, &mut dice);
                let one = at_shares(&there, &volts, &ohms);
                let corner = Corner::at(&one, &one.resistances, Ends::default());
                for up in [-1.0, 1.0] {
                    let count = board.converter.truncated(edge_at(&corner, up));
                    let off = (firmware.reading(count) - at).abs();
                    assert!(off <= most + 1e-9 * range, "{at} reads {off} off, at most {most}");
                }
            }
        }
    }
    assert!(smaller > 5, "{smaller}");
}

#[test]
fn the_answer_says_what_tracks() {
    let text = "limits: off\ninputs:\n  one:\n    circuit: divider\n    measures: 0 V .. 5 V\n    \
                top: { value: 10k, tracks: network }\n    bottom: { value: 10k, tracks: network }\n    \
                protection: { value: 1k, tracks: other }\n";
    let board = ohmwright::brief::read_text(text.as_bytes(), "board.yaml").unwrap();
    let answer = ohmwright::examine::answer(&board, "check");
    let json: serde_json::Value =
        serde_json::from_str(&ohmwright::report::render(&answer, ohmwright::report::Format::Json)).unwrap();
    let parts = &json["inputs"]["one"]["parts"];
    assert_eq!(parts["top"]["tracks"], "network");
    assert_eq!(parts["capacitor"].get("tracks"), None);
    let text = ohmwright::report::render(&answer, ohmwright::report::Format::Text);
    assert!(text.contains("top, bottom track each other (`network`): they are off by one factor."), "{text}");
    assert!(text.contains("Of `other` only protection is on this input: it is off by itself."), "{text}");
}
