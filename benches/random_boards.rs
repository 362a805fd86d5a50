//! Random boards a second: four parts, each with tolerance, change with temperature and ageing, five other sources, and
//! 21 checkpoints. The figure beside the time is boards.

use divan::{Bencher, counter::ItemsCount};
use ohmwright::circuit::{Outlook, Values};
use ohmwright::stackup::{Batch, Drawn, Draws, Stack, Trials};
use ohmwright::{board::Board, brief};

const BRIEF: &str = "
rails: { logic: { voltage: 5 V, tolerance: 0 % } }
converter: { inl: 0 counts }
inputs:
  one:
    circuit: pull-up
    sender: { resistance: 240 .. 33, tolerance: 3 % }
    ground_shift: 50 mV
    pull_up: 300
    top: 10k
    bottom: 33k
    protection: 10k
";

const BOARDS: u64 = 1_000_000;

fn main() {
    divan::main();
}

#[divan::bench(args = [1, 2])]
fn four_parts_and_21_checkpoints(bencher: Bencher, threads: usize) {
    let board: Option<Board> = brief::read_text(BRIEF.as_bytes(), "bench").ok();
    let Some(board) = board else { return };
    let input = &board.inputs[0];
    let values = Values::given(input);
    let Some(stack) = Stack::new(&board, input, &values, Outlook::Life) else { return };
    let points: Vec<f64> = (0..21).map(|k| f64::from(k) * 5.0).collect();
    let drawn = Drawn {
        values: &points,
        zone: input.zone(),
        allowed: Some(5.0),
        greatest: 20.0,
        draws: Draws::AsSpread,
    };
    bencher
        .counter(ItemsCount::new(BOARDS))
        .bench(|| Batch::draw(&stack, &drawn, &Trials { threads, ..Trials::new(BOARDS, 1) }));
}
