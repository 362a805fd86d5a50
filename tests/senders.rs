//! One board for many senders: what the brief says of them, and the choice against every combination and every parting.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use itertools::Itertools;
use ohmwright::answer::{Answer, InputAnswer, PartAnswer, VariantsRow, Verdict};
use ohmwright::board::{Aim, Board, Capacitor, Choice, Drive, Input, NamedSender, Role, Setting};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Scene, Values};
use ohmwright::examine::answer;
use ohmwright::limits::checks_of;
use ohmwright::quantity::{Amperes, Band, Farads, Ohms, Watts};
use ohmwright::reading::{Nominal, greatest_error};
use ohmwright::report::{Format, render};
use ohmwright::search::{Joint, choose};
use ohmwright::series::{Series, candidates};
use ohmwright::share::{Cost, Judge, Split, splits};
use ohmwright::worst::{Measure, Sense, least_span, worst};
use serde_json::Value;
use std::fs;
use support::dice::Dice;
use support::program::{Run, parsed, run_in};
use tempfile::TempDir;

fn board(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

/// The resistance of a plain input at an end of its range.
fn ends(input: &Input) -> [f64; 2] {
    let Drive::Sender(sender) = &input.drive else { panic!("no sender") };
    [sender.curve.first().1.0, sender.curve.last().1.0]
}

#[test]
fn a_plain_input_is_its_own_only_view() {
    let board = board("inputs: { fuel: { circuit: pull-up, sender: 240..33, pull_up: choose } }");
    let input = &board.inputs[0];
    assert!(input.senders.is_empty());
    assert_eq!(input.variants, 1);
    let views = input.views();
    assert_eq!(views.len(), 1);
    assert_eq!(ends(&views[0]), [240.0, 33.0]);
    assert_eq!(views[0].checkpoints, input.checkpoints);
}

#[test]
fn each_sender_of_a_brief_makes_a_plain_input() {
    let board = board(
        "inputs:\n  fuel:\n    circuit: pull-up\n    pull_up: choose\n    zone: 0 .. 25\n    variants: 2\n    senders:\n      \
         american: 240..33\n      european: { resistance: 10..180, tolerance: 3 % }\n",
    );
    let input = &board.inputs[0];
    assert_eq!(input.variants, 2);
    let names: Vec<&str> = input.senders.iter().map(|sender| sender.name.as_str()).collect();
    assert_eq!(names, ["american", "european"], "the order of the brief is kept");
    assert_eq!(ends(input), [240.0, 33.0], "the first sender stands for all");
    let views = input.views();
    assert_eq!(views.iter().map(ends).collect::<Vec<_>>(), [[240.0, 33.0], [10.0, 180.0]]);
    for view in &views {
        assert!(view.senders.is_empty());
        assert_eq!((view.name.as_str(), view.variants), ("fuel", 1));
        assert_eq!(view.zone, input.zone);
        assert_eq!(view.parts.len(), input.parts.len());
        assert_eq!(view.checkpoints, [0.0, 25.0, 50.0, 75.0, 100.0]);
    }
    let assumed: Vec<&str> = board.assumed.iter().map(|assumed| assumed.key.as_str()).collect();
    assert!(assumed.contains(&"inputs.fuel.senders.american.tolerance"));
    assert!(!assumed.contains(&"inputs.fuel.senders.european.tolerance"));
}

#[test]
fn senders_of_different_ranges_have_their_own_usual_checkpoints() {
    let board = board(
        "inputs:\n  coolant:\n    circuit: pull-up\n    pull_up: choose\n    alarms: { hot: { above: 95 } }\n    senders:\n      \
         one: { unit: °C, points: [[0, 900], [100, 40]] }\n      two: { unit: °C, points: [[20, 700], [180, 20]] }\n",
    );
    let input = &board.inputs[0];
    let views = input.views();
    assert_eq!(views[0].checkpoints, [0.0, 25.0, 50.0, 75.0, 100.0]);
    assert_eq!(views[1].checkpoints, [20.0, 60.0, 100.0, 140.0, 180.0]);
    assert_eq!(input.checkpoints, views[0].checkpoints);
    // The alarm must have come where all senders still read, and be off where all do.
    assert_eq!((input.alarms[0].certain_at, input.alarms[0].quiet_at), (100.0, 20.0));
}

#[test]
fn given_checkpoints_are_those_of_every_sender() {
    let board = board(
        "inputs: { fuel: { circuit: pull-down, pull_down: 100, senders: { a: 240..33, b: 10..180 }, checkpoints: [50, 10] } }",
    );
    for view in board.inputs[0].views() {
        assert_eq!(view.checkpoints, [10.0, 50.0]);
    }
}

/// Losses that differ by no more tie.
const TIE: f64 = 1e-9;

/// What one combination of parts does for every sender.
struct Combination {
    values: Values,
    fineness: usize,
    ohms: Vec<f64>,
    /// For each sender its aim, and what decides among ties; `None`: a limit does not hold.
    senders: Vec<Option<Worth>>,
}

#[derive(Clone, Copy)]
struct Worth {
    aim: f64,
    tie_span: f64,
    current: f64,
    source_resistance: f64,
}

/// The values that a part may have; `None`: left out.
type Options = Vec<Option<(Ohms, Series)>>;

/// Every combination, by trying all.
fn combinations(board: &Board) -> Vec<Combination> {
    let views = board.inputs[0].views();
    let open: Vec<(Role, Options)> = views[0]
        .parts
        .iter()
        .filter_map(|part| match &part.choice {
            Choice::Choose { candidates, or_none } => {
                let mut options: Vec<_> =
                    candidates.iter().map(|p| Some((p.ohms, p.series.expect("a standard value")))).collect();
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
        .map(|chosen| {
            let mut values = Values::given(&views[0]);
            for ((role, _), option) in open.iter().zip(&chosen) {
                values.set(*role, option.map(|(ohms, _)| ohms));
            }
            Combination {
                values,
                fineness: chosen.iter().copied().flatten().map(|(_, series)| *series as usize).sum(),
                ohms: chosen.iter().map(|o| o.map_or(0.0, |(ohms, _)| ohms.0)).collect(),
                senders: views.iter().map(|view| worth(board, view, &values)).collect(),
            }
        })
        .collect()
}

fn worth(board: &Board, input: &Input, values: &Values) -> Option<Worth> {
    let scene = Scene::new(board, input, values);
    let checks = checks_of(board, input, &scene);
    if !checks.iter().all(|check| check.worst(input, &scene).is_none_or(|worst| check.holds(worst.value))) {
        return None;
    }
    let (sign, zone) = (input.direction(), input.zone());
    let [a, b] = &scene.range_ends;
    let nominal = Nominal::new(input, &scene.nominal, &scene.nominal.resistances);
    let normal = &scene.situations[Scene::NORMAL];
    let span = (least_span(a, b, [&a.resistances, &b.resistances], sign).span.0 * sign).max(0.0);
    let aim = match input.aim {
        Aim::Span => span,
        Aim::Resolution => nominal.least_slope(zone).value,
        Aim::Error => -greatest_error(input, &nominal, normal, &normal.resistances, zone).value,
        Aim::Straight => -nominal.bend(f64::midpoint(zone.lowest, zone.highest)),
    };
    let at_range = |measure| {
        let range = ohmwright::circuit::situations_of(
            board,
            input,
            values,
            ohmwright::case::Case::Normal,
            ohmwright::circuit::Outlook::Nominal,
            ohmwright::circuit::Place::Range,
        )
        .swap_remove(0);
        worst(measure, Sense::AtMost, &range, &range.resistances).unwrap().value
    };
    Some(Worth {
        aim,
        tie_span: if input.aim == Aim::Straight { (span * 1e6).round() } else { 0.0 },
        current: at_range(Measure::SupplyCurrent),
        source_resistance: at_range(Measure::SourceResistance),
    })
}

fn loss(best: f64, aim: f64) -> f64 {
    if best == 0.0 {
        if aim >= -TIE { 0.0 } else { f64::INFINITY }
    } else {
        ((best - aim) / best.abs()).max(0.0)
    }
}

/// What the senders of a group lose with a combination; `None`: it does not serve them all.
fn losses(combination: &Combination, group: &[usize], bests: &[Option<f64>]) -> Option<Vec<f64>> {
    group.iter().map(|&s| Some(loss(bests[s]?, combination.senders[s]?.aim))).collect()
}

fn most(losses: &[f64]) -> f64 {
    losses.iter().copied().fold(0.0, f64::max)
}

/// The smallest worst loss of a group.
fn least_worst(all: &[Combination], group: &[usize], bests: &[Option<f64>]) -> Option<f64> {
    let worst = all.iter().filter_map(|c| Some(most(&losses(c, group, bests)?)));
    worst.min_by(f64::total_cmp)
}

/// The smallest sum of losses of a group, none of them above a bound.
fn least_sum(all: &[Combination], group: &[usize], bests: &[Option<f64>], bound: f64) -> Option<f64> {
    let all = all.iter().filter_map(|c| losses(c, group, bests)).filter(|losses| most(losses) <= bound + TIE);
    all.map(|losses| losses.iter().sum()).min_by(f64::total_cmp)
}

/// Every way to part so many senders, each as a list of groups.
fn partings(senders: usize) -> Vec<Vec<Vec<usize>>> {
    let mut all: Vec<Vec<Vec<usize>>> = vec![Vec::new()];
    for sender in 0..senders {
        let with = |parting: &Vec<Vec<usize>>| {
            let joined = (0..parting.len()).map(|at| {
                let mut parting = parting.clone();
                parting[at].push(sender);
                parting
            });
            let mut own = parting.clone();
            own.push(vec![sender]);
            joined.chain([own]).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(with).collect();
    }
    all
}

/// The smallest worst loss with at most so many sets, and the smallest sum of losses beside it.
fn referee(all: &[Combination], bests: &[Option<f64>], sets: usize) -> Option<(f64, f64)> {
    let partings = || partings(bests.len()).into_iter().filter(|parting| parting.len() <= sets);
    let worst = |parting: &Vec<Vec<usize>>| {
        let worst: Option<Vec<f64>> = parting.iter().map(|group| least_worst(all, group, bests)).collect();
        Some(most(&worst?))
    };
    let least = partings().filter_map(|parting| worst(&parting)).min_by(f64::total_cmp)?;
    let sum = |parting: Vec<Vec<usize>>| -> Option<f64> {
        parting.iter().map(|group| least_sum(all, group, bests, least)).sum()
    };
    Some((least, partings().filter_map(sum).min_by(f64::total_cmp)?))
}

/// Smaller, equal in twelve digits, or larger.
fn by_size(a: f64, b: f64) -> std::cmp::Ordering {
    let digits = |x: f64| format!("{x:.11e}").parse::<f64>().unwrap();
    digits(a).total_cmp(&digits(b))
}

/// What is better of two combinations that tie, by the worst of all senders in each respect.
fn by_order(a: &Combination, b: &Combination) -> std::cmp::Ordering {
    let worst = |c: &Combination, of: fn(&Worth) -> f64| {
        c.senders.iter().flatten().map(of).fold(f64::NEG_INFINITY, f64::max)
    };
    let compared = |of: fn(&Worth) -> f64| by_size(worst(a, of), worst(b, of));
    compared(|w| -w.tie_span)
        .then(a.values.count().cmp(&b.values.count()))
        .then(compared(|w| w.current))
        .then(compared(|w| w.source_resistance))
        .then(a.fineness.cmp(&b.fineness))
        .then_with(|| a.ohms.partial_cmp(&b.ohms).unwrap())
}

/// A random board with one input for several senders and short lists to choose from.
fn random_board(dice: &mut Dice, aim: Aim) -> Board {
    dice.decades = (1.0, 3.5);
    let mut board = loop {
        let board = dice.board();
        if board.inputs[0].drive.is_sender() {
            break board;
        }
    };
    board.converter.pin_current = Amperes(10_f64.powf(dice.uniform(-3.0, -1.5)));
    let input = &mut board.inputs[0];
    input.aim = aim;
    let mut open = 0;
    for part in &mut input.parts {
        part.grade.rating = Watts(10_f64.powf(dice.uniform(-0.5, 1.5)));
        let feeds = matches!(part.role, Role::PullUp | Role::PullDown);
        if feeds || open < 2 && dice.chance(0.4) {
            open += 1;
            let list = candidates(&[Series::E24, Series::E6], Band::between(Ohms(10.0), Ohms(1e6)));
            let start = dice.below(list.len() / 3);
            let step = 1 + dice.below(4);
            let list: Vec<_> = list.into_iter().skip(start).step_by(step).take(1 + dice.below(9)).collect();
            let or_none = matches!(part.role, Role::Line | Role::Shunt | Role::Protection);
            part.choice = Choice::Choose { candidates: list, or_none: or_none && dice.chance(0.4) };
        }
    }
    if dice.chance(0.7) {
        input.capacitor = Capacitor::Fixed(Farads(1e-7));
    }
    let limits = &mut input.limits;
    if dice.chance(0.8) {
        limits.dissipation = Setting::Off;
        limits.part_voltage = Setting::Off;
    }
    if dice.chance(0.8) {
        limits.settling = Setting::Off;
        limits.pin_current = Setting::Off;
    }
    if dice.chance(0.8) {
        limits.converter_range = Setting::Off;
    }
    if dice.chance(0.3) {
        limits.sender_current = Setting::At(Amperes(10_f64.powf(dice.uniform(-2.5, -1.0))));
    }
    let senders = 2 + dice.below(3);
    let named = |(place, drive): (usize, Drive)| NamedSender {
        name: format!("sender {place}"),
        drive,
        checkpoints: Vec::new(),
    };
    let first = input.drive.clone();
    let others =
        (1..senders).map(|_| if aim == Aim::Straight { dice.curved_sender() } else { dice.sender() });
    let mut drives: Vec<Drive> = others.collect();
    drives.insert(0, if aim == Aim::Straight { dice.curved_sender() } else { first });
    let input = &mut board.inputs[0];
    input.senders = drives.into_iter().enumerate().map(named).collect();
    input.drive = input.senders[0].drive.clone();
    board
}

fn of_first(answer: &Answer) -> &InputAnswer {
    &answer.inputs.0[0].1
}

/// The resistances of a set, in the order of the circuit.
fn resistances(row: &VariantsRow, set: usize) -> Vec<f64> {
    let parts = row.sets[set].parts.0.iter().filter_map(|(_, part)| match part {
        Some(PartAnswer::Resistor { ohm, .. }) => Some(*ohm),
        _ => None,
    });
    parts.collect()
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-8 * a.abs().max(1.0)
}

/// How many boards said what.
#[derive(Default, Debug)]
struct Seen {
    boards: usize,
    served: usize,
    impossible: usize,
    compromises: usize,
    parted: usize,
}

fn against_the_referee(seed: u64, boards: usize, aims: &[Aim]) -> Seen {
    let mut dice = Dice::new(seed);
    let mut seen = Seen::default();
    for round in 0..boards {
        let board = random_board(&mut dice, aims[round % aims.len()]);
        let input = &board.inputs[0];
        if !input.parts.iter().any(|part| matches!(part.choice, Choice::Choose { .. })) {
            continue;
        }
        let bests: Vec<Option<f64>> =
            input.views().iter().map(|view| choose(&board, view).best.map(|best| best.aim)).collect();
        // Of the boards that not even one sender can be served on a few are enough.
        if bests.contains(&None) && round % 6 != 0 {
            continue;
        }
        seen.boards += 1;
        let all = combinations(&board);
        for (sender, best) in bests.iter().enumerate() {
            let top =
                all.iter().filter_map(|c| c.senders[sender]).map(|worth| worth.aim).max_by(f64::total_cmp);
            assert_eq!(best.is_some(), top.is_some(), "round {round}");
            assert!(
                best.zip(top).is_none_or(|(best, top)| near(best, top)),
                "round {round}: {best:?} {top:?}"
            );
        }
        let answer = answer(&board, "design");
        let everyone: Vec<usize> = (0..bests.len()).collect();
        let mut rows = answer.variants.iter().peekable();
        for sets in 1..=bests.len() {
            let Some(row) = rows.next() else {
                assert!(sets > 3, "round {round}: a row is missing");
                break;
            };
            assert_eq!((row.variants, row.proof), (sets, "complete"), "round {round}");
            let Some((worst, sum)) = referee(&all, &bests, sets) else {
                assert!(row.sets.is_empty(), "round {round}: {row:#?}");
                continue;
            };
            let found = (row.worst_loss, row.sum_of_losses);
            let wanted = (Some(worst).filter(|w| w.is_finite()), Some(sum).filter(|s| s.is_finite()));
            let is_same = |(a, b): (Option<f64>, Option<f64>)| {
                a.is_some() == b.is_some() && a.zip(b).is_none_or(|(a, b)| near(a, b))
            };
            assert!(
                is_same((found.0, wanted.0)) && is_same((found.1, wanted.1)) && !row.sets.is_empty(),
                "round {round}, {sets} sets: found {found:?}, wanted {wanted:?}"
            );
            seen.parted += usize::from(row.sets.len() > 1);
            if sets == 1 {
                seen.compromises += usize::from(worst > TIE);
                let ties = all.iter().filter(|c| {
                    losses(c, &everyone, &bests)
                        .is_some_and(|l| most(&l) <= worst + TIE && l.iter().sum::<f64>() <= sum + TIE)
                });
                let first = ties.min_by(|a, b| by_order(a, b)).unwrap();
                let wanted: Vec<f64> = input
                    .parts
                    .iter()
                    .filter_map(|part| first.values.get(part.role))
                    .map(|ohms| ohms.0)
                    .collect();
                assert_eq!(resistances(row, 0), wanted, "round {round}: the order among ties");
            }
        }
        let served = referee(&all, &bests, 1).is_some();
        seen.served += usize::from(served);
        seen.impossible += usize::from(!served);
        assert_eq!(of_first(&answer).verdict == Verdict::Impossible, !served, "round {round}");
        if !served {
            excludes(&answer, &all, &bests);
        }
    }
    seen
}

/// The senders that are said to exclude each other do, and no fewer do.
fn excludes(answer: &Answer, all: &[Combination], bests: &[Option<f64>]) {
    let named = &answer.variants[0].excluding;
    let group: Vec<usize> = named.iter().map(|name| name["sender ".len()..].parse().unwrap()).collect();
    assert!(!group.is_empty());
    assert!(least_worst(all, &group, bests).is_none(), "{group:?} can be served");
    for smaller in (0..bests.len()).combinations(group.len() - 1).filter(|smaller| !smaller.is_empty()) {
        assert!(least_worst(all, &smaller, bests).is_some(), "{smaller:?} excludes itself, too");
    }
}

#[test]
fn the_compromise_is_what_trying_everything_finds() {
    let seen = against_the_referee(31, 160, &[Aim::Span, Aim::Resolution, Aim::Span]);
    assert!(seen.served > 70 && seen.impossible > 8, "{seen:?}");
    assert!(seen.compromises > 12 && seen.parted > 25, "{seen:?}");
}

#[test]
fn the_compromise_in_error_and_bend_is_what_trying_everything_finds() {
    let seen = against_the_referee(32, 36, &[Aim::Error, Aim::Straight]);
    assert!(seen.served > 15 && seen.compromises > 3, "{seen:?}");
}

/// Losses of senders with combinations that nobody has to calculate: a table of numbers.
struct Table {
    /// For each combination what each sender loses; `None`: a limit does not hold.
    losses: Vec<Vec<Option<f64>>>,
    asked: usize,
}

impl Table {
    fn random(dice: &mut Dice) -> (usize, Self) {
        let senders = 2 + dice.below(5);
        let combinations = 1 + dice.below(14);
        let fails = [0.0, 0.15, 0.5][dice.below(3)];
        // Few different losses make many ties.
        let steps = [3.0, 1e9][dice.below(2)];
        let mut loss =
            |_: usize| (!dice.chance(fails)).then(|| (dice.uniform(0.0, 1.0) * steps).round() / steps);
        let mut losses: Vec<Vec<Option<f64>>> =
            (0..combinations).map(|_| (0..senders).map(&mut loss).collect()).collect();
        // Each sender has a best of its own, which loses nothing.
        for sender in 0..senders {
            let least = losses.iter().filter_map(|row| row[sender]).fold(f64::INFINITY, f64::min);
            for loss in losses.iter_mut().filter_map(|row| row[sender].as_mut()) {
                *loss -= least;
            }
        }
        (senders, Self { losses, asked: 0 })
    }

    fn of(&self, group: &[usize]) -> impl Iterator<Item = Vec<f64>> {
        self.losses.iter().filter_map(|row| group.iter().map(|&sender| row[sender]).collect())
    }

    fn worst_of(&self, group: &[usize]) -> Option<f64> {
        self.of(group).map(|losses| most(&losses)).min_by(f64::total_cmp)
    }

    fn sum_of(&self, group: &[usize], bound: f64) -> Option<f64> {
        let all = self.of(group).filter(|losses| most(losses) <= bound + TIE);
        all.map(|losses| losses.iter().sum()).min_by(f64::total_cmp)
    }
}

impl Judge for Table {
    fn worst(&mut self, group: &[usize]) -> Cost {
        self.asked += 1;
        self.worst_of(group).map_or(Cost::Impossible, Cost::Is)
    }

    fn sum(&mut self, group: &[usize], most: f64) -> Cost {
        self.asked += 1;
        self.sum_of(group, most).map_or(Cost::Impossible, Cost::Is)
    }
}

#[test]
fn the_programmes_part_senders_as_trying_every_parting_does() {
    let mut dice = Dice::new(33);
    let (mut found, mut parted, mut none) = (0, 0, 0);
    for round in 0..1500 {
        let (senders, mut table) = Table::random(&mut dice);
        let asked = 1 + dice.below(senders);
        let splits = splits(senders, asked, &mut table);
        let mut fewest_before = usize::MAX;
        for row in &splits.rows {
            let partings = || partings(senders).into_iter().filter(|parting| parting.len() <= row.variants);
            let worst = |parting: &Vec<Vec<usize>>| {
                let worst: Option<Vec<f64>> = parting.iter().map(|group| table.worst_of(group)).collect();
                Some(most(&worst?))
            };
            assert!(row.complete, "round {round}");
            let Some(least) = partings().filter_map(|p| worst(&p)).min_by(f64::total_cmp) else {
                assert_eq!(row.sets, None, "round {round}");
                none += 1;
                continue;
            };
            let sum = |parting: &Vec<Vec<usize>>| -> Option<f64> {
                parting.iter().map(|group| table.sum_of(group, least)).sum()
            };
            let least_sum = partings().filter_map(|p| sum(&p)).min_by(f64::total_cmp).unwrap();
            let sets = row.sets.as_ref().unwrap();
            assert!(sets.len() <= row.variants, "round {round}");
            assert_eq!(sets.iter().flatten().copied().sorted().collect_vec(), (0..senders).collect_vec());
            assert!((worst(sets).unwrap() - least).abs() <= TIE, "round {round}: {row:?}, {least}");
            assert!((sum(sets).unwrap() - least_sum).abs() <= 1e-8, "round {round}: {row:?}, {least_sum}");
            found += 1;
            parted += usize::from(sets.len() > 1);
            fewest_before = fewest_before.min(sets.len());
        }
        let is_served = |row: &Split| row.sets.is_some();
        assert!(splits.rows.len() >= asked, "round {round}");
        assert!(splits.rows[..splits.rows.len() - 1].iter().skip(asked - 1).all(|row| !is_served(row)));
        if !is_served(&splits.rows[0]) {
            let group = &splits.excluding;
            assert!(!group.is_empty() && table.worst_of(group).is_none(), "round {round}: {group:?}");
            let fewer = (0..senders).combinations(group.len() - 1).filter(|fewer| !fewer.is_empty());
            assert!(
                fewer.into_iter().all(|fewer| table.worst_of(&fewer).is_some()),
                "round {round}: {group:?}"
            );
        }
    }
    assert!(found > 2000 && parted > 800 && none > 300, "{found} {parted} {none}");
}

/// A table of which nobody gets to know what larger groups lose.
struct Veiled(Table, usize);

impl Judge for Veiled {
    fn worst(&mut self, group: &[usize]) -> Cost {
        if group.len() > self.1 { Cost::Unknown } else { self.0.worst(group) }
    }

    fn sum(&mut self, group: &[usize], most: f64) -> Cost {
        if group.len() > self.1 { Cost::Unknown } else { self.0.sum(group, most) }
    }
}

#[test]
fn what_is_not_known_is_never_called_proven() {
    let mut dice = Dice::new(35);
    let (mut doubtful, mut proven, mut unfound) = (0, 0, 0);
    for round in 0..600 {
        let (senders, table) = Table::random(&mut dice);
        let known = 1 + dice.below(2);
        let mut veiled = Veiled(table, known);
        let splits = splits(senders, senders, &mut veiled);
        let table = veiled.0;
        for row in &splits.rows {
            let partings = partings(senders).into_iter().filter(|parting| parting.len() <= row.variants);
            let worst = |parting: Vec<Vec<usize>>| {
                let worst: Option<Vec<f64>> = parting.iter().map(|group| table.worst_of(group)).collect();
                Some(most(&worst?))
            };
            let least = partings.filter_map(worst).min_by(f64::total_cmp);
            match &row.sets {
                Some(sets) => {
                    assert!(sets.iter().all(|set| set.len() <= known), "round {round}: {row:?}");
                    let found = worst(sets.clone()).unwrap();
                    assert!(!row.complete || (found - least.unwrap()).abs() <= TIE, "round {round}: {row:?}");
                }
                None => assert!(!row.complete || least.is_none(), "round {round}: {row:?}"),
            }
            doubtful += usize::from(!row.complete);
            proven += usize::from(row.complete);
            unfound += usize::from(!row.complete && row.sets.is_none());
        }
    }
    assert!(doubtful > 300 && proven > 300 && unfound > 100, "{doubtful} {proven} {unfound}");
}

#[test]
fn a_search_that_is_stopped_says_so() {
    let board = board(
        "inputs: { fuel: { circuit: pull-up, pull_up: choose, protection: choose, senders: { a: 240..33, b: 10..180 } } }",
    );
    let views = board.inputs[0].views();
    let bests: Vec<f64> = views.iter().map(|view| choose(&board, view).best.unwrap().aim).collect();
    let joint = Joint::new(&board, views.iter().zip(bests));
    let whole = joint.least_worst(&[0, 1], 1_000_000);
    assert!(whole.complete && whole.best.is_some());
    let most = whole.best.unwrap().worst();
    for effort in [0, 1, 5, whole.examined / 2] {
        for outcome in [joint.least_worst(&[0, 1], effort), joint.best_within(&[0, 1], most, effort)] {
            assert!(!outcome.complete && outcome.examined <= effort + 1, "{effort}");
        }
    }
    let best = joint.best_within(&[0, 1], most, 1_000_000).best.unwrap();
    assert!((best.worst() - most).abs() <= TIE);
    assert!(joint.best_within(&[0, 1], most - 1e-3, 1_000_000).best.is_none(), "nothing loses less");
}

/// Nothing drifts, leaks or deviates, and nothing is limited.
const IDEAL: &str = "board: ideal\nsupply: { surge: 30 V }\nrails: { logic: { voltage: 5 V, tolerance: 0 % } }\n\
                     converter: { gain: 0 %, offset: 0, inl: 0, leakage: 0 A }\n\
                     resistors: { tolerance: 0 %, tempco: 0, ageing: 0 % }\nlimits: off\n";

fn ideal(input: &str) -> Answer {
    answer(
        &board(&format!("{IDEAL}inputs:\n  fuel: {{ circuit: pull-up, protection: none, {input} }}\n")),
        "design",
    )
}

fn pull_up(parts: &[(String, Option<PartAnswer>)]) -> f64 {
    match parts.iter().find(|(role, _)| role == "pull_up") {
        Some((_, Some(PartAnswer::Resistor { ohm, .. }))) => *ohm,
        other => panic!("{other:?}"),
    }
}

/// By hand. 1024·(z/(z + p) − a/(a + p)) of a sender a..z is greatest for p = √(a·z): 30 Ω for 10..90, 300 Ω for 100..900,
/// 512 counts each, and it is the same function of p/√(a·z) and of √(a·z)/p. So the compromise lies at √(30·300) = 94.9 Ω;
/// of the E24 values beside it, 91 is 3.297 times away from 300, 100 is 3.333 times away from 30: 91 Ω it is.
#[test]
fn a_compromise_by_hand() {
    let span = |a: f64, z: f64, p: f64| 1024.0 * (z / (z + p) - a / (a + p));
    let lost = [span(10.0, 90.0, 91.0), span(100.0, 900.0, 91.0)].map(|span| 1.0 - span / 512.0);
    assert!((lost[0] - 0.2035).abs() < 1e-4 && (lost[1] - 0.2308).abs() < 1e-4, "{lost:?}");
    let answer = ideal("pull_up: choose, senders: { low: 10..90, high: 900..100 }");
    let input = of_first(&answer);
    assert_eq!(pull_up(&input.parts.0), 91.0);
    assert_eq!(input.about.as_deref(), Some("high"), "it loses most");
    for ((name, sender), lost) in input.senders.0.iter().zip(lost) {
        let best = sender.own_best.as_ref().unwrap();
        assert!((best.assured_counts - 512.0).abs() < 1e-9, "{name}");
        assert!((sender.loss.unwrap() - lost).abs() < 1e-12, "{name}");
        assert_eq!(sender.variant, Some(1));
    }
    let own: Vec<f64> = input
        .senders
        .0
        .iter()
        .map(|(_, sender)| sender.own_best.as_ref().unwrap().parts.0[0].1.unwrap().ohm)
        .collect();
    assert_eq!(own, [30.0, 300.0]);
    let row = &answer.variants[0];
    assert!((row.worst_loss.unwrap() - lost[1]).abs() < 1e-12);
    assert!((row.sum_of_losses.unwrap() - lost[0] - lost[1]).abs() < 1e-12);
    let two = &answer.variants[1];
    assert_eq!((two.worst_loss, two.sum_of_losses), (Some(0.0), Some(0.0)));
    assert_eq!(two.sets.iter().map(|set| pull_up(&set.parts.0)).collect::<Vec<_>>(), [30.0, 300.0]);
    assert_eq!(answer.variants.len(), 2, "more sets than senders there are not");
}

/// By hand, as above: optima at 30, 33 and 300 Ω. Two sets: the near ones share. 30 for the sender at 33 loses what 1.1 does:
/// 1 − 2·(3/(3 + x) − 1/(1 + 3x)) for x = 1.1; so does 33 for the other.
#[test]
fn two_sets_for_three_senders_by_hand() {
    let answer =
        ideal("pull_up: choose, variants: 2, senders: { one: 10..90, two: 100..900, three: 11..99 }");
    let x: f64 = 1.1;
    let lost = 1.0 - 2.0 * (3.0 / (3.0 + x) - 1.0 / (1.0 + 3.0 * x));
    let row = &answer.variants[1];
    assert!(
        row.chosen
            && (row.worst_loss.unwrap() - lost).abs() < 1e-9
            && (row.sum_of_losses.unwrap() - lost).abs() < 1e-9
    );
    assert_eq!(
        row.sets[0].senders,
        ["one", "three"],
        "the sender that loses most is served by the first set"
    );
    assert_eq!(row.sets[1].senders, ["two"]);
    // Of 30 and 33, which lose alike, 33 draws less.
    assert_eq!(row.sets.iter().map(|set| pull_up(&set.parts.0)).collect::<Vec<_>>(), [33.0, 300.0]);
    let variants: Vec<_> = of_first(&answer).senders.0.iter().map(|(_, sender)| sender.variant).collect();
    assert_eq!(variants, [Some(1), Some(2), Some(1)]);
}

#[test]
fn alike_senders_lose_nothing() {
    let answer = ideal("pull_up: choose, senders: { one: 10..90, two: 10..90, three: 10..90 }");
    for row in &answer.variants {
        assert_eq!((row.worst_loss, row.sum_of_losses, row.sets.len()), (Some(0.0), Some(0.0), 1));
    }
}

#[test]
fn one_sender_is_served_as_if_it_stood_alone() {
    let alone = ideal("pull_up: choose, sender: 240..33");
    let named = ideal("pull_up: choose, senders: { american: 240..33 }");
    assert_eq!(of_first(&alone).parts.0, of_first(&named).parts.0);
    assert_eq!(of_first(&alone).span, of_first(&named).span);
    assert_eq!(named.variants.len(), 1);
}

#[test]
fn more_sets_never_lose_more_and_one_for_each_sender_loses_nothing() {
    let mut dice = Dice::new(34);
    for round in 0..25 {
        let mut board = random_board(&mut dice, Aim::Span);
        board.inputs[0].variants = board.inputs[0].senders.len();
        let answer = answer(&board, "design");
        let found = answer.variants.iter().filter(|row| !row.sets.is_empty());
        let losses: Vec<[f64; 2]> = found
            .map(|row| [row.worst_loss, row.sum_of_losses].map(|loss| loss.unwrap_or(f64::INFINITY)))
            .collect();
        let is_open = board.inputs[0].parts.iter().any(|part| matches!(part.choice, Choice::Choose { .. }));
        if !is_open {
            continue;
        }
        assert!(losses.windows(2).all(|pair| pair[1][0] <= pair[0][0] + TIE), "round {round}: {losses:?}");
        let last = answer.variants.last().unwrap();
        if last.variants == board.inputs[0].senders.len() && !last.sets.is_empty() {
            assert!(last.worst_loss.unwrap() <= TIE && last.sum_of_losses.unwrap() <= TIE, "round {round}");
        }
    }
}

#[test]
fn senders_that_exclude_each_other_are_named_with_the_sets_that_would_do() {
    // By hand: of 5 V at most 20 mA through 10 Ω want a pull-up of some 250 Ω, at least 2.5 mA through 1.8 kΩ one of some
    // 150 Ω at most.
    let text = "inputs:\n  fuel:\n    circuit: pull-up\n    protection: 30k\n    pull_up: { choose: 47..10k, size: 2512 }\n    \
                senders: { low: 10..90, high: 900..1800 }\n    limits: { sender_current: 20 mA, wetting_current: 2.5 mA }\n";
    let board = board(&format!("supply: {{ surge: 30 V }}\n{text}"));
    let answer = answer(&board, "design");
    assert_eq!(answer.verdict, Verdict::Impossible);
    let input = of_first(&answer);
    assert!(input.parts.0.is_empty());
    assert!(input.senders.0.iter().all(|(_, sender)| sender.own_best.is_some() && sender.variant.is_none()));
    let [one, two] = &answer.variants[..] else { panic!("{:?}", answer.variants) };
    assert_eq!(one.excluding, ["low", "high"]);
    assert!(one.chosen && one.sets.is_empty() && one.proof == "complete");
    assert_eq!((two.sets.len(), two.worst_loss), (2, Some(0.0)));
    let text = render(&answer, Format::Text);
    let wanted = "IMPOSSIBLE: fuel: No set of parts serves all senders. low and high exclude each other. 2 sets would \
                  (variants: 2).";
    assert!(text.replace('\n', " ").contains(wanted), "{text}");
}

const FUEL: &str = "board: fuel\nsupply: { surge: 30 V }\ninputs:\n  fuel:\n    circuit: pull-up\n    pull_up: { choose: 47..2k2, \
                    size: 2512 }\n    capacitor: choose\n    senders: { american: 240..33, european: 10..180, \"0,90\": 0..90 }\n";

/// A folder with briefs and what was written for them.
struct Desk(TempDir);

impl Desk {
    fn with(brief: &str) -> Self {
        let desk = Self(tempfile::tempdir().unwrap());
        desk.put("board.yaml", brief);
        desk
    }

    fn put(&self, name: &str, text: &str) {
        fs::write(self.0.path().join(name), text).unwrap();
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.0.path().join(name)).unwrap()
    }

    fn run(&self, arguments: &str) -> Run {
        run_in(self.0.path(), arguments)
    }
}

/// What an answer says of each sender, without what only a choice knows.
fn said(answer: &Value) -> Value {
    let mut senders = answer["inputs"]["fuel"]["senders"].clone();
    for (_, sender) in senders.as_object_mut().unwrap() {
        let sender = sender.as_object_mut().unwrap();
        for key in ["loss", "own_best", "stack_up", "ranking"] {
            sender.remove(key);
        }
        for (_, part) in sender["parts"].as_object_mut().unwrap() {
            let part = part.as_object_mut();
            part.map(|part| ["series", "chosen"].map(|key| part.remove(key)));
        }
        for point in sender["checkpoints"].as_array_mut().unwrap() {
            for reading in ["root_sum_of_squares", "bench_root_sum_of_squares", "second_order"] {
                point["reading"].as_object_mut().unwrap().remove(reading);
            }
        }
    }
    senders
}

#[test]
fn what_design_writes_for_one_or_more_sets_check_reads() {
    for variants in 1..=3 {
        let desk = Desk::with(&format!("{FUEL}    variants: {variants}\n"));
        let design = desk.run("design board.yaml --output fitted.yaml --format json");
        assert_eq!((design.status, design.messages.as_str()), (0, "fitted.yaml: fitted values written\n"));
        let fitted = desk.text("fitted.yaml");
        assert_eq!(fitted.contains("\n    variants:\n      - senders: ["), variants > 1, "{fitted}");
        let check = desk.run("check board.yaml --fitted fitted.yaml --boards 0 --format json");
        assert_eq!((check.status, check.messages.as_str()), (0, ""));
        let (designed, checked) = (parsed(&design.results), parsed(&check.results));
        assert_eq!(said(&designed), said(&checked), "{variants} variants");
        let sets = |answer: &Value| {
            let rows = answer["variants"].as_array().unwrap();
            let asked = rows.iter().find(|row| row["chosen"] == true).unwrap();
            let sets = asked["sets"].as_array().unwrap().iter();
            sets.map(|set| (set["senders"].clone(), set["parts"]["pull_up"]["ohm"].clone()))
                .collect::<Vec<_>>()
        };
        assert_eq!(sets(&designed), sets(&checked));
        assert_eq!(designed["inputs"]["fuel"]["senders"].as_object().unwrap().len(), 3);
        assert_eq!(desk.run("design board.yaml --format json").results, design.results, "the same question");
        assert_eq!(desk.run("design board.yaml --output fitted.yaml").status, 0, "an older file is replaced");
    }
}

#[test]
fn the_keys_of_an_answer_keep_their_order() {
    let desk = Desk::with(&format!("{FUEL}    variants: 2\n"));
    let design = desk.run("design board.yaml --format json").results;
    let answer = parsed(&design);
    let sender = &answer["inputs"]["fuel"]["senders"]["american"];
    for key in
        ["variant", "loss", "own_best", "verdict", "parts", "span", "error", "limits", "checkpoints", "cases"]
    {
        assert!(!sender[key].is_null(), "{key}");
    }
    let place = |key: &str| design.find(&format!("\"{key}\":")).unwrap_or_else(|| panic!("{key}"));
    let order = [
        "board",
        "verdict",
        "inputs",
        "circuit",
        "parts",
        "span",
        "limits",
        "about",
        "senders",
        "own_best",
        "variants",
        "worst_loss",
    ];
    assert!(order.windows(2).all(|pair| place(pair[0]) < place(pair[1])), "{design}");
    let first = &answer["inputs"]["fuel"];
    assert_eq!(
        first["parts"],
        answer["inputs"]["fuel"]["senders"][first["about"].as_str().unwrap()]["parts"]
    );
}

#[test]
fn fitted_sets_that_do_not_fit_are_refused_with_their_place() {
    let says = |variants: usize, sets: &str, expected: &str| {
        let brief = format!("{FUEL}    protection: none\n    variants: {variants}\n")
            .replace("    capacitor: choose\n", "");
        let desk = Desk::with(&brief);
        desk.put("fitted.yaml", &format!("board: fuel\nfitted:\n  fuel:\n{sets}"));
        let check = desk.run("check board.yaml --fitted fitted.yaml");
        let heads: Vec<&str> =
            check.messages.lines().filter(|line| line.starts_with("fitted.yaml")).collect();
        assert_eq!((check.status, heads.join("\n").as_str()), (2, expected), "about:\n{sets}");
    };
    let all = "american, european, \"0,90\"";
    says(
        2,
        "    variants: [{ senders: [american, europaen], pull_up: 150 }, { senders: [\"0,90\"], pull_up: 1k }]\n",
        "fitted.yaml:4:38: fitted.fuel.variants[1].senders[2]: found `europaen`; expected a sender of this input: american, european or 0,90; did you mean `european`?",
    );
    says(
        2,
        "    variants: [{ senders: [american], pull_up: 150 }, { senders: [american, \"0,90\"], pull_up: 1k }]\n",
        "fitted.yaml:4:67: fitted.fuel.variants[2].senders[1]: found `american` a second time; expected each sender in one set",
    );
    says(
        2,
        "    variants: [{ senders: [american], pull_up: 150 }, { senders: [european], pull_up: 1k }]\n",
        "fitted.yaml:4:5: fitted.fuel.variants: found no set of parts for 0,90; expected each sender in one set",
    );
    says(
        1,
        "    variants: [{ senders: [american], pull_up: 150 }, { senders: [european, \"0,90\"], pull_up: 1k }]\n",
        "fitted.yaml:4:5: fitted.fuel.variants: found 2 sets of parts; expected at most 1, as the brief says (`variants`)",
    );
    says(
        2,
        &format!("    variants: [{{ senders: [{all}] }}]\n"),
        "fitted.yaml:4:16: fitted.fuel.variants[1].pull_up: found nothing; expected the fitted value, such as pull_up: 300 Ω, or none",
    );
    says(
        2,
        &format!("    pull_up: 150\n    variants: [{{ senders: [{all}], pull_up: 150 }}]\n"),
        "fitted.yaml:4:5: fitted.fuel.pull_up: found `pull_up` beside variants; expected all parts inside the sets",
    );
    says(
        2,
        "    variants: [{ pull_up: 150 }]\n",
        "fitted.yaml:4:16: fitted.fuel.variants[1].senders: found nothing; expected the senders that the set serves, such as senders: [european]",
    );
    says(
        2,
        "    variants: []\n",
        "fitted.yaml:4:15: fitted.fuel.variants: found an empty list; expected a list of sets of parts, such as [{ senders: [european], pull_up: 300 Ω }]",
    );
    says(
        2,
        &format!("    variants: [{{ senders: [{all}], pull_up: 150, shunt: 1k }}]\n"),
        "fitted.yaml:4:78: fitted.fuel.variants[1].shunt: found `1k` (not what the brief says); expected none, which the brief gives",
    );
    says(
        2,
        "    variants: [{ senders: american, pull_up: 150 }]\n",
        "fitted.yaml:4:27: fitted.fuel.variants[1].senders: found `american`; expected a list of senders, such as [european]",
    );
}

#[test]
fn one_sender_has_one_set() {
    let desk = Desk::with(
        "board: x\nsupply: { surge: 30 V }\ninputs: { a: { circuit: pull-up, sender: 240..33, pull_up: choose } }\n",
    );
    desk.put("fitted.yaml", "board: x\nfitted: { a: { variants: [{ senders: [b], pull_up: 150 }] } }\n");
    let check = desk.run("check board.yaml --fitted fitted.yaml");
    let first = check.messages.lines().next().unwrap();
    let wanted = "fitted.yaml:2:16: fitted.a.variants: found `variants`; expected the parts of the input: it has one sender, so \
                  one set of parts";
    assert_eq!((check.status, first), (2, wanted));
}

#[test]
fn every_sender_is_examined_and_one_that_fails_is_named() {
    let desk = Desk::with(
        "board: x\nsupply: { surge: 30 V }\ninputs:\n  fuel:\n    circuit: pull-up\n    pull_up: 1k\n    protection: 30k\n    \
         senders: { good: 240..33, weak: 20..30 }\n    limits: { error: 50 }\n",
    );
    let check = desk.run("check board.yaml --boards 0");
    assert_eq!(check.status, 1);
    let text = check.results.replace('\n', " ");
    assert!(text.contains("FAILS: fuel with weak: error is "), "{}", check.results);
    assert!(!text.contains("FAILS: fuel with good"), "{}", check.results);
    assert!(text.contains("All that follows is about weak."), "{}", check.results);
}

#[test]
fn measured_boards_with_several_senders_are_refused() {
    let desk = Desk::with(
        "board: x\nsupply: { surge: 30 V }\ninputs: { a: { circuit: pull-up, pull_up: 150, protection: 30k, senders: { b: 240..33, c: 10..180 } } }\n",
    );
    desk.put("measured.csv", "board,a.pull_up\n1,150\n");
    let check = desk.run("check board.yaml --measured measured.csv");
    let wanted = "board.yaml: inputs.a.senders: found several senders beside --measured; expected a brief with the one sender \
                  that was dialled in on these boards (`sender`)\n";
    assert_eq!((check.status, check.messages.as_str()), (2, wanted));
}

#[test]
fn grades_keep_the_error_of_every_sender() {
    let brief = |senders: &str| {
        format!(
            "board: x\nsupply: {{ surge: 30 V }}\nresistors: {{ grades: [{{ tolerance: 1 %, price: 1 }}, {{ tolerance: 0.1 %, price: \
             5 }}] }}\ninputs:\n  fuel:\n    circuit: pull-up\n    pull_up: {{ choose: 47..2k2, size: 2512 }}\n    {senders}\n    \
             limits: {{ error: 9.7 }}\n"
        )
    };
    // Alone the first asks for less than with the second, which moves less.
    let both = Desk::with(&brief("senders: { wide: 10..180, narrow: 40..180 }\n    variants: 2"));
    let run = both.run("design board.yaml --grades --output fitted.yaml --format json");
    let answer = parsed(&run.results);
    let errors: Vec<f64> = answer["inputs"]["fuel"]["senders"]
        .as_object()
        .unwrap()
        .values()
        .map(|sender| sender["error"]["greatest"].as_f64().unwrap())
        .collect();
    let told = answer["grades"]["inputs"]["fuel"]["error"].as_f64().unwrap();
    assert!((told - most(&errors)).abs() < 1e-9, "{told} {errors:?}");
    assert_eq!(answer["grades"]["verdict"], "holds", "{}", answer["grades"]);
    assert!(errors.iter().all(|error| *error <= 9.7), "{errors:?}");
    let check = both.run("check board.yaml --fitted fitted.yaml --boards 0 --format json");
    assert_eq!((check.status, check.messages.as_str()), (0, ""), "{}", both.text("fitted.yaml"));
}

#[test]
fn rails_count_the_worst_sender_once() {
    let backfeed = |senders: &str| {
        let desk = Desk::with(&format!(
            "board: x\nsupply: {{ surge: 30 V }}\ninputs: {{ a: {{ circuit: pull-up, pull_up: 150, protection: 30k, line: 10, {senders} }} }}\n"
        ));
        let answer = parsed(&desk.run("check board.yaml --boards 0 --format json").results);
        let row = answer["rails"].as_array().unwrap().iter().find(|row| row["event"] == "board off").cloned();
        row.unwrap()
    };
    let both = backfeed("senders: { b: 240..33, c: 10..180 }");
    let alone = [backfeed("sender: 240..33"), backfeed("sender: 10..180")];
    let fed = |row: &Value| row["fed_back_a"].as_f64().unwrap();
    assert_eq!(fed(&both), f64::max(fed(&alone[0]), fed(&alone[1])));
    assert_eq!(both["by"].as_array().unwrap().len(), 1);
    assert_eq!(both["by"][0]["input"], "a");
}

#[test]
fn a_reading_corrected_by_the_supply_serves_several_senders() {
    let text = "board: x\nsupply: { surge: 30 V }\ninputs:\n  battery: { circuit: divider, from: supply, measures: 0 V .. 32 V, top: 91k, \
                bottom: 11k }\n  fuel: { circuit: pull-up, excitation: supply, corrected_by: battery, pull_up: { choose: 470..4k7, size: \
                2512 }, protection: 47k, senders: { b: 240..33, c: 10..180 } }\n";
    let answer = answer(&board(text), "design");
    let fuel = &answer.inputs.0[1].1;
    assert!(fuel.senders.0.iter().all(|(_, sender)| sender.loss.is_some() && sender.here.error.is_some()));
    let remark = "corrected by battery";
    assert!(
        fuel.senders.0.iter().all(|(_, sender)| sender.here.remarks.iter().any(|text| text.contains(remark)))
    );
}

#[test]
fn one_capacitor_does_for_all_senders_of_a_set() {
    let text =
        FUEL.replace("    capacitor: choose\n", "    capacitor: choose\n    limits: { filter_time: 2 ms }\n");
    let answer = answer(&board(&text), "design");
    let farads = |parts: &[(String, Option<PartAnswer>)]| match parts.last() {
        Some((_, Some(PartAnswer::Capacitor { farad, chosen: true }))) => *farad,
        other => panic!("{other:?}"),
    };
    let of_set = farads(&answer.variants[0].sets[0].parts.0);
    for (name, sender) in &of_first(&answer).senders.0 {
        assert_eq!(farads(&sender.here.parts.0), of_set, "{name}");
        assert_eq!(sender.here.verdict, Verdict::Holds, "{name}");
    }
}
