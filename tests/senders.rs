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
use ohmwright::search::choose;
use ohmwright::series::{Series, candidates};
use ohmwright::worst::{Measure, Sense, least_span, worst};
use support::dice::Dice;

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

/// Every combination, by trying all.
fn combinations(board: &Board) -> Vec<Combination> {
    let views = board.inputs[0].views();
    let open: Vec<(Role, Vec<Option<(Ohms, Series)>>)> = views[0]
        .parts
        .iter()
        .filter_map(|part| match &part.choice {
            Choice::Choose { candidates, or_none } => {
                let mut options: Vec<_> = candidates.iter().map(|p| Some((p.ohms, p.series))).collect();
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
        seen.boards += 1;
        let bests: Vec<Option<f64>> =
            input.views().iter().map(|view| choose(&board, view).best.map(|best| best.aim)).collect();
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
    let seen = against_the_referee(31, 260, &[Aim::Span, Aim::Resolution, Aim::Span]);
    assert!(seen.served > 100 && seen.impossible > 20, "{seen:?}");
    assert!(seen.compromises > 60 && seen.parted > 60, "{seen:?}");
}

#[test]
fn the_compromise_in_error_and_bend_is_what_trying_everything_finds() {
    let seen = against_the_referee(32, 80, &[Aim::Error, Aim::Straight]);
    assert!(seen.served > 20 && seen.compromises > 10, "{seen:?}");
}
