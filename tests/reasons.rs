//! The reasons for a choice against an exhaustive search: what excludes what, what a limit costs, on random briefs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use itertools::Itertools;
use ohmwright::board::{Board, Capacitor, Choice, Input, Momentary, Role, Setting};
use ohmwright::case::Case;
use ohmwright::circuit::{Scene, Values};
use ohmwright::limits::{LIMITS, Watched, checks_of};
use ohmwright::quantity::{Amperes, Band, Counts, Farads, Ohms, Volts, Watts};
use ohmwright::search::{Subject, choose, conflict, lifted};
use ohmwright::series::{Series, candidates};
use ohmwright::worst::{Sense, least_span};
use serde_json::Value;
use support::dice::Dice;
use support::program::{ask, ask_brief, number, run};

const EFFORT: u64 = 200_000;

/// A random brief: up to three parts from short lists, and limits that each leave a choice, the fewer the larger `narrowness`.
fn random_brief(dice: &mut Dice, narrowness: f64) -> Board {
    dice.decades = (1.0, 5.0);
    let mut board = dice.board();
    board.supply.swing = Band { lowest: Volts(9.0), highest: Volts(dice.uniform(14.0, 28.0)) };
    let mut open = 0;
    for part in &mut board.inputs[0].parts {
        if open < 3 && (dice.chance(0.7) || part.role == Role::Protection) {
            open += 1;
            let list = candidates(&[Series::E3], Band::between(Ohms(10.0), Ohms(1e6)));
            let (start, step) = (dice.below(4), 1 + dice.below(2));
            let list: Vec<_> = list.into_iter().skip(start).step_by(step).take(2 + dice.below(4)).collect();
            let or_none = matches!(part.role, Role::Line | Role::Shunt | Role::Extension | Role::Protection);
            part.choice = Choice::Choose { candidates: list, or_none: or_none && dice.chance(0.3) };
        }
    }
    let input = &mut board.inputs[0];
    if dice.chance(0.5) {
        input.survive.extend([Case::Surge, Case::JumpStart, Case::TransmitterShort]);
    }
    if dice.chance(0.5) {
        input.capacitor = Capacitor::Fixed(Farads(1e-7));
    }
    input.limits.converter_range = if dice.chance(0.2) { Setting::Usual } else { Setting::Off };
    input.limits.settling = Setting::Off;
    input.limits.pin_current = Setting::Off;
    let input = &board.inputs[0];
    let all: Vec<_> = combinations(input).iter().map(|values| needs(&board, input, values)).collect();
    let mut limits = input.limits;
    for (place, limit) in LIMITS.iter().enumerate() {
        let needed = all.iter().flatten().filter(|need| need.subject.limit == place);
        let needed: Vec<f64> =
            needed.map(|need| need.needed).filter(|x| x.is_finite()).sorted_by(f64::total_cmp).collect();
        let of_parts = ["dissipation", "part_voltage"].contains(&limit.name);
        if needed.is_empty() || dice.chance(if of_parts { 0.8 } else { 0.25 }) {
            continue;
        }
        // One of the values that occur, or a little more.
        let share = dice.uniform(0.0, 1.0).powf(narrowness);
        let at_least = is_at_least(place);
        let share = if at_least { 1.0 - share } else { share };
        let bound =
            needed[((needed.len() - 1) as f64 * share) as usize] * if dice.chance(0.5) { 1.0 } else { 1.01 };
        match limit.name {
            "pin_current" => limits.pin_current = Setting::At(Amperes(bound)),
            "dissipation" => limits.dissipation = Setting::At(Watts(bound)),
            "part_voltage" => limits.part_voltage = Setting::At(Volts(bound)),
            "source_resistance" => limits.source_resistance = Setting::At(Ohms(bound)),
            "leakage_error" => limits.leakage_error = Setting::At(Counts(bound)),
            "sender_current" => limits.sender_current = Setting::At(Amperes(bound)),
            "wetting_current" => limits.wetting_current = Setting::At(Amperes(bound)),
            "supply_current" => limits.supply_current = Setting::At(Amperes(bound)),
            "input_resistance" => limits.input_resistance = Setting::At(Ohms(bound)),
            _ => {}
        }
    }
    board.inputs[0].limits = limits;
    board
}

fn is_at_least(limit: usize) -> bool {
    ["wetting_current", "input_resistance"].contains(&LIMITS[limit].name)
}

/// Every combination of values.
fn combinations(input: &Input) -> Vec<Values> {
    let options = input.parts.iter().filter_map(|part| match &part.choice {
        Choice::Choose { candidates, or_none } => {
            let left_out = or_none.then_some((part.role, None));
            let values = candidates.iter().map(|p| (part.role, Some(p.ohms)));
            Some(values.chain(left_out).collect::<Vec<_>>())
        }
        _ => None,
    });
    let all = options.multi_cartesian_product().map(|combination| {
        let mut values = Values::given(input);
        for (role, ohms) in combination {
            values.set(role, ohms);
        }
        values
    });
    all.collect()
}

/// What one combination needs of one limit, in the terms in which a brief sets it.
#[derive(Clone, Copy, Debug)]
struct Need {
    subject: Subject,
    needed: f64,
    holds: bool,
}

/// What one combination needs of each limit.
fn needs(board: &Board, input: &Input, values: &Values) -> Vec<Need> {
    let scene = Scene::new(board, input, values);
    let mut needs: Vec<Need> = Vec::new();
    for check in checks_of(board, input, &scene) {
        // To find an error takes a look at every count; no brief here limits it.
        let measured = (check.watched != Watched::Error).then(|| check.worst(input, &scene)).flatten();
        let Some(worst) = measured else { continue };
        let subject = Subject::of(&check);
        let situation = &scene.situations[check.situation];
        let grade = input.parts.iter().find(|part| Some(part.role) == check.part).map(|part| &part.grade);
        let is_short = |m: &Momentary| situation.lasts.is_some_and(|time| time <= m.time);
        let momentary = grade.and_then(|grade| grade.momentary).filter(is_short);
        let share = match (check.name(), grade, momentary) {
            ("dissipation", Some(grade), m) if input.limits.dissipation == Setting::Usual => {
                let normal = situation.case == Case::Normal;
                m.map_or(if normal { grade.derate_to.0 } else { 1.0 }, |m| m.power / grade.rating)
            }
            ("part_voltage", Some(grade), Some(m)) if input.limits.part_voltage == Setting::Usual => {
                m.voltage / grade.working_voltage
            }
            _ => 1.0,
        };
        let needed = worst.value / share;
        let holds = check.holds(worst.value);
        match needs.iter_mut().find(|need| need.subject == subject) {
            Some(known) => {
                let is_worse = check.sense.is_worse(needed, known.needed);
                known.needed = if is_worse { needed } else { known.needed };
                known.holds &= holds;
            }
            None => needs.push(Need { subject, needed, holds }),
        }
    }
    needs
}

/// A limit that a combination breaks, and what it would need of it.
type Broken = (Subject, f64);

/// What one combination breaks.
fn broken_by(board: &Board, input: &Input, values: &Values) -> Vec<Broken> {
    let needs = needs(board, input, values).into_iter().filter(|need| !need.holds);
    needs.map(|need| (need.subject, need.needed)).collect()
}

/// All limits that occur, in the order of limits, then of parts in the circuit.
fn occurring(input: &Input, all: &[Vec<Broken>]) -> Vec<Subject> {
    let place = |subject: &Subject| {
        let part = input.parts.iter().position(|part| Some(part.role) == subject.part);
        (subject.limit, part)
    };
    let subjects = all.iter().flatten().map(|(subject, _)| *subject);
    subjects.sorted_by_key(place).dedup().collect()
}

/// The first of the smallest sets of limits of which every combination breaks one.
fn smallest_conflict(input: &Input, all: &[Vec<Broken>]) -> Vec<Subject> {
    let subjects = occurring(input, all);
    let excludes =
        |set: &Vec<Subject>| all.iter().all(|broken| broken.iter().any(|(subject, _)| set.contains(subject)));
    (1..=subjects.len()).find_map(|size| subjects.iter().copied().combinations(size).find(&excludes)).unwrap()
}

/// What lifting one limit alone needs of it: `None` if nothing fits even then.
fn least_needed(all: &[Vec<Broken>], subject: Subject) -> Option<f64> {
    let sense = if is_at_least(subject.limit) { Sense::AtLeast } else { Sense::AtMost };
    let alone = all.iter().filter(|broken| broken.iter().all(|(other, _)| *other == subject));
    let needed = alone.filter_map(|broken| broken.first().map(|(_, needed)| *needed));
    needed.reduce(|a, b| if sense.is_worse(a, b) { b } else { a })
}

#[test]
fn a_conflict_is_the_smallest_there_is_and_says_what_each_limit_would_have_to_be() {
    let mut dice = Dice::new(50);
    let (mut sizes, mut thresholds, mut not_alone) = ([0; 6], 0, 0);
    for round in 0..450 {
        let board = random_brief(&mut dice, 2.0);
        let input = &board.inputs[0];
        let all: Vec<_> = combinations(input).iter().map(|values| broken_by(&board, input, values)).collect();
        if all.iter().any(Vec::is_empty) {
            assert!(choose(&board, input).best.is_some(), "round {round}");
            continue;
        }
        let found = conflict(&board, input, EFFORT);
        let wanted = smallest_conflict(input, &all);
        let set: Vec<Subject> = found.members.iter().map(|member| member.subject).collect();
        assert!(found.complete, "round {round}");
        assert_eq!(set, wanted, "round {round}: {board:#?}");
        sizes[set.len()] += 1;
        for member in &found.members {
            let needed = least_needed(&all, member.subject);
            assert_eq!(member.is_enough, Some(needed.is_some()), "round {round}: {member:?}");
            let wanted = needed.filter(|needed| needed.is_finite() && member.allowed.is_some());
            match (member.possible_from, wanted) {
                (None, None) => not_alone += 1,
                (Some(found), Some(wanted)) if (found - wanted).abs() <= 1e-9 * wanted.abs() => {
                    thresholds += 1;
                }
                other => panic!("round {round}: {other:?} of {member:?}\n{board:#?}"),
            }
        }
    }
    assert!(sizes[1] > 100 && sizes[2] > 100, "{sizes:?}");
    assert!(thresholds > 100 && not_alone > 100, "{thresholds} {not_alone}");
}

/// What a choice is worth: its assured span.
fn assured(board: &Board, input: &Input, values: &Values) -> f64 {
    let scene = Scene::new(board, input, values);
    let [a, b] = &scene.range_ends;
    let sign = input.direction();
    (least_span(a, b, [&a.resistances, &b.resistances], sign).span.0 * sign).max(0.0)
}

#[test]
fn a_limit_binds_if_an_exhaustive_search_without_it_finds_a_better_choice() {
    let mut dice = Dice::new(51);
    let (mut binding, mut idle, mut complete) = (0, 0, 0);
    for round in 0..400 {
        let board = random_brief(&mut dice, 0.5);
        let input = &board.inputs[0];
        let outcome = choose(&board, input);
        let Some(best) = &outcome.best else { continue };
        let all: Vec<(Vec<Broken>, f64)> = combinations(input)
            .iter()
            .map(|values| (broken_by(&board, input, values), assured(&board, input, values)))
            .collect();
        let found = lifted(&board, input, &outcome, EFFORT);
        let broken: Vec<Vec<Broken>> = all.iter().map(|(broken, _)| broken.clone()).collect();
        for subject in occurring(input, &broken) {
            let fits = all.iter().filter(|(broken, _)| broken.iter().all(|(other, _)| *other == subject));
            let top = fits.map(|(_, aim)| *aim).fold(0.0, f64::max);
            let is_better = top > best.aim + 1e-9 * top.max(1.0);
            let own = found.iter().find(|lifted| lifted.subject == subject);
            let better = own.and_then(|lifted| lifted.better.as_ref());
            assert_eq!(own.and_then(|lifted| lifted.binds).unwrap_or(false), is_better, "round {round}");
            if let Some(better) = better {
                assert!((better.aim - top).abs() <= 1e-9 * top.max(1.0), "round {round}");
                assert!((assured(&board, input, &better.values) - top).abs() <= 1e-9 * top.max(1.0));
                let others = broken_by(&board, input, &better.values);
                assert!(others.iter().all(|(other, _)| *other == subject), "round {round}: {others:?}");
                binding += 1;
            } else {
                idle += 1;
            }
            complete += usize::from(own.is_none());
        }
    }
    // Of both kinds, and some that excluded nothing, so that nothing had to be solved for them.
    assert!(binding > 40 && idle > 40 && complete > 10, "{binding} {idle} {complete}");
}

/// What an effort is too small for is not said.
#[test]
fn what_is_not_solved_is_not_guessed() {
    let text = "supply: { contact: 25 V }\ninputs:\n  tank:\n    circuit: pull-up\n    sender: 240 .. 33\n    \
                pull_up: choose\n    limits: { source_resistance: 10 kΩ }\n";
    let board = ohmwright::brief::read_text(text.as_bytes(), "tank.yaml").unwrap();
    let input = &board.inputs[0];
    let whole = conflict(&board, input, EFFORT);
    assert!(whole.complete);
    let stopped = conflict(&board, input, 3);
    assert!(!stopped.complete && stopped.members.is_empty());
    // Enough for the set, and not for what each limit would have to be.
    let known = (4..whole.examined).map(|effort| conflict(&board, input, effort));
    let first = known.into_iter().find(|conflict| !conflict.members.is_empty()).unwrap();
    assert!(!first.complete);
    assert_eq!(
        first.members.iter().map(|m| m.subject).collect_vec(),
        whole.members.iter().map(|m| m.subject).collect_vec()
    );
    assert!(first.members.iter().any(|member| member.is_enough.is_none() && member.possible_from.is_none()));
}

fn close(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-6 * wanted.abs()
}

/// By hand: the pin is held at 0.5 V with the board off, so 25 V on the wire and 1 mA want 24.5 kΩ at the least, with
/// 1 % of tolerance, 1 % of ageing and 45 K · 100 ppm/K off that a nominal 24.5 kΩ / (0.99 · 0.99 · 0.9955). Of what
/// 10 kΩ allow, 9.1 kΩ is the largest of E24, so that the pin would have to stand 24.5 V over that at its least.
#[test]
fn pin_current_against_source_resistance() {
    let asked = ask("pull-up --sender 240..33 --contact 25V --limit source_resistance=10k");
    assert_eq!(asked.status, 1);
    let [pin, source] = asked.list("conflict") else { panic!("{}", asked.answer) };
    let low = 0.99 * 0.99 * 0.9955;
    assert_eq!(
        (&pin["limit"], &pin["part"], &pin["unit"]),
        (&"pin_current".into(), &"protection".into(), &"A".into())
    );
    assert!((number(&pin["least_ohm"]) / (24_500.0 / low) - 1.0).abs() < 2e-6, "{pin}");
    assert!(close(number(&pin["possible_from"]), 24.5 / (9100.0 * low)), "{pin}");
    // 27 kΩ is the least of E24 that the pin allows; with 91 Ω or so it sees less than 300 Ω more.
    assert_eq!((&source["limit"], &source["part"]), (&"source_resistance".into(), &Value::Null));
    let from = number(&source["possible_from"]);
    let high = 1.01 * 1.01 * 1.0045;
    assert!(from > 27_000.0 * high && from < 27_300.0 * high, "{from}");
    let text = run("pull-up --sender 240..33 --contact 25V --limit source_resistance=10k").results;
    let wanted =
        "- pin_current (1 mA) wants protection to be at least 25.12 kΩ; a choice exists\n  from 2.76 mA.\n";
    assert!(text.contains(wanted), "{text}");
}

/// By hand: 91 Ω is nearest to √(240·33) = 89 Ω. Below 5.1 V, with 33 Ω, it dissipates about 5.1²·91/124² = 0.15 W, of
/// which a 1210 of 1/3 W may bear 60 %, and a 1206 of 1/4 W may not.
#[test]
fn dissipation_keeps_a_better_pull_up_away() {
    let question = "pull-up --sender 240..33 --pull-up choose";
    let asked = ask(question);
    let row = asked.row("dissipation", "pull_up");
    assert_eq!((&row["binds"], &row["larger_size"]), (&true.into(), &"1210".into()));
    assert_eq!(number(&row["without_it"]["parts"]["pull_up"]["ohm"]), 91.0);
    let free = ask(&format!("{question} --limit dissipation=off"));
    assert_eq!(number(&row["without_it"]["assured_counts"]), free.assured_span());
    assert_eq!(free.ohms("pull_up"), 91.0);
    // What the answer promises holds: with that size the choice is there, with the one before it is not.
    assert_eq!(ask(&format!("{question} --size 1210")).ohms("pull_up"), 91.0);
    assert!(ask(&format!("{question} --size 1206")).ohms("pull_up") > 91.0);
    assert_eq!(asked.row("pin_current", "")["binds"], false);
    assert!(asked.row("sender_current", "")["binds"].is_null());
    let text = run(question).results;
    let wanted = "- dissipation of pull_up (75 mW): without it pull_up 91 Ω would give\n  467.4 counts (+34 %); a 1210 would do.\n";
    assert!(text.contains(wanted), "{text}");
}

/// Nothing was chosen: nothing binds, nothing is compared.
#[test]
fn given_parts_have_no_reasons() {
    let asked = ask("pull-up --sender 240..33 --pull-up 300 --protection 27k");
    assert!(asked.list("limits").iter().all(|row| row.get("binds").is_none()));
    assert!(asked.input().get("trade").is_none() && asked.input().get("conflict").is_none());
}

/// Three limits of which any two leave a choice.
#[test]
fn three_limits_exclude_each_other_and_no_two_of_them() {
    let question = "pull-up --sender 10..0.5";
    let asked = ask(question);
    let limits: Vec<&Value> = asked.list("conflict").iter().map(|row| &row["limit"]).collect();
    assert_eq!(limits, ["converter_range", "pin_current", "dissipation"]);
    for limit in ["converter_range", "pin_current", "dissipation"] {
        assert_eq!(ask(&format!("{question} --limit {limit}=off")).status, 0, "{limit}");
    }
    // At what the answer says a choice exists, and just beside it there is none.
    for (flag, unit, row) in [("--limit pin_current=", "A", 1), ("--rating ", "W", 2)] {
        let from = number(&asked.list("conflict")[row]["possible_from"]);
        let status = |factor: f64| ask(&format!("{question} {flag}{}{unit}", from * factor)).status;
        assert_eq!((status(1.0 + 1e-6), status(1.0 - 1e-6)), (0, 1), "{flag}");
    }
    // Of a rating 60 % may be used in normal use, of a bound in watts all.
    let conflict = ask(&format!("{question} --limit dissipation=125mW"));
    assert_eq!(number(&conflict.list("conflict")[2]["allowed"]), 0.125);
    let from = number(&conflict.list("conflict")[2]["possible_from"]);
    let status = |factor: f64| ask(&format!("{question} --limit dissipation={}W", from * factor)).status;
    assert_eq!((status(1.0 + 1e-6), status(1.0 - 1e-6)), (0, 1));
}

/// Common practice: 1 mA at 25 V on a pin that is held at 5.5 V wants 19.5 kΩ; by hand, at its lowest after 1 % of tolerance,
/// 1 % of ageing and 100 ppm/K over 45 K a part that is still so large is 19.5 kΩ/(0.99 · 0.99 · 0.9955) = 19.986 kΩ. A
/// source resistance of at most 10 kΩ forbids it.
#[test]
fn a_protection_that_the_source_resistance_forbids() {
    let brief = "board: bench\nsupply: { highest: 16 V, contact: 25 V }\ninputs:\n  a:\n    circuit: direct\n    measures: 0 V .. 4 V\n    protection: choose\n    clamp: { \
                 upper: 5.5 V, tolerance: 0 %, current: 1 mA, leakage: 0 A, at: pin }\n    limits: { source_resistance: 10 kΩ }\n";
    let asked = ask_brief("design", brief);
    let conflict = asked.input()["conflict"].as_array().unwrap();
    let limits: Vec<&str> = conflict.iter().map(|row| row["limit"].as_str().unwrap()).collect();
    assert_eq!(limits, ["pin_current", "source_resistance"]);
    let least = number(&conflict[0]["least_ohm"]);
    assert!((least - 19.5e3 / (0.99 * 0.99 * 0.9955)).abs() < 1e-6 * least, "{least}");
}
