//! Path data of drawings as points, read by others: commands by `svgtypes`, arcs by `kurbo` (SVG 2, appendix B.2).

use kurbo::{Arc, SvgArc, Vec2};
use svgtypes::{PathParser, PathSegment};

/// How far chords may leave an arc, mm.
const CHORD: f64 = 0.0005;

/// The contours of path data, each with its points and whether it is closed; the first point is not repeated.
pub fn contours(d: &str) -> Vec<(Vec<(f64, f64)>, bool)> {
    let mut all: Vec<(Vec<(f64, f64)>, bool)> = vec![];
    for segment in PathParser::from(d) {
        let segment = segment.expect("path data");
        let at = all.last().and_then(|c| c.0.last()).copied().unwrap_or_default();
        match segment {
            PathSegment::MoveTo { abs: true, x, y } => all.push((vec![(x, y)], false)),
            PathSegment::LineTo { abs: true, x, y } => push(&mut all, (x, y)),
            PathSegment::EllipticalArc { abs: true, rx, ry, large_arc, sweep, x, y, .. } => {
                let radii = Vec2::new(rx, ry);
                let (from, to) = (at.into(), (x, y).into());
                let arc = SvgArc { from, to, radii, x_rotation: 0.0, large_arc, sweep };
                let arc = Arc::from_svg_arc(&arc).expect("an arc");
                let n = (arc.sweep_angle.abs() / (8.0 * CHORD / arc.radii.x).sqrt()).ceil();
                for k in 1..n as usize {
                    let angle = arc.start_angle + arc.sweep_angle * k as f64 / n;
                    let p = arc.center + Vec2::from_angle(angle) * arc.radii.x;
                    push(&mut all, (p.x, p.y));
                }
                push(&mut all, (x, y));
            }
            PathSegment::ClosePath { .. } => {
                if let Some((points, closed)) = all.last_mut() {
                    *closed = true;
                    if points.len() > 1 && points.first() == points.last() {
                        points.pop();
                    }
                }
            }
            other => panic!("{other:?} in a drawing of ours"),
        }
    }
    all
}

fn push(all: &mut [(Vec<(f64, f64)>, bool)], p: (f64, f64)) {
    all.last_mut().expect("a line begins with M").0.push(p);
}

/// A circle by points within the same error.
#[allow(dead_code)] // not every test draws circles
pub fn circle(x: f64, y: f64, r: f64) -> Vec<(f64, f64)> {
    let n = (std::f64::consts::TAU / (8.0 * CHORD / r).sqrt()).ceil();
    let angle = |k: usize| std::f64::consts::TAU * k as f64 / n;
    (0..n as usize).map(|k| (x + r * angle(k).cos(), y + r * angle(k).sin())).collect()
}
