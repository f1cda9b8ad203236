//! One run of the nest: what it may still spend, and on how many threads.

use super::clock::Clock;

/// Data shared by all searches of one run.
pub struct Run<'a> {
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

    /// Calls `work` for each stream, in parallel if there are threads for it.
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
