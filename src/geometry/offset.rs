//! Growing and shrinking by a distance: the bit's disc rolled along an edge.
//!
//! Minkowski sum with a disc, by Clipper's offsetter (Vatti clipping, round joins), crate
//! `geo-clipper`. It works on integers: [`SCALE`] units a mm, and its arcs are chords **inside** the
//! true arc by up to [`ARC_TOLERANCE`]. `grow` adds both, so that what it returns always holds the
//! exact result and exceeds it by at most twice their sum.

use super::{Point, Ring, Shape, Vector, point};
use geo_clipper::{Clipper, EndType, JoinType};

/// How far chords may leave a true arc, mm: a fifth of the 0.05 mm that a desktop router repeats to
/// (common practice, no source).
pub const ARC_TOLERANCE: f64 = 0.01;

/// Clipper's integer units in a mm: 0.0001 mm, so sheets up to 1e5 m stay inside its 63 bits.
const SCALE: f64 = 10_000.0;

/// What Clipper's rounding can lose, mm: its wrapper cuts input to whole units (up to 1 in x and y), Clipper
/// rounds offset points and where edges meet (up to 1/2 each): sqrt(2) (1 + 1/2 + 1/2) units.
const ROUNDING: f64 = 3.0 / SCALE;

/// Clipper's arc precision, in its units, for chords within `tolerance` mm.
///
/// It rounds the number of chords of a corner to the nearest, so one chord may span 1.5 of its steps, and
/// leaves the arc by 1.5² of what was asked for.
fn arc_precision(tolerance: f64) -> f64 {
    tolerance / 2.25 * SCALE
}

/// The shape grown by `distance` mm: openings shrink, and notches narrower than twice the distance close.
///
/// The result holds the exact one and exceeds it by at most 2 ([`ARC_TOLERANCE`] + 0.0003) mm.
/// A negative distance shrinks (and errs towards less); the result may then fall into several shapes.
pub fn grow(shapes: &[Shape], distance: f64) -> Vec<Shape> {
    grow_within(shapes, distance, ARC_TOLERANCE)
}

/// [`grow`] with chords within `tolerance` mm of the true arcs instead of [`ARC_TOLERANCE`].
///
/// The result holds the exact one and exceeds it by at most 2 (`tolerance` + 0.0003) mm.
pub fn grow_within(shapes: &[Shape], distance: f64, tolerance: f64) -> Vec<Shape> {
    let slack = tolerance + ROUNDING;
    raw_offset(shapes, if distance >= 0.0 { distance + slack } else { distance }, tolerance)
}

/// The region that stays at least `distance` mm inside the shape: never more than the exact one.
pub fn shrink(shapes: &[Shape], distance: f64) -> Vec<Shape> {
    shrink_within(shapes, distance, ARC_TOLERANCE)
}

/// [`shrink`] with chords within `tolerance` mm of the true arcs instead of [`ARC_TOLERANCE`].
pub fn shrink_within(shapes: &[Shape], distance: f64, tolerance: f64) -> Vec<Shape> {
    // Shrinking is growing the outside, where Clipper's arcs fall short again.
    raw_offset(shapes, -(distance + tolerance + ROUNDING), tolerance)
}

/// [`grow`] of a single ring without openings.
pub fn grow_ring(ring: &Ring, distance: f64) -> Vec<Shape> {
    grow(&[Shape::new(ring.clone(), vec![])], distance)
}

/// The region that a disc of `radius` mm sweeps along an open or closed path: it never misses swept stock, and exceeds it by at
/// most 2 ([`ARC_TOLERANCE`] + 0.0003) mm.
pub fn sweep_path(path: &[Point], closed: bool, radius: f64) -> Vec<Shape> {
    sweep_within(path, closed, radius, ARC_TOLERANCE)
}

/// [`sweep_path`] with chords within `tolerance` mm of the true arcs instead of [`ARC_TOLERANCE`].
///
/// An open path is stroked here and resolved by Clipper, whose wrapper offsets closed rings only;
/// `geo`'s stroker takes 10 times as long on finely divided curves.
pub fn sweep_within(path: &[Point], closed: bool, radius: f64, tolerance: f64) -> Vec<Shape> {
    let delta = radius + tolerance + ROUNDING;
    if closed && path.len() > 2 {
        let ring = geo::Polygon::new(geo::LineString::new(path.to_vec()), vec![]);
        let join = JoinType::Round(arc_precision(tolerance));
        return shapes_of(&Clipper::offset(&ring, delta, join, EndType::ClosedLine, SCALE));
    }
    let stroke = geo::Polygon::new(geo::LineString::new(stroke(path, delta, tolerance)), vec![]);
    shapes_of(&Clipper::union(&stroke, &geo::MultiPolygon::new(vec![]), SCALE))
}

/// The edge of an open path's stroke, overlapping itself: there and back along the path, `radius` to
/// one side, with arcs round outer corners and through the vertex at inner ones.
///
/// Summed up it is one rectangle a segment, one wedge a corner and one half disc an end, all wound the
/// same way; so the region of non-zero winding is exactly their union.
fn stroke(path: &[Point], radius: f64, tolerance: f64) -> Vec<Point> {
    let mut walk: Vec<Point> = path.to_vec();
    walk.dedup();
    walk.extend(walk.clone().iter().rev().skip(1));
    walk.pop();
    // Sagitta r (1 - cos(step / 2)) of a chord stays under the tolerance.
    let step = 2.0 * (1.0 - tolerance / radius).clamp(-1.0, 1.0).acos();
    if walk.len() < 2 {
        let centre = path.first().copied().unwrap_or_default();
        let n = (std::f64::consts::TAU / step).ceil();
        return (0..n as usize)
            .map(|k| centre + point(radius, 0.0).turned(std::f64::consts::TAU * k as f64 / n))
            .collect();
    }
    let n = walk.len();
    let mut edge = vec![];
    for i in 0..n {
        let (before, here, after) = (walk[(i + n - 1) % n], walk[i], walk[(i + 1) % n]);
        let (Some(d), Some(e)) = ((here - before).unit(), (after - here).unit()) else { continue };
        let (from, to) = (d.perp() * -radius, e.perp() * -radius);
        edge.push(here + from);
        let turn = d.cross(e).atan2(d.dot(e));
        // The stroke's side is the outer one where the walk turns towards +; an end turns by half.
        if turn > 0.0 || d.dot(e) < -1.0 + 1e-12 {
            let turn = if d.dot(e) < -1.0 + 1e-12 { std::f64::consts::PI } else { turn };
            let pieces = (turn / step).ceil();
            for k in 1..pieces as usize {
                edge.push(here + from.turned(turn * k as f64 / pieces));
            }
        } else if turn < 0.0 {
            edge.push(here);
        }
        edge.push(here + to);
    }
    edge
}

fn raw_offset(shapes: &[Shape], delta: f64, tolerance: f64) -> Vec<Shape> {
    let region = geo::MultiPolygon::new(shapes.iter().map(Shape::to_geo).collect());
    let grown = Clipper::offset(
        &region,
        delta,
        JoinType::Round(arc_precision(tolerance)),
        EndType::ClosedPolygon,
        SCALE,
    );
    shapes_of(&grown)
}

fn shapes_of(region: &geo::MultiPolygon<f64>) -> Vec<Shape> {
    region.iter().map(Shape::from_geo).filter(|s| s.outline.0.len() >= 3).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, Buffer};
    use std::f64::consts::PI;

    fn square() -> Shape {
        let hole = Ring::rectangle(6.0, 6.0).moved(point(7.0, 7.0));
        Shape::new(Ring::rectangle(20.0, 20.0), vec![hole])
    }

    #[test]
    fn grown_square_has_steiners_area_and_holds_the_exact_result() {
        // Steiner's formula: A + P d + pi d^2 outside, (6 - 2d)^2 left of the opening.
        let d = 1.5875;
        let exact = 400.0 + 80.0 * d + PI * d * d - (6.0 - 2.0 * d) * (6.0 - 2.0 * d);
        let grown: f64 = grow(&[square()], d).iter().map(Shape::net_area).sum();
        let most = exact + 2.0 * (ARC_TOLERANCE + ROUNDING) * (80.0 + 2.0 * PI * d + 24.0);
        assert!(grown >= exact && grown <= most, "{exact} <= {grown} <= {most}");
    }

    #[test]
    fn clipper_and_geo_agree_on_a_star() {
        let star = Ring(
            (0..24)
                .map(|i| {
                    point(if i % 2 == 0 { 10.0 } else { 7.0 }, 0.0).turned(PI * i as f64 / 12.0)
                })
                .collect(),
        );
        let shape = Shape::new(star, vec![]);
        let ours: f64 = raw_offset(std::slice::from_ref(&shape), 1.0, ARC_TOLERANCE)
            .iter()
            .map(Shape::net_area)
            .sum();
        let theirs = shape.to_geo().buffer(1.0).unsigned_area();
        assert!((ours - theirs).abs() / theirs < 2e-3, "{ours} {theirs}");
    }

    #[test]
    fn a_swept_path_is_a_slot_with_round_ends() {
        let path = [point(0.0, 0.0), point(30.0, 0.0)];
        let swept: f64 = sweep_path(&path, false, 2.0).iter().map(Shape::net_area).sum();
        let exact = 30.0 * 4.0 + PI * 4.0;
        assert!(swept >= exact && swept < exact * 1.02, "{swept} {exact}");
    }

    /// `geo`'s stroker on a winding path with a sharp bend, a spike back along itself and a crossing.
    #[test]
    fn our_stroke_and_geos_agree() {
        use geo::BooleanOps;
        use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
        let mut path: Vec<Point> = (0..80)
            .map(|i| {
                point(0.0, 0.0) + point(4.0 + 0.1 * f64::from(i), 0.0).turned(0.15 * f64::from(i))
            })
            .collect();
        path.extend([point(-20.0, 0.0), point(20.0, 1.0), point(12.0, 1.1), point(20.0, 6.0)]);
        let ours = sweep_within(&path, false, 1.5875, 0.001);
        let style = BufferStyle::new(1.5875)
            .line_join(LineJoin::Round(0.05))
            .line_cap(LineCap::Round(0.05));
        let theirs = geo::LineString::new(path).buffer_with_style(style);
        let ours = geo::MultiPolygon::new(ours.iter().map(Shape::to_geo).collect());
        let off = BooleanOps::xor(&ours, &theirs).unsigned_area();
        let perimeter = 2.0 * 160.0;
        assert!(off < 0.003 * perimeter, "{off} mm² differ");
    }
}
