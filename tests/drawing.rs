//! Drawings read from one-issue files; expected figures are computed by hand beside each check.

use tabwright::drawing::{Drawing, ReadOptions, read};

fn sample(name: &str) -> Drawing {
    let path = format!("{}/tests/data/drawing/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    read(&text, name, &ReadOptions::default()).unwrap()
}

#[test]
fn show() {
    for f in ["physical-mm.svg", "loose-segments.svg", "ring-in-ring.svg", "faults.svg"] {
        let d = sample(f);
        println!("{f}: {} {:?}", d.scale, d.size);
        for p in &d.parts {
            println!(
                "  {} x{} at {:?} area {} openings {} n {}",
                p.name,
                p.copies,
                p.at,
                p.shape.net_area(),
                p.shape.openings.len(),
                p.shape.outline.0.len()
            );
        }
        for x in &d.faults {
            println!("  {:?} {x}", x.severity);
        }
    }
}
