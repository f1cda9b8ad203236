//! The thinnest place of a part.

use super::border::{Border, RegionSide, disc_touching};
use super::gap::gaps;
use super::limit::Reach;
use crate::geometry::{Point, Shape, Vector, point};

/// Walls face each other when their normals are opposite within 30 degrees: cos 30 degrees.
const FACING: f64 = 0.866_025_403_784_438_6;

/// Least distance between points tried on a finely drawn edge, as a multiple of the thinnest neck's width so far.
const DENSEST: f64 = 0.02;

/// A place at least this wide for its part's length is not a neck but the part itself.
const SQUAT: f64 = 0.9;

/// Points tried along each pair of facing walls, as fractions of the wall.
const TRIED: [f64; 7] = [0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0];

/// A narrow place between two walls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neck {
    /// Diameter of the disc that touches both walls, mm.
    pub width: f64,
    /// The disc's centre, mm in the part's frame.
    pub at: Point,
    /// Direction of the neck's length (across its width), radians in `(-pi/2, pi/2]`.
    pub along: f64,
}

/// The thinnest neck: the smallest disc inside the material that touches two walls facing each other within
/// 30 degrees of parallel; `None` where no walls face each other (a triangle, a leaf).
///
/// Bottlenecks (two places each nearest to the other across the material) are exact. Where walls run
/// along each other or taper, the thin end is tried at a tenth of the wall, and where a flat end joins
/// them. Sharp tips are not necks: walls that meet in a sharp corner are not compared. Nor is a part as
/// wide as it is long, such as a disc: `None`.
pub fn thinnest_neck(shape: &Shape) -> Option<Neck> {
    let border = Border::new(shape, RegionSide::Material);
    let size = shape.bounds().max - shape.bounds().min;
    let mut best: Option<Neck> = None;
    let mut widest = size.x.max(size.y) * 1.000_001;
    flat_ends(&border, &mut widest, &mut best);
    gaps(
        &border,
        |gap: Reach, link: Point| {
            best = Some(neck(gap.diameter, gap.at, link));
            gap.diameter
        },
        widest,
    );
    widest = best.map_or(widest, |n| n.width);
    walls(&border, &mut widest, &mut best);
    best.filter(|n| n.width < SQUAT * extent(shape, n.along))
}

/// Length of the part along a direction, mm.
fn extent(shape: &Shape, direction: f64) -> f64 {
    let d = point(1.0, 0.0).turned(direction);
    let along = shape.outline.0.iter().map(|p| p.dot(d));
    let (low, high) =
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}

fn neck(width: f64, at: Point, across: Point) -> Neck {
    let length = across.perp();
    let angle =
        if length.x == 0.0 { std::f64::consts::FRAC_PI_2 } else { (length.y / length.x).atan() };
    Neck { width, at, along: angle }
}

/// Edges between two walls that face each other, such as the end of a bar.
fn flat_ends(border: &Border, widest: &mut f64, best: &mut Option<Neck>) {
    for (i, v) in border.vertices.iter().enumerate() {
        let end = border.next[i];
        let w = &border.vertices[end];
        let (n, m) = (v.normal_before, w.normal_after);
        if v.turn <= 0.0 || w.turn <= 0.0 || n.dot(m) > -FACING {
            continue;
        }
        let (p, q) = ((v.turn / 2.0).tan(), (w.turn / 2.0).tan());
        let radius = v.after / (p + q);
        let centre = v.at.lerp(w.at, p / (p + q)) + border.normal(i) * radius;
        if 2.0 * radius < *widest && border.is_free(centre, radius) {
            *widest = 2.0 * radius;
            *best = Some(neck(2.0 * radius, centre, n - m));
        }
    }
}

/// Pairs of edges that face each other.
///
/// Discs that touch an edge at one point lie inside each other, so the smallest that touches a facing
/// wall decides: when it is not free, no larger one is.
fn walls(border: &Border, widest: &mut f64, best: &mut Option<Neck>) {
    let run = runs(border);
    let mut skipped = f64::INFINITY;
    for e in 0..border.edges.len() {
        let (s, n) = (border.edges[e], border.normal(e));
        let length = s.length();
        skipped += length;
        if skipped < *widest * DENSEST {
            continue;
        }
        skipped = 0.0;
        let mut facing = Vec::new();
        border.edges_near(s.a.lerp(s.b, 0.5), length / 2.0 + *widest, |f| {
            if n.dot(border.normal(f)) <= -FACING && !meet_in_a_tip(border, &run, e, f) {
                facing.push(f);
            }
        });
        let tried = if length < *widest / 4.0 { &TRIED[3..4] } else { &TRIED[..] };
        for &t in tried {
            let b = s.a.lerp(s.b, t);
            let radius = |f: usize| disc_touching(b, n, border.edges[f], border.normal(f));
            let least = facing.iter().map(|&f| (radius(f), f)).min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((radius, f)) = least else { continue };
            let centre = b + n * radius;
            if 2.0 * radius < *widest && border.is_free(centre, radius) {
                *widest = 2.0 * radius;
                *best = Some(neck(2.0 * radius, centre, n - border.normal(f)));
            }
        }
    }
}

/// For each edge the vertex where its run starts: the last sharp corner before it; `None` on a ring without sharp corners.
fn runs(border: &Border) -> Vec<Option<usize>> {
    let n = border.vertices.len();
    let mut start = vec![None; n];
    for corner in (0..n).filter(|&i| !border.vertices[i].smooth) {
        let mut i = corner;
        loop {
            start[i] = Some(corner);
            i = border.next[i];
            if !border.vertices[i].smooth {
                break;
            }
        }
    }
    start
}

/// Whether the runs of the two edges meet in a sharp corner of the material.
fn meet_in_a_tip(border: &Border, run: &[Option<usize>], e: usize, f: usize) -> bool {
    if e == f || border.next[e] == f || border.next[f] == e {
        return true;
    }
    let follows = |a: usize, b: usize| {
        // Run b starts where run a ends.
        run[b].is_some_and(|corner| {
            run[a] != run[b]
                && border.vertices[corner].turn > 0.0
                && run[border.previous[corner]] == run[a]
        })
    };
    follows(e, f) || follows(f, e)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    fn of(points: &[(f64, f64)]) -> Option<Neck> {
        let ring = Ring(points.iter().map(|&(x, y)| point(x, y)).collect());
        thinnest_neck(&Shape::new(ring, vec![]))
    }

    #[test]
    fn necks_of_plain_shapes() {
        // A bar 3 wide along x.
        let bar = of(&[(0.0, 0.0), (50.0, 0.0), (50.0, 3.0), (0.0, 3.0)]).unwrap();
        assert!((bar.width - 3.0).abs() < 1e-9 && bar.along.abs() < 1e-9, "{bar:?}");
        // Two squares joined by a bridge 2 wide along y: notches from both sides.
        let bridge = of(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 20.0),
            (11.0, 20.0),
            (11.0, 24.0),
            (20.0, 24.0),
            (20.0, 44.0),
            (0.0, 44.0),
            (0.0, 24.0),
            (9.0, 24.0),
            (9.0, 20.0),
            (0.0, 20.0),
        ])
        .unwrap();
        assert!((bridge.width - 2.0).abs() < 1e-9, "{bridge:?}");
        assert!((bridge.along.abs() - FRAC_PI_2).abs() < 1e-9, "{bridge:?}");
        assert!((bridge.at.x - 10.0).abs() < 1e-9);
        // An hourglass: two notches point to point, 3 apart.
        let glass =
            of(&[(0.0, 0.0), (20.0, 0.0), (11.5, 15.0), (20.0, 30.0), (0.0, 30.0), (8.5, 15.0)])
                .unwrap();
        assert!((glass.width - 3.0).abs() < 1e-9 && glass.at == point(10.0, 15.0), "{glass:?}");
        // A triangle has no walls that face each other.
        assert_eq!(of(&[(0.0, 0.0), (30.0, 0.0), (15.0, 26.0)]), None);
    }

    #[test]
    fn a_disc_and_a_square_have_no_neck() {
        let disc = Ring::circle_around(point(0.0, 0.0), 12.0, 0.01);
        assert_eq!(thinnest_neck(&Shape::new(disc, vec![])), None);
        assert_eq!(of(&[(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)]), None);
        assert_eq!(of(&[(0.0, 0.0), (14.0, 14.0), (0.0, 28.0), (-14.0, 14.0)]), None);
    }

    #[test]
    fn the_wall_of_a_ring_and_the_thin_end_of_a_taper() {
        let circle = |c: Point, r: f64| {
            Ring((0..120).map(|i| c + point(r, 0.0).turned(TAU * f64::from(i) / 120.0)).collect())
        };
        // A hole of radius 10 in a disc of radius 20, 3 mm off centre: 7 mm of wall, less the sagittas.
        let ring = Shape::new(circle(point(0.0, 0.0), 20.0), vec![circle(point(3.0, 0.0), 10.0)]);
        let neck = thinnest_neck(&ring).unwrap();
        let sagitta = 20.0 * (1.0 - (PI / 120.0).cos());
        assert!((neck.width - 7.0).abs() <= sagitta + 1e-9, "{neck:?}");
        // 2 degrees off the thinnest place the wall is 3 (1 - cos 2°) = 0.002 mm thicker.
        assert!(neck.at.y.abs() < 1.0 && (neck.along.abs() - FRAC_PI_2).abs() < 0.05, "{neck:?}");
        // A hand from 8 to 2 mm wide over 80, flat end: the disc at the end touches both sides and it.
        let hand = of(&[(0.0, -4.0), (80.0, -1.0), (80.0, 1.0), (0.0, 4.0)]).unwrap();
        // Radius r with centre 80 - r: distance to the side 1 + 3 r / 80 times cos a equals r.
        let cos = 80.0 / (80.0f64 * 80.0 + 9.0).sqrt();
        let r = cos / (1.0 - 3.0 / 80.0 * cos);
        assert!((hand.width - 2.0 * r).abs() < 1e-6, "{hand:?} {r}");
    }
}
