//! Sections of the part that pockets, grooves and drilled holes weaken.

use super::left::NetSection;
use super::sections::{Chord, arm};
use crate::geometry::{Bounds, Contour, Point, Ring, Segment, Shape, Vector, point};
use crate::layout::{Feature, FeatureKind};

/// Depth taken for a pocket whose depth the job does not give, as a share of the thickness (common practice, no source).
const HALF: f64 = 0.5;
/// A section that keeps this share of its strength counts as whole.
const WHOLE: f64 = 0.98;
/// Directions in which a feature is sectioned, over half a turn, and the number of places.
const DIRECTIONS: usize = 12;
const PLACES: usize = 12;

/// A volume removed from the part from above: its edge, and its depth.
struct Hollow {
    ring: Ring,
    bounds: Bounds,
    depth: f64,
}

/// The narrow sections `found` of a part `thickness` mm thick, each with its net section where pockets and holes weaken it, and one
/// more through each pocket or hole where that weakens the part the most.
///
/// A drill hole goes through unless its depth is given; a pocket without a depth is taken to half the thickness; an open pocket
/// line is a groove as wide as the bit. Engravings and marks do not count.
pub fn weakened(
    mut found: Vec<Chord>,
    part: (&Shape, &[Contour]),
    thickness: f64,
    features: &[Feature],
    bit: f64,
) -> Vec<Chord> {
    let hollows = hollows(features, thickness, bit);
    if hollows.is_empty() {
        return found;
    }
    for chord in &mut found {
        chord.left = left(chord, &hollows, thickness).filter(|l| l.share < WHOLE);
    }
    found.extend(hollows.iter().filter_map(|h| through(h, part, thickness, &hollows)));
    found
}

fn hollows(features: &[Feature], thickness: f64, bit: f64) -> Vec<Hollow> {
    let mut list = vec![];
    for feature in features {
        let depth = match (feature.kind, feature.depth) {
            (FeatureKind::Pocket | FeatureKind::Drill, Some(depth)) => depth,
            (FeatureKind::Pocket, None) => HALF * thickness,
            (FeatureKind::Drill, None) => thickness,
            _ => continue,
        };
        let grooves = feature.lines.iter().flat_map(|l| groove(l, bit / 2.0));
        for ring in feature.rings.iter().cloned().chain(grooves) {
            if depth > 0.0 && ring.0.len() > 2 {
                list.push(Hollow { bounds: ring.bounds(), ring, depth: depth.min(thickness) });
            }
        }
    }
    list
}

/// The segments of an open line as rectangles that reach `half` to either side and beyond the ends.
fn groove(line: &Ring, half: f64) -> Vec<Ring> {
    let of = |w: &[Point]| {
        let along = (w[1] - w[0]).unit()? * half;
        let (a, b, side) = (w[0] - along, w[1] + along, along.perp());
        Some(Ring(vec![a - side, b - side, b + side, a + side]))
    };
    line.0.windows(2).filter_map(of).collect()
}

/// The net section that the hollows leave; `None` where none crosses it, or nothing is left.
fn left(chord: &Chord, hollows: &[Hollow], thickness: f64) -> Option<NetSection> {
    let line = Segment::new(chord.a, chord.b);
    let bounds = Bounds::of(&[chord.a, chord.b]);
    let crossing: Vec<&Hollow> = hollows.iter().filter(|h| h.bounds.touches(bounds)).collect();
    if crossing.is_empty() {
        return None;
    }
    let edges = crossing.iter().flat_map(|h| h.ring.segments());
    let mut at: Vec<f64> = edges.filter_map(|e| meets(line, e)).collect();
    at.extend([0.0, 1.0]);
    at.sort_by(f64::total_cmp);
    let strip = |w: &[f64]| {
        let middle = line.a.lerp(line.b, (w[0] + w[1]) / 2.0);
        let over = crossing.iter().filter(|h| h.ring.contains(middle));
        let depth = over.map(|h| h.depth).fold(0.0, f64::max);
        (w[0] * chord.width, w[1] * chord.width, thickness - depth)
    };
    let strips: Vec<_> = at.windows(2).map(strip).filter(|s| s.1 - s.0 > 1e-9).collect();
    // A thin rib that stands beside a pocket takes the greatest stress and bears next to nothing: what lies under it
    // bears as much alone, so the better of the two counts.
    let floor = strips.iter().map(|s| s.2).filter(|h| *h > 0.0).fold(thickness, f64::min);
    let low: Vec<_> = strips.iter().map(|s| (s.0, s.1, s.2.min(floor))).collect();
    let found = [
        NetSection::of(&strips, chord.width, thickness),
        NetSection::of(&low, chord.width, thickness),
    ];
    let best = found.into_iter().flatten().max_by(|a, b| a.share.total_cmp(&b.share));
    // Next to nothing stands for nothing, so that the section is still there, and fails.
    best.or_else(|| {
        let film = (0.0, chord.width, 1e-3 * thickness);
        NetSection::of(&[film], chord.width, thickness)
    })
}

/// Where along `line` (0 to 1) the segment `edge` crosses it.
fn meets(line: Segment, edge: Segment) -> Option<f64> {
    let within = |t: &f64| (0.0..=1.0).contains(t);
    line.line_meeting(edge).filter(|(t, u)| within(t) && within(u)).map(|m| m.0)
}

/// The weakest section through a hollow: several of its places are tried, in several directions.
fn through(
    hollow: &Hollow,
    (shape, contours): (&Shape, &[Contour]),
    thickness: f64,
    hollows: &[Hollow],
) -> Option<Chord> {
    let n = hollow.ring.0.len();
    let corner = |i: usize| hollow.ring.0[i * n / PLACES.min(n)];
    let centre = hollow.ring.centroid();
    // A little inside, so that the cut does run through it.
    let rim = (0..PLACES.min(n)).map(|i| corner(i).lerp(centre, 0.1));
    let places: Vec<Point> = rim.chain([centre]).filter(|p| shape.contains(*p)).collect();
    let mut best: Option<(f64, Chord)> = None;
    for p in places {
        for k in 0..DIRECTIONS {
            let angle = std::f64::consts::PI * k as f64 / DIRECTIONS as f64;
            let way = point(1.0, 0.0).turned(angle);
            let Some(mut chord) = cut(p, way, contours) else { continue };
            chord.left = left(&chord, hollows, thickness).filter(|l| l.share < WHOLE);
            let Some(left) = chord.left else { continue };
            let bears = left.share * chord.width * chord.width / chord.arm.max(chord.width);
            if best.as_ref().is_none_or(|b| bears < b.0) {
                best = Some((bears, chord));
            }
        }
    }
    best.map(|b| b.1)
}

/// The section along `way` through `p`, which lies in the part; the edge on either side must be as long as for any section.
fn cut(p: Point, way: Point, contours: &[Contour]) -> Option<Chord> {
    // Nearest edge ahead and behind: distance, ring, arc length.
    let (mut ahead, mut behind) = ((f64::INFINITY, 0, 0.0), (f64::INFINITY, 0, 0.0));
    for (ring, contour) in contours.iter().enumerate() {
        let n = contour.points().len();
        for i in 0..n {
            let (a, b) = (contour.points()[i], contour.points()[(i + 1) % n]);
            let (u, v) = (way.cross(a - p), way.cross(b - p));
            if (u > 0.0) == (v > 0.0) {
                continue;
            }
            let f = u / (u - v);
            let at = way.dot(a.lerp(b, f) - p);
            let hit = (at.abs(), ring, contour.corner(i) + f * a.distance(b));
            if at >= 0.0 && hit.0 < ahead.0 {
                ahead = hit;
            } else if at < 0.0 && hit.0 < behind.0 {
                behind = hit;
            }
        }
    }
    let width = ahead.0 + behind.0;
    if !width.is_finite() || width <= 0.0 {
        return None;
    }
    let mut chord = Chord {
        a: p - way * behind.0,
        b: p + way * ahead.0,
        from: (behind.1, behind.2),
        to: (ahead.1, ahead.2),
        width,
        arm: 0.0,
        ligament: None,
        left: None,
    };
    if chord.separates() {
        let contour = &contours[chord.from.0];
        if !chord.is_neck(contour) {
            return None;
        }
        chord.arm = arm(contour, &chord);
    }
    Some(chord)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!((a / b - 1.0).abs() < 1e-3, "{a} instead of {b}");
    }

    /// By hand: 10 x 6 mm cut down to 1 mm except for a rib of 0.05 mm in the middle. Centroid 0.5732 mm up, I = 3.549 mm4, so the
    /// rib leaves 3.549/5.4268 = 0.654 mm3 out of the plane, and the floor under it alone 10/6.
    #[test]
    fn a_rib_beside_a_pocket_does_not_weaken_what_lies_under() {
        let pocket = |x: f64| {
            let ring = Ring::rectangle(4.975, 4.0).moved(point(x, -2.0));
            Hollow { bounds: ring.bounds(), ring, depth: 5.0 }
        };
        let chord = Chord {
            a: point(0.0, 0.0),
            b: point(10.0, 0.0),
            from: (0, 0.0),
            to: (0, 0.0),
            width: 10.0,
            arm: 0.0,
            ligament: None,
            left: None,
        };
        let found = left(&chord, &[pocket(0.0), pocket(5.025)], 6.0).unwrap();
        close(found.out_of_plane, 10.0 / 6.0);
        close(found.in_plane, 100.0 / 6.0);
        let strips = [(0.0, 4.975, 1.0), (4.975, 5.025, 6.0), (5.025, 10.0, 1.0)];
        close(NetSection::of(&strips, 10.0, 6.0).unwrap().out_of_plane, 0.654);
    }
}
