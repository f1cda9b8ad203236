//! The neighbourhood of one item: its weighted overlap at any place, and descent from there.
//!
//! The boundaries of the no-fit sums cut the plane into cells. Within a cell every depth is concave, so their weighted sum is
//! concave too and its least value lies at a corner, where two boundaries cross. On a line it lies where the line crosses a
//! boundary. So a minimisation along a line is exact by trying those few places, and contact comes out exact.

use crate::geometry::{Bounds, Point, Vector, point};
use crate::nest::no_fit::no_fit_table::View;
use crate::nest::no_fit::nofit::Crossing;

/// One neighbour: the item would overlap it only at places within `reach`.
#[derive(Clone, Copy)]
struct Neighbour<'w> {
    reach: Bounds,
    view: View<'w>,
    weight: f64,
}

/// The neighbours of an item at one form on one field.
pub struct Neighbourhood<'w> {
    /// Where the form's origin may lie; the neighbours are complete within these bounds.
    limits: Bounds,
    eps: f64,
    neighbours: Vec<Neighbour<'w>>,
}

/// Buffers and counts that are reused over many moves.
#[derive(Default)]
pub struct Scratch {
    pub evaluations: u64,
    /// Sums that the line crosses, with the pair's weight.
    crossings: Vec<(f64, Crossing)>,
    /// Their sides along the line: depth at 0, and its slope.
    sides: Vec<(f64, f64)>,
    stops: Vec<f64>,
    /// Crossings that contain the present stop.
    active: Vec<u32>,
}

/// A place with its weighted overlap.
#[derive(Clone, Copy)]
pub struct ScoredPlace {
    pub cost: f64,
    pub at: Point,
}

impl<'w> Neighbourhood<'w> {
    pub fn new(limits: Bounds, eps: f64) -> Self {
        Neighbourhood { limits, eps, neighbours: vec![] }
    }

    /// Adds a neighbour with the pair's weight.
    pub fn add(&mut self, view: View<'w>, weight: f64) {
        let b = view.nofit.bounds;
        let (p, q) = (view.base + b.min * view.sign, view.base + b.max * view.sign);
        let reach = Bounds {
            min: point(p.x.min(q.x), p.y.min(q.y)),
            max: point(p.x.max(q.x), p.y.max(q.y)),
        };
        if reach.touches(self.limits) {
            self.neighbours.push(Neighbour { reach, view, weight });
        }
    }

    /// Weighted overlap at a place; some value of at least `cutoff` once the sum reaches that.
    pub fn cost(&self, at: Point, cutoff: f64, scratch: &mut Scratch) -> f64 {
        scratch.evaluations += 1;
        let mut cost = 0.0;
        for n in &self.neighbours {
            let r = &n.reach;
            if (at.x > r.min.x) & (at.x < r.max.x) & (at.y > r.min.y) & (at.y < r.max.y) {
                let depth = n.view.nofit.depth(n.view.offset(at), self.eps);
                if depth > 0.0 {
                    cost += depth * n.weight;
                    if cost >= cutoff {
                        break;
                    }
                }
            }
        }
        cost
    }

    /// Descends from a place: along the way out, then along the boundaries it touches, at most `lines` lines.
    pub fn descend(&self, from: ScoredPlace, lines: usize, scratch: &mut Scratch) -> ScoredPlace {
        let mut best = from;
        let mut used = 0;
        while best.cost > 0.0 && used < lines {
            let (mut pull, mut reach) = (point(0.0, 0.0), 0.0f64);
            let (mut tangents, mut count) = ([point(0.0, 0.0); 4], 0);
            for n in &self.neighbours {
                n.view.nofit.sides_at(n.view.offset(best.at), self.eps, |normal, depth| {
                    if depth > 0.0 {
                        pull = pull + normal * (n.view.sign * n.weight);
                        reach = reach.max(depth);
                    } else if count < tangents.len() {
                        tangents[count] = normal.perp();
                        count += 1;
                    }
                });
            }
            let before = best.cost;
            if let Some(u) = pull.unit() {
                used += 1;
                best = self.along(best, u, (0.0, 4.0 * reach), scratch);
            }
            if best.cost == before {
                // Limits of the sheet act as rims too.
                if count < 3 {
                    (tangents[count], count) = (point(1.0, 0.0), count + 1);
                    (tangents[count], count) = (point(0.0, 1.0), count + 1);
                }
                for t in &tangents[..count] {
                    let u = if t.dot(pull) < 0.0 { *t * -1.0 } else { *t };
                    used += 1;
                    best = self.along(best, u, (-2.0 * reach, 4.0 * reach), scratch);
                    if best.cost < before {
                        break;
                    }
                }
            }
            if best.cost >= before * 0.999 {
                break;
            }
        }
        best
    }

    /// The best place on the line through a place, within a range along `u`.
    fn along(
        &self,
        from: ScoredPlace,
        u: Point,
        range: (f64, f64),
        scratch: &mut Scratch,
    ) -> ScoredPlace {
        let range = clip(&self.limits, from.at, u, range);
        if range.1 <= range.0 {
            return from;
        }
        self.cross(from.at, u, range, scratch);
        let best = self.sweep(from.cost, scratch);
        if best == 0.0 {
            return from;
        }
        let at = self.limits.nearest(from.at + u * best);
        // The true cost: rounding may have left a trace of a rim that the line only grazed.
        let cost = self.cost(at, from.cost, scratch);
        if cost < from.cost { ScoredPlace { cost, at } } else { from }
    }

    /// Collects the sums that the line crosses, and the places where it enters or leaves them.
    fn cross(&self, from: Point, u: Point, (lo, hi): (f64, f64), scratch: &mut Scratch) {
        let Scratch { crossings, sides, stops, active, .. } = scratch;
        crossings.clear();
        sides.clear();
        stops.clear();
        active.clear();
        let span = Bounds::of(&[from + u * lo, from + u * hi]);
        for n in &self.neighbours {
            if n.reach.touches(span) {
                let stretch = n.view.stretch(from, u, (lo, hi));
                n.view.nofit.crossings(stretch, self.eps, sides, |c| crossings.push((n.weight, c)));
            }
        }
        stops.extend([lo, hi]);
        let ends = crossings.iter().flat_map(|(_, c)| [c.from, c.to]);
        stops.extend(ends.filter(|&t| t > lo && t < hi));
        stops.sort_unstable_by(f64::total_cmp);
        stops.dedup();
        crossings.sort_unstable_by(|(_, a), (_, b)| {
            a.from.total_cmp(&b.from).then(a.first.cmp(&b.first))
        });
    }

    /// How far along the line the place of least cost lies; 0 where none costs less than the place at 0.
    fn sweep(&self, cost_here: f64, scratch: &mut Scratch) -> f64 {
        let Scratch { crossings, sides, stops, active, evaluations } = scratch;
        *evaluations += stops.len() as u64;
        let (mut best, mut next) = ((cost_here, 0.0), 0);
        for &t in stops.iter() {
            // Sweep: only sums that the line is in at t can cost anything there.
            while next < crossings.len() && crossings[next].1.from < t {
                active.push(next as u32);
                next += 1;
            }
            active.retain(|&k| crossings[k as usize].1.to > t);
            let mut cost = 0.0;
            for &k in active.iter() {
                let (weight, c) = &crossings[k as usize];
                let of_sum = &sides[c.first as usize..c.end as usize];
                let depth = of_sum.iter().fold(f64::INFINITY, |least, (m, fall)| {
                    let depth = m - t * fall;
                    if depth < least { depth } else { least }
                });
                if depth > self.eps {
                    cost += weight * depth;
                    if cost > best.0 {
                        break;
                    }
                }
            }
            if cost < best.0 || (cost == best.0 && cost < cost_here && t.abs() < f64::abs(best.1)) {
                best = (cost, t);
            }
        }
        best.1
    }
}

/// The part of a range of t for which `at + t u` lies within the bounds.
fn clip(b: &Bounds, at: Point, u: Point, (mut lo, mut hi): (f64, f64)) -> (f64, f64) {
    for (p, d, min, max) in [(at.x, u.x, b.min.x, b.max.x), (at.y, u.y, b.min.y, b.max.y)] {
        if d.abs() > 1e-12 {
            let (a, c) = ((min - p) / d, (max - p) / d);
            (lo, hi) = (lo.max(a.min(c)), hi.min(a.max(c)));
        }
    }
    (lo, hi)
}
