//! How long a choice and an analysis take. Each choice prints its combinations and the boxes that were examined.
//!
//! To reach: three parts from E192 over six decades with all limits in 5 ms, then 1 ms; four parts from E96 in 50 ms,
//! then 20 ms.
#![allow(clippy::print_stdout, reason = "a bench reports to whoever runs it")]

use divan::Bencher;
use ohmwright::board::Board;
use ohmwright::brief;
use ohmwright::circuit::{Scene, Values};
use ohmwright::limits::checks_of;
use ohmwright::search::choose;
use ohmwright::share::{Found, Needs, grade};

/// Every limit is on; those that are off by default have a bound that leaves a choice.
const LIMITS: &str = "{ sender_current: 50 mA, wetting_current: 1 mA, supply_current: 50 mA, source_resistance: 40 kΩ, \
                      leakage_error: 10 counts, input_resistance: 50 Ω }";

fn main() {
    for (name, board) in [("three", three()), ("four", four()), ("divider", divider())] {
        if let Some(input) = board.inputs.first() {
            let outcome = choose(&board, input);
            println!("{name}: {} combinations, {} examined", outcome.combinations, outcome.examined);
        }
    }
    let board = sixteen_inputs();
    let graded = grade(&board, &Needs { ties: &[], beside: None, together: None });
    let Found { programmes, cuts, judged, .. } = graded.found;
    println!(
        "grades: {} inputs, {} parts, {} impossible; {judged} judged, {cuts} cuts, {programmes} programmes",
        board.inputs.len(),
        graded.parts.len(),
        graded.impossible.len()
    );
    divan::main();
}

/// A board from a brief.
#[allow(clippy::panic, reason = "a bench with a wrong brief has nothing to measure")]
fn board(input: &str, series: &str) -> Board {
    let text = format!(
        "board: bench\nresistors: {{ series: {series}, between: 1 Ω .. 1 MΩ }}\ninputs:\n  one:\n{input}    limits: {LIMITS}\n"
    );
    brief::read_text(text.as_bytes(), "bench").unwrap_or_else(|faults| panic!("{faults}"))
}

const SENDER: &str =
    "    circuit: pull-up\n    sender: 240 Ω .. 33 Ω\n    pull_up: choose\n    protection: choose\n";

fn three() -> Board {
    board(&format!("{SENDER}    shunt: choose\n"), "E192")
}

fn four() -> Board {
    board(&format!("{SENDER}    top: choose\n    bottom: choose\n"), "E96")
}

fn divider() -> Board {
    let input = "    circuit: divider\n    from: supply\n    measures: 0 V .. 32 V\n    top: choose\n    bottom: choose\n    \
                 protection: choose\n";
    let text = format!(
        "board: bench\nresistors: {{ series: E192, between: 1 Ω .. 1 MΩ }}\ninputs:\n  one:\n{input}"
    );
    brief::read_text(text.as_bytes(), "bench").unwrap_or_else(|_| three())
}

#[divan::bench]
fn three_parts_from_e192_over_six_decades(bencher: Bencher) {
    search(bencher, &three());
}

#[divan::bench]
fn four_parts_from_e96(bencher: Bencher) {
    search(bencher, &four());
}

#[divan::bench]
fn divider_from_e192(bencher: Bencher) {
    search(bencher, &divider());
}

/// A thermistor that is to be read between 60 °C and 110 °C, E192 over six decades.
fn thermistor(aim: &str) -> Board {
    let sender = "    circuit: pull-up\n    sender: { ntc: { resistance: 10 kΩ, beta: 3950 K }, range: -20 °C .. 120 °C }\n    \
                  pull_up: choose\n    protection: choose\n    capacitor: 1 µF\n    zone: 60 °C .. 110 °C\n";
    let text = format!(
        "board: bench\nresistors: {{ series: E192, between: 1 Ω .. 1 MΩ }}\nconverter: {{ bits: 12 }}\ninputs:\n  one:\n{sender}    \
         aim: {aim}\n"
    );
    brief::read_text(text.as_bytes(), "bench").unwrap_or_else(|_| three())
}

#[divan::bench(args = ["resolution", "error", "straight"])]
fn thermistor_by_its_unit(bencher: Bencher, aim: &str) {
    search(bencher, &thermistor(aim));
}

fn search(bencher: Bencher, board: &Board) {
    bencher.bench(|| board.inputs.first().map(|input| choose(divan::black_box(board), input)));
}

/// Every limit of a fitted input in every case, exactly.
#[divan::bench]
fn one_worst_case_analysis(bencher: Bencher) {
    let board =
        board(&SENDER.replace("protection: choose", "protection: 27 kΩ").replace("choose", "300 Ω"), "E24");
    bencher.bench(|| {
        let input = board.inputs.first()?;
        let scene = Scene::new(&board, input, &Values::given(input));
        let checks = checks_of(&board, input, &scene);
        Some(
            checks
                .iter()
                .filter_map(|check| check.worst(input, &scene))
                .map(|worst| worst.value)
                .sum::<f64>(),
        )
    });
}

/// A board of 16 inputs of two to four parts, with the values given, so that nothing but grades is chosen; five grades.
fn sixteen_inputs() -> Board {
    let sender = |i: usize| {
        format!(
            "  s{i}: {{ circuit: pull-up, sender: 240 Ω .. 33 Ω, pull_up: {} Ω, protection: 27k, limits: {{ error: {} % }} }}\n",
            300 + 10 * i,
            7.0 + 0.1 * i as f64
        )
    };
    let behind = |i: usize| {
        format!(
            "  b{i}: {{ circuit: pull-up, sender: 240 Ω .. 33 Ω, pull_up: {} Ω, top: 4k7, bottom: 10k, protection: 27k, \
             limits: {{ error: {} % }} }}\n",
            300 + 10 * i,
            8.5 + 0.2 * i as f64
        )
    };
    let divider = |i: usize| {
        format!(
            "  d{i}: {{ circuit: divider, measures: 0 V .. 32 V, extension: 43k, top: 22k, bottom: 11k, protection: 1k, \
             limits: {{ error: {} V }} }}\n",
            1.35 + 0.1 * i as f64
        )
    };
    let inputs: String = (0..6).map(sender).chain((0..5).map(behind)).chain((0..5).map(divider)).collect();
    let grades = "[{ tolerance: 5 %, tempco: 200 ppm/K, ageing: 3 %, price: 0.004 }, { tolerance: 1 %, price: 0.009 }, \
                  { tolerance: 0.5 %, tempco: 50 ppm/K, ageing: 0.5 %, price: 0.036 }, \
                  { tolerance: 0.1 %, tempco: 25 ppm/K, ageing: 0.3 %, price: 0.11 }, \
                  { tolerance: 0.05 %, tempco: 10 ppm/K, ageing: 0.1 %, price: 0.5 }]";
    let text = format!("board: bench\nlimits: off\nresistors: {{ grades: {grades} }}\ninputs:\n{inputs}");
    brief::read_text(text.as_bytes(), "bench").unwrap_or_else(|_| three())
}

/// The cheapest grades of a whole board.
#[divan::bench]
fn grades_of_sixteen_inputs(bencher: Bencher) {
    let board = sixteen_inputs();
    bencher.bench(|| grade(divan::black_box(&board), &Needs { ties: &[], beside: None, together: None }));
}
