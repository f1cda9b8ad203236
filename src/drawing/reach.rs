//! The largest bit that reaches all of a part, and what limits it.
//!
//! A round bit always leaves a fillet in a sharp inside corner, and makers round their mating edges or
//! clean the corner by hand (common practice, no source): such corners limit nothing and are listed by
//! [`unreached`](super::unreached()). The limits are edges that the bit could not touch at all. They are
//! found by letting the bit's disc grow as it rolls in the stock round the part (outside the outline, inside
//! the openings), which is the erosion of that stock; the first event of the eroded region decides:
//!
//! - an **inside radius**: a hollow curve of radius R passes bits up to 2 R;
//! - a **gap**: two edges across the stock from each other, the disc on their shortest link empty: a slot, a
//!   space between teeth, an opening's width (two sharp points are no gap when the bit fits on either side);
//! - a **run** between corners that the fillets of its corners consume completely, such as the floor of a slot or the
//!   riser of a step: the disc that touches it and both neighbours at its last point.
//!
//! These three are all events of an erosion (edge events and split events in Aichholzer & Aurenhammer,
//! COCOON 1996, here with true offsets instead of mitred ones). Details under [`DETAIL`] do not count:
//! an inside corner broken by a smaller fillet or chamfer counts as sharp, a smaller step as noise.

use super::border::{Border, RegionSide, circumradius, disc_touching};
use super::gap::gaps;
use super::limit::{DETAIL, Limit, Reach};
use crate::geometry::{Point, Ring, Shape, Vector, point};
use std::f64::consts::PI;

/// Widest gap looked for, mm: 2 inches, more than any bit of a desktop router.
const WIDEST: f64 = 50.8;

/// Turn over which a rough curve's radius is averaged, radians: 30 degrees.
const WINDOW: f64 = PI / 6.0;

/// How far the points of a hole may lie from its circle, mm: twice the chord error, plus the rounding of files.
const ROUND: f64 = 0.02;

/// The diameter of the largest bit that touches every edge of the part, corners rounded.
///
/// Gaps and runs are exact for the given polygon; an inside radius is that of the circle through neighbouring
/// vertices, so a true arc comes out exactly however it is cut into chords. Cost: about linear.
///
/// # Example
/// ```
/// use tabwright::drawing::largest_bit;
/// use tabwright::geometry::{Ring, Shape, point};
/// let slot = Ring::rectangle(3.0, 20.0).moved(point(10.0, 10.0));
/// let plate = Shape::new(Ring::rectangle(40.0, 40.0), vec![slot]);
/// assert!((largest_bit(&plate).diameter - 3.0).abs() < 1e-9);
/// ```
pub fn largest_bit(shape: &Shape) -> Reach {
    let border = Border::new(shape, RegionSide::Stock);
    let origin = point(0.0, 0.0);
    let none = Reach { diameter: f64::INFINITY, at: origin, centre: origin, limit: None };
    let mut best = none;
    let mut take = |found: Reach| {
        if found.diameter < best.diameter {
            best = found;
        }
    };
    inside_radii(&border, f64::INFINITY, &mut take);
    runs(&border, &mut take);
    let widest = best.diameter.min(WIDEST);
    let take = |gap: Reach, _: Point| {
        // The widest asked for shrinks with every find, so each is better than the last.
        best = gap;
        gap.diameter
    };
    gaps(&border, take, widest);
    best
}

/// Everything that limits the bit to less than `diameter`, in the order of the border.
pub fn limits(shape: &Shape, diameter: f64) -> Vec<Reach> {
    let border = Border::new(shape, RegionSide::Stock);
    let mut found = Vec::new();
    let mut take = |r: Reach| {
        if r.diameter < diameter {
            found.push(r);
        }
    };
    inside_radii(&border, diameter, &mut take);
    runs(&border, &mut take);
    let widest = diameter.min(WIDEST);
    gaps(
        &border,
        |gap, _| {
            take(gap);
            widest
        },
        widest,
    );
    found
}

/// Finds hollow curves, with the least radius of each.
fn inside_radii(border: &Border, below: f64, take: &mut impl FnMut(Reach)) {
    let hollow = |i: usize| border.vertices[i].smooth && border.vertices[i].turn > 1e-9;
    let mut seen = vec![false; border.vertices.len()];
    for start in 0..border.vertices.len() {
        if seen[start] || !hollow(start) || hollow(border.previous[start]) {
            continue;
        }
        let curve = follow(border, start, &hollow, &mut seen);
        curve_limit(border, &curve, below, take);
    }
    // Rings that are one curve all round have no start.
    for start in 0..border.vertices.len() {
        if !seen[start] && hollow(start) {
            let curve = follow(border, start, &hollow, &mut seen);
            match round(border, &curve) {
                Some(hole) if hole.diameter < below => take(hole),
                Some(_) => {}
                None => curve_limit(border, &curve, below, take),
            }
        }
    }
}

/// The limit of a round hole: a closed curve whose points all lie as far from its middle, within [`ROUND`]. In a finely divided
/// hole three neighbours give a poor radius, since files round places to a thousandth.
fn round(border: &Border, curve: &[usize]) -> Option<Reach> {
    let points: Vec<Point> = curve.iter().map(|&i| border.vertices[i].at).collect();
    let centre = Ring(points.clone()).centroid();
    let away = points.iter().map(|p| p.distance(centre));
    let (least, most) = away.fold((f64::INFINITY, 0.0f64), |(l, m), d| (l.min(d), m.max(d)));
    let limit = Some(Limit::InsideRadius);
    (most - least <= ROUND).then(|| Reach { diameter: 2.0 * least, at: points[0], centre, limit })
}

fn follow(
    border: &Border,
    start: usize,
    belongs: &impl Fn(usize) -> bool,
    seen: &mut [bool],
) -> Vec<usize> {
    let mut chain = Vec::new();
    let mut i = start;
    while belongs(i) && !seen[i] {
        seen[i] = true;
        chain.push(i);
        i = border.next[i];
    }
    chain
}

/// The least radius in a chain of hollow smooth vertices that is deep enough to count.
fn curve_limit(border: &Border, chain: &[usize], below: f64, take: &mut impl FnMut(Reach)) {
    let radius = |i: usize| {
        let at = |k: usize| border.vertices[k].at;
        circumradius(at(border.previous[i]), at(i), at(border.next[i])).unwrap_or(f64::INFINITY)
    };
    let radii: Vec<f64> = chain.iter().map(|&i| radius(i)).collect();
    let mut best: Option<(f64, usize)> = None;
    for k in 0..chain.len() {
        let (averaged, turn) = averaged_radius(border, chain, k);
        // A rough curve's three points may show less than the curve has.
        let r = if radii[k] < 0.8 * averaged { averaged } else { radii[k] };
        if 2.0 * r >= below || best.is_some_and(|(least, _)| r >= least) {
            continue;
        }
        if depth_as_corner(r, turn.max(bend(border, chain, &radii, k, r))) > DETAIL {
            best = Some((r, chain[k]));
        }
    }
    if let Some((r, i)) = best {
        let limit = Some(Limit::InsideRadius);
        let v = &border.vertices[i];
        let normal = (v.normal_before + v.normal_after).unit().unwrap_or(v.normal_after);
        take(Reach { diameter: 2.0 * r, at: v.at, centre: v.at + normal * r, limit });
    }
}

/// How far a fillet of radius `r` over `turn` stands from the sharp corner, mm.
fn depth_as_corner(r: f64, turn: f64) -> f64 {
    if turn >= 0.9 * PI { f64::INFINITY } else { r * (1.0 / (turn / 2.0).cos() - 1.0) }
}

/// Turn of the curve about its vertex `k`, as far as its radius stays under three times `r`.
fn bend(border: &Border, chain: &[usize], radii: &[f64], k: usize, r: f64) -> f64 {
    let tight = |j: usize| radii[j] <= 3.0 * r;
    let turn = |j: usize| border.vertices[chain[j]].turn;
    let back: f64 = (0..k).rev().take_while(|&j| tight(j)).map(turn).sum();
    let ahead: f64 = (k..chain.len()).take_while(|&j| j == k || tight(j)).map(turn).sum();
    // The chords' ends lack half a turn each where the arc meets its tangents.
    back + ahead
}

/// Length over turn of the piece of the chain about vertex `k` that turns by [`WINDOW`], and its turn.
fn averaged_radius(border: &Border, chain: &[usize], k: usize) -> (f64, f64) {
    let vertex = |j: usize| &border.vertices[chain[j]];
    let (mut low, mut high) = (k, k);
    let mut turn = vertex(k).turn;
    let mut length = (vertex(k).before + vertex(k).after) / 2.0;
    while turn < WINDOW {
        let grow_low = low > 0 && (k - low <= high - k || high + 1 == chain.len());
        let j = if grow_low {
            low -= 1;
            low
        } else if high + 1 < chain.len() {
            high += 1;
            high
        } else {
            break;
        };
        turn += vertex(j).turn;
        length += (vertex(j).before + vertex(j).after) / 2.0;
    }
    (length / turn, turn)
}

/// Finds runs that end in a sharp hollow corner, with the disc that is the last to touch each.
fn runs(border: &Border, take: &mut impl FnMut(Reach)) {
    let corner = |i: usize| !border.vertices[i].smooth;
    for start in (0..border.vertices.len()).filter(|&i| corner(i)) {
        let run = run_from(border, start);
        let end = border.next[run[run.len() - 1]];
        let hollow = |i: usize| border.vertices[i].turn > 0.0;
        // A ring with one corner is its own neighbour: its curve limits it.
        if !hollow(start) && !hollow(end) || start == end || is_small(border, start, &run, end) {
            continue;
        }
        let (radius, at, normal) = last_disc(border, &run, hollow(start), hollow(end));
        let centre = at + normal * radius;
        take(Reach { diameter: 2.0 * radius, at, centre, limit: Some(Limit::Run) });
    }
}

/// Edges from the corner `start` up to the next corner of its ring.
fn run_from(border: &Border, start: usize) -> Vec<usize> {
    let mut run = vec![start];
    let mut i = border.next[start];
    while border.vertices[i].smooth && i != start {
        run.push(i);
        i = border.next[i];
    }
    run
}

/// Whether a run is less than [`DETAIL`]: a chamfer that counts as a sharp corner, or a step that counts as none.
fn is_small(border: &Border, start: usize, run: &[usize], end: usize) -> bool {
    let (a, b) = (&border.vertices[start], &border.vertices[end]);
    let chord = a.at.distance(b.at);
    let length: f64 = run.iter().map(|&e| border.edges[e].length()).sum();
    if length <= DETAIL {
        return true;
    }
    if a.turn <= 0.0 || b.turn <= 0.0 || length > 10.0 * DETAIL {
        return false;
    }
    // Height of the triangle that the neighbours' lines close over the run.
    let turn = a.turn + b.turn;
    turn < 0.9 * PI && chord * a.turn.sin() * b.turn.sin() / turn.sin().max(1e-9) <= DETAIL
}

/// The greatest disc that touches the run and cuts neither into the run before it (checked if `from_start`, over a
/// hollow corner) nor into the run after it: its radius, where it touches and the normal there.
///
/// Along the run the disc grows away from the corner before it and shrinks towards the corner after it, so the
/// place where it touches both neighbours is found by bisection.
fn last_disc(
    border: &Border,
    run: &[usize],
    from_start: bool,
    to_end: bool,
) -> (f64, Point, Point) {
    let mut before: Vec<usize> = if from_start { run_before(border, run[0]) } else { vec![] };
    let end = border.next[run[run.len() - 1]];
    let mut after: Vec<usize> = if to_end { run_from(border, end) } else { vec![] };
    // The disc at a proud end touches the edge beyond that corner in the corner itself: by rounding, that would look like no
    // room at all. It comes into question where the ring has two corners, as a heart has.
    if !to_end {
        before.retain(|&e| e != end);
    }
    if !from_start {
        after.retain(|&e| border.next[e] != run[0]);
    }
    let limit = |others: &[usize], b: Point, n: Point| {
        others
            .iter()
            .map(|&e| disc_touching(b, n, border.edges[e], border.normal(e)))
            .fold(f64::INFINITY, f64::min)
    };
    // Place `x` along the run: whole part the edge, rest the fraction along it.
    let place = |x: f64| {
        let k = (x as usize).min(run.len() - 1);
        let s = border.edges[run[k]];
        (s.a.lerp(s.b, x - k as f64), border.normal(run[k]))
    };
    let (mut low, mut high) = (0.0, run.len() as f64);
    match (from_start, to_end) {
        // A ring with two corners: the same run lies before and after, as round a hole with a flat.
        (true, true) if before.last() == after.first() => {
            let least = |x| {
                let (b, n) = place(x);
                limit(&after, b, n)
            };
            low = roomiest(least, run.len());
        }
        (true, true) => {
            for _ in 0..60 {
                let x = (low + high) / 2.0;
                let (b, n) = place(x);
                if limit(&before, b, n) < limit(&after, b, n) { low = x } else { high = x }
            }
        }
        (true, false) => low = high,
        _ => {}
    }
    let (b, n) = place(low);
    (limit(&before, b, n).min(limit(&after, b, n)), b, n)
}

/// Where `room` is greatest between 0 and `edges`: the best of sixteen places an edge and at least 64 in all, then by a ternary
/// search between its neighbours.
fn roomiest(room: impl Fn(f64) -> f64, edges: usize) -> f64 {
    let steps = (16 * edges).max(64);
    let place = |i: usize| edges as f64 * i as f64 / steps as f64;
    let best = (1..steps)
        .map(|i| (room(place(i)), i))
        .fold((0.0, 1), |a, b| if b.0 > a.0 { b } else { a });
    let (mut low, mut high) = (place(best.1 - 1), place(best.1 + 1));
    for _ in 0..60 {
        let third = (high - low) / 3.0;
        if room(low + third) < room(high - third) { low += third } else { high -= third }
    }
    // Edges turn at their ends, so that the best place between two may be worse than the one found first.
    if room(low) > best.0 { low } else { place(best.1) }
}

/// Edges from the corner before `start` up to `start`.
fn run_before(border: &Border, start: usize) -> Vec<usize> {
    let mut run = vec![border.previous[start]];
    while border.vertices[run[run.len() - 1]].smooth && run.len() < border.vertices.len() {
        run.push(border.previous[run[run.len() - 1]]);
    }
    run
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| point(x, y)).collect())
    }

    fn plate(openings: Vec<Ring>) -> Shape {
        Shape::new(Ring::rectangle(100.0, 100.0), openings)
    }

    /// An arc in `n` chords, ends included.
    fn arc(centre: Point, r: f64, from: f64, to: f64, n: usize) -> Vec<Point> {
        let at = |i: usize| from + (to - from) * i as f64 / n as f64;
        (0..=n).map(|i| centre + point(r, 0.0).turned(at(i))).collect()
    }

    fn check(shape: &Shape, diameter: f64, limit: Option<Limit>) {
        let found = largest_bit(shape);
        assert!(
            found.diameter == diameter || (found.diameter - diameter).abs() < 0.01,
            "{found:?}, not {diameter}"
        );
        assert_eq!(found.limit, limit, "{found:?}");
    }

    /// Each expected value is plane geometry, worked in the comment.
    #[test]
    fn limits_of_plain_shapes() {
        check(&plate(vec![]), f64::INFINITY, None);
        // A square opening: the width between its sides.
        check(
            &plate(vec![Ring::rectangle(3.0, 20.0).moved(point(9.0, 9.0))]),
            3.0,
            Some(Limit::Run),
        );
        // A round opening: its diameter, in 40 chords.
        let round = Ring(arc(point(50.0, 50.0), 4.0, 0.0, TAU * 39.0 / 40.0, 39));
        check(&plate(vec![round]), 8.0, Some(Limit::InsideRadius));
        // An equilateral triangle of side 12: the inscribed circle's diameter, 12 / sqrt(3).
        let h = 12.0 * 0.75f64.sqrt();
        let triangle = ring(&[(20.0, 20.0), (32.0, 20.0), (26.0, 20.0 + h)]);
        check(&plate(vec![triangle]), 12.0 / 3f64.sqrt(), Some(Limit::Run));
        // A slot from the edge, 4 wide, square floor.
        let slot = ring(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 30.0),
            (22.0, 30.0),
            (22.0, 15.0),
            (18.0, 15.0),
            (18.0, 30.0),
            (0.0, 30.0),
        ]);
        check(&Shape::new(slot, vec![]), 4.0, Some(Limit::Run));
        // A step of 1 mm: the riser's disc touches tread and riser's top, radius 1.
        let step =
            ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 19.0), (0.0, 19.0)]);
        check(&Shape::new(step, vec![]), 2.0, Some(Limit::Run));
    }

    /// A hole with a flat, as for a motor's shaft: a disc that rests on the flat reaches the bowl's far side, so its
    /// diameter is R + d where the flat lies d off the centre (plane geometry). A lens of two arcs likewise has its width.
    #[test]
    fn a_hole_of_two_corners_passes_what_fits_across_it() {
        for (r, d) in [(10.0, 8.0), (3.0, 2.5), (10.0, 0.0), (5.0, -2.0), (2.617, -0.148)] {
            let flat = f64::acos(d / r);
            let hole = Ring(arc(point(50.0, 50.0), r, flat, TAU - flat, 90));
            let reach = largest_bit(&plate(vec![hole]));
            assert!((reach.diameter - (r + d)).abs() < 0.02, "{r} {d}: {reach:?}");
        }
        let half = f64::acos(0.8);
        let mut lens = arc(point(42.0, 50.0), 10.0, -half, half, 60);
        lens.extend(arc(point(58.0, 50.0), 10.0, PI - half, PI + half, 60));
        let reach = largest_bit(&plate(vec![Ring(lens)]));
        assert!((reach.diameter - 4.0).abs() < 0.02, "{reach:?}");
    }

    /// A heart has two corners, its cleft and its tip, and no narrow place: every bit reaches all of it, however it lies.
    #[test]
    fn a_heart_limits_no_bit_however_it_is_turned() {
        // Lobes of radius 10 about (±8, 0) meet in the cleft at (0, -6); straight flanks run from them, as tangents, to the tip.
        let to_tip = 8f64.hypot(24.0);
        let from = f64::atan2(24.0, 8.0) + f64::acos(10.0 / to_tip);
        let left = arc(point(-8.0, 0.0), 10.0, from, 2.0 * PI - f64::acos(0.8), 40);
        let mut points: Vec<Point> = left.iter().rev().map(|p| point(-p.x, p.y)).collect();
        points.extend([point(0.0, 24.0)]);
        points.extend(left[..left.len() - 1].iter().copied());
        for turn in 0..72 {
            let turned =
                points.iter().map(|p| p.turned(f64::from(turn) * PI / 36.0) + point(51.3, 17.9));
            let heart = Shape::new(Ring(turned.collect()).positive(), vec![]);
            let found = largest_bit(&heart);
            assert!(found.diameter > 20.0, "{turn}: {found:?}");
        }
    }

    #[test]
    fn a_bottleneck_is_the_distance_of_two_proud_corners() {
        // A pocket-shaped hollow 20 wide behind a mouth of 5 between two noses.
        let shape = ring(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 40.0),
            (22.5, 40.0),
            (22.5, 35.0),
            (30.0, 30.0),
            (30.0, 10.0),
            (10.0, 10.0),
            (10.0, 30.0),
            (17.5, 35.0),
            (17.5, 40.0),
            (0.0, 40.0),
        ]);
        check(&Shape::new(shape, vec![]), 5.0, Some(Limit::Gap));
    }

    #[test]
    fn an_inside_fillet_is_exact_however_it_is_cut_into_chords() {
        // A rectangular opening with corners of radius 2: 4, whether the chords are even or not.
        let mut points = Vec::new();
        for (k, n) in [(0, 8), (1, 9), (2, 11), (3, 30)] {
            let centre =
                [point(68.0, 58.0), point(32.0, 58.0), point(32.0, 42.0), point(68.0, 42.0)][k];
            let from = k as f64 * PI / 2.0;
            points.extend(arc(centre, 2.0, from, from + PI / 2.0, n));
        }
        check(&plate(vec![Ring(points.clone())]), 4.0, Some(Limit::InsideRadius));
        // A point pushed close to its neighbour along the arc makes a short chord, no smaller radius.
        let extra = point(68.0, 58.0) + point(2.0, 0.0).turned(0.32);
        points.insert(2, extra);
        check(&plate(vec![Ring(points)]), 4.0, Some(Limit::InsideRadius));
    }

    #[test]
    fn a_broken_corner_is_a_sharp_one() {
        // A chamfer of 0.1 x 0.1 at an inside corner and a step of 0.05: nothing that limits a bit.
        let shape = ring(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 20.0),
            (30.0, 20.0),
            (30.0, 20.05),
            (20.1, 20.05),
            (20.0, 20.15),
            (20.0, 40.0),
            (0.0, 40.0),
        ]);
        assert!(largest_bit(&Shape::new(shape, vec![])).diameter > 18.0);
    }
}
