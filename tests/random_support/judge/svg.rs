//! The sheet's SVG as a CAM program would read it: XML by roxmltree, path data by svgtypes and kurbo, sizes by usvg.

use super::Faults;
use super::measure::rings;
use super::reading::Sheet;
use crate::drawn_support::{circle, contours};
use geo::{BoundingRect, Coord, Distance, Euclidean, Length, LineString, Point};
use roxmltree::{Document, Node};
use std::path::Path;

/// Coordinates are written to 0.0001 mm.
const WRITTEN: f64 = 0.000_051;
/// An arc may pass a point of the layout by 0.0025, which `contours` reads by chords within 0.0005.
const FITTED: f64 = 0.003 + 2.0 * WRITTEN;
/// An arc rises over the layout's chords by the chord error of drawings, 0.01.
const RISEN: f64 = 0.01 + FITTED;

/// A line the bit's centre follows; a closed one ends where it starts.
pub struct Pass {
    pub id: String,
    pub line: LineString,
}

/// The passes in the order of the file.
pub struct Passes {
    pub upper: Vec<Pass>,
    pub through: Vec<Pass>,
}

/// What is drawn against the layout; the passes if the file can be read.
pub fn check(sheet: &Sheet, folder: &Path, faults: &mut Faults) -> Option<Passes> {
    let file = folder.join(format!("{}.svg", sheet.id));
    let Ok(text) = std::fs::read_to_string(&file) else {
        faults.add("svg", format!("{} is missing", file.display()));
        return None;
    };
    let document = match Document::parse(&text) {
        Ok(document) => document,
        Err(why) => {
            faults.add("svg", format!("{}: {why}", file.display()));
            return None;
        }
    };
    let root = document.root_element();
    true_scale(sheet, root, &text, faults);
    let plain = |n: &Node| n.attribute("transform").is_none() && n.attribute("clip-path").is_none();
    let bare = document.descendants().filter(Node::is_element).all(|n| plain(&n));
    faults.unless(bare, "svg", || format!("{}: a transform or clip", sheet.id));
    let ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
    let unique: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
    faults.unless(unique.len() == ids.len(), "svg", || format!("{}: ids repeat", sheet.id));

    let outlines = sheet.parts.iter().map(|p| p.shape.exterior());
    same(sheet, "parts", &lines(root, "parts"), outlines, faults);
    let openings = sheet.parts.iter().flat_map(|p| p.shape.interiors());
    same(sheet, "openings", &lines(root, "openings"), openings, faults);
    let around = sheet.keep_clear.iter().chain(&sheet.remnants);
    let stock = std::iter::once(&sheet.outline).chain(around).flat_map(rings);
    same(sheet, "sheet", &lines(root, "sheet"), stock, faults);
    same(
        sheet,
        "clear-waste-through",
        &lines(root, "clear-waste-through"),
        sheet.cleared.iter().flat_map(rings),
        faults,
    );
    let tabs: usize = sheet.parts.iter().map(|p| p.tabs.len()).sum();
    let drawn = group(root, "tabs").map_or(0, |g| g.children().filter(Node::is_element).count());
    faults.unless(drawn == tabs, "svg", || format!("{}: {drawn} of {tabs} tabs drawn", sheet.id));
    let passes = |name| at_depths(root, name).flat_map(of_group);
    Some(Passes {
        upper: passes("upper-pass").collect(),
        through: passes("through-pass").chain(plunges(root)).collect(),
    })
}

/// One unit is 1 mm, by the root's own words and by usvg's reading of them in CSS pixels (96 to the inch).
fn true_scale(sheet: &Sheet, root: Node, text: &str, faults: &mut Faults) {
    let mm = |name: &str| {
        root.attribute(name).and_then(|v| v.strip_suffix("mm")).and_then(|v| v.parse::<f64>().ok())
    };
    let view: Vec<f64> = root
        .attribute("viewBox")
        .unwrap_or("")
        .split_whitespace()
        .filter_map(|v| v.parse().ok())
        .collect();
    let bounds = sheet.outline.bounding_rect();
    let good = match (mm("width"), mm("height"), view.as_slice(), bounds) {
        (Some(w), Some(h), &[x, y, vw, vh], Some(b)) => {
            let near = |a: f64, b: f64| (a - b).abs() < 2.0 * WRITTEN;
            near(w, vw)
                && near(h, vh)
                && near(x, b.min().x)
                && near(y, b.min().y)
                && near(w, b.width())
                && near(h, b.height())
        }
        _ => false,
    };
    faults
        .unless(good, "scale", || format!("{}: {:?} {view:?}", sheet.id, root.attribute("width")));
    match (usvg::Tree::from_str(text, &usvg::Options::default()), bounds) {
        (Ok(tree), Some(b)) => {
            let edge = tree.node_by_id("sheet.edge").map(|n| n.abs_bounding_box());
            let px = |mm: f64| (mm * 96.0 / 25.4) as f32;
            // f32 carries 7 digits.
            let near = |a: f32, b: f32| (a - b).abs() <= 1e-5 * b.abs() + 0.01;
            let good = edge.is_some_and(|e| {
                near(e.width(), px(b.width())) && near(e.height(), px(b.height()))
            }) && near(tree.size().width(), px(b.width()));
            faults.unless(good, "scale", || format!("{}: usvg reads {edge:?}", sheet.id));
        }
        (Err(why), _) => faults.add("svg", format!("{}: usvg: {why}", sheet.id)),
        _ => {}
    }
}

fn group<'a>(root: Node<'a, 'a>, id: &str) -> Option<Node<'a, 'a>> {
    root.children().find(|n| n.attribute("id") == Some(id))
}

/// Every line of a group, in the order of the file.
fn lines(root: Node, id: &str) -> Vec<Pass> {
    group(root, id).into_iter().flat_map(of_group).collect()
}

/// Every line of the groups named so with a depth behind (`through-pass-6.35mm`), in the order of the file.
fn at_depths<'a>(root: Node<'a, 'a>, name: &str) -> impl Iterator<Item = Node<'a, 'a>> {
    let start = format!("{name}-");
    root.children().filter(move |n| n.attribute("id").is_some_and(|id| id.starts_with(&start)))
}

/// Where the bit plunges, as lines of a micrometre: a circle's middle.
fn plunges(root: Node) -> impl Iterator<Item = Pass> {
    let circles = at_depths(root, "plunges").flat_map(|g| g.children());
    circles.filter(Node::is_element).map(|n| {
        let number =
            |name: &str| n.attribute(name).and_then(|v| v.parse().ok()).unwrap_or(f64::NAN);
        let (x, y) = (number("cx"), number("cy"));
        let line = LineString::from(vec![(x, y), (x + 0.001, y)]);
        Pass { id: n.attribute("id").unwrap_or("").to_string(), line }
    })
}

fn of_group(group: Node) -> Vec<Pass> {
    let mut all = vec![];
    for n in group.children().filter(Node::is_element) {
        let id = n.attribute("id").unwrap_or("").to_string();
        let number = |name: &str| n.attribute(name).and_then(|v| v.parse().ok());
        let drawn = match (number("cx"), number("cy"), number("r")) {
            (Some(x), Some(y), Some(r)) => vec![(circle(x, y, r), true)],
            _ => contours(n.attribute("d").unwrap_or("")),
        };
        all.extend(drawn.into_iter().map(|(mut points, closed)| {
            if closed {
                points.push(points[0]);
            }
            Pass { id: id.clone(), line: LineString::from(points) }
        }));
    }
    all
}

/// The drawn lines are the layout's edges, closed: point by point, or arcs through those points.
fn same<'a>(
    sheet: &Sheet,
    group: &str,
    drawn: &[Pass],
    edges: impl Iterator<Item = &'a LineString>,
    faults: &mut Faults,
) {
    let edges: Vec<&LineString> = edges.collect();
    faults.unless(drawn.len() == edges.len(), "svg", || {
        format!("{}: {} lines in '{group}', {} edges", sheet.id, drawn.len(), edges.len())
    });
    for (pass, edge) in drawn.iter().zip(edges) {
        let near =
            |a: &Coord, b: &Coord| (a.x - b.x).abs() <= WRITTEN && (a.y - b.y).abs() <= WRITTEN;
        let equal = pass.line.0.len() == edge.0.len()
            && pass.line.0.iter().zip(&edge.0).all(|(a, b)| near(a, b));
        let equal = equal || same_curve(&pass.line, edge);
        faults.unless(equal && pass.line.is_closed(), "svg", || {
            format!("{}: {} is not the layout's", sheet.id, pass.id)
        });
    }
}

fn same_curve(drawn: &LineString, edge: &LineString) -> bool {
    let lie = |points: &LineString, on: &LineString, within: f64| {
        points.0.iter().all(|p| Euclidean.distance(&Point(*p), on) <= within)
    };
    let (a, b) = (Euclidean.length(drawn), Euclidean.length(edge));
    // A chord of a sixteenth of a circle is 0.6 % shorter than its arc.
    (a - b).abs() <= 0.01 * b + RISEN && lie(edge, drawn, FITTED) && lie(drawn, edge, RISEN)
}
