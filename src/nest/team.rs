//! Two streams of the search that meet at fixed amounts of work.
//!
//! There are always two, whatever the number of threads, and they exchange their best lengths only
//! when both have made their moves of the round: so one thread and two give the same layouts.

use super::clock::Clock;
use super::problem::Progress;
use super::search::Search;
use super::state::{Placing, State};
use super::worker::{Goal, Worker};

/// Streams, whatever the number of threads.
const STREAMS: usize = 2;

/// Moves of a stream between two meetings; the try at hand is finished first, and the other stream waits
/// for that: a fifth of two threads' time when they met every 4,000.
const ROUND: u64 = 20_000;

/// What all searches of one run share.
pub(super) struct Run<'a> {
    pub clock: Clock<'a>,
    pub threads: usize,
    pub seed: u64,
    pub moves: u64,
    pub evaluations: u64,
    /// Moves that the whole run may make; `None` when only time limits it.
    pub most: Option<u64>,
}

impl Run<'_> {
    /// Moves left.
    pub fn left(&self) -> u64 {
        self.most.map_or(u64::MAX, |m| m.saturating_sub(self.moves))
    }

    /// Calls `work` for each stream, side by side if there are threads for it.
    pub fn side_by_side<T: Send>(&self, streams: &mut [T], work: impl Fn(&mut T) + Sync) {
        if self.threads > 1 {
            std::thread::scope(|scope| {
                for stream in streams {
                    scope.spawn(|| work(stream));
                }
            });
        } else {
            streams.iter_mut().for_each(work);
        }
    }
}

/// Makes the valid layout in `state` shorter along the goal, for at most `moves` moves in all.
pub(super) fn gather<'w>(
    state: State<'w>,
    kinds: &[usize],
    pinned: &[bool],
    goal: Goal,
    moves: u64,
    run: &mut Run<'_>,
) -> State<'w> {
    let mut workers: Vec<Worker<'w>> = (0..STREAMS)
        .map(|k| {
            let seed = run.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(k as u64);
            Worker::new(Search::new(state.clone(), kinds.to_vec(), pinned.to_vec(), seed), goal)
        })
        .collect();
    let made = |workers: &[Worker<'_>]| workers.iter().map(|w| w.search.moves).sum::<u64>();
    let mut best = (f64::INFINITY, vec![]);
    loop {
        share(&mut workers, &mut best);
        report(&workers, best.0, state.fields.len(), run);
        let left = moves.saturating_sub(made(&workers));
        if left == 0 || run.clock.is_over() || workers.iter().any(Worker::is_done) {
            break;
        }
        let before = made(&workers);
        let most = (left / STREAMS as u64).max(1);
        let round = most.min(ROUND);
        run.side_by_side(&mut workers, |w| w.explore(round, most, &run.clock));
        if made(&workers) == before {
            break;
        }
    }
    run.moves += made(&workers);
    run.evaluations += workers.iter().map(|w| w.search.scratch.evaluations).sum::<u64>();
    let mut found = state;
    for (i, &to) in best.1.iter().enumerate() {
        if found.items[i] != to {
            found.put(i, to);
        }
    }
    found
}

fn share(workers: &mut [Worker<'_>], best: &mut (f64, Vec<Placing>)) {
    for w in workers.iter() {
        if w.used < best.0 {
            *best = (w.used, w.best.clone());
        }
    }
    for w in workers.iter_mut() {
        w.adopt(&best.1, best.0);
    }
}

fn report(workers: &[Worker<'_>], length: f64, sheets: usize, run: &Run<'_>) {
    if let Some(progress) = run.clock.control.progress {
        let moves = run.moves + workers.iter().map(|w| w.search.moves).sum::<u64>();
        progress(Progress { moves, of: run.most, sheets, length });
    }
}
