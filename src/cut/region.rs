//! The stock left of a sheet, in pieces, indexed for many point queries.

use crate::geometry::{Bounds, EdgeIndex, Point, Segment, Shape, orient, point};

/// Connected pieces of stock.
pub(super) struct Region {
    pub pieces: Vec<ConnectedPiece>,
}

/// One connected piece.
pub(super) struct ConnectedPiece {
    pub shape: Shape,
    pub bounds: Bounds,
    pub area: f64,
    pub edges: EdgeIndex,
}

impl Region {
    /// The pieces, largest first.
    pub fn new(shapes: Vec<Shape>) -> Self {
        let mut pieces: Vec<ConnectedPiece> = shapes
            .into_iter()
            .map(|shape| ConnectedPiece {
                bounds: shape.bounds(),
                area: shape.net_area(),
                edges: EdgeIndex::new(&shape),
                shape,
            })
            .collect();
        pieces.sort_by(|a, b| {
            let corner = |p: &ConnectedPiece| (p.bounds.min.x, p.bounds.min.y);
            b.area
                .total_cmp(&a.area)
                .then(corner(a).0.total_cmp(&corner(b).0))
                .then(corner(a).1.total_cmp(&corner(b).1))
        });
        Region { pieces }
    }

    /// The piece that `p` lies in.
    pub fn locate(&self, p: Point) -> Option<usize> {
        // Small ones last in the list hold least: a piece in another's opening is not in the other.
        (0..self.pieces.len()).find(|&i| self.pieces[i].contains(p))
    }
}

impl ConnectedPiece {
    /// Whether `p` lies in the piece: counts the edges crossed on the way to the nearer side, by the R-tree.
    pub fn contains(&self, p: Point) -> bool {
        if !self.bounds.touches(Bounds::of(&[p])) {
            return false;
        }
        let left = p.x - self.bounds.min.x < self.bounds.max.x - p.x;
        let far = if left { self.bounds.min.x - 1.0 } else { self.bounds.max.x + 1.0 };
        let ray = Bounds::of(&[p, point(far, p.y)]);
        let crosses = |s: Segment| {
            (s.a.y > p.y) != (s.b.y > p.y) && {
                // On which side of p the edge passes: exact.
                let side = orient(s.a, s.b, p);
                let right_of_edge = (side < 0.0) == (s.b.y > s.a.y);
                side != 0.0 && right_of_edge == left
            }
        };
        self.edges.touching(ray).filter(|s| crosses(*s)).count() % 2 == 1
    }
}

/// A point well inside a shape: of the middles of the widest stretches on nine level lines, the one farthest from the edge. The
/// widest of all may lie on the edge itself, where a slot ends on its line.
///
/// `None` for a shape that none of the lines cuts. Cost: linear; `geo`'s own takes seconds where a skeleton has a thousand
/// openings.
pub(super) fn interior(shape: &Shape) -> Option<Point> {
    let bounds = shape.bounds();
    let lines = (1..10).map(|k| bounds.min.y + bounds.height() * f64::from(k) / 10.0);
    let clearance =
        |p: Point| shape.segments().map(|s| s.distance_to_point(p)).fold(f64::INFINITY, f64::min);
    let middles = lines.filter_map(|y| widest_middle(shape, y));
    let best = middles.map(|p| (clearance(p), p)).max_by(|a, b| a.0.total_cmp(&b.0));
    best.map(|(_, p)| p)
}

/// The middle of the widest stretch that a level line has inside a shape.
fn widest_middle(shape: &Shape, y: f64) -> Option<Point> {
    let crossing = shape.segments().filter(|s| (s.a.y > y) != (s.b.y > y));
    let mut at: Vec<f64> =
        crossing.map(|s| s.a.x + (s.b.x - s.a.x) * ((y - s.a.y) / (s.b.y - s.a.y))).collect();
    at.sort_by(f64::total_cmp);
    let stretches = at.chunks_exact(2).map(|pair| (pair[1] - pair[0], pair[0].midpoint(pair[1])));
    let widest = stretches.max_by(|a, b| a.0.total_cmp(&b.0));
    widest.map(|(_, x)| point(x, y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;
    use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};

    #[test]
    fn contains_agrees_with_the_plain_test() {
        let star = Ring(
            (0..40)
                .map(|i| {
                    use crate::geometry::Vector;
                    let r = if i % 2 == 0 { 10.0 } else { 6.0 };
                    point(r, 0.0).turned(std::f64::consts::TAU * f64::from(i) / 40.0)
                })
                .collect(),
        );
        let hole = Ring::rectangle(4.0, 3.0).moved(point(-1.0, -1.0));
        let shape = Shape::new(star, vec![hole]);
        let region = Region::new(vec![shape.clone()]);
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(7);
        for _ in 0..2000 {
            let p = point(rng.random_range(-11.0..11.0), rng.random_range(-11.0..11.0));
            assert_eq!(region.locate(p).is_some(), shape.contains(p), "{p:?}");
        }
    }

    /// By hand: a hammer 100 high has a head, from 82 up, that is 40 wide, and a handle 2 wide in the middle; an L lying on its
    /// back has a left limb 20 wide, and a right one 2.
    #[test]
    fn the_interior_is_amid_the_widest_stretch() {
        let shape = |corners: &[(f64, f64)]| {
            Shape::new(Ring(corners.iter().map(|&(x, y)| point(x, y)).collect()), vec![])
        };
        let hammer = [(19., 0.), (21., 0.), (21., 82.), (40., 82.), (40., 100.), (0., 100.)];
        let hammer = [&hammer[..], &[(0., 82.), (19., 82.)]].concat();
        assert_eq!(interior(&shape(&hammer)), Some(point(20.0, 90.0)));
        let limbs = [(0., 0.), (62., 0.), (62., 50.), (60., 50.), (60., 4.), (20., 4.)];
        let limbs = [&limbs[..], &[(20., 50.), (0., 50.)]].concat();
        assert_eq!(interior(&shape(&limbs)).map(|p| p.x), Some(10.0));
    }

    /// A half-lap strip of 300 x 24 with a slot to half its depth amid its length: the level line at half the depth, the widest of
    /// all, has its middle on the slot's end. A tenth of the depth farther from it and from the edge there are 2.4 and 9.6 mm.
    #[test]
    fn the_interior_is_not_on_the_end_of_a_slot() {
        let strip = [(0., 0.), (148., 0.), (148., 12.), (152., 12.), (152., 0.), (300., 0.)];
        let strip = [&strip[..], &[(300., 24.), (0., 24.)]].concat();
        let strip = Shape::new(Ring(strip.iter().map(|&(x, y)| point(x, y)).collect()), vec![]);
        let found = interior(&strip).unwrap();
        let clear = strip.segments().map(|s| s.distance_to_point(found)).fold(f64::MAX, f64::min);
        assert!(strip.contains(found) && clear > 2.3, "{found:?} {clear}");
    }

    #[test]
    fn interior_points_lie_in_rings_and_crescents() {
        let outer = Ring::rectangle(40.0, 30.0);
        let ring = Shape::new(outer, vec![Ring::rectangle(38.0, 28.0).moved(point(1.0, 1.0))]);
        assert!(ring.contains(interior(&ring).unwrap()));
        let crescent = [(0., 0.), (9., 0.), (9., 9.), (0., 9.), (0., 8.5), (8., 5.), (0., 0.5)];
        let crescent =
            Shape::new(Ring(crescent.iter().map(|&(x, y)| point(x, y)).collect()), vec![]);
        assert!(crescent.contains(interior(&crescent).unwrap()));
    }
}
