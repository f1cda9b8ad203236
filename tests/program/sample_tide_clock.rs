//! The tide clock: its files are what its generator draws, and its drawings can be made.

mod fit;
pub mod reading;

#[path = "../../samples/tide-clock/draw.rs"]
mod draw;

use reading::{Drawn, job, parts_of, quantities, text_of};
use tabwright::drawing::{self, MarkRule, MarkedBy, ReadOptions};
use tabwright::geometry::{self, Shape};
use tabwright::layout::FeatureKind;

/// The committed drawings are the generator's, byte for byte.
#[test]
fn files_are_what_the_generator_draws() {
    for (name, text) in draw::drawings() {
        assert!(text_of(name) == text, "{name}: run `cargo run --example draw-tide-clock`");
    }
}

#[test]
fn the_clock_is_large_enough_to_be_a_job() {
    let job = job();
    let drawings = job["drawing"].as_array().unwrap();
    let kinds: Vec<Drawn> =
        drawings.iter().flat_map(|d| parts_of(&text_of(d["file"].as_str().unwrap()))).collect();
    let quantities = quantities(&job);
    let pieces: usize =
        kinds.iter().map(|k| quantities.get(&k.name).copied().unwrap_or(k.copies)).sum();
    assert!(kinds.len() >= 45 && pieces >= 90, "{} kinds, {pieces} pieces", kinds.len());
    // Every override names a part that is drawn.
    for part in job["part"].as_array().unwrap() {
        let name = part["name"].as_str().unwrap();
        assert!(kinds.iter().any(|k| k.name == name), "{name} is not drawn");
    }
}

/// The diameter of the bit that a drawing's group is meant to get, mm.
fn bit_of(file: &str) -> f64 {
    match file {
        "stand.svg" => 6.35,
        "dial.svg" | "case.svg" | "plates.svg" | "glass.svg" | "../offcut/hooks.svg" => 3.175,
        _ => 1.5875,
    }
}

/// A round bit must reach every place: closing the outline and opening the openings by its disc
/// changes nothing significant.
#[test]
fn every_part_can_be_cut_by_its_bit() {
    let mut left = vec![];
    for (file, text) in draw::drawings() {
        let bit = bit_of(file);
        for part in parts_of(&text) {
            let origin = part.shape.bounds().min;
            for (what, area, at) in unreached(&part.shape, bit / 2.0) {
                let (x, y) = (at.x - origin.x, at.y - origin.y);
                left.push(format!("{file} {}: {what} {area:.4} mm² at {x:.1} {y:.1}", part.name));
            }
        }
    }
    assert!(left.is_empty(), "out of the bit's reach:\n{}", left.join("\n"));
}

/// Pieces of waste that a disc of `radius` cannot clear, beyond what chord errors explain.
fn unreached(shape: &Shape, radius: f64) -> Vec<(&'static str, f64, geometry::Point)> {
    let outside = Shape::new(shape.outline.clone(), vec![]);
    let closed = geometry::shrink(&geometry::grow(std::slice::from_ref(&outside), radius), radius);
    let mut left: Vec<_> =
        geometry::difference(&closed, &[outside]).into_iter().map(|s| ("outside", s)).collect();
    for opening in &shape.openings {
        let opening = [Shape::new(opening.clone(), vec![])];
        let opened = geometry::grow(&geometry::shrink(&opening, radius), radius);
        left.extend(geometry::difference(&opening, &opened).into_iter().map(|s| ("opening", s)));
    }
    // Offsets err by up to 0.01 mm on either side: what an opening by 0.02 mm removes is that, not waste.
    left.retain(|(_, s)| !geometry::shrink(std::slice::from_ref(s), 0.02).is_empty());
    left.into_iter().map(|(what, s)| (what, s.net_area(), s.outline.centroid())).collect()
}

/// Drawings of every kind that real programs write are among them.
#[test]
fn the_drawings_differ_as_real_ones_do() {
    assert!(text_of("stand.svg").contains("in\" height="), "one drawing in inches");
    assert!(text_of("case.svg").matches("<line").count() > 50, "loose segments");
    for colour in ["#1f6f8b", "#b5432e", "#7a4fa3"] {
        assert!(draw::drawings().iter().any(|(_, t)| t.contains(colour)), "{colour}");
    }
    assert!(
        text_of("dial.svg").contains("id=\"register\"") && text_of("dial.svg").contains("<use")
    );
}

/// The program's own reader and the independent one of these tests (usvg) see the same parts: names,
/// copies, openings, areas; and no fault.
#[test]
fn the_program_reads_what_was_drawn() {
    let marks = job()["marks"].as_table().unwrap().clone();
    let rules = |options: &mut ReadOptions| {
        for (kind, by) in &marks {
            let kind = FeatureKind::ALL.into_iter().find(|k| k.name() == kind).unwrap();
            let by = match by.get("group") {
                Some(name) => MarkedBy::Group(name.as_str().unwrap().into()),
                None => MarkedBy::Stroke(colour(by["stroke"].as_str().unwrap())),
            };
            options.marks.push(MarkRule { by, kind });
        }
    };
    let mut options = ReadOptions::default();
    rules(&mut options);
    let mut features = 0;
    for (name, text) in draw::drawings() {
        let drawing = drawing::read(&text, name, &options).unwrap();
        let faults: Vec<_> = drawing.faults.iter().map(|f| format!("{f:?}")).collect();
        assert!(faults.is_empty(), "{name}:\n{}", faults.join("\n"));
        let expected = parts_of(&text);
        assert_eq!(drawing.parts.len(), expected.len(), "{name}");
        for (got, want) in drawing.parts.iter().zip(&expected) {
            assert_eq!((&got.name, got.copies), (&want.name, want.copies), "{name}");
            assert_eq!(got.shape.openings.len(), want.shape.openings.len(), "{name} {}", got.name);
            let (a, b) = (got.shape.net_area(), want.shape.net_area());
            // Along the whole edge: chords of 0.01 mm here, arcs as cubics to 0.03 mm in usvg.
            let edge: f64 = want.shape.rings().map(|r| r.perimeter()).sum();
            assert!((a - b).abs() < 0.04 * edge, "{name} {}: {a} and {b} mm²", got.name);
            let bit = drawing::largest_bit(&got.shape).diameter;
            assert!(bit > bit_of(name), "{name} {}: a bit of {bit:.3} mm at most", got.name);
            features += got.features.iter().map(|f| f.rings.len() + f.lines.len()).sum::<usize>();
        }
    }
    assert!(features > 40, "{features} drawn features");
}

/// Reads `#rrggbb`.
fn colour(text: &str) -> [u8; 3] {
    let byte = |i: usize| u8::from_str_radix(&text[i..i + 2], 16).unwrap();
    [byte(1), byte(3), byte(5)]
}
