//! Values shared by all inputs of a board: against every choice there is, and as a user meets them.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::fs;

use itertools::Itertools;
use ohmwright::answer::{FamilyAnswer, Verdict};
use ohmwright::board::{Aim, Board, Choice, Input};
use ohmwright::brief::read_text;
use ohmwright::circuit::{Scene, Values};
use ohmwright::examine::{Sharing, answer_shared};
use ohmwright::limits::checks_of;
use ohmwright::reading::Nominal;
use ohmwright::share::values::{Effort, Score, Tariff, Task, Value, Way, share};
use ohmwright::worst::least_span;
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use support::program::run_in;
use tempfile::TempDir;

const EFFORT: Effort = Effort { nodes: 100_000, until: None };

fn way(values: &[usize], loss: u64) -> Way {
    let mut uses: Vec<(usize, u64)> = Vec::new();
    for &value in values.iter().sorted() {
        match uses.last_mut() {
            Some((last, count)) if *last == value => *count += 1,
            _ => uses.push((value, 1)),
        }
    }
    Way { uses, loss, rank: 0 }
}

/// A random task; of some the pieces are counted, and of some a few picks are forbidden.
fn task(random: &mut Xoshiro256PlusPlus) -> Task {
    let count = random.random_range(3..12);
    let is_priced = random.random_bool(0.4);
    let tariff = |random: &mut Xoshiro256PlusPlus| Tariff {
        price: random.random_range(0..9),
        quantity: random.random_bool(0.5).then(|| random.random_range(0..30)),
        pack: random.random_range(1..20),
    };
    let values = (0..count).map(|_| Value {
        given: u64::from(random.random_bool(0.1)),
        tariff: is_priced.then(|| tariff(random)),
    });
    let values: Vec<Value> = values.collect();
    let inputs = (0..random.random_range(1..5)).map(|_| {
        (0..random.random_range(1..9))
            .map(|_| {
                let parts: Vec<usize> =
                    (0..random.random_range(0..4)).map(|_| random.random_range(0..count)).collect();
                // Few losses, so that there are ties.
                way(&parts, random.random_range(0..6))
            })
            .collect_vec()
    });
    let inputs = inputs.collect_vec();
    let forbidden = if random.random_bool(0.3) && inputs.len() > 1 {
        (0..random.random_range(1..4))
            .map(|_| {
                let mut sets: Vec<(usize, usize)> =
                    inputs.iter().map(|ways| random.random_range(0..ways.len())).enumerate().collect();
                sets.truncate(2);
                sets
            })
            .collect()
    } else {
        Vec::new()
    };
    Task { inputs, values, batch: random.random_range(1..6), forbidden }
}

/// The score by plain counting.
fn counted(task: &Task, picks: &[usize]) -> Score {
    let mut score = Score::default();
    for (value, about) in task.values.iter().enumerate() {
        let uses = task.inputs.iter().zip(picks).flat_map(|(ways, &pick)| &ways[pick].uses);
        let board: u64 = uses.filter(|(other, _)| *other == value).map(|(_, count)| count).sum();
        let pieces = task.batch * (board + about.given);
        score.values += u64::from(pieces > 0);
        let Some(tariff) = about.tariff else { continue };
        // What is missing is not paid for.
        let there = pieces.min(tariff.quantity.unwrap_or(pieces));
        let mut bought = 0;
        while bought < there {
            bought += tariff.pack;
            score.price += tariff.pack * tariff.price;
        }
        score.short += pieces - there;
    }
    score.loss = task.inputs.iter().zip(picks).map(|(ways, &pick)| ways[pick].loss).sum();
    score
}

#[test]
fn no_other_choice_is_better() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(1);
    let mut impossible = 0;
    for round in 0..3000 {
        let task = task(&mut random);
        let all = task.inputs.iter().map(|ways| 0..ways.len()).multi_cartesian_product();
        let allowed =
            |picks: &Vec<usize>| !task.forbidden.iter().any(|set| set.iter().all(|&(i, w)| picks[i] == w));
        let order = |score: &Score| (score.short, score.price, score.values, score.loss);
        let best = all.filter(allowed).map(|picks| counted(&task, &picks)).min_by_key(order);
        let found = share(&task, EFFORT);
        let (Some(best), Some(found)) = (&best, &found) else {
            assert!(best.is_none() && found.is_none(), "{round}: {best:?} {found:?}");
            impossible += 1;
            continue;
        };
        assert!(found.is_fewest_proven && found.is_loss_proven, "{round}: {found:?}");
        let score = counted(&task, &found.picks);
        assert_eq!(score, *best, "{round}");
        assert_eq!(score, found.score, "{round}");
        assert!(found.least_values <= score.values);
        if task.values.iter().all(|value| value.tariff.is_none()) {
            assert_eq!(found.least_values, score.values, "{round}");
        }
    }
    assert!(impossible < 100);
}

/// A brief with these inputs.
fn brief_of(name: &str, inputs: &str) -> String {
    format!(
        "board: {name}\nsupply: {{ lowest: 9 V, highest: 16 V, contact: 24 V, surge: 28 V }}\n\
         resistors: {{ series: E6, between: 10 Ω .. 100 kΩ }}\ninputs:\n{inputs}"
    )
}

fn board(text: &str) -> Board {
    read_text(text.as_bytes(), "b.yaml").unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

/// A random input of few combinations.
fn random_input(random: &mut Xoshiro256PlusPlus, name: &str) -> String {
    let mut of = |low: f64, high: f64| random.random_range(low..high).round();
    match of(0.0, 3.0) as u8 {
        0 => format!(
            "  {name}:\n    circuit: pull-up\n    sender: {} .. {}\n    pull_up: {{ choose: 100 .. 1k }}\n    \
             protection: {{ choose: 10k .. 47k }}\n",
            of(150.0, 500.0),
            of(5.0, 80.0)
        ),
        1 => format!(
            "  {name}:\n    circuit: divider\n    from: supply\n    measures: 0 V .. {} V\n    \
             top: {{ choose: 4k7 .. 100k }}\n    bottom: {{ choose: 1k .. 22k }}\n    protection: none\n",
            of(12.0, 36.0)
        ),
        _ => format!(
            "  {name}:\n    circuit: pull-up\n    sender: {} .. {}\n    pull_up: {{ choose: 1k .. 100k }}\n    \
             protection: {{ choose: 10k .. 47k }}\n    aim: resolution\n",
            of(5000.0, 9000.0),
            of(200.0, 2000.0)
        ),
    }
}

/// All combinations of an input with their aims, as far as they keep every limit: each examined as a fitted input.
fn all_that_fit(board: &Board, input: &Input) -> Vec<(Vec<f64>, f64)> {
    let open = input.parts.iter().filter_map(|part| match &part.choice {
        Choice::Choose { candidates, .. } => Some((part.role, candidates)),
        _ => None,
    });
    let open = open.collect_vec();
    let choices = open.iter().map(|(_, candidates)| candidates.iter()).multi_cartesian_product();
    let fitting = choices.filter_map(|choice| {
        let mut values = Values::given(input);
        for ((role, _), preferred) in open.iter().zip(&choice) {
            values.set(*role, Some(preferred.ohms));
        }
        let scene = Scene::new(board, input, &values);
        let checks = checks_of(board, input, &scene);
        let limited = checks.iter().filter(|check| check.allowed.is_some());
        let holds =
            limited.into_iter().all(|check| check.worst(input, &scene).is_none_or(|w| check.holds(w.value)));
        let [first, last] = &scene.range_ends;
        let sign = input.direction();
        let aim = match input.aim {
            Aim::Span => least_span(first, last, [&first.resistances, &last.resistances], sign).span.0 * sign,
            _ => {
                Nominal::new(input, &scene.nominal, &scene.nominal.resistances)
                    .least_slope(input.zone())
                    .value
            }
        };
        holds.then(|| (choice.iter().map(|preferred| preferred.ohms.0).collect(), aim.max(0.0)))
    });
    fitting.collect()
}

/// The fewest values and then the least sum of losses, over all combinations of all inputs.
fn fewest(ways: &[Vec<(Vec<f64>, f64)>], most_loss: f64) -> (usize, u64) {
    let near = ways.iter().map(|ways| {
        let best = ways.iter().map(|(_, aim)| *aim).fold(0.0, f64::max);
        let tie = 1e-9 * best.max(1.0);
        let with_loss = ways
            .iter()
            .map(|(values, aim)| (values, if best - aim <= tie { 0.0 } else { (best - aim) / best }));
        let near = with_loss.filter(|(_, loss)| *loss <= most_loss * (1.0 + 1e-9));
        near.map(|(values, loss)| (values, (loss.max(0.0) * 1e4).round() as u64)).collect_vec()
    });
    let near = near.collect_vec();
    let all = near.iter().map(|ways| ways.iter()).multi_cartesian_product();
    let count = |choice: Vec<&(&Vec<f64>, u64)>| {
        let values =
            choice.iter().flat_map(|(values, _)| values.iter()).map(|ohms| ohms.to_bits()).unique().count();
        (values, choice.iter().map(|(_, loss)| loss).sum())
    };
    all.map(count).min().unwrap_or_default()
}

const ASKED: Sharing = Sharing { most_loss: 0.05, effort: EFFORT, batch: 1 };

#[test]
fn a_board_needs_no_more_values_than_any_choice_does() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(7);
    let (mut compared, mut saved) = (0, 0);
    for round in 0..90 {
        let inputs = (0..random.random_range(2..=3)).map(|i| random_input(&mut random, &format!("in {i}")));
        let board = board(&brief_of("random", &inputs.collect::<String>()));
        let ways = board.inputs.iter().map(|input| all_that_fit(&board, input)).collect_vec();
        if ways.iter().any(Vec::is_empty) {
            continue;
        }
        let family = answer_shared(std::slice::from_ref(&board), "design", None, ASKED);
        let share = family.share.unwrap();
        for row in &share.trade {
            let (values, losses) = fewest(&ways, row.loss_allowed);
            assert_eq!(row.different_values, values as u64, "{round} at {}", row.loss_allowed);
            assert_eq!((row.proof, row.least_possible), ("complete", values as u64));
            let steps = (row.sum_of_losses * 1e4 - losses as f64).abs();
            assert!(steps <= 1.5, "{round} at {}: {} {losses}", row.loss_allowed, row.sum_of_losses);
        }
        // What is chosen is what the answer for each input says, and each loses what is said.
        for ((name, input), ways) in family.boards[0].inputs.0.iter().zip(&ways) {
            let (_, shared) = share.inputs.0.iter().find(|(other, _)| other == name).unwrap();
            let best = ways.iter().map(|(_, aim)| *aim).fold(0.0, f64::max);
            assert!((shared.own_aim - best).abs() <= 1e-9 * best, "{round} {name}");
            assert!(shared.loss <= 0.05 + 1e-9);
            assert_eq!(input.verdict, Verdict::Holds);
        }
        compared += 1;
        saved += share.alone.saturating_sub(share.different_values);
    }
    assert!(compared > 50 && saved > 30, "{compared} {saved}");
}

#[test]
fn several_boards_share_as_one_board_would() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(8);
    for round in 0..20 {
        let inputs: Vec<String> = (0..4).map(|i| random_input(&mut random, &format!("in {i}"))).collect();
        let one = board(&brief_of("one", &inputs.concat()));
        let fore = board(&brief_of("fore", &inputs[..2].concat()));
        let aft = board(&brief_of("aft", &inputs[2..].concat()));
        let together = answer_shared(&[fore, aft], "design", None, ASKED);
        let single = answer_shared(&[one], "design", None, ASKED);
        assert_eq!(together.boards.len(), 2);
        let trade = |family: &FamilyAnswer| {
            let rows = &family.share.as_ref().unwrap().trade;
            rows.iter().map(|row| (row.different_values, (row.sum_of_losses * 1e4).round())).collect_vec()
        };
        assert_eq!(trade(&together), trade(&single), "{round}");
    }
}

/// By hand: 240 Ω to 33 Ω against R from 5 V spans 5 V·(240/(240 + R) − 33/(33 + R)), which is greatest at 89 Ω. Of E24
/// 91 Ω is best, 0.458947 of 5 V; 100 Ω gives 0.457762, which is 0.26 % less. A part of 100 Ω is on the board anyway.
#[test]
fn a_value_that_is_given_is_used_again() {
    let text = "board: b\nconverter: { leakage: 0 A, gain: 0 %, offset: 0 counts, inl: 0 counts }\n\
                resistors: { tolerance: 0.001 %, tempco: 0, ageing: 0 % }\nlimits: off\ninputs:\n  tank:\n    \
                circuit: pull-up\n    sender: 240 .. 33\n    pull_up: choose\n    protection: none\n  other:\n    \
                circuit: pull-up\n    sender: 240 .. 33\n    pull_up: 100\n    protection: none\n";
    let board = board(text);
    let family = answer_shared(&[board], "design", None, ASKED);
    let share = family.share.unwrap();
    assert_eq!((share.alone, share.different_values, share.proof), (2, 1, "complete"));
    let (_, tank) = &share.inputs.0[0];
    assert_eq!(tank.own_best.0[0].1.unwrap().ohm, 91.0);
    assert!((tank.loss - 0.0026).abs() < 2e-4, "{}", tank.loss);
    assert_eq!(share.values[0].used_by, ["tank pull_up", "other pull_up"]);
    let values =
        |loss: f64| share.trade.iter().find(|row| row.loss_allowed == loss).unwrap().different_values;
    assert_eq!((values(0.0), values(0.01)), (2, 1));
}

#[test]
fn parts_of_two_sizes_are_two_reels() {
    let input = |name: &str, size: &str| {
        format!(
            "  {name}: {{ circuit: pull-up, sender: 240 .. 33, pull_up: {{ choose: 100 .. 1k, size: {size} }}, \
             protection: none, limits: off }}\n"
        )
    };
    let values = |a: &str, b: &str| {
        let text = brief_of("sizes", &(input("one", a) + &input("two", b)));
        answer_shared(&[board(&text)], "design", None, ASKED).share.unwrap().different_values
    };
    assert_eq!(values("1206", "1206"), 1);
    assert_eq!(values("1206", "2512"), 2);
}

#[test]
fn a_shared_board_is_written_and_checks() {
    let folder = TempDir::new().unwrap();
    let inputs = |seed: u64| {
        let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
        (0..3).map(|i| random_input(&mut random, &format!("in {i}"))).collect::<String>()
    };
    fs::write(folder.path().join("fore.yaml"), brief_of("fore", &inputs(3))).unwrap();
    fs::write(folder.path().join("aft.yaml"), brief_of("aft", &inputs(4))).unwrap();
    let arguments = "design fore.yaml aft.yaml --share --output f.yaml --output a.yaml --purchase list.csv";
    let run = run_in(folder.path(), arguments);
    assert_eq!(run.status, 0, "{}{}", run.results, run.messages);
    assert!(
        run.results.contains("Shared values") && run.messages.contains("f.yaml: fitted values written"),
        "{}",
        run.messages
    );
    assert_eq!(run_in(folder.path(), arguments).results, run.results, "the same bytes");
    for (brief, fitted) in [("fore.yaml", "f.yaml"), ("aft.yaml", "a.yaml")] {
        let check = run_in(folder.path(), &format!("check {brief} --fitted {fitted} --boards 0"));
        assert_eq!(check.status, 0, "{}{}", check.results, check.messages);
    }
    // As many different values in the files as the answer says.
    let json = run_in(folder.path(), "design fore.yaml aft.yaml --share --format json");
    let json: serde_json::Value = serde_json::from_str(&json.results).unwrap();
    let text =
        ["f.yaml", "a.yaml"].map(|file| fs::read_to_string(folder.path().join(file)).unwrap()).concat();
    let parts = text.lines().filter(|line| line.starts_with("    ")).filter_map(|line| line.split_once(": "));
    let values = parts.map(|(_, value)| value).filter(|value| *value != "none").unique().count();
    assert_eq!(json["share"]["different_values"], values);
    assert_eq!(json["boards"].as_array().unwrap().len(), 2);
    assert!(json["purchase"].is_array());
    assert!(fs::read_to_string(folder.path().join("list.csv")).unwrap().lines().count() > values);
}

#[test]
fn questions_that_cannot_be_meant_are_refused() {
    let folder = TempDir::new().unwrap();
    let mut random = Xoshiro256PlusPlus::seed_from_u64(3);
    let input = random_input(&mut random, "in");
    fs::write(folder.path().join("a.yaml"), brief_of("a", &input)).unwrap();
    fs::write(folder.path().join("same.yaml"), brief_of("a", &input)).unwrap();
    fs::write(folder.path().join("b.yaml"), brief_of("b", &input)).unwrap();
    let wrong = [
        ("design a.yaml --loss 2%", "--share"),
        ("design a.yaml --share --loss 100%", "a share such as 5 %, from 0 % to less than 100 %"),
        ("design a.yaml --share --loss 5", "a share such as 5 %"),
        ("design a.yaml --share --effort 0", "--effort"),
        ("design a.yaml --share --grades", "--grades"),
        ("design a.yaml --effort 5", "--share"),
        ("design a.yaml b.yaml --output x.yaml", "one --output for each brief"),
        ("design a.yaml b.yaml --output x.yaml --output x.yaml", "another file for each"),
        ("design a.yaml b.yaml --output b.yaml --output x.yaml", "another file"),
        ("design a.yaml same.yaml --share", "boards of different names"),
        ("design a.yaml a.yaml", "boards of different names"),
        ("design a.yaml none.yaml", "none.yaml"),
    ];
    for (arguments, said) in wrong {
        let run = run_in(folder.path(), arguments);
        assert_eq!((run.status, run.results.as_str()), (2, ""), "{arguments}");
        assert!(run.messages.contains(said), "{arguments}: {}", run.messages);
        assert!(!folder.path().join("x.yaml").exists());
    }
}

#[test]
fn a_clock_is_said_to_make_a_difference() {
    let folder = TempDir::new().unwrap();
    let mut random = Xoshiro256PlusPlus::seed_from_u64(3);
    fs::write(folder.path().join("a.yaml"), brief_of("a", &random_input(&mut random, "in"))).unwrap();
    let run = run_in(folder.path(), "design a.yaml --share --time-limit 60");
    assert!(run.results.replace('\n', " ").contains("another run may differ"), "{}", run.results);
    let run = run_in(folder.path(), "design a.yaml --share");
    assert!(!run.results.contains("may differ"), "{}", run.results);
}

/// With the least effort something is found, and it is not called more than it is.
#[test]
fn little_effort_is_said_and_never_called_impossible() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(5);
    let mut stopped = 0;
    for _ in 0..60 {
        let inputs = (0..10).map(|_| {
            let way = |random: &mut Xoshiro256PlusPlus| {
                let parts: Vec<usize> = (0..3).map(|_| random.random_range(0..40)).collect();
                way(&parts, random.random_range(0..500))
            };
            (0..30).map(|_| way(&mut random)).collect()
        });
        let task = Task {
            inputs: inputs.collect(),
            values: vec![Value::default(); 40],
            batch: 1,
            forbidden: Vec::new(),
        };
        let found = share(&task, Effort { nodes: 1, until: None }).unwrap();
        assert!(found.least_values <= found.score.values);
        assert_eq!(found.score, task.score(&found.picks));
        stopped += u32::from(!found.is_fewest_proven);
        if found.is_fewest_proven {
            assert_eq!(found.least_values, found.score.values);
        }
    }
    assert!(stopped > 5, "{stopped}");
}

fn example(name: &str) -> Board {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    ohmwright::brief::read_file(&folder.join(name)).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Where nothing is gained nothing is given up: 27 kΩ in front of the pin, not one of the larger ones that lose as little.
#[test]
fn an_input_alone_keeps_its_own_best() {
    let board = board("inputs: { tank: { circuit: pull-up, sender: 240 .. 33, pull_up: choose } }");
    let alone = ohmwright::examine::answer(&board, "design");
    let family = answer_shared(&[board], "design", None, ASKED);
    let parts = |answer: &ohmwright::answer::Answer| format!("{:?}", answer.inputs.0[0].1.parts);
    assert_eq!(parts(&family.boards[0]), parts(&alone));
}

/// A larger protection would save one more value here, and let the alarm `empty` stay silent on some boards.
#[test]
fn alarms_that_the_best_choice_keeps_are_kept() {
    let board = example("river-launch.yaml");
    let family = answer_shared(&[board], "design", None, ASKED);
    let (_, diesel) = &family.boards[0].inputs.0[0];
    assert!(diesel.alarms.iter().all(|alarm| alarm.holds == Some(true)) && !diesel.alarms.is_empty());
    assert_eq!(family.verdict, Verdict::Holds);
}

#[test]
fn all_sets_of_parts_for_several_senders_count() {
    let board = example("fuel-senders.yaml");
    let family = answer_shared(&[board], "design", None, ASKED);
    let share = family.share.unwrap();
    let values = share.values.iter().map(|value| value.ohm).collect_vec();
    assert_eq!(values, [100.0, 110.0, 30_000.0], "one set has 100 Ω, the other 110 Ω");
    assert_eq!(share.different_values, 3);
}

/// The same question as one programme with a row for each way and value, every way whole, and one goal.
fn by_plain_programme(task: &Task) -> (u64, u64) {
    use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, microlp, variable};
    let mut variables = ProblemVariables::new();
    let there = task.values.iter().map(|_| variables.add(variable().binary())).collect_vec();
    let ways = task.inputs.iter().map(|ways| {
        let of_input = ways.iter().map(|_| variables.add(variable().binary()));
        of_input.collect_vec()
    });
    let ways = ways.collect_vec();
    let losses: Expression =
        task.inputs.iter().flatten().zip(ways.iter().flatten()).map(|(way, &x)| way.loss as f64 * x).sum();
    // A value is worth more than all losses together.
    let worth = 1.0 + task.inputs.iter().flatten().map(|way| way.loss).sum::<u64>() as f64;
    let values: Expression = there.iter().map(|&y| worth * y).sum();
    let mut model = variables.minimise(values + losses).using(microlp);
    for (ways, of_input) in task.inputs.iter().zip(&ways) {
        let sum: Expression = of_input.iter().map(|&x| Expression::from(x)).sum();
        model.add_constraint(constraint!(sum == 1));
        for (way, &x) in ways.iter().zip(of_input) {
            for &(value, _) in &way.uses {
                model.add_constraint(constraint!(x <= there[value]));
            }
        }
    }
    let solution = model.solve().unwrap();
    let is_taken = |x: &good_lp::Variable| solution.value(*x) > 0.5;
    let picks = ways.iter().map(|of_input| of_input.iter().position(is_taken).unwrap()).collect_vec();
    let score = counted(task, &picks);
    (score.values, score.loss)
}

#[test]
fn a_plain_programme_finds_nothing_better_on_medium_tasks() {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(9);
    for round in 0..25 {
        let likes = (0..6).map(|_| random.random_range(2..38_usize)).collect_vec();
        let inputs = (0..6).map(|_| {
            let own = (0..random.random_range(2..=3)).map(|_| likes[random.random_range(0..likes.len())]);
            let own = own.collect_vec();
            let way = |random: &mut Xoshiro256PlusPlus| {
                let parts = own.iter().map(|&like| like + random.random_range(0..5) - 2).collect_vec();
                way(&parts, random.random_range(0..500))
            };
            (0..15).map(|_| way(&mut random)).collect_vec()
        });
        let inputs = inputs.collect();
        let task = Task { inputs, values: vec![Value::default(); 40], batch: 1, forbidden: Vec::new() };
        let found = share(&task, EFFORT).unwrap();
        assert!(found.is_fewest_proven && found.is_loss_proven, "{round}");
        assert_eq!((found.score.values, found.score.loss), by_plain_programme(&task), "{round}");
    }
}
