//! Reads the sample's files for the tests, without the program's own reader: usvg for the geometry,
//! loose pieces joined by equal ends.

use std::collections::BTreeMap;
use tabwright::geometry::{Point, Ring, Shape, Vector, point};
use usvg::tiny_skia_path::PathSegment;

/// A part as drawn, in mm.
pub struct Drawn {
    pub name: String,
    pub shape: Shape,
    pub copies: usize,
}

/// A file of the sample.
pub fn text_of(name: &str) -> String {
    let path = format!("{}/samples/tide-clock/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// The job file, as plain TOML.
pub fn job() -> toml::Table {
    text_of("job.toml").parse().unwrap()
}

/// Quantities that the job sets by part name.
pub fn quantities(job: &toml::Table) -> BTreeMap<String, usize> {
    job["part"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|p| {
            let quantity = p.get("quantity")?.as_integer()?;
            Some((p["name"].as_str()?.to_string(), quantity as usize))
        })
        .collect()
}

/// The part of that name.
pub fn part(file: &str, name: &str) -> Drawn {
    let mut parts = parts_of(&text_of(file));
    let i = parts.iter().position(|p| p.name == name).unwrap_or_else(|| panic!("{name}"));
    parts.swap_remove(i)
}

/// Every part of a drawing: groups with an id, cut edges only; `use` counts as a copy.
pub fn parts_of(text: &str) -> Vec<Drawn> {
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let xml = usvg::roxmltree::Document::parse(text).unwrap();
    let copies = |name: &str| {
        let href = format!("#{name}");
        1 + xml.descendants().filter(|n| n.attribute("href") == Some(href.as_str())).count()
    };
    let mut groups = vec![];
    collect(tree.root(), &mut groups);
    groups
        .into_iter()
        .map(|(name, lines)| {
            let mut rings = join(lines);
            rings.sort_by(|a, b| b.area().total_cmp(&a.area()));
            let outline = rings.remove(0);
            Drawn { copies: copies(&name), shape: Shape::new(outline, rings), name }
        })
        .collect()
}

/// Named groups with their black lines.
fn collect(group: &usvg::Group, into: &mut Vec<(String, Vec<Vec<Point>>)>) {
    let feature = ["register", "engrave"].contains(&group.id());
    for node in group.children() {
        match node {
            usvg::Node::Group(g) => {
                if !g.id().is_empty()
                    && !["register", "engrave"].contains(&g.id())
                    && !into.iter().any(|(n, _)| n == g.id())
                {
                    into.push((g.id().to_string(), vec![]));
                }
                collect(g, into);
            }
            usvg::Node::Path(path) if !feature && black(path) => {
                if let (Some(lines), false) = (into.last_mut(), group.id().is_empty()) {
                    lines.1.extend(flattened(path));
                }
            }
            _ => {}
        }
    }
}

fn black(path: &usvg::Path) -> bool {
    let paint = path.stroke().map(|s| s.paint());
    matches!(paint, Some(usvg::Paint::Color(c)) if (c.red, c.green, c.blue) == (0, 0, 0))
}

/// The path's lines in mm, curves in chords of at most 2 µm error for the arcs of this sample.
fn flattened(path: &usvg::Path) -> Vec<Vec<Point>> {
    let t = path.abs_transform();
    let mm = |p: usvg::tiny_skia_path::Point| {
        let (x, y) = (f64::from(p.x), f64::from(p.y));
        let (sx, kx, tx) = (f64::from(t.sx), f64::from(t.kx), f64::from(t.tx));
        let (sy, ky, ty) = (f64::from(t.sy), f64::from(t.ky), f64::from(t.ty));
        point(sx * x + kx * y + tx, ky * x + sy * y + ty) * (25.4 / 96.0)
    };
    let mut lines: Vec<Vec<Point>> = vec![];
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => lines.push(vec![mm(p)]),
            PathSegment::LineTo(p) => lines.last_mut().unwrap().push(mm(p)),
            PathSegment::QuadTo(..) => panic!("the sample has no quadratic curves"),
            PathSegment::CubicTo(a, b, c) => {
                let line = lines.last_mut().unwrap();
                let (p, a, b, c) = (line[line.len() - 1], mm(a), mm(b), mm(c));
                let bend = (p - a * 2.0 + b).norm().max((a - b * 2.0 + c).norm());
                let n = (0.75 * bend / 0.002).sqrt().ceil().max(1.0) as usize;
                line.extend((1..=n).map(|i| {
                    let t = i as f64 / n as f64;
                    let s = 1.0 - t;
                    p * (s * s * s)
                        + a * (3.0 * s * s * t)
                        + b * (3.0 * s * t * t)
                        + c * (t * t * t)
                }));
            }
            PathSegment::Close => {
                let line = lines.last_mut().unwrap();
                let first = line[0];
                line.push(first);
            }
        }
    }
    lines
}

/// Closed rings from lines that are closed or meet end to end.
fn join(mut lines: Vec<Vec<Point>>) -> Vec<Ring> {
    const NEAR: f64 = 0.002;
    let mut rings = vec![];
    while let Some(mut line) = lines.pop() {
        while line[0].distance(line[line.len() - 1]) > NEAR {
            let end = line[line.len() - 1];
            let next = lines
                .iter()
                .position(|l| l[0].distance(end) < NEAR || l[l.len() - 1].distance(end) < NEAR)
                .expect("every line is part of a ring");
            let mut piece = lines.swap_remove(next);
            if piece[0].distance(end) >= NEAR {
                piece.reverse();
            }
            line.extend(piece.into_iter().skip(1));
        }
        line.pop();
        line.dedup_by(|a, b| a.distance(*b) < 1e-6);
        rings.push(Ring(line));
    }
    rings
}
