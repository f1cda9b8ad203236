//! The largest bit, compared with the plain definition: open the stock by the bit's disc with polygon offsets (Clipper)
//! and see which edges it still touches.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use tabwright::drawing::{Limit, corners, largest_bit, thinnest_neck, unreached};
use tabwright::geometry::{
    EdgeIndex, Point, Ring, Shape, Vector, difference, grow, grow_ring, point, shrink, union,
};

/// A random shape of straight edges: rectangles and triangles joined and cut out.
fn random_shape(seed: u64) -> Option<Shape> {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut piece = |least: f64, most: f64| {
        let (w, h) = (rng.random_range(least..most), rng.random_range(least..most));
        let mut ring = Ring::rectangle(w, h);
        if rng.random_bool(0.3) {
            ring.0.pop();
        }
        let turn = if rng.random_bool(0.5) { 0.0 } else { rng.random_range(0.0..3.0) };
        let at = point(rng.random_range(0.0..40.0), rng.random_range(0.0..40.0));
        Shape::new(ring.map(|p| p.turned(turn) + at), vec![])
    };
    let whole: Vec<Shape> = (0..4).map(|_| piece(8.0, 40.0)).collect();
    let cut: Vec<Shape> = (0..4).map(|_| piece(1.5, 12.0)).collect();
    let mut left = difference(&union(&whole), &cut);
    left.sort_by(|a, b| b.net_area().total_cmp(&a.net_area()));
    let shape = left.into_iter().next()?;
    // Edges near the least detail may or may not count: not what this test is about.
    let clear = shape.segments().all(|s| s.length() > 0.5);
    clear.then_some(shape)
}

/// The stock that a bit of `diameter` leaves, and the part: all that no bit's disc covers.
fn standing(shape: &Shape, diameter: f64) -> Vec<Shape> {
    let r = diameter / 2.0;
    let mut closed = shrink(&grow_ring(&shape.outline, r), r);
    for opening in &shape.openings {
        let opened = grow(&shrink(&[Shape::new(opening.clone(), vec![])], r), r);
        closed = difference(&closed, &opened);
    }
    closed
}

/// A point of an edge whose points all lie more than `depth` inside what is left standing.
fn untouched_edge(shape: &Shape, diameter: f64, depth: f64) -> Option<Point> {
    let left = standing(shape, diameter);
    let index = EdgeIndex::of_rings(left.iter().flat_map(Shape::rings));
    shape.segments().find_map(|s| {
        let touched = (1..400).any(|i| {
            let p = s.a.lerp(s.b, f64::from(i) / 400.0);
            index.nearest(p).is_none_or(|n| n.distance <= depth)
        });
        (!touched).then(|| s.a.lerp(s.b, 0.5))
    })
}

#[test]
fn a_bit_just_under_the_largest_touches_every_edge_and_one_over_does_not() {
    let (mut runs, mut gaps) = (0, 0);
    for seed in 0..800 {
        let Some(shape) = random_shape(seed) else { continue };
        let reach = largest_bit(&shape);
        let Some(limit) = reach.limit.filter(|_| reach.diameter > 0.5 && reach.diameter < 40.0)
        else {
            continue;
        };
        // 0.06 and 0.05 mm: the offsets' slack and the 400 places tried along an edge.
        let under = untouched_edge(&shape, 0.97 * reach.diameter - 0.06, 0.05);
        assert!(under.is_none(), "seed {seed}: {reach:?} leaves {under:?}");
        let over = 1.06 * reach.diameter + 0.1;
        match limit {
            Limit::Run => {
                runs += 1;
                assert!(untouched_edge(&shape, over, 0.0).is_some(), "seed {seed}: {reach:?}");
            }
            Limit::Gap => {
                gaps += 1;
                // Before a nose the residue grows slowly with the bit: one half as wide again shows it.
                let left = unreached(&shape, 1.5 * reach.diameter, 0.05);
                let near = |u: &tabwright::drawing::Unreached| {
                    !u.is_corner() && u.outline.edge_distance(reach.at) < reach.diameter
                };
                assert!(left.iter().any(near), "seed {seed}: {reach:?} {left:?}");
            }
            Limit::InsideRadius => panic!("seed {seed}: no curves here, {reach:?}"),
        }
    }
    assert!(runs > 50 && gaps > 20, "{runs} {gaps}");
}

#[test]
fn what_a_passing_bit_leaves_are_the_listed_corners() {
    let mut seen = 0;
    for seed in 0..200 {
        let Some(shape) = random_shape(seed) else { continue };
        let bit = 0.9 * largest_bit(&shape).diameter;
        if !(0.5..20.0).contains(&bit) {
            continue;
        }
        let listed = corners(&shape, bit);
        for left in unreached(&shape, bit, 0.05) {
            assert!(left.is_corner(), "seed {seed}: {left:?}");
            // Corners of an acute angle are deep; each residue sits in one that is listed, that deep.
            if left.depth > 0.15 {
                let here = listed.iter().filter(|c| c.at.distance(left.at) < 0.05);
                let deepest = here.map(|c| c.depth).fold(0.0, f64::max);
                assert!(
                    (deepest - left.depth).abs() < 0.03 + 0.05 * deepest,
                    "seed {seed}: {left:?} {deepest}"
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 200, "{seen}");
}

/// Necks by brute force: the shortest link across the material, with an empty disc, between a notch's corner and any edge.
#[test]
fn bottlenecks_are_never_missed() {
    let mut compared = 0;
    for seed in 0..300 {
        let Some(shape) = random_shape(seed) else { continue };
        let edges: Vec<_> = shape.segments().collect();
        let mut least = f64::INFINITY;
        for v in &edges {
            for s in &edges {
                let q = s.nearest(v.a);
                let (middle, width) = (v.a.lerp(q, 0.5), v.a.distance(q));
                if width < 0.5 || width >= least || !shape.contains(middle) {
                    continue;
                }
                // A true bottleneck: the disc is empty, and so are discs a little to both sides of the link's ends.
                let free = edges.iter().all(|e| e.distance_to_point(middle) > width / 2.0 - 1e-6);
                let across = (q - v.a) / width;
                let interior = s.project(v.a) > 0.01 && s.project(v.a) < 0.99;
                let blunt = [across.turned(0.05), across.turned(-0.05)]
                    .iter()
                    .all(|d| shape.contains(v.a + *d * 0.01) && !shape.contains(v.a - *d * 0.01));
                if free && interior && blunt {
                    least = width;
                }
            }
        }
        if least.is_finite() {
            let neck = thinnest_neck(&shape).expect("a bottleneck is a neck");
            assert!(neck.width <= least + 1e-6, "seed {seed}: {neck:?}, not {least}");
            compared += 1;
        }
    }
    assert!(compared > 50, "{compared}");
}
