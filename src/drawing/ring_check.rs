//! Rings that are fit to be edges, from closed chains: no spikes, doubles, crossings or zero areas.

use super::drawing_fault::{DrawingFault, Flaw, Meeting};
use super::grid::SegmentGrid;
use super::join::{Chain, SAME_POINT, doubled};
use super::pinch::split;
use super::walk::SourceElement;
use crate::geometry::{Point, Ring, Segment, Vector, orient, proper_crossing};
use std::collections::{BTreeMap, BTreeSet};

/// Edges nearer than this touch, mm; less than [`SAME_POINT`], so that neighbours' neighbours do not.
const TOUCH: f64 = 1e-5;

/// Most loops cut off one ring.
const MOST_LOOPS: usize = 8;

/// Most meeting places kept when a file is broken throughout.
const MOST_HITS: usize = 20_000;

/// Most places at which a ring that touches itself is split.
const MOST_TOUCHES: usize = 1_000;

/// A checked ring.
#[derive(Debug, Clone)]
pub(super) struct CheckedRing {
    pub(super) ring: Ring,
    /// The drawn elements it came from.
    pub(super) sources: Vec<usize>,
}

/// The sound rings of `chains`, with a fault for each ring that is not sound.
///
/// Loops and spikes smaller than the join `tolerance` are cut off; rings that are not sound go to `lost`. Cost: about linear,
/// by a grid.
pub(super) fn check(
    chains: Vec<Chain>,
    sources: &[SourceElement],
    tolerance: f64,
    lost: &mut Vec<Ring>,
    faults: &mut Vec<DrawingFault>,
) -> Vec<CheckedRing> {
    let name = |e: &CheckedRing| sources[e.sources[0]].element.as_str();
    let mut edges = without_spikes(chains, sources, tolerance, faults);
    drop_doubled(&mut edges, sources, tolerance, faults);
    // Cutting one loop off may bare the next of a tangle.
    let mut cut = vec![None; edges.len()];
    for _ in 0..MOST_LOOPS {
        if !cut_small_loops(&mut edges, tolerance, &mut cut) {
            break;
        }
    }
    for (edge, at) in edges.iter().zip(&cut) {
        if let Some(at) = at {
            let flaw = Flaw::Loop { under: 4.0 * tolerance };
            faults.push(DrawingFault::warning(name(edge), *at, flaw));
        }
    }
    split_touching(&mut edges, sources, faults);
    let mut bad = vec![false; edges.len()];
    for (&(i, j), &(at, places, how)) in &meetings(&edges) {
        let other = (i != j).then(|| name(&edges[j]).to_string());
        let side_by_side = i != j && how != Meeting::Cross && stand_side_by_side(&edges, i, j);
        let flaw = Flaw::Meets { how, other, places, side_by_side };
        let element = name(&edges[i]);
        if side_by_side {
            // Of a line that was split where it touches itself, that is said already.
            if edges[i].sources != edges[j].sources {
                faults.push(DrawingFault::warning(element, at, flaw));
            }
            continue;
        }
        faults.push(DrawingFault::error(element, at, flaw));
        bad[i] = true;
        bad[j] = true;
    }
    // A figure of eight may enclose no net area: its crossing says more.
    for (edge, bad) in edges.iter().zip(&mut bad) {
        if !*bad && edge.ring.area() <= SAME_POINT * edge.ring.perimeter() {
            faults.push(DrawingFault::error(name(edge), edge.ring.0[0], Flaw::NoArea));
            *bad = true;
        }
    }
    let mut bad = bad.into_iter();
    let (unsound, mut edges): (Vec<CheckedRing>, Vec<CheckedRing>) =
        edges.into_iter().partition(|_| bad.next().unwrap_or(false));
    lost.extend(unsound.into_iter().map(|e| e.ring));
    edges.sort_by_key(|e| e.sources[0]);
    edges
}

/// The chains as rings without spikes, with a fault for each that is no ring.
fn without_spikes(
    chains: Vec<Chain>,
    sources: &[SourceElement],
    tolerance: f64,
    faults: &mut Vec<DrawingFault>,
) -> Vec<CheckedRing> {
    let name = |e: &CheckedRing| sources[e.sources[0]].element.as_str();
    let mut edges: Vec<CheckedRing> = Vec::new();
    for chain in chains {
        let mut edge = CheckedRing { ring: Ring(chain.points), sources: chain.sources };
        let first = edge.ring.0[0];
        if let Some(at) = cut_spikes(&mut edge.ring, tolerance) {
            faults.push(DrawingFault::warning(name(&edge), at, Flaw::Spike));
        }
        if edge.ring.0.len() < 3 {
            faults.push(DrawingFault::error(name(&edge), first, Flaw::NoArea));
        } else {
            edges.push(edge);
        }
    }
    edges
}

/// Splits each ring that touches itself and crosses nothing of its own.
fn split_touching(
    edges: &mut Vec<CheckedRing>,
    sources: &[SourceElement],
    faults: &mut Vec<DrawingFault>,
) {
    let all = hits(edges);
    let own: BTreeSet<usize> = all.iter().filter(|h| h.0.0 == h.1.0).map(|h| h.0.0).collect();
    for &r in own.iter().rev() {
        let of_ring = || all.iter().filter(move |h| h.0.0 == r && h.1.0 == r);
        if of_ring().any(|h| h.2 == Meeting::Cross) || of_ring().count() > MOST_TOUCHES {
            continue;
        }
        let mut touching = vec![];
        for &(a, b, _) in of_ring() {
            let (s, t) = (segment(edges, a), segment(edges, b));
            for (edge, line, ends) in [(a.1, s, [t.a, t.b]), (b.1, t, [s.a, s.b])] {
                let near = ends.into_iter().filter(|p| line.distance_to_point(*p) < TOUCH);
                touching.extend(near.map(|p| (edge, p)));
            }
        }
        let first = of_ring().map(|h| place(edges, h.0, h.1)).next();
        let (Some(at), whole) = (first, edges[r].clone()) else { continue };
        let (mut rings, wall) = split(&whole.ring, &touching, 2.0 * TOUCH);
        rings.iter_mut().for_each(|ring| {
            cut_spikes(ring, f64::MAX);
        });
        rings.retain(|r| r.0.len() >= 3 && r.area() > SAME_POINT * r.perimeter());
        if rings.is_empty() {
            continue;
        }
        let flaw = Flaw::TouchesItself { rings: rings.len(), wall };
        let element = &sources[whole.sources[0]].element;
        faults.push(DrawingFault::warning(element, at, flaw));
        let split = rings.into_iter().map(|ring| CheckedRing { ring, ..whole.clone() });
        edges.splice(r..=r, split);
    }
}

/// Whether two rings that touch are outlines of two parts: neither lies in the other, and both lie in an
/// even number of rings.
fn stand_side_by_side(edges: &[CheckedRing], i: usize, j: usize) -> bool {
    let (p, q) = (inner_point(&edges[i].ring), inner_point(&edges[j].ring));
    let around = |p: Point, but: usize| {
        let others = edges.iter().enumerate().filter(|&(k, _)| k != but);
        others.filter(|(_, e)| e.ring.contains(p)).count()
    };
    !edges[j].ring.contains(p)
        && !edges[i].ring.contains(q)
        && around(p, i).is_multiple_of(2)
        && around(q, j).is_multiple_of(2)
}

/// A point just inside the ring, at the middle of its longest edge.
pub(super) fn inner_point(ring: &Ring) -> Point {
    let longest = ring.segments().max_by(|s, t| s.length().total_cmp(&t.length()));
    let Some(s) = longest else { return ring.0[0] };
    let side = if ring.signed_area() > 0.0 { 1.0 } else { -1.0 };
    let inward = s.direction().unwrap_or(s.b - s.a).perp() * side;
    s.a.lerp(s.b, 0.5) + inward * (SAME_POINT / 100.0)
}

/// The edges of all rings in one list: (ring, number).
fn all_segments(edges: &[CheckedRing]) -> (Vec<Segment>, Vec<(usize, usize)>) {
    edges
        .iter()
        .enumerate()
        .flat_map(|(r, e)| e.ring.segments().enumerate().map(move |(k, s)| (s, (r, k))))
        .unzip()
}

/// Two edges, as ring and number, and how they meet.
type Hit = ((usize, usize), (usize, usize), Meeting);

/// Every pair of ring edges that meet and should not, sorted, each once.
fn hits(edges: &[CheckedRing]) -> Vec<Hit> {
    let (segments, owner) = all_segments(edges);
    let mut found = Vec::new();
    SegmentGrid::new(&segments).pairs(|i, j| {
        let (a, b) = (owner[i], owner[j]);
        if found.len() < MOST_HITS
            && !neighbours(edges, a, b)
            && let Some(meeting) = meet(segments[i], segments[j])
        {
            found.push((a, b, meeting));
        }
    });
    found.sort_unstable();
    found.dedup();
    found
}

fn neighbours(edges: &[CheckedRing], a: (usize, usize), b: (usize, usize)) -> bool {
    let n = edges[a.0].ring.0.len();
    a.0 == b.0 && ((a.1 + 1) % n == b.1 || (b.1 + 1) % n == a.1)
}

fn meet(s: Segment, t: Segment) -> Option<Meeting> {
    let apart =
        |a: f64, b: f64, c: f64, d: f64| a.min(b) > c.max(d) + TOUCH || c.min(d) > a.max(b) + TOUCH;
    if apart(s.a.x, s.b.x, t.a.x, t.b.x) || apart(s.a.y, s.b.y, t.a.y, t.b.y) {
        return None;
    }
    let near = [
        s.distance_to_point(t.a) < TOUCH,
        s.distance_to_point(t.b) < TOUCH,
        t.distance_to_point(s.a) < TOUCH,
        t.distance_to_point(s.b) < TOUCH,
    ];
    if near.iter().any(|&n| n) {
        // Two ends near, and not both at one point: they run along each other.
        let ends = [t.a, t.b, s.a, s.b];
        let places: Vec<Point> = (0..4).filter(|&k| near[k]).map(|k| ends[k]).collect();
        let spread = places.iter().map(|p| p.distance(places[0])).fold(0.0, f64::max);
        return Some(if spread > 2.0 * SAME_POINT { Meeting::Overlap } else { Meeting::Touch });
    }
    proper_crossing(s, t).then_some(Meeting::Cross)
}

/// The worst meeting of each pair of rings: its place, at how many places they meet, and how.
fn meetings(edges: &[CheckedRing]) -> BTreeMap<(usize, usize), (Point, usize, Meeting)> {
    let mut pairs: BTreeMap<(usize, usize), (Point, usize, Meeting)> = BTreeMap::new();
    let mut known = BTreeSet::new();
    for (a, b, meeting) in hits(edges) {
        let at = place(edges, a, b);
        let entry = pairs.entry((a.0, b.0)).or_insert((at, 0, meeting));
        // Up to four pairs of edges meet where two corners touch.
        let to_hundredths = |mm: f64| (mm * 100.0).round() as i64;
        if known.insert((a.0, b.0, to_hundredths(at.x), to_hundredths(at.y))) {
            entry.1 += 1;
        }
        if meeting < entry.2 {
            (entry.0, entry.2) = (at, meeting);
        }
    }
    pairs
}

fn segment(edges: &[CheckedRing], (ring, k): (usize, usize)) -> Segment {
    let points = &edges[ring].ring.0;
    Segment::new(points[k], points[(k + 1) % points.len()])
}

fn place(edges: &[CheckedRing], a: (usize, usize), b: (usize, usize)) -> Point {
    let (s, t) = (segment(edges, a), segment(edges, b));
    // An end of the one that lies on the other; edges that touch may be parallel, and their lines meet anywhere.
    let ends = [(t.a, s), (t.b, s), (s.a, t), (s.b, t)];
    let off = |(p, other): &(Point, Segment)| other.distance_to_point(*p);
    let end = ends.into_iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    match end.filter(|end| off(end) < TOUCH) {
        Some((at, _)) => at,
        None => s.line_meeting(t).map_or(s.a, |(u, _)| s.a.lerp(s.b, u.clamp(0.0, 1.0))),
    }
}

/// Removes vertices where the line turns back on itself; returns the place of the first spike longer than `tolerance`.
fn cut_spikes(ring: &mut Ring, tolerance: f64) -> Option<Point> {
    let mut reported = None;
    let mut clean = 0;
    let mut i = 0;
    // Goes round until a whole turn finds nothing: cutting one spike may bare the next.
    while ring.0.len() >= 3 && clean <= ring.0.len() {
        let n = ring.0.len();
        let (a, b, c) = (ring.0[(i + n - 1) % n], ring.0[i % n], ring.0[(i + 1) % n]);
        let (u, v) = (a - b, c - b);
        let short = u.norm().min(v.norm());
        let back = u.dot(v) > 0.0 && u.cross(v).abs() <= TOUCH * u.norm().max(v.norm());
        if short < SAME_POINT || back {
            if back && short > tolerance && reported.is_none() {
                reported = Some(b);
            }
            ring.0.remove(i % n);
            i = (i + ring.0.len() - 1) % ring.0.len().max(1);
            clean = 0;
        } else {
            i = (i + 1) % n;
            clean += 1;
        }
    }
    reported
}

/// Rings that lie on an earlier ring.
fn drop_doubled(
    edges: &mut Vec<CheckedRing>,
    sources: &[SourceElement],
    tolerance: f64,
    faults: &mut Vec<DrawingFault>,
) {
    let lines: Vec<&[Point]> = edges.iter().map(|e| e.ring.0.as_slice()).collect();
    let doubles = doubled(&lines, tolerance);
    let mut gone = vec![false; edges.len()];
    for (first, again) in doubles {
        gone[again] = true;
        let of = &sources[edges[first].sources[0]].element;
        let element = &sources[edges[again].sources[0]].element;
        let flaw = Flaw::Doubled { of: of.clone() };
        faults.push(DrawingFault::warning(element, edges[again].ring.0[0], flaw));
    }
    let mut index = 0;
    edges.retain(|_| {
        index += 1;
        !gone[index - 1]
    });
}

/// Cuts off loops whose perimeter is under four times the tolerance, at most one a ring, and notes the
/// place of each ring's first; returns whether any was found.
fn cut_small_loops(edges: &mut [CheckedRing], tolerance: f64, cut: &mut [Option<Point>]) -> bool {
    let crossings: Vec<_> =
        hits(edges).into_iter().filter(|(a, b, m)| a.0 == b.0 && *m == Meeting::Cross).collect();
    let mut touched = vec![false; edges.len()];
    for (a, b, _) in crossings {
        let (r, at) = (a.0, place(edges, a, b));
        if touched[r] {
            continue;
        }
        let points = &edges[r].ring.0;
        let n = points.len();
        // The loop runs from the crossing along edge a's end to edge b's start, or the other way round.
        let inner: Vec<usize> = (a.1 + 1..=b.1).collect();
        let outer: Vec<usize> = (b.1 + 1..n).chain(0..=a.1).collect();
        let round = |part: &[usize]| {
            let walk: f64 = part.windows(2).map(|w| points[w[0]].distance(points[w[1]])).sum();
            walk + at.distance(points[part[0]]) + at.distance(points[part[part.len() - 1]])
        };
        let limit = 4.0 * tolerance;
        let keep = match (round(&inner) <= limit, round(&outer) <= limit) {
            (true, _) => outer,
            (_, true) => inner,
            _ => continue,
        };
        let kept = std::iter::once(at).chain(keep.iter().map(|&k| points[k])).collect();
        edges[r].ring = Ring(kept);
        cut_spikes(&mut edges[r].ring, tolerance);
        touched[r] = true;
        cut[r].get_or_insert(at);
    }
    touched.iter().any(|&t| t)
}

/// Drops vertices that lie on the line between their neighbours, exactly or within `1e-9` mm.
pub(super) fn drop_collinear(ring: &Ring) -> Ring {
    let n = ring.0.len();
    let kept: Vec<Point> = (0..n)
        .filter(|&i| {
            let (a, b, c) = (ring.0[(i + n - 1) % n], ring.0[i], ring.0[(i + 1) % n]);
            orient(a, b, c).abs() > 1e-9 * a.distance(c).max(1.0)
        })
        .map(|i| ring.0[i])
        .collect();
    if kept.len() >= 3 { Ring(kept) } else { ring.clone() }
}
