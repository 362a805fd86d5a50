//! Many random boards: drawn in chunks, each with a generator of its own, so that the same seed gives the same boards
//! whatever the number of threads.

use std::sync::atomic::{AtomicU64, Ordering};

use rand::SeedableRng;
use rand_xoshiro::Xoshiro256PlusPlus;

/// The generator: named, since the default ones of the library may change between its versions.
pub(super) type Generator = Xoshiro256PlusPlus;

/// Boards of one chunk.
const CHUNK: u64 = 4096;

/// How many random boards, and how they are drawn.
#[derive(Clone, Copy)]
pub struct Trials<'a> {
    /// How many.
    pub boards: u64,
    /// What the generators start from.
    pub seed: u64,
    /// Over how many threads the work is spread; the result does not depend on it.
    pub threads: usize,
    /// Told after each chunk how many boards it had.
    pub progress: &'a (dyn Fn(u64) + Sync),
}

impl std::fmt::Debug for Trials<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Trials")
            .field("boards", &self.boards)
            .field("seed", &self.seed)
            .finish_non_exhaustive()
    }
}

impl Trials<'_> {
    /// So many boards from a seed on every core that there is.
    pub fn new(boards: u64, seed: u64) -> Self {
        let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self { boards, seed, threads, progress: &|_| () }
    }

    /// Works through all chunks. What the threads give back comes in no order: it must not matter.
    pub(super) fn in_chunks<T: Send>(
        &self,
        start: impl Fn() -> T + Sync,
        work: impl Fn(&mut Generator, u64, &mut T) + Sync,
    ) -> Vec<T> {
        let chunks = self.boards.div_ceil(CHUNK);
        let next = AtomicU64::new(0);
        let run = || {
            let mut found = start();
            loop {
                let chunk = next.fetch_add(1, Ordering::Relaxed);
                if chunk >= chunks {
                    return found;
                }
                let boards = CHUNK.min(self.boards - chunk * CHUNK);
                work(&mut generator(self.seed, chunk), boards, &mut found);
                (self.progress)(boards);
            }
        };
        let threads = self.threads.clamp(1, usize::try_from(chunks.max(1)).unwrap_or(usize::MAX));
        if threads == 1 {
            return vec![run()];
        }
        std::thread::scope(|scope| {
            let others: Vec<_> = (1..threads).map(|_| scope.spawn(run)).collect();
            let mut found = vec![run()];
            found.extend(others.into_iter().filter_map(|other| other.join().ok()));
            found
        })
    }
}

/// The generator of one chunk: `seed_from_u64` mixes what it gets, so that neighbours have nothing in common.
fn generator(seed: u64, chunk: u64) -> Generator {
    Generator::seed_from_u64(seed.rotate_left(32) ^ chunk)
}
