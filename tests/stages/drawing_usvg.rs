//! The same drawings read by `usvg` 0.49 (crate, resvg project), a renderer's reader: paths that it calls visible
//! have the bounds and the area that we read.
//!
//! It keeps f32 pixels at 96 dpi and turns arcs into cubics within 0.1 user units, hence the slack.

use tabwright::drawing::{ReadOptions, read};
use tabwright::geometry::{Bounds, Point, point};
use usvg::tiny_skia_path::PathSegment;

const MM: f64 = 25.4 / 96.0;

/// A visible path, flattened into 64 chords a curve: its bounds, mm, whether it is closed, and its area, mm², if it is one ring.
struct Flat {
    bounds: Bounds,
    area: Option<f64>,
}

/// Every visible path, as usvg reads it.
fn paths_by_usvg(text: &str) -> Vec<Flat> {
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let mut found = Vec::new();
    collect(tree.root(), &mut found);
    found
}

fn collect(group: &usvg::Group, found: &mut Vec<Flat>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(g) => collect(g, found),
            usvg::Node::Path(p) if p.is_visible() => {
                let t = p.abs_transform();
                let map = |x: f32, y: f32| {
                    let (x, y) = (f64::from(x), f64::from(y));
                    point(
                        (f64::from(t.sx) * x + f64::from(t.kx) * y + f64::from(t.tx)) * MM,
                        (f64::from(t.ky) * x + f64::from(t.sy) * y + f64::from(t.ty)) * MM,
                    )
                };
                found.push(flat(p.data(), map));
            }
            _ => {}
        }
    }
}

fn flat(path: &usvg::tiny_skia_path::Path, map: impl Fn(f32, f32) -> Point) -> Flat {
    let mut bounds = Bounds::EMPTY;
    let mut rings = 0;
    let mut points: Vec<Point> = vec![];
    let mut at = point(0.0, 0.0);
    let mut curve = |from: Point, f: &dyn Fn(f64) -> Point, to: Point| {
        bounds = (0..=64).fold(bounds.with(from).with(to), |b, i| b.with(f(f64::from(i) / 64.0)));
        points.push(from);
        points.extend((0..=64).map(|i| f(f64::from(i) / 64.0)));
    };
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => {
                at = map(p.x, p.y);
                rings += 1;
            }
            PathSegment::LineTo(p) => {
                let to = map(p.x, p.y);
                curve(at, &|_| to, to);
                at = to;
            }
            PathSegment::QuadTo(c, p) => {
                let (a, c, to) = (at, map(c.x, c.y), map(p.x, p.y));
                curve(a, &|t| a * (1. - t) * (1. - t) + c * 2. * t * (1. - t) + to * t * t, to);
                at = to;
            }
            PathSegment::CubicTo(c, d, p) => {
                let (a, c, d, to) = (at, map(c.x, c.y), map(d.x, d.y), map(p.x, p.y));
                let s = |t: f64| 1.0 - t;
                curve(
                    a,
                    &|t| {
                        a * s(t).powi(3)
                            + c * (3. * s(t).powi(2) * t)
                            + d * (3. * s(t) * t * t)
                            + to * t.powi(3)
                    },
                    to,
                );
                at = to;
            }
            PathSegment::Close => {}
        }
    }
    // Shoelace about the first point.
    let o = points.first().copied().unwrap_or(point(0.0, 0.0));
    let twice: f64 = (0..points.len())
        .map(|i| {
            let (a, b) = (points[i] - o, points[(i + 1) % points.len()] - o);
            a.x * b.y - a.y * b.x
        })
        .sum();
    Flat { bounds, area: (rings == 1).then_some((twice / 2.0).abs()) }
}

#[test]
fn bounds_and_areas_agree_with_usvg_on_files_without_faults() {
    let (mut compared, mut areas) = (0, 0);
    for name in [
        "arcs-by-flags",
        "beziers",
        "nested-transforms",
        "physical-mm",
        "aspect",
        "nested-viewports",
        "doctype-entities",
        "unit-mm",
        "unit-cm",
        "unit-in",
        "unit-pt",
        "unit-pc",
        "unit-px",
        "unit-bare",
        "no-viewbox-lengths",
        "tiny-scale",
    ] {
        let path = format!("{}/tests/data/drawing/{name}.svg", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path).unwrap();
        let ours = read(&text, name, &ReadOptions::default()).unwrap();
        // Openings are paths of their own there: look for each outline among its paths.
        let theirs = paths_by_usvg(&text);
        for part in &ours.parts {
            let b = part.shape.bounds();
            let (min, max) = (b.min + part.at, b.max + part.at);
            let off = |o: &Bounds| {
                let d = [o.min - min, o.max - max];
                d.iter().flat_map(|p| [p.x.abs(), p.y.abs()]).fold(0.0, f64::max)
            };
            let best = theirs.iter().map(|t| (off(&t.bounds), t));
            let (best, theirs) = best.min_by(|a, b| a.0.total_cmp(&b.0)).expect("a path");
            // Theirs: 2.7e-4 of a radius for a quarter circle in one cubic; both: chords.
            let slack = 0.015 + 3e-4 * b.width().max(b.height());
            assert!(best < slack, "{name} {}: {best} mm off", part.name);
            if let Some(area) = theirs.area {
                let outline = &part.shape.outline;
                let off = (outline.area() - area).abs();
                assert!(off < slack * outline.perimeter(), "{name} {}: {off} mm² off", part.name);
                areas += 1;
            }
            compared += 1;
        }
    }
    assert!(compared >= 20 && areas >= 18, "{compared} {areas}");
}
