//! One stream of the search: squeezes the best layout while that works, then looks for a better one under pressure.
//!
//! At a length just under the best one's, hardly any layout overlaps less than the best one itself, squeezed; so a search there
//! seldom leaves it. Under a pressure that hardly any layout can bear, the overlap separates good layouts from bad ones. The least
//! overlapping of them are let out again step by step, and some become free of overlap before they are as long as the best.
//!
//! A run: the best layout is squeezed (cut across at a random place, the far side pushed up, so that each try has its overlap
//! elsewhere), separated and compacted to contact, until a few squeezes by the least step stall. Then the pool of pressed layouts
//! is improved: one of them, or the best valid layout, is perturbed and separated. A layout that stalls replaces its parent, unless
//! it overlaps far more, so that the lines in the pool stay apart and each moves on.

use super::goal::Goal;
use super::perturb::perturb;
use super::search::{Outcome, Search};
use crate::geometry::{Vector, point};
use crate::nest::budget::clock::Clock;
use crate::nest::placing::compact_down::compact_down;
use crate::nest::placing::state::{FieldId, Placing};
use rand::RngExt;

// Chosen by the time to a density on eight instances (benches/NOTEBOOK.md, November 26).

/// Least and greatest share by which a squeeze shortens the best layout.
const STEP: (f64, f64) = (0.001, 0.03);
/// Share of the first squeeze of a layout that came free under pressure.
const FIRST_STEP: f64 = 0.003;
/// Squeezes of one layout by the least step that may stall.
const SQUEEZES: usize = 3;
/// Shares by which the best layout is squeezed after that, each as long as it works: where all sizes are whole numbers, the next
/// length may be less than the least step away.
const FINE_STEPS: [f64; 3] = [3e-4, 1e-4, 3e-5];
/// How much shorter than the best layout those under pressure are, as a share of its length.
const PRESSURE: f64 = 0.01;
/// A layout under pressure is let out when fewer than this number of others overlap less.
const LET_OUT: usize = 3;
/// Passes without a fall of the overlap before a try ends, and before a layout is let out further.
const PATIENCE: usize = 200;
const PATIENCE_OUT: usize = 50;
/// Share of the tries under pressure that start from the best valid layout, not from the pool.
const BACK: f64 = 0.3;
/// Layouts under pressure kept to restart from.
const POOL: usize = 6;
/// Ratio of its overlap to its parent's up to which a layout replaces the parent.
const WORSE: f64 = 2.0;

/// The kind of the present try.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Try {
    /// The best layout, squeezed; `stalls` counts the squeezes by the least step that stalled.
    Squeezed { stalls: usize },
    /// The best layout, squeezed by one of the fine steps.
    Finely { step: usize },
    /// A layout under pressure, perturbed, and its parent in the pool.
    Pressed { parent: Option<usize> },
    /// A layout let out of the pressure, until it is only `by` shorter, as a share.
    LetOut { by: f64 },
}

/// A stream of the search with the best valid layout that it knows.
pub struct Worker<'w> {
    pub search: Search<'w>,
    pub best: Vec<Option<Placing>>,
    /// Length used by `best` along the goal's axis, mm.
    pub used: f64,
    goal: Goal,
    /// Share by which the next squeeze shortens the best layout.
    step: f64,
    /// Layouts under pressure with their overlap, least first.
    pool: Vec<(f64, Vec<Option<Placing>>)>,
    now: Try,
}

impl<'w> Worker<'w> {
    /// A worker on a valid layout.
    pub fn new(search: Search<'w>, goal: Goal) -> Self {
        let mut worker = Worker {
            best: search.state.places.clone(),
            used: f64::INFINITY,
            goal,
            step: STEP.1,
            pool: vec![],
            now: Try::Squeezed { stalls: 0 },
            search,
        };
        worker.compact();
        worker.keep();
        worker
    }

    /// Whether the bound is reached.
    pub fn is_done(&self) -> bool {
        self.used <= self.goal.bound + 4.0 * self.search.state.table.eps
    }

    /// Takes over another stream's shorter layout: a stream that lags behind is a stream wasted.
    pub fn adopt(&mut self, best: &[Option<Placing>], used: f64) {
        if used < self.used {
            self.best = best.to_vec();
            self.used = used;
            self.begin(Try::Squeezed { stalls: 0 });
            self.pool.clear();
        }
    }

    /// Restarts from another valid layout, of any length.
    pub fn start_over(&mut self, first: &[Option<Placing>]) {
        self.used = f64::INFINITY;
        self.step = STEP.1;
        self.pool.clear();
        self.best = first.to_vec();
        self.begin(Try::Squeezed { stalls: 0 });
        self.compact();
        self.keep();
    }

    /// Works until at least `moves` more moves are made, and the present try has ended or `most` are made.
    pub fn explore(&mut self, moves: u64, most: u64, clock: &Clock<'_>) {
        let (end, last) = (self.search.moves + moves, self.search.moves.saturating_add(most));
        while self.search.moves < end && !self.is_done() && !clock.is_over() {
            let (shorter, patience) = match self.now {
                Try::Squeezed { .. } => (self.step, PATIENCE),
                Try::Finely { step } => (FINE_STEPS[step], PATIENCE_OUT),
                Try::Pressed { .. } => (PRESSURE, PATIENCE),
                Try::LetOut { by } => (by, PATIENCE_OUT),
            };
            if !self.tighten((self.used * (1.0 - shorter)).max(self.goal.bound)) {
                return;
            }
            let most = last.saturating_sub(self.search.moves).max(1);
            match self.search.separate(patience, most, &|| clock.is_over()) {
                Outcome::Separated => self.succeeded(),
                Outcome::Stalled => self.stalled(),
            }
            // A pass that moved nothing (everything pinned, say) must not spin for ever.
            self.search.moves += 1;
        }
    }

    /// Continues from a layout that came free of overlap.
    fn succeeded(&mut self) {
        self.compact();
        self.keep();
        self.step = match self.now {
            Try::Squeezed { .. } => (self.step * 1.5).min(STEP.1),
            _ => FIRST_STEP,
        };
        if !matches!(self.now, Try::Finely { .. }) {
            self.now = Try::Squeezed { stalls: 0 };
        }
        self.pool.clear();
    }

    /// Chooses the next try after a stall.
    fn stalled(&mut self) {
        match self.now {
            Try::Squeezed { stalls } if self.step > STEP.0 => {
                self.step = (self.step * 0.6).max(STEP.0);
                self.begin(Try::Squeezed { stalls });
            }
            Try::Squeezed { stalls } if stalls + 1 < SQUEEZES => {
                self.begin(Try::Squeezed { stalls: stalls + 1 })
            }
            Try::Squeezed { .. } => self.begin(Try::Finely { step: 0 }),
            Try::Finely { step } if step + 1 < FINE_STEPS.len() => {
                self.begin(Try::Finely { step: step + 1 });
            }
            Try::Finely { .. } => self.press(),
            Try::Pressed { parent } => {
                if self.pooled(parent) < LET_OUT {
                    self.now = Try::LetOut { by: PRESSURE / 2.0 };
                } else {
                    self.press();
                }
            }
            Try::LetOut { by } if by > STEP.0 => {
                self.now = Try::LetOut { by: (by / 2.0).max(STEP.0) };
            }
            Try::LetOut { .. } => self.press(),
        }
    }

    /// Restores the best layout for a try that squeezes it; each time it is cut elsewhere.
    fn begin(&mut self, squeeze: Try) {
        self.search.state.restore(&self.best);
        self.search.forget_weights();
        self.now = squeeze;
    }

    /// Keeps the present layout in the pool, if it is good enough; returns how many there overlap less.
    fn pooled(&mut self, parent: Option<usize>) -> usize {
        let total: f64 = self.search.overlaps().iter().map(|o| o.depth).sum();
        let less = self.pool.iter().filter(|other| other.0 <= total).count();
        let child = (total, self.search.state.places.clone());
        // Layouts that stem from one another are one line: a child takes its parent's place, so that the lines
        // stay apart, and even if it is somewhat worse, so that each wanders.
        match parent.and_then(|k| self.pool.get_mut(k)) {
            Some(parent) if total < WORSE * parent.0 => *parent = child,
            Some(_) => {}
            None => self.pool.push(child),
        }
        self.pool.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.pool.truncate(POOL);
        less
    }

    /// Remembers the present layout if it is valid and shorter.
    fn keep(&mut self) {
        let used = self.goal.axis.of(self.search.state.used(self.goal.field));
        if used < self.used {
            self.used = used;
            self.best = self.search.state.places.clone();
        }
    }

    /// Shortens the sheet and pushes items beyond its end back in; false when a part is too long for it.
    fn tighten(&mut self, target: f64) -> bool {
        let across = self.goal.axis.across();
        let field = &mut self.search.state.fields[self.goal.field.index()];
        field.reach = self.goal.axis.point(target, across.of(field.reach));
        self.squeeze(target);
        self.push_in()
    }

    /// Cuts the layout across at a random place and pushes the far side up by the excess length: each try has its overlap
    /// elsewhere.
    fn squeeze(&mut self, target: f64) {
        let (axis, field) = (self.goal.axis, self.goal.field);
        let search = &mut self.search;
        let too_long = axis.of(search.state.used(field)) - target;
        if too_long <= 0.0 {
            return;
        }
        let cut = target * search.rng.random::<f64>();
        let beyond: Vec<usize> = search
            .state
            .on_field(field)
            .filter(|&i| {
                !search.state.is_pinned(i) && axis.of(search.state.bounds(i).centre()) > cut
            })
            .collect();
        for i in beyond {
            if let Some(p) = search.state.places[i] {
                search.state.put(i, Placing { at: p.at - axis.unit() * too_long, ..p });
            }
        }
    }

    fn push_in(&mut self) -> bool {
        for i in 0..self.search.state.items.len() {
            let on_it = self.search.state.places[i].filter(|p| p.field == self.goal.field);
            let Some(p) = on_it.filter(|_| !self.search.state.is_pinned(i)) else { continue };
            if let Some(limits) = self.search.state.limits(p.field, p.form) {
                let at = limits.nearest(p.at);
                if at != p.at {
                    self.search.state.put(i, Placing { at, ..p });
                }
                continue;
            }
            // Too long for what is left: another form, or another sheet.
            let fields = self.search.state.fields.len();
            let turn = if fields > 1 { self.search.rng.random_range(0..fields as u32) } else { 0 };
            let others = (0..fields).map(|f| FieldId::new((f + turn as usize) % fields));
            let order = std::iter::once(p.field).chain(others);
            let Some(to) = order.into_iter().find_map(|f| self.random_place(i, f)) else {
                return false;
            };
            self.search.state.put(i, to);
        }
        true
    }

    /// A random place on the field at any form that fits it.
    fn random_place(&mut self, item: usize, field: FieldId) -> Option<Placing> {
        let search = &mut self.search;
        let forms = &search.state.table.allowed[search.state.stock(field)][search.state.kind(item)];
        let start = if forms.is_empty() { 0 } else { search.rng.random_range(0..forms.len()) };
        let (form, l) = (0..forms.len()).find_map(|k| {
            let form = forms[(start + k) % forms.len()];
            Some((form, search.state.limits(field, form)?))
        })?;
        let (s, t): (f64, f64) = (search.rng.random(), search.rng.random());
        let at = point(l.min.x + s * (l.max.x - l.min.x), l.min.y + t * (l.max.y - l.min.y));
        Some(Placing { form, field, at })
    }

    /// Slides every item towards the goal until contact, a few rounds.
    fn compact(&mut self) {
        let (goal, search) = (self.goal, &mut self.search);
        for _ in 0..6 {
            let mut order: Vec<usize> =
                search.state.on_field(goal.field).filter(|&i| !search.state.is_pinned(i)).collect();
            let along = |i: usize| goal.axis.of(search.state.bounds(i).min);
            order.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
            let mut moved = 0.0f64;
            for i in order {
                let Some(p) = search.state.places[i] else { continue };
                let at = compact_down(&search.state, goal.axis, p.of(i), p.at);
                if at != p.at {
                    moved = moved.max(at.distance(p.at));
                    search.state.put(i, Placing { at, ..p });
                }
            }
            if moved <= 1e3 * search.state.table.eps {
                break;
            }
        }
    }

    /// Perturbs one of the least overlapping layouts, or the best valid one.
    fn press(&mut self) {
        // The product of two uniform numbers favours the best.
        let (a, b): (f64, f64) = (self.search.rng.random(), self.search.rng.random());
        let chosen = ((a * b) * self.pool.len() as f64) as usize;
        let back = self.search.rng.random_bool(BACK) || self.pool.is_empty();
        self.search.state.restore(if back { &self.best } else { &self.pool[chosen].1 });
        self.search.forget_weights();
        perturb(&mut self.search, self.goal);
        self.now = Try::Pressed { parent: (!back).then_some(chosen) };
    }
}
