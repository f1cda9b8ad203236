//! Two streams of the search that meet at fixed amounts of work.
//!
//! There are always two, at any number of threads, and they exchange their best layouts only when both have made their moves of the
//! round: so one thread and two give the same layouts. They follow one line of ever shorter layouts until it stalls; then each
//! begins lines of its own.

use super::goal::Goal;
use super::search::Search;
use super::worker::Worker;
use crate::nest::budget::run::Run;
use crate::nest::nest_task::Progress;
use crate::nest::placing::state::{Placing, State};

/// Streams, at any number of threads.
const STREAMS: usize = 2;

/// Moves of a stream between two meetings. The try at hand is finished first, and the other stream waits for that: it cost a fifth
/// of two threads' time when they met every 4,000.
const ROUND: u64 = 20_000;

/// A line of layouts has stalled once it has not become shorter for this multiple of the moves that its shortest layout took, plus
/// this number of moves (ten seconds at 60,000 a second): benches/NOTEBOOK.md, November 27.
const STILL: (u64, u64) = (2, 600_000);

/// A worker, with the age of its line of layouts.
struct Stream<'w> {
    worker: Worker<'w>,
    /// Moves of the worker when the line began, and when it last became shorter.
    began: u64,
    shortened: u64,
    /// Length used by its shortest layout at the last meeting, mm.
    used: f64,
}

impl<'w> Stream<'w> {
    fn new(worker: Worker<'w>) -> Self {
        Stream { used: worker.used, worker, began: 0, shortened: 0 }
    }

    /// Records a shorter layout.
    fn look(&mut self) {
        if self.worker.used < self.used {
            self.used = self.worker.used;
            self.shortened = self.worker.search.moves;
        }
    }

    fn stands_still(&self) -> bool {
        let idle = self.worker.search.moves - self.shortened;
        idle > STILL.0 * (self.shortened - self.began) + STILL.1
    }

    /// Begins a line of its own.
    fn start_over(&mut self, first: &[Option<Placing>]) {
        self.worker.start_over(first);
        self.used = self.worker.used;
        self.began = self.worker.search.moves;
        self.shortened = self.began;
    }
}

/// The streams of one search.
struct Team<'w> {
    streams: Vec<Stream<'w>>,
    /// The layout that all lines start from.
    first: Vec<Option<Placing>>,
    /// The shortest layout of all lines, with the length it uses, mm.
    best: (f64, Vec<Option<Placing>>),
    /// Whether both streams follow one line.
    together: bool,
}

impl<'w> Team<'w> {
    fn new(state: &State<'w>, goal: Goal, seed: u64) -> Self {
        let stream = |k: usize| {
            let seed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(k as u64);
            let search = Search::new(state.clone(), seed);
            Stream::new(Worker::new(search, goal))
        };
        let streams = (0..STREAMS).map(stream).collect();
        let best = (f64::INFINITY, vec![]);
        Team { streams, first: state.places.clone(), best, together: true }
    }

    /// Moves made by all streams.
    fn moves(&self) -> u64 {
        self.streams.iter().map(|s| s.worker.search.moves).sum()
    }

    /// Keeps the best layout, and decides which line each stream follows next.
    ///
    /// While a layout becomes shorter, two streams on it are faster than one; once it stalls, two lines of their own find a better
    /// one no later than one line would, and still find one where one line would not (benches/NOTEBOOK.md, November 27).
    fn meet(&mut self) {
        self.streams.iter_mut().for_each(Stream::look);
        for s in &self.streams {
            if s.used < self.best.0 {
                self.best = (s.used, s.worker.best.clone());
            }
        }
        if self.together {
            for s in &mut self.streams {
                s.worker.adopt(&self.best.1, self.best.0);
                s.look();
            }
            self.together = !self.streams.iter().all(Stream::stands_still);
        }
        if !self.together {
            let still = self.streams.iter_mut().filter(|s| s.stands_still());
            still.for_each(|s| s.start_over(&self.first));
        }
    }
}

/// Makes the valid layout in `state` shorter along the goal, for at most `moves` moves in all.
pub fn compact<'w>(state: State<'w>, goal: Goal, moves: u64, run: &mut Run<'_>) -> State<'w> {
    let mut team = Team::new(&state, goal, run.seed);
    loop {
        team.meet();
        report(&team, state.fields.len(), run);
        let left = moves.saturating_sub(team.moves());
        if left == 0 || run.clock.is_over() || team.streams.iter().any(|s| s.worker.is_done()) {
            break;
        }
        let before = team.moves();
        let most = (left / STREAMS as u64).max(1);
        let round = most.min(ROUND);
        run.side_by_side(&mut team.streams, |s| s.worker.explore(round, most, &run.clock));
        if team.moves() == before {
            break;
        }
    }
    run.moves += team.moves();
    run.evaluations +=
        team.streams.iter().map(|s| s.worker.search.scratch.evaluations).sum::<u64>();
    let mut found = state;
    found.restore(&team.best.1);
    found
}

fn report(team: &Team<'_>, sheets: usize, run: &Run<'_>) {
    if let Some(progress) = run.clock.control.progress {
        let moves = run.moves + team.moves();
        progress(Progress { moves, of: run.most, sheets, length: team.best.0 });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape};
    use crate::job::{Stock, Turns};
    use crate::nest::budget::clock::Clock;
    use crate::nest::by_hand::{panel, rectangle};
    use crate::nest::construct::fill::fill;
    use crate::nest::construct::first::Pattern;
    use crate::nest::placing::sheet_axis::Axis;
    use crate::nest::placing::state::FieldId;
    use crate::nest::{Budget, Control, Nest, NestPart, NestTask};
    use std::sync::atomic::AtomicBool;

    /// Triangles of two sizes on a board of open length.
    fn triangles() -> NestTask {
        let part = |size: f64| NestPart {
            shape: Shape::new(Ring::from(vec![[0.0, 0.0], [size, 0.0], [0.0, size]]), vec![]),
            turns: Turns::steps_deg(&[0.0, 180.0]),
            ..rectangle(size, size, 9)
        };
        let board = Stock { open_length: true, ..panel(2000.0, 100.0, 0.0) };
        let budget = Budget { moves: Some(0), time: None };
        let parts = vec![part(31.0), part(47.0)];
        NestTask { parts, sheets: vec![board], kerf: 0.0, gap: 0.0, seed: 1, budget, threads: 1 }
    }

    #[test]
    fn a_line_that_stands_still_is_left_and_its_layout_kept() {
        let problem = triangles();
        let nest = Nest::new(&problem);
        let order: Vec<usize> = (0..nest.blank().items.len()).collect();
        let state = fill(nest.blank(), &order, Axis::X, Pattern::Free).state;
        let stop = AtomicBool::new(false);
        let control = Control { stop: &stop, progress: None };
        let clock = Clock::start(problem.budget, &control);
        let goal = Goal { field: FieldId::new(0), axis: Axis::X, bound: 1.0 };
        let mut team = Team::new(&state, goal, 1);
        let explore = |team: &mut Team<'_>| {
            team.streams.iter_mut().for_each(|s| s.worker.explore(2000, 4000, &clock));
            team.meet();
        };
        team.meet();
        let at_first = team.best.0;
        explore(&mut team);
        let found = team.best.0;
        assert!(found < at_first && team.together);
        assert!(team.streams.iter().all(|s| s.worker.used == found), "one line");

        // As after many moves without a find.
        team.streams.iter_mut().for_each(|s| (s.began, s.shortened) = (0, 0));
        let moves = STILL.1 + 1;
        team.streams.iter_mut().for_each(|s| s.worker.search.moves += moves);
        team.meet();
        assert!(!team.together && team.best.0 == found, "the shortest layout is kept");
        assert!(team.streams.iter().all(|s| s.worker.used == at_first && !s.stands_still()));
        explore(&mut team);
        let used: Vec<f64> = team.streams.iter().map(|s| s.worker.used).collect();
        assert!(used.iter().all(|u| *u < at_first) && used[0] != used[1], "two lines: {used:?}");
        assert_eq!(team.best.0, used.iter().fold(found, |a, b| a.min(*b)));
    }
}
