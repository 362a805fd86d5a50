//! A bar on standard error while random boards are drawn, if it takes long and somebody looks.

use std::sync::OnceLock;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

use crate::board::Board;
use crate::stackup::Trials;

/// A bar appears after this time; what takes less needs none.
const PATIENCE: Duration = Duration::from_secs(1);

/// The inputs of a board, each once for every sender that it has.
pub(super) fn inputs(board: &Board) -> usize {
    board.inputs.iter().map(|input| input.senders.len().max(1)).sum()
}

/// Does the work with trials that move a bar. Each of so many inputs draws its boards over life and on the bench. The bar
/// is drawn on a terminal only.
pub(super) fn shown<T>(trials: &Trials<'_>, inputs: usize, work: impl FnOnce(&Trials<'_>) -> T) -> T {
    let (start, all) = (Instant::now(), 2 * inputs as u64 * trials.boards);
    let (bar, done) = (OnceLock::new(), std::sync::atomic::AtomicU64::new(0));
    let progress = |boards: u64| {
        let done = boards + done.fetch_add(boards, std::sync::atomic::Ordering::Relaxed);
        if start.elapsed() > PATIENCE {
            bar.get_or_init(|| styled(all)).set_position(done);
        }
    };
    let found = work(&Trials { progress: &progress, ..*trials });
    if let Some(bar) = bar.get() {
        bar.finish_and_clear();
    }
    found
}

fn styled(all: u64) -> ProgressBar {
    let bar = ProgressBar::new(all);
    let template = "random boards {wide_bar} {percent} %, {eta} left";
    match ProgressStyle::with_template(template) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
