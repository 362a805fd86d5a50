//! The search against a plain exhaustive search: same optimum, same tie-break, on random briefs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use itertools::Itertools;
use ohmwright::answer::Verdict;
use ohmwright::board::{Aim, Board, Capacitor, Choice, Circuit, Input, Role, Setting};
use ohmwright::case::Case;
use ohmwright::circuit::{Outlook, Place, Scene, Values, situations_of};
use ohmwright::examine::answer;
use ohmwright::limits::checks_of;
use ohmwright::quantity::{Amperes, Band, Counts, Farads, Ohms, Volts, Watts};
use ohmwright::reading::{Nominal, greatest_error};
use ohmwright::report::{Format, render};
use ohmwright::search::{Chosen, choose, choose_within};
use ohmwright::series::{Series, candidates};
use ohmwright::worst::{Measure, Sense, least_span, worst};
use support::dice::Dice;

/// One combination that fits, with everything that decides.
#[derive(Clone, Debug)]
struct Fit {
    values: Values,
    aim: f64,
    /// The assured span where the aim says nothing of it; else 0.
    tie_span: f64,
    current: f64,
    source_resistance: f64,
    fineness: usize,
    ohms: Vec<f64>,
}

/// The values that a part may have; `None`: left out.
type Options = Vec<Option<(Ohms, usize)>>;

/// Every combination that fits, by trying all.
fn all_fits(board: &Board, input: &Input) -> Vec<Fit> {
    let open: Vec<(Role, Options)> = input
        .parts
        .iter()
        .filter_map(|part| match &part.choice {
            Choice::Choose { candidates, or_none } => {
                let mut options: Vec<_> = candidates.iter().map(|p| Some((p.ohms, p.fineness()))).collect();
                if *or_none {
                    options.push(None);
                }
                Some((part.role, options))
            }
            _ => None,
        })
        .collect();
    open.iter()
        .map(|(_, options)| options.iter())
        .multi_cartesian_product()
        .filter_map(|combination| {
            let mut values = Values::given(input);
            for ((role, _), option) in open.iter().zip(&combination) {
                values.set(*role, option.map(|(ohms, _)| ohms));
            }
            let fineness = combination.iter().flat_map(|o| o.iter()).map(|(_, fineness)| *fineness).sum();
            let ohms = combination.iter().map(|o| o.map_or(0.0, |(ohms, _)| ohms.0)).collect();
            fit(board, input, values, fineness, ohms)
        })
        .collect()
}

fn fit(board: &Board, input: &Input, values: Values, fineness: usize, ohms: Vec<f64>) -> Option<Fit> {
    let scene = Scene::new(board, input, &values);
    let checks = checks_of(board, input, &scene);
    if !checks.iter().all(|check| check.worst(input, &scene).is_none_or(|worst| check.holds(worst.value))) {
        return None;
    }
    let situation =
        |place| situations_of(board, input, &values, Case::Normal, Outlook::Nominal, place).swap_remove(0);
    let sign = input.direction();
    let [a, b] = &scene.range_ends;
    let nominal_board = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
    let zone = input.zone();
    let normal = &scene.situations[Scene::NORMAL];
    let span = (least_span(a, b, [&a.resistances, &b.resistances], sign).span.0 * sign).max(0.0);
    let aim = match input.aim {
        Aim::Span => span,
        Aim::Resolution => nominal_board.least_slope(zone).value,
        Aim::Error => -greatest_error(input, &nominal_board, normal, &normal.resistances, zone).value,
        Aim::Straight => -nominal_board.bend(f64::midpoint(zone.lowest, zone.highest)),
    };
    let range = situation(Place::Range);
    let nominal = |measure| worst(measure, Sense::AtMost, &range, &range.resistances).unwrap().value;
    Some(Fit {
        values,
        aim,
        tie_span: if input.aim == Aim::Straight { (span * 1e6).round() } else { 0.0 },
        current: nominal(Measure::SupplyCurrent),
        source_resistance: nominal(Measure::SourceResistance),
        fineness,
        ohms,
    })
}

fn ties(best: f64, aim: f64) -> bool {
    aim >= best - 1e-9 * best.abs().max(1.0)
}

/// Smaller, equal in twelve digits, or larger.
fn by_size(a: f64, b: f64) -> std::cmp::Ordering {
    let digits = |x: f64| format!("{x:.11e}").parse::<f64>().unwrap();
    digits(a).total_cmp(&digits(b))
}

/// What is better among ties.
fn by_order(a: &Fit, b: &Fit) -> std::cmp::Ordering {
    by_size(-a.tie_span, -b.tie_span)
        .then(a.values.count().cmp(&b.values.count()))
        .then(by_size(a.current, b.current))
        .then(by_size(a.source_resistance, b.source_resistance))
        .then(a.fineness.cmp(&b.fineness))
        .then_with(|| a.ohms.partial_cmp(&b.ohms).unwrap())
}

/// The best of all that fit.
fn best(fits: &[Fit]) -> Option<&Fit> {
    let top = fits.iter().map(|fit| fit.aim).fold(f64::NEG_INFINITY, f64::max);
    fits.iter().filter(|fit| ties(top, fit.aim)).min_by(|a, b| by_order(a, b))
}

/// A random brief: some parts are to be chosen from short lists, some limits are set.
fn random_brief(dice: &mut Dice) -> Board {
    dice.decades = (1.0, 5.5);
    let mut board = dice.board();
    board.supply.swing = Band { lowest: Volts(9.0), highest: Volts(dice.uniform(14.0, 28.0)) };
    board.converter.pin_current = Amperes(10_f64.powf(dice.uniform(-3.5, -1.5)));
    let span = match dice.below(4) {
        0 => 3,
        1 => 8,
        _ => 12,
    };
    let input = &mut board.inputs[0];
    // A level shift has the most that may vary: each of its combinations takes the exhaustive search long.
    let span = if input.circuit == Circuit::LevelShift { span.min(6) } else { span };
    let mut open = 0;
    for part in &mut input.parts {
        part.grade.rating = Watts(10_f64.powf(dice.uniform(-1.5, 1.0)));
        if open < 3 && (dice.chance(0.6) || part.role == Role::Protection) {
            open += 1;
            let lists: [&[Series]; 4] =
                [&[Series::E6], &[Series::E24], &[Series::E96, Series::E24], &[Series::E3, Series::E12]];
            let list = candidates(lists[dice.below(4)], Band::between(Ohms(10.0), Ohms(1e6)));
            let start = dice.below(list.len());
            let step = 1 + dice.below(4);
            let list: Vec<_> =
                list.into_iter().skip(start).step_by(step).take(1 + dice.below(span)).collect();
            let or_none = matches!(part.role, Role::Line | Role::Shunt | Role::Extension | Role::Protection);
            part.choice = Choice::Choose { candidates: list, or_none: or_none && dice.chance(0.4) };
        }
    }
    if dice.chance(0.5) {
        input.capacitor = Capacitor::Fixed(Farads(1e-7));
    }
    if dice.chance(0.5) {
        let others = [Case::Surge, Case::JumpStart, Case::Cranking, Case::TransmitterShort, Case::WireToRail];
        input.survive.extend(others);
    }
    let limits = &mut input.limits;
    let switch = |dice: &mut Dice| if dice.chance(0.5) { Setting::Usual } else { Setting::Off };
    limits.converter_range = if dice.chance(0.7) { Setting::Usual } else { Setting::Off };
    limits.settling = if dice.chance(0.5) { Setting::Usual } else { Setting::Off };
    if dice.chance(0.3) {
        limits.pin_current = Setting::Off;
    }
    if dice.chance(0.3) {
        limits.dissipation = Setting::Off;
    }
    let mut maybe = |probability, lowest, highest| {
        if dice.chance(probability) { Some(10_f64.powf(dice.uniform(lowest, highest))) } else { None }
    };
    limits.sender_current = maybe(0.3, -3.5, -1.0).map_or(Setting::Usual, |a| Setting::At(Amperes(a)));
    limits.wetting_current = maybe(0.15, -6.0, -3.0).map_or(Setting::Usual, |a| Setting::At(Amperes(a)));
    limits.supply_current = maybe(0.2, -3.0, -1.0).map_or(Setting::Usual, |a| Setting::At(Amperes(a)));
    limits.source_resistance = maybe(0.2, 2.5, 5.0).map_or(Setting::Usual, |r| Setting::At(Ohms(r)));
    limits.input_resistance = maybe(0.2, 2.0, 4.5).map_or(Setting::Usual, |r| Setting::At(Ohms(r)));
    limits.leakage_error = maybe(0.2, -1.0, 1.5).map_or(Setting::Usual, |c| Setting::At(Counts(c)));
    limits.part_voltage = switch(dice);
    board
}

fn differ(board: &Board, found: Option<&Chosen>, wanted: Option<&Fit>) -> Option<String> {
    match (found, wanted) {
        (None, None) => None,
        (Some(found), Some(wanted)) if found.values == wanted.values => None,
        _ => Some(format!("found {found:#?}\nwanted {wanted:#?}\nboard {board:#?}")),
    }
}

#[test]
fn finds_what_an_exhaustive_search_finds() {
    let mut dice = Dice::new(20);
    let (mut possible, mut impossible, mut examined) = (0, 0, 0);
    for round in 0..700 {
        let board = random_brief(&mut dice);
        let input = &board.inputs[0];
        let outcome = choose(&board, input);
        let fits = all_fits(&board, input);
        if let Some(difference) = differ(&board, outcome.best.as_ref(), best(&fits)) {
            panic!("round {round}: {difference}");
        }
        assert!(outcome.complete);
        if let Some(chosen) = &outcome.best {
            possible += 1;
            let wanted = best(&fits).unwrap();
            assert!((chosen.assured.0 - wanted.aim).abs() <= 1e-9 * wanted.aim.max(1.0));
        } else {
            impossible += 1;
            let excluded: u64 = outcome.excluded.iter().map(|e| e.combinations).sum();
            assert_eq!(
                excluded, outcome.combinations,
                "round {round}: every combination is excluded by some limit"
            );
        }
        examined += outcome.examined;
    }
    // The briefs must be of both kinds, or the test tests half of what it says.
    assert!(possible > 150 && impossible > 200, "{possible} possible, {impossible} impossible");
    assert!(examined > 0);
}

/// A random brief with this aim, a bent sender where there is one, and a zone somewhere in the range.
fn random_brief_for(aim: Aim, dice: &mut Dice) -> Board {
    let mut board = random_brief(dice);
    while aim == Aim::Straight && !board.inputs[0].drive.is_sender() {
        board = random_brief(dice);
    }
    if aim == Aim::Error {
        // The exhaustive search looks at every count of every combination.
        board.converter.bits = [8, 10][dice.below(2)];
    }
    let input = &mut board.inputs[0];
    if input.drive.is_sender() && (aim == Aim::Straight || dice.chance(0.6)) {
        input.drive = dice.curved_sender();
    }
    for part in &mut input.parts {
        if let (Aim::Error, Choice::Choose { candidates, .. }) = (aim, &mut part.choice) {
            candidates.truncate(6);
        }
    }
    input.aim = aim;
    let (first, last) = input.range();
    let zone = Band::between(dice.uniform(first, last), dice.uniform(first, last));
    if dice.chance(0.7) && zone.highest - zone.lowest > 1.0 {
        input.zone = Some(zone);
    }
    if dice.chance(0.3) {
        input.limits.error = Setting::At(10_f64.powf(dice.uniform(0.0, 1.7)));
    }
    if dice.chance(0.3) && input.drive.is_sender() {
        input.limits.sender_power = Setting::At(Watts(10_f64.powf(dice.uniform(-3.5, -1.0))));
    }
    board
}

#[test]
fn every_aim_finds_what_an_exhaustive_search_finds() {
    let aims =
        [(Aim::Span, 30, 200), (Aim::Resolution, 31, 500), (Aim::Error, 32, 300), (Aim::Straight, 33, 250)];
    for (aim, seed, rounds) in aims {
        let mut dice = Dice::new(seed);
        let (mut possible, mut curved) = (0, 0);
        for round in 0..rounds {
            let board = random_brief_for(aim, &mut dice);
            let input = &board.inputs[0];
            let outcome = choose(&board, input);
            let fits = all_fits(&board, input);
            if let Some(difference) = differ(&board, outcome.best.as_ref(), best(&fits)) {
                panic!("{aim:?}, round {round}: {difference}");
            }
            assert!(outcome.complete, "{aim:?}, round {round}");
            possible += usize::from(outcome.best.is_some());
            curved += usize::from(outcome.best.is_some() && input.drive.is_curved());
        }
        assert!(possible > rounds / 10, "{aim:?}: {possible} of {rounds}");
        assert!(curved > rounds / 80, "{aim:?}: {curved} curved of {rounds}");
    }
}

/// Parts that track each other: with every aim, and with the limits that look at counts.
#[test]
fn parts_that_track_are_chosen_as_an_exhaustive_search_does() {
    let aims = [(Aim::Span, 40, 40), (Aim::Error, 41, 24), (Aim::Straight, 42, 30)];
    for (aim, seed, rounds) in aims {
        let mut dice = Dice::new(seed);
        let (mut possible, mut more) = (0, 0);
        for round in 0..rounds {
            let mut board = random_brief_for(aim, &mut dice);
            // Elsewhere a common factor moves little.
            while aim == Aim::Span && !matches!(board.inputs[0].circuit, Circuit::Divider | Circuit::PullUp) {
                board = random_brief_for(aim, &mut dice);
            }
            for part in &mut board.inputs[0].parts {
                if let Choice::Choose { candidates, .. } = &mut part.choice {
                    candidates.truncate(5);
                }
            }
            dice.track(&mut board.inputs[0]);
            if dice.chance(0.3) {
                board.inputs[0].limits.fault_gap = Setting::At(Counts(10_f64.powf(dice.uniform(-1.0, 2.0))));
            }
            let input = &board.inputs[0];
            let outcome = choose(&board, input);
            let fits = all_fits(&board, input);
            if let Some(difference) = differ(&board, outcome.best.as_ref(), best(&fits)) {
                panic!("{aim:?}, round {round}: {difference}");
            }
            possible += usize::from(outcome.best.is_some());
            let mut apart = input.clone();
            for part in &mut apart.parts {
                part.tracks = None;
            }
            let apart = choose(&board, &apart).best;
            if let (Some(apart), Some(best)) = (apart, outcome.best) {
                more += usize::from(best.aim > apart.aim + 1e-6 * apart.aim.abs());
            }
        }
        assert!(possible > rounds / 15, "{aim:?}: {possible} of {rounds}");
        assert!(aim != Aim::Span || more > 1, "{aim:?}: {more} of {rounds} are worth more");
    }
}

/// What is fed back into the rails, and how far the faults of the wire are from normal use.
#[test]
fn rails_and_faults_are_respected_as_an_exhaustive_search_does() {
    let mut dice = Dice::new(34);
    let (mut possible, mut kept_away) = (0, 0);
    for round in 0..600 {
        let mut board = random_brief(&mut dice);
        let limits = &mut board.inputs[0].limits;
        if dice.chance(0.6) {
            limits.rail_backfeed = Setting::At(Amperes(10_f64.powf(dice.uniform(-4.5, -0.5))));
        }
        if dice.chance(0.6) {
            let most = f64::from(board.converter.bits.min(12)) * 0.2;
            limits.fault_gap = Setting::At(Counts(10_f64.powf(dice.uniform(-1.0, most))));
        }
        let input = &board.inputs[0];
        let outcome = choose(&board, input);
        let fits = all_fits(&board, input);
        if let Some(difference) = differ(&board, outcome.best.as_ref(), best(&fits)) {
            panic!("round {round}: {difference}");
        }
        possible += usize::from(outcome.best.is_some());
        let mut without = input.clone();
        (without.limits.rail_backfeed, without.limits.fault_gap) = (Setting::Off, Setting::Off);
        let free = choose(&board, &without).best;
        kept_away += usize::from(free.map(|free| free.values) != outcome.best.map(|best| best.values));
    }
    assert!(possible > 40 && kept_away > 40, "{possible} possible, {kept_away} kept away");
}

/// The best of each set of values of the parts that move the aim, all but the resistor in front of the pin.
#[test]
fn runners_up_are_the_next_best_sets_of_values() {
    let mut dice = Dice::new(21);
    let mut compared = 0;
    for round in 0..600 {
        let board = random_brief(&mut dice);
        let input = &board.inputs[0];
        let outcome = choose(&board, input);
        let Some(chosen) = &outcome.best else { continue };
        let moving = |values: &Values| -> Vec<Option<u64>> {
            let roles = input.parts.iter().map(|part| part.role).filter(|&role| role != Role::Protection);
            roles.map(|role| values.get(role).map(|ohms| ohms.0.to_bits())).collect()
        };
        // A protection that may be left out changes the number of parts: sets are then told apart by it too.
        let optional = input.parts.iter().any(|part| {
            part.role == Role::Protection && matches!(part.choice, Choice::Choose { or_none: true, .. })
        });
        if optional {
            continue;
        }
        let fits = all_fits(&board, input);
        let groups = fits.iter().into_group_map_by(|fit| moving(&fit.values));
        let mut others: Vec<f64> = groups
            .into_iter()
            .filter(|(key, _)| *key != moving(&chosen.values))
            .map(|(_, fits)| fits.iter().map(|fit| fit.aim).fold(0.0, f64::max))
            .collect();
        others.sort_by(|a, b| b.total_cmp(a));
        others.truncate(5);
        let found: Vec<f64> = outcome.runners_up.iter().map(|chosen| chosen.assured.0).collect();
        assert_eq!(found.len(), others.len(), "round {round}");
        for (found, wanted) in found.iter().zip(&others) {
            assert!((found - wanted).abs() <= 1e-9 * wanted.max(1.0), "round {round}: {found} for {wanted}");
            compared += 1;
        }
    }
    assert!(compared > 200, "{compared}");
}

/// Six parts to be chosen and every case to be survived: more checks than fit in a word.
#[test]
fn many_parts_and_all_cases() {
    let text = "supply: { surge: 35 V, reversed: 14 V, jump_start: 24 V, cranking: 6 V }\n\
                resistors: { series: E3, size: 2512 }\n\
                inputs:\n  one:\n    circuit: pull-up\n    excitation: supply\n    sender: 240 .. 33\n    \
                pull_up: { choose: 1k .. 10k, series: E6 }\n    \
                line: { choose: 10 .. 47, or_none: true }\n    shunt: { choose: 1k .. 10k, or_none: true }\n    \
                top: { choose: 1k .. 4k7 }\n    bottom: { choose: 10k .. 47k }\n    protection: { choose: 10k .. 47k }\n    \
                survive: [wire open, wire to ground, wire to supply, surge, reversed supply, board off, ground lost,\n      \
                jump start, cranking, wire to rail]\n";
    let board = ohmwright::brief::read_text(text.as_bytes(), "many.yaml").unwrap();
    let input = &board.inputs[0];
    let outcome = choose(&board, input);
    let fits = all_fits(&board, input);
    assert!(!fits.is_empty());
    assert_eq!(outcome.best.as_ref().map(|chosen| chosen.values), best(&fits).map(|fit| fit.values));
}

/// Whatever is chosen and then given is judged alike; and every answer can be printed in 80 columns.
#[test]
fn what_is_designed_holds_when_it_is_checked() {
    let mut dice = Dice::new(22);
    let mut compared = 0;
    for round in 0..400 {
        let board = random_brief(&mut dice);
        let designed = answer(&board, "design");
        let text = render(&designed, Format::Text);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "round {round}:\n{text}");
        let Some(chosen) = choose(&board, &board.inputs[0]).best else { continue };
        let mut fitted = board.clone();
        for part in &mut fitted.inputs[0].parts {
            part.choice = chosen.values.get(part.role).map_or(Choice::Absent, Choice::Fixed);
        }
        let checked = answer(&fitted, "check");
        // Only a choice has reasons.
        let mut a = designed.inputs.0[0].1.clone();
        for row in &mut a.limits {
            (row.binds, row.without_it, row.larger_size) = (None, None, None);
        }
        let (a, b) = (&a, &checked.inputs.0[0].1);
        assert_eq!(a.verdict, Verdict::Holds, "round {round}");
        assert_eq!((a.verdict, a.span, &a.limits), (b.verdict, b.span, &b.limits), "round {round}");
        assert_eq!(
            (&a.checkpoints, &a.cases, &a.alarms),
            (&b.checkpoints, &b.cases, &b.alarms),
            "round {round}"
        );
        compared += 1;
    }
    assert!(compared > 80, "{compared}");
}

/// A search that is stopped says so: it has not shown that nothing fits.
#[test]
fn a_stopped_search_is_not_complete() {
    let text = "inputs: { tank: { circuit: pull-up, sender: 240 .. 33, pull_up: choose } }";
    let board = ohmwright::brief::read_text(text.as_bytes(), "tank.yaml").unwrap();
    let input = &board.inputs[0];
    let whole = choose(&board, input);
    assert!(whole.complete && whole.best.is_some());
    let stopped = choose_within(&board, input, 5);
    assert!(!stopped.complete && stopped.best.is_none());
    // One more than it needs is enough.
    let enough = choose_within(&board, input, whole.examined + 1);
    assert_eq!((enough.complete, enough.best), (true, whole.best));
}
