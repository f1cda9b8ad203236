//! Any text, when read, gives a drawing or an error, never a panic, and the result
//! is sound.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use std::path::PathBuf;
use std::time::{Duration, Instant};
use tabwright::drawing::{Flaw, MarkRule, MarkedBy, ReadOptions, inspect, read};
use tabwright::geometry::proper_crossing;
use tabwright::layout::FeatureKind;

fn samples() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/drawing");
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|f| f.unwrap().path()).collect();
    files.sort();
    files.retain(|f| f.extension().is_some_and(|e| e == "svg"));
    files
        .into_iter()
        .map(|f| {
            let name = f.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&f).unwrap())
        })
        .collect()
}

fn options() -> ReadOptions {
    let marks = vec![
        MarkRule { by: MarkedBy::Stroke([31, 111, 139]), kind: FeatureKind::Pocket },
        MarkRule { by: MarkedBy::Group("engraving".into()), kind: FeatureKind::Engraving },
        MarkRule { by: MarkedBy::Stroke([0, 255, 0]), kind: FeatureKind::TabFree },
    ];
    ReadOptions { marks, ..Default::default() }
}

/// Reads and inspects the text, and checks what every reader may rely on.
fn must_be_sound(name: &str, text: &str) -> bool {
    let Ok(drawing) = read(text, name, &options()) else { return false };
    for part in &drawing.parts {
        assert!(part.copies >= 1 && part.shape.net_area() > 0.0, "{name}: {}", part.name);
        let b = part.shape.bounds();
        assert!(b.min.x.abs() < 1e-9 && b.min.y.abs() < 1e-9, "{name}: origin at the top left");
        assert!(part.shape.outline.signed_area() > 0.0);
        assert!(part.shape.openings.iter().all(|o| o.signed_area() < 0.0));
        let edges: Vec<_> = part.shape.segments().collect();
        if edges.len() < 300 {
            for (i, s) in edges.iter().enumerate() {
                assert!(s.a.x.is_finite() && s.a.y.is_finite());
                assert!(
                    !edges[i + 1..].iter().any(|t| proper_crossing(*s, *t)),
                    "{name}: crossing"
                );
            }
        }
    }
    let mut names: Vec<_> = drawing.parts.iter().map(|p| &p.name).collect();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), drawing.parts.len(), "{name}: names are unique");
    let report = inspect(&drawing, &[1.5875, 6.35], 0.05);
    assert_eq!(report.parts.len(), drawing.parts.len());
    serde_json::to_string(&report).unwrap();
    true
}

/// Bytes removed, doubled, swapped, digits and signs changed, cut short: 2,000 seeded mutations.
#[test]
fn mutated_drawings_never_panic() {
    let samples = samples();
    let mut read_at_all = 0;
    for seed in 0..2000u64 {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        let (name, text) = &samples[rng.random_range(0..samples.len())];
        let mut bytes = text.clone().into_bytes();
        for _ in 0..rng.random_range(1..6) {
            let at = rng.random_range(0..bytes.len());
            let to = (at + rng.random_range(1..20)).min(bytes.len());
            match rng.random_range(0..6) {
                0 => drop(bytes.drain(at..to)),
                1 => {
                    let piece = bytes[at..to].to_vec();
                    bytes.splice(at..at, piece);
                }
                2 => bytes[at] = b"0123456789-.eE MLHVCSQTAZz<>/\"'"[rng.random_range(0..31)],
                3 => {
                    let digits: Vec<usize> =
                        (0..bytes.len()).filter(|&i| bytes[i].is_ascii_digit()).collect();
                    if !digits.is_empty() {
                        let i = digits[rng.random_range(0..digits.len())];
                        bytes[i] = b'0' + rng.random_range(0..10u8);
                    }
                }
                4 => {
                    let huge: [&[u8]; 5] = [b"1e308", b"-1e300", b"1e-320", b"NaN", b"99999999999"];
                    let piece = huge[rng.random_range(0..5)].to_vec();
                    bytes.splice(at..at, piece);
                }
                _ => bytes.truncate(at.max(1)),
            }
            if bytes.is_empty() {
                bytes.push(b'<');
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        read_at_all += usize::from(must_be_sound(&format!("{name}, seed {seed}"), &text));
    }
    // Most mutations break the XML itself; enough must get past the parser for the rest to be tried.
    assert!(read_at_all > 300, "too few mutations get past the XML parser: {read_at_all}");
}

/// Random zigzags, crossings and touches on a lattice: many faults, sound parts.
#[test]
fn random_tangles_never_panic() {
    for seed in 0..1000u64 {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        let mut body = String::new();
        for _ in 0..rng.random_range(1..30) {
            let n = rng.random_range(1..9);
            let lattice = rng.random_bool(0.5);
            let mut point = || {
                let mut c = || {
                    let v: f64 = rng.random_range(0.0..50.0);
                    if lattice { (v / 5.0).round() * 5.0 } else { v }
                };
                format!("{:.3} {:.3}", c(), c())
            };
            let points: Vec<String> = (0..n).map(|_| point()).collect();
            let close = if rng.random_bool(0.6) { "z" } else { "" };
            body += &format!("<path stroke='red' d='M{}{close}'/>", points.join("L"));
        }
        let svg = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='50mm' height='50mm' viewBox='0 0 50 50'>{body}</svg>"
        );
        assert!(must_be_sound(&format!("tangle, seed {seed}"), &svg));
    }
}

fn svg(body: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='9in' height='9in'>{body}</svg>"
    )
}

#[test]
fn uses_that_multiply_or_loop_end() {
    let mut body = String::from("<g id='u0'><rect width='9' height='9'/></g>");
    for i in 1..40 {
        let j = i - 1;
        body += &format!("<g id='u{i}'><use href='#u{j}'/><use href='#u{j}' x='1'/></g>");
    }
    let started = Instant::now();
    let error = read(&svg(&body), "bomb.svg", &ReadOptions::default()).unwrap_err().to_string();
    assert!(error.contains("more than"), "{error}");
    assert!(started.elapsed() < Duration::from_secs(20));
    let around =
        svg("<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g><use id='c' href='#c'/>");
    let drawing = read(&around, "loop.svg", &ReadOptions::default()).unwrap();
    assert!(drawing.has_errors() && drawing.parts.is_empty());
}

#[test]
fn deep_groups_and_long_texts_end() {
    let deep = svg(&("<g>".repeat(5000) + "<rect width='9' height='9'/>" + &"</g>".repeat(5000)));
    if let Ok(drawing) = read(&deep, "deep.svg", &ReadOptions::default()) {
        assert!(drawing.faults.iter().any(|f| matches!(f.flaw, Flaw::Nested { .. })));
    }
    // A starburst: 2,000 lines from one point.
    let rays: String = (0..2000)
        .map(|i| format!("<path stroke='red' d='M500 500L{} {}'/>", i % 900, (i * 7) % 900))
        .collect();
    let drawing = read(&svg(&rays), "rays.svg", &ReadOptions::default()).unwrap();
    assert!(drawing.parts.is_empty() && drawing.has_errors());
}

#[test]
fn settings_without_sense_fall_back() {
    let options = ReadOptions {
        join: f64::NAN,
        chord_error: -1.0,
        dpi: Some(0.0),
        scale: f64::INFINITY,
        marks: vec![],
        min_size: f64::NAN,
        ..ReadOptions::default()
    };
    for (name, text) in samples() {
        assert_eq!(read(&text, &name, &options), read(&text, &name, &ReadOptions::default()));
    }
}
