//! Relaxed packing: parts may overlap, and a guided local search takes the overlap out.
//!
//! Overlap of a pair = the depths of its convex sums, times the pair's weight; weights of pairs that
//! still overlap grow after each pass, which lifts the search out of local minima (Egeblad, Nielsen
//! & Odgaard, EJOR 183, 2007; Umetani et al., International Transactions in OR 16, 2009).
//!
//! Within any cell that the rims of the sums cut the plane into, every depth is concave, so their
//! sum is concave too and its least value over the cell lies at a corner: where two rims cross. Along
//! a line it lies where the line crosses a rim. So a minimisation along a line is exact by trying
//! those few places, and contact comes out exact of itself.

use super::state::{Placing, State};
use super::world::View;
use crate::geometry::{Bounds, Point, Vector, point};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

/// Places tried at corners of no-fit regions in one move.
const CONTACTS: usize = 24;
/// Places tried anywhere in one move.
const ANYWHERE: usize = 12;
/// Places tried near the present one in one move.
const NEARBY: usize = 8;
/// Best places that are refined.
const REFINED: usize = 3;
/// Most line minimisations in one refinement.
const LINES: usize = 14;

/// How a separation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// No overlap is left.
    Separated,
    /// The overlap did not fall any more, or the work given was used up.
    Stalled,
}

/// A layout with its weights and generator.
pub(super) struct Search<'w> {
    pub state: State<'w>,
    /// Kind of each item.
    pub kinds: Vec<usize>,
    /// Items that must not move.
    pub pinned: Vec<bool>,
    pub rng: Xoshiro256PlusPlus,
    pub moves: u64,
    pub evaluations: u64,
    weights: Vec<f32>,
    crossings: Vec<(f64, f64, f64, View<'w>, u32)>,
    stops: Vec<f64>,
}

/// A place with its weighted overlap.
#[derive(Clone, Copy)]
struct Candidate {
    cost: f64,
    to: Placing,
}

/// A pair that overlaps (`None`: the sheet's edge or keep-clear), with its depth.
pub(super) struct Overlap {
    pub item: usize,
    pub other: Option<usize>,
    pub depth: f64,
}

impl<'w> Search<'w> {
    pub fn new(state: State<'w>, kinds: Vec<usize>, pinned: Vec<bool>, seed: u64) -> Self {
        let n = kinds.len();
        Search {
            state,
            kinds,
            pinned,
            rng: Xoshiro256PlusPlus::seed_from_u64(seed),
            moves: 0,
            evaluations: 0,
            weights: vec![1.0; n * (n + 1)],
            crossings: vec![],
            stops: vec![],
        }
    }

    /// Every pair back to the same weight.
    pub fn forget_weights(&mut self) {
        self.weights.fill(1.0);
    }

    fn weight(&self, item: usize, other: Option<usize>) -> f64 {
        let n = self.kinds.len();
        f64::from(self.weights[item * (n + 1) + other.unwrap_or(n)])
    }

    /// All pairs that overlap now.
    pub fn overlaps(&self) -> Vec<Overlap> {
        let (state, eps) = (&self.state, self.state.world.eps);
        let mut found = vec![];
        for i in 0..self.kinds.len() {
            let p = state.items[i];
            if p.field == super::state::NOWHERE {
                continue;
            }
            state.views(i, p.field, p.form, state.bounds(i), |other, v| {
                if other.is_none_or(|j| j > i) {
                    let depth = v.nofit.depth(v.offset(p.at), eps);
                    if depth > 0.0 {
                        found.push(Overlap { item: i, other, depth });
                    }
                }
            });
        }
        found
    }

    /// Moves overlapping items until nothing overlaps, the overlap stalls for `patience` passes or
    /// `most` moves are made. The least overlap seen is what stands at the end.
    pub fn separate(&mut self, patience: usize, most: u64, stop: &dyn Fn() -> bool) -> Outcome {
        let end = self.moves + most;
        let mut overlaps = self.overlaps();
        let mut best = (f64::INFINITY, self.state.items.clone());
        let mut idle = 0;
        loop {
            let total: f64 = overlaps.iter().map(|o| o.depth).sum();
            if overlaps.is_empty() {
                return Outcome::Separated;
            }
            if total < best.0 {
                // Small gains must not keep a hopeless try alive.
                idle = if total < 0.98 * best.0 { 0 } else { idle + 1 };
                best = (total, self.state.items.clone());
            } else {
                idle += 1;
            }
            if idle > patience || self.moves >= end || stop() {
                self.restore(&best.1);
                return Outcome::Stalled;
            }
            self.raise_weights(&overlaps);
            let mut moving: Vec<usize> = overlaps
                .iter()
                .flat_map(|o| [Some(o.item), o.other])
                .flatten()
                .filter(|&i| !self.pinned[i])
                .collect();
            moving.sort_unstable();
            moving.dedup();
            self.shuffle(&mut moving);
            for item in moving {
                self.move_item(item);
            }
            overlaps = self.overlaps();
        }
    }

    fn shuffle(&mut self, items: &mut [usize]) {
        for k in (1..items.len()).rev() {
            items.swap(k, self.rng.random_range(0..=k));
        }
    }

    fn raise_weights(&mut self, overlaps: &[Overlap]) {
        let n = self.kinds.len();
        let deepest = overlaps.iter().map(|o| o.depth).fold(0.0, f64::max);
        for o in overlaps {
            let more = (o.depth / deepest) as f32;
            self.weights[o.item * (n + 1) + o.other.unwrap_or(n)] += more;
            if let Some(j) = o.other {
                self.weights[j * (n + 1) + o.item] += more;
            }
        }
    }

    /// Puts every item back where `items` has it.
    pub fn restore(&mut self, items: &[Placing]) {
        for (i, &to) in items.iter().enumerate() {
            if self.state.items[i] != to {
                self.state.put(i, to);
            }
        }
    }

    /// Weighted overlap of an item at a place, or more than `cutoff` when it exceeds that.
    fn cost(&mut self, item: usize, to: Placing, cutoff: f64) -> f64 {
        self.evaluations += 1;
        let (state, eps) = (&self.state, self.state.world.eps);
        let mut cost = 0.0;
        state.views(item, to.field, to.form, state.bounds_at(to.form, to.at), |other, v| {
            if cost <= cutoff {
                let depth = v.nofit.depth(v.offset(to.at), eps);
                if depth > 0.0 {
                    cost += depth * self.weight(item, other);
                }
            }
        });
        cost
    }

    /// Takes one item up and puts it down at the best place found; stays when none is better.
    pub fn move_item(&mut self, item: usize) {
        self.moves += 1;
        let here = self.state.items[item];
        let now = self.cost(item, here, f64::INFINITY);
        if now == 0.0 {
            return;
        }
        let mut best: Vec<Candidate> = Vec::with_capacity(REFINED + 1);
        best.push(Candidate { cost: now, to: here });
        for k in 0..CONTACTS + ANYWHERE + NEARBY {
            let to = match k {
                k if k < CONTACTS => self.contact_place(item),
                k if k < CONTACTS + ANYWHERE => self.any_place(item),
                _ => self.near_place(item),
            };
            let Some(to) = to else { continue };
            let cutoff = if best.len() > REFINED { best[REFINED].cost } else { f64::INFINITY };
            let cost = self.cost(item, to, cutoff);
            if cost < cutoff {
                let k = best.partition_point(|c| c.cost <= cost);
                best.insert(k, Candidate { cost, to });
                best.truncate(REFINED + 1);
                if cost == 0.0 {
                    break;
                }
            }
        }
        let mut chosen = Candidate { cost: now, to: here };
        for c in best {
            let refined = self.refine(item, c);
            if refined.cost < chosen.cost {
                chosen = refined;
            }
            if chosen.cost == 0.0 {
                break;
            }
        }
        if chosen.to != here {
            self.state.put(item, chosen.to);
        }
    }

    /// A field and a form that the item may take there.
    fn pick_form(&mut self, item: usize) -> Option<(u32, u32)> {
        let here = self.state.items[item];
        let fields = self.state.fields.len();
        let field = if fields == 1 || self.rng.random_bool(0.5) {
            here.field
        } else {
            self.rng.random_range(0..fields) as u32
        };
        let stock = self.state.fields[field as usize].stock;
        let forms = &self.state.world.allowed[stock][self.kinds[item]];
        if forms.is_empty() {
            return None;
        }
        Some((field, forms[self.rng.random_range(0..forms.len())]))
    }

    /// A place where the item touches another one at a corner of their no-fit region.
    fn contact_place(&mut self, item: usize) -> Option<Placing> {
        let (field, form) = self.pick_form(item)?;
        let limits = self.state.limits(field, form)?;
        let n = self.kinds.len();
        let world = self.state.world;
        for _ in 0..8 {
            let j = self.rng.random_range(0..=n);
            let view = if j == n {
                world.fixed(self.state.fields[field as usize].stock, form)
            } else {
                let other = self.state.items[j];
                if j == item || other.field != field {
                    continue;
                }
                world.pair(other.form, other.at, form)
            };
            let corners = view.nofit.corners();
            if corners.is_empty() {
                continue;
            }
            for _ in 0..3 {
                let c = corners[self.rng.random_range(0..corners.len())];
                let at = view.base + c * view.sign;
                if within(&limits, at) {
                    return Some(Placing { form, field, at });
                }
            }
        }
        None
    }

    fn any_place(&mut self, item: usize) -> Option<Placing> {
        let (field, form) = self.pick_form(item)?;
        let l = self.state.limits(field, form)?;
        let at = point(
            l.min.x + (l.max.x - l.min.x) * self.rng.random::<f64>(),
            l.min.y + (l.max.y - l.min.y) * self.rng.random::<f64>(),
        );
        Some(Placing { form, field, at })
    }

    fn near_place(&mut self, item: usize) -> Option<Placing> {
        let here = self.state.items[item];
        let (field, form) = self.pick_form(item)?;
        if field != here.field {
            return self.any_place(item);
        }
        let l = self.state.limits(field, form)?;
        // Keep the middle where it is when the turn changes.
        let forms = &self.state.world.forms;
        let shift =
            forms[here.form as usize].bounds.centre() - forms[form as usize].bounds.centre();
        let b = forms[form as usize].bounds;
        let size = b.width().min(b.height()) * 0.5;
        let jitter = point(self.rng.random_range(-1.0..1.0), self.rng.random_range(-1.0..1.0));
        Some(Placing { form, field, at: clamp(&l, here.at + shift + jitter * size) })
    }

    /// Descends from a place: along the way out, then along the rims it touches.
    fn refine(&mut self, item: usize, from: Candidate) -> Candidate {
        let mut best = from;
        let eps = self.state.world.eps;
        let mut lines = 0;
        while best.cost > 0.0 && lines < LINES {
            let (mut pull, mut tangents, mut reach) =
                (point(0.0, 0.0), [point(0.0, 0.0); 6], 0.0f64);
            let mut count = 0;
            let to = best.to;
            let b = self.state.bounds_at(to.form, to.at).grown(eps);
            self.state.views(item, to.field, to.form, b, |other, v| {
                v.nofit.sides_at(v.offset(to.at), eps, |n, depth| {
                    if depth > 0.0 {
                        pull = pull + n * (v.sign * self.weight(item, other));
                        reach = reach.max(depth);
                    } else if count < tangents.len() {
                        tangents[count] = n.perp();
                        count += 1;
                    }
                });
            });
            let before = best.cost;
            if let Some(u) = pull.unit() {
                lines += 1;
                best = self.along(item, best, u, 0.0, 4.0 * reach);
            }
            for t in &tangents[..count] {
                let u = if t.dot(pull) < 0.0 { *t * -1.0 } else { *t };
                lines += 1;
                best = self.along(item, best, u, -2.0 * reach, 4.0 * reach);
                if best.cost == 0.0 {
                    break;
                }
            }
            if best.cost == before {
                // Limits of the sheet act as rims too.
                for u in [point(1.0, 0.0), point(0.0, 1.0)] {
                    lines += 1;
                    best = self.along(item, best, u, -4.0 * reach, 4.0 * reach);
                }
            }
            if best.cost >= before * 0.999 {
                break;
            }
        }
        best
    }

    /// The best place on the line through a candidate, between `lo` and `hi` along `u`.
    fn along(&mut self, item: usize, from: Candidate, u: Point, lo: f64, hi: f64) -> Candidate {
        let Placing { form, field, at } = from.to;
        let Some(limits) = self.state.limits(field, form) else { return from };
        let (lo, hi) = clip(&limits, at, u, lo, hi);
        if hi <= lo {
            return from;
        }
        let eps = self.state.world.eps;
        let swept =
            self.state.bounds_at(form, at + u * lo).join(self.state.bounds_at(form, at + u * hi));
        let (mut crossings, mut stops) =
            (std::mem::take(&mut self.crossings), std::mem::take(&mut self.stops));
        crossings.clear();
        stops.clear();
        self.state.views(item, field, form, swept, |other, v| {
            let weight = self.weight(item, other);
            v.nofit.crossings(v.offset(at), u * v.sign, lo, hi, eps, |c| {
                crossings.push((c.from, c.to, weight, v, c.sum));
            });
        });
        stops.extend([lo, hi]);
        stops.extend(crossings.iter().flat_map(|c| [c.0, c.1]).filter(|&t| t > lo && t < hi));
        stops.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        let mut best = (from.cost, 0.0);
        for &t in &stops {
            let p = clamp(&limits, at + u * t);
            let mut cost = 0.0;
            for (a, b, weight, v, sum) in &crossings {
                if *a < t && t < *b {
                    cost += weight * v.nofit.depth_in(*sum, v.offset(p), eps);
                    if cost >= best.0 {
                        break;
                    }
                }
            }
            if cost < best.0 {
                best = (cost, t);
            }
        }
        self.evaluations += stops.len() as u64;
        (self.crossings, self.stops) = (crossings, stops);
        if best.1 == 0.0 {
            return from;
        }
        let to = Placing { form, field, at: clamp(&limits, at + u * best.1) };
        // The true cost: rounding may have left a trace of a rim that the line only grazed.
        let cost = self.cost(item, to, from.cost);
        if cost < from.cost { Candidate { cost, to } } else { from }
    }
}

fn within(b: &Bounds, p: Point) -> bool {
    p.x >= b.min.x && p.x <= b.max.x && p.y >= b.min.y && p.y <= b.max.y
}

/// The point of the bounds nearest to `p`.
pub(super) fn clamp(b: &Bounds, p: Point) -> Point {
    point(p.x.clamp(b.min.x, b.max.x), p.y.clamp(b.min.y, b.max.y))
}

/// The part of `lo..=hi` for which `at + t u` lies within the bounds.
fn clip(b: &Bounds, at: Point, u: Point, mut lo: f64, mut hi: f64) -> (f64, f64) {
    for (p, d, min, max) in [(at.x, u.x, b.min.x, b.max.x), (at.y, u.y, b.min.y, b.max.y)] {
        if d.abs() > 1e-12 {
            let (a, c) = ((min - p) / d, (max - p) / d);
            (lo, hi) = (lo.max(a.min(c)), hi.min(a.max(c)));
        }
    }
    (lo, hi)
}
