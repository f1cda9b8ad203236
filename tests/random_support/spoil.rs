//! Layouts and sheets spoiled in one way each, with the kind of fault that must be found.

use serde_json::{Value, json};

/// Spoils a layout.
type OfLayout = fn(&mut Value);
/// Spoils a sheet's drawing.
type OfDrawing = fn(&str) -> String;

fn part(layout: &mut Value) -> &mut Value {
    &mut layout["sheets"][0]["parts"][0]
}

fn shift(ring: &mut Value, by: f64) {
    for p in ring.as_array_mut().into_iter().flatten() {
        p[0] = json!(p[0].as_f64().unwrap_or(0.0) + by);
    }
}

pub const LAYOUTS: [(&str, OfLayout); 16] = [
    ("shape", |l| shift(&mut part(l)["outline"], 0.05)),
    ("shape", |l| part(l)["x"] = json!(part(l)["x"].as_f64().unwrap_or(0.0) + 0.05)),
    ("off the sheet", |l| shift(&mut part(l)["outline"], 5000.0)),
    ("cleared", |l| l["sheets"][0]["cleared"] = json!([part(l)["outline"].clone()])),
    ("overlap", |l| {
        let moved = part(l)["outline"].clone();
        l["sheets"][0]["parts"][1]["outline"] = moved;
    }),
    ("count", |l| part(l)["copy"] = json!(77)),
    ("count", |l| {
        l["sheets"][0]["parts"].as_array_mut().map(|p| p.remove(0));
    }),
    ("stock", |l| l["sheets"][0]["thickness"] = json!(99.0)),
    ("bit", |l| l["sheets"][0]["bit"]["diameter"] = json!(0.9)),
    ("gap asked", |l| l["sheets"][0]["gap"] = json!(0.1)),
    ("totals", |l| l["sheets"][0]["part_area"] = json!(1.0)),
    ("totals", |l| l["waste_percent"] = json!(1.0)),
    ("no tabs", |l| part(l)["hold"]["tabs"] = json!([])),
    ("tab", |l| {
        let at = &mut part(l)["hold"]["tabs"][0]["at"];
        at[0] = json!(at[0].as_f64().unwrap_or(0.0) + 0.5);
        at[1] = json!(at[1].as_f64().unwrap_or(0.0) + 0.3);
    }),
    ("tab out", |l| {
        let out = part(l)["hold"]["tabs"][0]["out"].clone();
        part(l)["hold"]["tabs"][0]["out"] = json!([out[1], out[0]]);
    }),
    ("last pass", |l| l["sheets"][0]["cut"]["last_pass"] = json!(1000.0)),
];

/// The file without its lines that hold `text`.
fn without(svg: &str, text: &str) -> String {
    svg.lines().filter(|l| !l.contains(text)).map(|l| format!("{l}\n")).collect()
}

/// The file with each open through path 8 mm shorter at its end.
fn shortened(svg: &str) -> String {
    let shorter = |line: &str| -> Option<String> {
        let (head, rest) = line.split_once(" d=\"M")?;
        let (data, tail) = rest.split_once('"')?;
        if !head.contains(".through.0") || data.ends_with('Z') {
            return None;
        }
        let (points, _) = crate::drawn_support::contours(&format!("M{data}")).pop()?;
        let mut points: Vec<[f64; 2]> = points.into_iter().map(<[f64; 2]>::from).collect();
        let mut left = 8.0;
        while let [.., before, last] = &mut points[..] {
            let (dx, dy) = (before[0] - last[0], before[1] - last[1]);
            let length = dx.hypot(dy);
            if length > left {
                *last = [last[0] + dx * left / length, last[1] + dy * left / length];
                break;
            }
            left -= length;
            points.pop();
        }
        let text: Vec<String> = points.iter().map(|p| format!("{:.4} {:.4}", p[0], p[1])).collect();
        (text.len() > 1).then_some(())?;
        Some(format!("{head} d=\"M{}\"{tail}", text.join(" L")))
    };
    svg.lines().map(|l| shorter(l).unwrap_or(l.into()) + "\n").collect()
}

pub const DRAWINGS: [(&str, OfDrawing); 7] = [
    ("tab wide", shortened),
    ("scale", |s| s.replacen("mm\" height", "1mm\" height", 1)),
    ("svg", |s| s.replacen("<g id=\"parts\">", "<g id=\"parts\" transform=\"scale(2)\">", 1)),
    ("svg", |s| s.replacen(" Z\"", "\"", 2)),
    ("not cut through", |s| without(s, ".through.")),
    ("upper pass", |s| without(s, ".upper.0")),
    // The outline itself as a path: the bit takes half its width off the part.
    ("gouged", |s| {
        let outline = s.lines().find(|l| l.contains(".outline\"")).unwrap_or("");
        let start = s.lines().find(|l| l.contains("<g id=\"through-pass-")).unwrap_or("");
        s.replacen(start, &format!("{start}\n{}", outline.replace(".outline", ".wrong")), 1)
    }),
];
