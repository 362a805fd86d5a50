//! Tolerance grades: the cheapest against all assignments tried one by one, and what the commands make of them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;

use ohmwright::answer::Verdict;
use ohmwright::board::{Board, Choice, Circuit, Input, InputId, Offer, Price, Setting};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Scene, Values};
use ohmwright::examine::{answer, answer_with_grades};
use ohmwright::limits::checks_of;
use ohmwright::quantity::{Fraction, PerKelvin};
use ohmwright::report::{Format, render};
use ohmwright::share::{Candidate, Graded, Needs, PartId, Task, cheapest, error_of, grade};
use support::dice::Dice;
use support::program::{number, parsed, run_in};
use tempfile::TempDir;

/// All lists of `length` places below `count`, the first place slowest.
fn all(count: usize, length: usize) -> impl Iterator<Item = Vec<usize>> {
    (0..count.pow(u32::try_from(length).unwrap())).map(move |mut number| {
        let mut places = vec![0; length];
        for place in places.iter_mut().rev() {
            *place = number % count;
            number /= count;
        }
        places
    })
}

/// Whether a candidate is never worth taking: another one is as narrow and as cheap.
fn is_beaten(all: &[Candidate], a: usize) -> bool {
    let wider = |a: &Candidate, b: &Candidate| a.lowest <= b.lowest && a.highest >= b.highest;
    (0..all.len()).any(|b| {
        let as_good = wider(&all[a], &all[b]) && all[b].price <= all[a].price;
        b != a && as_good && (all[a] != all[b] || b < a)
    })
}

/// The first of the cheapest assignments that fulfil all demands.
fn by_trying(task: &Task, holds: &dyn Fn(usize, &[usize]) -> bool) -> Option<(u64, Vec<usize>)> {
    let worth: Vec<usize> = (0..task.candidates.len()).filter(|&a| !is_beaten(&task.candidates, a)).collect();
    let price = |choice: &[usize]| -> u64 {
        choice.iter().zip(&task.parts).map(|(&place, count)| count * task.candidates[place].price).sum()
    };
    let demands = task.demands.len() + usize::from(task.overall);
    all(worth.len(), task.parts.len())
        .map(|places| places.into_iter().map(|place| worth[place]).collect::<Vec<_>>())
        .filter(|choice| (0..demands).all(|demand| holds(demand, choice)))
        .map(|choice| (price(&choice), choice))
        .min_by_key(|(price, _)| *price)
}

/// What each group adds on its lower and on its upper side, times a weight, and what a demand allows of both.
struct Budget {
    weights: Vec<(f64, f64)>,
    allowed: (f64, f64),
}

impl Budget {
    fn holds(&self, task: &Task, choice: &[usize]) -> bool {
        let spent = |of: &dyn Fn(&Candidate) -> f64, weight: &dyn Fn(&(f64, f64)) -> f64| -> f64 {
            choice.iter().zip(&self.weights).map(|(&c, w)| weight(w) * of(&task.candidates[c])).sum()
        };
        // Not a sum of the two: a candidate that is good on one side does not help on the other.
        spent(&|c| 1.0 - c.lowest, &|w| w.0) <= self.allowed.0
            && spent(&|c| c.highest - 1.0, &|w| w.1) <= self.allowed.1
    }
}

fn random_task(dice: &mut Dice) -> (Task, Vec<Budget>) {
    let candidate = |dice: &mut Dice| {
        let below = dice.uniform(0.001, 0.05);
        let above = if dice.chance(0.6) { below } else { dice.uniform(0.001, 0.05) };
        Candidate { lowest: 1.0 - below, highest: 1.0 + above, price: dice.below(6) as u64 * 25 }
    };
    let groups = 1 + dice.below(4);
    let mut task = Task {
        candidates: (0..2 + dice.below(4)).map(|_| candidate(dice)).collect(),
        parts: (0..groups).map(|_| 1 + dice.below(2) as u64).collect(),
        demands: Vec::new(),
        overall: dice.chance(0.3),
    };
    let demands = 1 + dice.below(3);
    let budgets: Vec<Budget> = (0..demands + usize::from(task.overall))
        .map(|demand| {
            let here = |dice: &mut Dice| demand == demands || dice.chance(0.7);
            let depends: Vec<bool> = (0..groups).map(|_| here(dice)).collect();
            if demand < demands {
                task.demands.push((0..groups).filter(|&group| depends[group]).collect());
            }
            let mut weight = |&depends: &bool| if depends { dice.uniform(0.1, 1.0) } else { 0.0 };
            let weights: Vec<(f64, f64)> = depends.iter().map(|d| (weight(d), weight(d))).collect();
            let total = |of: fn(&(f64, f64)) -> f64| weights.iter().map(of).sum::<f64>();
            let allowed =
                (dice.uniform(0.0, 0.05) * total(|w| w.0), dice.uniform(0.0, 0.05) * total(|w| w.1));
            Budget { weights, allowed }
        })
        .collect();
    (task, budgets)
}

#[test]
fn the_programme_finds_the_first_of_the_cheapest() {
    let (mut possible, mut impossible, mut ties) = (0, 0, 0);
    for seed in 0..1_000 {
        let (task, budgets) = random_task(&mut Dice::new(seed));
        let judge = |demand: usize, choice: &[usize]| budgets[demand].holds(&task, choice);
        let found = cheapest(&task, judge);
        assert!(found.complete && found.unsettled.is_empty(), "seed {seed}: {found:?}");
        if let Some((price, choice)) = by_trying(&task, &judge) {
            assert_eq!(found.impossible, Vec::<usize>::new(), "seed {seed}");
            assert_eq!(found.choice, choice, "seed {seed}: {price} {task:?}");
            possible += 1;
            let again = by_trying(&task, &|demand, other| other != choice && judge(demand, other));
            ties += usize::from(again.is_some_and(|(other, _)| other == price));
        } else {
            impossible += 1;
            assert!(!found.impossible.is_empty(), "seed {seed}: {found:?}");
            // What is not said to be impossible holds, and each that is said to be is so beside those before it.
            let demands = task.demands.len() + usize::from(task.overall);
            let kept: Vec<usize> = (0..demands).filter(|demand| !found.impossible.contains(demand)).collect();
            assert!(kept.iter().all(|&demand| judge(demand, &found.choice)), "seed {seed}: {found:?}");
            for &lost in &found.impossible {
                let beside: Vec<usize> = kept.iter().copied().chain([lost]).collect();
                let holds =
                    |demand: usize, choice: &[usize]| !beside.contains(&demand) || judge(demand, choice);
                assert_eq!(by_trying(&task, &holds), None, "seed {seed}: demand {lost}");
            }
        }
    }
    assert!(possible > 200 && impossible > 200 && ties > 20, "{possible} {impossible} {ties}");
}

/// So many groups that nothing is proven: the choice holds, the proof is said to be missing, and nothing is impossible.
#[test]
fn where_the_effort_ends_nothing_is_called_impossible() {
    let candidate = |off: f64, price| Candidate { lowest: 1.0 - off, highest: 1.0 + off, price };
    let groups: Vec<usize> = (0..60).collect();
    let task = Task {
        candidates: vec![candidate(0.05, 1), candidate(0.01, 3), candidate(0.001, 20)],
        parts: vec![1; 60],
        demands: vec![groups],
        overall: false,
    };
    let holds = |_: usize, choice: &[usize]| {
        choice.iter().map(|&place| 1.0 - task.candidates[place].lowest).sum::<f64>() <= 1.0 + 1e-9
    };
    let found = cheapest(&task, holds);
    assert!(!found.complete && found.impossible.is_empty() && found.unsettled.is_empty(), "{found:?}");
    assert!(holds(0, &found.choice));
    // 10 · 0.05 + 50 · 0.01 is all that is allowed.
    assert_eq!(found.choice.iter().filter(|&&place| place == 0).count(), 10);
}

/// A random list; low tolerance may come with a high tempco.
fn random_list(dice: &mut Dice) -> Vec<Offer> {
    let offer = |dice: &mut Dice| Offer {
        tolerance: Fraction(10_f64.powf(dice.uniform(-3.3, -1.2))),
        tempco: PerKelvin(10_f64.powf(dice.uniform(-5.0, -3.2))),
        ageing: Fraction(10_f64.powf(dice.uniform(-3.3, -1.5))),
        price: Price(1 + dice.below(20) as u64 * 5),
    };
    let mut list: Vec<Offer> = (0..3 + dice.below(3)).map(|_| offer(dice)).collect();
    if dice.chance(0.3) {
        // A price that one grade shares with another makes ties.
        list[1].price = list[0].price;
    }
    list
}

fn put(board: &mut Board, (id, role): PartId, offer: &Offer) {
    for part in board.inputs[id.0].parts.iter_mut().filter(|part| part.role == role) {
        part.grade = offer.of(&part.grade);
    }
}

fn parts_of(board: &Board, id: usize) -> Vec<PartId> {
    let there = board.inputs[id].parts.iter().filter(|part| matches!(part.choice, Choice::Fixed(_)));
    let open = there.filter(|part| !part.has_own_grade);
    open.map(|part| (InputId(id), part.role)).collect()
}

/// The names of the limits of a fitted input that do not hold.
fn broken(board: &Board, input: &Input) -> Vec<&'static str> {
    let scene = Scene::new(board, input, &Values::given(input));
    let mut checks = checks_of(board, input, &scene);
    checks.retain(|check| check.allowed.is_some());
    let fails = |check: &&ohmwright::limits::Check| {
        check.worst(input, &scene).is_some_and(|worst| !check.holds(worst.value))
    };
    checks.iter().filter(fails).map(ohmwright::limits::Check::name).collect()
}

/// A board of two or three inputs with limits between what the best and the worst grades do.
fn random_board(dice: &mut Dice) -> Board {
    let inputs = 2 + dice.below(2);
    dice.decades = (2.0, 5.0);
    let mut board = dice.board_of(inputs);
    // All counts are tried for an error: fewer of them, faster.
    board.converter.bits = [8, 10][dice.below(2)];
    board.grades = random_list(dice);
    for id in 0..inputs {
        // A level shift has the most that may vary: all its assignments take long.
        let most = 7 - board.grades.len() - usize::from(board.inputs[id].circuit == Circuit::LevelShift);
        let parts = parts_of(&board, id);
        for (_, role) in parts.iter().skip(most) {
            board.inputs[id].parts.iter_mut().find(|part| part.role == *role).unwrap().has_own_grade = true;
        }
        if dice.chance(0.1)
            && let Some(part) = board.inputs[id].parts.first_mut()
        {
            part.has_own_grade = true;
        }
        let errors: Vec<f64> = board
            .grades
            .clone()
            .iter()
            .map(|offer| {
                for part in parts_of(&board, id) {
                    put(&mut board, part, offer);
                }
                error_of(&board, InputId(id)).unwrap()
            })
            .collect();
        let (best, worst) = (
            errors.iter().copied().fold(f64::INFINITY, f64::min),
            errors.iter().copied().fold(0.0, f64::max),
        );
        if worst > 0.0 && dice.chance(0.9) {
            board.inputs[id].limits.error =
                Setting::At((best + (worst - best) * dice.uniform(-0.1, 1.0)).max(1e-6));
        }
        // Limits that no grade keeps would leave nothing to choose: most of them are lifted.
        let hopeless = broken(&board, &board.inputs[id]);
        let limits = &mut board.inputs[id].limits;
        if dice.chance(0.9) {
            for name in hopeless {
                match name {
                    "converter_range" => limits.converter_range = Setting::Off,
                    "pin_current" => limits.pin_current = Setting::Off,
                    "dissipation" => limits.dissipation = Setting::Off,
                    "part_voltage" => limits.part_voltage = Setting::Off,
                    "settling" => limits.settling = Setting::Off,
                    "compliance" => limits.compliance = Setting::Off,
                    _ => {}
                }
            }
        }
    }
    board
}

/// Ties of parts of any inputs, now and then.
fn random_ties(dice: &mut Dice, board: &Board) -> Vec<Vec<PartId>> {
    let all: Vec<PartId> = (0..board.inputs.len()).flat_map(|id| parts_of(board, id)).collect();
    if all.len() < 2 || dice.chance(0.6) {
        return Vec::new();
    }
    let tied: Vec<PartId> = all.iter().copied().filter(|_| dice.chance(0.4)).collect();
    vec![tied]
}

/// For each input, whether its limits hold with each assignment of grades to its parts.
fn verdicts(board: &Board) -> Vec<Vec<bool>> {
    (0..board.inputs.len())
        .map(|id| {
            let mut trial = board.clone();
            let parts = parts_of(board, id);
            all(board.grades.len(), parts.len())
                .map(|choice| {
                    for (&part, &offer) in parts.iter().zip(&choice) {
                        put(&mut trial, part, &board.grades[offer]);
                    }
                    broken(&trial, &trial.inputs[id]).is_empty()
                })
                .collect()
        })
        .collect()
}

/// Groups of parts that get one grade.
fn groups(board: &Board, ties: &[Vec<PartId>]) -> Vec<Vec<PartId>> {
    let mut groups: Vec<Vec<PartId>> = ties.iter().filter(|tie| !tie.is_empty()).cloned().collect();
    for part in (0..board.inputs.len()).flat_map(|id| parts_of(board, id)) {
        if !groups.iter().any(|group| group.contains(&part)) {
            groups.push(vec![part]);
        }
    }
    groups
}

/// The least price with which these inputs hold, by trying every assignment to the groups that they need. Groups that no
/// input needs which can hold cost what the narrowest grade does, as they are given it.
fn least_price(board: &Board, ties: &[Vec<PartId>], table: &[Vec<bool>], kept: &[usize]) -> Option<u64> {
    let groups = groups(board, ties);
    let count = board.grades.len();
    let needed: Vec<&Vec<PartId>> =
        groups.iter().filter(|group| group.iter().any(|(id, _)| kept.contains(&id.0))).collect();
    let holds = |choice: &[usize], id: usize| {
        let of = |part: &PartId| choice[needed.iter().position(|group| group.contains(part)).unwrap()];
        let place = parts_of(board, id).iter().fold(0, |place, part| place * count + of(part));
        table[id][place]
    };
    let price = |choice: &Vec<usize>| -> u64 {
        choice.iter().zip(&needed).map(|(&o, group)| group.len() as u64 * board.grades[o].price.0).sum()
    };
    if ties.is_empty() {
        // Nothing joins the inputs: each by itself.
        let of_input = |&id: &usize| {
            let assignments = all(count, parts_of(board, id).len()).zip(&table[id]);
            let fine = assignments.filter(|(_, holds)| **holds);
            fine.map(|(choice, _)| choice.iter().map(|&o| board.grades[o].price.0).sum::<u64>()).min()
        };
        return kept.iter().map(of_input).sum();
    }
    let fine = all(count, needed.len()).filter(|choice| kept.iter().all(|&id| holds(choice, id)));
    fine.map(|choice| price(&choice)).min()
}

/// The price of the parts of these inputs and of what is tied to them.
fn price_of(board: &Board, graded: &Graded, ties: &[Vec<PartId>], kept: &[usize]) -> u64 {
    let groups = groups(board, ties);
    let is_needed = |part: PartId| {
        let group = groups.iter().find(|group| group.contains(&part)).unwrap();
        group.iter().any(|(id, _)| kept.contains(&id.0))
    };
    let priced =
        graded.parts.iter().filter(|part| part.offer.is_some_and(|_| is_needed((part.input, part.role))));
    priced.map(|part| board.grades[part.offer.unwrap()].price.0).sum()
}

#[test]
fn grades_are_the_cheapest_of_all_assignments() {
    let (mut chosen, mut impossible, mut tied, mut mixed) = (0, 0, 0, 0);
    for seed in 0..110 {
        let dice = &mut Dice::new(seed);
        let board = random_board(dice);
        let ties = random_ties(dice, &board);
        let total: usize = groups(&board, &ties).len();
        if !ties.is_empty() && board.grades.len().pow(total as u32) > 70_000 {
            continue;
        }
        let graded = grade(&board, &Needs { ties: &ties, beside: None, together: None });
        assert!(graded.found.complete && graded.unsettled.is_empty());
        let table = verdicts(&board);
        let lost: Vec<usize> = graded.impossible.iter().map(|(id, _)| id.0).collect();
        let kept: Vec<usize> = (0..board.inputs.len()).filter(|id| !lost.contains(id)).collect();
        let least = least_price(&board, &ties, &table, &kept);
        assert_eq!(Some(price_of(&board, &graded, &ties, &kept)), least, "seed {seed}: {graded:?}");
        let mut after = board.clone();
        graded.put_into(&mut after);
        for &id in &kept {
            assert_eq!(broken(&after, &after.inputs[id]), Vec::<&str>::new(), "seed {seed}: input {id}");
        }
        for &id in &lost {
            if ties.is_empty() {
                assert!(!table[id].contains(&true), "seed {seed}: input {id} is not impossible");
            }
            let beside: Vec<usize> = kept.iter().copied().chain([id]).collect();
            assert_eq!(least_price(&board, &ties, &table, &beside), None, "seed {seed}: input {id}");
        }
        for tie in &ties {
            let of = |part: &PartId| graded.parts.iter().find(|p| (p.input, p.role) == *part).unwrap().offer;
            assert!(tie.iter().all(|part| of(part) == of(&tie[0])), "seed {seed}: {graded:?}");
            tied += usize::from(tie.len() > 1);
        }
        let offers: Vec<_> = graded.parts.iter().filter_map(|part| part.offer).collect();
        mixed += usize::from(offers.iter().any(|offer| *offer != offers[0]));
        chosen += kept.len();
        impossible += lost.len();
    }
    assert!(
        chosen > 200 && impossible > 10 && tied > 15 && mixed > 15,
        "{chosen} {impossible} {tied} {mixed}"
    );
}

/// Two inputs that the correction joins: the error of the tank depends on the grades of the divider, too.
#[test]
fn what_corrects_an_input_gets_its_grades_for_both() {
    let text = "ambient: { lowest: -10 °C, highest: 60 °C }
supply: { lowest: 12 V, usual: 12 V, highest: 14.4 V }
rails: { logic: { voltage: 5 V, tolerance: 1 % } }
converter: { bits: 12 }
limits: off
inputs:
  tank: { circuit: pull-up, sender: 10..200, excitation: supply, corrected_by: battery, pull_up: 560, top: 1k, bottom: 1k, \
                protection: none, limits: { error: 8.5 % } }
  battery: { circuit: divider, from: supply, measures: 0 V .. 16 V, top: 36k, bottom: 15k, protection: none }
";
    let mut board = read_text(text.as_bytes(), "b.yaml").unwrap();
    let offer = |share: f64, price| Offer {
        tolerance: Fraction(share),
        tempco: PerKelvin(0.0),
        ageing: Fraction(0.0),
        price: Price(price),
    };
    board.grades = vec![offer(0.02, 10), offer(0.002, 37)];
    let graded = grade(&board, &Needs { ties: &[], beside: None, together: None });
    assert!(graded.found.complete && graded.impossible.is_empty(), "{graded:?}");
    let parts: Vec<PartId> = (0..2).flat_map(|id| parts_of(&board, id)).collect();
    let mut trial = board.clone();
    let prices = all(2, parts.len()).filter_map(|choice| {
        for (&part, &offer) in parts.iter().zip(&choice) {
            put(&mut trial, part, &board.grades[offer]);
        }
        let holds = broken(&trial, &trial.inputs[0]).is_empty();
        holds.then(|| choice.iter().map(|&offer| board.grades[offer].price.0).sum::<u64>())
    });
    let prices: Vec<u64> = prices.collect();
    assert_eq!(Some(&graded.price.0), prices.iter().min());
    // Neither all of one nor all of the other, and one part of the divider at least is of the better one.
    assert!(graded.price.0 > 50 && graded.price.0 < 5 * 37, "{graded:?}");
    let of_battery = graded.parts.iter().filter(|part| part.input == InputId(1));
    assert!(of_battery.into_iter().any(|part| part.offer == Some(1)), "{graded:?}");
}

/// What all inputs together have to keep is looked at last, and joins them.
#[test]
fn what_holds_for_all_inputs_together_is_kept() {
    let text = "limits: off
inputs:
  a: { circuit: divider, measures: 0 V .. 10 V, top: 10k, bottom: 8k2, protection: none }
  b: { circuit: divider, measures: 0 V .. 10 V, top: 10k, bottom: 8k2, protection: none }
";
    let mut board = read_text(text.as_bytes(), "b.yaml").unwrap();
    let offer = |share: f64, price| Offer {
        tolerance: Fraction(share),
        tempco: PerKelvin(0.0),
        ageing: Fraction(0.0),
        price: Price(price),
    };
    board.grades = vec![offer(0.05, 10), offer(0.01, 20), offer(0.001, 50)];
    // The tolerances of all parts together, whatever that may be good for: two of 5 % and two of 1 %, since 50 for one part is
    // more than all of that gives back.
    let sum = |board: &Board| {
        let parts = board.inputs.iter().flat_map(|input| &input.parts);
        let there = parts.filter(|part| ["top", "bottom"].contains(&part.role.key()));
        there.map(|part| part.grade.tolerance.0).sum::<f64>() < 0.125
    };
    let graded = grade(&board, &Needs { ties: &[], beside: None, together: Some(&sum) });
    let offers: Vec<_> = graded.parts.iter().map(|part| part.offer.unwrap()).collect();
    assert_eq!((graded.price, offers), (Price(60), vec![0, 0, 1, 1]));
    assert!(graded.found.complete);
}

/// By hand: a divider of 10 kΩ and 10 kΩ, 8 bits, nothing else off. Grades of 1 % and 0.1 % without tempco and ageing.
/// The ratio of the divider is 1/2·(1 ± t), so that 0..10 V read 10 V off by 10·t plus what a count hides, 10 V / 256 or so.
const BY_HAND: &str = "board: by hand
rails: { logic: { voltage: 5 V, tolerance: 0 % } }
converter: { bits: 16, offset: 0 counts, gain: 0 %, inl: 0 counts, leakage: 0 A }
resistors: { tolerance: 1 %, tempco: 0 ppm/K, ageing: 0 %, grades: [{ tolerance: 1 %, price: 0.01 }, \
                       { tolerance: 0.1 %, price: 0.07 }] }
limits: off
inputs:
  a:
    circuit: divider
    measures: 0 V .. 9 V
    top: 10k
    bottom: 10k
    protection: none
    capacitor: none
    limits: { error: ALLOWED }
";

/// The error at 9 V is 9 V · ((1 − t_top·…)): with both of t it is 9·t, with one of 1 % and one of 0.1 % about half of each.
#[test]
fn grades_by_hand() {
    let price = |allowed: &str| {
        let board = read_text(BY_HAND.replace("ALLOWED", allowed).as_bytes(), "b.yaml").unwrap();
        let answer = answer_with_grades(&board, "design", None);
        let grades = answer.grades.unwrap();
        let tolerances: Vec<f64> = grades.parts.iter().map(|row| row.grade.tolerance).collect();
        (grades.verdict, grades.price, tolerances)
    };
    // 90 mV, 49.5 mV, 9 mV.
    assert_eq!(price("95 mV"), (Verdict::Holds, 0.02, vec![0.01, 0.01]));
    // Either part may be the better one: the first part has what stands first in the list.
    assert_eq!(price("51 mV"), (Verdict::Holds, 0.08, vec![0.01, 0.001]));
    assert_eq!(price("48 mV"), (Verdict::Holds, 0.14, vec![0.001, 0.001]));
    assert_eq!(price("8 mV"), (Verdict::Impossible, 0.14, vec![0.001, 0.001]));
}

#[test]
fn a_part_with_a_grade_of_its_own_keeps_it() {
    let text =
        BY_HAND.replace("ALLOWED", "51 mV").replace("top: 10k", "top: { value: 10k, tolerance: 0.1 % }");
    let board = read_text(text.as_bytes(), "b.yaml").unwrap();
    let answer = answer_with_grades(&board, "design", None);
    let grades = answer.grades.unwrap();
    let rows: Vec<_> = grades.parts.iter().map(|row| (row.grade.tolerance, row.price)).collect();
    assert_eq!(rows, [(0.001, None), (0.01, Some(0.01))]);
    assert_eq!(grades.price, 0.01);
}

/// Parts that track are of one reel, of any inputs: they share a grade, and keep one together that one of them has.
#[test]
fn parts_that_track_share_a_grade() {
    let text = BY_HAND
        .replace("ALLOWED", "95 mV")
        .replace("top: 10k", "top: { value: 10k, tracks: reel }")
        .replace("bottom: 10k", "bottom: { value: 10k, tracks: reel }");
    let tolerances = |text: &str| {
        let board = read_text(text.as_bytes(), "b.yaml").unwrap();
        let grades = answer_with_grades(&board, "design", None).grades.unwrap();
        grades.parts.iter().map(|row| (row.grade.tolerance, row.price.is_some())).collect::<Vec<_>>()
    };
    // A common factor leaves a ratio as it is: the cheapest does, however small the error may be.
    for allowed in ["95 mV", "1 mV"] {
        assert_eq!(tolerances(&text.replace("95 mV", allowed)), [(0.01, true); 2]);
    }
    let own = text.replace("tracks", "tolerance: 0.2 %, tracks");
    assert_eq!(tolerances(&own), [(0.002, false); 2]);
}

/// By hand, with the divider of [`BY_HAND`]: at 4.03 V a reading may be 40 mV low with 1 % in both parts, 22 mV with 1 % in one,
/// so that an alarm below 4 V is quiet there with the second only.
#[test]
fn alarms_are_kept_like_limits() {
    let text = BY_HAND.replace("ALLOWED", "1 V") + "    alarms: { low: { below: 4, quiet_at: QUIET } }\n";
    let found = |quiet: &str| {
        let board = read_text(text.replace("QUIET", quiet).as_bytes(), "b.yaml").unwrap();
        let answer = answer_with_grades(&board, "design", None);
        (answer.verdict, answer.grades.unwrap().price)
    };
    assert_eq!(found("4.05"), (Verdict::Holds, 0.02));
    assert_eq!(found("4.03"), (Verdict::Holds, 0.08));
    assert_eq!(found("4.01"), (Verdict::Holds, 0.14));
    assert_eq!(found("4.001").0, Verdict::Impossible);
}

/// A launch with an input for which no grade does, one that needs a better one, and one that limits nothing.
const LAUNCH: &str = "board: launch
ambient: { lowest: -10 °C, highest: 70 °C }
rails: { logic: { voltage: 5 V, tolerance: 2 % } }
converter: { bits: 10 }
resistors: { grades: [{ tolerance: 5 %, tempco: 200 ppm/K, ageing: 3 %, price: 0.004 }, { tolerance: 1 %, price: 0.009 }, \
                      { tolerance: 0.1 %, tempco: 25 ppm/K, ageing: 0.3 %, price: 0.11 }] }
inputs:
  diesel:
    circuit: pull-up
    sender: 240..33
    pull_up: choose
    limits: { error: 7.6 % }
  water:
    circuit: pull-up
    sender: 240..33
    pull_up: choose
    limits: { error: 0.5 % }
  battery:
    circuit: divider
    from: supply
    measures: 0 V .. 32 V
    top: { choose: 10k .. 100k, series: E12 }
    bottom: 11k
    capacitor: choose
";

#[test]
fn an_impossible_input_leaves_the_others_answered() {
    let board = read_text(LAUNCH.as_bytes(), "b.yaml").unwrap();
    let answer = answer_with_grades(&board, "design", None);
    assert_eq!(answer.verdict, Verdict::Impossible);
    let grades = answer.grades.as_ref().unwrap();
    let verdict = |name: &str| grades.inputs.0.iter().find(|(other, _)| other == name).unwrap().1.verdict;
    assert_eq!(verdict("diesel"), Verdict::Holds);
    assert_eq!(verdict("water"), Verdict::Impossible);
    assert_eq!(verdict("battery"), Verdict::Holds);
    let water = &grades.inputs.0[1].1;
    let input = |name: &str| &answer.inputs.0.iter().find(|(other, _)| other == name).unwrap().1;
    // What is printed of the input is what it is with the best grades.
    assert_eq!(water.error_at_best, water.error);
    assert_eq!(Some(input("water").error.unwrap().greatest), water.error);
    assert!(water.error.unwrap() > 0.5 && water.error < water.error_before, "{water:?}");
    assert_eq!(input("water").verdict, Verdict::Fails);
    assert_eq!(input("diesel").verdict, Verdict::Holds);
    // Nothing there limits an error: every part but those that other limits need is of the cheapest grade.
    let battery: Vec<_> = grades.parts.iter().filter(|row| row.input == "battery").collect();
    assert!(battery.iter().any(|row| row.price == Some(0.004)), "{battery:?}");
    let text = render(&answer, Format::Text);
    assert!(text.starts_with("launch: no choice of grades keeps all limits\n"), "{text}");
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("IMPOSSIBLE: water: no grades of the list keep its limits: with the best for every"),
        "{text}"
    );
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

/// The rows of an answer that a board without choice gives, too.
fn comparable(answer: &serde_json::Value, input: &str) -> serde_json::Value {
    let input = &answer["inputs"][input];
    let keys = ["verdict", "span", "resolution", "error", "limits", "checkpoints", "cases", "working_band"];
    let parts = input["parts"].as_object().unwrap().iter().filter(|(role, _)| *role != "capacitor");
    let parts: Vec<_> = parts.map(|(role, part)| (role, &part["ohm"], &part["tolerance"])).collect();
    let pairs = keys.map(|key| input[key].clone());
    serde_json::json!({ "parts": parts, "rest": pairs })
}

#[test]
fn grades_go_from_design_over_the_fitted_file_to_check() {
    let folder = TempDir::new().unwrap();
    let text = LAUNCH.replace("error: 0.5 %", "error: 7.7 %");
    fs::write(folder.path().join("b.yaml"), &text).unwrap();
    let design = run_in(folder.path(), "design b.yaml --grades --output f.yaml --format json");
    assert_eq!(
        (design.status, design.messages.as_str()),
        (0, "f.yaml: fitted values written\n"),
        "{}",
        design.results
    );
    let fitted = fs::read_to_string(folder.path().join("f.yaml")).unwrap();
    assert!(fitted.contains("Ω, tolerance: 1 %, tempco: 100 ppm/K, ageing: 1 % }"), "{fitted}");
    let check = run_in(folder.path(), "check b.yaml --fitted f.yaml --boards 0 --format json");
    assert_eq!(check.status, 0, "{}{}", check.results, check.messages);
    let (design, check) = (parsed(&design.results), parsed(&check.results));
    for input in ["diesel", "water", "battery"] {
        assert_eq!(comparable(&design, input), comparable(&check, input), "{input}");
    }
    assert_eq!(design["rails"], check["rails"]);
    // Without the grades the limits would not hold with what the brief says of all parts, or cost would not matter.
    let tolerances: Vec<f64> =
        design["grades"]["parts"].as_array().unwrap().iter().map(|row| number(&row["tolerance"])).collect();
    assert!(tolerances.iter().any(|tolerance| *tolerance != tolerances[0]), "{tolerances:?}");
    // The file is one that may be written over.
    assert_eq!(run_in(folder.path(), "design b.yaml --grades --output f.yaml").status, 0);
}

#[test]
fn the_same_question_gives_the_same_bytes() {
    for format in [Format::Text, Format::Json] {
        let once = || {
            let board = read_text(LAUNCH.as_bytes(), "b.yaml").unwrap();
            render(&answer_with_grades(&board, "design", None), format)
        };
        assert_eq!(once(), once());
    }
}

/// The order of the list decides between equals; the price does not depend on it.
#[test]
fn the_order_of_the_list_does_not_change_the_price() {
    let price = |text: &str| {
        let board = read_text(text.as_bytes(), "b.yaml").unwrap();
        answer_with_grades(&board, "design", None).grades.unwrap().price
    };
    let turned = BY_HAND.replace(
        "{ tolerance: 1 %, price: 0.01 }, { tolerance: 0.1 %, price: 0.07 }",
        "{ tolerance: 0.1 %, price: 0.07 }, { tolerance: 1 %, price: 0.01 }",
    );
    assert_ne!(turned, BY_HAND);
    for allowed in ["95 mV", "51 mV", "48 mV"] {
        assert_eq!(price(&turned.replace("ALLOWED", allowed)), price(&BY_HAND.replace("ALLOWED", allowed)));
    }
}

#[test]
fn without_a_limit_of_error_there_is_nothing_to_choose_grades_for() {
    let folder = TempDir::new().unwrap();
    fs::write(
        folder.path().join("b.yaml"),
        "board: b\nlimits: off\ninputs:\n  a: { circuit: direct, measures: 0..5 }\n",
    )
    .unwrap();
    let run = run_in(folder.path(), "design b.yaml --grades");
    assert_eq!((run.status, run.results.as_str()), (2, ""));
    assert!(
        run.messages.starts_with(
            "b.yaml:3:1: inputs: found no limit of `error`; expected what grades are chosen for: how far the reading of \
             at least one input may be off, such as limits: { error: 5 % } beside it"
        ),
        "{}",
        run.messages
    );
    // Without the flag nothing is said.
    assert_eq!(run_in(folder.path(), "design b.yaml").status, 0);
}

#[test]
fn an_invented_price_list_is_said_to_be_one() {
    let folder = TempDir::new().unwrap();
    let text = "board: b\ninputs:\n  a: { circuit: pull-up, sender: 240..33, pull_up: choose, limits: { error: 9 % } }\n";
    fs::write(folder.path().join("b.yaml"), text).unwrap();
    let run = run_in(folder.path(), "design b.yaml --grades --format json");
    assert_eq!(run.status, 0, "{}", run.messages);
    let answer = parsed(&run.results);
    let assumed = answer["assumed"].as_array().unwrap();
    let list = assumed.iter().find(|row| row["key"] == "resistors.grades").unwrap();
    assert!(
        list["value"].as_str().unwrap().starts_with("an invented price list: 5 % with 200 ppm/K"),
        "{list}"
    );
    assert!(answer["remarks"][0].as_str().unwrap().starts_with("the prices of the grades are invented"));
    assert_eq!(answer["grades"]["same_for_all"].as_array().unwrap().len(), 5);
    // Not where nobody asked for grades.
    let plain = run_in(folder.path(), "design b.yaml --format json");
    assert!(
        !plain.results.contains("invented") && !plain.results.contains("\"grades\""),
        "{}",
        plain.results
    );
}

/// A worse tolerance may break any limit: here the current into the pin, with an error that allows everything.
#[test]
fn every_limit_is_kept_not_only_the_error() {
    let text = "board: b
rails: { logic: { voltage: 5 V, tolerance: 0 % } }
resistors: { grades: [{ tolerance: 5 %, tempco: 0 ppm/K, ageing: 0 %, price: 0.01 }, \
                      { tolerance: 1 %, tempco: 0 ppm/K, ageing: 0 %, price: 0.02 }] }
supply: { contact: 29 V }
inputs:
  a:
    circuit: pull-up
    sender: 240..33
    pull_up: 1k
    protection: 24k
    capacitor: none
    limits: { error: 1000 %, source_resistance: off, settling: off, pin_current: 1.2 mA }
";
    // By hand, board off: (29 V − 0.5 V) / 24 kΩ = 1.1875 mA; 1.25 mA with 5 % less, 1.1995 mA with 1 % less.
    let asked = {
        let folder = TempDir::new().unwrap();
        fs::write(folder.path().join("b.yaml"), text).unwrap();
        parsed(&run_in(folder.path(), "design b.yaml --grades --format json").results)
    };
    let rows = asked["grades"]["parts"].as_array().unwrap();
    let tolerances: Vec<f64> = rows.iter().map(|row| number(&row["tolerance"])).collect();
    assert_eq!(tolerances, [0.05, 0.01], "{asked}");
}

/// The answer without grades is as ever where a brief has a list and nobody asks for grades.
#[test]
fn a_list_alone_changes_nothing() {
    let with = read_text(LAUNCH.as_bytes(), "b.yaml").unwrap();
    let line = LAUNCH.lines().find(|line| line.starts_with("resistors")).unwrap();
    let without = read_text(LAUNCH.replace(line, "resistors: {}").as_bytes(), "b.yaml").unwrap();
    let shown = |board: &Board| {
        let mut answer = answer(board, "design");
        answer.assumed.clear();
        render(&answer, Format::Json)
    };
    assert_eq!(shown(&with), shown(&without));
}

/// Two inputs with the board off: 16 V less 0.5 V through 10 kΩ each, 1.55 mA nominal into the rail of the clamps. By hand:
/// 3.263 mA with 5 %, 3.131 mA with 1 %, 3.197 mA with one of each.
#[test]
fn what_all_inputs_feed_back_together_is_kept() {
    let text = "board: b
supply: { lowest: 9 V, usual: 13 V, highest: 16 V, contact: 16 V }
rails: { logic: { voltage: 5 V, tolerance: 0 % } }
converter: { leakage: 0 A }
resistors: { grades: [{ tolerance: 5 %, tempco: 0 ppm/K, ageing: 0 %, price: 0.01 }, \
                      { tolerance: 1 %, tempco: 0 ppm/K, ageing: 0 %, price: 0.02 }] }
limits: off
inputs:
  a: { circuit: direct, from: supply, measures: 0 V .. 16 V, protection: 10k, \
          limits: { rail_backfeed: ALLOWED, error: 1000 V } }
  b: { circuit: direct, from: supply, measures: 0 V .. 16 V, protection: 10k }
";
    let tolerances = |allowed: &str| {
        let board = read_text(text.replace("ALLOWED", allowed).as_bytes(), "b.yaml").unwrap();
        let answer = answer_with_grades(&board, "design", None);
        let grades = answer.grades.unwrap();
        assert_eq!(grades.search.proof, "complete");
        let tolerances = grades.parts.iter().map(|row| row.grade.tolerance).collect::<Vec<_>>();
        (answer.verdict, tolerances)
    };
    assert_eq!(tolerances("3.3 mA"), (Verdict::Holds, vec![0.05, 0.05]));
    assert_eq!(tolerances("3.2 mA"), (Verdict::Holds, vec![0.05, 0.01]));
    assert_eq!(tolerances("3.14 mA"), (Verdict::Holds, vec![0.01, 0.01]));
    // More than any grade keeps is what it is without grades: the limit does not hold.
    assert_eq!(tolerances("3 mA").0, Verdict::Fails);
}
