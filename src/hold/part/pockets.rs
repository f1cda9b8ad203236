//! Sections of the part that pockets, grooves and drilled holes weaken.

use super::sections::{Chord, arm, chords};
use crate::geometry::{Bounds, Contour, Point, Ring, Segment, Vector, point};
use crate::hold::HoldTask;
use crate::hold::check::figures::Margin;
use crate::layout::FeatureKind;

/// Depth taken for a pocket whose depth the job does not give, as a share of the thickness (common practice, no source).
const HALF: f64 = 0.5;
/// A section that keeps this share of its strength is as good as whole.
const WHOLE: f64 = 0.98;
/// Directions in which a feature is cut through, over half a turn, and places of it.
const DIRECTIONS: usize = 12;
const PLACES: usize = 12;

/// What a pocket or a hole leaves of a section.
///
/// The section is made of strips of full width and reduced height, which bend together (net section; moments of
/// parts by the parallel-axis theorem, Roark, *Formulas for Stress and Strain*, app. A). Its axes are no principal
/// ones: each modulus is the moment over the greatest stress at any corner by unsymmetrical bending (Timoshenko,
/// *Strength of Materials* I). Stresses of the three are added at their worst, which is on the safe side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// mm².
    pub area: f64,
    /// Section modulus for bending in the sheet's plane, mm³.
    pub in_plane: f64,
    /// The same out of it, mm³.
    pub out_of_plane: f64,
    /// Distance of its centroid from the middle of the whole section: across, and through the thickness, mm.
    pub off: [f64; 2],
    /// The least height that stands, mm; 0 where it is drilled through.
    pub height: f64,
    /// Least share of the whole section's area and moduli.
    pub share: f64,
}

impl Left {
    /// Of strips along a section `width` mm wide: from, to, height left. `None` where nothing is left.
    fn of(strips: &[(f64, f64, f64)], width: f64, thickness: f64) -> Option<Left> {
        let strips: Vec<_> = strips.iter().filter(|s| s.1 > s.0).collect();
        let height = strips.iter().map(|s| s.2).fold(thickness, f64::min);
        let (mut area, mut x, mut z) = (0.0, 0.0, 0.0);
        for (from, to, h) in &strips {
            let a = (to - from) * h;
            (area, x, z) = (area + a, x + a * (from + to) / 2.0, z + a * h / 2.0);
        }
        if area < 1e-9 {
            return None;
        }
        let (x, z) = (x / area, z / area);
        let (mut xx, mut zz, mut xz) = (0.0, 0.0, 0.0);
        for (from, to, h) in &strips {
            let (b, dx, dz) = (to - from, (from + to) / 2.0 - x, h / 2.0 - z);
            xx += b * h * (b * b / 12.0 + dx * dx);
            zz += b * h * (h * h / 12.0 + dz * dz);
            xz += b * h * dx * dz;
        }
        let whole = xx * zz - xz * xz;
        let (mut in_plane, mut out_of_plane) = (0.0f64, 0.0f64);
        for (from, to, h) in strips.iter().filter(|s| s.2 > 0.0) {
            for (u, v) in [(from, 0.0), (from, *h), (to, 0.0), (to, *h)] {
                let (u, v) = (u - x, v - z);
                in_plane = in_plane.max(((zz * u - xz * v) / whole).abs());
                out_of_plane = out_of_plane.max(((xx * v - xz * u) / whole).abs());
            }
        }
        let (in_plane, out_of_plane) = (1.0 / in_plane, 1.0 / out_of_plane);
        let share = (area / (width * thickness))
            .min(in_plane / (thickness * width * width / 6.0))
            .min(out_of_plane / (width * thickness * thickness / 6.0));
        let off = [x - width / 2.0, z - thickness / 2.0].map(f64::abs);
        let found = Left { area, in_plane, out_of_plane, off, height, share };
        (share.is_finite() && share > 0.0).then_some(found)
    }
}

impl Left {
    /// `, a pocket leaves 2.5 mm there`.
    pub fn words(&self) -> String {
        match self.height {
            0.0 => ", drilled through there".into(),
            h => format!(", {POCKET} {h:.1} mm there"),
        }
    }
}

const POCKET: &str = "a pocket leaves";

/// A warning where a section that a pocket or a hole weakens has a margin under 2: it is in the maker's hand.
pub fn warning(part: &Margin, sections: &[Chord]) -> Option<String> {
    let weak = sections.iter().filter_map(|c| c.left).any(|l| part.what.contains(&l.words()));
    let how = if part.what.contains(POCKET) {
        "clear it less deep there, or after the part is cut, held by its face"
    } else {
        "drill it after the part is cut"
    };
    (weak && part.value < 2.0)
        .then(|| format!("{} has a margin of only {:.2}: {how}", part.what, part.value))
}

/// Something that is taken out of the part from above: its edge, and how deep.
struct Hollow {
    ring: Ring,
    bounds: Bounds,
    depth: f64,
}

/// The narrow sections of the task's part, each with what its pockets and holes leave of it, and one more through each
/// pocket or hole where that weakens the part the most.
///
/// A drill hole goes through unless its depth is given; a pocket without a depth is taken to half the thickness; an open
/// pocket line is a groove as wide as the bit. Engravings and marks count for nothing.
pub fn sections(task: &HoldTask, contours: &[Contour]) -> Vec<Chord> {
    let mut found = task.chords.map_or_else(|| chords(task.shape, contours), <[_]>::to_vec);
    let hollows = hollows(task);
    if hollows.is_empty() {
        return found;
    }
    for chord in &mut found {
        chord.left = left(chord, &hollows, task.thickness).filter(|l| l.share < WHOLE);
    }
    found.extend(hollows.iter().filter_map(|h| through(h, task, contours, &hollows)));
    found
}

fn hollows(task: &HoldTask) -> Vec<Hollow> {
    let mut list = vec![];
    for feature in task.features {
        let depth = match (feature.kind, feature.depth) {
            (FeatureKind::Pocket | FeatureKind::Drill, Some(depth)) => depth,
            (FeatureKind::Pocket, None) => HALF * task.thickness,
            (FeatureKind::Drill, None) => task.thickness,
            _ => continue,
        };
        let grooves = feature.lines.iter().flat_map(|l| groove(l, task.bit.diameter / 2.0));
        for ring in feature.rings.iter().cloned().chain(grooves) {
            if depth > 0.0 && ring.0.len() > 2 {
                list.push(Hollow { bounds: ring.bounds(), ring, depth: depth.min(task.thickness) });
            }
        }
    }
    list
}

/// The segments of an open line as rectangles, `half` to either side and beyond the ends.
fn groove(line: &Ring, half: f64) -> Vec<Ring> {
    let of = |w: &[Point]| {
        let along = (w[1] - w[0]).unit()? * half;
        let (a, b, side) = (w[0] - along, w[1] + along, along.perp());
        Some(Ring(vec![a - side, b - side, b + side, a + side]))
    };
    line.0.windows(2).filter_map(of).collect()
}

/// What the hollows leave of a section; `None` where none crosses it, or nothing is left.
fn left(chord: &Chord, hollows: &[Hollow], thickness: f64) -> Option<Left> {
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
    let found = [Left::of(&strips, chord.width, thickness), Left::of(&low, chord.width, thickness)];
    let best = found.into_iter().flatten().max_by(|a, b| a.share.total_cmp(&b.share));
    // Next to nothing stands for nothing, so that the section is still there, and fails.
    best.or_else(|| {
        let film = (0.0, chord.width, 1e-3 * thickness);
        Left::of(&[film], chord.width, thickness)
    })
}

/// Where along `line` (0 to 1) the segment `edge` crosses it.
fn meets(line: Segment, edge: Segment) -> Option<f64> {
    let within = |t: &f64| (0.0..=1.0).contains(t);
    line.line_meeting(edge).filter(|(t, u)| within(t) && within(u)).map(|m| m.0)
}

/// The section through a hollow that bears the least: through several of its places, in several directions.
fn through(
    hollow: &Hollow,
    task: &HoldTask,
    contours: &[Contour],
    hollows: &[Hollow],
) -> Option<Chord> {
    let n = hollow.ring.0.len();
    let corner = |i: usize| hollow.ring.0[i * n / PLACES.min(n)];
    let centre = hollow.ring.centroid();
    // A little inside, so that the cut does run through it.
    let rim = (0..PLACES.min(n)).map(|i| corner(i).lerp(centre, 0.1));
    let places: Vec<Point> = rim.chain([centre]).filter(|p| task.shape.contains(*p)).collect();
    let mut best: Option<(f64, Chord)> = None;
    for p in places {
        for k in 0..DIRECTIONS {
            let angle = std::f64::consts::PI * k as f64 / DIRECTIONS as f64;
            let way = point(1.0, 0.0).turned(angle);
            let Some(mut chord) = cut(p, way, contours) else { continue };
            chord.left = left(&chord, hollows, task.thickness).filter(|l| l.share < WHOLE);
            let Some(left) = chord.left else { continue };
            let bears = left.share * chord.width * chord.width / chord.arm.max(chord.width);
            if best.as_ref().is_none_or(|b| bears < b.0) {
                best = Some((bears, chord));
            }
        }
    }
    best.map(|b| b.1)
}

/// The section along `way` through `p`, which lies in the part; as long edges either side as of any section.
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
        wall: None,
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

    /// By hand: a groove 3 mm deep right across a section 10 x 6 mm leaves 10 x 3 mm.
    #[test]
    fn a_groove_across_leaves_a_thinner_rectangle() {
        let left = Left::of(&[(0.0, 10.0, 3.0)], 10.0, 6.0).unwrap();
        close(left.area, 30.0);
        close(left.in_plane, 3.0 * 100.0 / 6.0);
        close(left.out_of_plane, 10.0 * 9.0 / 6.0);
        close(left.off[1], 1.5);
        close(left.share, 0.25);
    }

    /// By hand: half of a section 10 x 6 mm cut down to 3 mm is an angle of 5 x 6 and 5 x 3 mm. Area 45, centroid at
    /// (4.1667, 2.5); I_x = 343.75, I_z = 123.75, I_xz = -75, I_x I_z - I_xz^2 = 36914; greatest stress of a unit
    /// moment in the plane at (10, 3): (123.75 x 5.8333 + 75 x 0.5)/36914, out of it at (5, 6): (343.75 x 3.5 + 75 x
    /// 0.8333)/36914.
    #[test]
    fn a_pocket_over_half_the_width_leaves_an_angle() {
        let left = Left::of(&[(0.0, 5.0, 6.0), (5.0, 10.0, 3.0)], 10.0, 6.0).unwrap();
        close(left.area, 45.0);
        close(left.in_plane, 36914.06 / 759.37);
        close(left.out_of_plane, 36914.06 / 1265.6);
        close(left.off[0], 0.8333);
        close(left.off[1], 0.5);
    }

    /// By hand: 10 x 6 mm cut down to 1 mm but for a rib of 0.05 mm in the middle. Centroid 0.5732 mm up, I = 3.549 mm4, so
    /// the rib leaves 3.549/5.4268 = 0.654 mm3 out of the plane, and what lies under it alone 10/6.
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
            wall: None,
            left: None,
        };
        let found = left(&chord, &[pocket(0.0), pocket(5.025)], 6.0).unwrap();
        close(found.out_of_plane, 10.0 / 6.0);
        close(found.in_plane, 100.0 / 6.0);
        let strips = [(0.0, 4.975, 1.0), (4.975, 5.025, 6.0), (5.025, 10.0, 1.0)];
        close(Left::of(&strips, 10.0, 6.0).unwrap().out_of_plane, 0.654);
    }

    /// By hand: a hole of 4 mm in the middle of 10 x 6 mm leaves two webs of 3 mm: W = 6 (1000 - 64)/(6 x 10), 6 x 36/6.
    #[test]
    fn a_hole_through_leaves_two_webs() {
        let strips = [(0.0, 3.0, 6.0), (3.0, 7.0, 0.0), (7.0, 10.0, 6.0)];
        let left = Left::of(&strips, 10.0, 6.0).unwrap();
        close(left.area, 36.0);
        close(left.in_plane, 93.6);
        close(left.out_of_plane, 36.0);
        assert_eq!((left.height, left.off), (0.0, [0.0, 0.0]));
    }
}
