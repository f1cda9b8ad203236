//! Published nesting layouts as layouts of ours.

use super::{hold, sheet};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use tabwright::geometry::{Bounds, Pose, Ring, Shape, point};
use tabwright::layout::{Layout, Method, PlacedPart};

/// A published layout with the figures that were published beside it.
pub struct Published {
    pub name: String,
    pub layout: Layout,
    pub counts: Vec<(String, usize)>,
    pub shapes: Vec<(String, Shape)>,
    pub strip_width: f64,
    pub stated_length: f64,
    pub stated_density: f64,
}

/// Layout `name` of `tests/data/layouts`: gap 0, margin 0, on a sheet as long as its pieces reach.
pub fn published(name: &str) -> Published {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    let read = |path: &Path| -> Value {
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
    };
    let file = read(&data.join(format!("layouts/{name}.json")));
    let instance = file["instance"].as_str().unwrap();
    let instance = read(&data.join(format!("nesting/{instance}.json")));
    let shapes: Vec<(String, Shape)> = instance["parts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| {
            let outline: Vec<[f64; 2]> = serde_json::from_value(p["outline"].clone()).unwrap();
            (p["id"].as_str().unwrap().to_string(), Shape::new(Ring::from(outline), vec![]))
        })
        .collect();
    let counts = instance["parts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (p["id"].as_str().unwrap().into(), p["demand"].as_u64().unwrap() as usize))
        .collect();
    let strip_width = instance["strip_width"].as_f64().unwrap();
    let number = |v: &Value| v.as_f64().or_else(|| v.as_str()?.parse().ok()).unwrap();
    let mut copies: BTreeMap<String, usize> = BTreeMap::new();
    let parts: Vec<PlacedPart> = file["placements"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| {
            let part = p["part"].as_str().unwrap().to_string();
            let copy = copies.entry(part.clone()).and_modify(|c| *c += 1).or_insert(1);
            let degrees = number(&p["rotation_deg"]);
            let pose = Pose::new(point(number(&p["x"]), number(&p["y"])), degrees.to_radians());
            let shape = &shapes.iter().find(|(name, _)| *name == part).unwrap().1;
            let placed = pose.apply_shape(shape);
            let mut plan = hold(vec![]);
            plan.method = Method::Tape;
            PlacedPart {
                copy: *copy,
                part,
                spare: false,
                x: pose.offset.x,
                y: pose.offset.y,
                rotation_deg: degrees,
                mirrored: false,
                grain: None,
                outline: placed.outline,
                openings: vec![],
                features: vec![],
                hold: plan,
            }
        })
        .collect();
    let length = parts.iter().map(|p| p.outline.bounds()).fold(Bounds::EMPTY, Bounds::join).max.x;
    let mut strip = sheet(length, strip_width);
    strip.id = name.into();
    (strip.margin, strip.gap) = (0.0, 0.0);
    strip.parts = parts;
    let mut layout = Layout::new(name, 0);
    layout.sheets = vec![strip];
    layout.total();
    Published {
        name: name.into(),
        layout,
        counts,
        shapes,
        strip_width,
        stated_length: number(&file["stated_length"]),
        stated_density: number(&file["stated_density"]),
    }
}
