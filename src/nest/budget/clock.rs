//! When to stop: the caller's flag or the time limit. Moves are counted by the search itself.

use crate::nest::nest_task::{Budget, Control, Ended};
use std::sync::atomic::Ordering;
use std::time::Instant;

/// The run's clock.
#[derive(Clone, Copy)]
pub struct Clock<'a> {
    pub control: &'a Control<'a>,
    deadline: Option<Instant>,
}

impl<'a> Clock<'a> {
    pub fn start(budget: Budget, control: &'a Control<'a>) -> Self {
        Clock { control, deadline: budget.time.and_then(|t| Instant::now().checked_add(t)) }
    }

    /// A clock that ends after `share` of the time left, if time is limited at all.
    pub fn part(&self, share: f64) -> Self {
        let now = Instant::now();
        let deadline = self.deadline.map(|d| now + d.saturating_duration_since(now).mul_f64(share));
        Clock { deadline, ..*self }
    }

    /// The reason for the end of the run, if it has ended.
    pub fn ended(&self) -> Option<Ended> {
        if self.control.stop.load(Ordering::Relaxed) {
            return Some(Ended::Interrupted);
        }
        self.deadline.is_some_and(|d| Instant::now() >= d).then_some(Ended::TimeLimit)
    }

    pub fn is_over(&self) -> bool {
        self.ended().is_some()
    }
}
