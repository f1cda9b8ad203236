//! Drawings as programs export them, each to a checked sheet by three commands with no key written by hand.
//!
//! A bird feeder: pixels without a size, loose lines that do not quite meet, style sheets, dashed guides, text, a turned group. A
//! stand: points in a page in inches, one part drawn in the opening of another, slots as wide as the bit, mirrored and reused
//! shapes, a red line to engrave. Charms: clip paths, `use`, fills, curves, rings by the even-odd rule. Sizes by hand.

use std::path::Path;
use std::process::Command;
use tabwright::layout::{FeatureKind, Layout};

const IN: f64 = 25.4;

/// The layout that `begin`, `nest` and `check` make of a drawing; each must end well.
fn made(drawing: &str) -> (Layout, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a folder");
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/projects");
    std::fs::copy(data.join(drawing), folder.path().join(drawing)).expect("the drawing");
    let run = |args: &[&str]| {
        let program = env!("CARGO_BIN_EXE_tabwright");
        let run = Command::new(program).args(args).current_dir(folder.path()).output();
        let run = run.expect("the program starts");
        let said = [run.stdout, run.stderr].concat();
        let said = String::from_utf8_lossy(&said).into_owned();
        assert_eq!(run.status.code(), Some(0), "{args:?}: {said}");
        said
    };
    run(&["begin", drawing, "-o", "job.toml"]);
    run(&["nest", "job.toml", "--moves", "50", "--threads", "1", "-q", "-o", "out"]);
    let verdict = run(&["check", "out/layout.json", "--job", "job.toml"]);
    assert!(verdict.contains("good: ") && verdict.contains("the paths of 1 drawing"), "{verdict}");
    let text = std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
    (serde_json::from_str(&text).expect("a layout"), folder)
}

/// The parts by name: area of the outline, number of openings.
#[track_caller]
fn parts(layout: &Layout, expected: &[(&str, f64, usize)]) {
    let mut found: Vec<&str> =
        layout.sheets.iter().flat_map(|s| &s.parts).map(|p| p.part.as_str()).collect();
    let mut names: Vec<&str> = expected.iter().map(|e| e.0).collect();
    found.sort_unstable();
    names.sort_unstable();
    assert_eq!(found, names);
    for (name, area, openings) in expected {
        let part = layout.sheets.iter().flat_map(|s| &s.parts).find(|p| p.part == *name);
        let part = part.expect(name);
        // Chords within 0.01 mm take less than that from each mm of a curve.
        let slack = 0.01 * part.outline.perimeter();
        assert!((part.outline.area() - area).abs() <= slack, "{name}: {}", part.outline.area());
        assert_eq!(part.openings.len(), *openings, "{name}");
    }
}

#[test]
fn a_feeder_in_pixels_of_loose_lines() {
    let (layout, _folder) = made("feeder.svg");
    let px = IN / 96.0;
    let pi = std::f64::consts::PI;
    // The floor's long side runs on by a tenth of a pixel, within the join tolerance.
    let floor = 384.05 * 192.0 * px * px;
    let side = (192.0 * 144.0 + pi * 96.0 * 96.0 / 2.0) * px * px;
    let perch = (240.0 * 24.0 + pi * 144.0) * px * px;
    parts(&layout, &[("floor", floor, 2), ("side", side, 0), ("perch", perch, 0)]);
}

#[test]
fn a_stand_in_inches_with_slots_as_wide_as_the_bit() {
    let (layout, folder) = made("stand.svg");
    let pt = (IN / 72.0) * (IN / 72.0);
    let back = (288.0 * 216.0 - (4.0 - std::f64::consts::PI) * 18.0 * 18.0) * pt;
    let (tray, foot, wedge) = (120.0 * 60.0 * pt, (120.0 + 80.0) * 45.0 * pt, 120.0 * 45.0 * pt);
    parts(&layout, &[("back", back, 3), ("tray", tray, 0), ("foot", foot, 0), ("wedge", wedge, 0)]);
    let of_sheet = &layout.sheets[0];
    assert!((of_sheet.bit.diameter - IN / 8.0).abs() < 1e-9, "slots of 9 pt are 1/8 in wide");
    let foot = of_sheet.parts.iter().find(|p| p.part == "foot").expect("the foot");
    assert_eq!(foot.features.iter().map(|f| f.kind).collect::<Vec<_>>(), [FeatureKind::Engraving]);
    let file = folder.path().join("out").join(format!("{}.svg", of_sheet.id));
    let sheet = std::fs::read_to_string(file).expect("the sheet");
    // A line along the middle of each slot, open, and no closed one round it.
    let passes: Vec<&str> = sheet.lines().filter(|l| l.contains("id=\"back.1.through.")).collect();
    let of_slot = |n: usize| passes.iter().filter(move |l| l.contains(&format!(".through.{n}.")));
    assert!((2..=3).all(|n| of_slot(n).count() == 1), "{passes:?}");
}

#[test]
fn charms_with_clips_uses_and_fills() {
    let (layout, _folder) = made("charms.svg");
    // 600 units are 152.4 mm. The moon by its two circles: half of one of 60, less the segment of one of 75 over the chord of 120.
    let unit = 0.254 * 0.254;
    let pi = std::f64::consts::PI;
    let half = (60.0_f64 / 75.0).asin();
    let segment = 75.0 * 75.0 * (half - half.sin() * half.cos());
    let moon = (pi * 1800.0 - segment) * unit;
    // A star by the shoelace rule; a ring by its outer circle.
    let star = [
        (420.0, 230.0),
        (435.0, 270.0),
        (478.0, 270.0),
        (443.0, 295.0),
        (456.0, 337.0),
        (420.0, 311.0),
        (384.0, 337.0),
        (397.0, 295.0),
        (362.0, 270.0),
        (405.0, 270.0),
    ];
    let next = |i: usize| star[(i + 1) % star.len()];
    let star: f64 = (0..star.len()).map(|i| star[i].0 * next(i).1 - next(i).0 * star[i].1).sum();
    let ring = pi * 60.0 * 60.0 * unit;
    let leaf = 2.0 * 40.0 * 120.0 * LEAF * unit;
    parts(
        &layout,
        &[
            ("leaf", leaf, 1),
            ("leaf-2", leaf, 1),
            ("moon", moon, 0),
            ("ring", ring, 1),
            ("star", star / 2.0 * unit, 0),
        ],
    );
}

/// The share of the box under a cubic whose control points stand at 0, 1/4, 3/4 and 1 of its chord, the inner two at full height:
/// y = 3 t (1 - t), dx/dt = 3/4 (1 + 2 t (1 - t)), and the integral of y dx is 9/4 (1/6 + 2/30).
const LEAF: f64 = 21.0 / 40.0;
