//! One stream of the search: tighten the goal, separate, slide to contact, and start over from
//! elsewhere when it stalls.

use super::around::clamp;
use super::clock::Clock;
use super::first::{Axis, settle};
use super::search::{Outcome, Search};
use super::shake::shake;
use super::state::Placing;
use crate::geometry::{Vector, point};
use rand::RngExt;

/// Least and greatest share by which a success tightens the goal.
const STEP: (f64, f64) = (0.001, 0.03);
/// Passes without a fall of the overlap before a try is given up.
const PATIENCE: usize = 100;
/// Stalls at one goal before the next one is set nearer.
const STALLS: usize = 2;
/// Share of the fresh starts from the best valid layout, squeezed anew, rather than from the pool.
const BACK: f64 = 0.3;
/// Infeasible layouts kept to start over from.
const POOL: usize = 6;
/// How much more overlap than its parent a layout may have that takes its place.
const WORSE: f64 = 2.0;

/// What is to be made small: how far the last field is used along an axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal {
    pub field: u32,
    pub axis: Axis,
    /// No layout can be shorter, mm.
    pub bound: f64,
}

/// A stream of the search with the best valid layout that it knows.
pub(super) struct Worker<'w> {
    pub search: Search<'w>,
    pub best: Vec<Placing>,
    /// What `best` uses along the goal's axis, mm.
    pub used: f64,
    goal: Goal,
    step: f64,
    pool: Vec<(f64, Vec<Placing>)>,
    /// Stalls since the last success.
    fails: usize,
    /// Which of the pool the try at hand started from.
    parent: Option<usize>,
}

impl<'w> Worker<'w> {
    /// A worker on a valid layout.
    pub fn new(search: Search<'w>, goal: Goal) -> Self {
        let mut worker = Worker {
            best: search.state.items.clone(),
            used: f64::INFINITY,
            goal,
            step: STEP.1,
            pool: vec![],
            fails: 0,
            parent: None,
            search,
        };
        worker.compact();
        worker.keep();
        worker
    }

    /// Whether the bound is reached.
    pub fn is_done(&self) -> bool {
        self.used <= self.goal.bound + 4.0 * self.search.state.world.eps
    }

    /// Takes over another stream's shorter layout: a stream that lags behind is a stream wasted.
    pub fn adopt(&mut self, best: &[Placing], used: f64) {
        if used < self.used {
            self.best = best.to_vec();
            self.used = used;
            self.search.restore(best);
            self.search.forget_weights();
            self.pool.clear();
            self.parent = None;
            self.fails = 0;
        }
    }

    /// Works until at least `moves` more moves are made, and the try at hand is over or `most` are.
    pub fn explore(&mut self, moves: u64, most: u64, clock: &Clock<'_>) {
        let (end, last) = (self.search.moves + moves, self.search.moves.saturating_add(most));
        while self.search.moves < end && !self.is_done() && !clock.is_over() {
            let target = (self.used * (1.0 - self.step)).max(self.goal.bound);
            if !self.tighten(target) {
                return;
            }
            let most = last.saturating_sub(self.search.moves).max(1);
            match self.search.separate(PATIENCE, most, &|| clock.is_over()) {
                Outcome::Separated => {
                    self.compact();
                    self.keep();
                    self.step = (self.step * 1.5).min(STEP.1);
                    self.pool.clear();
                    self.parent = None;
                    self.fails = 0;
                }
                Outcome::Stalled => {
                    self.fails += 1;
                    if self.fails.is_multiple_of(STALLS) {
                        self.step = (self.step * 0.6).max(STEP.0);
                    }
                    self.start_over();
                }
            }
            // A pass that moved nothing (everything pinned, say) must not spin for ever.
            self.search.moves += 1;
        }
    }

    /// Remembers the present layout if it is valid and shorter.
    fn keep(&mut self) {
        let used = self.goal.axis.of(self.search.state.used(self.goal.field));
        if used < self.used {
            self.used = used;
            self.best = self.search.state.items.clone();
        }
    }

    /// Draws the sheet in and pushes what sticks out back in; false when a part is too long for it.
    fn tighten(&mut self, target: f64) -> bool {
        let across = self.goal.axis.across();
        let field = &mut self.search.state.fields[self.goal.field as usize];
        field.reach = self.goal.axis.point(target, across.of(field.reach));
        self.squeeze(target);
        self.push_in()
    }

    /// Cuts the layout across at a random place and pushes the far side up by what is too long: each
    /// try has its overlap elsewhere.
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
            .filter(|&i| !search.pinned[i] && axis.of(search.state.bounds(i).centre()) > cut)
            .collect();
        for i in beyond {
            let p = search.state.items[i];
            search.state.put(i, Placing { at: p.at - axis.unit() * too_long, ..p });
        }
    }

    fn push_in(&mut self) -> bool {
        for i in 0..self.search.kinds.len() {
            let p = self.search.state.items[i];
            if p.field != self.goal.field || self.search.pinned[i] {
                continue;
            }
            if let Some(limits) = self.search.state.limits(p.field, p.form) {
                let at = clamp(&limits, p.at);
                if at != p.at {
                    self.search.state.put(i, Placing { at, ..p });
                }
                continue;
            }
            // Too long for what is left: another form, or another sheet.
            let fields = self.search.state.fields.len() as u32;
            let turn = if fields > 1 { self.search.rng.random_range(0..fields) } else { 0 };
            let order = std::iter::once(p.field).chain((0..fields).map(|f| (f + turn) % fields));
            let Some(to) = order.into_iter().find_map(|f| self.random_place(i, f)) else {
                return false;
            };
            self.search.state.put(i, to);
        }
        true
    }

    /// Any place on the field at any form that fits it.
    fn random_place(&mut self, item: usize, field: u32) -> Option<Placing> {
        let search = &mut self.search;
        let stock = search.state.fields[field as usize].stock;
        let forms = &search.state.world.allowed[stock][search.kinds[item]];
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
                search.state.on_field(goal.field).filter(|&i| !search.pinned[i]).collect();
            let along = |i: usize| goal.axis.of(search.state.bounds(i).min);
            order.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
            let mut moved = 0.0f64;
            for i in order {
                let p = search.state.items[i];
                let at = settle(&search.state, goal.axis, i, p.field, p.form, p.at);
                if at != p.at {
                    moved = moved.max(at.distance(p.at));
                    search.state.put(i, Placing { at, ..p });
                }
            }
            if moved <= 1e3 * search.state.world.eps {
                break;
            }
        }
    }

    /// After a stall: one of the least overlapping layouts, shaken.
    fn start_over(&mut self) {
        let total: f64 = self.search.overlaps().iter().map(|o| o.depth).sum();
        let child = (total, self.search.state.items.clone());
        // Layouts that stem from one another are one line: a child takes its parent's place, so that the lines
        // stay apart, and even if it is somewhat worse, so that each wanders.
        match self.parent.take().and_then(|k| self.pool.get_mut(k)) {
            Some(parent) if total < WORSE * parent.0 => *parent = child,
            Some(_) => {}
            None => self.pool.push(child),
        }
        self.pool.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.pool.truncate(POOL);
        // The product of two uniform numbers favours the best.
        let (a, b): (f64, f64) = (self.search.rng.random(), self.search.rng.random());
        let chosen = ((a * b) * self.pool.len() as f64) as usize;
        let back = self.search.rng.random_bool(BACK);
        let items = if back { &self.best } else { &self.pool[chosen.min(self.pool.len() - 1)].1 };
        self.parent = (!back).then_some(chosen);
        let items = items.clone();
        self.search.restore(&items);
        self.search.forget_weights();
        shake(&mut self.search, self.goal);
    }
}
