//! How long a job is searched, and who watches.

use crate::nest::{self, Budget};
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// How long to search: by moves or by time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Moves tried for each group; without moves or time, a number that grows with the number of parts.
    pub moves: Option<u64>,
    /// Or a time limit for the whole job; the answer may then differ from run to run.
    pub time: Option<Duration>,
    /// Worker threads for each group; the result is the same at any number.
    pub threads: usize,
}

impl Effort {
    pub(super) fn budget(&self, share: f64) -> Budget {
        Budget { moves: self.moves, time: self.time.map(|t| t.mul_f64(share)) }
    }
}

/// Who watches the search, and may stop it.
pub struct Watch<'a> {
    /// Set to stop with the best valid layout so far.
    pub stop: &'a AtomicBool,
    /// Called now and then from the search's threads.
    pub progress: Option<&'a (dyn Fn(GroupProgress) + Sync)>,
}

/// The progress of a group's search.
#[derive(Debug, Clone)]
pub struct GroupProgress {
    /// The group's number in the job.
    pub group: usize,
    /// The progress of the nest.
    pub search: nest::Progress,
}
