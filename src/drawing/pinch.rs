//! Splits a ring where it touches itself, into rings that do not.
//!
//! Where a closed line comes back to a place without crossing itself, the area that it encloses is that of two rings, and how they
//! are nested says which is an opening: the even-odd rule of SVG 2, section 13.4.2. A slit (a line out and back along itself) joins
//! two rings and encloses nothing, so it goes. An opening that touches the outline round it would leave a wall of no width, which
//! is no ring: it is drawn back there by [`WALL`].

use crate::geometry::{Point, Ring, Vector};

/// The wall left where an opening touches the outline round it, mm: the default chord error.
const WALL: f64 = 0.01;

/// The rings that `ring` consists of, and the wall left where one touches the ring round it.
///
/// `touching` gives edges, by number, and the places where another corner lies on them or near their ends; places nearer than
/// `reach` are one.
pub(super) fn split(
    ring: &Ring,
    touching: &[(usize, Point)],
    reach: f64,
) -> (Vec<Ring>, Option<f64>) {
    let mut wall = None;
    let n = ring.0.len();
    let mut places: Vec<Point> = vec![];
    for &(_, p) in touching {
        if !places.iter().any(|q| q.distance(p) <= reach) {
            places.push(p);
        }
    }
    let place = |p: Point| places.iter().position(|q| q.distance(p) <= reach);
    // The ring with every place where it touches itself as a point of its own.
    let mut walk: Vec<(Point, Option<usize>)> = vec![];
    for (k, &a) in ring.0.iter().enumerate() {
        walk.push((a, place(a)));
        let b = ring.0[(k + 1) % n];
        let mut on: Vec<Point> = touching.iter().filter(|t| t.0 == k).map(|t| t.1).collect();
        on.sort_by(|p, q| p.distance(a).total_cmp(&q.distance(a)));
        let inner = on.into_iter().filter(|p| p.distance(a).min(p.distance(b)) > reach);
        walk.extend(inner.map(|p| (p, place(p))));
    }
    walk.dedup_by(|b, a| b.1.is_some() && a.1 == b.1);
    let mut loops = vec![];
    let mut open: Vec<(Point, Option<usize>)> = vec![];
    for (p, id) in walk {
        let back = id.and_then(|id| open.iter().position(|o| o.1 == Some(id)));
        match back {
            Some(from) => {
                loops.push(open[from..].to_vec());
                open.truncate(from + 1);
            }
            None => open.push((p, id)),
        }
    }
    loops.push(open);
    // A slit, and what is less than a triangle, encloses nothing.
    loops.retain(|l| l.len() >= 3);
    let mut rings: Vec<Ring> =
        loops.iter().map(|l| Ring(l.iter().map(|p| p.0).collect())).collect();
    for i in 0..rings.len() {
        for (at, id) in loops[i].iter().enumerate().filter(|(_, p)| p.1.is_some()) {
            let around = |j: &usize| {
                *j != i
                    && loops[*j].iter().any(|p| p.1 == id.1)
                    && holds(&rings[*j], &rings[i], id.0)
            };
            if (0..rings.len()).any(|j| around(&j)) {
                draw_back(&mut rings[i], at);
                wall = Some(WALL);
            }
        }
    }
    (rings, wall)
}

/// Whether `outer` contains `inner`, which touches it at a place and nowhere crosses it.
fn holds(outer: &Ring, inner: &Ring, place: Point) -> bool {
    let far = inner.0.iter().max_by(|a, b| a.distance(place).total_cmp(&b.distance(place)));
    outer.area() > inner.area() && far.is_some_and(|p| outer.contains(*p))
}

/// Moves a corner into its ring by [`WALL`].
fn draw_back(ring: &mut Ring, at: usize) {
    let n = ring.0.len();
    let (a, p, b) = (ring.0[(at + n - 1) % n], ring.0[at], ring.0[(at + 1) % n]);
    let (Some(u), Some(v)) = ((a - p).unit(), (b - p).unit()) else { return };
    let between = (u + v).unit().unwrap_or(u.perp());
    let inside = [between, between * -1.0].map(|d| p + d * WALL);
    if let Some(moved) = inside.into_iter().find(|q| ring.contains(*q)) {
        ring.0[at] = moved;
    }
}
