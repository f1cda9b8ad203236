//! Published irregular instances through the search, with a fixed number of moves: the density reached beside a published
//! one, the layout judged by geo alone.
//!
//! Instances: ESICUP's data sets (each file names its source). Densities, percent: Gomes & Oliveira, "Solving irregular
//! strip packing problems by hybridising simulated annealing and linear programming", EJOR 171(3), 2006, their best of many
//! runs of minutes to hours.

use geo::{Area, BooleanOps, Coord, LineString, Polygon};
use serde_json::Value;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use tabwright::geometry::{Ring, Shape, point};
use tabwright::job::{Stock, Turns};
use tabwright::nest::{Budget, Control, NestPart, Problem, nest};

/// Overlap of two pieces, or off the strip, that rounding explains, as a share of the strip's width squared.
const ROUNDING: f64 = 1e-6;

struct Instance {
    width: f64,
    parts: Vec<NestPart>,
}

fn read(name: &str) -> Instance {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/nesting/instances");
    let text = std::fs::read_to_string(folder.join(name)).expect("an instance");
    let json: Value = serde_json::from_str(&text).expect("it is JSON");
    let list = |v: &Value| v.as_array().expect("a list").clone();
    let number = |v: &Value| v.as_f64().expect("a number");
    let degrees: Vec<f64> = list(&json["rotations_deg"]).iter().map(number).collect();
    let parts = list(&json["parts"]).into_iter().enumerate().map(|(i, p)| {
        let corner = |xy: &Value| point(number(&xy[0]), number(&xy[1]));
        let outline = Ring(list(&p["outline"]).iter().map(corner).collect());
        NestPart {
            name: format!("piece {}", i + 1),
            shape: Shape::new(outline, vec![]),
            copies: p["demand"].as_u64().unwrap_or(1) as usize,
            spares: 0,
            turns: Turns::steps_deg(&degrees),
            holds: vec![],
            pins: vec![],
        }
    });
    Instance { width: number(&json["strip_width"]), parts: parts.collect() }
}

/// The piece by the file's own corners, turned and moved by plain trigonometry.
fn laid(part: &NestPart, turn: f64, x: f64, y: f64) -> Polygon {
    let (s, c) = turn.sin_cos();
    let at = |p: &tabwright::geometry::Point| Coord {
        x: c * p.x - s * p.y + x,
        y: s * p.x + c * p.y + y,
    };
    Polygon::new(LineString::new(part.shape.outline.0.iter().map(at).collect()), vec![])
}

/// Density reached, percent, by a layout that geo finds whole.
fn density(name: &str, moves: u64) -> f64 {
    let instance = read(name);
    let width = instance.width;
    let most: f64 = instance.parts.iter().map(|p| 2.0 * width * p.copies as f64).sum();
    let strip = Stock {
        name: "strip".into(),
        material: String::new(),
        thickness: 1.0,
        outline: Ring::rectangle(most, width),
        open_length: true,
        quantity: Some(1),
        price: None,
        margin: 0.0,
        keep_clear: vec![],
        grain: 0.0,
    };
    let problem = Problem {
        parts: instance.parts,
        sheets: vec![strip],
        kerf: 0.0,
        gap: 0.0,
        seed: 1,
        budget: Budget { moves: Some(moves), time: None },
        threads: 2,
    };
    let nested = nest(&problem, &Control { stop: &AtomicBool::new(false), progress: None });
    let demand: usize = problem.parts.iter().map(|p| p.copies).sum();
    assert!(nested.unplaced.is_empty() && nested.sheets.len() == 1, "{name}");
    let sheet = &nested.sheets[0];
    assert_eq!(sheet.placed.len(), demand, "{name}");
    let pieces: Vec<Polygon> = sheet
        .placed
        .iter()
        .map(|p| laid(&problem.parts[p.part], p.pose.rotation, p.pose.offset.x, p.pose.offset.y))
        .collect();
    let length = sheet.length.expect("a strip's length");
    let corners = [[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]];
    let strip = Polygon::new(LineString::from(corners.to_vec()), vec![]);
    for (i, a) in pieces.iter().enumerate() {
        let off = a.difference(&strip).unsigned_area();
        assert!(off <= ROUNDING * width * width, "{name}: piece {i} lies {off} off the strip");
        for b in &pieces[..i] {
            let common = a.intersection(b).unsigned_area();
            assert!(common <= ROUNDING * width * width, "{name}: {common} in common");
        }
    }
    let area: f64 = pieces.iter().map(|p| p.unsigned_area()).sum();
    100.0 * area / (width * length)
}

/// A few seconds of moves against hours: jakobs1 and dighe1 reach what was published all the same, fu comes within 3 points
/// (1.9 when this was written, 89.06 %).
#[test]
fn published_instances_are_packed_about_as_densely_as_published() {
    for (name, moves, published, short) in [
        ("jakobs1.json", 50_000, 78.89, 0.0),
        ("dighe1.json", 200_000, 100.0, 0.001),
        ("fu.json", 200_000, 90.96, 3.0),
    ] {
        let reached = density(name, moves);
        assert!(reached >= published - short, "{name}: {reached} %, published {published} %");
    }
}
